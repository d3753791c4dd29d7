//! Why a command did not do what was asked, and what to do about it.

use std::fmt;
use std::path::Path;

use crate::pure::complaint::Complaint;

/// Ends a command. The message is printed on standard error as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failure {
    /// 1 = failed, 2 = something the person wrote is wrong and nothing was changed.
    pub code: u8,
    /// What happened and what to do, in sentences.
    pub message: String,
}

impl Failure {
    /// The command could not be carried out.
    pub fn failed(message: impl Into<String>) -> Self {
        Self {
            code: 1,
            message: message.into(),
        }
    }

    /// The arguments or values are wrong; nothing was changed.
    pub fn wrong(message: impl Into<String>) -> Self {
        Self {
            code: 2,
            message: message.into(),
        }
    }

    /// A file could not be read or written.
    pub fn file(doing: &str, path: &Path, error: &std::io::Error) -> Self {
        let remedy = match error.kind() {
            std::io::ErrorKind::PermissionDenied => "Give yourself the right to it and try again",
            std::io::ErrorKind::StorageFull => {
                "Free some space and try again; nothing was overwritten"
            }
            std::io::ErrorKind::ReadOnlyFilesystem => {
                "The folder is read-only: choose another with --home, or make it writable"
            }
            std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => "Check the path",
            _ => "Nothing was changed",
        };
        Self::failed(format!("{doing} {}: {error}. {remedy}.", path.display()))
    }
}

impl From<Vec<Complaint>> for Failure {
    fn from(complaints: Vec<Complaint>) -> Self {
        let lines: Vec<String> = complaints.iter().map(ToString::to_string).collect();
        Self {
            code: 2,
            message: lines.join("\n"),
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Failure {}
