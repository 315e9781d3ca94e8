//! What templates can call besides the engine's own: `say` for words and `percent` for addresses.

use super::words::Words;
use crate::render::markup::is_showable;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use std::io::Write;
use std::sync::Arc;
use tera::{Error, Kwargs, State, StringInput, Tera, TeraResult};

/// Adds them to the engine, and with them the one way in which text becomes HTML.
pub fn register(tera: &mut Tera, words: &Arc<Words>) {
    tera.set_escape_fn(escape);
    let words = words.clone();
    tera.register_function("say", move |given: Kwargs, _: &State| say(&words, &given));
    tera.register_filter("percent", |text: StringInput<'_>, _: Kwargs, _: &State| percent(text.as_str()));
}

/// `say(key="money.due", amount=x)`: the word of that key with its gaps filled.
fn say(words: &Words, given: &Kwargs) -> TeraResult<String> {
    let key = given.must_get::<&str>("key")?;
    let n = given.get::<i64>("n")?;
    let value = |name: &str| {
        let found = given.iter().find(|(k, _)| k.as_str() == Some(name))?.1;
        (!found.is_none() && !found.is_undefined()).then(|| found.to_string())
    };
    words.say(key, n, &value).map_err(Error::message)
}

/// Percent-encoding of all but the unreserved characters and `@`: RFC 3986, section 2.3, for use
/// in the queries of `mailto:` (RFC 6068) and `sms:` (RFC 5724).
pub fn percent(text: &str) -> String {
    const RESERVED: &AsciiSet =
        &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_').remove(b'~').remove(b'@');
    utf8_percent_encode(text, RESERVED).to_string()
}

/// Text as HTML: markup and quotes become references, and what may not stand in HTML at all is
/// left out.
fn escape(text: &str, out: &mut dyn Write) -> std::io::Result<()> {
    let clean: String = text.chars().filter(|c| is_showable(*c)).collect();
    tera::escape_html(&clean, out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_are_percent_encoded() {
        // RFC 3986, section 2.5: "À" is %C3%80 in UTF-8.
        assert_eq!(percent("Job 26-041: À & ?"), "Job%2026-041%3A%20%C3%80%20%26%20%3F");
        assert_eq!(percent("a@b.example"), "a@b.example");
    }

    #[test]
    fn markup_quotes_and_controls_do_no_harm() {
        let mut out = Vec::new();
        escape("<a b='c\" \u{0}\u{7}\u{fffe}d>&", &mut out).unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), "&lt;a b=&#39;c&quot; d&gt;&amp;");
    }
}
