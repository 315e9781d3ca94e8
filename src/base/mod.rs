//! Rank 0: what any program could use. Days, money, names, words, content hashes, files.
//!
//! Nothing here knows what a shop is. Rooms above import from here; this room imports from none.

pub mod crockford;
pub mod csv;
pub mod day;
pub mod derive;
pub mod digest;
pub mod drawn;
pub mod email;
pub mod exact;
pub mod files;
pub mod glance;
pub mod identity;
pub mod issued;
pub mod lock;
pub mod media_type;
pub mod minutes;
pub mod money;
pub mod names;
pub mod ours;
pub mod owner_file;
pub mod panics;
pub mod passing;
pub mod person;
pub mod private;
pub mod qr;
pub mod secret;
pub mod shown;
pub mod site_path;
pub mod stamp;
pub mod telltale;
pub mod whole;
pub mod words;
