//! Settings, blocks and zones that the simulated person has, and changes between.

use std::collections::BTreeMap;
use std::path::Path;

use chrono::NaiveDate;
use evenfall::pure::agenda::Plan;
use evenfall::pure::block;
use evenfall::pure::civil::{EmbeddedZoneNames, Zone};
use evenfall::pure::settings::{self, Settings};

/// Twelve zones: both hemispheres, clock changes at midnight, by half an hour and not at all, offsets
/// of quarter hours, a change of rules by the moon, the date line. The first nine are read from zone
/// files, the others from the compiled-in tables.
pub const ZONES: [&str; 12] = [
    "Africa/Cairo",
    "Africa/Casablanca",
    "America/New_York",
    "America/Santiago",
    "Asia/Kathmandu",
    "Australia/Lord_Howe",
    "Europe/Berlin",
    "Pacific/Apia",
    "Pacific/Chatham",
    "America/St_Johns",
    "Asia/Tokyo",
    "Europe/London",
];

/// The zone of a name.
pub fn zone(name: &str) -> Zone {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data/nights/zoneinfo")
        .join(name);
    match std::fs::read(path) {
        Ok(bytes) => Zone::from_tzif(name, &bytes).expect("zone file"),
        Err(_) => Zone::embedded(name).expect("compiled-in zone"),
    }
}

/// The usual evening.
pub const USUAL: &str = "";

/// Settings to change between: late and early beds, bedtimes inside the hours that clocks skip and
/// repeat, no reminders and many, everything off but one, own prompts of every density.
const OTHERS: [&str; 7] = [
    USUAL,
    "[nights]\nbedtime = \"00:30\"\nwake = \"08:00\"\n[evening]\nminutes = 20\nremind = [5, 5, 5]\n",
    "[nights]\nbedtime = \"02:30\"\nwake = \"10:15\"\nsat = { bedtime = \"03:05\", wake = \"11:30\" }\n[evening]\nremind = []\n",
    "[nights]\nbedtime = \"20:45\"\nwake = \"04:30\"\n[evening]\nnights = \"training\"\n[prompts]\nsession = \"05:30\"\nlights_out = \"off\"\n",
    "[prompts]\nmorning = \"07:00\"\nweek_review = \"0 0 18,20 * * Sun\"\n[[prompts.own]]\nwhen = \"0 30 13 * * Mon-Fri\"\ntext = \"Last coffee of the day\"\n[[prompts.own]]\nwhen = \"0 30 2 * * *\"\ntext = \"In the small hours\"\n",
    "[prompts]\nmorning = \"off\"\nsession = \"off\"\nweek_review = \"off\"\n[[prompts.own]]\nwhen = \"0 0 9-17 * * Mon-Fri\"\ntext = \"Stand up\"\n[[prompts.own]]\nwhen = \"0 0 12 * * *\"\ntext = \"Stand up\"\n",
    "[nights]\nbedtime = \"23:55\"\nwake = \"07:00\"\n[evening]\nminutes = 3\nsettle = 0\nremind = [1, 2]\n[[prompts.own]]\nwhen = \"0 */20 20-22 * * *\"\ntext = \"Screens off soon\"\n",
];

const BLOCK: &str = r#"
name = "Simulated"
starts = 2026-01-05
[[phase]]
name = "All"
weeks = 52
[phase.week]
mon = "legs"
tue = "row"
thu = ["legs", "row"]
fri = "row"
sat = "legs"
[session.legs]
title = "Legs"
rpe = 7
[[session.legs.part]]
kind = "steady"
minutes = 20
[session.row]
title = "Row"
rpe = 5
[[session.row.part]]
kind = "steady"
minutes = 30
"#;

/// Settings from their text.
pub fn settings(text: &str) -> Settings {
    settings::parse("settings.toml", text, &EmbeddedZoneNames).expect("clean settings")
}

/// How many sets of settings there are.
pub fn variants() -> Vec<Settings> {
    OTHERS.iter().map(|text| settings(text)).collect()
}

/// A plan from its settings and zone; the block starts in a year.
pub fn plan(settings: Settings, zone: Zone, year: i32) -> Plan {
    let text = BLOCK.replace("2026-01-05", &monday_in(year).to_string());
    Plan {
        settings,
        block: block::parse("block.toml", &text, None).expect("clean block"),
        zone,
        zones: BTreeMap::new(),
        routine_seconds: None,
        drawn: Default::default(),
    }
}

fn monday_in(year: i32) -> NaiveDate {
    let first = NaiveDate::from_ymd_opt(year, 1, 1).expect("date");
    block::next_monday(first)
}
