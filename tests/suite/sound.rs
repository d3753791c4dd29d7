//! The sound track: levels, times and shapes, measured on the written files.

mod detector;
mod playing;
mod shown;

use std::path::Path;
use std::sync::LazyLock;

use ebur128::{Channel, EbuR128, Mode};
use evenfall::pure::routine::library::{Library, Limits};
use evenfall::pure::routine::{Cue, CueKind, Timeline};
use evenfall::shell::guide::sound::{TrackError, Voice, write_track};

use crate::support::not_tested;
use detector::{onsets, pitch_course, rms};

const RATE: usize = 48_000;

/// A short evening: two stretches, then breaths with both holds.
fn evening() -> Timeline {
    let mut parts = vec![
        (2_000, CueKind::Move, "Stand facing the wall"),
        (3_000, CueKind::Stretch, "Hold the left calf"),
        (2_500, CueKind::Move, "Change to the right side"),
        (3_000, CueKind::Stretch, "Hold the right calf"),
    ];
    for _ in 0..3 {
        parts.extend([
            (2_000, CueKind::Inhale, "Breathe in"),
            (1_000, CueKind::Hold, "Hold"),
            (3_000, CueKind::Exhale, "Breathe out"),
            (1_001, CueKind::HoldOut, "Rest"),
        ]);
    }
    timeline(&parts)
}

fn timeline(parts: &[(u64, CueKind, &str)]) -> Timeline {
    let mut at_ms = 0;
    let mut cues: Vec<Cue> = Vec::new();
    for (for_ms, kind, text) in parts {
        cues.push(Cue {
            at_ms,
            for_ms: *for_ms,
            kind: *kind,
            text: (*text).into(),
            step: None,
            breath: None,
        });
        at_ms += for_ms;
    }
    let end = Cue {
        at_ms,
        for_ms: 0,
        kind: CueKind::End,
        text: "Over".into(),
        step: None,
        breath: None,
    };
    cues.push(end);
    Timeline {
        id: "test".into(),
        total_ms: at_ms,
        cues,
    }
}

fn write(timeline: &Timeline, name: &str) -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path().join(name);
    write_track(timeline, &path, Voice::TonesOnly).expect("track");
    (folder, path)
}

fn read_wav(path: &Path) -> Vec<i16> {
    let mut reader = hound::WavReader::open(path).expect("WAV");
    let format = reader.spec();
    assert_eq!(
        (format.channels, format.sample_rate, format.bits_per_sample),
        (1, 48_000, 16)
    );
    reader
        .samples::<i16>()
        .map(|s| s.expect("sample"))
        .collect()
}

fn floats(samples: &[i16]) -> Vec<f64> {
    samples.iter().map(|s| f64::from(*s) / 32_768.0).collect()
}

fn samples_of(timeline: &Timeline) -> Vec<i16> {
    let (_folder, path) = write(timeline, "track.wav");
    read_wav(&path)
}

/// The evening's track as written to a file, rendered once for all tests.
fn evening_samples() -> &'static [i16] {
    static SAMPLES: LazyLock<Vec<i16>> = LazyLock::new(|| samples_of(&evening()));
    &SAMPLES
}

/// Loudness of a whole track: highest momentary, highest short-term, integrated (LUFS) and true peak (dBTP),
/// after ITU-R BS.1770 and EBU Tech 3341 with the mono channel counted as two loudspeakers.
fn loudness(samples: &[i16]) -> (f64, f64, f64, f64) {
    let mut meter =
        EbuR128::new(1, 48_000, Mode::I | Mode::M | Mode::S | Mode::TRUE_PEAK).expect("meter");
    meter.set_channel(0, Channel::DualMono).expect("mono");
    let (mut momentary, mut short) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    for step in samples.chunks(RATE / 10) {
        meter.add_frames_i16(step).expect("samples");
        momentary = momentary.max(meter.loudness_momentary().expect("momentary"));
        short = short.max(meter.loudness_shortterm().expect("short-term"));
    }
    let peak = 20.0 * meter.true_peak(0).expect("peak").log10();
    (
        momentary,
        short,
        meter.loudness_global().expect("integrated"),
        peak,
    )
}

#[test]
fn the_track_is_as_long_as_the_timeline_and_silent_at_both_ends() {
    let evening = evening();
    let samples = evening_samples();
    assert_eq!(samples.len() as u64, evening.total_ms * 48);
    assert_eq!(samples[0], 0);
    assert!(
        samples[samples.len() - 480..].iter().all(|s| *s == 0),
        "the last 10 ms are not silent"
    );
}

