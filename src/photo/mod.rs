//! Rank 3: one photo in, renditions out, kept by content.
