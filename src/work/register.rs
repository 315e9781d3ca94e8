//! The register over a span of days: who brought what, and what is missing in the record.
//!
//! What a state asks for is the shop's to say (`[register]`); how the register looks is `render`'s.

use crate::base::day::Day;
use crate::base::private::Private;
use crate::model::gate::SIGNATURE;
use crate::model::register::EntryFacts;
use crate::model::{Gap, Job, Register, RegisterEntry, RegisterField, Shop, Spoilt, Worked};

/// Every piece that came in or went out from `from` to `to`, as known on the day of the pass.
pub fn register(shop: &Shop, worked: &Worked, from: Day, to: Day) -> Register {
    let within = |day: Day| from <= day && day <= to;
    let known = |day: &Day| *day <= worked.today;
    let mut entries = Vec::new();
    let mut gaps = unread(shop, worked);
    for job in shop.jobs.iter().filter(|job| known(&job.taken_in)) {
        let went_out = job.collected.as_ref().map(|mark| mark.day).filter(known);
        if !within(job.taken_in) && !went_out.is_some_and(within) {
            continue;
        }
        let facts = facts(job, went_out.is_some());
        let fields = missing(&facts, &shop.studio.register, waits_for_signature(shop, job));
        if !fields.is_empty() {
            gaps.push(Gap { number: job.number.clone(), fields });
        }
        entries.push(RegisterEntry {
            number: job.number.clone(),
            came_in: job.taken_in,
            piece: job.piece.clone(),
            went_out,
            private: Private::new(facts),
        });
    }
    // Stable: the shop's order is that of the numbers.
    entries.sort_by_key(|entry| entry.came_in);
    Register { from, to, entries, gaps }
}

/// Jobs that could not be read, or that contradict themselves: nobody can rely on their entries.
fn unread(shop: &Shop, worked: &Worked) -> Vec<Gap> {
    let broken = shop.spoilt.iter().filter_map(|spoilt| match spoilt {
        Spoilt::Job(number) => Some(number),
        Spoilt::Pose(..) | Spoilt::Page(_) => None,
    });
    let mut numbers: Vec<&String> = broken.chain(&worked.spoilt).collect();
    numbers.sort();
    numbers.dedup();
    numbers.into_iter().map(|number| Gap { number: number.clone(), fields: Vec::new() }).collect()
}

fn facts(job: &Job, is_out: bool) -> EntryFacts {
    let private = job.private.reveal();
    let tag = private.tag.clone().unwrap_or_default();
    let home = || private.collected_by.clone().unwrap_or_else(|| private.customer.clone());
    EntryFacts {
        from_whom: private.customer.clone(),
        address: private.address.clone(),
        phone: private.phone.clone(),
        species: tag.species,
        sex: tag.sex,
        tag: tag.number,
        permit: tag.permit,
        hunter: tag.hunter,
        taken_on: tag.taken_on,
        place: tag.place,
        license: tag.license,
        signed: tag.signed,
        to_whom: is_out.then(home),
    }
}

fn missing(facts: &EntryFacts, asked: &[RegisterField], signature: bool) -> Vec<RegisterField> {
    let is_there = |field: &RegisterField| match field {
        RegisterField::Address => facts.address.is_some(),
        RegisterField::Phone => facts.phone.is_some(),
        RegisterField::Species => facts.species.is_some(),
        RegisterField::Sex => facts.sex.is_some(),
        RegisterField::Tag => facts.tag.is_some() || facts.permit.is_some(),
        RegisterField::TakenOn => facts.taken_on.is_some(),
        RegisterField::Place => facts.place.is_some(),
        RegisterField::License => facts.license.is_some(),
        RegisterField::Signature => facts.signed.is_some() || !signature,
    };
    asked.iter().filter(|field| !is_there(field)).copied().collect()
}

fn waits_for_signature(shop: &Shop, job: &Job) -> bool {
    let route = shop.routes.get(&job.route);
    route.is_some_and(|route| route.steps.iter().any(|step| step.needs.iter().any(|gate| gate == SIGNATURE)))
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use super::*;
    use crate::model::Tag;

    fn of(shop: Shop, jobs: Vec<Job>, today: &str, from: &str, to: &str) -> Register {
        let mut shop = shop;
        shop.jobs = jobs;
        let (worked, _) = crate::work::reckon(&shop, on(today));
        register(&shop, &worked, day(from), day(to))
    }

    fn with_tag(number: &str, came_in: &str, tag: Tag) -> Job {
        let mut made = job(number, came_in).made();
        let mut private = made.private.reveal().clone();
        private.tag = Some(tag);
        made.private = Private::new(private);
        made
    }

    #[test]
    fn what_came_in_or_went_out_in_the_span_is_in_it_by_the_day_it_came() {
        let jobs = vec![
            job("26-001", "2026-01-05").collected("2026-03-10").made(),
            job("26-002", "2026-03-05").made(),
            job("26-003", "2026-03-01").collected("2026-06-01").made(),
            job("26-004", "2026-01-05").collected("2026-02-28").made(),
        ];
        let register = of(shop(), jobs, "2026-05-01", "2026-03-01", "2026-03-31");
        let lines: Vec<(&str, Option<Day>)> =
            register.entries.iter().map(|e| (e.number.as_str(), e.went_out)).collect();
        // The third one went out on a day that is not there yet.
        assert_eq!(lines, [("26-001", Some(day("2026-03-10"))), ("26-003", None), ("26-002", None)]);
        assert!(register.entries[0].private.reveal().to_whom.is_some());
        assert!(register.entries[1].private.reveal().to_whom.is_none());
    }

    #[test]
    fn gaps_are_what_the_shop_is_asked_for_and_does_not_have() {
        let asking = |fields: &[RegisterField]| {
            let mut shop = shop();
            shop.studio.register = fields.to_vec();
            shop
        };
        let gaps = |shop, made| of(shop, vec![made], "2026-05-01", "2026-01-01", "2026-12-31").gaps;
        use RegisterField::{License, Signature, Tag as TagField};
        let permit = Tag { permit: Some("S-1".into()), ..Tag::default() };
        assert_eq!(gaps(asking(&[]), job("26-001", "2026-01-05").made()), []);
        let missing = gaps(asking(&[TagField, License]), job("26-001", "2026-01-05").made());
        assert_eq!(missing, [Gap { number: "26-001".into(), fields: vec![TagField, License] }]);
        let missing = gaps(asking(&[TagField, License]), with_tag("26-001", "2026-01-05", permit.clone()));
        assert_eq!(missing[0].fields, [License], "a seal or permit stands for the tag");
        // A signature is missed where the route waits for one.
        assert_eq!(gaps(asking(&[Signature]), with_tag("26-001", "2026-01-05", permit.clone())), []);
        let mut ducks = asking(&[Signature]);
        ducks.routes.insert("turkey".into(), route("turkey", "skinned bench !signature | dried rest"));
        assert_eq!(gaps(ducks, with_tag("26-001", "2026-01-05", permit))[0].fields, [Signature]);
    }

    #[test]
    fn what_cannot_be_read_is_the_first_gap() {
        let mut broken = shop();
        broken.spoilt.push(Spoilt::Job("26-009".into()));
        let wrong = job("26-001", "2026-01-05").reached("skinned", "2026-01-01").made();
        let register = of(broken, vec![wrong], "2026-05-01", "2026-01-01", "2026-12-31");
        let first: Vec<&str> = register.gaps.iter().map(|gap| gap.number.as_str()).collect();
        assert_eq!(first[..2], ["26-001", "26-009"]);
        assert!(register.gaps[..2].iter().all(|gap| gap.fields.is_empty()));
    }
}
