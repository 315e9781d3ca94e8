//! The theme: templates, style and words, built into the program and overridden file by file
//! from the shop's `themes/hangtag/`.
//!
//! What templates are given is `render::view`'s; what they can call is in `functions`.

mod check;
mod files;
mod fill;
mod functions;
mod trouble;
mod words;

use super::amounts::Amounts;
use super::dates::Dates;
use crate::base::digest::Digest;
use crate::base::words::count;
use crate::problem::{Code, Location, Problem, Problems, Severity, Source};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use tera::{Context, Tera};

pub use fill::fill;
pub use functions::percent;
pub use words::Words;

/// The style sheet of all pages but the one for missing addresses, in parts: one for each concern.
const LOOK: [&str; 3] = ["look.css", "drawings.css", "showing.css"];
/// The style of the page for missing addresses, which stands alone.
const MISSING_LOOK: &str = "missing.css";
/// The style of the owner's board, and what it does where scripts run.
const BOARD_LOOK: &str = "board.css";
const BOARD_SCRIPT: &str = "board.js";
/// What opens a sealed page.
const SEALED_SCRIPT: &str = "sealed.js";
const WORDS: &str = "words.toml";

/// A theme that has been read and whose templates are well-formed.
#[derive(Debug)]
pub struct Theme {
    tera: Tera,
    /// Every file of the theme, for pointing into.
    sources: BTreeMap<String, Source>,
    /// Differs whenever any file of the theme does.
    mark: Digest,
    pub words: Arc<Words>,
    pub dates: Dates,
    pub amounts: Amounts,
}

/// The built-in theme with what the shop puts in the place of its files.
/// A file that takes the place of none is noted; what does not work stops the pass.
pub fn load(shop_root: &Path) -> Result<(Theme, Problems), Problems> {
    let (sources, mut notes) = files::gather(shop_root)?;
    let (theme, more) = Theme::of(sources)?;
    notes.extend(more);
    Ok((theme, notes))
}

/// What a shop's own words lack, as they may be older than the program: those that are built in stand there.
fn lent_words(lent: &[String]) -> Option<Problem> {
    let first = lent.first()?;
    let message = match lent.len() {
        1 => format!("`{first}` is not in this file, so the built-in words stand there"),
        n => format!(
            "`{first}` and {} are not in this file, so the built-in words stand there",
            count(n - 1, "more key")
        ),
    };
    let problem = Problem::new(Code::Theme, message).with_severity(Severity::Note);
    let hint = "the program is newer than this file: copy the lines from its own words.toml and put them into your words";
    Some(problem.at(Location::file(files::named(WORDS))).hint(hint))
}

impl Theme {
    /// A theme of the given files, and notes on its words: what no count takes, and what is taken from those built in.
    fn of(sources: BTreeMap<String, Source>) -> Result<(Theme, Vec<Problem>), Problems> {
        let words_source =
            sources.get(WORDS).cloned().unwrap_or_else(|| Source::new(files::named(WORDS), ""));
        let mut words = Words::read(words_source)?;
        let mut notes = words.take_notes();
        notes.extend(lent_words(&words.fill_up(Words::read(files::built_in_one(WORDS))?)));
        let words = Arc::new(words);
        let dates = Dates::read(&words)?;
        let amounts = Amounts::read(&words)?;
        let missing = check::missing_words(&sources, &words);
        if !missing.is_empty() {
            return Err(missing);
        }
        let mut tera = Tera::new();
        functions::register(&mut tera, &words);
        let templates = sources.iter().filter(|(name, _)| name.ends_with(".html"));
        let templates: Vec<(&String, &str)> = templates.map(|(name, s)| (name, &*s.text)).collect();
        if let Err(error) = tera.add_raw_templates(templates.iter().copied()) {
            return Err(trouble::all_of(&error, &templates, &sources));
        }
        let texts: Vec<(&String, &str)> =
            sources.iter().map(|(name, source)| (name, &*source.text)).collect();
        let mark = Digest::of_value(&texts);
        Ok((Theme { tera, mark, sources, words, dates, amounts }, notes))
    }

    /// A page: the template filled with a view.
    pub fn render(&self, template: &str, view: &impl Serialize) -> Result<String, Problems> {
        let told = |e| Problems::from_iter([trouble::told(&e, &self.sources)]);
        let context = Context::from_serialize(view).map_err(told)?;
        self.tera.render(template, &context).map_err(told)
    }

    /// Differs whenever any file of the theme does.
    pub fn mark(&self) -> Digest {
        self.mark
    }

    /// The style sheet, put together from its parts.
    pub fn look(&self) -> String {
        LOOK.map(|part| self.text(part)).join("\n")
    }

