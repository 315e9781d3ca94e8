//! The owner's Markdown as harmless HTML.
//!
//! HTML in it is shown as text. A link leads to a page of this site or to an address of a kind that
//! cannot run anything; pictures come from the shop's own photos. What is left out is noted.

use super::markup::is_showable;
use super::photos::PictureView;
use crate::base::words;
use crate::problem::{Code, Few, Location, Problem, Problems, Severity, Source, Span};
use pulldown_cmark::{
    Alignment, CodeBlockKind, CowStr, Event, HeadingLevel, LinkType, Options, Parser, Tag, TagEnd,
};
use std::collections::BTreeSet;

/// Schemes of addresses that may be linked to.
const SCHEMES: [&str; 5] = ["http", "https", "mailto", "tel", "sms"];

/// How deep lists and quotes may lie in each other; deeper ones are drawn level.
const DEEPEST: usize = 12;

/// How deep all else may: emphasis within emphasis. What reads the page afterwards goes down step by step, too.
const DEEPEST_OF_ALL: usize = 40;

/// A text and where it stands.
pub struct Text<'a> {
    pub text: &'a str,
    /// The place of a part of it, for notes.
    pub place: &'a dyn Fn(&Span) -> Location,
}

/// How a page finds the photo that its text calls by a name.
pub type Pictures<'a> = &'a dyn Fn(&str) -> Option<PictureView>;

/// What a text needs to know of the page that it stands on.
pub struct Around<'a> {
    /// The way up to the site's root.
    pub root: &'a str,
    /// Every page of the site that may be linked to.
    pub pages: &'a BTreeSet<String>,
    /// The level of the text's first headings.
    pub heading: usize,
    /// The photo that the text calls by a name, where it is a page's and can show any.
    pub picture: Option<Pictures<'a>>,
}

/// A text that is a whole file.
pub fn of_source(source: &Source, around: &Around<'_>, notes: &mut Problems) -> String {
    of(&Text { text: &source.text, place: &|span| source.place(span) }, around, notes)
}

/// A text that stands in some file.
pub fn of_part(text: &str, file: &Location, around: &Around<'_>, notes: &mut Problems) -> String {
    of(&Text { text, place: &|_| file.clone() }, around, notes)
}

fn of(text: &Text<'_>, around: &Around<'_>, notes: &mut Problems) -> String {
    let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH;
    let parsed = Parser::new_ext(text.text, options).into_offset_iter();
    let mut cleaner = Cleaner::new(text, around);
    for (event, span) in parsed {
        cleaner.take(event, span);
    }
    notes.extend(cleaner.notes.into_problems());
    let mut html = String::with_capacity(text.text.len() * 3 / 2);
    pulldown_cmark::html::push_html(&mut html, cleaner.out.into_iter());
    html.retain(is_showable);
    html
}

struct Cleaner<'a> {
    text: &'a Text<'a>,
    around: &'a Around<'a>,
    notes: Few,
    out: Vec<Event<'a>>,
    /// For each element that is open, the end that it will get; none where it was left out.
    open: Vec<Option<TagEnd>>,
    /// How many of them are shown. Counting them anew at each start would make deep texts slow.
    shown: usize,
    /// The words between a picture's brackets, and its address, while inside one.
    picture: Option<(String, String, usize)>,
    /// The level of the last heading, as shown.
    last_level: usize,
    /// What the text's own levels are moved by.
    top: Option<usize>,
}

impl<'a> Cleaner<'a> {
    fn new(text: &'a Text<'a>, around: &'a Around<'a>) -> Self {
        let last_level = around.heading.saturating_sub(1);
        Cleaner {
            text,
            around,
            notes: Few::default(),
            out: Vec::new(),
            open: Vec::new(),
            shown: 0,
            picture: None,
            last_level,
            top: None,
        }
    }

