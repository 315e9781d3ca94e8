//! What a host or the library says, in the owner's words.
//!
//! The library's own words are searched for what is known and never shown: they may hold addresses, headers, or
//! what somebody else's server chose to send. What is shown is ours, with at most the short name that the
//! storage's protocol gives to an error, if it is one that we know.

use super::host::HostKind;
use crate::problem::{Code, Problem};
use std::error::Error;

/// What was being done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Doing {
    List,
    Put,
    Read,
    Remove,
}

impl Doing {
    fn words(self, path: &str) -> String {
        let what = if path.is_empty() { "the place".to_owned() } else { format!("`{path}`") };
        match self {
            Doing::List => format!("could not read {what}"),
            Doing::Put => format!("could not put {what} up"),
            Doing::Read => format!("could not read {what}"),
            Doing::Remove => format!("could not take {what} away"),
        }
    }
}

/// A kind of trouble: how it is known, what it means and what to do.
struct KnownFault {
    /// Any of these in what the library says.
    signs: &'static [&'static str],
    code: Code,
    means: &'static str,
    hint: &'static str,
}

const MAKE_ROOM: &str =
    "see whether there is room at the host, then run this again: it picks up where it stopped";

/// The first that fits counts.
const KNOWN: [KnownFault; 13] = [
    KnownFault {
        signs: &["RequestTimeTooSkewed", "RequestExpired"],
        code: Code::HostRefused,
        means: "the clock of this computer and that of the host differ",
        hint: "set this computer's date, time and time zone right, then run this again",
    },
    KnownFault {
        signs: &[
            "SignatureDoesNotMatch",
            "InvalidAccessKeyId",
            "InvalidSecurity",
            "status: 401",
            "ExpiredToken",
        ],
        code: Code::HostRefused,
        means: "the host does not take the user, the password or the keys",
        hint: "look at `user` in shop.toml, and at the file with the host's secrets or the environment",
    },
    KnownFault {
        signs: &["status: 405"],
        code: Code::HostRefused,
        means: "the host does not do that for this address",
        hint: "look at the address under [post]; a share must tell what is in a folder even where an index.html lies in it \
               (with Apache: `DirectoryIndex disabled`)",
    },
    KnownFault {
        signs: &["NoSuchBucket", "InvalidBucketName"],
        code: Code::HostRefused,
        means: "the host has no such bucket",
        hint: "make it at the host, or look at `bucket` and `endpoint` in shop.toml",
    },
    KnownFault {
        signs: &[
            "status: 507",
            "QuotaExceeded",
            "EntityTooLarge",
            "status: 413",
            "StorageFull",
            "No space left",
            "Disk quota",
            "os error 28",
            "StorageQuota",
        ],
        code: Code::HostRefused,
        means: "there is no room left at the host",
        hint: "make room there, then run this again: it picks up where it stopped",
    },
    KnownFault {
        signs: &["Host key verification failed", "REMOTE HOST IDENTIFICATION"],
        code: Code::HostRefused,
        means: "this computer does not know the host, or the host is another one than before",
        hint: "log in once with `ssh`, and compare what it shows with what your host has told you",
    },
    KnownFault {
        signs: &[
            "Permission denied (publickey",
            "Permission denied (password",
            "Too many authentication failures",
        ],
        code: Code::HostRefused,
        means: "the host does not take the key",
        hint: "look at `user` and `key-file` in shop.toml; logging in with `ssh` must work without a password",
    },
    KnownFault {
        signs: &[
            "Could not resolve",
            "dns error",
            "failed to lookup",
            "Connection refused",
            "ConnectionRefused",
            "Network is unreachable",
            "No route to host",
            "tcp connect error",
            "Connection timed out",
            "is_connect",
        ],
        code: Code::HostAway,
        means: "the host cannot be reached",
        hint: "see whether this computer is on the network and the host's name is right, then run this again",
    },
    KnownFault {
        signs: &["certificate", "UnknownIssuer", "InvalidCertificate"],
        code: Code::HostRefused,
        means: "the host's certificate is not to be trusted",
        hint: "ask your host; sending anything there anyway would show it to anyone in between",
    },
    KnownFault {
        signs: &["timeout", "timed out", "is_timeout"],
        code: Code::HostAway,
        means: "the host says nothing",
        hint: "run this again: it picks up where it stopped; `patience` under [post] is how long it waits",
    },
    KnownFault {
        signs: &[
            "AccessDenied",
            "PermissionDenied",
            "Permission denied",
            "status: 403",
            "PermDenied",
            "os error 13",
            "os error 30",
            "Read-only",
        ],
        code: Code::HostRefused,
        means: "the host does not allow it",
        hint: "give the user of `[post]` the right to list, write and remove there, then run this again",
    },
    KnownFault {
        // SSH_FX_FAILURE: all that SFTP's third version can say of a disk without room.
        signs: &["Sftp server reported error kind Failure"],
        code: Code::HostRefused,
        means: "the host only says that it failed, as it does where its disk is full",
        hint: MAKE_ROOM,
    },
    KnownFault {
        signs: &[
            "status: 5",
            "connection closed",
            "Connection reset",
            "ConnectionReset",
            "Broken pipe",
            "BrokenPipe",
            "BackgroundTaskFailure",
            "SlowDown",
            "RateLimited",
            "connection error",
            "IncompleteMessage",
            "Disconnected",
            "remote process",
            "UnexpectedEof",
            "kex_exchange",
        ],
        code: Code::HostAway,
        means: "the host broke off, again and again",
        hint: "run this again in a while: it picks up where it stopped",
    },
];

