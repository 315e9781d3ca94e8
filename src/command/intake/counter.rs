//! The questions of the counter, in its order: who, phone, piece, route, pose, tag, charges, deposit.
//!
//! Each has a flag. What a flag answers is not asked; where nobody can be asked, what must be known and is not is
//! told by its flag. Answers are checked as the reader will check the file.

mod questions;

use super::answers::Answers;
use super::ask::Asker;
use super::charge::{self, Offer};
use super::{Flags, Halt};
use crate::base::money::Money;
use crate::base::words::{list, ticked};
use crate::command::terminal::say;
use crate::model::{RegisterField, Route, Shop, gate};
use crate::problem::{Code, Problem, Problems, Severity};
use std::io::BufRead;

/// Tells what is wrong with the file that these answers make.
pub type Check<'a> = &'a dyn Fn(&Answers) -> Problems;

/// One piece being taken in.
pub struct Counter<'a, R> {
    pub shop: &'a Shop,
    pub flags: &'a Flags,
    pub asker: Option<Asker<R>>,
    pub check: Check<'a>,
    /// Flags that are needed and missing.
    missing: Vec<&'static str>,
    /// Messages that were told already.
    told: Vec<String>,
}

impl<'a, R: BufRead> Counter<'a, R> {
    pub fn new(shop: &'a Shop, flags: &'a Flags, asker: Option<Asker<R>>, check: Check<'a>) -> Self {
        Counter { shop, flags, asker, check, missing: Vec::new(), told: Vec::new() }
    }

    /// Everything up to the charges.
    pub fn piece(&mut self, answers: &mut Answers) -> Result<(), Halt> {
        let flags = self.flags;
        answers.rush = flags.rush;
        answers.note = flags.note.clone();
        answers.bench_note = flags.bench_note.clone();
        self.sound(answers, |c, a| {
            a.customer = c.needed(&flags.customer, "--customer", "Customer, first and last name")?;
            Ok(())
        })?;
        answers.phone = self.asked(&flags.phone, "Phone")?;
        answers.email = flags.email.clone();
        if self.asks_for(RegisterField::Address) || flags.address.is_some() {
            answers.address = self.asked(&flags.address, "Address, for the register")?;
        }
        self.sound(answers, |c, a| {
            a.piece = c.needed(&flags.piece, "--piece", "Piece, such as `Eastern wild turkey`")?;
            Ok(())
        })?;
        self.sound(answers, |c, a| c.route(a))?;
        self.sound(answers, |c, a| c.pose(a))?;
        self.tag(answers)?;
        match self.missing.is_empty() {
            true => Ok(()),
            false => Err(Halt::Told(Problems::from_iter([no_answer(&self.missing)]))),
        }
    }

