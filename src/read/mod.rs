//! Rank 3: the content folder becomes a checked `Shop`.