/// An error of a request.
pub(super) fn of(place: &str, kind: HostKind, doing: Doing, path: &str, error: &opendal::Error) -> Problem {
    let said = everything_said(error);
    let known = KNOWN.iter().find(|known| known.signs.iter().any(|sign| said.contains(sign)));
    let named = if kind == HostKind::Storage { short_name(&said) } else { None };
    let named = named.map_or_else(String::new, |name| format!(", which it calls {name}"));
    match known {
        Some(known) => {
            let message = format!("{}: {}{named} ({place})", doing.words(path), known.means);
            Problem::new(known.code, message).hint(known.hint)
        }
        // A host that makes no folder says so only when something is to be put in it.
        None if doing == Doing::Put && error.kind() == opendal::ErrorKind::NotFound => {
            let message = format!("{}: the host lets no folder be made for it ({place})", doing.words(path));
            let hint = "see that the folder under [post] is right, and give its user the right to make folders there";
            Problem::new(Code::HostRefused, message).hint(hint)
        }
        None if error.kind() == opendal::ErrorKind::Unsupported => {
            let message = format!("{}: the host cannot do that ({place})", doing.words(path));
            Problem::new(Code::HostRefused, message).hint("look at `to` under [post] in shop.toml")
        }
        None => {
            let message = format!(
                "{}: the host gives an answer that is not understood{named} ({place})",
                doing.words(path)
            );
            let hint = "run this again; if it stays so, look at `[post]` in shop.toml and ask your host";
            Problem::new(Code::HostRefused, message).hint(hint)
        }
    }
}

/// The place cannot even be opened.
pub(super) fn of_place(place: &str, error: &opendal::Error) -> Problem {
    of(place, HostKind::Folder, Doing::List, "", error)
}

/// Less than was sent is there, and the host did not say why.
pub(super) fn cut_short(place: &str, path: &str) -> Problem {
    let message = format!(
        "could not put `{path}` up: the host took only a part of it, as it does where its disk is full ({place})"
    );
    Problem::new(Code::HostRefused, message).hint(MAKE_ROOM)
}

/// A name at the host that is no text.
pub(super) fn odd_name(place: &str, folder: &str) -> Problem {
    let where_to = if folder.is_empty() { "the place".to_owned() } else { format!("`{folder}`") };
    let message = format!("something in {where_to} has a name that cannot be read ({place})");
    Problem::new(Code::HostRefused, message).hint("rename it there, then run this again")
}

/// All that is said, for searching only.
fn everything_said(error: &opendal::Error) -> String {
    // Not what it looks like inside: that has the names of our own layers in it.
    let mut all = error.to_string();
    let mut cause = error.source();
    while let Some(this) = cause {
        all.push_str(&format!(" {this} {this:?}"));
        if let Some(sent) = this.downcast_ref::<reqwest::Error>() {
            all.push_str(if sent.is_connect() { " is_connect" } else { "" });
            all.push_str(if sent.is_timeout() { " is_timeout" } else { "" });
        }
        cause = this.source();
    }
    all
}

/// Names that the storage's protocol gives to errors (from memory). Any other word in their place is the host's own, and may be
/// one that it was shown.
const NAMES: [&str; 24] = [
    "AccessDenied",
    "AccountProblem",
    "AllAccessDisabled",
    "BadDigest",
    "EntityTooLarge",
    "ExpiredToken",
    "InternalError",
    "InvalidAccessKeyId",
    "InvalidArgument",
    "InvalidBucketName",
    "InvalidRequest",
    "InvalidSecurity",
    "MethodNotAllowed",
    "NoSuchBucket",
    "NoSuchKey",
    "NotImplemented",
    "OperationAborted",
    "PermanentRedirect",
    "QuotaExceeded",
    "RequestTimeTooSkewed",
    "RequestTimeout",
    "ServiceUnavailable",
    "SignatureDoesNotMatch",
    "SlowDown",
];

/// The name of an error by the storage's protocol, such as `SlowDown`.
fn short_name(said: &str) -> Option<&'static str> {
    let rest = &said[said.find("code: \"")? + 7..];
    let name = &rest[..rest.find('"')?];
    NAMES.into_iter().find(|known| *known == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use opendal::ErrorKind;

    #[test]
    fn nothing_that_the_library_says_is_shown() {
        for (message, means) in [
            ("S3Error { code: \"RequestTimeTooSkewed\", message: \"canary\" }", "clock"),
            ("S3Error { code: \"SignatureDoesNotMatch\", message: \"canary\" }", "keys"),
            ("canary", "not understood"),
            ("canary: Host key verification failed", "does not know the host"),
        ] {
            let error = opendal::Error::new(ErrorKind::Unexpected, message)
                .with_context("url", "https://canary@host/")
                .set_source(std::io::Error::other("canary"));
            let problem = of("somewhere", HostKind::Storage, Doing::Put, "a.html", &error);
            let all = format!("{} {}", problem.message, problem.hint.unwrap());
            assert!(!all.contains("canary"), "{all}");
            assert!(all.contains(means), "{all}");
        }
    }

    #[test]
    fn only_a_known_word_is_taken_for_the_name_of_an_error() {
        assert_eq!(short_name("x code: \"SlowDown\", y"), Some("SlowDown"));
        assert_eq!(short_name("x code: \"CanarySecret\", y"), None);
        assert_eq!(short_name("x code: \"Slow Down <b>\", y"), None);
        assert_eq!(short_name("x"), None);
    }
}
