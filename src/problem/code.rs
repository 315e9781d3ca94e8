//! The stable code of every kind of problem, its usual severity, and a line that explains it.
//!
//! Codes are for looking up and for `--json`; they never change their meaning.

use super::Severity::{self, Mend, Note, Stop};

macro_rules! codes {
    ($($variant:ident, $name:literal, $severity:ident, $about:literal;)*) => {
        /// A kind of problem.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code { $(#[doc = $about] $variant,)* }

        impl Code {
            /// Every code, in the order of this table.
            pub const ALL: &'static [Code] = &[$(Code::$variant,)*];

            /// The stable name, kebab-case.
            pub fn name(self) -> &'static str {
                match self { $(Code::$variant => $name,)* }
            }

            /// How bad it is unless the place makes it worse.
            pub fn severity(self) -> Severity {
                match self { $(Code::$variant => $severity,)* }
            }
        }
    };
}

codes! {
    // Files and folders
    NotAShop, "not-a-shop", Stop, "the folder has no content/shop.toml";
    Unreadable, "unreadable", Mend, "a file or folder could not be read";
    NotText, "not-text", Mend, "a text file holds bytes that are not UTF-8 text";
    EmptyFile, "empty-file", Mend, "a file has nothing in it";
    FileTooLarge, "file-too-large", Mend, "a text file is larger than any that a person writes";
    LinkLeadsOut, "link-leads-out", Mend, "a link leads out of the folder that its file belongs in";
    KeyShown, "key-shown", Mend, "a key of the shop is under another name where it would be published";
    TooMany, "too-many", Mend, "there is more of something than any shop has";
    UnexpectedFile, "unexpected-file", Note, "a file or folder is where nothing reads it";
    NotHere, "not-here", Mend, "a file is kept elsewhere and not on this computer";
    ConflictCopy, "conflict-copy", Note, "a second version of a file that a sync kept is not read";
    BadName, "bad-name", Mend, "a file or folder has a name that cannot be used";
    // Writing of the owner's files
    Syntax, "syntax", Mend, "the file is not well-formed TOML";
    UnknownKey, "unknown-key", Mend, "a key that means nothing here";
    MissingKey, "missing-key", Mend, "a key that must be there is not";
    WrongKind, "wrong-kind", Mend, "a value is of another kind than the key asks for";
    BadValue, "bad-value", Mend, "a value is of the right kind but cannot be right";
    BadMoney, "bad-money", Mend, "an amount of money cannot be read";
    BadDate, "bad-date", Mend, "a date cannot be read or cannot be right";
    // The shop
    BadKey, "bad-key", Stop, "shop.key is missing or damaged";
    UnknownCurrency, "unknown-currency", Mend, "the currency is no ISO 4217 code";
    SealedWithoutHttps, "sealed-without-https", Mend, "pages are sealed, but the web address does not begin with https";
    UnknownPage, "unknown-page", Mend, "the menu or a link names a page that does not exist";
    // Routes and partners
    UnknownStep, "unknown-step", Mend, "a step that the route does not have";
    UnknownPartner, "unknown-partner", Mend, "a partner that partners.toml does not have";
    Cycle, "cycle", Mend, "steps of a route wait for each other in a circle";
    Twice, "twice", Mend, "a name is used twice where it must be the only one";
    OddValue, "odd-value", Note, "a value can be read, but it is hardly what was meant";
    BrokenRoute, "broken-route", Mend, "a job follows a route that needs mending itself";
    // Jobs
    UnknownRoute, "unknown-route", Mend, "a route that the shop does not have";
    UnknownPose, "unknown-pose", Note, "a pose that the showroom does not have";
    UnknownGate, "unknown-gate", Mend, "something in hand that no step of the route needs";
    OddName, "odd-name", Note, "a customer's name is written so that the page may show it oddly";
    RefundTooLarge, "refund-too-large", Note, "more was given back than was ever paid";
    WrittenOffTooLarge, "written-off-too-large", Mend, "more was written off than is owed";
    CollectedOwes, "collected-owes", Note, "a piece was collected, and its bill is not even";
    DiscountTooLarge, "discount-too-large", Note, "a discount is larger than the charges that it applies to";
    SameNumber, "same-number", Mend, "two job folders begin with the same number";
    AddressGiven, "address-given", Mend, "the private address of a job was given to another customer before";
    // What cannot be true
    BeforeTakenIn, "before-taken-in", Mend, "something happened before the piece was taken in";
    OutOfOrder, "out-of-order", Mend, "a step was reached before one that it needs";
    InTheFuture, "in-the-future", Mend, "something is dated later than today";
    // Photos
    BadPhoto, "bad-photo", Mend, "a photo cannot be read";
    PhotoKind, "photo-kind", Mend, "a picture of a kind that cannot be shown";
    PhotoCache, "photo-cache", Mend, "what was made of a photo could not be kept, so it is not shown";
    PhotoHelper, "photo-helper", Mend, "the helper that opens photos does not start, so a photo is not shown";
    VideoLeftOut, "video-left-out", Note, "a video is not shown";
    DatedByFile, "dated-by-file", Note, "a photo carries no date, so its file's date was taken";
    UnclearName, "unclear-name", Note, "a photo's name leaves a doubt whether it may be shown, so it is not";
    NameInCaption, "name-in-caption", Note, "a photo's name holds its customer's name, so it has no caption";
    PrivateInCaption, "private-in-caption", Note, "a photo's name holds something private of its job, so it has no caption";
    PrivateInText, "private-in-text", Mend, "a text that customers read holds something private";
    PhotoDate, "photo-date", Mend, "a photo's date cannot be right";
    // Pages and the theme
    NoHeading, "no-heading", Mend, "a page has no heading to be named by";
    UnsafeAddress, "unsafe-address", Note, "an address in a text was left out, as it could do harm";
    MissingPicture, "missing-picture", Mend, "a text shows a picture that is not there";
    Theme, "theme", Stop, "a template or a word of the theme does not work";
    UnknownThemeFile, "unknown-theme-file", Note, "a file in themes/ takes the place of none";
    // The site and its folder
    HeldBack, "held-back", Mend, "a page is held back, as a photo on it was taken back and it cannot be made again";
    OutputTaken, "output-taken", Stop, "the output folder holds a file that Benchlight did not write";
    OutputFailed, "output-failed", Stop, "the output folder could not be written";
    RecordMissing, "record-missing", Note, "the record of what the last pass wrote is gone";
    JobsGone, "jobs-gone", Stop, "every job is gone from the content at once";
    NotOurs, "not-ours", Note, "a file that was to be removed is somebody else's by now";
    // The counter
    NoWebAddress, "no-web-address", Stop, "the shop has no web address that a hang tag could lead to";
    NoAnswer, "no-answer", Stop, "something is missing and nobody is there to ask";
    UnknownJob, "unknown-job", Stop, "no job of the shop has this number";
    // Putting the site up
    NoPlace, "no-place", Stop, "shop.toml names no place that the site could be put up at";
    NothingToPost, "nothing-to-post", Stop, "there is no whole site in public/ that could be put up";
    SecretInShop, "secret-in-shop", Mend, "a secret of the host's is in shop.toml";
    NoSecret, "no-secret", Stop, "what the host wants to be shown is not there or cannot be read";
    OpenKeyFile, "open-key-file", Mend, "a file with a secret can be read by others on this computer";
    PostInClear, "post-in-clear", Mend, "the site would be put up by an address that is not encrypted";
    DemoKey, "demo-key", Stop, "the shop uses the key of the demo shop, which everybody can read";
    WeakKey, "weak-key", Stop, "the shop's key was not drawn at random, so it can be guessed";
    WebNotHttps, "web-not-https", Note, "the web address of the shop is not encrypted";
    HostAway, "host-away", Stop, "the host cannot be reached, or says nothing";
    HostRefused, "host-refused", Stop, "the host refuses what was asked of it";
    HostTaken, "host-taken", Stop, "somebody else's file is at the host where a page has to go";
    PlaceTaken, "place-taken", Stop, "the place is not empty, and nothing says that this shop put its site there";
    BadPlace, "bad-place", Stop, "the site would go into a shop's own folder, or over one";
    StillThere, "still-there", Mend, "something that should be gone from the host is still there";
    NotThere, "not-there", Mend, "something that was put up is not at the host as it should be";
    Unposted, "unposted", Note, "a file of the site, or one at the host, was left alone when it was put up";
    // The program itself
    GaveUp, "gave-up", Stop, "the program gave up in the middle of its work, by a mistake of its own";
    ClockAhead, "clock-ahead", Mend, "the clock is far past the last sign of life, so pages that would be over stay";
    // The lock
    NoPreview, "no-preview", Stop, "the preview on this computer could not be begun";
    Busy, "busy", Stop, "another pass is at work on the same shop";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_kebab_case() {
        let mut names: Vec<&str> = Code::ALL.iter().map(|c| c.name()).collect();
        assert!(names.iter().all(|n| n.chars().all(|c| c.is_ascii_lowercase() || c == '-')));
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Code::ALL.len());
    }
}
