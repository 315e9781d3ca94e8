//! Rank 3: `Shop` and a day become `Worked`; no disk, no clock.
