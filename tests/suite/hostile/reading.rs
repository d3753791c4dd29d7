//! What is read of each kind of input, as far as the program goes with it, and what has to hold then.
//! Each says whether the input was taken. The fuzz targets use this file too.

use std::fmt::Debug;

use chrono::NaiveDate;
use evenfall::pure::block::{self, Block};
use evenfall::pure::civil::{EmbeddedZoneNames, Instant, Zone};
use evenfall::pure::complaint::Complaint;
use evenfall::pure::edit::set_value;
use evenfall::pure::exchange::calendar::{Source, Span, read};
use evenfall::pure::exchange::csv::{
    read_mornings, read_sessions, subject_of, write_mornings, write_sessions,
};
use evenfall::pure::exchange::training_days::match_sessions;
use evenfall::pure::roster::{Reader, Roster};
use evenfall::pure::routine::figure::{draw, svg};
use evenfall::pure::routine::library::Limits;
use evenfall::pure::routine::{self, Library, LibraryText, Side, Timeline, embedded};
use evenfall::pure::settings::{self, KnownIds};
use evenfall::shell::control;

/// A date far from the ends of the calendar.
fn date(text: &str) -> NaiveDate {
    text.parse().expect("date")
}

/// A block to plan with.
pub fn nine_weeks() -> Block {
    let (id, _) = block::SHIPPED[0];
    let block = block::shipped(id, date("2026-01-05"));
    block.expect("shipped").expect("clean")
}

fn lines_of(text: &str) -> usize {
    text.matches('\n').count() + 1
}

/// A complaint says where and what, on one screen, and commands no terminal.
fn sound(complaints: &[Complaint], lines: usize) {
    assert!(!complaints.is_empty(), "refused without a word");
    for complaint in complaints {
        let Complaint {
            line,
            column,
            what,
            instead,
            ..
        } = complaint;
        assert!((1..=lines + 1).contains(line), "{complaint}");
        assert!(*column >= 1, "{complaint}");
        assert!(!what.trim().is_empty() && !instead.trim().is_empty());
    }
    let said = complaints.iter().map(ToString::to_string);
    for complaint in said {
        assert!(
            !complaint.chars().any(|c| c.is_control() && c != '\n'),
            "{complaint:?}"
        );
    }
}

/// What was accepted holds nothing that commands a terminal.
fn prints(value: &impl Debug) {
    let debug = format!("{value:?}");
    assert!(
        !debug.contains("\\u{1b}") && !debug.contains("\\0"),
        "{debug}"
    );
}

/// Settings, and the prompts that follow from them.
pub fn settings(text: &str, zone: &Zone, block: &Block) -> bool {
    let known = KnownIds {
        patterns: &["longer_out_4_6"],
        evenings: &["legs"],
    };
    // Commands change the file of the person without reading it as a whole.
    let _ = set_value(text, &["nights", "bedtime"], "22:30");
    match settings::parse_with_ids("settings.toml", text, &EmbeddedZoneNames, &known) {
        Err(complaints) => {
            sound(&complaints, lines_of(text));
            false
        }
        Ok(settings) => {
            prints(&settings);
            let again = settings::new_settings_text(&settings);
            settings::parse_with_ids("again", &again, &EmbeddedZoneNames, &known)
                .unwrap_or_else(|complaints| panic!("{complaints:?}\n{again}"));
            let plan = evenfall::pure::agenda::Plan {
                settings,
                block: block.clone(),
                zone: zone.clone(),
                zones: Default::default(),
                routine_seconds: None,
                drawn: Default::default(),
            };
            let from: Instant = "2026-03-27T12:00:00Z".parse().expect("instant");
            let prompts = plan.prompts(from, from + chrono::Duration::days(3));
            assert!(prompts.iter().all(|due| due.until >= due.due_at));
            let _ = plan.next_after(from);
            true
        }
    }
}

/// A block, and days within and outside it.
pub fn block_file(text: &str) -> bool {
    match block::parse("block.toml", text, Some(date("2026-01-05"))) {
        Err(complaints) => {
            sound(&complaints, lines_of(text));
            false
        }
        Ok(block) => {
            prints(&block);
            let _ = (block.weeks(), block.last_day());
            for day in ["0001-01-01", "2026-01-05", "2026-02-17", "9999-12-31"] {
                let _ = block.day(date(day));
            }
            true
        }
    }
}

