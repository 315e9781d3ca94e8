//! `pages/*.md`: the owner's own pages, their titles and the pictures that they show.
//!
//! What the Markdown becomes is `render`'s; here it is only looked through for what other rooms need.

use crate::base::names::{is_address_word, is_photo};
use crate::base::words::ticked;
use crate::model::{Page, Photo, Spoilt};
use crate::problem::{Code, Few, Problem, Severity, Source, Span};
use crate::read::disk::content::{self, Content};
use crate::read::disk::folder::{self, EntryKind, FolderEntry};
use crate::read::disk::text;
use crate::read::photo;
use pulldown_cmark::{Event, HeadingLevel, Parser, Tag, TagEnd};
use std::collections::BTreeSet;

/// Addresses that the site itself uses.
const TAKEN: [&str; 4] = ["showroom", "see", "index", "404"];

/// The keys of all pages in a folder, those that need mending included.
pub(in crate::read) fn keys(entries: &[FolderEntry]) -> BTreeSet<String> {
    entries
        .iter()
        .filter_map(|e| e.name.strip_suffix(".md"))
        .filter(|key| is_key(key))
        .map(str::to_owned)
        .collect()
}

fn is_key(key: &str) -> bool {
    is_address_word(key) && !TAKEN.contains(&key)
}

/// Reads every page.
pub(in crate::read) fn pages(
    content: &Content<'_>,
    entries: &[FolderEntry],
    problems: &mut Vec<Problem>,
) -> (Vec<Page>, Vec<Spoilt>) {
    let (mut pages, mut spoilt) = (Vec::new(), Vec::new());
    for entry in entries {
        let Some(key) = entry.name.strip_suffix(".md").filter(|_| !entry.is_folder()) else {
            let quiet = entry.is_file() && is_photo(&entry.name);
            if !quiet && (entry.is_file() || entry.is_folder()) {
                problems
                    .push(folder::unexpected(entry, "a page is a file such as `content/pages/prices.md`"));
            }
            continue;
        };
        if TAKEN.contains(&key) {
            let problem = Problem::new(Code::BadName, format!("a page cannot be called {}", ticked(key)));
            problems.push(folder::at(
                problem.hint("the site uses this address itself, so give it another name"),
                &entry.file,
            ));
        } else if !is_key(key) {
            problems.extend(content::bad_name(entry, key, ".md"));
        } else if let Some(page) = page(content, entries, entry, key, problems) {
            pages.push(page);
        } else if entry.kind != EntryKind::Gone {
            spoilt.push(Spoilt::Page(key.to_owned()));
        }
    }
    (pages, spoilt)
}

fn page(
    content: &Content<'_>,
    entries: &[FolderEntry],
    entry: &FolderEntry,
    key: &str,
    problems: &mut Vec<Problem>,
) -> Option<Page> {
    if !entry.is_file() || entry.twin.is_some() {
        return None;
    }
    let source = text::read(&entry.path, &entry.file).map_err(|problem| problems.push(problem)).ok()?;
    let Some((title, heading)) = first_heading(&source.text) else {
        let problem = Problem::new(Code::NoHeading, "the page has no heading to be named by");
        problems.push(problem.hint("begin it with a line such as `# Prices`").at(source.whole()));
        return None;
    };
    let pictures = pictures(content, entries, &source, problems);
    Some(Page { key: key.to_owned(), title, text: without(&source, &heading), pictures })
}

/// The first heading of the first level, as plain words, and where it stands.
pub(in crate::read) fn first_heading(text: &str) -> Option<(String, Span)> {
    let mut title: Option<(String, Span)> = None;
    for (event, span) in Parser::new(text).into_offset_iter() {
        match (event, &mut title) {
            (Event::Start(Tag::Heading { level: HeadingLevel::H1, .. }), None) => {
                title = Some((String::new(), span))
            }
            (Event::End(TagEnd::Heading(HeadingLevel::H1)), Some((words, _))) if !words.trim().is_empty() => {
                break;
            }
            (Event::End(TagEnd::Heading(HeadingLevel::H1)), Some(_)) => title = None,
            (Event::Text(words) | Event::Code(words), Some((title, _))) => title.push_str(&words),
            (Event::SoftBreak | Event::HardBreak, Some((title, _))) => title.push(' '),
            _ => {}
        }
    }
    title.map(|(words, span)| (words.split_whitespace().collect::<Vec<_>>().join(" "), span))
}

