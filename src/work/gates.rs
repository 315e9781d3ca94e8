//! Gates: since when each is met, who is to meet it, and which of them stand in a job's way.

use super::known::Known;
use crate::base::day::Day;
use crate::model::{Gate, GateRule, Route, WaitsOn, WorkedStep};
use std::collections::BTreeMap;

/// Gates that follow from other parts of a job; every other name is met by what is in hand.
pub(super) const POSE: &str = "pose";
pub(super) const DEPOSIT: &str = "deposit";
pub(super) const TAG: &str = "tag";
pub(super) const SIGNATURE: &str = "signature";

/// What decides on gates for one job.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gates<'a> {
    pub known: Known<'a>,
    /// The day since which the deposit is paid.
    pub deposit_met: Option<Day>,
    pub rules: &'a BTreeMap<String, GateRule>,
}

impl Gates<'_> {
    /// The day since which a gate is met.
    pub fn met(&self, name: &str) -> Option<Day> {
        match name {
            POSE => self.known.pose_on(),
            DEPOSIT => self.deposit_met,
            TAG => self.known.tag_since(),
            SIGNATURE => self.known.signature_since(),
            in_hand => self.known.have(in_hand),
        }
    }

    /// Whether the customer is the one to meet it: by the shop's own rule, else for pose, deposit, tag and signature.
    fn is_customers(&self, name: &str) -> bool {
        match self.rules.get(name) {
            Some(rule) => rule.who == WaitsOn::Customer,
            None => matches!(name, POSE | DEPOSIT | TAG | SIGNATURE),
        }
    }

    /// Every gate that a step not yet reached or sent names, once each, in the order of the steps.
    pub fn ahead(&self, route: &Route, steps: &[WorkedStep]) -> Vec<Gate> {
        let mut gates: Vec<Gate> = Vec::new();
        for (step, own) in route.steps.iter().zip(steps) {
            if own.state.is_begun() {
                continue;
            }
            for name in &step.needs {
                let blocking = own.missing.contains(name);
                match gates.iter_mut().find(|gate| gate.name == *name) {
                    Some(gate) => gate.blocking |= blocking,
                    None => gates.push(Gate {
                        name: name.clone(),
                        step: step.name.clone(),
                        met: self.met(name),
                        customer: self.is_customers(name),
                        blocking,
                    }),
                }
            }
        }
        gates
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::*;
    use super::*;
    use crate::model::DepositRule;

    fn list(job: JobMaker, today: &str) -> Vec<String> {
        let mut shop = shop();
        shop.studio.money.deposit = DepositRule::Flat(money(20_000));
        let line = |g: Gate| {
            let met = g.met.map_or("-".into(), |d| d.iso()[5..].to_owned());
            let who = if g.customer { "customer" } else { "shop" };
            format!("{} {} {met} {who}{}", g.name, g.step, if g.blocking { " blocking" } else { "" })
        };
        single(shop, job, as_of(today)).gates.into_iter().map(line).collect()
    }

    #[test]
    fn each_gate_is_met_by_its_own_kind_of_fact() {
        let made = job("26-001", "2026-01-05").charge(60_000, "2026-01-05");
        assert_eq!(
            list(made.clone(), "2026-01-05"),
            [
                "deposit skinned - customer blocking",
                "tag skinned - customer blocking",
                "pose head-back - customer",
                "form mounted - shop"
            ]
        );
        let met = made
            .paid(15_000, "2026-01-10")
            .paid(5_000, "2026-01-12")
            .tag("2026-01-06")
            .pose("2026-02-01")
            .have("form", "2026-03-01");
        assert_eq!(
            list(met.clone(), "2026-01-11"),
            [
                "deposit skinned - customer blocking",
                "tag skinned 01-06 customer",
                "pose head-back - customer",
                "form mounted - shop"
            ]
        );
        assert_eq!(
            list(met, "2026-03-01"),
            [
                "deposit skinned 01-12 customer",
                "tag skinned 01-06 customer",
                "pose head-back 02-01 customer",
                "form mounted 03-01 shop"
            ]
        );
    }

    #[test]
    fn gates_behind_it_are_left_out() {
        let made = job("26-001", "2026-01-05").reached("skinned", "2026-01-20");
        assert_eq!(
            list(made.clone(), "2026-02-01"),
            ["pose head-back - customer blocking", "form mounted - shop"]
        );
        let sent = made.reached("head-sent", "2026-01-25");
        assert_eq!(list(sent, "2026-02-01"), ["form mounted - shop"]);
    }

    #[test]
    fn a_gate_of_several_steps_is_named_once_by_the_first_that_waits() {
        let mut shop = shop();
        let steps = "skinned bench | head-back away <skinned !pose | cast bench <skinned !pose,pose | mounted bench <cast !pose";
        shop.routes.insert("turkey".into(), route("turkey", steps));
        let made =
            job("26-001", "2026-01-05").reached("skinned", "2026-01-06").reached("head-sent", "2026-01-07");
        let worked = single(shop, made, on("2026-02-01"));
        assert_eq!(worked.gates.len(), 1);
        assert_eq!((worked.gates[0].step.as_str(), worked.gates[0].blocking), ("cast", true));
        assert_eq!(worked.steps[2].missing, ["pose"]);
    }

    #[test]
    fn the_shop_says_who_is_waited_on() {
        let mut shop = shop();
        let rule = |who| GateRule { who, tells: None };
        shop.studio.gates.insert("tag".into(), rule(WaitsOn::Shop));
        shop.studio.gates.insert("form".into(), rule(WaitsOn::Customer));
        let worked = single(shop, job("26-001", "2026-01-05"), on("2026-02-01"));
        let who: Vec<(&str, bool)> = worked.gates.iter().map(|g| (g.name.as_str(), g.customer)).collect();
        assert_eq!(who, [("deposit", true), ("tag", false), ("pose", true), ("form", true)]);
    }

    #[test]
    fn a_deposit_that_is_not_asked_is_met_at_once() {
        let worked = single(shop(), job("26-001", "2026-01-05"), on("2026-02-01"));
        assert_eq!(worked.gates[0].met, Some(day("2026-01-05")));
    }
}