#[test]
fn levels_are_for_a_bedroom() {
    // The limits are our own, well below the -23 LUFS and -1 dBTP of EBU R 128, which aims at daytime.
    let (momentary, short, whole, peak) = loudness(evening_samples());
    println!(
        "momentary {momentary:.1}, short-term {short:.1}, integrated {whole:.1} LUFS, peak {peak:.1} dBTP"
    );
    assert!(short <= -27.0, "short-term {short}");
    assert!(momentary <= -26.0, "momentary {momentary}");
    assert!((-40.0..=-24.0).contains(&whole), "integrated {whole}");
    assert!(peak <= -9.0, "true peak {peak}");
}

#[test]
fn no_cue_is_more_than_three_units_louder_than_the_first() {
    let evening = evening();
    let samples = evening_samples();
    let of = |cue: &Cue| {
        let from = cue.at_ms as usize * 48;
        loudness(&samples[from..from + cue.for_ms as usize * 48]).0
    };
    let first = of(&evening.cues[0]);
    for cue in &evening.cues[..evening.cues.len() - 1] {
        let this = of(cue);
        println!("{:?} at {} ms: {this:.1} LUFS", cue.kind, cue.at_ms);
        assert!(
            this <= first + 3.0,
            "{:?} at {}: {this} after {first}",
            cue.kind,
            cue.at_ms
        );
        // Nor is any cue lost: a sound 12 LU below the first would not be heard at the same setting.
        assert!(
            this >= first - 12.0,
            "{:?} at {}: {this} after {first}",
            cue.kind,
            cue.at_ms
        );
    }
}

#[test]
fn every_cue_is_heard_within_five_milliseconds_and_nothing_else_begins() {
    let evening = evening();
    let heard = onsets(&floats(evening_samples()));
    let expected: Vec<f64> = evening
        .cues
        .iter()
        .filter(|c| c.for_ms > 0)
        .map(|c| c.at_ms as f64)
        .collect();
    assert_eq!(
        heard.len(),
        expected.len(),
        "heard {heard:?}, expected {expected:?}"
    );
    for (heard, expected) in heard.iter().zip(&expected) {
        assert!(
            (heard - expected).abs() <= 5.0,
            "heard at {heard} ms instead of {expected} ms"
        );
    }
}

#[test]
fn the_detector_notices_a_late_cue() {
    let mut late = evening();
    late.cues[1].at_ms += 50;
    late.cues[1].for_ms -= 50;
    let heard = onsets(&floats(&samples_of(&late)));
    assert!(
        heard.iter().all(|at| (at - 2_000.0).abs() > 5.0),
        "{heard:?}"
    );
}

#[test]
fn inhale_rises_hold_is_level_and_quieter_exhale_falls() {
    let samples = floats(evening_samples());
    // The first breath: in from 10.5 s, hold from 12.5 s, out from 13.5 s, rest from 16.5 s.
    let part = |from_ms: usize, to_ms: usize| &samples[from_ms * 48..to_ms * 48];
    let (inhale, hold) = (part(10_500, 12_300), part(12_500, 13_350));
    let (exhale, rest) = (part(13_500, 16_000), part(16_500, 17_350));
    let rising = pitch_course(inhale);
    assert!(rising.windows(2).all(|p| p[1] > p[0] - 3.0), "{rising:?}");
    assert!(
        rising.last().expect("pitch") - rising[0] > 90.0,
        "{rising:?}"
    );
    let falling = pitch_course(exhale);
    assert!(falling.windows(2).all(|p| p[1] < p[0] + 3.0), "{falling:?}");
    assert!(
        falling[0] - falling.last().expect("pitch") > 90.0,
        "{falling:?}"
    );
    for (name, level, around) in [("hold", hold, 330.0), ("rest", rest, 220.0)] {
        let course = pitch_course(level);
        assert!(
            course.iter().all(|p| (p - around).abs() < 5.0),
            "{name}: {course:?}"
        );
    }
    let drop = 20.0 * (rms(hold) / rms(inhale)).log10();
    assert!(
        (-9.0..=-3.0).contains(&drop),
        "the hold is {drop} dB against the inhale"
    );
}

#[test]
fn there_is_no_tone_above_one_kilohertz() {
    let samples = floats(evening_samples());
    let above = detector::above_1100_hz(&samples);
    let share = 20.0 * (rms(&above) / rms(&samples)).log10();
    println!("above 1.1 kHz: {share:.1} dB");
    assert!(share < -45.0, "{share} dB of the signal lies above 1.1 kHz");
}

