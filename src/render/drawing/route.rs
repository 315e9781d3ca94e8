//! A route as a string with a tag for each step: branches part and meet again.
//!
//! Units are about as large as a pixel where the drawing is as narrow as it gets, on a screen that
//! is 320 pixels wide.

use super::labels::{letters, wrapped};
use super::layers::Layers;
use serde::Serialize;

/// A route, drawn.
#[derive(Debug, Serialize)]
pub struct RouteDrawing {
    pub wide: u32,
    pub high: u32,
    /// The most branches that run side by side.
    pub branches: usize,
    pub strings: Vec<StringDrawing>,
    pub tags: Vec<TagDrawing>,
}

/// The string between two tags.
#[derive(Debug, Serialize)]
pub struct StringDrawing {
    /// Places of its two steps in the route.
    pub from: usize,
    pub to: usize,
    /// The state of the step that it leads to.
    pub state: &'static str,
    /// A path in the notation of SVG 2, chapter 9.
    pub path: String,
}

/// The tag of a step.
#[derive(Debug, Serialize)]
pub struct TagDrawing {
    pub state: &'static str,
    pub left: u32,
    pub top: u32,
    pub wide: u32,
    pub high: u32,
    /// The middle, where the hole is.
    pub middle: u32,
    pub lines: Vec<LineDrawing>,
}

/// A line of a tag's text.
#[derive(Debug, Serialize)]
pub struct LineDrawing {
    pub text: String,
    /// The height of its base line.
    pub base: u32,
    /// Whether it says how the step stands, not which one it is.
    pub says: bool,
    /// The width that it is pressed into, where it would be too wide.
    pub pressed: Option<u32>,
}

/// A step as it is to be drawn.
#[derive(Clone, Debug)]
pub struct StepLabel {
    pub state: &'static str,
    pub name: String,
    /// How it stands, in a few words; none where nothing is to be told.
    pub says: Option<String>,
}

/// The narrowest that a card is inside.
const WIDE: u32 = 240;
/// The width of a slot where several stand side by side.
const SLOT: u32 = 120;
/// Between a tag and the end of its slot.
const BESIDE: u32 = 5;
/// Between text and the edge of its tag.
const INSIDE: u32 = 7;
/// Between rows, where strings change sides.
const BETWEEN: u32 = 26;
/// From a tag's upper edge to its text: room for the hole.
const ABOVE: u32 = 18;
const BELOW: u32 = 8;
const LINE: u32 = 17;
/// Width of a letter in tenths, as wide typefaces have them: of the name, and of what is said.
const LETTER: [u32; 2] = [95, 78];

impl RouteDrawing {
    /// The drawing of a route; `after` names for each step the steps that it needs.
    pub fn of(after: &[Vec<usize>], labels: &[StepLabel]) -> RouteDrawing {
        let layers = Layers::of(after);
        let branches = layers.widest();
        let wide = WIDE.max(SLOT * small(branches));
        let middle = |row: usize, column: usize| {
            let (slot, of) = layers.slot(row, column);
            wide * (2 * small(slot) + 1) / (2 * small(of))
        };
        // The tag of each step as if its row began at the top.
        let mut tags: Vec<(usize, TagDrawing)> = Vec::with_capacity(labels.len());
        for ((row, column), label) in layers.steps.iter().zip(labels) {
            let slots = small(layers.slot(*row, *column).1);
            let room = (wide / slots - 2 * BESIDE).min(WIDE - 40);
            tags.push((*row, tag(label, middle(*row, *column), room)));
        }
        let mut tops = Vec::with_capacity(layers.rows.len() + 1);
        let mut top = 1;
        for row in 0..layers.rows.len() {
            tops.push((top, top + row_high(&tags, row)));
            top += row_high(&tags, row) + BETWEEN;
        }
        for (row, tag) in &mut tags {
            lower(tag, tops.get(*row).map_or(0, |(top, _)| *top));
        }
        let tags: Vec<TagDrawing> = tags.into_iter().map(|(_, tag)| tag).collect();
        let strings = layers.strings.iter().filter_map(|(from, to, column)| {
            let (upper, lower) = (tags.get(*from)?, tags.get(*to)?);
            let (first, last) = (layers.steps.get(*from)?.0, layers.steps.get(*to)?.0);
            let rows = (first + 1..last).filter_map(|row| Some((middle(row, *column), *tops.get(row)?)));
            // It leaves its row where the highest tag ends, so that it passes beside the others.
            let path = path(upper, tops.get(first)?.1, rows, lower);
            Some(StringDrawing { from: *from, to: *to, state: lower.state, path })
        });
        let strings = strings.collect();
        let high = top.saturating_sub(BETWEEN) + 1;
        RouteDrawing { wide, high, branches, strings, tags }
    }
}

