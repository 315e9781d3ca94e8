//! Names of files and addresses: what may stand in an address, what is never content. People's are in `person`.

/// Whether a text can stand as one part of a public address: lower-case letters, digits and single hyphens.
pub fn is_address_word(text: &str) -> bool {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit();
    !text.is_empty()
        && text.len() <= 80
        && text.split('-').all(|part| !part.is_empty() && part.chars().all(plain))
}

/// An address word made of any text: `Half strut!` becomes `half-strut`. Empty when no letter or digit is left.
pub fn address_word(text: &str) -> String {
    let mut word = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            word.push(c);
        } else if !word.is_empty() && !word.ends_with('-') {
            word.push('-');
        }
    }
    word.trim_end_matches('-').chars().take(80).collect()
}

/// Whether a file holds a key of the shop, by its name: `shop.key`, one that is kept as `shop.key.old…`, `post.key`.
pub fn is_key_file(name: &str) -> bool {
    let name = name.to_lowercase();
    name.starts_with("shop.key") || name.starts_with("post.key")
}

/// Whether a file's ending is that of a picture or a video, so that it is worth looking into as a photo.
pub fn is_photo(name: &str) -> bool {
    const ENDINGS: [&str; 12] =
        ["jpg", "jpeg", "png", "webp", "gif", "heic", "heif", "avif", "mp4", "mov", "m4v", "3gp"];
    let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending);
    ENDINGS.iter().chain(&["webm"]).any(|known| known.eq_ignore_ascii_case(ending))
}

/// Whether a file or folder is the system's, an editor's or a sync's own and never the owner's content.
pub fn is_hidden(name: &str) -> bool {
    use super::passing::{Passing, passing};
    name.starts_with('.')
        || passing(name) == Some(Passing::Temporary)
        || name.eq_ignore_ascii_case("thumbs.db")
        || name.eq_ignore_ascii_case("desktop.ini")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn address_words() {
        assert!(is_address_word("half-strut") && is_address_word("s-bend-2"));
        for bad in ["", "Half", "half--strut", "-half", "half/strut", "..", "half strut", "é"] {
            assert!(!is_address_word(bad), "{bad}");
        }
        assert_eq!(address_word("Half strut, 3/4!"), "half-strut-3-4");
        assert_eq!(address_word("../ÉÉ"), "");
    }

    #[test]
    fn endings_in_any_case() {
        assert!(is_photo("a.JPG") && is_photo("b.HeIc") && is_photo("c.webm"));
        assert!(!is_photo("jpg") && !is_photo("a.txt") && !is_photo("a.jpg.toml"));
    }
}
