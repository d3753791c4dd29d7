//! The sound of a routine in the world: written as a file to play with the screen off, or played now.

mod file;
mod live;
mod player;
mod synthesiser;

pub(super) use live::{Sounding, Tones};
pub use player::{Player, Playing};
pub use synthesiser::{SYNTHESISER, spoken_cues};

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use crate::pure::routine::Timeline;
use crate::pure::sound::{Sound, SoundSettings, score, vtt};

/// Whether moves and stretches are spoken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Voice {
    /// Bells only.
    #[default]
    TonesOnly,
    /// Spoken by the installed speech synthesiser where there is one; bells and a note where there is not.
    Spoken,
}

/// What was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Report {
    /// The track.
    pub track: PathBuf,
    /// The same cues as text, beside the track.
    pub text: PathBuf,
    /// Length in milliseconds.
    pub total_ms: u64,
    /// How many sentences are spoken.
    pub sentences: usize,
    /// What the person should know, whole sentences.
    pub notes: Vec<String>,
}

/// Why no track was written.
#[derive(Debug)]
pub enum TrackError {
    /// The file's name has another ending than `.wav` or `.flac`.
    Ending(PathBuf),
    /// The track is longer than these formats can say.
    TooLong(u64),
    /// A file could not be written.
    Write(PathBuf, io::Error),
    /// The encoder refused the samples.
    Encode(String),
}

impl fmt::Display for TrackError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Ending(path) => write!(
                f,
                "{} has no ending that names a sound format. Write a name that ends in .wav or .flac.",
                path.display()
            ),
            Self::TooLong(ms) => write!(
                f,
                "the track would last {} minutes. Choose a routine of at most six hours.",
                ms / 60_000
            ),
            Self::Write(path, error) => write!(
                f,
                "{} cannot be written: {error}. Name a file in a folder you may write to.",
                path.display()
            ),
            Self::Encode(reason) => write!(
                f,
                "the track cannot be encoded: {reason}. Name a file that ends in .wav."
            ),
        }
    }
}

impl std::error::Error for TrackError {}

/// Longest track, milliseconds: six hours stay below the 4 GiB a WAV file can hold.
const LONGEST_MS: u64 = 6 * 3_600_000;

/// Renders a timeline to `path` (WAV or FLAC by its ending: 48 kHz, 16 bit, mono) and its words to the file
/// of the same name ending in `.vtt`. Each file appears whole or not at all.
///
/// # Errors
/// When the ending names no format, the track is too long, or a file cannot be written.
pub fn write_track(timeline: &Timeline, path: &Path, voice: Voice) -> Result<Report, TrackError> {
    let format = file::Format::of(path).ok_or_else(|| TrackError::Ending(path.to_owned()))?;
    if timeline.total_ms > LONGEST_MS {
        return Err(TrackError::TooLong(timeline.total_ms));
    }
    let mut notes = Vec::new();
    let settings = settings(timeline, voice, &mut notes);
    let sentences = said(timeline, &settings, &mut notes);
    file::whole(path, |half| format.write(timeline, &settings, half))?;
    let text = path.with_extension("vtt");
    file::whole(&text, |half| {
        std::fs::write(half, vtt::webvtt(timeline))
            .map_err(|e| TrackError::Write(half.to_owned(), e))
    })?;
    Ok(Report {
        track: path.to_owned(),
        text,
        total_ms: timeline.total_ms,
        sentences,
        notes,
    })
}

fn settings(timeline: &Timeline, voice: Voice, notes: &mut Vec<String>) -> SoundSettings {
    let mut settings = SoundSettings::default();
    if voice == Voice::TonesOnly {
        return settings;
    }
    match spoken_cues(timeline) {
        Ok(clips) => settings.spoken = clips,
        Err(reason) => notes.push(format!(
            "The track has tones only: {reason}. Install {SYNTHESISER} to have the stretches spoken."
        )),
    }
    settings
}

/// Counts the sentences that are spoken, and notes those there is no time for.
fn said(timeline: &Timeline, settings: &SoundSettings, notes: &mut Vec<String>) -> usize {
    let placed = score(timeline, settings);
    let said = placed.iter().map(|note| match note.sound {
        Sound::Spoken(clips) => clips.len(),
        _ => 0,
    });
    let said = said.sum();
    let texts = timeline
        .cues
        .iter()
        .filter_map(|cue| settings.spoken.get(&cue.text));
    let wanted: usize = texts.map(Vec::len).sum();
    if said < wanted {
        notes.push(format!(
            "{} of {wanted} sentences are longer than their cue lasts; they are in the text file only.",
            wanted - said
        ));
    }
    said
}