#[test]
fn nothing_clicks() {
    // The largest step between neighbours stays near what the steady tones themselves need:
    // 2 pi f / rate times the highest amplitude.
    let samples = floats(evening_samples());
    let peak = samples.iter().fold(0.0_f64, |p, s| p.max(s.abs()));
    let step = samples
        .windows(2)
        .map(|p| (p[1] - p[0]).abs())
        .fold(0.0_f64, f64::max);
    let steady = std::f64::consts::TAU * 1000.0 / RATE as f64 * peak;
    assert!(
        step < steady,
        "a step of {step}, a 1 kHz tone at the same peak needs {steady}"
    );
}

#[test]
fn the_last_third_falls_by_three_to_six_decibels() {
    let breaths: Vec<_> = (0..9)
        .flat_map(|_| {
            [
                (1_500, CueKind::Inhale, "in"),
                (2_500, CueKind::Exhale, "out"),
            ]
        })
        .collect();
    let samples = floats(&samples_of(&timeline(&breaths)));
    let level = |breath: usize| rms(&samples[breath * 4 * RATE..(breath + 1) * 4 * RATE]);
    let early: Vec<f64> = (0..6).map(level).collect();
    assert!(
        early
            .iter()
            .all(|l| (20.0 * (l / early[0]).log10()).abs() < 0.1),
        "{early:?}"
    );
    let whole = 20.0 * (rms(&samples[24 * RATE..]) / rms(&samples[..24 * RATE])).log10();
    let last = 20.0 * (level(8) / level(5)).log10();
    for (name, fall) in [("third", whole), ("breath", last)] {
        assert!(
            (-6.0..=-3.0).contains(&fall),
            "the last {name} is {fall} dB lower"
        );
    }
}

#[test]
fn flac_holds_the_same_samples_and_the_same_input_gives_the_same_octets() {
    let evening = evening();
    let (_a, wav) = write(&evening, "track.wav");
    let (_b, flac) = write(&evening, "track.FLAC");
    let (_c, again) = write(&evening, "again.flac");
    let octets = std::fs::read(&flac).expect("flac");
    assert_eq!(octets, std::fs::read(&again).expect("again"));
    let mut reader = claxon::FlacReader::open(&flac).expect("FLAC");
    let info = reader.streaminfo();
    assert_eq!(
        (info.channels, info.sample_rate, info.bits_per_sample),
        (1, 48_000, 16)
    );
    assert_eq!(info.samples, Some(evening.total_ms * 48));
    let decoded: Vec<i16> = reader
        .samples()
        .map(|s| s.expect("sample") as i16)
        .collect();
    assert_eq!(decoded, read_wav(&wav));
}

#[test]
fn the_octets_are_the_ones_of_every_machine() {
    // Frozen result of this very code: a change here means that tracks made before sound different now.
    let samples = evening_samples();
    let digest = samples
        .iter()
        .fold(0xcbf2_9ce4_8422_2325_u64, |hash, sample| {
            // FNV-1a over the octets (Fowler, Noll and Vo).
            sample.to_le_bytes().iter().fold(hash, |h, o| {
                (h ^ u64::from(*o)).wrapping_mul(0x0000_0100_0000_01b3)
            })
        });
    assert_eq!(digest, FROZEN, "{digest:#018x}");
}

const FROZEN: u64 = 0x582a_d1c1_3f52_6133;

#[test]
fn the_text_track_has_the_times_of_the_sounds() {
    let evening = evening();
    let (folder, _) = write(&evening, "track.wav");
    let text = std::fs::read_to_string(folder.path().join("track.vtt")).expect("text");
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("WEBVTT"));
    let starts: Vec<f64> = lines
        .filter_map(|line| line.split_once(" --> "))
        .map(|(from, _)| {
            let parts: Vec<f64> = from
                .split(':')
                .map(|p| p.parse().expect("number"))
                .collect();
            (parts[0] * 3600.0 + parts[1] * 60.0 + parts[2]) * 1000.0
        })
        .collect();
    let heard = onsets(&floats(evening_samples()));
    assert_eq!(starts.len(), heard.len());
    for (start, heard) in starts.iter().zip(&heard) {
        assert!(
            (start - heard).abs() <= 5.0,
            "text at {start} ms, sound at {heard} ms"
        );
    }
}

