//! Rank 5: the arguments, in words that an owner can follow, and the hand-over to the commands.

mod counter;

use crate::base::day::Day;
use crate::command::{self, Outcome};
use crate::photo;
use clap::{Args, Parser, Subcommand};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Turns a taxidermy studio's job files and progress photos into its web site.
///
/// Everything is read from the folder `content` of your shop; the finished site is put into `public`.
/// Start with `benchlight open my-shop`.
#[derive(Parser, Debug)]
#[command(
    name = "benchlight",
    version,
    max_term_width = 90,
    help_expected = true,
    disable_help_subcommand = true
)]
#[command(after_help = "It ends with 0 when all is well, 1 when something in the content needs mending \
                  (all the rest was made), 2 when it could not be done.")]
struct Cli {
    /// The shop: the folder that holds `content`
    #[arg(long, value_name = "DIR", default_value = ".", global = true, hide_default_value = true)]
    shop: PathBuf,

    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand, Debug)]
enum Command {
    /// Set up a new shop in a folder, ready to fill in
    Open(OpenArgs),
    /// Make the whole site from the content, once
    Make(MakeArgs),
    /// Make the site, show it on this computer, and update it every time you save something
    ///
    /// Only a browser on this computer can see the pages. They reload by themselves. Ctrl-C stops it.
    Watch(WatchArgs),
    /// Check everything and change nothing
    ///
    /// Photos are only looked at, not opened in full: `make` finds one that is cut off in the middle.
    Proof(ProofArgs),
    /// Show all open jobs: what you can do now, what's waiting, what's away, who owes what
    ///
    /// Add words to see only the pieces that match all of them: name, number, tag, phone, piece or kind of work.
    Board(BoardArgs),
    /// Take in a piece: asks you at the counter (or takes flags), sets up its folder and prints its hang tag
    Intake(Box<counter::IntakeArgs>),
    /// Print hang tags, each with the code for its private page
    Tag(counter::TagArgs),
    /// Show what goes in the next parcel to a partner, what can't go yet, and why
    Parcel(counter::ParcelArgs),
    /// Print the log of who brought what, for an inspector
    Register(counter::RegisterArgs),
    /// Redo the estimates of past days and show how well they held up
    Replay(ReplayArgs),
    /// Put the site online: sends what changed to your host and takes down what's retired
    ///
    /// `[post]` in shop.toml says where it goes. Anything Benchlight didn't put there is never touched. If it gets cut short,
    /// run it again and it picks up where it stopped.
    Post(PostArgs),
}

#[derive(Args, Debug)]
struct OpenArgs {
    /// The folder for the new shop; created if it isn't there
    #[arg(value_name = "DIR", required_unless_present = "new_key")]
    folder: Option<PathBuf>,

    /// Give an existing shop a new key, and print new hang tags to hand out
    ///
    /// For a key that got lost or that somebody saw. Every private address changes, and it tells you what else to do. The old
    /// key is kept next to the new one.
    #[arg(long)]
    new_key: bool,
}

impl OpenArgs {
    fn run(self, shop: &Path) -> Outcome {
        match (self.new_key, self.folder) {
            (true, folder) => command::open::new_key::run(folder.as_deref().unwrap_or(shop)),
            (false, folder) => command::open::run(&folder.unwrap_or_default()),
        }
    }
}

#[derive(Args, Debug)]
struct MakeArgs {
    /// Make the site as it was on this day, such as 2026-05-02
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_of: Option<Day>,

    /// Put the site into this folder instead of the shop's `public`
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

#[derive(Args, Debug)]
struct WatchArgs {
    /// Show the pages at this port of this computer, or at the next one that is free
    #[arg(long, value_name = "NUMBER", default_value_t = command::watch::PORT)]
    port: u16,

    /// Keep checking all files, for a network folder that doesn't report changes
    #[arg(long)]
    poll: bool,