/// The text without its heading; the lines keep their numbers, so that messages point at the right one.
pub(in crate::read) fn without(source: &Source, heading: &Span) -> Source {
    let text = &source.text;
    let (before, after) =
        (text.get(..heading.start).unwrap_or_default(), text.get(heading.end..).unwrap_or_default());
    let gap = "\n".repeat(text.get(heading.clone()).unwrap_or_default().matches('\n').count());
    Source::new(source.file.clone(), format!("{before}{gap}{after}"))
}

/// The pictures of the folder that the text shows, each once, by the name that it uses.
fn pictures(
    content: &Content<'_>,
    entries: &[FolderEntry],
    source: &Source,
    problems: &mut Vec<Problem>,
) -> Vec<(String, Photo)> {
    let mut seen = BTreeSet::new();
    let mut pictures = Vec::new();
    let mut missing = Few::default();
    for (event, span) in Parser::new(&source.text).into_offset_iter() {
        let Event::Start(Tag::Image { dest_url, .. }) = event else { continue };
        // What leads elsewhere is for whoever makes addresses harmless.
        let elsewhere = dest_url.contains(':') || dest_url.starts_with("//") || dest_url.starts_with('#');
        if elsewhere || !seen.insert(dest_url.to_string()) {
            continue;
        }
        let name = percent_decoded(&dest_url);
        let entry = entries.iter().find(|e| e.name == name && e.is_file() && is_photo(&e.name));
        match entry.map(|entry| photo::photo(content.look, entry, None, true, problems)) {
            Some(Ok(photo)) => pictures.push((dest_url.to_string(), photo)),
            Some(Err(problem)) => problems.push(problem),
            None => missing.push_with(Code::MissingPicture, Severity::Mend, || {
                no_picture(&name, entries).at(source.place(&span))
            }),
        }
    }
    problems.extend(missing.into_problems());
    pictures
}

fn no_picture(name: &str, entries: &[FolderEntry]) -> Problem {
    let problem = Problem::new(Code::MissingPicture, format!("there is no picture {}", ticked(name)));
    let names = entries.iter().filter(|e| is_photo(&e.name)).map(|e| e.name.as_str());
    let problem = problem.did_you_mean(name, names);
    let near = problem.hint.clone().filter(|hint| hint.starts_with("did you mean"));
    problem.hint(near.unwrap_or_else(|| "put it into `content/pages/`, beside the page".to_owned()))
}

/// `eyes%20set.jpg` as `eyes set.jpg` (RFC 3986, section 2.1); what is no escape stays as it is.
pub(in crate::read) fn percent_decoded(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut plain = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while let Some(&byte) = bytes.get(at) {
        let hex =
            bytes.get(at + 1..at + 3).filter(|pair| byte == b'%' && pair.iter().all(u8::is_ascii_hexdigit));
        let value = hex.and_then(|pair| u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok());
        plain.push(value.unwrap_or(byte));
        at += if value.is_some() { 3 } else { 1 };
    }
    String::from_utf8(plain).unwrap_or_else(|_| text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_title_is_the_first_heading_of_the_first_level() {
        for (text, want) in [
            ("# Prices\n\nText", Some("Prices")),
            ("Hello\n\n## Small\n\n# *Big* `one` #\n", Some("Big one")),
            ("Prices\n======\n", Some("Prices")),
            ("```\n# no\n```\n# yes\n", Some("yes")),
            ("#\n\n# second\n", Some("second")),
            ("#hashtag\n", None),
            ("## Only small\n", None),
            ("", None),
        ] {
            assert_eq!(first_heading(text).map(|(title, _)| title).as_deref(), want, "{text:?}");
        }
    }

    #[test]
    fn lines_keep_their_numbers_without_the_heading() {
        let source = Source::new("content/pages/a.md", "intro\n\n# Title\n\nbody\n");
        let (_, span) = first_heading(&source.text).unwrap();
        assert_eq!(&*without(&source, &span).text, "intro\n\n\n\nbody\n");
    }

    #[test]
    fn escapes_in_names() {
        assert_eq!(percent_decoded("eyes%20set%C3%A9.jpg"), "eyes seté.jpg");
        for odd in ["100%.jpg", "%zz", "%", "%e", "a%ffb", "%+1"] {
            assert_eq!(percent_decoded(odd), odd);
        }
    }
}
