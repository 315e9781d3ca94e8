//! `watch`: makes the site, shows it on this computer, and makes it again on each save and at midnight.
//!
//! A pass that goes wrong is told, and the watch goes on; what stands in `public/` stays as it was.
//!
//! It joins `watch::Watch`, `serve::Preview` and `publish::run`. `snapshot` keeps how every job stood, so that `moved` can say what moved.
//! `told_problems` keeps which problems were reported, so that each is reported once. `posting` puts the site up when it is quiet. A pass
//! begins when something changed and it is quiet, when the day changes, and when a file that was waited for (`arriving`) has been still.

mod moved;
mod posting;
mod snapshot;
mod told_problems;

use super::arriving::{self, Arriving};
use super::pass::{Memory, Pass, PassMode};
use super::publish::{self, Callbacks};
use super::terminal::{Progress, say, tell, tell_problems};
use super::{Outcome, clock, guard};
use crate::base::day::Day;
use crate::base::words::count;
use crate::problem::{Code, Problem, Problems, Severity};
use crate::serve::Preview;
use crate::watch::{Ender, Stir, Trouble, Watch};
use crate::write::{Changes, Unpublished};
use crate::{render, work, write};
use posting::Posting;
use snapshot::Snapshot;
use std::cell::Cell;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use told_problems::ToldProblems;

/// The port that is tried first.
pub const PORT: u16 = 7026;
/// What was in the way for a moment (another pass, a full disk) is tried again after this.
const AGAIN: Duration = Duration::from_secs(10);

/// Watches the shop in `shop` until it is told to end; with `post` its site is put up when nothing is saved.
pub fn run(shop: &Path, port: u16, poll: bool, post: bool) -> Outcome {
    match begin(shop, port, poll, post) {
        Ok((mut session, mut watch)) => {
            session.go_on(&mut watch);
            Outcome::Done
        }
        Err(problems) => {
            tell_problems(&problems);
            Outcome::CouldNot
        }
    }
}

fn begin(shop: &Path, port: u16, poll: bool, post: bool) -> Result<(Session<'_>, Watch), Problems> {
    super::is_shop(shop)?;
    write::check_usual(&shop.join("public")).map_err(|problem| Problems::from_iter([problem]))?;
    let posting = match post {
        true => Some(Posting::new(super::post::prepared(shop)?.post)),
        false => None,
    };
    let preview = Preview::open(shop.join("public"), port).map_err(|e| {
        let problem = Problem::new(Code::NoPreview, e.to_string());
        Problems::from_iter([problem.hint("choose another port with `--port`")])
    })?;
    // Before the first pass, so that nothing that is saved during it is missed.
    let watch = Watch::begin(shop, poll);
    end_on_signals(watch.ender())?;
    let session = Session {
        shop,
        preview,
        snapshot: None,
        told_problems: ToldProblems::default(),
        day: clock::system(),
        again: None,
        awaited: BTreeSet::new(),
        waited: Cell::new(false),
        memory: Memory::default(),
        posting,
    };
    Ok((session, watch))
}

/// The first Ctrl-C waits for a write to end, the second does not.
fn end_on_signals(ender: Ender) -> Result<(), Problems> {
    let asked = AtomicBool::new(false);
    let handler = move || {
        if asked.swap(true, Ordering::Relaxed) {
            // A write that is cut short is finished by the next pass.
            std::process::exit(130);
        }
        ender.end();
    };
    ctrlc::set_handler(handler).map_err(|e| {
        let message = format!("Ctrl-C could not be listened for ({e})");
        Problems::from_iter([Problem::new(Code::NoPreview, message).hint("run this again")])
    })
}

/// What is remembered between passes.
struct Session<'a> {
    shop: &'a Path,
    preview: Preview,
    /// How the jobs stood after the last pass that went well.
    snapshot: Option<Snapshot>,
    told_problems: ToldProblems,
    /// The system's day at the last pass.
    day: Day,
    /// When to try again, if something was in the way for a moment.
    again: Option<Instant>,
    /// What was said to be waited for.
    awaited: BTreeSet<String>,
    /// Whether it was said that another pass is waited for.
    waited: Cell<bool>,
    /// What a pass leaves for the next.
    memory: Memory,
    /// Whether and when the site is put up.
    posting: Option<Posting>,
}

