//! What was measured, and the rough scores that follow: shown only where the owner says so.

use crate::model::measures::{Antlers, Measures, Score};
use crate::render::desk::Desk;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

/// The measures of a piece.
#[derive(Debug, Serialize)]
pub struct MeasuresView {
    pub lines: Vec<Line>,
    pub scores: Vec<ScoreView>,
}

/// One measure.
#[derive(Debug, Serialize)]
pub struct Line {
    /// What was measured, as `words.toml` names it.
    pub kind: &'static str,
    pub value: String,
}

/// One score.
#[derive(Debug, Serialize)]
pub struct ScoreView {
    pub kind: &'static str,
    pub value: String,
    /// For antlers the gross score, of which `value` is the net.
    pub gross: Option<String>,
}

/// The view, where the measures are to be shown.
pub fn of(desk: &Desk<'_>, measures: Option<&Measures>, scores: &[Score]) -> Option<MeasuresView> {
    let measures = measures.filter(|measures| measures.show)?;
    let written = Written { desk };
    Some(MeasuresView {
        lines: written.lines(measures),
        scores: scores.iter().map(|score| written.score(score)).collect(),
    })
}

/// How figures are written.
struct Written<'a> {
    desk: &'a Desk<'a>,
}

impl Written<'_> {
    fn lines(&self, measures: &Measures) -> Vec<Line> {
        let mut lines = Vec::new();
        let mut tell = |kind: &'static str, value: Option<String>| {
            lines.extend(value.map(|value| Line { kind, value }));
        };
        tell("weight", measures.weight.map(|weight| self.weight(weight)));
        let beards: Vec<String> = measures.beards.iter().map(|beard| self.inches(*beard, 16)).collect();
        tell("beard", (!beards.is_empty()).then(|| self.desk.theme.list(&beards)));
        tell("spurs", measures.spurs.map(|spurs| self.sides(spurs, 16)));
        tell("length", measures.length.map(|length| self.inches(length, 16)));
        tell("girth", measures.girth.map(|girth| self.inches(girth, 16)));
        tell("skull-length", measures.skull.map(|skull| self.inches(skull.length, 16)));
        tell("skull-width", measures.skull.map(|skull| self.inches(skull.width, 16)));
        if let Some(antlers) = &measures.antlers {
            lines.extend(self.antlers(antlers));
        }
        lines
    }

    fn antlers(&self, antlers: &Antlers) -> Vec<Line> {
        let row = |lengths: &[Decimal]| {
            let each: Vec<String> = lengths.iter().map(|length| fraction(*length, 8)).collect();
            self.say("inches", &[("n", each.join(", "))])
        };
        let [right, left] = &antlers.points;
        let mut lines = vec![
            Line { kind: "spread", value: self.inches(antlers.spread, 8) },
            Line { kind: "beams", value: self.sides(antlers.beams, 8) },
            Line { kind: "right-points", value: row(right) },
            Line { kind: "left-points", value: row(left) },
            Line { kind: "right-girths", value: row(&antlers.girths[0]) },
            Line { kind: "left-girths", value: row(&antlers.girths[1]) },
        ];
        if !antlers.abnormal.is_zero() {
            lines.push(Line { kind: "abnormal", value: self.inches(antlers.abnormal, 8) });
        }
        lines
    }

    fn score(&self, score: &Score) -> ScoreView {
        let view = |kind, value| ScoreView { kind, value, gross: None };
        match score {
            Score::Turkey { total, several: false } => {
                view("turkey", self.desk.theme.amounts.measure(*total))
            }
            Score::Turkey { total, several: true } => {
                view("turkey-several", self.desk.theme.amounts.measure(*total))
            }
            Score::Antlers { gross, net } => {
                ScoreView { gross: Some(fraction(*gross, 8)), ..view("antlers", fraction(*net, 8)) }
            }
            Score::Skull { total } => view("skull", fraction(*total, 16)),
            Score::FishWeight { ounces } => view("fish", self.pounds(*ounces)),
        }
    }

    fn say(&self, unit: &str, gaps: &[(&str, String)]) -> String {
        let value = |name: &str| gaps.iter().find(|(known, _)| *known == name).map(|(_, text)| text.clone());
        self.desk.theme.words.say(&format!("measures.unit.{unit}"), None, &value).unwrap_or_default()
    }

    fn inches(&self, length: Decimal, parts: u32) -> String {
        let written = match (length * Decimal::from(parts)).is_integer() {
            true => fraction(length, parts),
            false => self.desk.theme.amounts.measure(length),
        };
        self.say("inches", &[("n", written)])
    }

    fn sides(&self, [right, left]: [Decimal; 2], parts: u32) -> String {
        let side = |length| self.inches(length, parts);
        self.say("sides", &[("right", side(right)), ("left", side(left))])
    }

    fn weight(&self, pounds: Decimal) -> String {
        match (pounds * Decimal::from(16)).normalize() {
            ounces if ounces.is_integer() => self.pounds(ounces.to_u32().unwrap_or(0)),
            _ => self.say("pounds", &[("lb", self.desk.theme.amounts.measure(pounds))]),
        }
    }

    fn pounds(&self, ounces: u32) -> String {
        let (lb, oz) = ((ounces / 16).to_string(), (ounces % 16).to_string());
        match ounces % 16 {
            0 => self.say("pounds", &[("lb", lb)]),
            _ => self.say("pounds-ounces", &[("lb", lb), ("oz", oz)]),
        }
    }
}

/// `11 3/16`, `17 4/8`: as the books write it, with the fraction unreduced.
fn fraction(length: Decimal, parts: u32) -> String {
    let whole = length.trunc();
    let part = (length - whole).abs() * Decimal::from(parts);
    match part.round().to_u32().unwrap_or(0) {
        0 => whole.normalize().to_string(),
        part if whole.is_zero() => format!("{part}/{parts}"),
        part => format!("{} {part}/{parts}", whole.normalize()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_stay_unreduced() {
        // The manual of the Boone and Crockett Club writes a bear's skull so: 29 12/16.
        assert_eq!(fraction("29.75".parse().unwrap(), 16), "29 12/16");
        assert_eq!(fraction("17.5".parse().unwrap(), 8), "17 4/8");
        assert_eq!(fraction("20".parse().unwrap(), 8), "20");
        assert_eq!(fraction("0.875".parse().unwrap(), 8), "7/8");
    }
}
