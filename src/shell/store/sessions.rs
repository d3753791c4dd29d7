//! Records of training days: sessions done, and days confirmed as rest.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use rusqlite::{Connection, Row, named_params, params};
use serde::{Deserialize, Serialize};

use super::cells::{date, instant, instant_if_any, with_offset};
use super::{Store, prompts};
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::load::{PartDone, TrainingDone};
use crate::pure::prompt::{Answer, Event, Key, Kind};
use crate::shell::failure::Failure;

/// What a record says of its day.
#[derive(Clone, Debug, PartialEq)]
pub enum TrainingDay {
    /// A session was done.
    Done(TrainingDone),
    /// Nothing was trained, and the person said so.
    Rest(NaiveDate),
}

impl TrainingDay {
    /// The day.
    pub fn date(&self) -> NaiveDate {
        match self {
            Self::Done(done) => done.date,
            Self::Rest(date) => *date,
        }
    }

    /// The session, if one was done.
    pub fn done(&self) -> Option<&TrainingDone> {
        match self {
            Self::Done(done) => Some(done),
            Self::Rest(_) => None,
        }
    }
}

/// One current record.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionRow {
    /// Its number.
    pub id: i64,
    /// When it was written.
    pub at: Instant,
    /// What it says.
    pub day: TrainingDay,
    /// When the session ended, if that is known.
    pub ended: Option<Instant>,
}

/// A count as it is kept in the column `parts`.
#[derive(Serialize, Deserialize)]
struct KeptPart {
    part: String,
    counts: Vec<u32>,
}

impl Store {
    /// Adds a session, or puts it in the place of a record. With its rating the day's prompt counts as
    /// answered, in the same transaction; without it the prompt still has something to ask for.
    pub fn add_session(
        &mut self,
        done: &TrainingDone,
        ended: Option<Instant>,
        replaces: Option<i64>,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        self.write(|connection| {
            insert(
                connection,
                "done",
                done.date,
                Some((done, ended)),
                replaces,
                at,
                zone,
            )?;
            if done.rpe.is_none() {
                return Ok(());
            }
            answer_prompt(connection, done.date, at, zone)
        })
    }

    /// Adds many sessions in one transaction.
    pub fn add_sessions<'t>(
        &mut self,
        sessions: impl IntoIterator<Item = &'t TrainingDone>,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        self.write(|connection| {
            sessions.into_iter().try_for_each(|done| {
                insert(
                    connection,
                    "done",
                    done.date,
                    Some((done, None)),
                    None,
                    at,
                    zone,
                )
            })
        })
    }

    /// Confirms a day as rest.
    pub fn add_rest(&mut self, day: NaiveDate, at: Instant, zone: &Zone) -> Result<(), Failure> {
        self.write(|connection| {
            insert(connection, "rest", day, None, None, at, zone)?;
            answer_prompt(connection, day, at, zone)
        })
    }

    /// Says that a record was a mistake; it stays in the history.
    pub fn remove_session(
        &mut self,
        row: &SessionRow,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        self.write(|connection| {
            insert(
                connection,
                "removed",
                row.day.date(),
                None,
                Some(row.id),
                at,
                zone,
            )
        })
    }

    /// The current records of a span of days, both included, oldest day first.
    pub fn training(&self, from: NaiveDate, to: NaiveDate) -> Result<Vec<SessionRow>, Failure> {
        self.read(|connection| {
            let mut statement = connection.prepare(
                "SELECT id, at_ms, date, kind, session, minutes, rpe, ended_ms, parts, note FROM session AS record \
                 WHERE date BETWEEN ?1 AND ?2 AND kind <> 'removed' \
                 AND NOT EXISTS (SELECT 1 FROM session AS later WHERE later.replaces = record.id) ORDER BY date, id",
            )?;
            statement
                .query_map(params![from.to_string(), to.to_string()], read_row)?
                .collect()
        })
    }

    /// The first day of which anything is recorded.
    pub fn first_training_day(&self) -> Result<Option<NaiveDate>, Failure> {
        let first: Option<String> = self.read(|connection| {
            connection.query_row(
                "SELECT min(date) FROM session AS record WHERE kind <> 'removed' \
                 AND NOT EXISTS (SELECT 1 FROM session AS later WHERE later.replaces = record.id)",
                [],
                |row| row.get(0),
            )
        })?;
        Ok(first.and_then(|date| date.parse().ok()))
    }

    /// Whether any session was ever recorded.
    pub fn has_sessions(&self) -> Result<bool, Failure> {
        self.read(|connection| {
            connection.query_row(
                "SELECT EXISTS (SELECT 1 FROM session WHERE kind = 'done')",
                [],
                |row| row.get(0),
            )
        })
    }
}

/// The sessions done among records.
pub fn sessions_of(rows: &[SessionRow]) -> Vec<TrainingDone> {
    rows.iter()
        .filter_map(|row| row.day.done().cloned())
        .collect()
}

/// The days confirmed as rest among records.
pub fn rest_days_of(rows: &[SessionRow]) -> BTreeSet<NaiveDate> {
    rows.iter()
        .filter(|row| row.day.done().is_none())
        .map(|row| row.day.date())
        .collect()
}

