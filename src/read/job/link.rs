//! The `link`, `sealed` and `draw` of a job that cannot be made, as far as they can still be read out of its damaged file.
//!
//! A job's last good page stays while its file needs mending. If the owner raised `link` meanwhile, or wants the page
//! sealed, that page stands at an address that was taken back, and whoever writes the site must know. So this is
//! forgiving: a line that says `link = 2` counts wherever it stands and whatever is wrong around it. What is said of
//! `sealed` and is not plainly `false` counts as `true`: better no page for a while than one that is not sealed. Without the
//! whole word under `draw` the address cannot be known.

use crate::base::drawn::Drawn;
use crate::base::files;
use crate::base::private::Private;
use crate::model::PageLink;
use crate::problem::nearest;
use crate::read::disk::content::Content;
use crate::read::disk::folder::FolderEntry;
use std::path::Path;

/// As large a file as `text` reads.
const LIMIT: u64 = 1 << 20;

/// The largest link that a job can have.
const MOST: u32 = 9999;

/// Of several that one of may be meant: an address that one of them retired is not brought back, nor a page
/// that one of them wants sealed.
pub(in crate::read) fn strictest(links: impl Iterator<Item = Option<PageLink>>) -> Option<PageLink> {
    let known: Vec<PageLink> = links.flatten().collect();
    let draw = known.first()?.draw;
    // With two words there are two addresses, and nobody knows which is meant.
    let one_word = known.iter().all(|one| one.draw == draw);
    known.into_iter().filter(|_| one_word).reduce(|one, other| PageLink {
        link: one.link.max(other.link),
        sealed: one.sealed.max(other.sealed),
        draw,
    })
}

/// The link of the job in a folder; none if it cannot be known.
pub(in crate::read) fn of_folder(content: &Content<'_>, folder: &FolderEntry) -> Option<PageLink> {
    if !folder.is_folder() {
        return None;
    }
    // What is wrong with the folder is told when the job is read.
    let entries = content.entries(folder, &mut Vec::new())?;
    let files = entries.iter().filter(|e| e.is_file() && e.name.eq_ignore_ascii_case("job.toml"));
    strictest(files.map(|file| of_file(&file.path)))
}

fn of_file(path: &Path) -> Option<PageLink> {
    let bytes = files::read_up_to(path, LIMIT).ok()?;
    let link = link_in(&bytes)?;
    let lines = outside_long_texts(&String::from_utf8_lossy(&bytes));
    let draw = draw_in(&lines)?;
    Some(PageLink { link, sealed: lines.lines().filter_map(seal_in).max(), draw })
}

/// The drawn word of a file, if it has one; an outer none if it has one that is not whole, or two.
fn draw_in(lines: &str) -> Option<Option<Private<Drawn>>> {
    let values = lines.lines().filter_map(key_and_value).filter(|(key, _)| key.eq_ignore_ascii_case("draw"));
    let words: Option<Vec<Drawn>> = values.map(|(_, value)| Drawn::read(quoted(value))).collect();
    let words = words?;
    let first = words.first().copied();
    words.iter().all(|word| Some(*word) == first).then_some(first.map(Private::new))
}

/// What stands between quote marks, or the value without a remark.
fn quoted(value: &str) -> &str {
    let value = value.trim_start();
    match value.chars().next().filter(|mark| ['"', '\''].contains(mark)) {
        Some(mark) => value.get(1..).and_then(|rest| rest.split(mark).next()).unwrap_or_default(),
        None => value.split('#').next().unwrap_or_default(),
    }
}

/// What a line says of the seal: nothing, plainly `false`, or anything else. A day says nothing of it: steps such as `salted`
/// are spelled nearly alike.
fn seal_in(line: &str) -> Option<bool> {
    let (key, value) = key_and_value(line)?;
    if is_day(value) {
        return None;
    }
    let near = (5..=8).contains(&key.len()) && nearest(key, ["sealed"]).is_some();
    let value = value.split('#').next().unwrap_or_default().trim().trim_matches(['"', '\'']);
    (near || key.eq_ignore_ascii_case("sealed")).then_some(!value.eq_ignore_ascii_case("false"))
}

/// Whether a value begins as a day does: `2026-05-02`.
fn is_day(value: &str) -> bool {
    let value = value.trim_start().trim_start_matches(['"', '\'']);
    let shape = value.bytes().take(5).map(|b| if b.is_ascii_digit() { b'0' } else { b });
    shape.eq(*b"0000-")
}

pub(in crate::read) fn link_in(bytes: &[u8]) -> Option<u32> {
    let text = String::from_utf8_lossy(bytes);
    let lines = outside_long_texts(&text);
    let found: Vec<Option<u32>> = lines.lines().filter_map(of_line).collect();
    if found.is_empty() {
        // Without a word about it the link is the first; but a file that is no text says nothing at all.
        let is_text = std::str::from_utf8(bytes).is_ok() && !bytes.contains(&0) && !text.trim().is_empty();
        return is_text.then_some(1);
    }
    found.into_iter().collect::<Option<Vec<u32>>>()?.into_iter().max()
}

/// The text without what stands between pairs of three quote marks: a note may speak of a link.
fn outside_long_texts(text: &str) -> String {
    let parts: Vec<&str> = text.split("\"\"\"").collect();
    // With an odd mark it is open which parts are within.
    if parts.len().is_multiple_of(2) {
        return text.to_owned();
    }
    parts.into_iter().step_by(2).collect::<Vec<_>>().join("\n")
}