impl Session<'_> {
    fn go_on(&mut self, watch: &mut Watch) {
        self.pass();
        self.greet();
        loop {
            let stir = watch.next(&|| self.pass_is_due() || self.post_is_due());
            match stir {
                Stir::Due if !self.pass_is_due() => self.post(),
                Stir::Changed | Stir::Due => self.pass(),
                Stir::Blind(trouble) => tell(blind(trouble)),
                Stir::End => break,
            }
        }
        say("Ended; the pages stay in public.");
    }

    fn pass_is_due(&self) -> bool {
        clock::system() != self.day || self.again.is_some_and(|at| at <= Instant::now())
    }

    fn post_is_due(&self) -> bool {
        self.posting.as_ref().is_some_and(Posting::is_due)
    }

    fn post(&mut self) {
        if let Some(posting) = self.posting.as_mut().filter(|posting| posting.is_due()) {
            posting.go(self.shop);
        }
    }

    fn greet(&self) {
        say(&format!("  {}  the front page", self.preview.address("")));
        say(&format!("  {}  the board, for your eyes only", self.preview.address("board/")));
        say("Save a photo or a file, and the pages follow. Ctrl-C ends it.");
    }

    /// One pass and an account of it.
    fn pass(&mut self) {
        self.day = clock::system();
        self.again = None;
        let progress = Progress::new("photos");
        let out = self.shop.join("public");
        let made = publish::run(
            self.shop,
            None,
            &out,
            PassMode::MakePatiently,
            &Callbacks {
                waiting: &|| {
                    if !self.waited.replace(true) {
                        tell("Another Benchlight is at work on this shop; waiting for it.");
                    }
                },
                progress: &|done, all| progress.at(done, all),
            },
            &mut self.memory,
        );
        match made {
            Ok((pass, changes)) => self.account(&pass, &changes),
            Err(unpublished) => self.account_of_failure(&unpublished),
        }
    }

    fn account(&mut self, pass: &Pass, changes: &Changes) {
        let snapshot = Snapshot::of(pass);
        match &self.snapshot {
            None => say(&format!(
                "The site of {} as of {}: {}, {} new or changed.",
                pass.shop.studio.name,
                pass.today.day,
                count(pass.site.files.keys().filter(|path| path.ends_with(".html")).count(), "page"),
                changes.added.len() + changes.changed.len(),
            )),
            Some(before) => {
                let address = |way: &str| self.preview.address(way);
                moved::lines(before, &snapshot, changes, pass.today.day, &address)
                    .iter()
                    .for_each(|l| say(l));
            }
        }
        let news = !(changes.added.is_empty() && changes.changed.is_empty() && changes.removed.is_empty());
        if let Some(posting) = &mut self.posting {
            posting.stirred(pass.shop.studio.post.as_ref(), news || self.snapshot.is_none());
        }
        self.wait_for(&pass.arriving);
        self.tell(&pass.problems);
        let page = guard::guarded(|| board(self.shop, pass, changes));
        let other_board = match page.unwrap_or_else(|problem| Err(Problems::from_iter([problem]))) {
            Ok(page) => self.preview.show_aside("board/", page),
            Err(problems) => {
                tell_problems(&problems);
                false
            }
        };
        if other_board || news {
            self.preview.changed();
        }
        self.snapshot = Some(snapshot.after(self.snapshot.take()));
    }

    fn account_of_failure(&mut self, unpublished: &Unpublished) {
        let for_a_moment = [Code::Busy, Code::OutputFailed, Code::OutputTaken];
        if unpublished.problems.iter().any(|problem| for_a_moment.contains(&problem.code)) {
            self.again = Some(Instant::now() + AGAIN);
        }
        let mut problems = unpublished.problems.clone();
        self.wait_for(&arriving::sift(&mut problems, self.shop, None, clock::moment()));
        if self.tell(&problems) {
            tell(match unpublished.begun {
                false => "Nothing was changed; the pages stay as they were.",
                true => "Some pages may be new already; the next pass does the rest.",
            });
        }
    }

    /// Files that are on their way are looked at again when they have been still for a while.
    fn wait_for(&mut self, arriving: &Arriving) {
        if let Some(again) = arriving.again {
            self.again = Some(Instant::now() + again);
        }
        for file in arriving.files.difference(&self.awaited) {
            say(&format!("waiting for {file}, which is not whole yet"));
        }
        self.awaited = arriving.files.clone();
    }

    /// Tells the problems that were not told before; whether there were any.
    fn tell(&mut self, problems: &Problems) -> bool {
        let news = self.told_problems.news(problems, &self.awaited);
        tell_problems(&news.fresh);
        if news.mended > 0 {
            let left = problems.iter().filter(|problem| problem.severity > Severity::Note).count();
            say(&match left {
                0 => "Mended; nothing else needs it.".to_owned(),
                _ => format!("{} mended, {left} still to mend.", count(news.mended, "thing")),
            });
        }
        !news.fresh.is_empty()
    }
}

/// What is said when there are no events.
fn blind(trouble: Trouble) -> &'static str {
    match trouble {
        Trouble::TooManyFolders => {
            "The system watches no more folders, so all files are looked at again and again, which takes a \
             second longer.\n    To change that, raise `fs.inotify.max_user_watches`, for example: \
             sudo sysctl fs.inotify.max_user_watches=524288"
        }
        Trouble::TooManyWatchers => {
            "The system lets no more programs watch folders, so all files are looked at again and again, which \
             takes a second longer.\n    To change that, raise `fs.inotify.max_user_instances`, for example: \
             sudo sysctl fs.inotify.max_user_instances=512"
        }
        Trouble::Silent => {
            "The folder does not tell of every change, as a folder on a network may not; from now on all files \
             are looked at again and again, which takes a second longer. (`--poll` does so from the start.)"
        }
        Trouble::Other => {
            "The system tells of no changes here, so all files are looked at again and again, which takes a \
             second longer."
        }
    }
}

/// The board's page, which is shown in the preview alone.
fn board(shop: &Path, pass: &Pass, changes: &Changes) -> Result<String, Problems> {
    let (theme, _) = render::theme::load(shop)?;
    let board = work::board(&pass.shop, &pass.worked);
    render::board::page(&pass.shop, &pass.worked, &board, &theme, &changes.kept_since)
}
