//! Our own functions against what NIST and RFC 5869 publish, and whole pages against OpenSSL (PyPI `cryptography`).
//!
//! Vectors: NIST CAVP, "GCM Test Vectors" (gcmEncryptExtIV256, gcmDecrypt256) and RFC 5869, appendix A, as PyPI
//! `cryptography-vectors` carries them.

use super::{files_of, folder_and_key, shop};
use crate::builder::{PHONE_PHOTO, TestShop, tools};
use crate::oracle;
use benchlight::door::base::derive::{derived, keyed_hash};
use benchlight::door::base::digest::Digest;
use benchlight::door::base::drawn::Drawn;
use benchlight::door::model::{PageKey, ShopKey};
use benchlight::door::seal::file::{FileCipher, cipher, opened, sealed};
use benchlight::door::work::address;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

fn bytes(value: &Value) -> Vec<u8> {
    data_encoding::HEXLOWER.decode(value.as_str().unwrap().as_bytes()).unwrap()
}

#[test]
fn aes_gcm_gives_the_vectors_of_nist() {
    let rows = oracle::rows("sealed.py", &["vectors"]);
    let (mut shut, mut open, mut refused) = (0, 0, 0);
    for row in rows.iter().filter(|row| row["of"] != "rfc5869") {
        let lock =
            FileCipher::new(bytes(&row["Key"]).try_into().unwrap(), bytes(&row["IV"]).try_into().unwrap());
        let (beside, cipher) = (bytes(&row["AAD"]), bytes(&row["CT"]));
        let tag: [u8; 16] = bytes(&row["Tag"]).try_into().unwrap();
        let mut text = cipher.clone();
        let fits = lock.open(&beside, &mut text, tag).is_some();
        if row["fails"] == true {
            assert!(!fits, "{row}");
            refused += 1;
            continue;
        }
        assert!(fits && text == bytes(&row["PT"]), "{row}");
        open += 1;
        assert_eq!(lock.shut(&beside, &mut text), Some(tag), "{row}");
        assert_eq!(text, cipher, "{row}");
        shut += 1;
    }
    assert!(shut == open && shut + refused == 750 && refused > 100, "{shut} shut, {refused} refused");
}

#[test]
fn hkdf_gives_the_vectors_of_rfc_5869() {
    let rows = oracle::rows("sealed.py", &["vectors"]);
    let rows: Vec<&Value> = rows.iter().filter(|row| row["of"] == "rfc5869").collect();
    assert_eq!(rows.len(), 3);
    for row in rows {
        let (salt, secret, info) = (bytes(&row["salt"]), bytes(&row["IKM"]), bytes(&row["info"]));
        let made = match row["L"].as_str().unwrap() {
            "82" => derived::<82>(&salt, &secret, &info).to_vec(),
            "42" => derived::<42>(&salt, &secret, &info).to_vec(),
            other => panic!("no case has length {other}"),
        };
        assert_eq!(made, bytes(&row["OKM"]), "{row}");
        // Section 2.2: the extract step is HMAC under the salt, which is filled up with zeros.
        if salt.len() <= 32 {
            let mut own = [0; 32];
            own[..salt.len()].copy_from_slice(&salt);
            assert_eq!(keyed_hash(&own, &[&secret]).to_vec(), bytes(&row["PRK"]), "{row}");
        }
    }
}

#[test]
fn folders_and_keys_agree_with_openssl() {
    let rows = oracle::rows("sealed.py", &["addresses", "500"]);
    let mut drawn = 0;
    for row in &rows {
        let key = ShopKey::new(bytes(&row["key"]).try_into().unwrap());
        let link = u32::try_from(row["link"].as_u64().unwrap()).unwrap();
        let word = row["word"].is_string().then(|| Drawn::new(bytes(&row["word"]).try_into().unwrap()));
        drawn += usize::from(word.is_some());
        let ours = address::sealed(&key, row["number"].as_str().unwrap(), link, word);
        assert_eq!(ours.folder, row["folder"].as_str().unwrap(), "{row}");
        assert_eq!(ours.key.unwrap().reveal(), row["page_key"].as_str().unwrap(), "{row}");
    }
    assert_eq!(rows.len(), 500);
    assert!((200..300).contains(&drawn), "{drawn} of them hang on a drawn word");
}