/// Counts of steps are small; one that is not is drawn wrong and hurts nobody.
fn small(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX / 1024)
}

fn row_high(tags: &[(usize, TagDrawing)], row: usize) -> u32 {
    tags.iter().filter(|(own, _)| *own == row).map(|(_, tag)| tag.high).max().unwrap_or_default()
}

/// A tag at the top of the drawing.
fn tag(label: &StepLabel, middle: u32, room: u32) -> TagDrawing {
    let inner = room - 2 * INSIDE;
    let mut lines = Vec::new();
    let texts = [(label.name.as_str(), false), (label.says.as_deref().unwrap_or_default(), true)];
    let mut widest = 0;
    for (text, says) in texts {
        let letter = LETTER[usize::from(says)];
        for text in wrapped(text, (inner * 10 / letter) as usize) {
            let needs = small(letters(&text)) * letter / 10;
            widest = widest.max(needs.min(inner));
            let base = ABOVE + LINE * small(lines.len()) + 13;
            lines.push(LineDrawing { text, base, says, pressed: (needs > inner).then_some(inner) });
        }
    }
    // No wider than its text, but wide enough to be a tag.
    let wide = (widest + 2 * INSIDE + 8).clamp(72.min(room), room);
    let high = ABOVE + LINE * small(lines.len()) + BELOW;
    TagDrawing { state: label.state, left: middle - wide / 2, top: 0, wide, high, middle, lines }
}

fn lower(tag: &mut TagDrawing, by: u32) {
    tag.top += by;
    for line in &mut tag.lines {
        line.base += by;
    }
}

/// From the lower edge of a tag to the hole of another, straight through the rows between.
fn path(
    upper: &TagDrawing,
    row_ends: u32,
    rows: impl Iterator<Item = (u32, (u32, u32))>,
    lower: &TagDrawing,
) -> String {
    let mut path = format!("M{} {}V{row_ends}", upper.middle, upper.top + upper.high);
    let mut at = (upper.middle, row_ends);
    for (x, (top, bottom)) in rows {
        path.push_str(&bend(at, (x, top)));
        path.push_str(&format!("V{bottom}"));
        at = (x, bottom);
    }
    path.push_str(&bend(at, (lower.middle, lower.top)));
    path.push_str("v7");
    path
}

