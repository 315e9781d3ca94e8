//! Rank 3: `Site` to disk, whole or not at all.
