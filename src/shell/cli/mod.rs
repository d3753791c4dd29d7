//! The command line: arguments to a command, the command's words or JSON to the terminal, and an exit
//! status. One short file a command.

mod agenda;
mod answer;
mod ask;
mod block;
mod check;
mod compare;
mod context;
mod count;
mod doctor;
mod export;
mod follow;
mod import;
mod lines;
mod morning;
mod moved_nights;
mod page;
mod pain;
mod review;
mod roster;
mod routine;
mod setup;
mod share;
mod shift_bedtime;
mod status;
pub(crate) mod today;
pub(crate) mod tonight;
mod train;
mod travel;

use std::ffi::OsString;
use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use chrono::{Datelike, NaiveDate};
use clap::{Parser, Subcommand};

pub use context::Context;
pub(crate) use review::part_name;

use super::daemon;
use super::failure::Failure;

/// Said once on standard error while there is no settings file.
pub const ON_DEFAULTS: &str = "No settings yet: the defaults are in force, with a nine-week block from next Monday. evenfall setup writes yours.";

/// Heading of the options that every command takes.
const EVERYWHERE: &str = "Options of every command";

/// Years for which dates are taken; the rules of zones are not known far beyond.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2200;

/// Reads a date given as an option.
fn read_date(text: &str) -> Result<NaiveDate, String> {
    text.parse::<NaiveDate>()
        .ok()
        .filter(|date| YEARS.contains(&date.year()))
        .ok_or_else(|| {
            "this is no date. Write a date of the calendar as year-month-day, for example 2026-01-05"
                .to_owned()
        })
}

/// Closes the training day and opens the next.
#[derive(Debug, Parser)]
#[command(name = "evenfall", version, disable_help_subcommand = true, after_help = AFTER_HELP)]
pub struct Arguments {
    /// Folder with everything: settings, block, routines and diary [default: the XDG folders]
    #[arg(long, global = true, help_heading = EVERYWHERE, value_name = "DIR", env = "EVENFALL_HOME")]
    home: Option<PathBuf>,
    /// Stands for now: RFC 3339, or YYYY-MM-DDTHH:MM in your zone
    #[arg(long, global = true, help_heading = EVERYWHERE, value_name = "WHEN")]
    at: Option<String>,
    /// Print one JSON object
    #[arg(long, global = true, help_heading = EVERYWHERE)]
    json: bool,
    #[command(subcommand)]
    command: Command,
}

const AFTER_HELP: &str = "Exit status: 0 done; 1 failed; 2 the arguments, a file or a value is wrong and nothing was changed.\n\
This tool cannot judge injuries or illness. With pain, injury or warning signs, see a clinician.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Ask the few questions and write settings and block
    Setup(setup::Arguments),
    /// Tonight's plan
    Tonight,
    /// The library: list, show, the compiled cues, a sound track
    Routine(routine::Arguments),
    /// Change the block
    Block(block::Arguments),
    /// Check settings, block and every routine file: all complaints at once
    Check,
    /// Run the service in the foreground
    Daemon,
    /// Look for what would stop prompts
    Doctor,
    /// What is next, whether the service runs, standing complaints, versions
    Status,
    /// All prompts of a span
    Agenda(agenda::Arguments),
    /// Guide tonight's routine, or a named one, in the terminal
    Follow(follow::Arguments),
    /// Record a night and the morning after it: by flags, or by a few questions
    Morning(Box<morning::Arguments>),
    /// Record a session done: effort, minutes, rounds and repetitions
    Train(Box<train::Arguments>),
    /// Record pain or a warning sign, or that it is over
    Pain(Box<pain::Arguments>),
    /// Readiness, today's session as planned and as suggested, cautions
    Today(today::Arguments),
    /// Take in records from a file: csv of mornings or sessions
    Import(import::Arguments),
    /// Give out records as a file
    Export(export::Arguments),
    /// The standing prompt again in some minutes
    Later(answer::LaterArguments),
    /// No wind-down tonight
    NotTonight,
    /// Look back over weeks, or the block
    Review(review::Arguments),
    /// One page and one csv for a coach, chosen item by item
    Share(share::Arguments),
    /// Many people's shared files: who stopped answering, what is worth a look
    Roster(roster::Arguments),
    /// Two evenings against each other, drawn by lot
    Compare(compare::Arguments),
    /// Move bedtime in small steps over some nights
    ShiftBedtime(shift_bedtime::Arguments),
    /// Plan nights and prompts on the clock of another zone
    Travel(travel::Arguments),
    /// The page's address, to open once within ten minutes
    Page(page::Arguments),
}

/// What a command has to say: words for a person, and the same for a machine.
#[derive(Debug, Default)]
pub struct Said {
    /// Words, with their line ends.
    pub text: String,
    /// One JSON object.
    pub json: serde_json::Value,
}

/// Runs the program.
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    // Before any file is made: everything here is for this person only.
    rustix::process::umask(rustix::fs::Mode::from_raw_mode(0o077));
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    match run(arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("{}", lines::for_error(&failure.to_string()));
            ExitCode::from(failure.code)
        }
    }
}

fn run(arguments: Arguments) -> Result<(), Failure> {
    let Arguments {
        home,
        at,
        json,
        command,
    } = arguments;
    let context = Context::new(home.as_deref(), at, json)?;
    let said = match command {
        Command::Setup(arguments) => setup::run(&context, &arguments)?,
        Command::Tonight => tonight::run(&context)?,
        Command::Routine(arguments) => routine::run(&context, &arguments)?,
        Command::Block(arguments) => block::run(&context, &arguments)?,
        Command::Check => check::run(&context)?,
        Command::Daemon => {
            context.refuse_at("daemon")?;
            return daemon::run(context.home());
        }
        Command::Doctor => doctor::run(&context)?,
        Command::Status => status::run(&context)?,
        Command::Agenda(arguments) => agenda::run(&context, &arguments)?,
        Command::Follow(arguments) => follow::run(&context, &arguments)?,
        Command::Morning(arguments) => morning::run(&context, &arguments)?,
        Command::Train(arguments) => train::run(&context, &arguments)?,
        Command::Pain(arguments) => pain::run(&context, &arguments)?,
        Command::Today(arguments) => today::run(&context, &arguments)?,
        Command::Import(arguments) => import::run(&context, &arguments)?,
        Command::Export(arguments) => export::run(&context, &arguments)?,
        Command::Later(arguments) => answer::later(&context, &arguments)?,
        Command::NotTonight => answer::not_tonight(&context)?,
        Command::Review(arguments) => review::run(&context, &arguments)?,
        Command::Share(arguments) => share::run(&context, &arguments)?,
        Command::Roster(arguments) => roster::run(&context, &arguments)?,
        Command::Compare(arguments) => compare::run(&context, &arguments)?,
        Command::ShiftBedtime(arguments) => shift_bedtime::run(&context, &arguments)?,
        Command::Travel(arguments) => travel::run(&context, &arguments)?,
        Command::Page(arguments) => page::run(&context, &arguments)?,
    };
    print(&said, json)
}

fn print(said: &Said, json: bool) -> Result<(), Failure> {
    let text = if json {
        format!("{}\n", said.json)
    } else {
        lines::for_output(&said.text)
    };
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        // A reader that closed early (head, less) has what it wanted.
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(Failure::failed(
            format!("Cannot write to standard output: {error}."),
        )),
        _ => Ok(()),
    }
}
