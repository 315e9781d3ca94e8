//! What counts as private in a text that others read: a job's own values (phone, email, address, tag, permit, license, place of
//! kill, hunter, last name, lines of the bench note), however they are spelled; and the usual shapes of a phone number and
//! an email address, which may be anybody's.
//!
//! A private page can be passed on, so what its customer told the shop does not stand there. Too little caught is a leak; too much, and
//! owners stop reading what they are told. So a value must be long enough to be nobody's chance (a tag number `12` is caught
//! only behind the word `tag`), what the shop says of itself is never private, and a last name that is a word of the trade
//! (`Brown`) counts only where it stands as a name. Who holds the values opens them; here they are compared and told
//! by kind alone. What is done with a text that gives something away is for `read`.

mod numbers;
mod text;

pub use text::Text;

use super::person;
use text::{Word, folded_words, without_gaps};

/// What a text gives away.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    Phone,
    Email,
    Address,
    Tag,
    Permit,
    License,
    Place,
    Hunter,
    LastName,
    Collector,
    BenchNote,
    /// Somebody's, by its shape.
    APhone,
    AnEmail,
}

impl What {
    /// In words that fit behind "holds".
    pub fn words(self) -> &'static str {
        match self {
            What::Phone => "the customer's phone number",
            What::Email => "the customer's email address",
            What::Address => "the customer's address",
            What::Tag => "the number of the tag",
            What::Permit => "the number of the permit",
            What::License => "the number of the license",
            What::Place => "the place of kill",
            What::Hunter => "the hunter's name",
            What::LastName => "the customer's last name",
            What::Collector => "the name of whoever collected it",
            What::BenchNote => "a line of the bench note",
            What::APhone => "a phone number",
            What::AnEmail => "an email address",
        }
    }

    /// Whether it is the job's own, and not only of a shape that may be anybody's.
    pub fn is_own(self) -> bool {
        !matches!(self, What::APhone | What::AnEmail)
    }
}

/// What the shop tells everybody of itself.
#[derive(Clone, Debug, Default, Hash)]
pub struct Public {
    phones: Vec<String>,
    emails: Vec<String>,
    words: Vec<Word>,
}

impl Public {
    /// Out of all that it says in public.
    pub fn of<'a>(texts: impl Iterator<Item = &'a str>) -> Public {
        let mut public = Public::default();
        for text in texts {
            let text = Text::of(text);
            public.phones.extend(text.numbers.iter().map(|number| number.digits()));
            public.emails.extend(text.emails());
            public.words.extend(text.words);
        }
        public
    }

    fn knows_phone(&self, digits: &str) -> bool {
        self.phones.iter().any(|own| same_phone(own, digits))
    }

    fn knows_email(&self, email: &str) -> bool {
        let domain = |email: &str| email.split_once('@').map(|(_, domain)| domain.to_owned());
        self.emails.iter().any(|own| own == email || domain(own) == domain(email))
    }
}

/// How a value is looked for.
#[derive(Clone)]
enum Form {
    /// A phone number, by its digits.
    Digits(String),
    /// Without the gaps in it.
    Email(String),
    /// Letters and digits in this order, from the beginning of a word to the end of one.
    Spelled(String),
    /// The same, but only behind a word that says what it is.
    Marked(String),
    /// A last name, and the first name to it.
    Name(String, Option<String>),
}

/// The private values of one job, ready to be looked for. No `Debug` of what they are.
#[derive(Clone, Default)]
pub struct Telltale(Vec<(What, Form)>);

impl std::fmt::Debug for Telltale {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("(private values)")
    }
}

