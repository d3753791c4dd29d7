//! Each kind of input: where good ones are, its words, and how it is read.

use evenfall::pure::block::{self, Block};
use evenfall::pure::civil::Zone;
use evenfall::pure::routine::{self, embedded};

use super::{reading, words};

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

impl Kind {
    /// The kind of a name.
    pub fn of(name: &str) -> Self {
        let zone = || Zone::embedded("Europe/Berlin").expect("zone");
        match name {
            "settings" => Self::Settings {
                zone: zone(),
                block: reading::nine_weeks(),
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
                block: reading::nine_weeks(),
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
            Self::Calendar { zone, block } => return reading::calendar(octets, zone, block),
            Self::Shared => return reading::shared(octets),
            Self::Stored(restoring) => return restoring.read(octets),
            _ => {}
        }
        // Everything else is refused before it comes so far: files by `given`, requests by their line.
        let Ok(text) = std::str::from_utf8(octets) else {
            return false;
        };
        match self {
            Self::Settings { zone, block } => reading::settings(text, zone, block),
            Self::Block => reading::block_file(text),
            Self::Routine(kind) => reading::routine_file(text, *kind),
            Self::Mornings(zone) => reading::mornings(text, zone),
            Self::Sessions => reading::sessions(text),
            Self::Control => reading::request(text),
            Self::Calendar { .. } | Self::Shared | Self::Stored(_) => unreachable!("read above"),
        }
    }
}
