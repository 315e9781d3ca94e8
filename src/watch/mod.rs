//! Rank 3: "something changed". Watches the content and the theme of a shop and says when it is time for
//! another pass; what a pass is, is not known here.
//!
//! Changes come from the system's events (`eyes`), or from looking again and again (`survey`) where there
//! are none. They are gathered until it is quiet (`quiet`). Looking now and then goes on beside events, since
//! a folder on a network may tell nothing of what others do in it.
//!
//! - **When.** It is time after 150 ms without a change, and 2 s after the first one at the latest. Changes in hidden files, in the output
//!   and in `.benchlight` do not count. (A new day, or a file that was waited for, is the caller's `due`.)
//! - **What is watched.** Events are asked for `content` and `themes`, and for the shop's folder, in which these two may come and go (`folders`).
//! - **Beside events** everything is looked at every 5 s (names, lengths, times), and never for more than a hundredth of the time.
//! - **Without events.** What such a look finds and no event reports within 2 s means a folder without events. From then on looking alone goes on, each
//!   second, for a tenth of the time at most. The same when the system's limits are reached; then the setting to raise is named.

mod eyes;
mod folders;
mod quiet;
mod survey;

pub use eyes::Trouble;
use eyes::{Eyes, Heard};
use folders::WatchedFolders;
use quiet::Quiet;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, Instant};
use survey::Survey;

/// Whether the folders are still the same ones is looked at this often.
const TICK: Duration = Duration::from_secs(1);
/// So often everything is looked at beside the events, if that is quick.
const SURVEY: Duration = Duration::from_secs(5);
/// So often everything is looked at where there are no events, if that is quick.
const POLL: Duration = Duration::from_secs(1);
/// While something goes on there, and nothing tells of its end.
const POLL_SOON: Duration = Duration::from_millis(100);
/// An event that is this late behind what was seen is not coming.
const LATE: Duration = Duration::from_secs(2);
/// Of each hundred seconds, looking takes one beside events, and ten where there are none.
const SHARE_BESIDE: u32 = 100;
const SHARE_ALONE: u32 = 10;

/// Why it is time for another pass, or for something to be said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stir {
    /// Something in the content or the theme changed.
    Changed,
    /// What the caller waits for has come: another day, or the time that it gave.
    Due,
    /// Events cannot be had, or cannot be trusted: from now on everything is looked at again and again.
    Blind(Trouble),
    /// Somebody asked for the end.
    End,
}

/// What reaches the watch from its other threads.
enum Word {
    Heard(Heard),
    End,
}

/// Asks a watch to end, from any thread.
#[derive(Clone, Debug)]
pub struct Ender(Sender<Word>);

impl Ender {
    pub fn end(&self) {
        let _ = self.0.send(Word::End);
    }
}

/// Watches one shop.
pub struct Watch {
    folders: WatchedFolders,
    words: Receiver<Word>,
    sender: Sender<Word>,
    /// None where everything is looked at instead.
    eyes: Option<Eyes>,
    trouble: Option<Trouble>,
    quiet: Quiet,
    survey: Survey,
    surveyed: Instant,
    /// How long the last look at everything took.
    cost: Duration,
    /// What events told of since the last look at everything, and since the one before.
    announced: BTreeSet<PathBuf>,
    announced_before: BTreeSet<PathBuf>,
    /// What a look found and no event has told of yet, and since when.
    unannounced: Option<(BTreeSet<PathBuf>, Instant)>,
    /// A watched folder itself was moved or removed; one that takes its place may look the same.
    uprooted: bool,
    ended: bool,
}

impl std::fmt::Debug for Watch {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Watch").field("events", &self.eyes.is_some()).finish_non_exhaustive()
    }
}

impl Watch {
    /// Begins to watch the shop in `shop`. What changes from now on will be told by `next`.
    pub fn begin(shop: &Path, poll: bool) -> Watch {
        let (sender, words) = channel();
        let mut watch = Watch {
            folders: WatchedFolders::of(shop),
            words,
            sender,
            eyes: None,
            trouble: None,
            quiet: Quiet::default(),
            survey: Survey::default(),
            surveyed: Instant::now(),
            cost: Duration::ZERO,
            announced: BTreeSet::new(),
            announced_before: BTreeSet::new(),
            uprooted: false,
            unannounced: None,
            ended: false,
        };
        if !poll {
            watch.open_eyes();
        }
        watch.look();
        watch
    }

    /// For whoever hears that it is to end.
    pub fn ender(&self) -> Ender {
        Ender(self.sender.clone())
    }

