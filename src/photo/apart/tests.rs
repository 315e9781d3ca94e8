//! Helpers that do all that a decoder led astray could do: each costs one photo, and the next is opened.

use super::*;
use std::time::Duration;

fn pool(script: &str) -> Pool {
    let arguments = vec!["-c".to_owned(), script.to_owned()];
    Pool::new(PathBuf::from("/bin/sh"), arguments).with_patience(Duration::from_millis(300))
}

fn fault(script: &str) -> PhotoFault {
    let pool = pool(script);
    let mut opener = opener_of(Some(&pool));
    let first = opener.header(Format::Jpeg, &[7; 3_000_000]).unwrap_err();
    let header = Header { width: 9, height: 9, exif: Default::default(), needs: 1 };
    assert_eq!(opener.made(Format::Jpeg, &[7; 10], &header).unwrap_err(), first, "{script}");
    first
}

#[test]
fn a_helper_that_ends_or_answers_nonsense_costs_one_photo() {
    for script in [
        "exit 0",
        "kill -SEGV $$",
        "head -c 5 >/dev/null; kill -ABRT $$",
        // No length, a length that is too long, no JSON, a head that breaks off.
        "printf 'x'",
        "printf '\\377\\377\\377\\377'; cat >/dev/null",
        "printf '\\002\\000\\000\\000{}'; cat >/dev/null",
        "printf '\\100\\000\\000\\000{'",
    ] {
        assert_eq!(fault(script), guard::gave_up(), "{script}");
    }
}

#[test]
fn a_helper_that_is_silent_is_ended() {
    for script in ["sleep 1000", "cat >/dev/null & sleep 1000", "exec sleep 1000"] {
        let told = fault(script);
        assert_eq!(told, PhotoFault::Damaged("it takes too long to open".to_owned()), "{script}");
    }
}

#[test]
fn what_a_helper_makes_up_is_not_taken() {
    // A header of a size that nobody lets in, and renditions that are no plain JPEG.
    let wide = br#"{"Header":{"width":99999,"height":9,"turn":1,"taken":null,"needs":1}}"#;
    let script = format!(
        "printf '\\{:03o}\\000\\000\\000'; printf '%s' '{}'; cat >/dev/null",
        wide.len(),
        String::from_utf8_lossy(wide)
    );
    let pool = pool(&script);
    let told = opener_of(Some(&pool)).header(Format::Jpeg, b"x").unwrap_err();
    assert_eq!(told, PhotoFault::TooLarge(99_999, 9));

    let made = |file: &[u8], placeholder: &str| {
        making::is_plausible(&Made {
            sizes: vec![(8, 8, file.to_vec())],
            placeholder: placeholder.to_owned(),
        })
    };
    let plain =
        crate::photo::encode::jpeg(&crate::photo::pixels::Rgb { width: 8, height: 8, bytes: vec![9; 192] });
    let plain = plain.unwrap();
    let stand_in = "data:image/jpeg;base64,AAAA";
    assert!(made(&plain, stand_in));
    assert!(!made(b"GIF89a", stand_in) && !made(&plain[..plain.len() - 2], stand_in));
    let commented = [&plain[..2], b"\xFF\xFE\x00\x04hi", &plain[2..]].concat();
    assert!(!made(&commented, stand_in), "a comment can carry anything");
    assert!(!made(&plain, "data:text/html,<b>") && !made(&plain, "data:image/jpeg;base64,\"><b>"));
}

#[test]
fn a_helper_that_cannot_be_started_is_told_as_that() {
    let pool = Pool::new(PathBuf::from("/nowhere/at/all"), Vec::new());
    let told = opener_of(Some(&pool)).header(Format::Jpeg, b"x").unwrap_err();
    assert!(matches!(told, PhotoFault::NoHelper(_)), "{told:?}");
}

#[test]
fn helpers_are_used_again_and_waited_for() {
    let pool = pool("exec cat >/dev/null");
    let places = pool.take();
    let other = pool.take();
    std::thread::scope(|scope| {
        let waits = scope.spawn(|| drop(pool.take()));
        drop((places, other));
        waits.join().unwrap();
    });
}
