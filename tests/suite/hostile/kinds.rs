//! What is read of each kind of input, as far as the program goes with it, and what has to hold then.

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

use super::words;

/// What is read.
pub enum Kind {
    Settings { zone: Zone, block: Block },
    Block,
    Routine(routine::Kind),
    Mornings(Zone),
    Sessions,
    Shared,
    Calendar { zone: Zone, block: Block },
    Control,
    Stored(super::archive::Restoring),
}

/// A date far from the ends of the calendar.
fn date(text: &str) -> NaiveDate {
    text.parse().expect("date")
}

fn nine_weeks() -> Block {
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

impl Kind {
    /// The kind of a name.
    pub fn of(name: &str) -> Self {
        let zone = || Zone::embedded("Europe/Berlin").expect("zone");
        match name {
            "settings" => Self::Settings {
                zone: zone(),
                block: nine_weeks(),
            },
            "block" => Self::Block,
            "stretch" => Self::Routine(routine::Kind::Stretch),
            "pattern" => Self::Routine(routine::Kind::Pattern),
            "evening" => Self::Routine(routine::Kind::Evening),
            "mornings" => Self::Mornings(zone()),
            "sessions" => Self::Sessions,
            "shared" => Self::Shared,
            "calendar" => Self::Calendar {
                zone: zone(),
                block: nine_weeks(),
            },
            "control" => Self::Control,
            "stored" => Self::Stored(super::archive::Restoring::new()),
            _ => panic!("no kind {name}"),
        }
    }

    /// Good inputs that ship with the program.
    pub fn good(&self) -> Vec<Vec<u8>> {
        let shipped = |kind| {
            let texts = embedded::TEXTS.iter().filter(move |text| text.kind == kind);
            texts.map(|text| text.text.as_bytes().to_vec()).collect()
        };
        match self {
            Self::Routine(kind) => shipped(*kind),
            Self::Block => {
                let shipped = block::SHIPPED.iter();
                shipped.map(|(_, text)| text.as_bytes().to_vec()).collect()
            }
            Self::Stored(restoring) => vec![restoring.good()],
            _ => Vec::new(),
        }
    }

    /// Words of the format.
    pub fn words(&self) -> Vec<&'static [u8]> {
        match self {
            Self::Settings { .. } | Self::Block | Self::Routine(_) => words::TOML,
            Self::Mornings(_) | Self::Sessions | Self::Shared => words::CSV,
            Self::Calendar { .. } => words::CALENDAR,
            Self::Control => words::CONTROL,
            Self::Stored(_) => super::archive::WORDS,
        }
        .to_vec()
    }

    /// Inputs too large to keep: long lines, deep nesting, very many of one thing.
    pub fn grown(&self) -> Vec<Vec<u8>> {
        let many = |what: &str, times: usize| what.repeat(times).into_bytes();
        let with = |before: &str, what: &str, times: usize| {
            [before.as_bytes(), &many(what, times)].concat()
        };
        match self {
            Self::Settings { .. } | Self::Block | Self::Routine(_) => vec![
                many("[", 100_000),
                with("a = ", "[", 100_000),
                with("a = ", "{a=", 100_000),
                many("a.", 100_000),
                with("a = \"", "x", 900_000),
                with("", "\n", 900_000),
                with("# ", "x", 900_000),
                (0..60_000)
                    .flat_map(|n| format!("k{n} = 1\n").into_bytes())
                    .collect(),
                [
                    b"nights = { ".to_vec(),
                    (0..60_000)
                        .flat_map(|n| format!("k{n} = 1, ").into_bytes())
                        .collect(),
                    b"z = 1 }\n".to_vec(),
                ]
                .concat(),
                many(
                    "[[prompts.own]]\nwhen = \"* * * * * *\"\ntext = \"x\"\n",
                    5_000,
                ),
                many("[[phase]]\nname = \"x\"\nweeks = 3\n", 10_000),
                with("avoid = [", "\"holds\", ", 50_000),
            ],
            Self::Mornings(_) | Self::Sessions | Self::Shared => vec![
                many(",", 900_000),
                many("\"", 900_000),
                with("night\n", "2026-01-05\n", 60_000),
                with("date,session\n", "x\n", 60_000),
                with("night,note\n2026-01-05,\"", "x\n", 400_000),
                with("night\n", ",", 900_000),
                with("person,date,answered\n", "a,b,c\n", 60_000),
            ],
            Self::Calendar { .. } => vec![
                many("BEGIN:VCALENDAR\r\n", 60_000),
                many("BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n", 30_000),
                with("BEGIN:VCALENDAR\r\nX:", "x", 900_000),
                with("BEGIN:VCALENDAR\r\nX:", "x\r\n ", 200_000),
                with(
                    "BEGIN:VCALENDAR\r\n",
                    "BEGIN:VEVENT\r\nUID:1\r\nDTSTART:20000101T000000Z\r\nRRULE:FREQ=HOURLY\r\nEND:VEVENT\r\n",
                    5_000,
                ),
            ],
            Self::Control => vec![many("[", 60_000), many("{\"do\":", 10_000)],
            Self::Stored(_) => Vec::new(),
        }
    }

    /// Reads an input; whether it was taken.
    pub fn read(&self, octets: &[u8]) -> bool {
        match self {
            Self::Calendar { zone, block } => return calendar(octets, zone, block),
            Self::Shared => return shared(octets),
            Self::Stored(restoring) => return restoring.read(octets),
            _ => {}
        }
        // Everything else is refused before it comes so far: files by `given`, requests by their line.
        let Ok(text) = std::str::from_utf8(octets) else {
            return false;
        };
        match self {
            Self::Settings { zone, block } => settings(text, zone, block),
            Self::Block => block_file(text),
            Self::Routine(kind) => routine_file(text, *kind),
            Self::Mornings(zone) => mornings(text, zone),
            Self::Sessions => sessions(text),
            Self::Control => {
                let request = control::parse(text);
                assert!(request.as_ref().err().is_none_or(|said| !said.is_empty()));
                request.is_ok()
            }
            Self::Calendar { .. } | Self::Shared | Self::Stored(_) => unreachable!("read above"),
        }
    }
}

fn settings(text: &str, zone: &Zone, block: &Block) -> bool {
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

fn block_file(text: &str) -> bool {
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

fn routine_file(text: &str, kind: routine::Kind) -> bool {
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

fn mornings(text: &str, zone: &Zone) -> bool {
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

fn sessions(text: &str) -> bool {
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

fn shared(octets: &[u8]) -> bool {
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

fn calendar(octets: &[u8], zone: &Zone, block: &Block) -> bool {
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
