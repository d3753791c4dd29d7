//! Training days from a calendar: shown before they count, and taken back in one command.

use std::path::Path;

use chrono::{Datelike, Days, NaiveDate};
use serde_json::{Value, json};

use super::super::ask::{can_ask, yes};
use super::super::lines::say;
use super::super::{Context, Said};
use super::Arguments;
use crate::pure::civil::{Instant, Zone};
use crate::pure::exchange::calendar::{MOST_OCTETS, Reading, Source, Span, read};
use crate::pure::exchange::training_days::{Matched, match_sessions};
use crate::shell::failure::Failure;
use crate::shell::given;
use crate::shell::store::CalendarRow;
use crate::shell::world::World;

/// Weeks that are looked at where neither the block nor the person says until when.
const WEEKS_AHEAD: u64 = 12;

/// Titles that are named of those that are no session.
const TITLES_NAMED: usize = 5;

/// The span, as for machines and people.
struct Asked {
    from: NaiveDate,
    until: NaiveDate,
    home: Zone,
}

/// Takes the calendar's training days in, after showing them.
pub(super) fn run(context: &Context, arguments: &Arguments, file: &Path) -> Result<Said, Failure> {
    let octets = given::octets_of(file, MOST_OCTETS)?;
    let (now, world) = context.open()?;
    let asked = asked(arguments, &world, now)?;
    let name = file.display().to_string();
    let source = Source {
        file: &name,
        octets: &octets,
    };
    let span = Span {
        from: asked.from,
        until: asked.until,
        home: &asked.home,
    };
    let zones = |name: &str| world.zones.load(name).ok();
    let reading = read(&source, &span, &zones)?;
    let matched = match_sessions(&reading.occurrences, &world.block, &asked.home);
    let mut text = words(&reading, &matched, &asked);
    let mut written = false;
    if matched.sessions.is_empty() {
        text.push_str("\nNothing to take in.\n");
    } else if arguments.dry_run {
        text.push_str("\nNothing was taken in.\n");
    } else if agreed(context, arguments, &mut text)? {
        let row = CalendarRow {
            id: 0,
            file: name,
            octets,
            from: asked.from,
            until: asked.until,
        };
        written = take_in(context, &world, row, &matched, now)?;
        text.push_str(if written {
            "\nTaken in. evenfall import --undo takes it back.\n"
        } else {
            "\nThis calendar was taken in before; nothing changes.\n"
        });
    } else {
        text.push_str("\nNothing was taken in. --write takes it in.\n");
    }
    Ok(Said {
        text,
        json: as_json(&reading, &matched, &asked, written),
    })
}

fn asked(arguments: &Arguments, world: &World, now: Instant) -> Result<Asked, Failure> {
    let home = match &arguments.zone {
        None => world.zone.clone(),
        Some(name) => world.zones.load(name).map_err(|_| {
            Failure::wrong(format!(
                "--zone {name}: there is no such time zone. Write a name such as Europe/Oslo."
            ))
        })?,
    };
    let from = arguments
        .from
        .unwrap_or_else(|| home.local(now).date_naive());
    let after = |date: NaiveDate, days: u64| date.checked_add_days(Days::new(days)).unwrap_or(date);
    let until = arguments.to.unwrap_or_else(|| {
        let end = world.block.last_day().map(|last| after(last, 1));
        end.filter(|end| *end > from)
            .unwrap_or_else(|| after(from, WEEKS_AHEAD * 7))
    });
    if until <= from {
        return Err(Failure::wrong(format!(
            "--to {until} is not after --from {from}. Write the date after the last one."
        )));
    }
    Ok(Asked { from, until, home })
}

fn agreed(context: &Context, arguments: &Arguments, text: &mut String) -> Result<bool, Failure> {
    if arguments.write {
        return Ok(true);
    }
    if context.json() || !can_ask() {
        return Ok(false);
    }
    say(text);
    text.clear();
    yes("Take these training days in?", false)
}

