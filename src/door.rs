//! What `tests/` and `benches/` use of the rooms, under the rooms' own names, and nothing else: all that is not named here is
//! the library's own, so that the compiler finds what nobody uses.
//!
//! An item stands here once a test or a bench names it, and goes with the last one that does. Nobody else comes in here.

pub mod base {
    pub mod crockford {
        pub use crate::base::crockford::{check_symbol, decode, encode};
    }
    pub mod day {
        pub use crate::base::day::Day;
    }
    pub mod derive {
        pub use crate::base::derive::{derived, keyed_hash};
    }
    pub mod digest {
        pub use crate::base::digest::Digest;
    }
    pub mod drawn {
        pub use crate::base::drawn::Drawn;
    }
    pub mod files {
        pub use crate::base::files::{create_new, replace};
    }
    pub mod identity {
        pub use crate::base::identity::Identity;
    }
    pub mod issued {
        pub use crate::base::issued::{HEAD, Issued, Line};
    }
    pub mod media_type {
        pub use crate::base::media_type::media_type;
    }
    pub mod minutes {
        pub use crate::base::minutes::Minutes;
    }
    pub mod money {
        pub use crate::base::money::{Currency, Money, plain_decimal};
    }
    pub mod ours {
        pub use crate::base::ours::has_mark;
    }
    pub mod private {
        pub use crate::base::private::Private;
    }
    pub mod secret {
        pub use crate::base::secret::Secret;
    }
    pub mod shown {
        pub use crate::base::shown::is_veiled;
    }
    pub mod site_path {
        pub use crate::base::site_path::folder_of;
    }
    pub mod stamp {
        pub use crate::base::stamp::SETTLES_IN;
    }
}
pub mod command {
    pub mod open {
        pub use crate::command::open::key_text;
    }
    pub mod pass {
        pub use crate::command::pass::{Memory, PassMode, reckoned};
    }
    pub mod post {
        pub use crate::command::post::{post_now, prepared_for};
    }
    pub mod publish {
        pub use crate::command::publish::{Callbacks, run};
    }
}
pub mod model {
    pub use crate::model::{
        Amount, Away, Back, BenchMonth, Body, Charge, Choice, Closure, DatedFact, DepositRule, Discount,
        DraftSite, EstimateRules, Facts, Format, Gate, GateRule, InShop, Job, Ledger, LedgerLine,
        LedgerLineKind, Less, Likely, LineBy, Look, MoneyRules, Moved, MovedBy, NoWindow, Outlook, Owner,
        Page, PageKey, PageLife, PageLink, Parcels, Partner, PartnerPlan, PastHeld, Payment, Photo,
        PhotoFault, Picture, PieceFacts, Pose, Post, PostTo, PrivateFacts, Reason, Rendition, Renditions,
        Resting, Role, Room, Rounding, Route, RoutePlan, RouteWindow, Shop, ShopKey, Site, SiteFile, Spoilt,
        Stage, StandsOn, Step, StepFacts, StepPlan, StepState, StepWork, Storage, StoragePer, Studio, Tag,
        Taken, TakenBy, Tax, TaxBy, TaxLine, Today, Visit, WaitsOn, Window, Worked, WorkedJob, WorkedStep,
        WriteOff,
    };
    pub mod photo {
        pub use crate::model::photo::Album;
    }
    pub mod register {
        pub use crate::model::register::EntryFacts;
    }
    pub mod role {
        pub use crate::model::role::{KnownBy, Sealed, content_name};
    }
    pub mod write_order {
        pub use crate::model::write_order::Landing;
    }
}
pub mod photo {
    pub use crate::photo::{Looks, develop, look, prune};
    pub mod apart {
        pub use crate::photo::apart::{WORD, begin};
    }
}
pub mod problem {
    pub use crate::problem::{Code, Problem, Problems, Severity, Source};
    pub mod print {
        pub use crate::problem::print::{json, text};
    }
}
pub mod read {
    pub use crate::read::shop;
}
pub mod render {
    pub use crate::render::{Memo, pictures, site_with};
    pub mod board {
        pub use crate::render::board::page;
    }
    pub mod theme {
        pub use crate::render::theme::{Theme, load};
    }
}
pub mod seal {
    pub use crate::seal::{Store, site};
    pub mod file {
        pub use crate::seal::file::{FileCipher, cipher, name, opened, sealed};
    }
    pub mod size {
        pub use crate::seal::size::padded;
    }
}
pub mod work {
    pub use crate::work::{board, reckon};
    pub mod address {
        pub use crate::work::address::{Address, of, sealed};
    }
    pub mod calendar {
        pub use crate::work::calendar::BenchCalendar;
        pub mod bench {
            pub use crate::work::calendar::bench::monday_of;
        }
        pub mod parcels {
            pub use crate::work::calendar::parcels::next_leaving;
        }
    }
    pub mod estimate {
        pub mod choose {
            pub use crate::work::estimate::choose::{Asked, answers};
        }
        pub mod learn {
            pub use crate::work::estimate::learn::{Figures, Learned, SHARES};
            pub mod arrivals {
                pub use crate::work::estimate::learn::arrivals::expected;
            }
        }
        pub mod past {
            pub use crate::work::estimate::past::Estimator;
        }
        pub mod pert {
            pub use crate::work::estimate::pert::{mean, quantiles};
        }
        pub mod plan {
            pub use crate::work::estimate::plan::{Leaving, Newcomer, Plan};
        }
        pub mod shown {
            pub use crate::work::estimate::shown::shown;
        }
        pub mod trial {
            pub use crate::work::estimate::trial::Scratch;
        }
        pub mod windows {
            pub use crate::work::estimate::windows::{finished, simulate};
        }
    }
    pub mod issued {
        pub use crate::work::issued::{PieceOfCustomer, is_anothers};
    }
    pub mod replay {
        pub use crate::work::replay::{Case, HORIZONS, Replay, replay, summary};
        pub mod report {
            pub use crate::work::replay::report::report;
        }
    }
    pub mod view {
        pub use crate::work::view::DayView;
    }
}
pub mod write {
    pub use crate::write::{Changes, Unpublished};
}
