//! The private address of a job: what nobody can guess and nothing has to store.
//!
//! Everything comes from the shop's key. An open page's folder is a keyed hash. The folder and the key of a sealed page are two
//! outputs of HKDF (RFC 5869) with purposes of their own in the info, so that neither tells anything of the other, nor
//! of the folder of the open page.
//!
//! A job for which a word was drawn has its address from another family of messages, so that no number inherits one (`issued`). Numbers are
//! of letters, digits and hyphens, words of base32, so a slash between them leaves nothing open.

use crate::base::crockford;
use crate::base::derive::{derived, keyed_hash};
use crate::base::drawn::Drawn;
use crate::base::site_path::{OPEN_ADDRESS, SEALED_ADDRESS};
use crate::model::{PageKey, PageLink, Shop, ShopKey};
use zeroize::Zeroizing;

/// Symbols of a sealed page's key: 130 bits, what nobody can try out at home either (NIST SP 800-57 part 1 asks for 112
/// today and for 128 from 2031 on).
const KEY_SYMBOLS: usize = 26;
/// Keeps what is derived for sealed pages apart from whatever else may ever be derived from the shop's key.
const SEALED: &[u8] = b"benchlight sealed pages 1";

/// The folder under `see/` for a job: 26 base32 symbols of a keyed hash of its number and link.
/// Numbers are the same without regard to case, as folders may be.
pub fn of(key: &ShopKey, number: &str, link: u32, word: Option<Drawn>) -> String {
    let number = number.to_ascii_lowercase();
    let message = match word {
        None => format!("see/{number}/{link}"),
        Some(word) => format!("drawn/{number}/{link}/{}", word.symbols()),
    };
    let code = keyed_hash(key.reveal(), &[message.as_bytes()]);
    crockford::encode(&code).chars().take(OPEN_ADDRESS).collect()
}

/// Where a job's page stands, and its key if it is sealed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Address {
    /// The folder under `see/`.
    pub folder: String,
    pub key: Option<PageKey>,
}

/// The address of a job's page by its own word, else the shop's, on whether it is sealed.
pub fn of_job(shop: &Shop, number: &str, page: PageLink) -> Address {
    let word = page.draw.map(|word| *word.reveal());
    match page.sealed.unwrap_or(shop.studio.sealed) {
        true => sealed(&shop.key, number, page.link, word),
        false => Address { folder: of(&shop.key, number, page.link, word), key: None },
    }
}

/// The folder and the key of a sealed page.
pub fn sealed(key: &ShopKey, number: &str, link: u32, word: Option<Drawn>) -> Address {
    let number = number.to_ascii_lowercase();
    let branch = |purpose: &str, symbols: usize| -> String {
        let info = match word {
            None => format!("{purpose}/{number}/{link}"),
            Some(word) => format!("drawn {purpose}/{number}/{link}/{}", word.symbols()),
        };
        let bytes = derived::<32>(SEALED, key.reveal(), info.as_bytes());
        let all = Zeroizing::new(crockford::encode(&*bytes));
        all.chars().take(symbols).collect()
    };
    Address { folder: branch("folder", SEALED_ADDRESS), key: Some(PageKey::new(branch("key", KEY_SYMBOLS))) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_26_symbols_and_depends_on_key_number_and_link() {
        let (key, other) = (ShopKey::new([7; 32]), ShopKey::new([8; 32]));
        let address = of(&key, "26-041", 1, None);
        assert_eq!(address.len(), 26);
        assert!(address.chars().all(|c| "0123456789abcdefghjkmnpqrstvwxyz".contains(c)));
        assert_eq!(address, of(&key, "26-041", 1, None));
        for unlike in
            [of(&other, "26-041", 1, None), of(&key, "26-042", 1, None), of(&key, "26-041", 2, None)]
        {
            assert_ne!(address, unlike);
        }
    }

    #[test]
    fn numbers_are_alike_without_regard_to_case() {
        let key = ShopKey::new([7; 32]);
        assert_eq!(of(&key, "T-9a", 1, None), of(&key, "t-9A", 1, None));
    }

    #[test]
    fn a_sealed_page_has_a_folder_and_a_key_of_its_own() {
        let key = ShopKey::new([7; 32]);
        let open = of(&key, "26-041", 1, None);
        let Address { folder, key: Some(own) } = sealed(&key, "26-041", 1, None) else { panic!("no key") };
        assert_eq!((folder.len(), own.reveal().len()), (16, 26));
        assert!(!open.starts_with(&folder) && !own.reveal().starts_with(&folder));
        assert_eq!(sealed(&key, "26-041", 1, None), sealed(&key, "26-041", 1, None));
        for other in [
            sealed(&key, "26-041", 2, None),
            sealed(&key, "26-042", 1, None),
            sealed(&ShopKey::new([8; 32]), "26-041", 1, None),
        ] {
            assert_ne!(other.folder, folder);
            assert_ne!(other.key.as_ref(), Some(&own));
        }
        assert!(!format!("{own:?}").contains(own.reveal()));
    }

    #[test]
    fn number_and_link_cannot_run_together() {
        let key = ShopKey::new([7; 32]);
        assert_ne!(of(&key, "2", 11, None), of(&key, "21", 1, None));
    }

    #[test]
    fn a_drawn_word_makes_another_address_and_hides_behind_it() {
        let key = ShopKey::new([7; 32]);
        let [one, other] = [Some(Drawn::new([1; 10])), Some(Drawn::new([2; 10]))];
        let mut all = std::collections::BTreeSet::new();
        for word in [None, one, other] {
            for number in ["26-041", "26-042"] {
                for link in [1, 2] {
                    let Address { folder, key: Some(own) } = sealed(&key, number, link, word) else {
                        panic!("no key")
                    };
                    assert!(all.insert(of(&key, number, link, word)) && all.insert(folder));
                    assert!(all.insert(own.reveal().to_owned()));
                }
            }
        }
        assert_eq!(of(&key, "T-9a", 1, one), of(&key, "t-9A", 1, one));
    }
}
