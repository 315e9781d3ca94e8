//! What was answered at the counter, and the commented `job.toml` that it makes.

use crate::base::day::Day;
use crate::base::drawn::Drawn;
use crate::base::money::{Currency, Money};
use crate::base::person::last_name;
use crate::model::{Amount, Route, gate};
use toml_edit::Value;

/// Everything that a new job's file can hold.
#[derive(Clone, Debug)]
pub struct Answers {
    pub number: String,
    /// The word that is drawn for it.
    pub draw: Drawn,
    /// The rest of the folder's name; made of customer and piece where nobody says.
    pub label: Option<String>,
    pub customer: String,
    pub phone: Option<String>,
    pub email: Option<String>,
    pub address: Option<String>,
    pub piece: String,
    pub route: String,
    pub taken_in: Day,
    /// None: later.
    pub pose: Option<String>,
    pub tag: TagAnswers,
    pub charges: Vec<Charged>,
    pub paid: Option<Money>,
    pub how: Option<String>,
    pub note: Option<String>,
    pub bench_note: Option<String>,
    pub rush: bool,
}

/// What stands under `[tag]`.
#[derive(Clone, Debug, Default)]
pub struct TagAnswers {
    pub number: Option<String>,
    pub permit: Option<String>,
    pub hunter: Option<String>,
    pub signed: Option<Day>,
    pub taken_on: Option<Day>,
    pub place: Option<String>,
    pub species: Option<String>,
    pub sex: Option<String>,
    pub license: Option<String>,
}

/// A line that is charged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Charged {
    pub what: String,
    pub amount: Amount,
    pub kind: String,
}

impl Answers {
    /// A piece of which nothing is known yet but its number, its drawn word and the day.
    pub fn new(number: String, draw: Drawn, taken_in: Day) -> Answers {
        Answers {
            number,
            draw,
            label: None,
            customer: String::new(),
            phone: None,
            email: None,
            address: None,
            piece: String::new(),
            route: String::new(),
            taken_in,
            pose: None,
            tag: TagAnswers::default(),
            charges: Vec::new(),
            paid: None,
            how: None,
            note: None,
            bench_note: None,
            rush: false,
        }
    }

    /// `Fenn turkey`: how the owner will look for it.
    pub fn usual_label(&self) -> String {
        let last = last_name(&self.customer).or_else(|| self.customer.split_whitespace().next());
        let piece = self.piece.split_whitespace().last().map(str::to_lowercase);
        file_words(&[last.unwrap_or_default(), &piece.unwrap_or_default()].join(" "))
    }

    /// The folder's name.
    pub fn folder(&self) -> String {
        let label = self.label.as_deref().map_or_else(|| self.usual_label(), file_words);
        format!("{} {label}", self.number).trim_end().to_owned()
    }

    /// The text of `job.toml`.
    pub fn text(&self, route: Option<&Route>, currency: Currency) -> String {
        let mut text = format!("# Job {}. Lines that begin with # are notes for you.\n\n", self.number);
        self.head(&mut text);
        self.steps(&mut text, route);
        self.money(&mut text, currency);
        self.tag(&mut text);
        text
    }

    fn head(&self, text: &mut String) {
        let private = "   # never published";
        line(
            text,
            "customer",
            Some(quoted(&self.customer)),
            "",
            "   # the page shows the first name and an initial",
        );
        line(text, "phone", self.phone.as_deref().map(quoted), "\"555-0117\"", private);
        line(text, "email", self.email.as_deref().map(quoted), "\"ada@fenn.example\"", private);
        line(text, "address", self.address.as_deref().map(quoted), "\"3 Mill Road\"", private);
        line(text, "piece", Some(quoted(&self.piece)), "", "");
        line(text, "route", Some(quoted(&self.route)), "", "   # a file of content/routes");
        line(text, "taken-in", Some(self.taken_in.iso()), "", "");
        line(
            text,
            "pose",
            self.pose.as_deref().map(quoted),
            "\"half-strut\"",
            "   # a folder of the showroom, or your own words",
        );
        let pose_on = self.pose.as_ref().map(|_| self.taken_in.iso());
        line(text, "pose-on", pose_on, &self.taken_in.iso(), "   # when the customer settled it");
        line(text, "note", self.note.as_deref().map(quoted), "\"…\"", "   # the customer reads this");
        line(text, "bench-note", self.bench_note.as_deref().map(quoted), "\"…\"", private);
        line(text, "rush", self.rush.then(|| "true".to_owned()), "true", "   # moves it ahead in the line");
        let draw = Some(quoted(&self.draw.written()));
        line(text, "draw", draw, "", "   # the address on the tag hangs on it: leave it as it is");
        line(text, "told", None, &self.taken_in.iso(), "   # the day you told the customer that it is ready");
        line(
            text,
            "collected-by",
            None,
            "\"…\"",
            "   # who came for it, if not the customer; never published",
        );
    }