/// A soft bend from one place to a lower one.
fn bend((x, y): (u32, u32), (to_x, to_y): (u32, u32)) -> String {
    if x == to_x {
        return format!("V{to_y}");
    }
    let half = y + to_y.saturating_sub(y) / 2;
    format!("C{x} {half} {to_x} {half} {to_x} {to_y}")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Places on a path of M, V, C and v, close together.
    fn places(path: &str) -> Vec<(f64, f64)> {
        let mut out = Vec::new();
        let mut at = (0.0, 0.0);
        let mut rest = path;
        while let Some(order) = rest.chars().next() {
            let end = rest[1..].find(|c: char| c.is_ascii_alphabetic()).map_or(rest.len(), |e| e + 1);
            let numbers: Vec<f64> = rest[1..end].split_whitespace().map(|n| n.parse().unwrap()).collect();
            let from = at;
            at = match (order, numbers.as_slice()) {
                ('M', [x, y]) | ('C', [.., x, y]) => (*x, *y),
                ('V', [y]) => (at.0, *y),
                ('v', [by]) => (at.0, at.1 + by),
                other => panic!("{other:?}"),
            };
            let controls =
                if order == 'C' { [(numbers[0], numbers[1]), (numbers[2], numbers[3])] } else { [from, at] };
            for part in 0..=40 {
                let t = f64::from(part) / 40.0;
                let mix = |a: f64, b: f64, c: f64, d: f64| {
                    let u = 1.0 - t;
                    u * u * u * a + 3.0 * u * u * t * b + 3.0 * u * t * t * c + t * t * t * d
                };
                let [one, two] = controls;
                if order != 'M' {
                    out.push((mix(from.0, one.0, two.0, at.0), mix(from.1, one.1, two.1, at.1)));
                }
            }
            rest = &rest[end..];
        }
        out
    }

    fn apart(a: &TagDrawing, b: &TagDrawing) -> bool {
        let beside = a.left + a.wide <= b.left || b.left + b.wide <= a.left;
        beside || a.top + a.high <= b.top || b.top + b.high <= a.top
    }

    /// All that makes a drawing readable; `after` is the route.
    fn is_clear(after: &[Vec<usize>], drawing: &RouteDrawing) {
        let told = format!("{after:?}");
        let edges: usize = after.iter().map(Vec::len).sum();
        assert_eq!((drawing.tags.len(), drawing.strings.len()), (after.len(), edges), "{told}");
        for (at, tag) in drawing.tags.iter().enumerate() {
            assert!(tag.left + tag.wide <= drawing.wide && tag.top + tag.high <= drawing.high, "{told}");
            assert!(drawing.tags[..at].iter().all(|other| apart(tag, other)), "{told}: tag {at}");
            let lines = tag.lines.iter().map(|line| line.base);
            assert!(lines.clone().all(|base| base > tag.top + ABOVE && base + 4 < tag.top + tag.high));
            assert!(lines.clone().zip(lines.skip(1)).all(|(one, next)| next - one >= LINE), "{told}");
        }
        for string in &drawing.strings {
            assert!(after[string.to].contains(&string.from), "{told}: {string:?} is no edge");
            let places = places(&string.path);
            let (from, to) = (&drawing.tags[string.from], &drawing.tags[string.to]);
            let ends = (places[0], places[places.len() - 1]);
            assert_eq!(ends.0, (from.middle.into(), (from.top + from.high).into()), "{told}");
            assert_eq!(ends.1, (to.middle.into(), (to.top + 7).into()), "{told}");
            for (at, tag) in drawing.tags.iter().enumerate() {
                let own = at == string.from || at == string.to;
                let within = |(x, y): &(f64, f64)| {
                    let [left, top, wide, high] = [tag.left, tag.top, tag.wide, tag.high].map(f64::from);
                    *x > left && *x < left + wide && *y > top && *y < top + high
                };
                assert!(own || !places.iter().any(within), "{told}: {string:?} runs over tag {at}");
            }
        }
    }

    fn labels(count: usize) -> Vec<StepLabel> {
        let names = ["Dried", "Skull cleaned", "Antlers set in place", "Unpronounceablewordhere", "Set"];
        let says = [None, Some("done September 28, 2026".to_owned()), Some("going on".to_owned())];
        let label = |at: usize| StepLabel {
            state: "ahead",
            name: names[at % names.len()].to_owned(),
            says: says[at % says.len()].clone(),
        };
        (0..count).map(label).collect()
    }

    #[test]
    fn every_edge_is_drawn_and_no_string_runs_over_a_label() {
        // Two hundred routes that nobody thought of: a plain congruential generator (Knuth, volume 2, 3.3.4).
        let mut seed = 20_260_615_u64;
        let mut next = |below: usize| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as usize % below
        };
        for _ in 0..200 {
            let steps = 1 + next(14);
            let after: Vec<Vec<usize>> = (0..steps)
                .map(|step| {
                    (0..step).filter(|other| next(3) == 0 || *other + 1 == step && next(4) > 0).collect()
                })
                .collect();
            is_clear(&after, &RouteDrawing::of(&after, &labels(steps)));
        }
    }

    #[test]
    fn a_long_word_is_pressed_into_its_tag() {
        let drawing = RouteDrawing::of(&[vec![], vec![0], vec![0]], &labels(5)[2..]);
        let pressed = drawing.tags[1].lines.iter().find_map(|line| line.pressed);
        assert_eq!(pressed, Some(SLOT - 2 * BESIDE - 2 * INSIDE));
        assert_eq!(RouteDrawing::of(&[], &[]).strings.len(), 0);
    }
}
