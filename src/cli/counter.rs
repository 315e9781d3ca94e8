//! The arguments of the counter's commands: `intake`, `tag`, `parcel`, `register`.

use super::day;
use crate::base::day::Day;
use crate::command::intake::Flags;
use crate::command::parcel::Parcel;
use crate::command::printing::{Paper, Wanted};
use crate::command::register::Span;
use crate::command::tag::Tags;
use crate::command::{self, Outcome};
use clap::Args;
use std::path::{Path, PathBuf};

/// How a page is printed.
#[derive(Args, Debug)]
struct PrintArgs {
    /// Put the page here instead of into the shop's folder `print`
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,

    /// The paper to print on: letter or a4
    #[arg(long, value_name = "PAPER", default_value = "letter", value_parser = paper)]
    paper: Paper,

    /// Use this day as today, such as 2026-05-02
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_of: Option<Day>,
}

impl PrintArgs {
    fn wanted(self) -> Wanted {
        Wanted { out: self.out, paper: self.paper }
    }
}

#[derive(Args, Debug)]
pub(super) struct IntakeArgs {
    /// The customer's first and last name
    #[arg(long, value_name = "NAME")]
    customer: Option<String>,
    /// The customer's phone; never published
    #[arg(long, value_name = "NUMBER")]
    phone: Option<String>,
    /// The customer's email; never published
    #[arg(long, value_name = "ADDRESS")]
    email: Option<String>,
    /// The customer's address, for the register; never published
    #[arg(long, value_name = "LINE")]
    address: Option<String>,
    /// What it is, such as "Eastern wild turkey"
    #[arg(long, value_name = "WORDS")]
    piece: Option<String>,
    /// The route it takes, such as turkey-full
    #[arg(long, value_name = "ROUTE")]
    route: Option<String>,
    /// A pose of the showroom, your own words, or later
    #[arg(long, value_name = "POSE")]
    pose: Option<String>,
    /// The day it came in, if not today
    #[arg(long, value_name = "DATE", value_parser = day)]
    taken_in: Option<Day>,
    /// The number of the harvest tag or confirmation
    #[arg(long, value_name = "NUMBER")]
    tag: Option<String>,
    /// A permit or seal beside the tag
    #[arg(long, value_name = "NUMBER")]
    permit: Option<String>,
    /// Who took the animal, if not the customer
    #[arg(long, value_name = "NAME")]
    hunter: Option<String>,
    /// The day on which the hunter signed the tag of a migratory bird
    #[arg(long, value_name = "DATE", value_parser = day)]
    signed: Option<Day>,
    /// The day of kill
    #[arg(long, value_name = "DATE", value_parser = day)]
    taken_on: Option<Day>,
    /// The place of kill: county and state
    #[arg(long, value_name = "PLACE")]
    place: Option<String>,
    /// The species, for the register
    #[arg(long, value_name = "WORDS")]
    species: Option<String>,
    /// The sex, for the register
    #[arg(long, value_name = "WORD")]
    sex: Option<String>,
    /// The license, where the state asks
    #[arg(long, alias = "licence", value_name = "NUMBER")]
    license: Option<String>,
    /// A charge: a line of the route's price list, "Driftwood base x 12", or "Half strut=795"; may be repeated
    #[arg(long, value_name = "CHARGE")]
    charge: Vec<String>,
    /// What was paid right away
    #[arg(long, value_name = "AMOUNT")]
    paid: Option<String>,
    /// How it was paid
    #[arg(long, value_name = "WORD")]
    how: Option<String>,
    /// A note that the customer reads
    #[arg(long, value_name = "WORDS")]
    note: Option<String>,
    /// A note that only you read
    #[arg(long, value_name = "WORDS")]
    bench_note: Option<String>,
    /// Moves it ahead in the line
    #[arg(long)]
    rush: bool,
    /// The job's number, if not the next one
    #[arg(long, value_name = "NUMBER")]
    number: Option<String>,
    /// What comes after the number in the folder's name
    #[arg(long, value_name = "WORDS")]
    label: Option<String>,

    #[command(flatten)]
    print: PrintArgs,
}

impl IntakeArgs {
    pub fn run(self, shop: &Path) -> Outcome {
        let flags = Flags {
            customer: self.customer,
            phone: self.phone,
            email: self.email,
            address: self.address,
            piece: self.piece,
            route: self.route,
            pose: self.pose,
            taken_in: self.taken_in,
            tag: self.tag,
            permit: self.permit,
            hunter: self.hunter,
            signed: self.signed,
            taken_on: self.taken_on,
            place: self.place,
            species: self.species,
            sex: self.sex,
            license: self.license,
            charges: self.charge,
            paid: self.paid,
            how: self.how,
            note: self.note,
            bench_note: self.bench_note,
            rush: self.rush,
            number: self.number,
            label: self.label,
        };
        command::intake::run(shop, self.print.as_of, &flags, &self.print.wanted())
    }
}

#[derive(Args, Debug)]
pub(super) struct TagArgs {
    /// The numbers of the jobs
    #[arg(value_name = "JOB", required = true)]
    jobs: Vec<String>,

    /// Put each tag on a sheet of its own
    #[arg(long)]
    single: bool,

    /// Draw the codes here in the terminal as well
    #[arg(long)]
    show: bool,

    #[command(flatten)]
    print: PrintArgs,
}

impl TagArgs {
    pub fn run(self, shop: &Path) -> Outcome {
        let tags = Tags { jobs: self.jobs, single: self.single, show: self.show };
        command::tag::run(shop, self.print.as_of, &tags, &self.print.wanted())
    }
}

#[derive(Args, Debug)]
pub(super) struct ParcelArgs {
    /// The partner it goes to, as partners.toml calls it
    #[arg(value_name = "PARTNER")]
    partner: String,

    /// Write down in every job of the list that it left on this day
    #[arg(long, value_name = "DATE", value_parser = day)]
    sent: Option<Day>,

    /// Leave this job out of the parcel; may be repeated
    #[arg(long, value_name = "JOB")]
    without: Vec<String>,

    #[command(flatten)]
    print: PrintArgs,
}

impl ParcelArgs {
    pub fn run(self, shop: &Path) -> Outcome {
        let parcel = Parcel { partner: self.partner, sent: self.sent, without: self.without };
        command::parcel::run(shop, self.print.as_of, &parcel, &self.print.wanted())
    }
}

#[derive(Args, Debug)]
pub(super) struct RegisterArgs {
    /// The first day of the span; left out, the first of January
    #[arg(long, value_name = "DATE", value_parser = day)]
    from: Option<Day>,

    /// The last day of the span; left out, today
    #[arg(long, value_name = "DATE", value_parser = day)]
    to: Option<Day>,

    #[command(flatten)]
    print: PrintArgs,
}

impl RegisterArgs {
    pub fn run(self, shop: &Path) -> Outcome {
        let span = Span { from: self.from, to: self.to };
        command::register::run(shop, self.print.as_of, span, &self.print.wanted())
    }
}

fn paper(text: &str) -> Result<Paper, String> {
    match text.to_ascii_lowercase().as_str() {
        "letter" => Ok(Paper::Letter),
        "a4" => Ok(Paper::A4),
        _ => Err("the paper is `letter` or `a4`".to_owned()),
    }
}