    /// The style of the page that stands alone.
    pub fn missing_look(&self) -> &str {
        self.text(MISSING_LOOK)
    }

    /// The board's own style.
    pub fn board_look(&self) -> &str {
        self.text(BOARD_LOOK)
    }

    /// What the board does by itself where scripts run: finding.
    pub fn board_script(&self) -> &str {
        self.text(BOARD_SCRIPT)
    }

    /// What opens a sealed page in its reader's browser.
    pub fn sealed_script(&self) -> &str {
        self.text(SEALED_SCRIPT)
    }

    /// A file of the theme as it stands.
    pub fn text(&self, name: &str) -> &str {
        self.sources.get(name).map_or("", |source| &source.text)
    }

    /// `a, b and c`, in the theme's words.
    pub fn list(&self, items: &[String]) -> String {
        let joined = |key: &str, a: &str, b: &str| {
            let value = |name: &str| match name {
                "a" => Some(a.to_owned()),
                "b" => Some(b.to_owned()),
                _ => None,
            };
            self.words.say(key, None, &value).unwrap_or_else(|_| format!("{a}, {b}"))
        };
        match items {
            [] => String::new(),
            [only] => only.clone(),
            [first, middle @ .., last] => {
                let head = middle.iter().fold(first.clone(), |all, next| joined("list.more", &all, next));
                joined("list.last", &head, last)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shop_with(files: &[(&str, &str)]) -> tempfile::TempDir {
        let root = tempfile::tempdir().unwrap();
        for (name, text) in files {
            let path = root.path().join("themes/hangtag").join(name);
            crate::base::files::create_new(&path, text.as_bytes()).unwrap();
        }
        root
    }

    fn stop_of(files: &[(&str, &str)]) -> Problem {
        let root = shop_with(files);
        let problems = load(root.path()).map(|_| ()).unwrap_err();
        problems.into_iter().next().unwrap()
    }

    #[test]
    fn the_built_in_theme_is_well_formed() {
        let root = tempfile::tempdir().unwrap();
        let (theme, notes) = load(root.path()).unwrap();
        assert!(notes.is_empty(), "{notes:?}");
        assert!(theme.look().contains("prefers-color-scheme"));
        let items: Vec<String> = ["a", "b", "c"].map(String::from).to_vec();
        assert_eq!(theme.list(&items), "a, b and c");
    }

    #[test]
    fn every_word_is_asked_for_by_something() {
        let root = tempfile::tempdir().unwrap();
        let (theme, _) = load(root.path()).unwrap();
        let templates = theme.sources.iter().filter(|(name, _)| name.ends_with(".html"));
        let all: String = templates.map(|(_, source)| source.text.as_ref()).collect();
        // Looked up by `dates`, `amounts`, `list`, several views and the pages for paper.
        let by_code = [
            "date.",
            "amount.",
            "list.",
            "gate.name.",
            "on-tag.",
            "draft.",
            "calendar.",
            "news.",
            "measures.unit.",
            "parcel.head.",
            "parcel.why.",
            "register.head.",
            "register.field.",
        ];
        let idle = theme.words.keys().filter(|key| {
            let whole = all.contains(&format!("\"{key}\""));
            let put_together =
                key.match_indices('.').any(|(dot, _)| all.contains(&format!("\"{}\" ~", &key[..=dot])));
            !whole && !put_together && !by_code.iter().any(|known| key.starts_with(known))
        });
        // `say(key=part ~ ".heading")` and its like would hide words from this test; none is used.
        assert_eq!(idle.collect::<Vec<_>>(), [""; 0]);
    }

    #[test]
    fn a_shops_file_takes_the_place_of_a_built_in_one() {
        let root = shop_with(&[("look.css", "body { color: red }")]);
        let (theme, _) = load(root.path()).unwrap();
        assert!(theme.look().starts_with("body { color: red }\n"));
    }

    #[test]
    fn a_file_that_takes_the_place_of_none_is_noted_with_the_nearest() {
        let root = shop_with(&[("lok.css", ""), (".DS_Store", "x")]);
        let (_, notes) = load(root.path()).unwrap();
        let notes: Vec<_> = notes.into_iter().collect();
        assert_eq!(notes.len(), 1);
        assert_eq!((notes[0].code, notes[0].severity), (Code::UnknownThemeFile, Severity::Note));
        assert_eq!(notes[0].hint.as_deref(), Some("did you mean `look.css`?"));
    }

    #[test]
    fn a_template_that_is_not_well_formed_stops_with_file_and_line() {
        let problem = stop_of(&[("page.html", "<p>\n{% if %}x{% endif %}\n")]);
        assert_eq!(problem.severity, Severity::Stop);
        assert!(problem.place.unwrap().short().starts_with("themes/hangtag/page.html:2:"));
    }

    #[test]
    fn templates_that_lead_back_to_themselves_are_named_with_the_line() {
        let told = |files: &[(&str, &str)]| {
            let problem = stop_of(files);
            assert_eq!((problem.code, problem.severity), (Code::Theme, Severity::Stop));
            assert!(problem.hint.is_some(), "{}", problem.message);
            (problem.place.unwrap().short(), problem.message)
        };
        let (place, message) = told(&[("page.html", "<p>\n{% include \"page.html\" %}")]);
        assert_eq!(place, "themes/hangtag/page.html:2:12");
        assert_eq!(message, "`page.html` includes itself");
        let (place, message) = told(&[
            ("page.html", "{% include 'pose.html' %}"),
            ("pose.html", "\n\n<b>{% include 'page.html' %}</b>"),
        ]);
        assert_eq!(place, "themes/hangtag/page.html:1:12");
        assert_eq!(message, "`page.html` includes `pose.html`, which includes `page.html`: that is a circle");
        // Only the frame is the shop's own: the line is there, though the other closes the circle.
        let (place, message) = told(&[("frame.html", "{% extends \"page.html\" %}")]);
        assert!(message.contains("`frame.html`") && message.contains("`page.html`"), "{message}");
        assert_eq!(place, "themes/hangtag/frame.html:1:12");
        assert_eq!(told(&[("page.html", "{% extends \"page.html\" %}")]).1, "`page.html` extends itself");
    }

    #[test]
    fn a_template_that_builds_on_none_is_told_with_the_nearest() {
        let problem = stop_of(&[("page.html", "{% extends \"frme.html\" %}")]);
        assert_eq!(problem.place.unwrap().short(), "themes/hangtag/page.html:1:12");
        assert_eq!(problem.hint.as_deref(), Some("did you mean `frame.html`?"));
    }

    #[test]
    fn a_circle_of_an_include_and_an_extend_does_not_run_for_ever() {
        let root =
            shop_with(&[("frame.html", "<p>{% include \"page.html\" %}{% block main %}{% endblock main %}")]);
        if let Ok((theme, _)) = load(root.path()) {
            assert!(theme.render("page.html", &BTreeMap::from([("a", 1)])).is_err());
        }
    }

    #[test]
    fn a_word_that_is_not_there_stops_with_the_templates_line() {
        let problem = stop_of(&[("page.html", "<p>\n\n{{ say(key=\"money.deu\") }}")]);
        assert!(problem.place.unwrap().short().starts_with("themes/hangtag/page.html:3:"));
        assert!(problem.message.contains("`money.deu`"), "{}", problem.message);
    }

    #[test]
    fn words_that_are_newer_than_the_shops_own_are_lent_and_noted() {
        let own = files::built_in_one(WORDS)
            .text
            .replace("heading = \"There’s no page here\"\n", "")
            .replace("months-short", "moons");
        let root = shop_with(&[(WORDS, &own)]);
        let (theme, notes) = load(root.path()).unwrap();
        assert_eq!(theme.words.plain("missing.heading").unwrap(), "There’s no page here");
        let notes: Vec<_> = notes.into_iter().collect();
        assert_eq!((notes.len(), notes[0].severity), (1, Severity::Note), "{notes:?}");
        assert!(notes[0].message.starts_with("`missing.heading` and 1 more key are"), "{}", notes[0].message);
    }

    #[test]
    fn a_mistake_found_while_rendering_has_its_line_too() {
        let root = shop_with(&[("page.html", "<p>\n{{ say(key=\"money.\" ~ \"x\") }}")]);
        let (theme, _) = load(root.path()).unwrap();
        let problems = theme.render("page.html", &BTreeMap::from([("a", 1)])).unwrap_err();
        let problem = problems.into_iter().next().unwrap();
        assert_eq!(problem.code, Code::Theme);
        assert!(problem.place.unwrap().short().starts_with("themes/hangtag/page.html:2:"));
        assert!(problem.message.contains("`money.x`"), "{}", problem.message);
    }

    #[test]
    fn a_theme_file_that_is_not_text_stops() {
        let root = tempfile::tempdir().unwrap();
        let path = root.path().join("themes/hangtag/look.css");
        crate::base::files::create_new(&path, b"\xff\xfe").unwrap();
        let problems = load(root.path()).map(|_| ()).unwrap_err();
        assert_eq!(problems.worst(), Some(Severity::Stop));
    }
}
