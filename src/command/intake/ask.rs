//! Questions in a terminal, one line each.

use crate::command::terminal::{prompt, say};
use std::io::BufRead;

/// Nobody answers any more: the input came to its end.
#[derive(Debug)]
pub struct Ended;

/// Somebody at a terminal.
pub struct Asker<R> {
    input: R,
}

impl<R: BufRead> Asker<R> {
    pub fn new(input: R) -> Asker<R> {
        Asker { input }
    }

    /// The answer, trimmed; where nothing is typed, the default, else nothing.
    pub fn ask(&mut self, question: &str, default: Option<&str>) -> Result<String, Ended> {
        loop {
            prompt(&match default {
                Some(default) => format!("{question} [{default}]: "),
                None => format!("{question}: "),
            });
            let mut bytes = Vec::new();
            let read = self.input.read_until(b'\n', &mut bytes);
            if !matches!(read, Ok(n) if n > 0) {
                return Err(Ended);
            }
            let Ok(line) = String::from_utf8(bytes) else {
                say("  That could not be read as letters; please type it again.");
                continue;
            };
            let answer = line.trim();
            if answer.chars().any(char::is_control) {
                // An arrow key, for example, sends signs that nobody sees.
                say("  There is a sign in it that cannot be seen; please type it again.");
            } else if answer.is_empty() {
                return Ok(default.unwrap_or_default().to_owned());
            } else {
                return Ok(answer.to_owned());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_are_trimmed_and_the_end_is_no_answer() {
        let mut asker = Asker::new(&b"  Ada Fenn \n\n\x1b[A\n\xff\nlast"[..]);
        assert_eq!(asker.ask("who", None).unwrap(), "Ada Fenn");
        assert_eq!(asker.ask("when", Some("today")).unwrap(), "today");
        assert_eq!(asker.ask("odd", None).unwrap(), "last");
        assert!(asker.ask("more", None).is_err());
    }
}
