//! The lines of a `shop.toml` taken apart as far as masking needs it, whatever is wrong with them: headings, keys, remarks.
//! What is not understood under `[post]` is cut out. Values are `values`'s.

use super::MASK;
use super::tokens::{key_and_sign, path};
use super::words::{OF_POST, is_nameable, is_secret, is_surely_secret, means_post, user_in_address};
use crate::problem::Span;

/// What may be seen of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    /// All but what is called a secret.
    Open,
    /// The keys of `[post]`, each with a plain value.
    Post,
    /// Nothing.
    Closed,
}

/// Text on its way from what was written to what may be seen.
pub(super) struct Masker<'a> {
    text: &'a str,
    at: usize,
    pub out: String,
    /// Where in `out` a secret was.
    pub found: Vec<Span>,
    /// What is below the last heading.
    part: Part,
    /// Whether names there are the owner's own, so that none is called like a secret.
    pub own_names: bool,
    /// Whether remarks go on with a `[post]` that was switched off.
    remarked_post: bool,
    /// Whether a line begins here although something is still open.
    pub anew: bool,
    /// Where the line ends that was looked at last.
    end: usize,
}

/// The text with every secret masked, and where in it they were.
pub(super) fn masked(text: &str) -> (String, Vec<Span>) {
    let mut masker = Masker {
        text,
        at: 0,
        out: String::with_capacity(text.len()),
        found: Vec::new(),
        part: Part::Open,
        own_names: false,
        remarked_post: false,
        anew: false,
        end: 0,
    };
    while masker.at < text.len() {
        masker.line();
    }
    (masker.out, masker.found)
}

