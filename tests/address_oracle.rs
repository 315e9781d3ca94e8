//! Private addresses: the keyed hash against RFC 4231, whole addresses against Python's own `hmac`.

use crate::oracle;
use benchlight::door::base::derive::keyed_hash;
use benchlight::door::base::drawn::Drawn;
use benchlight::door::model::ShopKey;
use benchlight::door::work::address;
use std::collections::BTreeSet;

fn bytes(hex: &str) -> Vec<u8> {
    data_encoding::HEXLOWER.decode(hex.as_bytes()).unwrap()
}

/// Key, data and HMAC-SHA-256 of RFC 4231, sections 4.2 to 4.8 (4.6 gives the first 128 bits alone).
fn vectors() -> Vec<(Vec<u8>, Vec<u8>, &'static str)> {
    let text = |s: &str| s.as_bytes().to_vec();
    vec![
        (
            vec![0x0b; 20],
            text("Hi There"),
            "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7",
        ),
        (
            text("Jefe"),
            text("what do ya want for nothing?"),
            "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
        ),
        (vec![0xaa; 20], vec![0xdd; 50], "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe"),
        (
            (0x01..=0x19).collect(),
            vec![0xcd; 50],
            "82558a389a443c0ea4cc819899f2083a85f0faa3e578f8077a2e3ff46729665b",
        ),
        (vec![0x0c; 20], text("Test With Truncation"), "a3b6167473100ee06e0c796c2955552b"),
        (
            vec![0xaa; 131],
            text("Test Using Larger Than Block-Size Key - Hash Key First"),
            "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54",
        ),
        (
            vec![0xaa; 131],
            text(
                "This is a test using a larger than block-size key and a larger than block-size data. \
                 The key needs to be hashed before being used by the HMAC algorithm.",
            ),
            "9b09ffa71b942fcb27635fbcd5b0e944bfdc63644f0713938a7f51535c3a35e2",
        ),
    ]
}

#[test]
fn the_keyed_hash_gives_the_vectors_of_rfc_4231() {
    for (at, (key, data, want)) in vectors().into_iter().enumerate() {
        let code = keyed_hash(&key, &[&data]);
        assert_eq!(code[..want.len() / 2], bytes(want), "test case {}", at + 1);
    }
}

#[test]
fn addresses_agree_with_pythons_hmac() {
    let rows = oracle::rows("addresses.py", &["2000"]);
    let (mut seen, mut drawn) = (BTreeSet::new(), 0);
    for row in &rows {
        let key = ShopKey::new(bytes(row["key"].as_str().unwrap()).try_into().unwrap());
        let link = u32::try_from(row["link"].as_u64().unwrap()).unwrap();
        let word = row["word"].as_str().map(|hex| Drawn::new(bytes(hex).try_into().unwrap()));
        drawn += usize::from(word.is_some());
        let ours = address::of(&key, row["number"].as_str().unwrap(), link, word);
        assert_eq!(ours, row["address"].as_str().unwrap(), "{row}");
        seen.insert(ours);
    }
    assert_eq!(seen.len(), 2000);
    assert!((900..1100).contains(&drawn), "{drawn} of them hang on a drawn word");
}
