//! Words that templates ask for by a plain key are looked up when the theme is read, so that a
//! missing one is told before the first page is made.

use super::words::Words;
use crate::base::words::ticked;
use crate::problem::{Code, Few, Problem, Problems, Severity, Source};
use std::collections::BTreeMap;

/// A problem for each plain key in a template that `words.toml` does not have.
pub fn missing_words(sources: &BTreeMap<String, Source>, words: &Words) -> Problems {
    let templates = sources.iter().filter(|(name, _)| name.ends_with(".html"));
    let missing = templates.flat_map(|(_, source)| {
        let mut few = Few::default();
        for (at, key) in plain_keys(&source.text).into_iter().filter(|(_, key)| !words.has(key)) {
            few.push_with(Code::Theme, Severity::Stop, || {
                let problem = Problem::new(Code::Theme, format!("words.toml has no {}", ticked(key)));
                problem.did_you_mean(key, words.keys()).at(source.place(&(at..at + key.len())))
            });
        }
        few.into_problems()
    });
    missing.collect()
}

/// The keys that stand whole between quotes in `say(key="…"`, with their places.
fn plain_keys(template: &str) -> Vec<(usize, &str)> {
    const OPENING: &str = "say(key=\"";
    let starts = template.match_indices(OPENING).map(|(at, _)| at + OPENING.len());
    let keys = starts.filter_map(|start| {
        let (key, behind) = template.get(start..)?.split_once('"')?;
        behind.trim_start().starts_with([',', ')']).then_some((start, key))
    });
    keys.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_that_are_put_together_are_left_for_rendering() {
        let keys = plain_keys("{{ say(key=\"a.b\") }}{{ say(key=\"c.\" ~ d) }}{{ say(key=\"e\", n=1) }}");
        assert_eq!(keys.iter().map(|(_, k)| *k).collect::<Vec<_>>(), ["a.b", "e"]);
    }
}
