//! Rank 3: `Shop` and `Worked` become a `Site`.
