//! The local socket between the command line and the running service: one line of JSON each way.

use std::io::{self, BufRead, BufReader, Read, Write};
use std::os::unix::net::UnixStream;
use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt};
use tokio::net::{UnixListener, unix};
use tokio::sync::mpsc;
use tokio::task::{AbortHandle, JoinSet};

use super::failure::Failure;
use super::home;
use crate::pure::civil::Night;
use crate::pure::prompt::{Key, Kind};

/// Longest line either side reads.
const LONGEST: u64 = 64 * 1024;
/// How long a command waits for the service, and the service for a command.
const PATIENCE: Duration = Duration::from_secs(5);
/// Connections that are read at a time.
const MOST_TALKS: usize = 16;

/// What a command asks of the service.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
pub enum Request {
    /// Tell how things stand.
    Status,
    /// A standing prompt again in so many minutes.
    Later {
        /// Minutes.
        minutes: u32,
        /// Which one; none = the one that was put on the screen last.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        prompt: Option<Named>,
    },
    /// No wind-down tonight.
    NotTonight,
    /// Something was written to the store or the settings: read it.
    Reread,
    /// An address that opens the page once.
    PageAddress,
}

/// A prompt that comes once a night, as [`Request::Status`] names those that stand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Named {
    /// The kind's word.
    pub kind: String,
    /// The evening's date.
    pub night: NaiveDate,
}

impl Named {
    /// The name of a prompt.
    pub fn of(kind: Kind, night: Night) -> Self {
        Self {
            kind: kind.id().to_owned(),
            night: night.evening(),
        }
    }

    /// The prompt with that name, if there is such a kind.
    pub fn key(&self) -> Option<Key> {
        let kind = Kind::from_id(&self.kind).filter(|kind| *kind != Kind::Own)?;
        Some(Key::once(kind, Night(self.night)))
    }
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

impl Reply {
    /// A request that was not understood or could not be done.
    pub fn refused(said: impl Into<String>) -> Self {
        Self {
            ok: false,
            said: said.into(),
            status: None,
        }
    }
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
///
/// Each connection is read by a task of its own: one that sends nothing holds nobody up, and a request
/// that was read is not lost when the service is busy with something else.
#[derive(Debug)]
pub struct Listener {
    requests: mpsc::Receiver<(Request, Answering)>,
    accepting: AbortHandle,
    path: PathBuf,
}

impl Listener {
    /// Binds the socket. The caller holds the home's lock, so a file already there is a leftover. Has to
    /// be called within the runtime.
    pub fn bind(path: &Path) -> io::Result<Self> {
        if let Some(folder) = path.parent() {
            home::make_folder(folder)?;
        }
        let _ = std::fs::remove_file(path);
        // The process's umask is 0077, so the socket is born private.
        let listener = UnixListener::bind(path)?;
        let (sender, requests) = mpsc::channel(1);
        Ok(Self {
            requests,
            accepting: tokio::spawn(accept(listener, sender)).abort_handle(),
            path: path.to_path_buf(),
        })
    }

    /// Waits for the next request. Lines that are no request are answered without the service.
    pub async fn next(&mut self) -> Option<(Request, Answering)> {
        self.requests.recv().await
    }
}

async fn accept(listener: UnixListener, requests: mpsc::Sender<(Request, Answering)>) {
    let mut talks = JoinSet::new();
    loop {
        while talks.len() >= MOST_TALKS {
            talks.join_next().await;
        }
        match listener.accept().await {
            Ok((stream, _)) if is_own(&stream) => {
                talks.spawn(listen(stream, requests.clone()));
            }
            Ok(_) => {}
            // Out of descriptors or the like: one connection that failed is no reason to stop listening.
            Err(_) => tokio::time::sleep(Duration::from_millis(100)).await,
        }
        while talks.try_join_next().is_some() {}
    }
}

/// Whether this user is at the other end. The socket's mode keeps others out already; this holds also
/// where it was widened, or lies on a file system that knows no modes.
fn is_own(stream: &tokio::net::UnixStream) -> bool {
    let own = rustix::process::geteuid().as_raw();
    stream.peer_cred().is_ok_and(|peer| peer.uid() == own)
}

async fn listen(stream: tokio::net::UnixStream, requests: mpsc::Sender<(Request, Answering)>) {
    let (reading, writing) = stream.into_split();
    let mut line = String::new();
    let mut reader = tokio::io::BufReader::new(reading.take(LONGEST));
    let read = tokio::time::timeout(PATIENCE, reader.read_line(&mut line)).await;
    let answering = Answering { writing };
    let said = match read {
        Ok(Ok(_)) => match parse(&line) {
            Ok(request) => return drop(requests.send((request, answering)).await),
            Err(said) => said,
        },
        Ok(Err(error)) => format!("This is no request ({error})."),
        Err(_) => return,
    };
    answering.say(&Reply::refused(said)).await;
}

impl Drop for Listener {
    fn drop(&mut self) {
        self.accepting.abort();
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
