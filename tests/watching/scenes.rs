//! Scenes replayed with real tools, each in small steps while the program watches: once it is quiet, the
//! site is what a clean `make` of the same content gives. Sources: rsync(1), tar(1), cp(1), mv(1) of Debian.

use super::{Watching, pinned_shop, settles_like_a_clean_make};
use crate::builder::{PHONE_PHOTO, TestShop, tools};
use std::fs;
use std::io::Write;
use std::process::Command;
use std::thread::sleep;
use std::time::Duration;

/// The content as somebody else has it: a job more, photos more, texts other.
fn changed_copy(shop: &TestShop) -> TestShop {
    let other = TestShop::empty();
    run("cp", &["-a", &at(shop, "content"), &at(&other, "content")]);
    other.file("content/jobs/26-041 Fenn gobbler/2 washed/PXL_20260504_160000000.jpg", PHONE_PHOTO);
    other.edit("content/jobs/26-041 Fenn gobbler/job.toml", "left wing", "right wing and the tail");
    other.file(
        "content/jobs/26-043 Ostrow tom/job.toml",
        fs::read(other.at("content/jobs/26-042 Ruell hen/job.toml")).unwrap(),
    );
    other.edit("content/jobs/26-043 Ostrow tom/job.toml", "Bo Ruell", "Cy Ostrow");
    other.edit("content/pages/prices.md", "695", "705");
    fs::remove_file(other.at("content/showroom/turkey/half-strut/about.md")).unwrap();
    other
}

fn at(shop: &TestShop, path: &str) -> String {
    shop.at(path).to_str().unwrap().to_owned()
}

fn run(program: &str, args: &[&str]) {
    tools::printed(Command::new(program).args(args));
}

fn scene(act: impl FnOnce(&TestShop, &TestShop)) {
    let shop = pinned_shop();
    let other = changed_copy(&shop);
    let mut watching = Watching::on(&shop);
    let before = shop.tree("public");
    act(&shop, &other);
    settles_like_a_clean_make(&shop, &mut watching);
    assert!(shop.tree("public") != before, "nothing changed, so nothing is proved");
}

#[test]
fn rsync_by_rename_and_in_place() {
    for how in
        [&["-a"][..], &["-a", "--inplace"], &["-a", "--delay-updates"], &["-rc", "--inplace", "--whole-file"]]
    {
        scene(|shop, other| {
            let (from, to) = (format!("{}/", at(other, "content")), format!("{}/", at(shop, "content")));
            run("rsync", &[how, &["--delete", "--bwlimit=40", &from, &to]].concat());
        });
    }
}

#[test]
fn cp_and_tar_and_mv() {
    scene(|shop, other| run("cp", &["-r", &format!("{}/.", at(other, "content")), &at(shop, "content")]));
    scene(|shop, other| {
        let archive = at(other, "all.tar");
        run("tar", &["-cf", &archive, "-C", &at(other, "."), "content"]);
        run("tar", &["-xf", &archive, "-C", &at(shop, ".")]);
    });
    scene(|shop, other| {
        // A folder within the jobs, one in from outside, a photo from one step to another.
        run("mv", &[&at(shop, "content/jobs/26-042 Ruell hen"), &at(shop, "content/jobs/26-042 Ruell tom")]);
        run(
            "mv",
            &[&at(other, "content/jobs/26-043 Ostrow tom"), &at(shop, "content/jobs/26-043 Ostrow tom")],
        );
        let fenn = at(shop, "content/jobs/26-041 Fenn gobbler");
        fs::create_dir(format!("{fenn}/2 washed")).unwrap();
        run("mv", &[&format!("{fenn}/4 mounted/IMG_20260504_091233.jpg"), &format!("{fenn}/2 washed/x.jpg")]);
    });
    scene(|shop, other| {
        // The whole folder taken away and another put in its place.
        run("mv", &[&at(shop, "content"), &at(shop, "old content")]);
        sleep(Duration::from_millis(400));
        run("mv", &[&at(other, "content"), &at(shop, "content")]);
    });
}

#[test]
fn an_editors_ways_of_saving() {
    let note = "content/jobs/26-041 Fenn gobbler/job.toml";
    scene(|shop, other| {
        // In place: cut to nothing, then written in pieces.
        let text = fs::read(other.at(note)).unwrap();
        let mut file = fs::File::create(shop.at(note)).unwrap();
        for piece in text.chunks(97) {
            file.write_all(piece).unwrap();
            sleep(Duration::from_millis(60));
        }
    });
    scene(|shop, other| {
        // By a rename, with a backup of the old one and a lock beside it.
        shop.file("content/jobs/26-041 Fenn gobbler/.job.toml.swp", "b0VIM");
        shop.file("content/jobs/26-041 Fenn gobbler/4913", "");
        fs::remove_file(shop.at("content/jobs/26-041 Fenn gobbler/4913")).unwrap();
        fs::rename(shop.at(note), shop.at(&format!("{note}~"))).unwrap();
        sleep(Duration::from_millis(300));
        shop.file(note, fs::read(other.at(note)).unwrap());
        fs::remove_file(shop.at(&format!("{note}~"))).unwrap();
        fs::remove_file(shop.at("content/jobs/26-041 Fenn gobbler/.job.toml.swp")).unwrap();
    });
    scene(|shop, _| {
        // Real editors: one that writes in place, one that renames.
        let script = format!("printf '%s\\n' ',s/left wing/ed wing/' w q | ed -s '{}'", at(shop, note));
        run("sh", &["-c", &script]);
        sleep(Duration::from_millis(300));
        run("sed", &["-i", "s/ed wing/sed wing/", &at(shop, note)]);
    });
}
