//! Contrast of the theme's colors, computed from the style sheets.
//!
//! WCAG 2.2: relative luminance and contrast ratio as defined there; 1.4.3 asks 4.5 to 1 of text, 1.4.11
//! asks 3 to 1 of what has to be seen besides text.

use std::collections::BTreeMap;
use std::fs;

fn theme(name: &str) -> String {
    fs::read_to_string(format!("{}/themes/hangtag/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

type Colors = BTreeMap<String, [f64; 3]>;

/// The named colors of a block, those that are plain.
fn colors(block: &str) -> Colors {
    let each = block.split(';').filter_map(|line| line.split_once(':'));
    let each = each
        .filter_map(|(name, value)| Some((name.trim().strip_prefix("--")?.to_owned(), hex(value.trim())?)));
    each.collect()
}

fn hex(value: &str) -> Option<[f64; 3]> {
    let digits = value.strip_prefix('#')?;
    let long: String = match digits.len() {
        3 => digits.chars().flat_map(|c| [c, c]).collect(),
        _ => digits.to_owned(),
    };
    let part = |at: usize| u8::from_str_radix(long.get(at..at + 2)?, 16).ok().map(|n| f64::from(n) / 255.0);
    Some([part(0)?, part(2)?, part(4)?])
}

/// By day, and by night where a color that has no night of its own stays.
fn both() -> [(&'static str, Colors); 2] {
    let css = theme("look.css");
    let blocks: Vec<&str> = css.split(":root {").skip(1).filter_map(|rest| rest.split('}').next()).collect();
    let day = colors(blocks[0]);
    let mut night = day.clone();
    night.extend(colors(blocks[1]));
    assert!(css.split(":root {").nth(1).unwrap().contains("prefers-color-scheme: dark"));
    [("day", day), ("night", night)]
}

/// WCAG 2.2, "relative luminance".
fn luminance([red, green, blue]: [f64; 3]) -> f64 {
    let linear = |c: f64| if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) };
    0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue)
}

/// WCAG 2.2, "contrast ratio".
fn contrast(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Text and what it stands on.
const TEXT: [(&str, &str); 19] = [
    ("ink", "bench"),
    ("ink", "glow"),
    ("ink", "card"),
    ("ink", "tag"),
    ("ink", "ask"),
    ("soft", "bench"),
    ("soft", "glow"),
    ("soft", "card"),
    ("soft", "ask"),
    ("link", "bench"),
    ("link", "glow"),
    ("link", "card"),
    ("link", "ask"),
    ("stamp", "tag"),
    ("stamp", "card"),
    ("stamp", "ask"),
    ("ready", "tag"),
    ("tick", "tape"),
    ("card", "ink"),
];

/// What has to be seen besides text, and what it lies on.
const DRAWN: [(&str, &str); 9] = [
    ("soft", "card"),
    ("ink", "tag"),
    ("tick", "tape"),
    ("ink", "card"),
    ("stamp", "card"),
    ("ring", "card"),
    ("tag-edge", "card"),
    ("ink", "lamp"),
    ("stamp", "ask"),
];

#[test]
fn the_formula_gives_what_is_published() {
    // WCAG 2.2, "contrast ratio": from 1 to 21. Technique G18's example: #777 on white is 4.47 (from memory 4.48).
    assert!((contrast([0.0; 3], [1.0; 3]) - 21.0).abs() < 1e-9);
    assert!((contrast(hex("#777777").unwrap(), [1.0; 3]) - 4.48).abs() < 0.01);
}

#[test]
fn text_has_at_least_four_and_a_half_to_one() {
    for (when, colors) in both() {
        for (text, ground) in TEXT {
            let ratio = contrast(colors[text], colors[ground]);
            assert!(ratio >= 4.5, "by {when}: {text} on {ground} is {ratio:.2} to 1");
        }
    }
}

#[test]
fn what_is_drawn_has_at_least_three_to_one() {
    for (when, colors) in both() {
        // The ink of what is going on is the day's, on the lamp's yellow, at any hour.
        let fixed = hex("#1c2530").unwrap();
        for (line, ground) in DRAWN {
            let line = if ground == "lamp" { fixed } else { colors[line] };
            let ratio = contrast(line, colors[ground]);
            assert!(ratio >= 3.0, "by {when}: a line on {ground} is {ratio:.2} to 1");
        }
    }
}

#[test]
fn the_readme_tells_the_worst_of_them() {
    let readme = theme("README.md");
    for (when, colors) in both() {
        let worst =
            TEXT.iter().map(|(text, ground)| (contrast(colors[*text], colors[*ground]), *text, *ground));
        let (ratio, text, ground) = worst.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
        let told = format!("{ratio:.1} to 1 ({text} on {ground}");
        assert!(readme.contains(&told), "README.md does not say `{told}` of the {when}");
    }
}
