//! The photos of a job: loose ones, those in folders named by steps, those that are never published.
//!
//! Saving a photo into a step's folder says that the step is reached, so a phone is enough to keep a
//! job up to date. What stands in `[reached]` wins over photos.

use crate::base::names::{address_word, is_photo};
use crate::base::person::gives_away;
use crate::base::words::{count, ticked};
use crate::model::{DatedFact, Job, Photo, Route, TakenBy};
use crate::problem::{Code, Problem};
use crate::read::disk::content::Content;
use crate::read::disk::folder::{self, FolderEntry, by_name};
use crate::read::photo;
use rayon::prelude::*;

/// What a folder inside a job's folder stands for.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Role {
    /// A step that is reached, or the leaving of an away step: the word that `[reached]` uses.
    Reaches {
        word: String,
        step: String,
        shown: bool,
    },
    Collected,
    NotShown,
}

/// The photos that were found, with the word of `[reached]` that each speaks for.
#[derive(Debug, Default)]
pub(in crate::read) struct FolderPhotos {
    photos: Vec<(Photo, Option<String>)>,
}

/// Looks at all photos of a job's folder.
pub(in crate::read) fn gather(
    content: &Content<'_>,
    entries: &[FolderEntry],
    route: &Route,
    problems: &mut Vec<Problem>,
) -> FolderPhotos {
    let mut files: Vec<(FolderEntry, Option<Role>)> = Vec::new();
    for entry in entries.iter().filter(|e| e.name != "job.toml") {
        if entry.is_file() {
            add_file(entry, None, &mut files, problems);
        } else if entry.is_folder() {
            match role(&entry.name, route) {
                Some(role) => add_folder(content, entry, &role, &mut files, problems),
                None => problems.push(unknown_step(entry, route)),
            }
        }
    }
    let looked: Vec<_> =
        files.into_par_iter().map(|(entry, role)| looked_at(content, &entry, role)).collect();
    let mut found = FolderPhotos::default();
    for (result, told) in looked {
        problems.extend(told);
        match result {
            Ok(photo) => found.photos.push(photo),
            Err(problem) => problems.push(problem),
        }
    }
    found
}

fn add_file(
    entry: &FolderEntry,
    role: Option<Role>,
    files: &mut Vec<(FolderEntry, Option<Role>)>,
    problems: &mut Vec<Problem>,
) {
    if is_photo(&entry.name) {
        files.push((entry.clone(), role));
        return;
    }
    let hint = match entry.name.to_lowercase().ends_with(".toml") {
        true => "only `job.toml` is read; if this is a copy that a sync made, keep the right one of the two",
        false => "a job's folder holds `job.toml`, photos and folders named by its steps",
    };
    problems.push(folder::unexpected(entry, hint));
}

/// A photo with what its caption hides, or why there is none.
type PhotoOrProblem = Result<(Photo, Option<String>), Problem>;

fn add_folder(
    content: &Content<'_>,
    folder: &FolderEntry,
    role: &Role,
    files: &mut Vec<(FolderEntry, Option<Role>)>,
    problems: &mut Vec<Problem>,
) {
    for entry in content.entries(folder, problems).unwrap_or_default() {
        if entry.is_file() {
            add_file(&entry, Some(role.clone()), files, problems);
        } else if entry.is_folder() && *role != Role::NotShown {
            problems.push(folder::unexpected(&entry, "put the photos into the step's folder itself"));
        }
    }
}

fn looked_at(
    content: &Content<'_>,
    entry: &FolderEntry,
    role: Option<Role>,
) -> (PhotoOrProblem, Vec<Problem>) {
    let mut problems = Vec::new();
    let (step, shown, word) = match &role {
        None => (None, true, None),
        Some(Role::Reaches { word, step, shown }) => (Some(step.as_str()), *shown, Some(word.clone())),
        Some(Role::Collected) => (None, true, Some("collected".to_owned())),
        Some(Role::NotShown) => (None, false, None),
    };
    let photo = photo::photo(content.look, entry, step, shown, &mut problems).map(|mut photo| {
        // No name can bring out what lies there.
        photo.shown &= role != Some(Role::NotShown);
        (photo, word)
    });
    (photo, problems)
}