    pub fn route_of(&self, answers: &Answers) -> Option<&'a Route> {
        self.shop.routes.get(&answers.route)
    }

    fn route(&mut self, answers: &mut Answers) -> Result<(), Halt> {
        if let Some(route) = &self.flags.route {
            answers.route = route.clone();
            return Ok(());
        }
        let routes: Vec<&Route> = self.shop.routes.values().collect();
        if self.asker.is_none() {
            self.missing.push("--route");
            return Ok(());
        }
        let options =
            routes.iter().map(|route| (route.key.as_str(), route.name.as_str())).collect::<Vec<_>>();
        answers.route = self.chosen("Route", &options, None, false)?;
        Ok(())
    }

    fn pose(&mut self, answers: &mut Answers) -> Result<(), Halt> {
        let later = |words: &str| words.eq_ignore_ascii_case("later") || words.is_empty();
        if let Some(pose) = &self.flags.pose {
            answers.pose = Some(pose.clone()).filter(|words| !later(words));
            return Ok(());
        }
        if self.asker.is_none() {
            return Ok(());
        }
        let animal = self.route_of(answers).and_then(|route| route.animal.as_deref());
        let poses = self.shop.poses.iter().filter(|pose| Some(pose.animal.as_str()) == animal);
        let options: Vec<(&str, &str)> = poses.map(|pose| (pose.key.as_str(), pose.name.as_str())).collect();
        let words = self.chosen("Pose, or your own words, or `later`", &options, Some("later"), true)?;
        answers.pose = Some(words).filter(|words| !later(words));
        Ok(())
    }

    fn tag(&mut self, answers: &mut Answers) -> Result<(), Halt> {
        let flags = self.flags;
        let needs = |gate: &str| {
            let route = self.route_of(answers);
            route.is_some_and(|r| r.steps.iter().any(|step| step.needs.iter().any(|need| need == gate)))
        };
        let (needs_tag, needs_signature) = (needs(gate::TAG), needs(gate::SIGNATURE));
        answers.tag.permit = flags.permit.clone();
        answers.tag.hunter = flags.hunter.clone();
        if needs_tag || self.asks_for(RegisterField::Tag) || flags.tag.is_some() {
            answers.tag.number = self.asked(&flags.tag, "Number of the tag or confirmation")?;
        }
        if needs_signature {
            self.sound(answers, |c, a| {
                a.tag.signed = c.day(flags.signed, "Day on which the hunter signed the tag", a.taken_in)?;
                Ok(())
            })?;
        } else {
            answers.tag.signed = flags.signed;
        }
        self.sound(answers, |c, a| {
            a.tag.taken_on = match c.asks_for(RegisterField::TakenOn) {
                true => c.day(flags.taken_on, "Day of kill", a.taken_in)?,
                false => flags.taken_on,
            };
            Ok(())
        })?;
        for (field, flag, question) in [
            (RegisterField::Place, &flags.place, "Place of kill: county and state"),
            (RegisterField::Species, &flags.species, "Species, for the register"),
            (RegisterField::Sex, &flags.sex, "Sex"),
            (RegisterField::License, &flags.license, "License"),
        ] {
            let answer = if self.asks_for(field) { self.asked(flag, question)? } else { flag.clone() };
            match field {
                RegisterField::Place => answers.tag.place = answer,
                RegisterField::Species => answers.tag.species = answer,
                RegisterField::Sex => answers.tag.sex = answer,
                _ => answers.tag.license = answer,
            }
        }
        Ok(())
    }

    /// What is charged: from the price list, or in words of one's own.
    pub fn charges(&mut self, answers: &mut Answers) -> Result<(), Halt> {
        let currency = self.shop.studio.money.currency;
        let Some(route) = self.route_of(answers) else { return Ok(()) };
        let offers = charge::offers(self.shop, route, answers.pose.as_deref());
        if !self.flags.charges.is_empty() || self.asker.is_none() {
            let (mut charges, mut wrong) = (Vec::new(), Problems::default());
            for text in &self.flags.charges {
                match charge::parse(text, &offers, currency) {
                    Ok(charged) => charges.push(charged),
                    Err(told) => wrong.push(stopping(Code::BadMoney, told, "--charge")),
                }
            }
            answers.charges = charges;
            return if wrong.is_empty() { Ok(()) } else { Err(Halt::Told(wrong)) };
        }
        say("What is charged?");
        for (at, offer) in offers.iter().enumerate() {
            say(&format!("  {}  {}", at + 1, offer.shown(currency)));
        }
        loop {
            // The piece itself, as long as nothing is charged.
            let itself = answers.charges.is_empty() && !offers.is_empty();
            let question = "  Number, or `what = price`; nothing when that is all";
            let answer = self.ask(question, itself.then_some("1"))?;
            if answer.is_empty() {
                return Ok(());
            }
            match self.one_charge(&answer, &offers) {
                Ok(charged) => answers.charges.push(charged),
                Err(Charge::Told(told)) => say(&format!("  {told}")),
                Err(Charge::Ended) => return Err(Halt::Ended),
            }
        }
    }

    fn one_charge(&mut self, answer: &str, offers: &[Offer]) -> Result<super::answers::Charged, Charge> {
        let currency = self.shop.studio.money.currency;
        let offer = answer.parse::<usize>().ok().and_then(|n| offers.get(n.checked_sub(1)?));
        if let Some(offer) = offer.filter(|offer| offer.charged(None).is_none()) {
            let count = self.ask("  How many", None).map_err(|_| Charge::Ended)?;
            let count = charge::how_many(&count).map_err(Charge::Told)?;
            return offer.charged(Some(count)).ok_or_else(|| Charge::Told("that has one price".to_owned()));
        }
        charge::parse(answer, offers, currency).map_err(Charge::Told)
    }

    /// What is paid at once; `asked` is the deposit.
    pub fn deposit(&mut self, answers: &mut Answers, asked: Money) -> Result<(), Halt> {
        let currency = self.shop.studio.money.currency;
        if let Some(text) = &self.flags.paid {
            let paid = charge::money(text, currency).map_err(|told| {
                Halt::Told(Problems::from_iter([stopping(Code::BadMoney, told, "--paid")]))
            })?;
            answers.paid = Some(paid).filter(|paid| paid.is_positive());
        } else if self.asker.is_some() {
            let default = asked.is_positive().then(|| asked.plain(currency));
            let question = match &default {
                Some(_) => "Deposit paid, or 0",
                None => "Paid at once, or nothing",
            };
            answers.paid = loop {
                let answer = self.ask(question, default.as_deref())?;
                if answer.is_empty() {
                    break None;
                }
                match charge::money(&answer, currency) {
                    Ok(paid) => break Some(paid).filter(|paid| paid.is_positive()),
                    Err(told) => say(&format!("  {told}")),
                }
            };
        }
        if answers.paid.is_some() {
            answers.how = self.asked(&self.flags.how, "How (cash, check, card)")?;
        }
        Ok(())
    }

    /// The number and the name of the folder; `taken` tells whether a number is in use.
    pub fn folder(&mut self, answers: &mut Answers, taken: &dyn Fn(&str) -> bool) -> Result<(), Halt> {
        let offered = answers.number.clone();
        self.sound(answers, |c, a| {
            a.number = match &c.flags.number {
                Some(number) => number.trim().to_owned(),
                None if c.asker.is_some() => c.ask("Job number", Some(&offered))?,
                None => offered.clone(),
            };
            if taken(&a.number) {
                let message = format!("there is a job {} already, or there was one", ticked(&a.number));
                let problem = Problem::new(Code::SameNumber, message)
                    .hint(format!("the next free number is `{offered}`"));
                return Err(Halt::Again(problem));
            }
            Ok(())
        })?;
        let usual = answers.usual_label();
        answers.label = match (&self.flags.label, self.asker.is_some()) {
            (Some(label), _) => Some(label.clone()),
            (None, true) => Some(self.ask("Name of its folder, behind the number", Some(&usual))?),
            (None, false) => None,
        };
        Ok(())
    }

    /// Yes or no.
    pub fn agrees(&mut self, question: &str) -> Result<bool, Halt> {
        if self.asker.is_none() {
            return Ok(true);
        }
        loop {
            match self.ask(question, Some("yes"))?.to_lowercase().as_str() {
                "yes" | "y" => return Ok(true),
                "no" | "n" => return Ok(false),
                _ => say("  Please answer yes or no."),
            }
        }
    }

    /// Asks until the answer makes a sound file; an answer of a flag is not asked again.
    fn sound(
        &mut self,
        answers: &mut Answers,
        ask: impl Fn(&mut Self, &mut Answers) -> Result<(), Halt>,
    ) -> Result<(), Halt> {
        if self.asker.is_none() {
            // All flags are checked together in the end.
            return match ask(self, answers) {
                Err(Halt::Again(problem)) => {
                    Err(Halt::Told(Problems::from_iter([problem.with_severity(Severity::Stop)])))
                }
                other => other,
            };
        }
        let mut earlier = String::new();
        loop {
            let before = answers.clone();
            let problems = match ask(self, answers) {
                Ok(()) => self.fresh_problems(answers),
                Err(Halt::Again(problem)) => vec![problem],
                Err(halt) => return Err(halt),
            };
            let again = problems.iter().any(|p| p.severity >= Severity::Mend || p.code == Code::UnknownPose);
            let told = problems.iter().map(|p| p.message.as_str()).collect::<Vec<_>>().join("\n");
            // A flag gives the same answer each time.
            if again && told == earlier && !told.is_empty() {
                return Err(Halt::Told(Problems::from_iter(problems)));
            }
            for problem in &problems {
                say(&format!(
                    "  {}{}",
                    problem.message,
                    problem.hint.as_ref().map(|h| format!(" ({h})")).unwrap_or_default()
                ));
            }
            if !again {
                self.told.extend(problems.into_iter().map(|p| p.message));
                return Ok(());
            }
            (*answers, earlier) = (before, told);
        }
    }

    /// What is wrong with the file so far and was not told yet; what is still to come is not missed.
    fn fresh_problems(&self, answers: &Answers) -> Vec<Problem> {
        let problems = (self.check)(answers).into_iter();
        let open = |problem: &Problem| {
            problem.code == Code::MissingKey || problem.code == Code::UnknownRoute && answers.route.is_empty()
        };
        problems.filter(|p| !open(p) && !self.told.contains(&p.message)).collect()
    }

    fn asks_for(&self, field: RegisterField) -> bool {
        self.shop.studio.register.contains(&field)
    }
}

/// Why a charge was not taken.
enum Charge {
    Told(String),
    Ended,
}

fn no_answer(missing: &[&str]) -> Problem {
    let flags: Vec<String> = missing.iter().map(|flag| ticked(flag)).collect();
    Problem::new(
        Code::NoAnswer,
        format!("{} can’t be left out, because nobody is at the terminal to ask", list(&flags, "and")),
    )
    .hint("add the flags, or run it in a terminal, where it asks; `benchlight intake --help` lists them")
}

fn stopping(code: Code, told: String, flag: &str) -> Problem {
    Problem::new(code, told).with_severity(Severity::Stop).hint(format!("look at `{flag}`"))
}
