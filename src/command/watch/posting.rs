//! `watch --post`: puts the site up once nothing was saved for a while; without a network it says so, waits longer
//! and longer, and catches up.

use crate::command::guard;
use crate::command::post::{self, Posted};
use crate::command::terminal::{Progress, say, tell, tell_problems};
use crate::model::Post;
use crate::problem::{Code, Problem, Problems};
use std::path::Path;
use std::time::{Duration, Instant};

/// The longest wait between two tries.
const LONGEST: Duration = Duration::from_secs(300);

/// When to post, and what was said about it.
#[derive(Debug)]
pub(super) struct Posting {
    post: Post,
    /// When it is time; none as long as the host holds what is here.
    due: Option<Instant>,
    /// How long the next wait is, after tries that came to nothing.
    wait: Duration,
    /// What was told and is still so.
    told: Vec<Problem>,
}

impl Posting {
    pub fn new(post: Post) -> Posting {
        let wait = quiet(&post);
        Posting { post, due: None, wait, told: Vec::new() }
    }

    /// The site may be another one by now: it goes up when nothing more comes for a while. `post` is what the shop says
    /// about it now.
    pub fn stirred(&mut self, post: Option<&Post>, changed: bool) {
        if let Some(post) = post
            && *post != self.post
        {
            *self = Posting::new(post.clone());
        } else if !changed && self.due.is_none() {
            return;
        }
        self.wait = quiet(&self.post);
        self.due = Some(Instant::now() + self.wait);
    }

    pub fn is_due(&self) -> bool {
        self.due.is_some_and(|due| due <= Instant::now())
    }

    /// Puts the site up and says how it went.
    pub fn go(&mut self, shop: &Path) {
        let progress = Progress::new("files");
        let step = |done, all| progress.at(done, all);
        let posted = guard::guarded(|| {
            let poster = post::prepared_for(&self.post, shop)?;
            post::post_now(shop, &poster, false, &step, &|_| {})
        });
        match posted.and_then(|posted| posted) {
            Ok(posted) => {
                self.due = None;
                self.wait = quiet(&self.post);
                self.account(&posted);
            }
            Err(problem) => {
                self.due = Some(Instant::now() + self.wait);
                self.wait = (self.wait * 2).min(LONGEST);
                let away = problem.code == Code::HostAway;
                if self.tell(vec![problem]) {
                    tell(match away {
                        true => "The site goes up as soon as the host can be reached; the watch goes on.",
                        false => "It is tried again; the watch goes on.",
                    });
                }
            }
        }
    }

    fn account(&mut self, posted: &Posted) {
        if self.told.iter().any(|problem| problem.code == Code::HostAway) {
            say("The host can be reached again.");
        }
        self.tell(posted.report.problems.clone());
        if posted.report.put + posted.report.removed > 0 || !posted.report.problems.is_empty() {
            post::account(posted).iter().for_each(|line| say(line));
        }
    }

    /// Tells what was not told the last time; whether there was any.
    fn tell(&mut self, problems: Vec<Problem>) -> bool {
        let fresh: Problems =
            problems.iter().filter(|problem| !self.told.contains(problem)).cloned().collect();
        self.told = problems;
        tell_problems(&fresh);
        !fresh.is_empty()
    }
}

fn quiet(post: &Post) -> Duration {
    Duration::from_secs(u64::from(post.quiet))
}
