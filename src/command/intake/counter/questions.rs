//! How the counter asks one thing: words, words that must be there, a day, one of several. What is asked, and in which
//! order, is told by `counter`.

use super::Counter;
use crate::base::day::Day;
use crate::base::words::ticked;
use crate::command::intake::Halt;
use crate::command::intake::ask::Ended;
use crate::command::terminal::say;
use crate::problem::nearest;
use std::io::BufRead;

impl<R: BufRead> Counter<'_, R> {
    /// A flag's words, else an answer; nothing is an answer.
    pub(super) fn asked(&mut self, flag: &Option<String>, question: &str) -> Result<Option<String>, Halt> {
        let words = match flag {
            Some(words) => words.trim().to_owned(),
            None if self.asker.is_some() => self.ask(question, None)?,
            None => String::new(),
        };
        Ok(Some(words).filter(|words| !words.is_empty()))
    }

    /// The same where there must be an answer.
    pub(super) fn needed(
        &mut self,
        flag: &Option<String>,
        name: &'static str,
        question: &str,
    ) -> Result<String, Halt> {
        loop {
            match self.asked(flag, question)? {
                Some(words) => return Ok(words),
                None if self.asker.is_some() && flag.is_none() => say("  This can’t be blank."),
                None => {
                    self.missing.push(name);
                    return Ok(String::new());
                }
            }
        }
    }

    pub(super) fn day(&mut self, flag: Option<Day>, question: &str, today: Day) -> Result<Option<Day>, Halt> {
        if flag.is_some() || self.asker.is_none() {
            return Ok(flag);
        }
        loop {
            let answer = self.ask(&format!("{question} (such as {today}, or `today`)"), None)?;
            match answer.to_lowercase().as_str() {
                "" => return Ok(None),
                "today" => return Ok(Some(today)),
                "yesterday" => return Ok(Some(today.minus(1))),
                other => match Day::parse(other) {
                    Some(day) => return Ok(Some(day)),
                    None => say("  Please write the day like 2026-05-02."),
                },
            }
        }
    }

    /// One of several by its number, its word, or what is nearest; with `free`, any words.
    pub(super) fn chosen(
        &mut self,
        question: &str,
        options: &[(&str, &str)],
        default: Option<&str>,
        free: bool,
    ) -> Result<String, Halt> {
        for (at, (key, name)) in options.iter().enumerate() {
            say(&format!("  {}  {key}: {name}", at + 1));
        }
        loop {
            let answer = self.ask(question, default)?;
            let by_number = answer.parse::<usize>().ok().and_then(|n| options.get(n.checked_sub(1)?));
            let by_word = options
                .iter()
                .find(|(key, name)| key.eq_ignore_ascii_case(&answer) || name.eq_ignore_ascii_case(&answer));
            if let Some((key, _)) = by_number.or(by_word) {
                return Ok((*key).to_owned());
            }
            if free {
                return Ok(answer);
            }
            let near = nearest(&answer, options.iter().map(|(key, _)| *key));
            say(&match near {
                Some(near) => format!("  There is no such one; did you mean {}?", ticked(near)),
                None => "  Please type one of the numbers above.".to_owned(),
            });
        }
    }

    pub(super) fn ask(&mut self, question: &str, default: Option<&str>) -> Result<String, Halt> {
        let asker = self.asker.as_mut().ok_or(Halt::Ended)?;
        asker.ask(question, default).map_err(|Ended| Halt::Ended)
    }
}
