//! Playing a track now, through whatever player the machine has; silence where it has none.

use std::env;
use std::fs;
use std::io;
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use super::{TrackError, file};
use crate::pure::routine::Timeline;
use crate::pure::sound::{SoundSettings, render};

/// Programs that play a WAV file and then end, with the arguments that keep them quiet.
const PLAYERS: [(&str, &[&str]); 4] = [
    ("pw-play", &[]),
    ("paplay", &[]),
    ("aplay", &["-q"]),
    ("play", &["-q"]),
];

/// An installed player.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Player {
    program: PathBuf,
    arguments: &'static [&'static str],
}

impl Player {
    /// The first player found in the folders of `PATH`.
    pub fn find() -> Option<Self> {
        Self::find_in(&env::var_os("PATH").unwrap_or_default())
    }

    /// The first player found in a list of folders as `PATH` has them.
    pub fn find_in(folders: &std::ffi::OsStr) -> Option<Self> {
        PLAYERS.iter().find_map(|(name, arguments)| {
            env::split_paths(folders)
                .map(|folder| folder.join(name))
                .find(|program| program.is_file())
                .map(|program| Self { program, arguments })
        })
    }

    /// Plays a timeline from an offset on, with tones only. The sound ends by itself at the timeline's end,
    /// or when what is returned is dropped: to pause, drop it; to go on, play again from where it was.
    ///
    /// # Errors
    /// When the track cannot be written or the player cannot be started; the guide then goes on in silence.
    pub fn play(&self, timeline: &Timeline, from_ms: u64) -> Result<Playing, TrackError> {
        self.prepare(timeline, from_ms, &|| true)?.start()
    }

    /// Writes the track from an offset on, to be started at the right moment. It breaks off once `go_on` says
    /// no; what is prepared then is of no use.
    ///
    /// # Errors
    /// When the track cannot be written.
    pub(super) fn prepare(
        &self,
        timeline: &Timeline,
        from_ms: u64,
        go_on: &dyn Fn() -> bool,
    ) -> Result<Prepared, TrackError> {
        let no_folder = |error| TrackError::Write(env::temp_dir(), error);
        let folder = private_folder().map_err(no_folder)?;
        let track = folder.path().join("routine.wav");
        let settings = SoundSettings::default();
        let samples = render(timeline, &settings).starting_at(from_ms);
        file::write_wav(samples, settings.seed, &track, go_on)?;
        Ok(Prepared {
            player: self.clone(),
            track,
            folder,
        })
    }
}

/// A track that is written and can be started.
#[derive(Debug)]
pub(super) struct Prepared {
    player: Player,
    track: PathBuf,
    folder: Folder,
}

impl Prepared {
    /// Starts it.
    ///
    /// # Errors
    /// When the player cannot be started.
    pub(super) fn start(self) -> Result<Playing, TrackError> {
        let child = Command::new(&self.player.program)
            .args(self.player.arguments)
            .arg(&self.track)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|error| TrackError::Write(self.player.program.clone(), error))?;
        Ok(Playing {
            child,
            _folder: self.folder,
        })
    }
}

/// A track being played; dropping it stops the sound and removes the file.
#[derive(Debug)]
pub struct Playing {
    child: Child,
    _folder: Folder,
}

impl Playing {
    /// Whether the player has given up, for example because there is no sound device.
    pub fn failed(&mut self) -> bool {
        matches!(self.child.try_wait(), Ok(Some(status)) if !status.success())
    }

    /// Whether the player is still at it.
    pub fn sounding(&mut self) -> bool {
        matches!(self.child.try_wait(), Ok(None))
    }
}

impl Drop for Playing {
    fn drop(&mut self) {
        // It may have ended by itself; either way there is nobody left to tell.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A folder that only this person can read, removed when dropped.
#[derive(Debug)]
pub(super) struct Folder(PathBuf);

impl Folder {
    pub(super) fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Makes a new folder of mode 0700 in the runtime directory, or in the temporary one if there is none.
pub(super) fn private_folder() -> io::Result<Folder> {
    let runtime = env::var_os("XDG_RUNTIME_DIR").map(PathBuf::from);
    let parent = runtime
        .filter(|folder| folder.is_absolute() && folder.is_dir())
        .unwrap_or_else(env::temp_dir);
    let mut number = 0_u32;
    loop {
        let path = parent.join(format!("evenfall-sound-{}-{number}", std::process::id()));
        match fs::DirBuilder::new().mode(0o700).create(&path) {
            Ok(()) => return Ok(Folder(path)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && number < 1000 => {
                number += 1
            }
            Err(error) => return Err(error),
        }
    }
}
