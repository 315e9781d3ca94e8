//! What keys are called: which ones hold a secret, which ones mean something under `[post]`, and which headings mean that
//! part.

/// The keys of `[post]`, of all kinds of place.
pub(super) const OF_POST: [&str; 12] = [
    "to", "folder", "endpoint", "bucket", "region", "host", "port", "user", "address", "key-file", "quiet",
    "patience",
];

/// Keys that hold one of these, without their dashes, are secrets; no key that means something in `shop.toml` does.
const PARTS: [&str; 15] = [
    "password",
    "passwort",
    "passwd",
    "passphrase",
    "passcode",
    "passkey",
    "secret",
    "token",
    "accesskey",
    "apikey",
    "privatekey",
    "signingkey",
    "credential",
    "keyid",
    "bearer",
];

/// And so are keys that have one of these for a word of theirs: `aws_pass`, `smtpAuth`, `key`.
const WORDS: [&str; 15] = [
    "pass",
    "pwd",
    "pw",
    "pword",
    "key",
    "keys",
    "auth",
    "oauth",
    "authorization",
    "authentication",
    "cred",
    "creds",
    "psk",
    "pin",
    "otp",
];

/// Other words for the part that says where the site goes, which mean nothing in `shop.toml`.
const LIKE_POST: [&str; 12] = [
    "post", "posts", "posting", "postto", "host", "hosts", "hosting", "upload", "sftp", "webdav", "ftp",
    "server",
];

/// Whether a key is called like a secret. `key-file` only says where one lies.
pub(super) fn is_secret(key: &str) -> bool {
    letters(key) != "keyfile"
        && (is_surely_secret(key) || words(key).iter().any(|word| WORDS.contains(&&**word)))
}

/// Whether it is called so that nothing else can be meant.
pub(super) fn is_surely_secret(key: &str) -> bool {
    let letters = letters(key);
    PARTS.iter().any(|part| letters.contains(part))
}

fn letters(key: &str) -> String {
    key.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase()
}

/// The words that a key is made of: `accessKey`, `access_key` and `access-key` have the same two.
fn words(key: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut small = false;
    for c in key.chars() {
        if !c.is_alphabetic() || c.is_uppercase() && small {
            words.push(String::new());
        }
        small = c.is_lowercase();
        if c.is_alphabetic()
            && let Some(word) = words.last_mut()
        {
            word.extend(c.to_lowercase());
        }
    }
    words
}

/// Whether a name is that of `[post]`, or one that was meant for it: other letter cases, its letters in another order.
pub(super) fn means_post(name: &str) -> bool {
    let name = letters(name);
    let mut sorted: Vec<char> = name.chars().collect();
    sorted.sort_unstable();
    LIKE_POST.contains(&&*name) || sorted == ['o', 'p', 's', 't']
}

/// Whether an unknown key may be named: it is shaped like a word, not like something that was drawn.
pub(super) fn is_nameable(key: &str) -> bool {
    key.len() <= 24 && !key.is_empty() && key.chars().all(|c| c.is_ascii_alphabetic() || "-_.".contains(c))
}

/// Where in a word of a text the user of an address stands: all between `://` and the `@`, whatever signs a password has in it,
/// and the same where the address is percent-encoded (RFC 3986, sections 2.1 and 3.2.1).
pub(super) fn user_in_address(word: &str) -> Option<(usize, usize)> {
    if let Some(start) = word.find("://").map(|at| at + 3) {
        let rest = &word[start..];
        let end = rest.find(['/', '?', '#', '\\', '<', '>', ')', ']', '"', '\'']).unwrap_or(rest.len());
        if let Some(at) = rest[..end].rfind('@') {
            return Some((start, start + at));
        }
        // A password with a slash in it; a port is no password.
        let odd = |after: &str| !after.chars().all(|c| c.is_ascii_digit());
        if rest[..end].split_once(':').is_some_and(|(_, after)| odd(after))
            && let Some(at) = rest.rfind('@')
        {
            return Some((start, start + at));
        }
    }
    let lower = word.to_ascii_lowercase();
    let start = lower.find("%2f%2f")? + 6;
    let end = lower[start..].find(['/', '&', '?']).unwrap_or(lower.len() - start);
    let end = lower[start..].find("%2f").unwrap_or(end).min(end);
    let at = lower[start..start + end].rfind("%40").or_else(|| lower[start..start + end].rfind('@'))?;
    Some((start, start + at))
}
