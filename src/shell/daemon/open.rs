//! What the Start button opens.

use std::process::{Child, Command, Stdio};

use super::supervisor;
use crate::pure::prompt::{Key, Kind};
use crate::pure::settings::StartWith;
use crate::pure::words::Words;
use crate::shell::page::View;

/// The command that does by hand what a prompt is about.
pub fn command_for(kind: Kind) -> &'static str {
    match kind {
        Kind::WindDown | Kind::LightsOut | Kind::Own => "evenfall follow",
        Kind::Morning => "evenfall morning",
        Kind::Session => "evenfall today",
        Kind::WeekReview => "evenfall review",
    }
}

/// The view of the page that shows what a prompt is about.
pub fn view_for(kind: Kind) -> View {
    match kind {
        Kind::WindDown => View::Follow,
        Kind::LightsOut | Kind::Own => View::Tonight,
        Kind::Morning => View::Morning,
        Kind::Session => View::Today,
        Kind::WeekReview => View::Weeks,
    }
}

/// Opens an address in the person's browser.
pub fn browse(address: &str) -> std::io::Result<()> {
    spawn("xdg-open", &[address.to_owned()])
}

/// Starts a program and leaves it to itself; from a unit of systemd, as a unit of its own.
fn spawn(program: &str, arguments: &[String]) -> std::io::Result<()> {
    let mut child = if supervisor::is_unit() && installed(program) {
        start(&mut supervisor::outside(program, arguments))
            .or_else(|_| start(Command::new(program).args(arguments)))?
    } else {
        start(Command::new(program).args(arguments))?
    };
    // Somebody has to wait for it, or it stays in the process table for as long as the service runs.
    let waited = std::thread::Builder::new()
        .name("opened".to_owned())
        .spawn(move || child.wait());
    drop(waited);
    Ok(())
}

fn start(command: &mut Command) -> std::io::Result<Child> {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
}

/// Whether a program is there to be started. What is missing is started directly, so that the person is
/// told; systemd would be asked in vain, and in silence.
fn installed(program: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path).any(|folder| folder.join(program).is_file())
}

/// Opens what a prompt is about; gives words to say where that is left to the person.
pub fn open(start: &StartWith, page: Option<&str>, key: &Key) -> Option<Words> {
    let by_hand = || Words {
        summary: "Ready when you are".to_owned(),
        body: format!("In a terminal, run: {}.", command_for(key.kind)),
    };
    let words: Vec<String> = match (start, page) {
        (StartWith::Page, Some(address)) => vec!["xdg-open".to_owned(), address.to_owned()],
        (StartWith::Page, None) | (StartWith::Nothing, _) => return Some(by_hand()),
        // The terminal command of the settings guides the evening; the other prompts have no screen
        // of their own there.
        (StartWith::Command(words), _) if key.kind == Kind::WindDown => words.clone(),
        (StartWith::Command(_), Some(address)) => vec!["xdg-open".to_owned(), address.to_owned()],
        (StartWith::Command(_), None) => return Some(by_hand()),
    };
    let (program, arguments) = words.split_first()?;
    match spawn(program, arguments) {
        Ok(()) => None,
        Err(error) => Some(Words {
            summary: "Could not open".to_owned(),
            body: format!(
                "{program}: {error}. In a terminal, run: {}.",
                command_for(key.kind)
            ),
        }),
    }
}
