//! What templates are given. A view holds only what may be shown: it is built from `Shop` and `Worked` and has no field of what is
//! private, so no template can get at it. How it looks is the theme's.
//!
//! Nothing but care and tests keeps a new field of a view harmless: see `base::private` for what the compiler keeps and what it does not.
//!
//! Each file that makes a page names the page's `Owner` where it makes it: the job, pose or page of the owner's that it belongs to
//! (`Owner::Part`), or the shop as a whole (`Owner::Shop`). When that part is broken, the page stays as it was.

pub mod calendar;
mod drawings;
pub mod frame;
pub mod front;
mod ledger;
pub mod measures;
pub mod news;
pub mod page;
pub mod private;
pub mod progress;
pub mod sealed;
pub mod showroom;
pub mod side_by_side;
mod when;
