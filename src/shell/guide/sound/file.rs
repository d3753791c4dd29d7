//! WAV and FLAC, written block by block.

use std::fs::{self, File};
use std::io::{BufWriter, Seek, Write};
use std::path::{Path, PathBuf};

use flacenc::bitsink::ByteSink;
use flacenc::component::{BitRepr, Stream, StreamInfo};
use flacenc::error::Verify;
use flacenc::source::{Context, Fill, FrameBuf};

use super::TrackError;
use crate::pure::routine::Timeline;
use crate::pure::sound::{BLOCK, RATE, SoundSettings, Track, quantise, render};

/// A sound format by the ending of a file's name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Format {
    Wav,
    Flac,
}

impl Format {
    pub(super) fn of(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "wav" => Some(Self::Wav),
            "flac" => Some(Self::Flac),
            _ => None,
        }
    }

    pub(super) fn write(
        self,
        timeline: &Timeline,
        settings: &SoundSettings,
        path: &Path,
    ) -> Result<(), TrackError> {
        let track = render(timeline, settings);
        match self {
            Self::Wav => write_wav(track, settings.seed, path, &|| true),
            Self::Flac => write_flac(track, settings.seed, path),
        }
    }
}

/// Has `path` written under another name first, so that a track which could not be finished leaves nothing
/// behind and does not replace an earlier one.
pub(super) fn whole(
    path: &Path,
    write: impl FnOnce(&Path) -> Result<(), TrackError>,
) -> Result<(), TrackError> {
    let mut name = path.as_os_str().to_owned();
    name.push(".part");
    let half = PathBuf::from(name);
    let done = write(&half)
        // The person has named the file, not the half of it.
        .map_err(|error| match error {
            TrackError::Write(_, error) => TrackError::Write(path.to_owned(), error),
            other => other,
        })
        .and_then(|()| fs::rename(&half, path).map_err(|e| TrackError::Write(path.to_owned(), e)));
    if done.is_err() {
        // Nothing more can be done about a leftover that cannot be removed; the error above is said.
        let _ = fs::remove_file(&half);
    }
    done
}

/// Writes the rest of a track as WAV, or as much of it as is written while `go_on` says yes.
pub(super) fn write_wav(
    mut track: Track<'_>,
    seed: u64,
    path: &Path,
    go_on: &dyn Fn() -> bool,
) -> Result<(), TrackError> {
    let failed = |error: hound::Error| match error {
        hound::Error::IoError(error) => TrackError::Write(path.to_owned(), error),
        other => TrackError::Encode(other.to_string()),
    };
    let specification = hound::WavSpec {
        channels: 1,
        sample_rate: RATE,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(path, specification).map_err(failed)?;
    let mut values = Vec::with_capacity(BLOCK);
    while go_on() {
        let first = track.position();
        let Some(block) = track.next() else { break };
        quantise(&block, first, seed, &mut values);
        let count = u32::try_from(values.len()).unwrap_or(u32::MAX);
        let mut samples = writer.get_i16_writer(count);
        for value in &values {
            samples.write_sample(*value);
        }
        samples.flush().map_err(failed)?;
    }
    writer.finalize().map_err(failed)
}

/// Writes the rest of a track as FLAC: a header with what is not known yet left open, frame after frame,
/// then the header again. The encoder's own whole-stream function would keep all frames in memory.
fn write_flac(mut track: Track<'_>, seed: u64, path: &Path) -> Result<(), TrackError> {
    let io = |error| TrackError::Write(path.to_owned(), error);
    let refused = |error: &dyn std::fmt::Debug| TrackError::Encode(format!("{error:?}"));
    let mut settings = flacenc::config::Encoder::default();
    // Measured on ten minutes of breath tones: fixed predictors take a fifth of the time of fitted ones and
    // make the file a sixth larger.
    settings.subframe_coding.use_lpc = false;
    let settings = settings.into_verified().map_err(|(_, e)| refused(&e))?;
    let mut info = StreamInfo::new(RATE as usize, 1, 16).map_err(|e| refused(&e))?;
    info.set_block_sizes(BLOCK, BLOCK)
        .map_err(|e| refused(&e))?;
    let mut out = BufWriter::new(File::create(path).map_err(io)?);
    out.write_all(&bits(&Stream::with_stream_info(info.clone()))?)
        .map_err(io)?;
    let mut frame = FrameBuf::with_size(1, BLOCK).map_err(|e| refused(&e))?;
    let mut digest = Context::new(16, 1);
    let mut values = Vec::with_capacity(BLOCK);
    let mut octets = Vec::with_capacity(2 * BLOCK);
    for number in 0.. {
        let first = track.position();
        let Some(block) = track.next() else { break };
        quantise(&block, first, seed, &mut values);
        octets.clear();
        octets.extend(values.iter().flat_map(|value| value.to_le_bytes()));
        digest.fill_le_bytes(&octets, 2).map_err(|e| refused(&e))?;
        // A last, shorter block needs a buffer of its own size: the encoder reads the whole buffer.
        if block.len() != BLOCK {
            frame = FrameBuf::with_size(1, block.len()).map_err(|e| refused(&e))?;
        }
        frame.fill_le_bytes(&octets, 2).map_err(|e| refused(&e))?;
        let coded = flacenc::encode_fixed_size_frame(&settings, &frame, number, &info)
            .map_err(|e| refused(&e))?;
        info.update_frame_info(&coded);
        out.write_all(&bits(&coded)?).map_err(io)?;
    }
    // The last block does not count for the smallest block size (RFC 9639, section 8.2).
    info.set_block_sizes(BLOCK, BLOCK)
        .map_err(|e| refused(&e))?;
    info.set_md5_digest(&digest.md5_digest());
    out.rewind().map_err(io)?;
    out.write_all(&bits(&Stream::with_stream_info(info))?)
        .map_err(io)?;
    out.into_inner().map_err(|e| io(e.into_error()))?;
    Ok(())
}

fn bits(part: &impl BitRepr) -> Result<Vec<u8>, TrackError> {
    let mut sink = ByteSink::new();
    part.write(&mut sink)
        .map_err(|error| TrackError::Encode(error.to_string()))?;
    Ok(sink.as_slice().to_vec())
}