#[test]
fn a_name_without_a_sound_ending_is_refused_and_leaves_nothing() {
    let folder = tempfile::tempdir().expect("folder");
    let error = write_track(
        &evening(),
        &folder.path().join("track.ogg"),
        Voice::TonesOnly,
    )
    .expect_err("refused");
    assert!(matches!(error, TrackError::Ending(_)) && error.to_string().contains(".wav or .flac"));
    let error = write_track(
        &evening(),
        &folder.path().join("missing/track.wav"),
        Voice::TonesOnly,
    )
    .expect_err("no folder");
    assert!(error.to_string().contains("cannot be written"), "{error}");
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("folder").collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn ten_minutes_take_less_than_two_seconds() {
    // The promise is one of the optimised build; an unoptimised one renders a minute and only has to be bearable.
    let (minutes, limit) = if cfg!(debug_assertions) {
        (1, 30.0)
    } else {
        (10, 2.0)
    };
    let breaths: Vec<_> = (0..6 * minutes)
        .flat_map(|_| {
            [
                (4_000, CueKind::Inhale, "in"),
                (6_000, CueKind::Exhale, "out"),
            ]
        })
        .collect();
    for name in ["long.wav", "long.flac"] {
        let begun = std::time::Instant::now();
        let (_folder, path) = write(&timeline(&breaths), name);
        let taken = begun.elapsed().as_secs_f64();
        let size = std::fs::metadata(&path).expect("file").len();
        println!("{minutes} minutes, {name}: {taken:.2} s, {size} octets");
        assert!(taken < limit, "{minutes} minutes of {name} took {taken} s");
    }
}

#[test]
fn speech_stands_in_for_the_bell_where_a_synthesiser_is_installed() {
    let long = timeline(&[
        (6_000, CueKind::Move, "Stand and face the wall."),
        (6_000, CueKind::Stretch, "Stay here."),
        (4_000, CueKind::Inhale, "in"),
        (6_000, CueKind::Exhale, "out"),
    ]);
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path().join("spoken.wav");
    let report = write_track(&long, &path, Voice::Spoken).expect("track");
    let samples = read_wav(&path);
    if report.sentences == 0 {
        assert_eq!(report.notes.len(), 1, "tones only, and no word why");
        assert!(report.notes[0].contains("espeak-ng"), "{}", report.notes[0]);
        assert_eq!(samples, samples_of(&long));
        not_tested("spoken cues", "Install espeak-ng");
        return;
    }
    assert_eq!(report.sentences, 2);
    let (_, short, _, peak) = loudness(&samples);
    println!("with speech: short-term {short:.1} LUFS, peak {peak:.1} dBTP");
    assert!(
        short <= -27.0 && peak <= -9.0,
        "short-term {short}, peak {peak}"
    );
    let heard = onsets(&floats(&samples));
    for cue in &long.cues[..4] {
        let at = cue.at_ms as f64;
        assert!(
            heard.iter().any(|h| (h - at).abs() <= 5.0),
            "nothing begins at {at} ms: {heard:?}"
        );
    }
    let again = folder.path().join("again.wav");
    write_track(&long, &again, Voice::Spoken).expect("track");
    assert_eq!(samples, read_wav(&again));
}

#[test]
fn the_shortest_shipped_evening_is_within_the_levels_and_each_of_its_moves_is_spoken() {
    let library = Library::shipped();
    let compiled = library.evenings.values().map(|evening| {
        let (routine, _) = library.routine(evening, &Limits::default());
        Timeline::compile(&routine, &library)
    });
    let evening = compiled.min_by_key(|t| t.total_ms).expect("evening");
    let folder = tempfile::tempdir().expect("folder");
    let path = folder.path().join("evening.wav");
    let report = write_track(&evening, &path, Voice::Spoken).expect("track");
    let samples = read_wav(&path);
    let (_, short, whole, peak) = loudness(&samples);
    println!("{report:?}: short-term {short:.1}, integrated {whole:.1} LUFS, peak {peak:.1} dBTP");
    assert!(
        short <= -27.0 && peak <= -9.0,
        "short-term {short}, peak {peak}"
    );
    assert!((-40.0..=-24.0).contains(&whole), "integrated {whole}");
    let moves = evening
        .cues
        .iter()
        .filter(|cue| cue.kind == CueKind::Move)
        .count();
    if report.sentences == 0 {
        not_tested("the speech of a shipped evening", "Install espeak-ng");
    } else {
        assert!(
            report.sentences >= moves,
            "{} sentences for {moves} moves",
            report.sentences
        );
    }
}