    fn steps(&self, text: &mut String, route: Option<&Route>) {
        text.push_str("\n[reached]\n");
        text.push_str("# Write a step with its day here when it is over, or save a photo into its folder.\n");
        let Some(route) = route else { return };
        for step in &route.steps {
            if let Some(sent) = &step.sent {
                text.push_str(&format!("# {sent} = {}\n", self.taken_in));
            }
            text.push_str(&format!("# {} = {}\n", step.name, self.taken_in));
        }
        text.push_str(&format!("# collected = {}\n", self.taken_in));
        let mut gates: Vec<&String> = Vec::new();
        for gate in route.steps.iter().flat_map(|step| &step.needs) {
            if !gate::KNOWN.contains(&gate.as_str()) && !gates.contains(&gate) {
                gates.push(gate);
            }
        }
        if !gates.is_empty() {
            text.push_str("\n[have]\n# What is in hand since when.\n");
            for gate in gates {
                text.push_str(&format!("# {gate} = {}\n", self.taken_in));
            }
        }
    }

    fn money(&self, text: &mut String, currency: Currency) {
        for charged in &self.charges {
            text.push_str("\n[[charge]]\n");
            line(text, "what", Some(quoted(&charged.what)), "", "");
            match charged.amount {
                Amount::Flat(amount) => line(text, "amount", Some(amount.plain(currency)), "", ""),
                Amount::Each { each, count } => {
                    line(text, "each", Some(each.plain(currency)), "", "");
                    line(text, "count", Some(count.normalize().to_string()), "", "");
                }
            }
            if charged.kind != "work" {
                line(text, "kind", Some(quoted(&charged.kind)), "", "");
            }
        }
        if let Some(amount) = self.paid {
            text.push_str("\n[[paid]]\n");
            line(text, "on", Some(self.taken_in.iso()), "", "");
            line(text, "amount", Some(amount.plain(currency)), "", "");
            line(text, "how", self.how.as_deref().map(quoted), "\"check\"", "");
        }
    }

    fn tag(&self, text: &mut String) {
        let tag = &self.tag;
        let quote = |value: &Option<String>| value.as_deref().map(quoted);
        text.push_str("\n# For the register; never published. What must stand here differs by state and changes.\n[tag]\n");
        line(text, "number", quote(&tag.number), "\"…\"", "   # of the harvest tag or confirmation");
        line(text, "permit", quote(&tag.permit), "\"…\"", "   # a permit or seal, if there is one");
        line(
            text,
            "signed",
            tag.signed.map(Day::iso),
            &self.taken_in.iso(),
            "   # the hunter signed the tag (migratory birds)",
        );
        line(text, "taken-on", tag.taken_on.map(Day::iso), &self.taken_in.iso(), "   # day of kill");
        line(text, "place", quote(&tag.place), "\"…\"", "   # county and state of kill");
        line(text, "species", quote(&tag.species), "\"…\"", "");
        line(text, "sex", quote(&tag.sex), "\"male\"", "");
        line(text, "hunter", quote(&tag.hunter), "\"…\"", "   # who took it, if not the customer");
        line(text, "license", quote(&tag.license), "\"…\"", "");
    }
}

/// A line, or the same as a note with a sample where there is no value.
fn line(text: &mut String, key: &str, value: Option<String>, sample: &str, remark: &str) {
    match value {
        Some(value) => text.push_str(&format!("{key:<10} = {value}{remark}\n")),
        None => text.push_str(&format!("# {key:<10} = {sample}{remark}\n")),
    }
}

/// Words as TOML writes them, on one line.
fn quoted(words: &str) -> String {
    let one_line: String = words.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    Value::from(one_line.trim()).to_string().trim().to_owned()
}

/// Words that can be part of a folder's name on every computer and phone.
fn file_words(words: &str) -> String {
    let plain = |c: char| if c.is_control() || "/\\:*?\"<>|".contains(c) { ' ' } else { c };
    let words: String = words.chars().map(plain).collect();
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let words: String = words.chars().take(60).collect();
    words.trim_matches(|c: char| c == '.' || c.is_whitespace()).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folders_are_named_so_that_every_computer_takes_them() {
        let mut answers = Answers::new("26-042".into(), Drawn::new([7; 10]), Day::new(2026, 5, 2).unwrap());
        answers.customer = "Fenn, Ada".into();
        answers.piece = "Eastern wild Turkey".into();
        assert_eq!(answers.folder(), "26-042 Fenn turkey");
        answers.label = Some("../A\\B: \"c\"?  d. ".into());
        assert_eq!(answers.folder(), "26-042 A B c d");
        answers.label = Some(String::new());
        assert_eq!(answers.folder(), "26-042");
    }

    #[test]
    fn words_stay_on_their_line_whatever_is_in_them() {
        for odd in ["a \"b\" 'c'", "x\n[reached]\nskinned = 2026-05-02", "tab\there", "ends \\", "'''", "🦃"]
        {
            let text = quoted(odd);
            assert!(!text.contains('\n'), "{text}");
            let parsed: toml_edit::DocumentMut = format!("a = {text}").parse().unwrap();
            let want: String = odd.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
            assert_eq!(parsed["a"].as_str(), Some(want.as_str()));
        }
    }
}
