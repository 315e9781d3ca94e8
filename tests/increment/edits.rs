//! What can happen to a shop's folder between two passes.

use super::Dice;
use crate::builder::{PHONE_PHOTO, TestShop, tree};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::time::{Duration, SystemTime};

const PLAIN_PHOTO: &[u8] = include_bytes!("../fixtures/plain.jpg");
const STEPS: [&str; 6] = ["1 skinned", "mounted", "not shown", "head-sent", "collected", "no such step"];

/// A shop that things happen to, and how it was when all was well.
pub struct Edits<'a> {
    shop: &'a TestShop,
    whole: BTreeMap<String, Vec<u8>>,
}

impl<'a> Edits<'a> {
    pub fn new(shop: &'a TestShop) -> Edits<'a> {
        Edits { shop, whole: tree(&shop.at("content")) }
    }

    /// Brings the content back to how it was.
    pub fn restore_all(&self) {
        for path in tree(&self.shop.at("content")).keys().filter(|path| !self.whole.contains_key(*path)) {
            let _ = fs::remove_file(self.shop.at("content").join(path));
        }
        let _ = fs::remove_dir_all(self.shop.at("themes/hangtag"));
        for (path, bytes) in &self.whole {
            let at = format!("content/{path}");
            if fs::read(self.shop.at(&at)).ok().as_ref() != Some(bytes) {
                self.shop.file(&at, bytes);
            }
        }
    }

    /// Something happens; what it was, for the story of a failure.
    pub fn any(&mut self, dice: &mut Dice) -> String {
        match dice.roll(20) {
            0 | 1 => self.swap_letters(dice),
            2 => self.truncate(dice),
            3 | 4 => self.restore_one(dice),
            5 => self.delete(dice),
            6 | 7 => self.new_photo(dice),
            8 => self.move_photo(dice),
            9 => self.retime(dice),
            10 => self.rename_job(dice),
            11 => self.copy_job(dice),
            12 => self.set_line(dice),
            13 => self.theme(dice),
            14 => self.page(dice),
            15 => self.key(dice),
            16 | 17 => self.meddle_with_output(dice),
            18 => {
                self.restore_all();
                "restored all".to_owned()
            }
            _ => "nothing".to_owned(),
        }
    }

    fn files(&self) -> Vec<String> {
        tree(&self.shop.at("content")).into_keys().collect()
    }

    fn one(&self, dice: &mut Dice, fits: impl Fn(&str) -> bool) -> Option<String> {
        let files: Vec<String> = self.files().into_iter().filter(|path| fits(path)).collect();
        files.get(dice.roll(files.len())).map(|path| format!("content/{path}"))
    }

    fn jobs(&self) -> Vec<String> {
        let listed = fs::read_dir(self.shop.at("content/jobs")).into_iter().flatten().flatten();
        let mut names: Vec<String> = listed.map(|e| e.file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    fn job(&self, dice: &mut Dice) -> Option<String> {
        let jobs = self.jobs();
        jobs.get(dice.roll(jobs.len())).cloned()
    }

    /// Another text of the same length, and the file dated as it was.
    fn swap_letters(&self, dice: &mut Dice) -> String {
        let Some(path) = self.one(dice, |p| p.ends_with(".toml") || p.ends_with(".md")) else {
            return String::new();
        };
        let mut text = fs::read(self.shop.at(&path)).unwrap();
        let letters: Vec<usize> = (0..text.len()).filter(|at| text[*at].is_ascii_lowercase()).collect();
        if let Some(at) = letters.get(dice.roll(letters.len())) {
            text[*at] = b'a' + (text[*at] - b'a' + 1) % 26;
        }
        let written = fs::metadata(self.shop.at(&path)).unwrap().modified().unwrap();
        self.shop.file(&path, text);
        set_time(&self.shop.at(&path), written);
        format!("swapped a letter of {path}")
    }

    fn truncate(&self, dice: &mut Dice) -> String {
        let Some(path) = self.one(dice, |_| true) else { return String::new() };
        let bytes = fs::read(self.shop.at(&path)).unwrap();
        let left = dice.roll(bytes.len() + 1);
        self.shop.file(&path, &bytes[..left]);
        format!("cut {path} off at {left}")
    }

    fn restore_one(&self, dice: &mut Dice) -> String {
        let paths: Vec<&String> = self.whole.keys().collect();
        let path = paths[dice.roll(paths.len())];
        self.shop.file(&format!("content/{path}"), &self.whole[path]);
        format!("restored {path}")
    }

    fn delete(&self, dice: &mut Dice) -> String {
        if dice.roll(2) == 0
            && let Some(job) = self.job(dice)
        {
            let at = self.shop.at("content/jobs").join(&job);
            let _ = fs::remove_dir_all(&at);
            let _ = fs::remove_file(&at);
            return format!("deleted job {job}");
        }
        let Some(path) = self.one(dice, |_| true) else { return String::new() };
        fs::remove_file(self.shop.at(&path)).unwrap();
        format!("deleted {path}")
    }

    fn new_photo(&self, dice: &mut Dice) -> String {
        let Some(job) = self.job(dice) else { return String::new() };
        let photo = if dice.roll(2) == 0 { PHONE_PHOTO } else { PLAIN_PHOTO };
        let name =
            ["eyes set.jpg", "IMG_20260511_101010.jpg", "hide.jpg", "2026-05-12 show.jpg"][dice.roll(4)];
        let place = match dice.roll(3) {
            0 => format!("content/jobs/{job}/{name}"),
            _ => format!("content/jobs/{job}/{}/{name}", STEPS[dice.roll(STEPS.len())]),
        };
        if self.shop.at(&place).parent().is_some_and(Path::is_file)
            || self.shop.at("content/jobs").join(&job).is_file()
        {
            return String::new();
        }
        // The bytes behind the end of the picture make it another photo.
        self.shop.file(&place, [photo, &[dice.roll(2) as u8]].concat());
        if dice.roll(2) == 0 {
            set_time(&self.shop.at(&place), SystemTime::UNIX_EPOCH + Duration::from_secs(1_778_000_000));
        }
        format!("saved {place}")
    }

    fn move_photo(&self, dice: &mut Dice) -> String {
        let Some(path) = self.one(dice, |p| p.starts_with("jobs/") && p.ends_with(".jpg")) else {
            return String::new();
        };
        let Some(job) = path.split('/').nth(2) else { return String::new() };
        let to = format!("content/jobs/{job}/{}/moved {}.jpg", STEPS[dice.roll(STEPS.len())], dice.roll(3));
        let _ = fs::create_dir_all(self.shop.at(&to).parent().unwrap());
        let _ = fs::rename(self.shop.at(&path), self.shop.at(&to));
        format!("moved {path} to {to}")
    }

    fn retime(&self, dice: &mut Dice) -> String {
        let Some(path) = self.one(dice, |_| true) else { return String::new() };
        // Some of them in the future, as after a clock that was set back.
        let seconds = 1_777_000_000 + 86_400 * dice.roll(20) as u64 + [0, 400_000_000][dice.roll(2)];
        set_time(&self.shop.at(&path), SystemTime::UNIX_EPOCH + Duration::from_secs(seconds));
        format!("dated {path} anew")
    }

    fn rename_job(&self, dice: &mut Dice) -> String {
        let Some(job) = self.job(dice) else { return String::new() };
        let number = job.split(' ').next().unwrap_or("26-041");
        let to = format!("{number} {}", ["Other", "Fenn gobbler", "names"][dice.roll(3)]);
        let home = self.shop.at("content/jobs");
        let _ = fs::rename(home.join(&job), home.join(&to));
        format!("renamed {job} to {to}")
    }

    fn copy_job(&self, dice: &mut Dice) -> String {
        let Some(job) = self.job(dice) else { return String::new() };
        let to = ["26-041 copy", "26-050 copy", "26-051 copy"][dice.roll(3)];
        for (path, bytes) in tree(&self.shop.at("content/jobs").join(&job)) {
            let place = format!("content/jobs/{to}/{path}");
            if !self.shop.at(&place).is_dir() {
                self.shop.file(&place, bytes);
            }
        }
        format!("copied {job} to {to}")
    }

    fn set_line(&self, dice: &mut Dice) -> String {
        let Some(path) = self.one(dice, |p| p.ends_with("/job.toml")) else { return String::new() };
        let line = [
            "rush = true",
            "link = 2",
            "link = 3",
            "note = \"Another.\"",
            "told = 2026-05-19",
            "sealed = true",
            "sealed = false",
        ][dice.roll(7)];
        let key = line.split(' ').next().unwrap_or_default();
        let text = String::from_utf8_lossy(&fs::read(self.shop.at(&path)).unwrap()).into_owned();
        let rest: Vec<&str> = text.lines().filter(|l| !l.starts_with(key)).collect();
        self.shop.file(&path, format!("{line}\n{}\n", rest.join("\n")));
        format!("wrote {line} in {path}")
    }

    fn theme(&self, dice: &mut Dice) -> String {
        match dice.roll(3) {
            0 => {
                let style = format!("body {{ margin: {}px }}", dice.roll(3));
                self.shop.file("themes/hangtag/look.css", style);
            }
            1 => {
                let template = ["<p>{{ frame.title }}", "{% if %}"][dice.roll(2)];
                self.shop.file("themes/hangtag/page.html", template);
            }
            _ => drop(fs::remove_dir_all(self.shop.at("themes/hangtag"))),
        }
        "changed the theme".to_owned()
    }

    fn page(&self, dice: &mut Dice) -> String {
        let path = ["content/pages/new.md", "content/pages/prices.md"][dice.roll(2)];
        let text = ["# New\n\nText.\n", "# Other\n\n![no](none.jpg)\n", "no heading\n"][dice.roll(3)];
        self.shop.file(path, text);
        format!("wrote {path}")
    }

    fn key(&self, dice: &mut Dice) -> String {
        self.shop.key([7, 9][dice.roll(2)]);
        "another key".to_owned()
    }

    fn meddle_with_output(&self, dice: &mut Dice) -> String {
        let files: Vec<(String, Vec<u8>)> = tree(&self.shop.at("public")).into_iter().collect();
        let Some((path, bytes)) = files.get(dice.roll(files.len())) else { return String::new() };
        let at = format!("public/{path}");
        let written = fs::metadata(self.shop.at(&at)).unwrap().modified().unwrap();
        match dice.roll(4) {
            0 => drop(fs::remove_dir_all(self.shop.at("public"))),
            1 => fs::remove_file(self.shop.at(&at)).unwrap(),
            // Only files that are known again by their mark are ours when the record is lost.
            2 if path.ends_with(".html") => {
                let mut bytes = bytes.clone();
                let end = bytes.len() - 1;
                bytes[end - 20] ^= 1;
                self.shop.file(&at, bytes);
                set_time(&self.shop.at(&at), written);
            }
            _ => {
                self.shop.file(&at, bytes);
            }
        }
        format!("meddled with {at}")
    }
}

fn set_time(path: &Path, time: SystemTime) {
    fs::File::options().write(true).open(path).and_then(|file| file.set_modified(time)).unwrap();
}