    fn take(&mut self, event: Event<'a>, span: Span) {
        if self.picture.is_some() {
            return self.take_in_picture(event);
        }
        match event {
            Event::Start(Tag::Image { dest_url, .. }) => {
                self.picture = Some((String::new(), dest_url.to_string(), 1));
                if self.own_picture(&dest_url).is_none() {
                    self.note_picture(&dest_url, &span);
                }
            }
            Event::Start(tag) => self.start(tag, &span),
            Event::End(TagEnd::Table) => {
                self.end();
                self.out.push(Event::Html("</div>".into()));
            }
            Event::End(_) => self.end(),
            Event::Html(html) | Event::InlineHtml(html) => self.out.push(Event::Text(html)),
            other => self.out.push(other),
        }
    }

    /// Inside a picture everything is its text, up to its end.
    fn take_in_picture(&mut self, event: Event<'a>) {
        let Some((words, address, depth)) = &mut self.picture else { return };
        match event {
            Event::Text(text) | Event::Code(text) | Event::Html(text) | Event::InlineHtml(text) => {
                words.push_str(&text)
            }
            Event::SoftBreak | Event::HardBreak => words.push(' '),
            Event::Start(Tag::Image { .. }) => *depth += 1,
            Event::End(TagEnd::Image) => *depth -= 1,
            _ => {}
        }
        if *depth > 0 {
            return;
        }
        let (words, address) = (std::mem::take(words), std::mem::take(address));
        self.picture = None;
        self.out.push(match self.own_picture(&address) {
            Some(picture) => Event::InlineHtml(picture.tag(&words).into()),
            None => Event::Text(words.into()),
        });
    }

    fn start(&mut self, tag: Tag<'a>, span: &Span) {
        let too_deep = self.shown >= DEEPEST;
        let shown = match tag {
            Tag::BlockQuote(_) | Tag::List(_) if too_deep => None,
            Tag::Emphasis | Tag::Strong | Tag::Strikethrough if self.shown >= DEEPEST_OF_ALL => None,
            // An item without its list would not be valid.
            Tag::Item if !matches!(self.open.last(), Some(Some(TagEnd::List(_)))) => None,
            Tag::BlockQuote(_) => Some(Tag::BlockQuote(None)),
            Tag::HtmlBlock => Some(Tag::Paragraph),
            Tag::Heading { level, .. } => Some(self.heading(level)),
            Tag::CodeBlock(_) => Some(Tag::CodeBlock(CodeBlockKind::Indented)),
            Tag::Table(columns) => {
                self.out.push(Event::Html("<div class=\"wide\">".into()));
                // Alignment would become a style attribute, which the pages' policy forbids.
                Some(Tag::Table(vec![Alignment::None; columns.len()]))
            }
            Tag::Link { link_type, dest_url, title, id } => {
                let address = self.address(link_type, dest_url, span);
                address.map(|dest_url| Tag::Link { link_type, dest_url, title, id })
            }
            other => Some(other),
        };
        self.open.push(shown.as_ref().map(Tag::to_end));
        self.shown += usize::from(shown.is_some());
        self.out.extend(shown.map(Event::Start));
    }

    fn end(&mut self) {
        let end = self.open.pop().flatten();
        self.shown -= usize::from(end.is_some());
        self.out.extend(end.map(Event::End));
    }

