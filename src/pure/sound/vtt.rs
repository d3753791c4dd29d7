//! The words of a track with their times, as WebVTT (W3C, "WebVTT: The Web Video Text Tracks Format").

use std::fmt::Write;

use crate::pure::routine::{CueKind, Timeline};

/// The cues of a timeline as WebVTT. Every cue starts where its sound starts; the end has no cue, because
/// a cue needs a length and nothing comes after the end.
pub fn webvtt(timeline: &Timeline) -> String {
    let mut text = String::from("WEBVTT\n");
    for (number, cue) in timeline.cues.iter().enumerate() {
        if cue.kind == CueKind::End || cue.for_ms == 0 {
            continue;
        }
        let from = timestamp(cue.at_ms);
        let to = timestamp(cue.at_ms + cue.for_ms);
        let words = payload(&cue.text, cue.kind);
        // Writing to a string cannot fail.
        let _ = write!(text, "\n{}\n{from} --> {to}\n{words}\n", number + 1);
    }
    text
}

fn timestamp(ms: u64) -> String {
    let (hours, minutes) = (ms / 3_600_000, ms / 60_000 % 60);
    let (seconds, thousandths) = (ms / 1000 % 60, ms % 1000);
    format!("{hours:02}:{minutes:02}:{seconds:02}.{thousandths:03}")
}

/// Cue text on one line, with the characters escaped that have a meaning there. A text that is empty would
/// make an invisible cue, so the kind of cue stands in for it.
fn payload(text: &str, kind: CueKind) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let line = if line.is_empty() {
        kind.id().replace('_', " ")
    } else {
        line
    };
    line.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pure::routine::Cue;

    #[test]
    fn times_words_and_escapes() {
        let cue = |at_ms, for_ms, kind, text: &str| Cue {
            at_ms,
            for_ms,
            kind,
            text: text.into(),
            step: None,
            breath: None,
        };
        let timeline = Timeline {
            id: "t".into(),
            total_ms: 3_661_500,
            cues: vec![
                cue(0, 5_000, CueKind::Move, "Sit\n\ndown & rest -->"),
                cue(5_000, 3_656_500, CueKind::HoldOut, ""),
                cue(3_661_500, 0, CueKind::End, "Over"),
            ],
        };
        assert_eq!(
            webvtt(&timeline),
            "WEBVTT\n\n1\n00:00:00.000 --> 00:00:05.000\nSit down &amp; rest --&gt;\n\n\
             2\n00:00:05.000 --> 01:01:01.500\nhold out\n"
        );
    }
}