#[test]
fn openssl_opens_a_sealed_page_and_finds_what_the_open_one_holds() {
    let (sealed, open) = (shop(), TestShop::healthy());
    sealed.make(0);
    open.make(0);
    let (folder, key) = folder_and_key(&sealed, "26-041");
    let (path, plain) = open.private_page("26-041").unwrap();
    let photos = files_of(&open, path.trim_end_matches("index.html"));
    let photos: Vec<&String> = photos.keys().filter(|name| name.ends_with(".jpg")).collect();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/oracle/sealed.py");
    let mut command = tools::python();
    command.arg(script).arg("open").arg(sealed.at("public").join(&folder)).arg(&key);
    let told = tools::printed(command.args(["index.html", "ready.ics"]).args(&photos));
    let told: BTreeMap<String, Value> = serde_json::from_str(&told).unwrap();
    assert!(!photos.is_empty() && told.len() == 2 + photos.len(), "{photos:?}");
    for (role, one) in &told {
        assert!(one["whole"] == true && one["padding"] == true && one["salt"] == true, "{role}: {one}");
    }
    for photo in photos {
        // Renditions are named by what they hold.
        assert!(photo.starts_with(&told[photo]["sha256"].as_str().unwrap()[..16]), "{photo}");
    }
    let page = told["index.html"]["text"].as_str().unwrap();
    assert!(page.contains("26-041") && page.contains("Ada F.") && page.contains("preen"), "{page}");
    assert!(told["ready.ics"]["text"].as_str().unwrap().starts_with("BEGIN:VCALENDAR"));
    // But for the news feed, which no reader could open, it says what the open page says.
    let ledger = |page: &str| page.split("id=money").nth(1).unwrap_or(page).to_owned();
    assert!(ledger(page).contains("$400.00") && ledger(&plain).contains("$400.00"));
    assert!(!page.contains("news.atom") && plain.contains("news.atom"));
    // Another job's key opens nothing here, by other hands as by ours.
    let (_, other) = folder_and_key(&sealed, "26-042");
    let file = &files_of(&sealed, &folder)[told["index.html"]["name"].as_str().unwrap()];
    assert_eq!(opened(&PageKey::new(other), "index.html", file), None);
    assert_eq!(opened(&PageKey::new(key), "index.html", file).as_deref(), Some(page.as_bytes()));
}

#[test]
fn no_key_meets_a_nonce_twice_and_no_two_contents_share_either() {
    // Contents that are near each other, over a few pages and roles; the argument is in `src/seal/file.rs`.
    // Locks are not compared, as they are secret: what each makes of the same bytes tells two of them apart.
    let mut locks = BTreeMap::new();
    let mut made = BTreeMap::new();
    let mut shown = BTreeSet::new();
    for page in 0..4u8 {
        let key = PageKey::new(format!("{page}").repeat(26));
        for role in ["index.html", "ready.ics", "0123456789abcdef.jpg", "0123456789abcdee.jpg"] {
            for n in 0..600usize {
                let content = match n % 3 {
                    0 => vec![0; n],
                    1 => PHONE_PHOTO[..n].to_vec(),
                    _ => format!("<p>{n}</p>").into_bytes(),
                };
                // Some contents come twice, as they do when a pass makes the same page again.
                let input = (page, role, Digest::of(&content));
                let (cipher, mut text) = (cipher(&key, role, &content), [0; 32]);
                let tag = cipher.shut(b"", &mut text).unwrap();
                shown.insert(format!("{cipher:?}"));
                if let Some(other) = locks.insert((text, tag), input) {
                    assert_eq!(other, input, "one key and nonce for two things");
                }
                if n % 60 == 1 {
                    let file = sealed(&key, role, &content);
                    assert_eq!(*made.entry(input).or_insert_with(|| file.clone()), file);
                }
            }
        }
    }
    assert_eq!(shown.len(), 1, "what is secret is not shown");
    assert!(locks.len() > 9_000, "{}", locks.len());
}