    /// Waits until there is something to do. `due` is asked about once a second whether something else is.
    pub fn next(&mut self, due: &dyn Fn() -> bool) -> Stir {
        loop {
            if self.ended {
                return Stir::End;
            }
            if let Some(trouble) = self.trouble.take() {
                self.eyes = None;
                return Stir::Blind(trouble);
            }
            let now = Instant::now();
            if self.quiet.is_over(now) {
                self.quiet = Quiet::default();
                return Stir::Changed;
            }
            if !self.quiet.is_stirred() && due() {
                return Stir::Due;
            }
            self.wait(now);
            self.keep_watching();
        }
    }

    /// Waits for a word, no longer than until the next thing to do.
    fn wait(&mut self, now: Instant) {
        let tick = if self.eyes.is_none() && self.quiet.is_stirred() { POLL_SOON } else { TICK };
        let until = self.quiet.over_at().map_or(tick, |at| at.saturating_duration_since(now).min(tick));
        match self.words.recv_timeout(until) {
            Ok(word) => self.hear(word),
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => {}
        }
        while let Ok(word) = self.words.try_recv() {
            self.hear(word);
        }
    }

    fn hear(&mut self, word: Word) {
        match word {
            Word::End => self.ended = true,
            Word::Heard(Heard::Paths(paths)) => {
                let mut ours = paths.into_iter().filter(|path| self.folders.matters(path)).peekable();
                if ours.peek().is_some() {
                    self.quiet.stir(Instant::now());
                    let ours: Vec<PathBuf> = ours.collect();
                    self.uprooted |= ours.iter().any(|path| self.folders.is_root(path));
                    self.announced.extend(ours);
                }
            }
            // More happened than could be told: what, is found by looking.
            Word::Heard(Heard::TooMuch) => {
                if !self.differing().is_empty() {
                    self.quiet.stir(Instant::now());
                }
            }
            Word::Heard(Heard::Trouble(trouble)) => self.trouble = Some(trouble),
        }
    }

    /// Sees to it that what is watched is what is there, and that nothing was missed.
    fn keep_watching(&mut self) {
        if self.folders.moved() || self.uprooted {
            self.uprooted = false;
            // The folder went away or came back: what was watched is not there any more.
            self.folders.find_again();
            if self.eyes.is_some() {
                self.open_eyes();
            }
            self.quiet.stir(Instant::now());
            self.look();
        }
        let rest = match (&self.eyes, self.quiet.is_stirred()) {
            (Some(_), _) => SURVEY.max(self.cost * SHARE_BESIDE),
            (None, false) => POLL.max(self.cost * SHARE_ALONE),
            (None, true) => POLL_SOON.max(self.cost),
        };
        if self.surveyed.elapsed() >= rest {
            self.compare();
        }
        self.judge();
    }

    /// Looks at everything; what is other than before was either told of, or events cannot be trusted.
    fn compare(&mut self) {
        let changed = self.differing();
        if self.eyes.is_none() {
            if !changed.is_empty() {
                self.quiet.stir(Instant::now());
            }
            return;
        }
        let missed: BTreeSet<PathBuf> = changed.into_iter().filter(|path| !self.is_announced(path)).collect();
        if !missed.is_empty() && self.unannounced.is_none() {
            self.unannounced = Some((missed, Instant::now()));
        }
    }

    /// Looks at everything: the paths at which something is other than at the last look.
    fn differing(&mut self) -> Vec<PathBuf> {
        self.announced_before = std::mem::take(&mut self.announced);
        let before = std::mem::take(&mut self.survey);
        self.look();
        self.survey.differing(&before)
    }

    /// Whether events told of what a look had found, perhaps a little late.
    fn judge(&mut self) {
        let Some((missed, since)) = &self.unannounced else { return };
        if missed.iter().all(|path| self.is_announced(path)) {
            self.unannounced = None;
        } else if since.elapsed() > LATE {
            self.unannounced = None;
            self.trouble = Some(Trouble::Silent);
            self.quiet.stir(Instant::now());
        }
    }

    /// Whether an event told of this path, or of a folder that it lies in.
    fn is_announced(&self, path: &Path) -> bool {
        path.ancestors().any(|part| self.announced.contains(part) || self.announced_before.contains(part))
    }

    fn look(&mut self) {
        let begun = Instant::now();
        self.survey = Survey::of(&self.folders);
        self.surveyed = Instant::now();
        self.cost = begun.elapsed();
    }

    fn open_eyes(&mut self) {
        // The old ones first, since both together may be more than the system allows.
        self.eyes = None;
        let sender = self.sender.clone();
        match Eyes::open(&self.folders, move |heard| drop(sender.send(Word::Heard(heard)))) {
            Ok(eyes) => self.eyes = Some(eyes),
            Err(trouble) => self.trouble = Some(trouble),
        }
    }
}

#[cfg(test)]
mod tests;