impl<'a> Masker<'a> {
    pub fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    /// The rest of the line, without its end.
    pub fn rest_of_line(&mut self) -> &'a str {
        if self.at > self.end || self.end == 0 {
            self.end = self.rest().find('\n').map_or(self.text.len(), |end| self.at + end);
        }
        let line = self.text.get(self.at..self.end).unwrap_or_default();
        line.strip_suffix('\r').unwrap_or(line)
    }

    pub fn keep(&mut self, bytes: usize) {
        self.out.push_str(self.rest().get(..bytes).unwrap_or_default());
        self.at += bytes;
    }

    pub fn drop(&mut self, bytes: usize) {
        self.at += bytes;
    }

    pub fn keep_blanks(&mut self) {
        let line = self.rest_of_line();
        self.keep(line.len() - line.trim_start().len());
    }

    /// The end of a line, if it is here.
    pub fn keep_end(&mut self) {
        let rest = self.rest();
        let end = rest.find('\n').map_or(rest.len(), |end| end + 1);
        self.keep(end);
    }

    fn line(&mut self) {
        self.keep_blanks();
        loop {
            self.anew = false;
            let line = self.rest_of_line();
            match line.chars().next() {
                None => {}
                Some('#') => self.remark_alone(),
                Some('[') => self.heading(line),
                Some(_) => self.statement(line),
            }
            if !self.anew {
                break;
            }
        }
        self.keep_end();
    }

    /// A heading, which says what the lines below are.
    fn heading(&mut self, line: &str) {
        let bare = line.split('#').next().unwrap_or_default();
        let end = bare.rfind(']').map_or(bare.len(), |end| end + 1);
        let name = bare[..end].trim_matches(['[', ']', ' ', '\t']);
        let path = path(name);
        let first = path.first().map(String::as_str).unwrap_or_default();
        (self.part, self.own_names, self.remarked_post) = match path.len() {
            1 if means_post(first) => (Part::Post, false, false),
            _ if means_post(first) => (Part::Closed, false, false),
            _ if path.iter().any(|name| is_secret(name)) && first != "gate" => (Part::Closed, false, false),
            _ => (Part::Open, path == ["gate"], false),
        };
        match self.part {
            Part::Open => self.plain(line.len(), false),
            // What stands behind the brackets, and a name that is none.
            _ if path.iter().all(|name| is_nameable(name)) => {
                self.keep(end);
                self.cut(line.len() - end);
            }
            _ => self.cut(line.len()),
        }
    }

    /// A key with its value, or what stands there instead.
    fn statement(&mut self, line: &str) {
        let Some((key, sign)) = key_and_sign(line) else {
            return self.stray(line);
        };
        let path = path(key);
        let first = path.first().map(String::as_str).unwrap_or_default();
        let last = path.last().map(String::as_str).unwrap_or_default();
        let part = match (self.part, path.len()) {
            (Part::Open, 1) if means_post(first) => return self.whole_post(key, sign),
            (Part::Open, 2) if means_post(first) => Part::Post,
            (Part::Open, _) if means_post(first) => Part::Closed,
            (Part::Post, 2..) => Part::Closed,
            (part, _) => part,
        };
        let own = self.own_names || first == "gate";
        let secret = path.iter().any(|name| is_secret(name)) && !(own && part == Part::Open);
        let before = std::mem::replace(&mut self.own_names, own);
        self.pair(key, last, sign, (part, secret), &mut Vec::new());
        if !self.anew {
            self.own_names = before;
        }
    }

    /// A key and its value, at the beginning of a line or inside braces.
    pub fn pair(
        &mut self,
        key: &str,
        last: &str,
        sign: usize,
        (part, secret): (Part, bool),
        open: &mut Vec<char>,
    ) {
        let from = self.out.len();
        match part == Part::Open || path(key).iter().all(|name| is_nameable(name)) {
            true => self.keep(key.len()),
            false => {
                self.out.push_str(&format!("\"{MASK}\""));
                self.drop(key.len());
            }
        }
        let named = self.out.len();
        if secret {
            self.found.push(from..named);
            self.out.push_str(&format!(" = \"{MASK}\""));
            self.drop(sign + 1 - key.len());
            return self.skip_value(open);
        }
        self.keep(sign + 1 - key.len());
        self.keep_blanks();
        match part {
            Part::Open => self.open_value(open),
            Part::Post if OF_POST.contains(&last) => self.post_value(last, open),
            Part::Post | Part::Closed => {
                self.out.push_str(&format!("\"{MASK}\""));
                self.skip_value(open);
            }
        }
    }

    /// `post = { … }`, or whatever else stands there.
    fn whole_post(&mut self, key: &str, sign: usize) {
        self.keep(key.len());
        self.keep(sign + 1 - key.len());
        self.keep_blanks();
        if self.rest().starts_with('{') {
            self.braces(Part::Post, &mut Vec::new());
            return self.behind_value();
        }
        self.out.push_str(&format!("\"{MASK}\""));
        self.skip_value(&mut Vec::new());
    }

    /// What has no key: nothing of it is seen under `[post]`, nor behind a word that is called like a secret.
    fn stray(&mut self, line: &str) {
        let word = line.split([' ', '\t']).next().unwrap_or_default();
        match self.part {
            Part::Open if is_secret(word) && !self.own_names && word.len() < line.trim_end().len() => {
                let from = self.out.len();
                self.keep(word.len());
                self.found.push(from..self.out.len());
                self.cut(line.len() - word.len());
            }
            Part::Open => self.plain(line.len(), false),
            // A heading that lost a bracket.
            _ if means_post(line.trim_matches([']', ' ', '\t'])) => self.keep(line.len()),
            _ => self.cut(line.len()),
        }
        if self.part == Part::Open && line.trim_end().ends_with(']') && means_post(line) {
            self.part = Part::Post;
        }
    }

    /// What stands behind a value under `[post]`.
    pub fn behind_value(&mut self) {
        if !self.anew {
            self.keep_blanks();
            let line = self.rest_of_line().len();
            self.cut(line);
        }
    }

    /// So many bytes are not shown; their place is, where there was something.
    pub fn cut(&mut self, bytes: usize) {
        let gone = self.rest().get(..bytes).unwrap_or_default().trim();
        if let Some(first) = gone.chars().next() {
            self.out.push_str(if first == '#' { "# " } else { " " });
            self.out.push_str(MASK);
        }
        self.drop(bytes);
    }

    /// Nothing of so many bytes but the ends of their lines.
    pub fn lines_of(&mut self, bytes: usize) {
        let lines = self.rest().get(..bytes).unwrap_or_default().matches('\n').count();
        self.out.push_str(&"\n".repeat(lines));
        self.drop(bytes);
    }

    /// So many bytes as they are, but for the users of addresses in them: those with a password, and any where the address is
    /// all that stands there.
    pub fn plain(&mut self, bytes: usize, whole: bool) {
        let end = self.at + bytes;
        while self.at < end {
            let rest = self.text.get(self.at..end).unwrap_or_default();
            let blank = rest.find(|c: char| !c.is_whitespace()).unwrap_or(rest.len());
            self.keep(blank);
            let rest = &rest[blank..];
            let word = rest.find(char::is_whitespace).map_or(rest, |end| &rest[..end]);
            let is_secret = |span: &(usize, usize)| {
                let user = word[span.0..span.1].to_ascii_lowercase();
                whole || user.contains(':') || user.contains("%3a")
            };
            match user_in_address(word).filter(is_secret) {
                Some(span) => self.keep_but(span, word.len()),
                None => self.keep(word.len()),
            }
        }
    }

    /// Keeps so many bytes but for what lies between these two, which is masked.
    pub fn keep_but(&mut self, (from, to): (usize, usize), bytes: usize) {
        self.keep(from);
        let at = self.out.len();
        self.out.push_str(MASK);
        self.found.push(at..self.out.len());
        self.drop(to - from);
        self.keep(bytes - to);
    }

    /// A remark behind a value.
    pub fn remark(&mut self) {
        let length = self.rest_of_line().len();
        match self.part {
            Part::Open => self.plain(length, false),
            _ => self.cut(length),
        }
    }

    /// A remark on a line of its own: a secret that was only switched off is a secret as well.
    fn remark_alone(&mut self) {
        let line = self.rest_of_line();
        let words = line.trim_start_matches(['#', ' ', '\t']);
        if words.starts_with('[') {
            self.remarked_post = means_post(words.trim_matches(['[', ']', ' ']));
        }
        let pair = key_and_sign(words).filter(|(key, _)| is_secret(key) && !key.trim_end().contains(' '));
        let given = |value: &str| value.len() > 2 && value.starts_with(['"', '\'']) && !value.contains(MASK);
        match pair {
            Some((key, sign)) if given(words[sign + 1..].trim()) => {
                self.keep(line.len() - words.len());
                let from = self.out.len();
                self.keep(key.len());
                // Words that may mean something else are not worth ending a pass for when they are switched off.
                if is_surely_secret(key) {
                    self.found.push(from..self.out.len());
                }
                self.out.push_str(&format!(" = \"{MASK}\""));
                self.drop(words.len() - key.len());
            }
            _ if self.part != Part::Open || self.remarked_post && !words.starts_with('[') => {
                self.cut(line.len())
            }
            _ => self.plain(line.len(), false),
        }
    }
}
