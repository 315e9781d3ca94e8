//! `[post]` of `shop.toml`: where the finished site is put up.
//!
//! Secrets never stand there (`secrets` sees to that); how anything gets to the place is `post`'s business.

use crate::base::words::ticked;
use crate::model::{Post, PostTo};
use crate::problem::Code;
use crate::read::toml::table::Table;
use crate::read::toml::value::Value;
use std::net::IpAddr;

#[derive(Clone, Copy)]
enum HostKind {
    Folder,
    Storage,
    Sftp,
    Webdav,
}

pub(in crate::read) fn take(root: &Table<'_>) -> Option<Post> {
    let table = root.table("post", "`[post]`")?;
    let kinds = [
        ("storage", HostKind::Storage),
        ("sftp", HostKind::Sftp),
        ("webdav", HostKind::Webdav),
        ("folder", HostKind::Folder),
    ];
    let kind = table.need("to", "to = \"folder\"").and_then(|v| v.one_of(&kinds));
    // Without a kind no key could be told from a wrong one.
    let to = kind.map(|kind| place(&table, kind));
    let quiet = table.get("quiet").and_then(|v| v.whole(1, 86_400));
    let patience = table.get("patience").and_then(|v| v.whole(1, 3_600));
    let key_file = match kind {
        Some(HostKind::Folder) | None => None,
        Some(_) => table.text("key-file"),
    };
    if kind.is_some() {
        table.finish();
    }
    Some(Post { to: to??, key_file, quiet: quiet.unwrap_or(60), patience: patience.unwrap_or(30) })
}

fn place(table: &Table<'_>, kind: HostKind) -> Option<PostTo> {
    match kind {
        HostKind::Folder => Some(PostTo::Folder { folder: table.needed_text("folder")? }),
        HostKind::Storage => {
            let endpoint =
                table.need("endpoint", "endpoint = \"https://storage.example\"").and_then(|v| address(&v));
            let bucket = table.needed_text("bucket");
            let region = table.text("region").unwrap_or_else(|| "auto".to_owned());
            let folder = table.get("folder").map_or(Some(String::new()), |v| inner_folder(&v));
            Some(PostTo::Storage { endpoint: endpoint?, bucket: bucket?, region, folder: folder? })
        }
        HostKind::Sftp => {
            let host = table.need("host", "host = \"web.example\"").and_then(|v| name(&v, "host"));
            let port = table.get("port").and_then(|v| v.whole(1, 65_535)).and_then(|p| u16::try_from(p).ok());
            // A name that cannot be is told, and then nothing of the file is taken.
            let user = table.get("user").and_then(|v| name(&v, "user"));
            let folder = table.text("folder").unwrap_or_default();
            Some(PostTo::Sftp { host: host?, port, user, folder })
        }
        HostKind::Webdav => {
            let address =
                table.need("address", "address = \"https://dav.example/site/\"").and_then(|v| address(&v));
            let user = table.text("user");
            Some(PostTo::Webdav { address: address?, user })
        }
    }
}

/// A web address without a name, a password or a question in it.
fn address(value: &Value<'_>) -> Option<String> {
    let text = value.text()?;
    let rest = ["https://", "http://"].iter().find_map(|start| text.strip_prefix(start));
    let odd = |c: char| c.is_whitespace() || c.is_control() || "<>\"'`\\?#@{}|^".contains(c);
    if let Some(rest) =
        rest.filter(|rest| !rest.is_empty() && !rest.starts_with(['/', ':', '.']) && !rest.contains(odd))
    {
        if text.starts_with("http://") && !is_this_computer(rest) {
            let message =
                format!("{} is not encrypted: anyone in between can read the password", ticked(value.key));
            let hint =
                "write it with `https://`; if your host has no https, choose another host or `to = \"sftp\"`";
            value.bad(Code::PostInClear, message, hint);
            return None;
        }
        return Some(text.trim_end_matches('/').to_owned());
    }
    let message = format!("{} is no web address of a host", ticked(value.key));
    value.bad(
        Code::BadValue,
        message,
        "write it like `https://storage.example`, without a user or a password in it",
    );
    None
}

/// Whether an address, without its beginning, is one of this very computer, which no network carries (RFC 6761, section 6.3;
/// RFC 1122, section 3.2.1.3; RFC 4291, section 2.5.3).
fn is_this_computer(rest: &str) -> bool {
    let host = rest.split('/').next().unwrap_or_default();
    let (name, port) = match host.strip_prefix('[') {
        Some(inside) => match inside.split_once(']') {
            Some((name, port)) => (name, port),
            None => return false,
        },
        None => host.split_at(host.find(':').unwrap_or(host.len())),
    };
    let port_is_one = port.strip_prefix(':').map_or(port.is_empty(), |digits| digits.parse::<u16>().is_ok());
    let is_loopback = name.parse::<IpAddr>().is_ok_and(|address| address.is_loopback());
    port_is_one && (is_loopback || name.eq_ignore_ascii_case("localhost"))
}

/// A name of a host or a user, which goes to another program as a word and must not be taken for a flag.
fn name(value: &Value<'_>, what: &str) -> Option<String> {
    let text = value.text()?;
    let fits = |c: char| c.is_alphanumeric() || "._-:[]".contains(c);
    if !text.is_empty() && !text.starts_with('-') && text.chars().all(fits) {
        return Some(text);
    }
    let message = format!("{} is no name of a {what}", ticked(&text));
    value.bad(Code::BadValue, message, format!("write the name alone, such as `{} = \"studio\"`", value.key));
    None
}

/// A folder inside a bucket: names with slashes between them.
fn inner_folder(value: &Value<'_>) -> Option<String> {
    let text = value.text()?;
    let text = text.trim_matches('/');
    if text.split('/').all(|part| part != "." && part != "..") && !text.contains("//") {
        return Some(text.to_owned());
    }
    value.bad(Code::BadValue, format!("{} is no folder", ticked(text)), "write it like `my-studio/site`");
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_this_computer_is_reached_without_a_network() {
        for here in ["localhost", "LocalHost:80/x", "127.0.0.1:4000", "127.9.9.9/", "[::1]:80/dav", "[::1]"] {
            assert!(is_this_computer(here), "{here}");
        }
        for away in [
            "localhost.example",
            "127.0.0.1.example",
            "dav.example",
            "10.0.0.1",
            "0.0.0.0",
            "127.1",
            "[::2]",
            "[::1",
            "::1",
            "localhost:x",
            "localhost:80:x",
            "[::ffff:10.0.0.1]",
            "128.0.0.1",
            "",
        ] {
            assert!(!is_this_computer(away), "{away}");
        }
    }
}
