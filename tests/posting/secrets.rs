//! Secrets come from the environment or from a file that only its owner reads, and are never seen again: not in messages, not
//! in anything that is kept, not at the host.

use super::proxy::{Mood, Proxy};
use super::servers::{self, ACCESS, PASSWORD, SECRET, Storage};
use super::{At, posts, put_up, put_up_at, readme_lines, readme_secrets};
use crate::builder::{Ran, TestShop, tree};
use std::fs;
use std::os::unix::fs::PermissionsExt;

/// Nothing that was said holds a secret.
fn silent(ran: Ran) -> Ran {
    for said in [ran.out(), ran.err()] {
        for secret in [ACCESS, SECRET, PASSWORD, "canary", "CANARY"] {
            assert!(!said.contains(secret), "{secret} in:\n{said}");
        }
    }
    ran
}

fn close(shop: &TestShop, mode: u32) {
    fs::set_permissions(shop.at("post.key"), fs::Permissions::from_mode(mode)).unwrap();
}

#[test]
fn they_come_from_the_environment_or_a_closed_file() {
    let at = At::Storage(Storage::start());
    let shop = TestShop::healthy();
    shop.make(0);
    put_up(&shop, &at.lines(), None);
    silent(shop.run(&["post"]).exits(2))
        .tells("(no-secret)")
        .tells("BENCHLIGHT_ACCESS_KEY")
        .tells("post.key");
    let pair = |name: &str, value: &str| (name.to_owned(), value.to_owned());
    let environment = [pair("BENCHLIGHT_ACCESS_KEY", ACCESS), pair("BENCHLIGHT_SECRET_KEY", SECRET)];
    silent(shop.run_with(&["post"], &environment).exits(0));
    put_up_at(&shop, &at);
    silent(posts(&shop, &at));
    // The names that other programs use for them mean nothing here.
    fs::remove_file(shop.at("post.key")).unwrap();
    let others = [pair("AWS_ACCESS_KEY_ID", ACCESS), pair("AWS_SECRET_ACCESS_KEY", SECRET)];
    silent(shop.run_with(&["post"], &others).exits(2)).tells("(no-secret)");
    // Whatever is kept of a posting holds none.
    for (path, bytes) in tree(shop.path()) {
        let text = String::from_utf8_lossy(&bytes);
        assert!(![ACCESS, SECRET].iter().any(|secret| text.contains(secret)), "{path}");
    }
}

#[test]
fn an_open_file_or_one_in_a_synced_folder_is_refused() {
    let at = At::Storage(Storage::start());
    let shop = TestShop::healthy();
    shop.make(0);
    put_up_at(&shop, &at);
    close(&shop, 0o644);
    silent(shop.run(&["post"]).exits(2)).tells("(open-key-file)").tells("chmod 600");
    silent(shop.run(&["proof"]).exits(1)).tells("(open-key-file)").tells("post.key");
    close(&shop, 0o600);
    for inside in ["content", "public"] {
        fs::copy(shop.at("post.key"), shop.at(inside).join("post.key")).unwrap();
        put_up(&shop, &format!("{}key-file = \"{inside}/post.key\"\n", at.lines()), None);
        silent(shop.run(&["post"]).exits(2)).tells("synced or published");
        fs::remove_file(shop.at(inside).join("post.key")).unwrap();
    }
    let elsewhere = tempfile::tempdir().unwrap();
    let file = elsewhere.path().join("keys");
    fs::copy(shop.at("post.key"), &file).unwrap();
    fs::remove_file(shop.at("post.key")).unwrap();
    put_up(&shop, &format!("{}key-file = \"{}\"\n", at.lines(), file.display()), None);
    silent(posts(&shop, &at));
    // A file with something else in it is not shown either.
    servers::write(&file, "access-key = canary without quotes\n");
    silent(shop.run(&["post"]).exits(2)).tells("(no-secret)");
}

#[test]
fn one_in_shop_toml_is_refused_wherever_and_however_it_stands_there() {
    let shop = TestShop::healthy();
    let lines = readme_lines("storage");
    let before = fs::read_to_string(shop.at("content/shop.toml")).unwrap();
    for wrong in [
        "secret-key = \"canary\"",
        "access-key = \"CANARY\"\nsecret-key = \"canary\"",
        "password = canary",
        "token = '''\ncanary\n'''",
        "passwort = \"x\"\npassword = \"canary",
    ] {
        shop.file("content/shop.toml", format!("{before}\n{lines}{wrong}\n"));
        for command in ["post", "make", "proof", "board"] {
            silent(shop.run(&[command]).exits(2)).tells("(secret-in-shop)").tells("post.key");
        }
        silent(shop.run(&["proof", "--json"]).exits(2)).says("secret-in-shop");
    }
    let address = readme_lines("webdav").replace("https://", "https://ada:canary@");
    shop.file("content/shop.toml", format!("{before}\n{address}"));
    silent(shop.run(&["post"]).exits(2)).tells("(secret-in-shop)");
}

#[test]
fn a_host_that_says_them_back_is_not_repeated() {
    let storage = Storage::start();
    let proxy = Proxy::before(storage.port);
    let shop = TestShop::healthy();
    shop.make(0);
    let here = format!("http://127.0.0.1:{}", proxy.port);
    put_up(
        &shop,
        &readme_lines("storage").replace("https://storage.example", &here),
        Some(&readme_secrets("access-key", &[ACCESS, SECRET])),
    );
    for body in [
        format!(
            "<Error><Code>SignatureDoesNotMatch</Code><Message>{SECRET}</Message><AWSAccessKeyId>{ACCESS}</AWSAccessKeyId></Error>"
        ),
        format!("<Error><Code>{SECRET}</Code><Message>{SECRET}</Message></Error>"),
        format!("{ACCESS} {SECRET}"),
    ] {
        for status in [400, 401, 403, 500] {
            proxy.is(Mood::Answers(1, status, body.clone()));
            silent(shop.run(&["post"]).exits(2));
        }
    }
}

#[test]
fn proof_warns_of_the_demos_key_and_of_an_address_that_is_not_encrypted() {
    let shop = TestShop::healthy();
    shop.make(0);
    let place = tempfile::tempdir().unwrap();
    let key = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/content/shop.key")).unwrap();
    let own = fs::read_to_string(shop.at("content/shop.key")).unwrap();
    fs::set_permissions(shop.at("content/shop.key"), fs::Permissions::from_mode(0o600)).unwrap();
    shop.run(&["proof"]).exits(0);
    put_up_at(&shop, &At::Folder(place.path().join("site")));
    shop.run(&["proof"]).exits(0).tells_nothing();
    shop.file("content/shop.key", &key);
    shop.run(&["proof"]).exits(1).tells("(demo-key)");
    shop.run(&["post"]).exits(2).tells("(demo-key)");
    assert!(!place.path().join("site").exists());
    shop.file("content/shop.key", &own);
    shop.edit("content/shop.toml", "web   = \"https://", "web   = \"http://");
    shop.run(&["proof"]).exits(0).tells("(web-not-https)");
    fs::set_permissions(shop.at("content/shop.key"), fs::Permissions::from_mode(0o644)).unwrap();
    shop.run(&["proof"]).exits(1).tells("(open-key-file)").tells("content/shop.key");
}
