//! Files that are still on their way: a photo cut off in the middle, a text that ends in the middle of a line.
//!
//! A sync writes in pieces, so what looks broken may be whole a moment later. `watch` waits for such a file until
//! it has been still for a while, and the page of its job stays as it was meanwhile. `make` and `proof` do not
//! wait: what they give depends on the content and the day alone.
//!
//! What a name can tell is one table, `base::passing`: on its way, kept elsewhere, second version. What a name cannot tell is told here:
//! a problem that a cut can cause, at a file whose times (the later of writing and inode change) are less than 10 s old, is waited for,
//! and the job's page is kept as that of a broken job is.

use crate::base::files;
use crate::model::{Shop, Worked};
use crate::problem::{Code, Problem, Problems, Severity};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::time::{Duration, SystemTime};

/// A broken file that has been still for so long is told as broken. A sync that pauses for longer in the middle
/// of a file is rare; an owner who has made a mistake would rather know soon.
pub const STILL: Duration = Duration::from_secs(10);

/// No text that is read holds more.
const LARGEST: u64 = 1 << 20;

/// What a pass waits for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Arriving {
    /// Files and folders, by path from the shop's folder.
    pub files: BTreeSet<String>,
    /// Numbers of the jobs that they belong to.
    pub jobs: BTreeSet<String>,
    /// When it is time to look again.
    pub again: Option<Duration>,
}

/// Takes the problems of files that are on their way out of `problems`.
pub fn sift(problems: &mut Problems, shop_folder: &Path, shop: Option<&Shop>, now: SystemTime) -> Arriving {
    let mut arriving = Arriving::default();
    let twins = young_twins(problems, shop_folder, now);
    let (mut rest, mut broken_routes) = (Vec::new(), Vec::new());
    for problem in std::mem::take(problems) {
        let file = problem.place.as_ref().map(|place| place.file.to_string());
        let young = file.as_ref().and_then(|file| rest_of_stillness(&shop_folder.join(file), now));
        let twin = problem.code == Code::SameNumber
            && problem.job.as_ref().is_some_and(|n| twins.contains(&n.to_lowercase()));
        match (file, young) {
            (Some(file), left)
                if twin || (left.is_some() && may_be_cut(&problem, &shop_folder.join(&file))) =>
            {
                let job = problem.job.clone().or_else(|| job_of(&file, shop?));
                arriving.jobs.extend(job);
                arriving.files.insert(file);
                let left = left.unwrap_or(STILL);
                arriving.again = Some(arriving.again.map_or(left, |again| again.min(left)));
            }
            _ if problem.code == Code::BrokenRoute => broken_routes.push(problem),
            _ => rest.push(problem),
        }
    }
    // That its route needs mending is no news while the route is on its way.
    let route_comes = arriving.files.iter().any(|file| file.starts_with("content/routes/"));
    rest.extend(broken_routes.into_iter().filter(|_| !route_comes));
    *problems = rest.into_iter().collect();
    arriving
}

/// Job numbers of which one folder has only just come: a sync renames by copying first and removing then.
fn young_twins(problems: &Problems, shop_folder: &Path, now: SystemTime) -> BTreeSet<String> {
    let same = problems.iter().filter(|problem| problem.code == Code::SameNumber);
    let young = same.filter(|problem| {
        let file = problem.place.as_ref().map(|place| shop_folder.join(&*place.file));
        file.is_some_and(|file| rest_of_stillness(&file, now).is_some())
    });
    young.filter_map(|problem| problem.job.as_ref().map(|number| number.to_lowercase())).collect()
}

impl Arriving {
    /// Takes the jobs that wait out of the pass, so that their pages stay as they were.
    pub fn hold_back(&self, shop: &Shop, worked: &mut Worked) {
        let waits = |place: usize| shop.jobs.get(place).is_some_and(|job| self.jobs.contains(&job.number));
        let held = worked.take_out(|job| waits(job.job));
        let numbers = held.iter().filter_map(|job| shop.jobs.get(job.job)).map(|job| job.number.clone());
        worked.spoilt.extend(numbers);
    }
}

/// Whether a problem can be that of a file, or a folder, of which only a part is there.
fn may_be_cut(problem: &Problem, path: &Path) -> bool {
    match problem.code {
        Code::BadPhoto | Code::PhotoKind | Code::EmptyFile | Code::NotText => true,
        Code::Unreadable | Code::MissingKey | Code::UnexpectedFile => true,
        // A folder that a phone has only just made and is about to name.
        _ if path.is_dir() => true,
        _ if problem.severity == Severity::Note => false,
        _ => ends_in(problem, path),
    }
}

/// Whether the problem lies in the last line of a text that ends without an end of line, or in a line that is
/// another one by now.
fn ends_in(problem: &Problem, path: &Path) -> bool {
    let Some(at) = problem.place.as_ref().and_then(|place| place.at.as_ref()) else { return false };
    let Ok(text) = files::read_up_to(path, LARGEST) else { return true };
    let text = String::from_utf8_lossy(&text);
    let lines: Vec<&str> = text.split('\n').collect();
    let written_since = lines
        .get(at.line.saturating_sub(1))
        .is_none_or(|line| !at.is_of(line.trim_start_matches('\u{feff}')));
    written_since || (!text.ends_with('\n') && at.line >= lines.len())
}

/// How long a file has still to be left alone until it counts as still; nothing if it does already.
///
/// The later of the two times counts: a sync sets the first one back to when the photo was taken, and nobody can
/// set the second. A time that is far off in the future comes from a clock that was set back.
fn rest_of_stillness(path: &Path, now: SystemTime) -> Option<Duration> {
    let facts = fs::metadata(path).ok()?;
    let written = facts.modified().ok()?;
    let moved = changed(&facts).map_or(written, |changed| changed.max(written));
    match now.duration_since(moved) {
        Ok(age) => STILL.checked_sub(age).filter(|left| !left.is_zero()),
        Err(ahead) => (ahead.duration() < STILL).then_some(STILL),
    }
}

#[cfg(unix)]
fn changed(facts: &fs::Metadata) -> Option<SystemTime> {
    use std::os::unix::fs::MetadataExt;
    let seconds = Duration::from_secs(u64::try_from(facts.ctime()).ok()?);
    let rest = Duration::from_nanos(u64::try_from(facts.ctime_nsec()).ok()?);
    SystemTime::UNIX_EPOCH.checked_add(seconds + rest)
}

#[cfg(not(unix))]
fn changed(_facts: &fs::Metadata) -> Option<SystemTime> {
    None
}

/// The job in whose folder a file lies.
fn job_of(file: &str, shop: &Shop) -> Option<String> {
    let inside = |folder: &str| file.strip_prefix(folder).is_some_and(|rest| rest.starts_with('/'));
    shop.jobs.iter().find(|job| inside(job.folder.reveal())).map(|job| job.number.clone())
}