    /// The first heading gets the level that the page asks for; none skips a level.
    fn heading(&mut self, level: HeadingLevel) -> Tag<'a> {
        let own = level as usize;
        let top = *self.top.get_or_insert(own);
        let moved = (own + self.around.heading).saturating_sub(top).max(self.around.heading);
        let shown = moved.min(self.last_level + 1).min(6);
        self.last_level = shown;
        let level = HeadingLevel::try_from(shown).unwrap_or(HeadingLevel::H6);
        Tag::Heading { level, id: None, classes: Vec::new(), attrs: Vec::new() }
    }

    /// The address that a link may have, or nothing.
    fn address(&mut self, kind: LinkType, written: CowStr<'a>, span: &Span) -> Option<CowStr<'a>> {
        if kind == LinkType::Email {
            return Some(written);
        }
        match judge(&written) {
            Judged::Outside(address) => Some(address.into()),
            Judged::Harmful => {
                let message =
                    || format!("the address `{}` was left out, as it could do harm", shortened(&written));
                let hint = "a link can lead to a page of this site, or begin with https:, http:, mailto:, tel: or sms:";
                self.note(Code::UnsafeAddress, message, span, |p| p.hint(hint));
                None
            }
            Judged::Inside(path) => {
                let found = find_page(&path, self.around.pages);
                if found.is_none() {
                    let message = || {
                        format!(
                            "no page of the site is at `{}`, so the link was left out",
                            shortened(&written)
                        )
                    };
                    let pages = self.around.pages.iter();
                    let folders = pages.map(|p| super::paths::public(p).trim_end_matches('/'));
                    self.note(Code::UnknownPage, message, span, |p| p.did_you_mean(&path, folders));
                }
                found.map(|page| format!("{}{page}", self.around.root).into())
            }
        }
    }

    fn own_picture(&self, address: &str) -> Option<PictureView> {
        self.around.picture.and_then(|find| find(address))
    }

    fn note_picture(&mut self, address: &str, span: &Span) {
        let can_show = self.around.picture.is_some();
        // A page's picture that is not there, or is spoilt, was told of when it was looked for.
        if can_show && !address.contains(':') && !address.starts_with("//") && !address.starts_with('#') {
            return;
        }
        let remote = !matches!(judge(address), Judged::Inside(_));
        let (code, message) = match remote {
            true => (Code::UnsafeAddress, "is not the shop's own, so its words stand in for it"),
            false => (Code::MissingPicture, "is not there or cannot be shown, so its words stand in for it"),
        };
        let hint = match can_show {
            true => "save the picture beside the text and call it by its file name",
            false => "only the pages in `content/pages/` can show pictures",
        };
        let message = || format!("the picture `{}` {message}", shortened(address));
        self.note(code, message, span, |p| p.hint(hint));
    }

    /// Notes what was left out. A text can hold any number of such places, and only the first are worth the work.
    fn note(
        &mut self,
        code: Code,
        message: impl FnOnce() -> String,
        span: &Span,
        more: impl FnOnce(Problem) -> Problem,
    ) {
        let place = self.text.place;
        let whole = || more(Problem::new(code, message())).at(place(span));
        self.notes.push_with(code, Severity::Note, whole);
    }
}

/// What an address is.
#[derive(Debug, PartialEq, Eq)]
enum Judged {
    /// Of an allowed scheme.
    Outside(String),
    /// A path of this site.
    Inside(String),
    Harmful,
}

/// Judges an address as a browser would read it: control characters are dropped and spaces at the
/// ends are cut off before the scheme is looked for (WHATWG URL Standard, 4.4, basic URL parser).
fn judge(written: &str) -> Judged {
    let plain: String = written.chars().filter(|c| !c.is_control()).collect();
    let plain = plain.trim();
    if plain.starts_with("//") || plain.contains('\\') {
        return Judged::Harmful;
    }
    let before_path = plain.split(['/', '?', '#']).next().unwrap_or("");
    match before_path.split_once(':') {
        None => Judged::Inside(plain.to_owned()),
        Some((scheme, _)) if SCHEMES.contains(&scheme.to_ascii_lowercase().as_str()) => {
            Judged::Outside(plain.to_owned())
        }
        Some(_) => Judged::Harmful,
    }
}

/// The page of the site that a path written by the owner means: `prices`, `prices.md`,
/// `../prices/` and `showroom/turkey` are all understood from the site's root.
fn find_page(path: &str, pages: &BTreeSet<String>) -> Option<String> {
    let path = path.split(['?', '#']).next().unwrap_or("");
    let mut steps: Vec<&str> = path.split('/').filter(|step| !["", ".", ".."].contains(step)).collect();
    if steps.last() == Some(&"index.html") {
        steps.pop();
    }
    let mut joined = steps.join("/");
    if let Some(page) = joined.strip_suffix(".md") {
        joined = page.to_owned();
    }
    if joined.is_empty() && path.is_empty() {
        return None;
    }
    let page = if joined.is_empty() { "index.html".to_owned() } else { format!("{joined}/index.html") };
    pages.contains(&page).then_some(page)
}

/// The beginning of an address, for a message.
fn shortened(address: &str) -> String {
    words::short(address, 60).into_owned()
}

#[cfg(test)]
mod tests;
