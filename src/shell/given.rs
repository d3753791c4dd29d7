//! Files that a person wrote or was given, read with a limit: whatever stands under a name, reading it
//! takes a bounded time and memory.

use std::fs::{self, File};
use std::io::{self, ErrorKind, Read};
use std::path::Path;

use super::failure::Failure;
use crate::pure::complaint::Complaint;

/// Octets of a settings, block or routine file: our own choice, a hundred times what one holds.
pub const MOST_OF_A_TEXT: u64 = 1 << 20;

/// Why a file is not taken.
#[derive(Debug)]
pub enum Refused {
    /// It cannot be read.
    Unreadable(io::Error),
    /// What stands there is no text file of a bearable length.
    Wrong(Complaint),
}

impl Refused {
    /// As the failure of a command.
    pub fn failure(self, path: &Path) -> Failure {
        match self {
            Self::Unreadable(error) => Failure::file("Cannot read", path, &error),
            Self::Wrong(complaint) => vec![complaint].into(),
        }
    }

    /// As one complaint among others about a person's files.
    pub fn complaint(self, path: &Path) -> Complaint {
        match self {
            Self::Unreadable(error) => complaint(
                path,
                (1, 1),
                format!("the file cannot be read ({error})"),
                "Give yourself the right to it, or remove it",
            ),
            Self::Wrong(complaint) => complaint,
        }
    }
}

fn complaint(
    path: &Path,
    (line, column): (usize, usize),
    what: impl Into<String>,
    instead: &str,
) -> Complaint {
    Complaint {
        file: path.display().to_string(),
        line,
        column,
        what: what.into(),
        instead: instead.to_owned(),
    }
}

/// The octets of an ordinary file of at most `most` octets; nothing if there is none.
///
/// # Errors
/// A file that cannot be read, is longer, or is no ordinary file (a pipe would be waited for, a device
/// never ends).
pub fn octets(path: &Path, most: u64) -> Result<Option<Vec<u8>>, Refused> {
    match fs::metadata(path) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(Refused::Unreadable(error)),
        Ok(known) if !known.is_file() => {
            let what = "this is no ordinary file";
            let instead = "Put the file itself there";
            return Err(Refused::Wrong(complaint(path, (1, 1), what, instead)));
        }
        Ok(_) => {}
    }
    let mut octets = Vec::new();
    match File::open(path).and_then(|file| file.take(most + 1).read_to_end(&mut octets)) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(Refused::Unreadable(error)),
        Ok(_) => {}
    }
    // A file that grows while it is read is cut off here too.
    if octets.len() as u64 > most {
        let what = format!("the file is longer than {} kB, the limit", most / 1024);
        let place = (1, 1);
        return Err(Refused::Wrong(complaint(
            path,
            place,
            what,
            "Give a shorter one",
        )));
    }
    Ok(Some(octets))
}

/// The text of a file, by the same rules.
///
/// # Errors
/// Also octets that are no UTF-8, with the line and column of the first.
pub fn text(path: &Path, most: u64) -> Result<Option<String>, Refused> {
    let Some(octets) = octets(path, most)? else {
        return Ok(None);
    };
    String::from_utf8(octets).map(Some).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let before = String::from_utf8_lossy(&error.as_bytes()[..good]);
        let last = before.rsplit('\n').next().unwrap_or_default();
        let place = (before.matches('\n').count() + 1, last.chars().count() + 1);
        let what = "the file is not UTF-8 text";
        Refused::Wrong(complaint(path, place, what, "Save it as UTF-8"))
    })
}

/// The octets of a file that has to be there.
///
/// # Errors
/// As [`octets`], and where there is none.
pub fn octets_of(path: &Path, most: u64) -> Result<Vec<u8>, Failure> {
    let octets = octets(path, most).map_err(|refused| refused.failure(path))?;
    octets.ok_or_else(|| missing(path))
}

/// The text of a file that has to be there.
///
/// # Errors
/// As [`text`], and where there is none.
pub fn text_of(path: &Path, most: u64) -> Result<String, Failure> {
    let text = text(path, most).map_err(|refused| refused.failure(path))?;
    text.ok_or_else(|| missing(path))
}

fn missing(path: &Path) -> Failure {
    Failure::file("Cannot read", path, &ErrorKind::NotFound.into())
}