/// What a line says of the link: nothing, a number, or something that is none.
fn of_line(line: &str) -> Option<Option<u32>> {
    let (key, value) = key_and_value(line)?;
    let number = number(value);
    if key.eq_ignore_ascii_case("link") {
        return Some(number);
    }
    // A misspelt one counts if it can be meant.
    let near = (3..=6).contains(&key.len()) && nearest(key, ["link"]).is_some();
    number.filter(|_| near).map(Some)
}

pub(in crate::read) fn key_and_value(line: &str) -> Option<(&str, &str)> {
    if line.trim_start().starts_with('#') {
        return None;
    }
    let (key, value) = line.split_once(['=', ':'])?;
    Some((key.trim().trim_start_matches('\u{feff}').trim_matches(['"', '\'']), value))
}

fn number(value: &str) -> Option<u32> {
    let value = value.trim_start().trim_start_matches(['"', '\'', '+']);
    let digits = value.len() - value.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let (digits, rest) = value.split_at_checked(digits)?;
    let whole = !rest.starts_with(|c: char| c.is_alphanumeric() || "-_.:/".contains(c));
    digits.parse().ok().filter(|link| whole && (1..=MOST).contains(link))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_link_is_read_whatever_is_wrong_around_it() {
        for (text, link) in [
            ("customer = \"Ada\nlink = 2\n", Some(2)),
            ("link=3 # retired", Some(3)),
            ("\u{feff}link = 3", Some(3)),
            ("  \"link\" = 4\r\n", Some(4)),
            ("Link: 5", Some(5)),
            ("lnik = 6", Some(6)),
            ("link = \"7\"", Some(7)),
            ("[reached]\nlink = 2", Some(2)),
            ("link = 2\nlink = 3", Some(3)),
            ("note = \"\"\"\nlink = 9\n\"\"\"\nlink = 2", Some(2)),
            ("note = \"\"\"\nlink = 9\n", Some(9)),
            ("customer = \"Ada", Some(1)),
            ("# link = 2", Some(1)),
            ("kind = \"goods\"\non = 2026-05-02\nrush = 1", Some(1)),
            ("link = two", None),
            ("link =", None),
            ("link = 0", None),
            ("link = 10000", None),
            ("link = 2026-05-02", None),
            ("link = 2\nlink = x", None),
            ("", None),
            (" \r\n", None),
        ] {
            assert_eq!(link_in(text.as_bytes()), link, "{text}");
        }
    }

    #[test]
    fn what_is_no_text_says_nothing_but_what_can_be_read() {
        assert_eq!(link_in(b"\xff\xd8\xff\xe0"), None);
        assert_eq!(link_in(b"a\0b"), None);
        assert_eq!(link_in(b"l\0i\0n\0k\0=\x002\0"), None);
        assert_eq!(link_in(b"customer = \"\xe9\"\nlink = 2\n"), Some(2));
    }

    #[test]
    fn what_is_not_plainly_unsealed_counts_as_sealed() {
        for (text, sealed) in [
            ("sealed = true", Some(true)),
            ("sealed = false # for now", Some(false)),
            ("\"sealed\" = \"false\"", Some(false)),
            ("sealed = yes", Some(true)),
            ("seald = true", Some(true)),
            ("sealed = false\nsealed = true", Some(true)),
            ("# sealed = true", None),
            ("note = \"\"\"\nsealed = true\n\"\"\"", None),
            ("piece = \"a sealed one\"", None),
            ("[reached]\nsalted = 2025-11-22", None),
            ("[reached]\nsealed = 2025-11-22\nsealed = true", Some(true)),
            ("[reached]\nsealed = \"2025-11-22\"", None),
        ] {
            assert_eq!(outside_long_texts(text).lines().filter_map(seal_in).max(), sealed, "{text}");
        }
        let one = |link, sealed| Some(PageLink { link, sealed, draw: None });
        let all = [one(2, None), None, one(1, Some(true)), one(1, Some(false))];
        assert_eq!(strictest(all.into_iter()), one(2, Some(true)));
    }

    #[test]
    fn a_drawn_word_is_read_whole_or_the_address_is_unknown() {
        let (word, other) = (Drawn::new([7; 10]), Drawn::new([8; 10]));
        let (text, of_other) = (word.written(), other.written());
        let found = |lines: &str| draw_in(lines).map(|word| word.map(|word| *word.reveal()));
        assert_eq!(found("link = 2\n"), Some(None));
        assert_eq!(found(&format!("draw = \"{text}\" # mine\nlink =")), Some(Some(word)));
        assert_eq!(found(&format!("draw = {text} # mine")), Some(Some(word)));
        assert_eq!(found(&format!("\u{feff}Draw: '{text}'\ndraw = \"{text}\"")), Some(Some(word)));
        assert_eq!(found(&format!("# draw = \"{text}\"")), Some(None));
        assert_eq!(found(&format!("draw = \"{}\"", &text[1..])), None);
        assert_eq!(found(&format!("draw = \"{text}\"\ndraw = \"{of_other}\"")), None);
        assert_eq!(found("draw ="), None);
        let one = |draw| Some(PageLink { link: 1, sealed: None, draw });
        let (mine, others) = (one(Some(Private::new(word))), one(Some(Private::new(other))));
        assert_eq!(strictest([mine, None, mine].into_iter()), mine);
        assert_eq!(strictest([mine, others].into_iter()), None);
        assert_eq!(strictest([mine, one(None)].into_iter()), None);
    }
}
