//! The content folder: what lies where, and which of it must be there.
//!
//! A folder that is there and cannot be listed stops the pass, or everything that was made of it would
//! vanish from the site. What the files mean is for the readers of each kind.

use super::folder::{self, EntryKind, FolderEntry};
use super::home::Home;
use super::text;
use crate::base::names::{address_word, is_address_word};
use crate::base::words::ticked;
use crate::problem::{Code, Problem, Severity, Source, nearest};
use crate::read::Draft;
use crate::read::Look;
use std::fs;
use std::path::Path;

/// The content folder, for whoever lists what is in it.
pub(in crate::read) struct Content<'a> {
    /// Where it is, and where its links may lead.
    pub home: Home,
    pub look: Look<'a>,
    /// Job files that are not on the disk yet, or not like this.
    pub drafts: &'a [Draft],
}

impl<'a> Content<'a> {
    pub fn open(root: &Path, look: Look<'a>) -> Result<Content<'a>, Problem> {
        let home = fs::canonicalize(root.join("content")).ok().filter(|home| home.is_dir());
        let home = home.ok_or_else(|| {
            Problem::new(Code::NotAShop, "there is no folder `content` here")
                .hint("name the folder that holds `content`, or start a new shop with `benchlight open`")
        })?;
        Ok(Content { home: Home::new(home, root), look, drafts: &[] })
    }

    /// What lies in the content folder itself.
    pub fn top(&self, problems: &mut Vec<Problem>) -> Result<Vec<FolderEntry>, Problem> {
        let top = folder::list(&self.home, &self.home.path, "content", problems).map_err(stopping)?;
        folder::tell_twins(&top, problems);
        Ok(top)
    }

    /// What lies in `content/routes` and the like; nothing if there is no such folder.
    pub fn folder(&self, top: &[FolderEntry], name: &str, problems: &mut Vec<Problem>) -> Vec<FolderEntry> {
        let entries = self.folder_with_twins(top, name, problems);
        folder::tell_twins(&entries, problems);
        entries
    }

    /// The same where equal names are told in another way.
    pub fn folder_with_twins(
        &self,
        top: &[FolderEntry],
        name: &str,
        problems: &mut Vec<Problem>,
    ) -> Vec<FolderEntry> {
        let Some(entry) = top.iter().find(|e| e.name == name) else { return Vec::new() };
        if entry.is_file() {
            let message = format!("{} is a file and must be a folder", ticked(name));
            let problem = Problem::new(Code::Unreadable, message).hint("rename the file");
            problems.push(stopping(folder::at(problem, &entry.file)));
            return Vec::new();
        }
        self.listed(entry, problems)
    }

    /// The entries of a folder that the owner named, such as an animal of the showroom; nothing if it
    /// is none, which is told.
    pub fn named_folder(
        &self,
        entry: &FolderEntry,
        what: &str,
        problems: &mut Vec<Problem>,
    ) -> Option<Vec<FolderEntry>> {
        if entry.is_file() {
            problems.push(folder::unexpected(entry, format!("what belongs here is {what}")));
            return None;
        }
        if entry.is_folder() && !is_address_word(&entry.name) {
            problems.extend(bad_name(entry, &entry.name, ""));
            return None;
        }
        let entries = self.listed(entry, problems);
        folder::tell_twins(&entries, problems);
        Some(entries)
    }

    /// What lies in a folder that the site must not do without.
    fn listed(&self, entry: &FolderEntry, problems: &mut Vec<Problem>) -> Vec<FolderEntry> {
        if entry.is_lost() {
            stop_at(&entry.file, problems);
            return Vec::new();
        }
        let entries = folder::list(&self.home, &entry.path, &entry.file, problems);
        entries.unwrap_or_else(|problem| {
            problems.push(stopping(problem));
            Vec::new()
        })
    }

    /// The text that is to stand in a job's file, if it is not to be read from the disk.
    pub fn draft(&self, folder: &str) -> Option<&'a str> {
        self.drafts.iter().find(|draft| draft.folder == folder).map(|draft| draft.text.as_str())
    }

    /// The folders that drafts would make.
    pub fn with_drafts(&self, mut jobs: Vec<FolderEntry>) -> Vec<FolderEntry> {
        for draft in self.drafts {
            if jobs.iter().all(|entry| entry.name != draft.folder) {
                let file = format!("content/jobs/{}", draft.folder);
                let path = self.home.path.join("jobs").join(&draft.folder);
                jobs.push(FolderEntry {
                    name: draft.folder.clone(),
                    file,
                    path,
                    kind: EntryKind::Folder,
                    twin: None,
                });
            }
        }
        jobs
    }

    /// What lies in a job's or a pose's folder; nothing if that cannot be told.
    pub fn entries(&self, folder: &FolderEntry, problems: &mut Vec<Problem>) -> Option<Vec<FolderEntry>> {
        match folder::list(&self.home, &folder.path, &folder.file, problems) {
            Ok(entries) => {
                folder::tell_twins(&entries, problems);
                Some(entries)
            }
            Err(problem) => {
                problems.push(problem);
                None
            }
        }
    }
}

/// The text of a file that a folder must have.
pub(in crate::read) fn needed_file(
    folder: &FolderEntry,
    entries: &[FolderEntry],
    name: &str,
    problems: &mut Vec<Problem>,
) -> Option<Source> {
    match entries.iter().find(|e| e.name == name) {
        // Which of two is meant nobody knows; that, like a link that leads out, has been told.
        Some(entry) if entry.twin.is_some() || entry.is_lost() => None,
        Some(entry) if entry.is_file() => {
            text::read(&entry.path, &entry.file).map_err(|problem| problems.push(problem)).ok()
        }
        _ => {
            let problem = Problem::new(Code::Unreadable, format!("the folder has no {}", ticked(name)));
            let files = entries.iter().filter(|e| e.is_file()).map(|e| e.name.as_str());
            let hint = match nearest(name, files.filter(|file| file.ends_with("toml"))) {
                Some(near) => format!("is it `{near}`? rename it to `{name}`"),
                None => format!("put a `{name}` into it, or move the folder away"),
            };
            problems.push(folder::at(problem.hint(hint), &folder.file));
            None
        }
    }
}

/// A name that cannot stand in an address, with one that could. One that differs from another only in
/// capitals has been told already.
pub(in crate::read) fn bad_name(entry: &FolderEntry, stem: &str, ending: &str) -> Option<Problem> {
    if entry.twin.is_some() {
        return None;
    }
    let problem =
        Problem::new(Code::BadName, format!("{} cannot be part of an address", ticked(&entry.name)));
    let hint = match address_word(stem).as_str() {
        "" => "rename it with small letters, digits and hyphens".to_owned(),
        word => format!("rename it with small letters, digits and hyphens, such as `{word}{ending}`"),
    };
    Some(folder::at(problem.hint(hint), &entry.file))
}

/// The problem as one that stops the pass.
pub(in crate::read) fn stopping(problem: Problem) -> Problem {
    problem.with_severity(Severity::Stop)
}

/// What has been told of this file or folder stops the pass.
pub(in crate::read) fn stop_at(file: &str, problems: &mut [Problem]) {
    let of_file = |p: &&mut Problem| p.place.as_ref().is_some_and(|place| &*place.file == file);
    problems.iter_mut().filter(of_file).for_each(|problem| problem.severity = Severity::Stop);
}
