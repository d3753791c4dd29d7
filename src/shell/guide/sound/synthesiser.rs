//! Spoken cues by the speech synthesiser of the machine, if it has one.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use super::player::private_folder;
use crate::pure::routine::{CueKind, Timeline};
use crate::pure::sound::{Clip, clip, sentences};

/// The program that speaks.
pub const SYNTHESISER: &str = "espeak-ng";

/// Words a minute, pitch 0 to 99, and pause between words in 10 ms: slow and low, our own choice. Pinned,
/// so that the same text gives the same samples.
const MANNER: [&str; 8] = ["-v", "en", "-s", "130", "-p", "35", "-g", "6"];

/// The sentences of moves and stretches, spoken, by the text of their cue.
///
/// # Errors
/// The reason in words why nothing can be spoken: no synthesiser installed, or it failed.
pub fn spoken_cues(timeline: &Timeline) -> Result<BTreeMap<String, Vec<Clip>>, String> {
    let said = |kind| matches!(kind, CueKind::Move | CueKind::Stretch);
    let texts: BTreeSet<&str> = timeline
        .cues
        .iter()
        .filter(|cue| said(cue.kind) && !cue.text.trim().is_empty())
        .map(|cue| cue.text.as_str())
        .collect();
    let folder = private_folder().map_err(|error| format!("no folder for the speech: {error}"))?;
    texts
        .into_iter()
        .map(|text| {
            let clips: Result<_, _> = sentences(text)
                .into_iter()
                .map(|sentence| speak(sentence, folder.path()))
                .collect();
            Ok((text.to_owned(), clips?))
        })
        .collect()
}

fn speak(text: &str, folder: &Path) -> Result<Clip, String> {
    let file = folder.join("cue.wav");
    let mut child = Command::new(SYNTHESISER)
        .args(MANNER)
        .args(["--stdin", "-w"])
        .arg(&file)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .map_err(|error| match error.kind() {
            std::io::ErrorKind::NotFound => format!("{SYNTHESISER} is not installed"),
            _ => format!("{SYNTHESISER} cannot be started: {error}"),
        })?;
    // The text goes through standard input: an argument could be taken for an option.
    if let Some(mut input) = child.stdin.take() {
        let _ = input.write_all(text.as_bytes());
    }
    let status = child.wait().map_err(|error| error.to_string())?;
    if !status.success() {
        return Err(format!("{SYNTHESISER} ended with {status}"));
    }
    let spoken = samples(&file)?;
    // The next sentence must not be mistaken for this one if its file fails to appear.
    let _ = fs::remove_file(&file);
    clip(&spoken.0, spoken.1).map_err(|error| error.to_string())
}

/// Mono samples and their rate.
fn samples(file: &Path) -> Result<(Vec<f32>, u32), String> {
    let unreadable = |error: hound::Error| format!("{SYNTHESISER} wrote no sound: {error}");
    let mut reader = hound::WavReader::open(file).map_err(unreadable)?;
    let format = reader.spec();
    if format.channels != 1 || format.bits_per_sample != 16 {
        return Err(format!("{SYNTHESISER} wrote another format than expected"));
    }
    let samples: Result<Vec<f32>, _> = reader
        .samples::<i16>()
        .map(|sample| sample.map(|value| f32::from(value) / 32_768.0))
        .collect();
    Ok((samples.map_err(unreadable)?, format.sample_rate))
}
