//! What is private or secret by its type: which traits those types do not have, so that no view can serialize, print,
//! sort or pass on a value without saying `reveal`; and that their `Debug` hides it. Who says `reveal` is in `house`.

use benchlight::door::base::identity::Identity;
use benchlight::door::base::private::Private;
use benchlight::door::base::secret::Secret;
use benchlight::door::model::{Job, PageKey, PrivateFacts, Shop, ShopKey, WorkedJob, register::EntryFacts};
use benchlight::door::problem::Source;
use benchlight::door::seal::file::FileCipher;
use benchlight::door::work::address::Address;
use std::borrow::Borrow;
use std::fmt;
use std::hash::Hash;
use std::ops::Deref;

/// Whether a type has a trait. Where the bound holds, the constant of the type itself is taken, else that of the trait
/// which every type has.
macro_rules! has {
    ($type:ty, $($bound:tt)+) => {{
        #[allow(dead_code)]
        trait Otherwise {
            const HAS: bool = false;
        }
        impl<T: ?Sized> Otherwise for T {}
        #[allow(dead_code)]
        struct Asked<T: ?Sized>(std::marker::PhantomData<T>);
        #[allow(dead_code)]
        impl<T: ?Sized + $($bound)+> Asked<T> {
            const HAS: bool = true;
        }
        <Asked<$type>>::HAS
    }};
}

/// The ways by which a value gets into a page, a message, a file or a list of another type, each with whether there is one.
macro_rules! ways_out {
    ($type:ty) => {
        [
            ("Serialize", has!($type, serde::Serialize)),
            ("Display", has!($type, fmt::Display)),
            ("LowerHex", has!($type, fmt::LowerHex)),
            ("Deref", has!($type, Deref)),
            ("AsRef<str>", has!($type, AsRef<str>)),
            ("AsRef<[u8]>", has!($type, AsRef<[u8]>)),
            ("AsRef<Path>", has!($type, AsRef<std::path::Path>)),
            ("Borrow<str>", has!($type, Borrow<str>)),
            ("Into<String>", has!($type, Into<String>)),
            ("Into<Vec<u8>>", has!($type, Into<Vec<u8>>)),
            ("Into<tera::Value>", has!($type, Into<tera::Value>)),
            ("IntoIterator", has!($type, IntoIterator)),
            ("Hash", has!($type, Hash)),
            ("PartialOrd", has!($type, PartialOrd)),
        ]
    };
}

/// Those that a type has.
macro_rules! out_of {
    ($type:ty) => {
        ways_out!($type).into_iter().filter(|(_, is)| *is).map(|(name, _)| name).collect::<Vec<&str>>()
    };
}

#[test]
fn the_question_is_answered_rightly_for_types_that_have_what_is_asked_for() {
    let of_text = out_of!(String);
    for way in ["Serialize", "Display", "Deref", "AsRef<str>", "Borrow<str>", "Into<String>", "Hash"] {
        assert!(of_text.contains(&way), "{way}: {of_text:?}");
    }
    assert_eq!(out_of!(u8).first(), Some(&"Serialize"));
    assert!(out_of!(u8).contains(&"LowerHex") && out_of!(Vec<u8>).contains(&"IntoIterator"));
    assert!(has!(String, Into<tera::Value>) && has!(zeroize::Zeroizing<String>, Deref));
}

#[test]
fn nothing_leads_out_of_what_is_private_or_secret_but_reveal() {
    let none: Vec<&str> = Vec::new();
    assert_eq!(out_of!(Private<String>), none);
    assert_eq!(out_of!(Private<Source>), none);
    assert_eq!(out_of!(Private<PrivateFacts>), none);
    assert_eq!(out_of!(Private<EntryFacts>), none);
    assert_eq!(out_of!(Option<Private<String>>), ["IntoIterator"], "of what is as private");
    assert_eq!(out_of!(Secret<String>), none);
    assert_eq!(out_of!(Secret<[u8; 32]>), none);
    assert_eq!(out_of!(ShopKey), none);
    assert_eq!(out_of!(PageKey), none);
    assert_eq!(out_of!(Identity), none);
    assert_eq!(out_of!(FileCipher), none);
}

#[test]
fn no_view_can_take_a_whole_job_or_a_shop() {
    let none: Vec<&str> = Vec::new();
    assert_eq!(out_of!(Job), none);
    assert_eq!(out_of!(PrivateFacts), none);
    assert_eq!(out_of!(EntryFacts), none);
    assert_eq!(out_of!(Source), none);
    assert_eq!(out_of!(Shop), none);
    assert_eq!(out_of!(WorkedJob), none);
    assert_eq!(out_of!(Address), none);
}

#[test]
fn what_opens_something_is_wiped_when_it_is_dropped() {
    // `base::secret` shows that dropping wipes; here that these types hold their bytes in nothing else.
    assert_eq!(size_of::<ShopKey>(), size_of::<Secret<[u8; 32]>>());
    assert_eq!(size_of::<PageKey>(), size_of::<Secret<String>>());
    assert_eq!(size_of::<Identity>(), size_of::<Secret<[u8; 32]>>());
    assert_eq!(size_of::<FileCipher>(), 2 * size_of::<Secret<[u8; 32]>>());
    assert_eq!(size_of::<Secret<[u8; 32]>>(), size_of::<Box<u8>>(), "moving it moves no bytes");
    assert!(!has!(ShopKey, Copy) && !has!(Secret<[u8; 32]>, Copy) && has!([u8; 32], Copy));
}

#[test]
fn debug_output_tells_none_of_it() {
    let shown = [
        format!("{:?}", Private::new("hush-555".to_owned())),
        format!("{:#?}", Secret::new("hush-555".to_owned())),
        format!("{:?}", ShopKey::new([211; 32])),
        format!("{:?}", PageKey::new("hush-555".to_owned())),
        format!("{:?}", Identity::from_bytes([211; 32])),
        format!("{:?}", FileCipher::new([211; 32], [211; 12])),
    ];
    for text in shown {
        assert!(!text.contains("hush") && !text.contains("211") && !text.contains("d3"), "{text}");
    }
}
