//! Base32 and currencies against libraries that the program does not use.

use crate::oracle;
use benchlight::door::base::crockford;
use benchlight::door::base::money::Currency;
use std::collections::BTreeMap;

#[test]
fn base32_agrees_with_the_reference_library() {
    let rows = oracle::rows("base32.py", &[]);
    assert_eq!(rows.len(), 7000);
    for row in &rows {
        let text = row["text"].as_str().unwrap();
        assert_eq!(
            crockford::check_symbol(text).map(String::from).as_deref(),
            row["check"].as_str(),
            "{row}"
        );
        if let Some(hex) = row["bytes"].as_str() {
            let key = data_encoding::HEXLOWER.decode(hex.as_bytes()).unwrap();
            assert_eq!(crockford::encode(&key), text);
            assert_eq!(crockford::decode(&text.to_uppercase()), Some(key));
        }
    }
}

#[test]
fn minor_units_agree_with_the_iso_4217_table() {
    let rows = oracle::rows("currencies.py", &[]);
    let table: BTreeMap<&str, Option<u64>> =
        rows.iter().map(|row| (row["code"].as_str().unwrap(), row["digits"].as_u64())).collect();
    assert!(table.len() > 150);
    let letters = || b'A'..=b'Z';
    let codes = letters().flat_map(|a| letters().flat_map(move |b| letters().map(move |c| [a, b, c])));
    let mut unlike = Vec::new();
    for code in codes {
        let code = std::str::from_utf8(&code).unwrap();
        let ours = Currency::from_code(code).map(|c| u64::from(c.exponent()));
        let theirs = table.get(code).copied().flatten();
        if ours != theirs {
            unlike.push((code.to_owned(), ours, theirs));
        }
    }
    // Where the two differ: currencies that were withdrawn and that our library still knows, with the two digits
    // that they had. A shop that names one of them is not told so.
    let withdrawn = ["BGN", "CUC", "HRK", "SLL", "ZWL"];
    assert_eq!(unlike, withdrawn.map(|code| (code.to_owned(), Some(2), None)));
}
