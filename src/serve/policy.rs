//! Lets a page of the preview load itself anew, under the rules that the page has already.
//!
//! The site's pages forbid every script in a `<meta>` of their own. Here that policy moves into the
//! answer's header, with just what loading anew needs. Nothing in the output folder changes.

use super::reload;

/// The page with its script and the policy to be sent beside it; none if it is no page of ours.
pub(super) fn with_reload(page: &[u8]) -> Option<(Vec<u8>, String)> {
    let text = std::str::from_utf8(page).ok()?;
    let (before, tag, after) = meta(text)?;
    let own = content(tag)?;
    let policy = with_own(own);
    let script = format!("<script src=\"{}\" defer></script>", reload::SCRIPT);
    Some((format!("{before}{script}{after}").into_bytes(), policy))
}

/// The policy with what loading anew needs: our own script, and the stream that it listens to.
fn with_own(policy: &str) -> String {
    let mut rules: Vec<String> =
        policy.split(';').map(str::trim).filter(|rule| !rule.is_empty()).map(str::to_owned).collect();
    for (name, value) in [("script-src", "'self'"), ("connect-src", "'self'"), ("frame-ancestors", "'none'")]
    {
        let is_it = |rule: &&mut String| rule.split_whitespace().next() == Some(name);
        match rules.iter_mut().find(is_it) {
            // Of two rules of one name the second counts for nothing (CSP level 3, 2.2.1), so it joins the first.
            Some(rule) if value == "'self'" => *rule = format!("{} {value}", rule.replace(" 'none'", "")),
            Some(_) => {}
            None => rules.push(format!("{name} {value}")),
        }
    }
    rules.join("; ")
}

/// The `<meta>` that holds the policy, with what stands before and behind it.
fn meta(text: &str) -> Option<(&str, &str, &str)> {
    let at = text.find("Content-Security-Policy")?;
    let start = text[..at].rfind("<meta")?;
    // A `>` inside of the quoted policy is no end of the tag.
    let mut quote = None;
    let length = text[start..].char_indices().find_map(|(i, c)| match (quote, c) {
        (None, '>') => Some(i + 1),
        (None, '"' | '\'') => {
            quote = Some(c);
            None
        }
        (Some(open), c) if c == open => {
            quote = None;
            None
        }
        _ => None,
    })?;
    let end = start + length;
    (at < end).then(|| (&text[..start], &text[start..end], &text[end..]))
}

/// The policy itself: the value of `content`.
fn content(tag: &str) -> Option<&str> {
    let rest = tag.split_once("content=")?.1;
    let quote = rest.chars().next().filter(|c| ['"', '\''].contains(c))?;
    rest[1..].split(quote).next()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_policy_is_found_in_whatever_order_it_is_written() {
        for tag in [
            "<meta http-equiv=\"Content-Security-Policy\" content=\"a 'b' >c\">",
            "<meta content=\"a 'b' >c\" http-equiv=Content-Security-Policy>",
        ] {
            let (page, policy) =
                with_reload(format!("<head><meta charset=utf-8>{tag}<p>").as_bytes()).unwrap();
            assert!(policy.starts_with("a 'b' >c; script-src"), "{policy}");
            let page = String::from_utf8(page).unwrap();
            assert_eq!(
                page,
                format!("<head><meta charset=utf-8><script src=\"{}\" defer></script><p>", reload::SCRIPT)
            );
        }
    }

    #[test]
    fn a_policy_that_lets_in_scripts_already_lets_in_ours_too() {
        let joined = with_own("default-src 'none'; script-src 'sha256-x'; connect-src 'none';");
        assert_eq!(
            joined,
            "default-src 'none'; script-src 'sha256-x' 'self'; connect-src 'self'; frame-ancestors 'none'"
        );
    }

    #[test]
    fn a_page_without_one_stays_as_it_is() {
        for page in
            [&b"<p>Content-Security-Policy"[..], b"<p>", b"", b"\xff", b"<meta Content-Security-Policy"]
        {
            assert!(with_reload(page).is_none());
        }
    }
}
