//! What gates are called on pages, on the board and on packing lists.

use super::theme::Theme;

/// What the theme calls a gate, else the owner's own word for it.
pub(super) fn of_one(theme: &Theme, gate: &str) -> String {
    let word = theme.words.say(&format!("gate.name.{gate}"), None, &|_| None);
    word.unwrap_or_else(|_| gate.replace('-', " "))
}

/// Several gates as a list: `a, b and c`.
pub(super) fn of_all(theme: &Theme, gates: &[String]) -> String {
    let names: Vec<String> = gates.iter().map(|gate| of_one(theme, gate)).collect();
    theme.list(&names)
}