fn answer_prompt(
    connection: &Connection,
    day: NaiveDate,
    at: Instant,
    zone: &Zone,
) -> rusqlite::Result<()> {
    let key = Key::once(Kind::Session, Night(day));
    let answered = Event::Answered {
        answer: Answer::Done,
    };
    prompts::insert(connection, &key, at, zone, &answered)
}

/// Adds a record within a transaction of the caller.
fn insert(
    connection: &Connection,
    kind: &str,
    day: NaiveDate,
    done: Option<(&TrainingDone, Option<Instant>)>,
    replaces: Option<i64>,
    at: Instant,
    zone: &Zone,
) -> rusqlite::Result<()> {
    let ended = with_offset(done.and_then(|(_, ended)| ended), zone);
    let done = done.map(|(done, _)| done);
    connection
        .prepare_cached(
            "INSERT INTO session (replaces, date, at_ms, offset_s, zone, kind, session, minutes, rpe, ended_ms, \
             ended_offset_s, parts, note) VALUES (:replaces, :date, :at, :offset, :zone, :kind, :session, :minutes, \
             :rpe, :ended, :ended_offset, :parts, :note)",
        )?
        .execute(named_params! {
            ":replaces": replaces,
            ":date": day.to_string(),
            ":at": at.timestamp_millis(),
            ":offset": zone.offset_at(at).local_minus_utc(),
            ":zone": zone.name(),
            ":kind": kind,
            ":session": done.and_then(|done| done.session.as_deref()),
            ":minutes": done.and_then(|done| done.minutes),
            ":rpe": done.and_then(|done| done.rpe),
            ":ended": ended.0,
            ":ended_offset": ended.1,
            ":parts": parts_text(done.map_or(&[], |done| &done.parts))?,
            ":note": done.map_or("", |done| &done.note),
        })
        .map(drop)
}

fn parts_text(parts: &[PartDone]) -> rusqlite::Result<String> {
    let kept: Vec<KeptPart> = parts
        .iter()
        .map(|part| KeptPart {
            part: part.part.clone(),
            counts: part.counts.clone(),
        })
        .collect();
    serde_json::to_string(&kept)
        .map_err(|error| rusqlite::Error::ToSqlConversionFailure(error.into()))
}

fn parts(text: &str) -> Vec<PartDone> {
    let kept: Vec<KeptPart> = serde_json::from_str(text).unwrap_or_default();
    kept.into_iter()
        .map(|part| PartDone {
            part: part.part,
            counts: part.counts,
        })
        .collect()
}

fn read_row(row: &Row<'_>) -> rusqlite::Result<SessionRow> {
    let date = date(row, 2)?;
    let day = match row.get_ref(3)?.as_str()? {
        "rest" => TrainingDay::Rest(date),
        _ => TrainingDay::Done(TrainingDone {
            date,
            session: row.get(4)?,
            minutes: row.get(5)?,
            rpe: row.get(6)?,
            parts: parts(row.get_ref(8)?.as_str()?),
            note: row.get(9)?,
        }),
    };
    Ok(SessionRow {
        id: row.get(0)?,
        at: instant(row, 1)?,
        day,
        ended: instant_if_any(row, 7)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(number: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 1, number).expect("date")
    }

    fn done(number: u32, rpe: Option<f64>) -> TrainingDone {
        TrainingDone {
            date: day(number),
            session: Some("legs_and_lungs".to_owned()),
            minutes: Some(28.0),
            rpe,
            parts: vec![PartDone {
                part: "Step-ups".to_owned(),
                counts: vec![12, 12, 11],
            }],
            note: "cold".to_owned(),
        }
    }

    #[test]
    fn a_session_comes_back_whole_is_corrected_and_removed() {
        let folder = tempfile::tempdir().expect("folder");
        let mut store = Store::open(&folder.path().join("diary.db")).expect("store");
        let zone = Zone::embedded("Europe/Oslo").expect("zone");
        let now: Instant = "2026-01-05T18:00:00Z".parse().expect("instant");
        assert!(!store.has_sessions().expect("read"));
        store
            .add_session(&done(5, None), Some(now), None, now, &zone)
            .expect("added");
        let rows = store.training(day(1), day(9)).expect("read");
        assert_eq!(rows[0].day, TrainingDay::Done(done(5, None)));
        assert_eq!(rows[0].ended, Some(now));
        store
            .add_session(&done(5, Some(8.0)), None, Some(rows[0].id), now, &zone)
            .expect("corrected");
        let rows = store.training(day(1), day(9)).expect("read");
        assert_eq!(sessions_of(&rows), [done(5, Some(8.0))]);
        // A record is replaced at most once, so its history is a line.
        let again = store.add_session(&done(5, None), None, Some(rows[0].id - 1), now, &zone);
        assert!(again.is_err());
        store.remove_session(&rows[0], now, &zone).expect("removed");
        assert_eq!(store.training(day(1), day(9)).expect("read"), []);
        store.add_rest(day(6), now, &zone).expect("rest");
        store
            .add_sessions([&done(7, None), &done(7, None)], now, &zone)
            .expect("added");
        let rows = store.training(day(6), day(7)).expect("read");
        assert_eq!(rest_days_of(&rows), BTreeSet::from([day(6)]));
        assert_eq!(sessions_of(&rows).len(), 2);
        assert!(store.has_sessions().expect("read"));
        let answered = store.records_since(Night(day(1))).expect("read");
        assert!(answered[&Key::once(Kind::Session, Night(day(6)))].is_settled());
    }
}
