//! The local socket between the command line and the running service: one line of JSON each way.

use std::io::{self, BufRead, BufReader, Read, Write};
use std::os::unix::net::UnixStream;
use std::path::{Path, PathBuf};
use std::time::Duration;

use serde::{Deserialize, Serialize};
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt};
use tokio::net::{UnixListener, unix};

use super::failure::Failure;
use super::home;

/// Longest line either side reads.
const LONGEST: u64 = 64 * 1024;
/// How long a command waits for the service, and the service for a command.
const PATIENCE: Duration = Duration::from_secs(5);

/// What a command asks of the service.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
pub enum Request {
    /// Tell how things stand.
    Status,
    /// The standing prompt again in so many minutes.
    Later {
        /// Minutes.
        minutes: u32,
    },
    /// No wind-down tonight.
    NotTonight,
    /// Something was written to the store or the settings: read it.
    Reread,
    /// An address that opens the page once.
    PageAddress,
}

/// What the service says.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reply {
    /// Whether it was done.
    pub ok: bool,
    /// A sentence for the person.
    pub said: String,
    /// How things stand; only for [`Request::Status`]. `page` alone for [`Request::PageAddress`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub status: Option<serde_json::Value>,
}

/// Asks the service of a home; `None` if none runs.
pub fn ask(socket: &Path, request: &Request) -> Result<Option<Reply>, Failure> {
    let mut stream = match UnixStream::connect(socket) {
        Ok(stream) => stream,
        Err(error)
            if matches!(
                error.kind(),
                io::ErrorKind::NotFound | io::ErrorKind::ConnectionRefused
            ) =>
        {
            return Ok(None);
        }
        Err(error) => return Err(Failure::file("Cannot reach the service at", socket, &error)),
    };
    let mut talk = || -> io::Result<String> {
        stream.set_read_timeout(Some(PATIENCE))?;
        stream.set_write_timeout(Some(PATIENCE))?;
        let mut line = serde_json::to_string(request)?;
        line.push('\n');
        stream.write_all(line.as_bytes())?;
        let mut answer = String::new();
        BufReader::new(Read::take(&stream, LONGEST)).read_line(&mut answer)?;
        Ok(answer)
    };
    let answer = talk().map_err(|error| {
        Failure::failed(format!(
            "The service does not answer ({error}). Stop it and start it again with evenfall daemon."
        ))
    })?;
    match serde_json::from_str(&answer) {
        Ok(reply) => Ok(Some(reply)),
        // A service that is just going away closes without a word.
        Err(_) if answer.is_empty() => Ok(None),
        Err(error) => Err(Failure::failed(format!(
            "The service answered what this program does not understand ({error}). Both should be of the same \
             version: start the service again."
        ))),
    }
}

/// The service's end of the socket; removes its file when dropped.
#[derive(Debug)]
pub struct Listener {
    listener: UnixListener,
    path: PathBuf,
}

impl Listener {
    /// Binds the socket. The caller holds the home's lock, so a file already there is a leftover.
    pub fn bind(path: &Path) -> io::Result<Self> {
        if let Some(folder) = path.parent() {
            home::make_folder(folder)?;
        }
        let _ = std::fs::remove_file(path);
        // The process's umask is 0077, so the socket is born private.
        Ok(Self {
            listener: UnixListener::bind(path)?,
            path: path.to_path_buf(),
        })
    }

    /// Waits for the next request. Lines that are no request are answered here and now.
    pub async fn next(&self) -> io::Result<(Request, Answering)> {
        loop {
            let (stream, _) = self.listener.accept().await?;
            let (reading, writing) = stream.into_split();
            let mut line = String::new();
            let mut reader = tokio::io::BufReader::new(reading.take(LONGEST));
            let read = tokio::time::timeout(PATIENCE, reader.read_line(&mut line)).await;
            let answering = Answering { writing };
            if let Ok(Ok(_)) = read {
                match parse(&line) {
                    Ok(request) => return Ok((request, answering)),
                    Err(said) => {
                        answering
                            .say(&Reply {
                                ok: false,
                                said,
                                status: None,
                            })
                            .await;
                    }
                }
            }
        }
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.path);
    }
}

/// Reads one line of a request.
pub fn parse(line: &str) -> Result<Request, String> {
    serde_json::from_str(line.trim_end()).map_err(|error| format!("This is no request ({error})."))
}

/// Where the answer to a request goes.
#[derive(Debug)]
pub struct Answering {
    writing: unix::OwnedWriteHalf,
}

impl Answering {
    /// Answers. A command that did not wait for it is no fault of the service.
    pub async fn say(mut self, reply: &Reply) {
        let mut line = serde_json::to_string(reply).unwrap_or_default();
        line.push('\n');
        let _ = tokio::time::timeout(PATIENCE, self.writing.write_all(line.as_bytes())).await;
    }
}