/// Shorter numbers of tags are everybody's.
const LEAST_NUMBER: usize = 5;
/// A line of the bench note with fewer letters, or fewer words, is said by chance.
const LEAST_LINE: (usize, usize) = (20, 4);
/// More lines of it are not looked for.
const MOST_LINES: usize = 100;
/// Words behind which even a short number is that of a tag.
const MARKERS: [&str; 7] = ["tag", "tags", "permit", "seal", "license", "licence", "confirmation"];
/// Words of a place that tell nothing by themselves.
const OF_PLACES: [&str; 14] = [
    "county", "creek", "ridge", "farm", "river", "woods", "north", "south", "east", "west", "public",
    "private", "state", "township",
];
/// Last names that are words of the trade or of every day: in a running text they count beside a first name or a title.
const ORDINARY: [&str; 72] = [
    "april",
    "august",
    "bass",
    "bear",
    "bird",
    "birds",
    "bishop",
    "black",
    "brook",
    "brown",
    "buck",
    "case",
    "cook",
    "crane",
    "dale",
    "day",
    "drake",
    "field",
    "finch",
    "fisher",
    "foot",
    "ford",
    "forest",
    "fox",
    "frost",
    "glass",
    "glen",
    "gray",
    "green",
    "grey",
    "hand",
    "head",
    "heath",
    "hill",
    "horn",
    "hunter",
    "june",
    "king",
    "lake",
    "little",
    "long",
    "marsh",
    "martin",
    "may",
    "moss",
    "north",
    "page",
    "partridge",
    "peacock",
    "pike",
    "price",
    "reed",
    "rivers",
    "roach",
    "rose",
    "salmon",
    "short",
    "skinner",
    "small",
    "snow",
    "stone",
    "summer",
    "swan",
    "tanner",
    "taylor",
    "west",
    "white",
    "winter",
    "wood",
    "woods",
    "wren",
    "young",
];
const TITLES: [&str; 5] = ["mr", "mrs", "ms", "miss", "dr"];

impl Telltale {
    /// Adds a value; one that is too short to be told from chance, or that the shop itself says in public, is left out.
    pub fn add(&mut self, what: What, value: &str, public: &Public) {
        let words = folded_words(value);
        let letters: usize = words.iter().map(|word| word.chars().count()).sum();
        match what {
            What::Phone => {
                // Two of them may stand there, one behind the other.
                let numbers = Text::of(value).numbers;
                let all =
                    numbers.iter().flat_map(|number| number.phones().into_iter().chain([number.digits()]));
                let enough = |digits: &String| digits.len() >= LEAST_NUMBER && !public.knows_phone(digits);
                self.0.extend(all.filter(enough).map(|digits| (what, Form::Digits(digits))));
            }
            What::Email => {
                let email = without_gaps(value);
                if email.contains('@') && !public.emails.contains(&email) {
                    self.0.push((what, Form::Email(email)));
                }
            }
            What::Tag | What::Permit | What::License => {
                let digits = words.concat().chars().filter(char::is_ascii_digit).count();
                match letters >= LEAST_NUMBER && (digits >= 3 || letters >= 8) {
                    true => self.spelled(what, &words, public),
                    false if letters > 0 => self.0.push((what, Form::Marked(words.concat()))),
                    false => {}
                }
            }
            What::Address | What::Place => {
                // The whole of it, and each part that says enough by itself.
                for part in value.split([',', ';', '\n', '(', ')']).chain([value]) {
                    let words = folded_words(part);
                    let tells =
                        words.iter().any(|w| w.chars().count() >= 4 && !OF_PLACES.contains(&w.as_str()));
                    let enough = match what {
                        What::Address => words.len() >= 2 && part.contains(|c: char| c.is_ascii_digit()),
                        _ => words.len() >= 2 || words.iter().any(|w| w.chars().count() >= 6),
                    };
                    if tells && enough {
                        self.spelled(what, &words, public);
                    }
                }
            }
            What::Hunter | What::Collector | What::LastName => self.name(what, value, public),
            What::BenchNote => {
                for line in value.split(['\n', '.', ';', '!', '?']).take(MOST_LINES) {
                    let words = folded_words(line);
                    let letters: usize = words.iter().map(|word| word.chars().count()).sum();
                    if letters >= LEAST_LINE.0 && words.len() >= LEAST_LINE.1 {
                        self.spelled(what, &words, public);
                    }
                }
            }
            What::APhone | What::AnEmail => {}
        }
    }

