//! Comparisons of two evenings: how each was set up, and whether it was stopped.

use chrono::NaiveDate;
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::Store;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::compare::{Has, Outcome, Planned, pairs_from_text, pairs_text};
use crate::shell::failure::Failure;

/// The newest comparison.
const NEWEST: &str = "SELECT comparison.id, a, b, outcome, pairs, seed, stopped.night FROM comparison \
     LEFT JOIN comparison_stop AS stopped ON stopped.comparison = comparison.id \
     ORDER BY comparison.id DESC LIMIT 1";

/// A comparison as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ComparisonRow {
    /// Its number.
    pub id: i64,
    /// How it was set up.
    pub planned: Planned,
    /// The number the draw was made from, where the person gave one.
    pub seed: Option<u64>,
}

impl Store {
    /// Keeps a comparison with its draw.
    pub fn add_comparison(
        &mut self,
        planned: &Planned,
        seed: Option<u64>,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        self.write(|connection| {
            connection.execute(
                "INSERT INTO comparison (at_ms, offset_s, zone, a, b, outcome, pairs, seed) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                params![
                    at.timestamp_millis(),
                    zone.offset_at(at).local_minus_utc(),
                    zone.name(),
                    planned.a.text(),
                    planned.b.text(),
                    planned.outcome.id(),
                    pairs_text(&planned.pairs),
                    seed.map(|seed| seed.to_string()),
                ],
            )?;
            Ok(())
        })
    }

    /// Stops a comparison from a night on.
    pub fn stop_comparison(
        &mut self,
        id: i64,
        from: Night,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        self.write(|connection| {
            connection.execute(
                "INSERT INTO comparison_stop (comparison, at_ms, offset_s, zone, night) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![
                    id,
                    at.timestamp_millis(),
                    zone.offset_at(at).local_minus_utc(),
                    zone.name(),
                    from.to_string()
                ],
            )?;
            Ok(())
        })
    }

    /// The newest comparison, running, over or stopped.
    pub fn comparison(&self) -> Result<Option<ComparisonRow>, Failure> {
        self.read(newest)
    }
}

pub(super) fn newest(connection: &Connection) -> rusqlite::Result<Option<ComparisonRow>> {
    let row = connection.query_row(NEWEST, [], read_row).optional()?;
    // One of a later version reads as none.
    Ok(row.flatten())
}

fn read_row(row: &Row<'_>) -> rusqlite::Result<Option<ComparisonRow>> {
    let text = |index| row.get::<_, String>(index);
    let (a, b) = (Has::from_text(&text(1)?), Has::from_text(&text(2)?));
    let outcome = Outcome::from_id(&text(3)?);
    let pairs = pairs_from_text(&text(4)?);
    let seed: Option<String> = row.get(5)?;
    let stopped: Option<String> = row.get(6)?;
    let id = row.get(0)?;
    Ok((|| {
        Some(ComparisonRow {
            id,
            planned: Planned {
                a: a?,
                b: b?,
                outcome: outcome?,
                pairs: pairs?,
                stopped: stopped
                    .and_then(|night| night.parse::<NaiveDate>().ok())
                    .map(Night),
            },
            seed: seed.and_then(|seed| seed.parse().ok()),
        })
    })())
}

#[cfg(test)]
mod tests {
    use super::super::Peek;
    use super::*;
    use crate::pure::compare::draw;

    #[test]
    fn the_newest_comparison_comes_back_with_its_draw() {
        let folder = tempfile::tempdir().expect("folder");
        let path = folder.path().join("diary.db");
        assert_eq!(Peek::into(&path).comparison(), None);
        let mut store = Store::open(&path).expect("store");
        assert_eq!(store.comparison().expect("read"), None);
        let now: Instant = "2026-01-05T18:00:00Z".parse().expect("instant");
        let from: NaiveDate = "2026-01-05".parse().expect("date");
        let mut planned = Planned {
            a: Has::Nothing,
            b: Has::Pattern("square".to_owned()),
            outcome: Outcome::SleepQuality,
            pairs: draw(from, &[true, false]),
            stopped: None,
        };
        let zone = Zone::utc();
        store
            .add_comparison(&planned, Some(u64::MAX), now, &zone)
            .expect("added");
        let row = store.comparison().expect("read").expect("one");
        assert_eq!((&row.planned, row.seed), (&planned, Some(u64::MAX)));
        let from = Night(from).next();
        store
            .stop_comparison(row.id, from, now, &zone)
            .expect("stopped");
        assert!(store.stop_comparison(row.id, from, now, &zone).is_err());
        planned.stopped = Some(from);
        let row = Peek::into(&path).comparison().expect("one");
        assert_eq!(row.planned, planned);
    }
}