/// Whether a folder's name says that nothing of it is ever shown.
pub(in crate::read) fn is_not_shown(name: &str) -> bool {
    name.trim().eq_ignore_ascii_case("not shown")
}

/// Whether photos in a folder of that name are shown without being asked for; none if it means nothing to the route.
pub(in crate::read) fn shows(name: &str, route: &Route) -> Option<bool> {
    role(name, route).map(|role| match role {
        Role::Reaches { shown, .. } => shown,
        Role::Collected => true,
        Role::NotShown => false,
    })
}

/// What a folder's name means: `4 mounted`, `Mounted`, `head-sent`, `collected`, `not shown`.
fn role(name: &str, route: &Route) -> Option<Role> {
    if is_not_shown(name) {
        return Some(Role::NotShown);
    }
    let unnumbered = name.trim_start().trim_start_matches(|c: char| c.is_ascii_digit());
    let unnumbered = unnumbered.trim_start_matches(['.', ')', '-', '_', ' ']);
    // The whole name first: a step may begin with a digit itself.
    [address_word(name), address_word(unnumbered)].iter().find_map(|word| role_of_word(word, route))
}

fn role_of_word(word: &str, route: &Route) -> Option<Role> {
    if word == "collected" {
        return Some(Role::Collected);
    }
    let step = route.steps.iter().find(|step| step.name == word || step.sent.as_deref() == Some(word))?;
    Some(Role::Reaches { word: word.to_owned(), step: step.name.clone(), shown: step.photos })
}

fn unknown_step(entry: &FolderEntry, route: &Route) -> Problem {
    let message =
        format!("the folder {} names no step of the route, so its photos are not shown", ticked(&entry.name));
    let problem = Problem::new(Code::UnknownStep, message);
    let bare = entry.name.trim_start_matches(|c: char| c.is_ascii_digit() || c == ' ');
    let words = super::job_toml::step_words(route).chain(["collected", "not shown"]);
    folder::at(problem.did_you_mean(bare, words), &entry.file)
}

impl FolderPhotos {
    /// Marks what the photos say is reached, each step by its earliest photo, unless the owner said so.
    pub fn reach(&self, job: &mut Job, problems: &mut Vec<Problem>) {
        let mut early = Vec::new();
        for (photo, word) in &self.photos {
            let Some(word) = word else { continue };
            let collected = word == "collected";
            let written = if collected { job.collected.as_ref() } else { job.reached.get(word) };
            // The owner's own line, or an earlier photo.
            if written.is_some_and(|mark| mark.photo.is_none() || mark.day <= photo.taken.day) {
                continue;
            }
            if photo.taken.day < job.taken_in {
                early.push((photo, word));
                continue;
            }
            let mark = DatedFact { day: photo.taken.day, at: None, photo: Some(photo.file.clone()) };
            if collected {
                job.collected = Some(mark);
            } else {
                job.reached.insert(word.clone(), mark);
            }
        }
        problems.extend(early.into_iter().map(|(photo, word)| too_early(photo, word, job)));
    }

    /// Tells of photos whose date is only that of their file, once for a job.
    pub fn tell_file_dates(&self, job: &Job, problems: &mut Vec<Problem>) {
        // The day of a photo that nobody sees and that reaches nothing does not matter.
        let of_use =
            self.photos.iter().filter(|(photo, word)| photo.shown || word.is_some()).map(|(photo, _)| photo);
        let mut undated = of_use.filter(|photo| photo.taken.by == TakenBy::File);
        let Some(first) = undated.next() else { return };
        let others = undated.count();
        let name = first.name();
        let message = match others {
            0 => format!("{} carries no date, so {} is taken from its file", ticked(name), first.taken.day),
            _ => {
                format!("{} carry no date, so the dates of their files are taken", count(others + 1, "photo"))
            }
        };
        let hint = match others {
            0 => "put the day into its name if that is wrong, such as `2026-04-28 eyes set.jpg`",
            _ => "put the day into a name where that is wrong, such as `2026-04-28 eyes set.jpg`",
        };
        let place = if others == 0 { &first.file } else { &job.folder };
        problems.push(folder::at(Problem::new(Code::DatedByFile, message).hint(hint), place.reveal()));
    }

