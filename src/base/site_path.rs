//! Paths of the finished site, from its root, with forward slashes: the few that have a meaning by themselves, and what any
//! path tells by its shape. What kind of file lies at one is `model::role`'s, which pages there are is `render`'s.

/// The front page.
pub const FRONT: &str = "index.html";
/// The folder of the private pages.
pub const PRIVATE: &str = "see/";
/// The page that keeps a server from listing the private addresses: it is there before the first of them, and goes after
/// the last.
pub const COVER: &str = "see/index.html";

/// Symbols in the address of an open private page: five bits each, 130 bits in all.
pub const OPEN_ADDRESS: usize = 26;
/// Symbols in that of a sealed one: 80 bits. Whoever guesses it finds what the key alone opens, so this need only be more than
/// can be tried out at a web server; and each symbol less makes the code on the tag coarser.
pub const SEALED_ADDRESS: usize = 16;

/// The folder of a private page, by its address.
pub fn private_folder(address: &str) -> String {
    format!("{PRIVATE}{address}/")
}

/// Whether the path lies under the private addresses.
pub fn is_private(path: &str) -> bool {
    path.starts_with(PRIVATE) && path != COVER
}

/// The private address that a path lies under: a name under `see/` as only a shop's key gives them.
pub fn address_in(path: &str) -> Option<&str> {
    let (address, _) = path.strip_prefix(PRIVATE)?.split_once('/')?;
    let symbol = |b: u8| b"0123456789abcdefghjkmnpqrstvwxyz".contains(&b);
    let long = [SEALED_ADDRESS, OPEN_ADDRESS].contains(&address.len());
    (long && address.bytes().all(symbol)).then_some(address)
}

/// The folder of a path, or the one above a folder, with its slash; the root is nothing.
pub fn folder_of(path: &str) -> &str {
    path.trim_end_matches('/').rfind('/').map_or("", |at| &path[..=at])
}

/// The last part of a path.
pub fn name_of(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

/// The name without its ending, and the ending; nothing of a name without one.
pub fn stem_and_ending(path: &str) -> Option<(&str, &str)> {
    name_of(path).rsplit_once('.')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folders_and_names_are_told() {
        assert_eq!(
            (folder_of("a/b/c"), folder_of("a/b/"), folder_of("c"), folder_of("")),
            ("a/b/", "a/", "", "")
        );
        assert_eq!((name_of("a/b.c"), name_of("b"), name_of("a/")), ("b.c", "b", ""));
        assert_eq!(stem_and_ending("a.d/b.c.jpg"), Some(("b.c", "jpg")));
        assert_eq!(stem_and_ending("a.d/b"), None);
    }

    #[test]
    fn private_addresses_are_told_by_length_and_symbols() {
        assert!(is_private("see/a/index.html") && !is_private(COVER) && !is_private("seen/a"));
        assert_eq!(address_in("see/0123456789abcdefghjkmnpqrs/x"), Some("0123456789abcdefghjkmnpqrs"));
        assert_eq!(
            address_in("see/0123456789abcdef/0123456789abcdefghjkmnpqrs.bin"),
            Some("0123456789abcdef")
        );
        for other in ["see/short/x", "see/0123456789abcdefghjkmnpqrs", "see/0123456789abcdeU/x", COVER, FRONT]
        {
            assert_eq!(address_in(other), None, "{other}");
        }
        assert_eq!(address_in(&private_folder("0123456789abcdef")), Some("0123456789abcdef"));
    }
}
