//! Calendars taken in: the octets of each file as they were, and the training days read from them.

use chrono::{NaiveDate, NaiveTime};
use rusqlite::{Connection, OptionalExtension, params};

use super::Store;
use super::cells::date;
use crate::pure::block::DatedSession;
use crate::pure::civil::{Instant, Zone};
use crate::shell::failure::Failure;

/// A calendar as it was taken in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CalendarRow {
    /// Its number.
    pub id: i64,
    /// The file's name.
    pub file: String,
    /// The file's octets.
    pub octets: Vec<u8>,
    /// First date taken from it.
    pub from: NaiveDate,
    /// The date after the last one.
    pub until: NaiveDate,
}

/// Calendars that were not taken back.
const STANDING: &str = "calendar WHERE id NOT IN (SELECT calendar FROM calendar_back)";

impl Store {
    /// Takes a calendar in; its dates count from now on in the place of those of earlier ones.
    pub fn add_calendar(
        &mut self,
        row: &CalendarRow,
        sessions: &[DatedSession],
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        self.write(|connection| {
            connection.execute(
                "INSERT INTO calendar (at_ms, offset_s, zone, file, octets, from_date, until_date) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                params![
                    at.timestamp_millis(),
                    zone.offset_at(at).local_minus_utc(),
                    zone.name(),
                    row.file,
                    row.octets,
                    row.from.to_string(),
                    row.until.to_string(),
                ],
            )?;
            let calendar = connection.last_insert_rowid();
            let mut statement = connection.prepare(
                "INSERT INTO calendar_day (calendar, date, session, starts, cancelled) VALUES (?1, ?2, ?3, ?4, ?5)",
            )?;
            for session in sessions {
                statement.execute(params![
                    calendar,
                    session.date.to_string(),
                    session.session,
                    session.at.map(|at| at.to_string()),
                    session.cancelled,
                ])?;
            }
            Ok(())
        })
    }

    /// The newest calendar that was not taken back.
    pub fn newest_calendar(&self) -> Result<Option<CalendarRow>, Failure> {
        self.read(|connection| {
            let sql = format!(
                "SELECT id, file, octets, from_date, until_date FROM {STANDING} ORDER BY id DESC LIMIT 1"
            );
            connection
                .query_row(&sql, [], |row| {
                    Ok(CalendarRow {
                        id: row.get(0)?,
                        file: row.get(1)?,
                        octets: row.get(2)?,
                        from: date(row, 3)?,
                        until: date(row, 4)?,
                    })
                })
                .optional()
        })
    }

    /// Takes a calendar back: what counted before it counts again.
    pub fn take_calendar_back(&mut self, id: i64, at: Instant, zone: &Zone) -> Result<(), Failure> {
        self.write(|connection| {
            connection.execute(
                "INSERT INTO calendar_back (calendar, at_ms, offset_s, zone) VALUES (?1, ?2, ?3, ?4)",
                params![
                    id,
                    at.timestamp_millis(),
                    zone.offset_at(at).local_minus_utc(),
                    zone.name()
                ],
            )?;
            Ok(())
        })
    }

    /// The training days that calendars have; of several calendars for a date the newest counts.
    pub fn calendar_days(&self) -> Result<Vec<DatedSession>, Failure> {
        self.read(days)
    }
}

pub(super) fn days(connection: &Connection) -> rusqlite::Result<Vec<DatedSession>> {
    let sql = format!(
        "SELECT date, session, starts, cancelled FROM calendar_day AS day \
         WHERE calendar = (SELECT max(id) FROM {STANDING} AND day.date >= from_date AND day.date < until_date) \
         ORDER BY date, session"
    );
    let mut statement = connection.prepare(&sql)?;
    let rows = statement.query_map([], |row| {
        let starts: Option<String> = row.get(2)?;
        Ok(DatedSession {
            date: date(row, 0)?,
            session: row.get(1)?,
            at: starts.and_then(|starts| starts.parse::<NaiveTime>().ok()),
            cancelled: row.get(3)?,
        })
    })?;
    rows.collect()
}

#[cfg(test)]
mod tests {
    use super::super::Peek;
    use super::*;

    fn day(number: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 1, number).expect("date")
    }

    fn calendar(from: u32, until: u32) -> CalendarRow {
        CalendarRow {
            id: 0,
            file: "training.ics".to_owned(),
            octets: vec![0xff, 0, 13, 10],
            from: day(from),
            until: day(until),
        }
    }

    fn session(number: u32) -> DatedSession {
        DatedSession {
            date: day(number),
            session: "legs".to_owned(),
            at: NaiveTime::from_hms_opt(18, 30, 0),
            cancelled: false,
        }
    }

    #[test]
    fn the_newest_calendar_counts_for_its_span_until_it_is_taken_back() {
        let folder = tempfile::tempdir().expect("folder");
        let path = folder.path().join("diary.db");
        assert_eq!(Peek::into(&path).calendar_days(), []);
        let mut store = Store::open(&path).expect("store");
        let now: Instant = "2026-01-01T18:00:00Z".parse().expect("instant");
        let zone = Zone::utc();
        let first = [session(5), session(12), session(19)];
        store
            .add_calendar(&calendar(1, 20), &first, now, &zone)
            .expect("added");
        store
            .add_calendar(&calendar(10, 15), &[session(13)], now, &zone)
            .expect("added");
        let dates = |store: &Store| -> Vec<NaiveDate> {
            let days = store.calendar_days().expect("read");
            days.iter().map(|session| session.date).collect()
        };
        assert_eq!(dates(&store), [day(5), day(13), day(19)]);
        let newest = store.newest_calendar().expect("read").expect("one");
        assert_eq!(
            (newest.from, &newest.octets[..]),
            (day(10), &[0xff, 0, 13, 10][..])
        );
        store
            .take_calendar_back(newest.id, now, &zone)
            .expect("taken back");
        assert_eq!(dates(&store), [day(5), day(12), day(19)]);
        assert_eq!(Peek::into(&path).calendar_days()[0], session(5));
    }
}
