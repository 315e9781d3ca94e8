//! What counts as an email address: one that may be shown, and one that a link may lead to.
//!
//! Where one is found in a running text is `telltale`'s business, what an owner is told about a bad one `read`'s.

/// Whether a text is an address as people write them, so that it may stand on a page: `name@host` with a dot in the host, and
/// none of the signs that part words or open markup.
pub fn is_address(text: &str) -> bool {
    let odd = |c: char| c.is_whitespace() || c.is_control() || "<>\"'`@?&,;:()[]\\".contains(c);
    text.split_once('@').is_some_and(|(name, host)| {
        !name.is_empty() && host.contains('.') && !name.contains(odd) && !host.contains(odd)
    })
}

/// Whether a text is an address that needs no quoting (RFC 5322, 3.4.1 with 3.2.3), so that a link may lead to it once it is
/// percent-coded.
pub fn is_plain(text: &str) -> bool {
    let atom = |c: char| c.is_ascii_alphanumeric() || "!#$%&'*+-/=?^_`{|}~".contains(c);
    let host = |c: char| c.is_ascii_alphanumeric() || c == '-';
    let dotted = |text: &str, fits: &dyn Fn(char) -> bool| {
        text.split('.').all(|part| !part.is_empty() && part.chars().all(fits))
    };
    text.split_once('@').is_some_and(|(name, domain)| dotted(name, &atom) && dotted(domain, &host))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_that_need_no_quoting_are_written_to() {
        // RFC 6068, section 6.1: `gorby%kremvax@example.com` and `unlikely?address@example.com` are addresses.
        for good in [
            "ada@fenn.example",
            "desk@lamp.example",
            "gorby%kremvax@example.com",
            "unlikely?address@example.com",
        ] {
            assert!(is_plain(good), "{good}");
        }
        for bad in [
            "ada",
            "desk",
            "@lamp.example",
            "a b@c.example",
            "a@b?cc=c@d.example",
            "a@b@c",
            ".a@b.example",
            "a..b@c.example",
            "a@b c",
            "a@",
            "\"a\"@b.c",
        ] {
            assert!(!is_plain(bad), "{bad}");
        }
    }

    #[test]
    fn what_may_stand_on_a_page_has_one_at_sign_and_a_dot_behind_it() {
        for good in ["ada@fenn.example", "ada+birds@fenn.example", "åse@øst.example"] {
            assert!(is_address(good), "{good}");
        }
        for bad in ["", "ada", "@fenn.example", "ada@fenn", "a b@c.example", "a@b@c.example", "a<@b.example"]
        {
            assert!(!is_address(bad), "{bad}");
        }
    }
}