    /// Also put the site online once nothing has been saved for a minute
    #[arg(long)]
    post: bool,
}

#[derive(Args, Debug)]
struct PostArgs {
    /// Only show what would be sent and taken down
    #[arg(long)]
    dry: bool,

    /// Go ahead this once where it would stop to ask, such as at a place that isn't empty
    ///
    /// Files in the way get overwritten. Anything this shop didn't put there is never taken down.
    #[arg(long)]
    even_so: bool,
}

#[derive(Args, Debug)]
struct ProofArgs {
    /// Check the shop as it was on this day, such as 2026-05-02
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_of: Option<Day>,

    /// Show the results as JSON, for other programs
    #[arg(long)]
    json: bool,
}

#[derive(Args, Debug)]
struct BoardArgs {
    /// Words that the piece is found by: a name, a number, a tag
    #[arg(value_name = "WORD")]
    words: Vec<String>,

    /// Tell how they stood on this day, such as 2026-05-02
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_of: Option<Day>,

    /// Write out messages that customers should hear now; nothing is sent
    #[arg(long, conflicts_with = "json")]
    drafts: bool,

    /// Tell it as JSON, for other programs
    #[arg(long, conflicts_with = "words")]
    json: bool,
}

impl From<BoardArgs> for command::board::Asked {
    fn from(args: BoardArgs) -> Self {
        command::board::Asked { as_of: args.as_of, json: args.json, drafts: args.drafts, words: args.words }
    }
}

#[derive(Args, Debug)]
struct ReplayArgs {
    /// Use this day as today, such as 2026-05-02
    #[arg(long, value_name = "DATE", value_parser = day)]
    as_of: Option<Day>,

    /// Show the results as JSON, for other programs
    #[arg(long)]
    json: bool,
}

fn day(text: &str) -> Result<Day, String> {
    Day::parse(text).ok_or_else(|| "write the day like this: 2026-05-02".to_owned())
}

/// This program, to be started once more. Linux finds it even when it was replaced meanwhile, as an update does.
fn program() -> PathBuf {
    let own = PathBuf::from("/proc/self/exe");
    if own.exists() { own } else { std::env::current_exe().unwrap_or_default() }
}

/// Runs the program with these arguments and returns its exit code.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args: Vec<OsString> = args.into_iter().collect();
    if args.get(1).is_some_and(|word| word == photo::apart::WORD) {
        return ExitCode::from(u8::from(!photo::apart::serve()));
    }
    photo::apart::begin(program());
    command::terminal::tell_of_panics();
    let cli = match Cli::try_parse_from(args) {
        Ok(cli) => cli,
        Err(told) => {
            // Help and version go to the standard output and are no error. What it says of an argument holds that
            // argument, so that it goes the way of every other message.
            command::terminal::tell_usage(&told.render().to_string(), told.use_stderr());
            return ExitCode::from(if told.use_stderr() {
                Outcome::CouldNot as u8
            } else {
                Outcome::Done as u8
            });
        }
    };
    let outcome = command::guarded(|| match cli.command {
        Command::Open(args) => args.run(&cli.shop),
        Command::Make(args) => command::make::run(&cli.shop, args.as_of, args.out.as_deref()),
        Command::Watch(args) => command::watch::run(&cli.shop, args.port, args.poll, args.post),
        Command::Proof(args) => command::proof::run(&cli.shop, args.as_of, args.json),
        Command::Intake(args) => args.run(&cli.shop),
        Command::Tag(args) => args.run(&cli.shop),
        Command::Parcel(args) => args.run(&cli.shop),
        Command::Register(args) => args.run(&cli.shop),
        Command::Board(args) => command::board::run(&cli.shop, &args.into()),
        Command::Post(args) => command::post::run(&cli.shop, args.dry, args.even_so),
        Command::Replay(args) => command::replay::run(&cli.shop, args.as_of, args.json),
    });
    ExitCode::from(outcome as u8)
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn every_argument_has_a_help_text() {
        Cli::command().debug_assert();
    }
}
