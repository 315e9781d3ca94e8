//! Runs of digits in a text, and which of them have the shape of a phone number. Prices, sizes, days and numbers of tags must
//! not: a shape is one that people write phone numbers in and hardly anything else.
//!
//! North American numbers are grouped 3-3-4, area code and exchange begin with 2 to 9 (the North American Numbering Plan; from
//! memory). Others begin with `+` (ITU-T E.164: 15 digits at most; from memory) or with a zero. The rest is common practice, no source.

/// Digits with no more between them than what people put into phone numbers.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Number {
    groups: Vec<String>,
    /// What stands between two groups.
    gaps: Vec<String>,
    plus: bool,
    /// Whether a letter stands right before it, as in `T26-003377`.
    glued: bool,
    /// Whether it is plainly an amount or a size: a currency before it, a unit behind it.
    measured: bool,
}

/// What may stand between the groups of one number.
const BETWEEN: &str = " .-/()";
const UNITS: [&str; 22] = [
    "lb", "lbs", "pound", "pounds", "dollar", "dollars", "usd", "hours", "hour", "days", "in", "inch",
    "inches", "ft", "feet", "g", "kg", "grams", "cm", "mm", "pieces", "miles",
];

/// All runs of digits of a text in small letters.
pub fn all(text: &str) -> Vec<Number> {
    let chars: Vec<char> = text.chars().collect();
    let mut numbers = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        if !chars[at].is_ascii_digit() {
            at += 1;
            continue;
        }
        let (number, end) = number_from(&chars, at);
        numbers.push(number);
        at = end;
    }
    numbers
}

fn number_from(chars: &[char], start: usize) -> (Number, usize) {
    let run = |from: usize, fits: &dyn Fn(char) -> bool| -> String {
        chars.iter().skip(from).copied().take_while(|c| fits(*c)).collect()
    };
    let before = start.checked_sub(1).and_then(|at| chars.get(at)).copied().unwrap_or(' ');
    let sign =
        chars.iter().take(start).rev().copied().find(|c| !c.is_whitespace() && *c != '(').unwrap_or(' ');
    let (mut groups, mut gaps) = (vec![run(start, &|c| c.is_ascii_digit())], Vec::new());
    let mut end = start + groups[0].len();
    loop {
        let gap = run(end, &|c| BETWEEN.contains(c));
        let next = run(end + gap.len(), &|c| c.is_ascii_digit());
        if gap.is_empty() || gap.len() > 3 || next.is_empty() {
            break;
        }
        end += gap.len() + next.len();
        gaps.push(gap);
        groups.push(next);
    }
    let gap = run(end, &|c| c == ' ');
    let unit = run(end + gap.len(), &|c| c.is_alphabetic());
    let percent = chars.get(end + gap.len()) == Some(&'%');
    let glued = before.is_alphabetic() || (before == '-' && start >= 2 && chars[start - 2].is_alphanumeric());
    let measured = "$€£".contains(sign) || percent || UNITS.contains(&unit.as_str());
    (Number { groups, gaps, plus: sign == '+', glued, measured }, end)
}

/// A number in more groups than one for each of its digits is none.
const MOST_GROUPS: usize = 12;

impl Number {
    /// All its digits.
    pub fn digits(&self) -> String {
        self.groups.concat()
    }

    /// Whether some of its groups, one after the other, are that phone number.
    pub fn holds(&self, digits: &str) -> bool {
        self.windows().any(|(from, to)| super::same_phone(&self.groups[from..to].concat(), digits))
    }

    fn windows(&self) -> impl Iterator<Item = (usize, usize)> {
        let count = self.groups.len();
        (0..count).flat_map(move |from| (from + 1..=count.min(from + MOST_GROUPS)).map(move |to| (from, to)))
    }

    /// What of it has the shape of a phone number.
    pub fn phones(&self) -> Vec<String> {
        if self.measured {
            return Vec::new();
        }
        let shaped = self.windows().filter(|(from, to)| self.is_phone(*from, *to));
        shaped.map(|(from, to)| self.groups[from..to].concat()).collect()
    }

    fn is_phone(&self, from: usize, to: usize) -> bool {
        let groups = &self.groups[from..to];
        let gaps = &self.gaps[from..to - 1];
        let sizes: Vec<usize> = groups.iter().map(String::len).collect();
        let total: usize = sizes.iter().sum();
        let (first, whole) = (from == 0, from == 0 && to == self.groups.len());
        let free = !(first && self.glued);
        let begins = |at: usize| groups.get(at).is_some_and(|g| g.starts_with(|c| ('2'..='9').contains(&c)));
        let round = groups.iter().all(|g| g.ends_with(['0', '5']));
        match sizes.as_slice() {
            _ if whole && self.plus => (8..=15).contains(&total),
            [3, 4] => {
                free && ["-", "."].contains(&gaps[0].as_str()) && (!round || groups[1].starts_with('0'))
            }
            [3, 3, 4] => free && begins(0) && (!round || gaps.iter().any(|gap| gap != " ")),
            [1, 3, 3, 4] => free && groups[0] == "1" && begins(1),
            [10] => free && is_solid(&groups[0]),
            [11] => free && groups[0].strip_prefix('1').is_some_and(is_solid),
            _ => whole && free && groups[0].starts_with('0') && is_trunk(&sizes, total),
        }
    }
}

/// Ten digits in one: area code and exchange begin with 2 to 9.
fn is_solid(digits: &str) -> bool {
    let from_two = |at: usize| digits.as_bytes().get(at).is_some_and(|b| (b'2'..=b'9').contains(b));
    from_two(0) && from_two(3)
}

/// `0171 5550117`, `030 555 01 17`: two groups or more, the last ones long enough, and no day or time of day.
fn is_trunk(sizes: &[usize], total: usize) -> bool {
    let day = sizes.len() == 3 && sizes.iter().all(|size| *size <= 2 || *size == 4) && total <= 8;
    let time = sizes.iter().all(|size| *size <= 2);
    (2..=5).contains(&sizes.len()) && (8..=13).contains(&total) && sizes[0] >= 3 && !day && !time
}
