//! Rank 2: plain data that crosses from one room to the next. No rules, no I/O.
//!
//! `Shop` is what was read and checked, `Worked` is what follows from it on a day, `DraftSite` and `Site` are the
//! site in memory, before and after sealing. What must never be published is wrapped in [`crate::base::private::Private`].

pub mod board;
pub mod facts;
pub mod gate;
pub mod job;
pub mod measures;
pub mod parcel;
pub mod photo;
pub mod place;
pub mod post;
pub mod register;
pub mod role;
pub mod route;
pub mod seal;
pub mod shop;
pub mod showroom;
pub mod site;
pub mod today;
pub mod worked;
pub mod write_order;

pub use crate::base::exact::Rounding;
pub use board::{
    Board, LoadWeek, Out, OwedPiece, ParcelWait, ReadyPiece, Resting, StepQueue, Sums, Turn, Wait,
};
pub use facts::{Facts, PartnerPlan, PieceFacts, RoutePlan, StepFacts, StepPlan};
pub use job::{Amount, Charge, Choice, DatedFact, Discount, Job, Less, Payment, PrivateFacts, Tag, WriteOff};
pub use parcel::{Packed, PackingList, Staying, StaysFor};
pub use photo::{
    Format, Look, MadeOf, Photo, PhotoFault, Picture, Remains, Rendition, Renditions, Taken, TakenBy,
};
pub use place::{InShop, InWorked};
pub use post::{Post, PostTo};
pub use register::{Gap, Register, RegisterEntry, RegisterField};
pub use role::Role;
pub use route::{Likely, Parcels, Partner, Price, PriceOf, Route, Step, StepWork, WorkKind};
pub use seal::PageKey;
pub use shop::{
    Closure, DepositRule, EstimateRules, GateRule, LineBy, MoneyRules, PageLink, Shop, ShopKey, Spoilt,
    Storage, StoragePer, Studio, Tax, TaxBy, Visit, WaitsOn,
};
pub use showroom::{Page, Pose, Room, StandsOn};
pub use site::{Body, DraftSite, OpenFile, Owner, Site, SiteFile, Still};
pub use today::Today;
pub use worked::{
    Away, Back, BenchMonth, Gate, Ledger, LedgerLine, LedgerLineKind, Moved, MovedBy, NoWindow, Outlook,
    PageLife, PastHeld, Reason, RouteWindow, Stage, StepState, TaxLine, Window, Worked, WorkedJob,
    WorkedStep,
};