/// Keeps the calendar; whether it was not the newest one already.
fn take_in(
    context: &Context,
    world: &World,
    row: CalendarRow,
    matched: &Matched,
    now: Instant,
) -> Result<bool, Failure> {
    let mut store = context.store()?;
    let sessions: Vec<_> = matched
        .sessions
        .iter()
        .map(|(dated, _)| dated.clone())
        .collect();
    if let Some(newest) = store.newest_calendar()? {
        let same =
            (newest.octets == row.octets) && (newest.from, newest.until) == (row.from, row.until);
        let days = store.calendar_days()?;
        if same && sessions.iter().all(|session| days.contains(session)) {
            return Ok(false);
        }
    }
    store.add_calendar(&row, &sessions, now, &world.zone)?;
    context.tell_service();
    Ok(true)
}

/// Takes the newest calendar back.
pub(super) fn undo(context: &Context) -> Result<Said, Failure> {
    let (now, world) = context.open()?;
    let mut store = context.store()?;
    let Some(row) = store.newest_calendar()? else {
        return Err(Failure::failed(
            "No calendar was taken in that could be taken back.",
        ));
    };
    store.take_calendar_back(row.id, now, &world.zone)?;
    context.tell_service();
    Ok(Said {
        text: format!(
            "{} is taken back; the days before it count again.\n",
            row.file
        ),
        json: json!({ "taken_back": row.file }),
    })
}

fn words(reading: &Reading, matched: &Matched, asked: &Asked) -> String {
    let mut text = format!(
        "From {} to {} ({}):\n\n",
        asked.from,
        asked.until.pred_opt().unwrap_or(asked.until),
        asked.home.name()
    );
    for (dated, title) in &matched.sessions {
        let at = match (dated.cancelled, dated.at) {
            (true, _) => "off  ".to_owned(),
            (false, Some(at)) => at.format("%H:%M").to_string(),
            (false, None) => "     ".to_owned(),
        };
        text.push_str(&format!(
            "  {} {:02} {}  {at}  {}  ({title})\n",
            dated.date.format("%a"),
            dated.date.day(),
            dated.date.format("%b"),
            dated.session,
        ));
    }
    if matched.sessions.is_empty() {
        text.push_str("  No title is that of a session of the block.\n");
    }
    let others = &matched.others;
    if !others.is_empty() {
        let named: Vec<&str> = others
            .iter()
            .take(TITLES_NAMED)
            .map(String::as_str)
            .collect();
        let more = if others.len() > TITLES_NAMED {
            ", ..."
        } else {
            ""
        };
        text.push_str(&format!("\nNo session: {}{more}\n", named.join(", ")));
    }
    if matched.outside > 0 {
        text.push_str(&format!(
            "\nOutside the block and left out: {}\n",
            matched.outside
        ));
    }
    for remark in &reading.remarks {
        text.push_str(&format!("\n{remark}\n"));
    }
    text
}

fn as_json(reading: &Reading, matched: &Matched, asked: &Asked, written: bool) -> Value {
    let occurrences: Vec<Value> = reading
        .occurrences
        .iter()
        .map(|occurrence| occurrence.to_json(&asked.home))
        .collect();
    let sessions: Vec<Value> = matched
        .sessions
        .iter()
        .map(|(dated, title)| {
            json!({
                "date": dated.date.to_string(),
                "session": dated.session,
                "at": dated.at.map(|at| at.format("%H:%M:%S").to_string()),
                "cancelled": dated.cancelled,
                "title": title,
            })
        })
        .collect();
    json!({
        "from": asked.from.to_string(),
        "to": asked.until.to_string(),
        "timezone": asked.home.name(),
        "occurrences": occurrences,
        "sessions": sessions,
        "others": matched.others,
        "outside": matched.outside,
        "remarks": reading.remarks,
        "written": written,
    })
}