    fn spelled(&mut self, what: What, words: &[String], public: &Public) {
        let symbols = words.concat();
        if !symbols.is_empty() && !spells(&public.words, &symbols) {
            self.0.push((what, Form::Spelled(symbols)));
        }
    }

    fn name(&mut self, what: What, name: &str, public: &Public) {
        let Some(last) = person::last_name(name) else {
            // One word alone is a first name, or a name that nobody else has.
            let words = folded_words(name);
            if what != What::LastName && words.concat().chars().count() >= 6 {
                self.spelled(what, &words, public);
            }
            return;
        };
        let shown = person::first_name_and_initial(name);
        let given = folded_words(shown.rsplit_once(' ').map_or("", |(given, _)| given)).first().cloned();
        for last in folded_words(last).into_iter().filter(|last| last.chars().count() > 1) {
            self.0.push((what, Form::Name(last, given.clone())));
        }
    }

    /// What a text gives away of it, if anything.
    pub fn in_text(&self, text: &Text) -> Option<What> {
        let found = self.0.iter().find(|(_, form)| match form {
            Form::Digits(digits) => text.numbers.iter().any(|number| number.holds(digits)),
            Form::Email(email) => text.flat.contains(email.as_str()),
            Form::Spelled(symbols) => spells(&text.words, symbols),
            Form::Marked(symbols) => is_marked(&text.words, symbols),
            Form::Name(last, given) => names(&text.words, last, given.as_deref()),
        });
        found.map(|(what, _)| *what)
    }
}

/// What a text holds by its shape, that is not the shop's own.
pub fn shape_in(text: &Text, public: &Public) -> Option<What> {
    let phone =
        text.numbers.iter().flat_map(numbers::Number::phones).any(|digits| !public.knows_phone(&digits));
    let email = || text.emails().iter().any(|email| !public.knows_email(email));
    if phone {
        return Some(What::APhone);
    }
    email().then_some(What::AnEmail)
}

/// Whether two numbers reach the same phone: the same digits from behind, as far as both go, and seven at least.
fn same_phone(one: &str, other: &str) -> bool {
    let least = one.len().min(other.len());
    one == other
        || least >= 7
            && (one.ends_with(other)
                || other.ends_with(one)
                || one[one.len() - 7..] == other[other.len() - 7..])
}

/// Whether words one after the other spell exactly these symbols.
fn spells(words: &[Word], symbols: &str) -> bool {
    (0..words.len()).any(|at| spells_from(words.get(at..).unwrap_or_default(), symbols))
}

fn spells_from(words: &[Word], symbols: &str) -> bool {
    let mut rest = symbols;
    for word in words {
        match rest.strip_prefix(word.folded.as_str()) {
            Some("") => return true,
            Some(more) => rest = more,
            None => return false,
        }
    }
    false
}

/// Whether the symbols stand behind a word that says what they are: `tag 12`, `permit no. 7`.
fn is_marked(words: &[Word], symbols: &str) -> bool {
    let between = |word: &Word| ["no", "nr", "num", "number", "is"].contains(&word.folded.as_str());
    let marked = words.iter().enumerate().filter(|(_, word)| MARKERS.contains(&word.folded.as_str()));
    marked.map(|(at, _)| words.get(at + 1..).unwrap_or_default()).any(|behind| {
        let skip = behind.iter().take_while(|word| between(word)).count();
        spells_from(behind.get(skip..).unwrap_or_default(), symbols)
    })
}

/// Whether a last name stands in a text as a name: with a capital; one that is an ordinary word beside a first name or a title.
fn names(words: &[Word], last: &str, given: Option<&str>) -> bool {
    words.iter().enumerate().any(|(at, word)| {
        if word.folded != last {
            return false;
        }
        let before = at.checked_sub(1).and_then(|at| words.get(at)).map(|word| word.folded.as_str());
        let beside = before.is_some_and(|before| TITLES.contains(&before) || given == Some(before));
        beside || word.capital && !ORDINARY.contains(&last)
    })
}

#[cfg(test)]
mod tests;