/// A stretch, a pattern or an evening, drawn and timed.
pub fn routine_file(text: &str, kind: routine::Kind) -> bool {
    let own = LibraryText {
        file: "own.toml",
        kind,
        id: "own",
        text,
    };
    // An evening names stretches and patterns of the library; the others stand alone.
    let shipped = match kind {
        routine::Kind::Evening => embedded::TEXTS,
        _ => &[],
    };
    let (library, complaints) = Library::load(shipped, &[own]);
    if !complaints.is_empty() {
        sound(&complaints, lines_of(text));
        return false;
    }
    if let Some(stretch) = library.stretches.get("own") {
        prints(stretch);
        if let Some(pose) = stretch.figure() {
            let drawn = svg::document(&draw(pose, Side::Left), &stretch.name);
            assert!(!drawn.contains("NaN") && drawn.len() < 1 << 20, "{drawn}");
        }
    }
    if let Some(evening) = library.evenings.get("own") {
        prints(evening);
        let (routine, _) = library.routine(evening, &Limits::default());
        let timeline = Timeline::compile(&routine, &library);
        assert!(timeline.total_ms < 24 * 3_600_000, "{timeline:?}");
    }
    if let Some(pattern) = library.patterns.get("own") {
        prints(pattern);
    }
    true
}

/// Mornings as csv, written and read again.
pub fn mornings(text: &str, zone: &Zone) -> bool {
    let _ = subject_of(text);
    let read = read_mornings(text, "x.csv", zone, false);
    if !read.complaints.is_empty() {
        sound(&read.complaints, lines_of(text));
        return false;
    }
    let rows: Vec<_> = read.rows.into_iter().map(|row| row.value).collect();
    let again = write_mornings(&rows, zone);
    assert_eq!(
        read_mornings(&again, "again.csv", zone, false).complaints,
        []
    );
    true
}

/// Sessions as csv, written and read again.
pub fn sessions(text: &str) -> bool {
    let read = read_sessions(text, "x.csv", false);
    if !read.complaints.is_empty() {
        sound(&read.complaints, lines_of(text));
        return false;
    }
    let rows: Vec<_> = read.rows.into_iter().map(|row| row.value).collect();
    let again = write_sessions(&rows);
    assert_eq!(read_sessions(&again, "again.csv", false).complaints, []);
    true
}

/// What people shared, for the roster.
pub fn shared(octets: &[u8]) -> bool {
    let mut reader = Reader::new("shared.csv");
    let mut roster = Roster::new(date("2026-03-01"));
    // In pieces, as a file comes.
    for piece in octets.chunks(61).chain([&[][..]]) {
        reader.feed(piece, &mut |row| roster.add(row));
    }
    if reader.faults() > 0 {
        let lines = octets.iter().filter(|octet| **octet == b'\n').count() + 1;
        sound(reader.complaints(), lines);
    }
    reader.faults() == 0
}

/// A calendar of twelve weeks, and the sessions in it.
pub fn calendar(octets: &[u8], zone: &Zone, block: &Block) -> bool {
    let source = Source {
        file: "x.ics",
        octets,
    };
    let span = Span {
        from: date("2026-01-05"),
        until: date("2026-03-30"),
        home: zone,
    };
    match read(&source, &span, &|name| Zone::embedded(name)) {
        Err(complaints) => {
            let lines = octets.iter().filter(|octet| **octet == b'\n').count() + 1;
            let returns = octets.iter().filter(|octet| **octet == b'\r').count();
            sound(&complaints, lines + returns);
            false
        }
        Ok(reading) => {
            let _ = match_sessions(&reading.occurrences, block, zone);
            true
        }
    }
}

/// A request of a command to the service.
pub fn request(text: &str) -> bool {
    let request = control::parse(text);
    assert!(request.as_ref().err().is_none_or(|said| !said.is_empty()));
    request.is_ok()
}