    /// Takes captions away that hold the customer's name, which no page shows in full; told once for a job.
    pub fn keep_names_back(&mut self, job: &Job, problems: &mut Vec<Problem>) {
        let (customer, label) = (&job.private.reveal().customer, job.label.reveal());
        let mut held_back: Vec<&str> = Vec::new();
        for (photo, _) in &mut self.photos {
            if photo.caption.as_ref().is_some_and(|caption| gives_away(caption, customer, label)) {
                photo.caption = None;
                held_back.extend(photo.shown.then_some(photo.file.reveal().as_str()));
            }
        }
        let Some(first) = held_back.first() else { return };
        let name = first.rsplit('/').next().unwrap_or_default();
        let (message, place) = match held_back.len() {
            1 => {
                (format!("{} holds the customer's name, so it is shown without words", ticked(name)), *first)
            }
            n => {
                let photos = count(n, "photo");
                let message = format!("{photos} hold the customer's name, so they are shown without words");
                (message, job.folder.reveal().as_str())
            }
        };
        let hint = "name it by what there is to see, such as `eyes set.jpg`";
        problems.push(folder::at(Problem::new(Code::NameInCaption, message).hint(hint), place));
    }

    /// The photos by day, time of day, and name.
    pub fn in_order(self) -> Vec<Photo> {
        let mut photos: Vec<Photo> = self.photos.into_iter().map(|(photo, _)| photo).collect();
        photos.sort_by(|a, b| {
            let (left, right) = ((a.taken.day, a.taken.second), (b.taken.day, b.taken.second));
            left.cmp(&right).then_with(|| by_name(a.file.reveal(), b.file.reveal()))
        });
        photos
    }
}

fn too_early(photo: &Photo, word: &str, job: &Job) -> Problem {
    let name = photo.name();
    let (day, taken_in) = (photo.taken.day, job.taken_in);
    let message = format!("the photo {} is of {day}, before the piece came in on {taken_in}", ticked(name));
    let hint = format!("if {} is reached, write its day under `[reached]` in `job.toml`", ticked(word));
    folder::at(Problem::new(Code::PhotoDate, message).hint(hint), photo.file.reveal())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Likely, Step, StepWork};

    fn route() -> Route {
        let step = |name: &str, photos: bool, sent: Option<&str>| Step {
            name: name.into(),
            after: vec![],
            work: StepWork::Rest(Likely { least: 1, likely: 1, most: 1 }),
            needs: vec![],
            tells: None,
            photos,
            sent: sent.map(str::to_owned),
        };
        Route {
            key: "x".into(),
            name: "X".into(),
            animal: None,
            needs: vec![],
            deposit: None,
            price_from: None,
            prices: vec![],
            steps: vec![
                step("skinned", false, None),
                step("head-back", true, Some("head-sent")),
                step("2nd-coat", true, None),
            ],
        }
    }

    #[test]
    fn folders_are_named_by_steps() {
        let reaches = |word: &str, step: &str, shown| {
            Some(Role::Reaches { word: word.into(), step: step.into(), shown })
        };
        for (name, want) in [
            ("skinned", reaches("skinned", "skinned", false)),
            ("1 Skinned", reaches("skinned", "skinned", false)),
            ("01. skinned", reaches("skinned", "skinned", false)),
            ("2 Head back", reaches("head-back", "head-back", true)),
            ("head-sent", reaches("head-sent", "head-back", true)),
            ("2nd-coat", reaches("2nd-coat", "2nd-coat", true)),
            ("3 2nd-coat", reaches("2nd-coat", "2nd-coat", true)),
            ("Not Shown", Some(Role::NotShown)),
            ("collected", Some(Role::Collected)),
            ("9 Collected", Some(Role::Collected)),
            ("shown", None),
            ("7", None),
            ("🦃", None),
        ] {
            assert_eq!(role(name, &route()), want, "{name}");
        }
    }
}
