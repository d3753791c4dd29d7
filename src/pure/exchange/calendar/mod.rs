//! Calendars (iCalendar, RFC 5545): training days in, nights out.
//!
//! [`read`] takes the octets of a file and gives what happens within a span of dates, or everything that
//! is wrong with the file: a broken file gives nothing. [`write_nights`] makes the file a phone can
//! remind from.
//!
//! The steps of reading, one file each: `line` (octets to content lines), `component` (BEGIN and END),
//! `value`, `zone` (the machine's rules first, else the file's own), `reading` (to an `event`), `rule`
//! (repetition, on wall time alone) and `occurrence`.

mod component;
mod event;
mod faults;
mod line;
mod occurrence;
mod reading;
mod rule;
mod tzif;
mod value;
mod write;
mod zone;

#[cfg(test)]
mod tests;

pub use occurrence::{Occurrence, When};
pub use write::{CalledOff, Earlier, NightEvent, WindDown, write_nights};

use chrono::{Duration, NaiveDate, NaiveDateTime, NaiveTime};

use self::component::{Builder, Component};
use self::faults::{Faults, Place};
use self::line::Unfolded;
use self::reading::Reading as EventReading;
use self::rule::Budget;
use self::zone::Zones;
use crate::pure::civil::Zone;
use crate::pure::complaint::Complaint;

/// A file to read.
#[derive(Clone, Copy, Debug)]
pub struct Source<'o> {
    /// Its name as the person knows it.
    pub file: &'o str,
    /// Its content.
    pub octets: &'o [u8],
}

/// The dates asked for, in the person's zone.
#[derive(Clone, Copy, Debug)]
pub struct Span<'z> {
    /// First date.
    pub from: NaiveDate,
    /// The date after the last one.
    pub until: NaiveDate,
    /// The person's zone: that of whole days and of times without one.
    pub home: &'z Zone,
}

/// Finds a zone by its IANA name.
pub type ZoneLookup<'l> = dyn Fn(&str) -> Option<Zone> + 'l;

/// What a calendar says about a span.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Reading {
    /// What happens, in order of time; what was called off too, with its status.
    pub occurrences: Vec<Occurrence>,
    /// What the person should know, whole sentences.
    pub remarks: Vec<String>,
}

/// How much of a file is taken. Our own choice, far above what a person's calendar holds.
#[derive(Clone, Copy, Debug)]
struct Limits {
    /// Octets of a file.
    file_octets: usize,
    /// Octets of an unfolded line.
    line_octets: usize,
    /// Unfolded lines.
    lines: usize,
    /// Components.
    components: usize,
    /// Occurrences of one rule within the span.
    occurrences: usize,
    /// Occurrences of one rule before the span.
    before: usize,
    /// Occurrences in all.
    total: usize,
    /// Steps of all rules together.
    steps: usize,
}

/// Octets of a file that are read at most.
pub const MOST_OCTETS: u64 = 10_000_000;

const LIMITS: Limits = Limits {
    file_octets: MOST_OCTETS as usize,
    line_octets: 1_000_000,
    lines: 400_000,
    components: 20_000,
    occurrences: 5_000,
    before: 100_000,
    total: 100_000,
    steps: 1_000_000,
};

/// Reads what a calendar file says about a span of dates.
///
/// # Errors
/// Everything that is wrong with the file, in one go; nothing of it is then to be used.
pub fn read(
    source: &Source<'_>,
    span: &Span<'_>,
    zones: &ZoneLookup<'_>,
) -> Result<Reading, Vec<Complaint>> {
    let mut faults = Faults::new(source.file);
    let reading = read_with(source, span, zones, &LIMITS, &mut faults);
    if faults.is_empty() {
        Ok(reading)
    } else {
        Err(faults.into_complaints())
    }
}

fn read_with(
    source: &Source<'_>,
    span: &Span<'_>,
    zones: &ZoneLookup<'_>,
    limits: &Limits,
    faults: &mut Faults<'_>,
) -> Reading {
    if !looks_like_a_calendar(source.octets, limits, faults) {
        return Reading::default();
    }
    let unfolded = Unfolded::new(source.octets, limits, faults);
    let calendars = calendars(&unfolded, limits, faults);
    let mut budget = Budget(limits.steps);
    // A year more, because a zone's change after the span may matter to an event that ends there.
    let end = span.until.checked_add_signed(Duration::days(366));
    let end: NaiveDateTime = end.unwrap_or(span.until).and_time(NaiveTime::MIN);
    let mut events = Vec::new();
    for calendar in &calendars {
        let mut reading = EventReading {
            zones: Zones::new(calendar, zones, end, limits),
            home: span.home,
            budget: &mut budget,
            faults,
        };
        events.extend(
            calendar
                .inner("VEVENT")
                .filter_map(|event| reading.event(event)),
        );
    }
    let mut remarks = Vec::new();
    let events = occurrence::newest(events, &mut remarks);
    let nowhere = Component::default();
    let mut reading = EventReading {
        zones: Zones::new(&nowhere, zones, end, limits),
        home: span.home,
        budget: &mut budget,
        faults,
    };
    Reading {
        occurrences: occurrence::occurrences(&events, span, limits, &mut reading),
        remarks,
    }
}

/// A file that is something else altogether gets one complaint, not one for each of its lines.
fn looks_like_a_calendar(octets: &[u8], limits: &Limits, faults: &mut Faults<'_>) -> bool {
    const BEGIN: &[u8] = b"BEGIN:VCALENDAR";
    let start = Place { line: 1, column: 1 };
    let instead = "Export the calendar again as an iCalendar file (.ics)";
    if octets.is_empty() {
        faults.say(start, "the file is empty", instead);
        return false;
    }
    if octets.len() > limits.file_octets {
        let what = format!(
            "the file has {} octets, the limit is {}",
            octets.len(),
            limits.file_octets
        );
        faults.say(start, what, "Export a shorter span of time");
        return false;
    }
    let begins = octets
        .windows(BEGIN.len())
        .any(|part| part.eq_ignore_ascii_case(BEGIN));
    if !begins {
        faults.say(
            start,
            "this is not a calendar: there is no BEGIN:VCALENDAR",
            instead,
        );
    }
    begins
}

fn calendars<'t>(
    unfolded: &'t Unfolded,
    limits: &Limits,
    faults: &mut Faults<'_>,
) -> Vec<Component<'t>> {
    let mut builder = Builder::new();
    for (number, octets) in unfolded.pieces() {
        let Some(line) = line::line(number, octets, limits, faults) else {
            continue;
        };
        if !builder.take(line, limits, faults) {
            break;
        }
    }
    builder.calendars(faults)
}
