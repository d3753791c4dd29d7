//! Reports of pain and warning signs, and their closing.

use chrono::NaiveDate;
use rusqlite::{Row, named_params, params};

use super::Store;
use super::cells::{date, instant};
use crate::pure::caution::{Kind, PainReport, Report, Sign, Site, What};
use crate::pure::civil::{Instant, Zone};
use crate::shell::failure::Failure;

/// One report with what became of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PainRow {
    /// Its number.
    pub id: i64,
    /// When it was written.
    pub at: Instant,
    /// What was reported, and on which day.
    pub report: Report,
    /// A remark; empty = none.
    pub note: String,
    /// The day on which the person closed it, or a newer report of the same place took its place.
    pub until: Option<NaiveDate>,
}

impl PainRow {
    /// Whether it is open now.
    pub fn is_open(&self) -> bool {
        self.until.is_none()
    }
}

impl Store {
    /// Adds a report, perhaps in the place of an older one.
    pub fn add_pain(
        &mut self,
        report: &Report,
        note: &str,
        replaces: Option<i64>,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        let (pain, sign, site) = match report.what {
            What::Pain(pain) => (Some(pain), None, Some(pain.site)),
            What::Sign { sign, site } => (None, Some(sign), site),
        };
        self.write(|connection| {
            connection
                .execute(
                    "INSERT INTO pain (replaces, date, at_ms, offset_s, zone, site, level, kind, since, sign, note) \
                     VALUES (:replaces, :date, :at, :offset, :zone, :site, :level, :kind, :since, :sign, :note)",
                    named_params! {
                        ":replaces": replaces,
                        ":date": report.on.to_string(),
                        ":at": at.timestamp_millis(),
                        ":offset": zone.offset_at(at).local_minus_utc(),
                        ":zone": zone.name(),
                        ":site": site.map(|site| site.to_string()),
                        ":level": pain.map(|pain| pain.level),
                        ":kind": pain.map(|pain| pain.kind.id()),
                        ":since": pain.map(|pain| pain.since.to_string()),
                        ":sign": sign.map(Sign::id),
                        ":note": note,
                    },
                )
                .map(drop)
        })
    }

    /// Closes reports: for the person they are over.
    pub fn close_pain(
        &mut self,
        rows: &[PainRow],
        on: NaiveDate,
        at: Instant,
        zone: &Zone,
    ) -> Result<(), Failure> {
        self.write(|connection| {
            let mut statement = connection.prepare(
                "INSERT INTO pain (closes, date, at_ms, offset_s, zone) VALUES (?1, ?2, ?3, ?4, ?5)",
            )?;
            for row in rows {
                statement.execute(params![
                    row.id,
                    on.to_string(),
                    at.timestamp_millis(),
                    zone.offset_at(at).local_minus_utc(),
                    zone.name()
                ])?;
            }
            Ok(())
        })
    }

    /// Every report, oldest first.
    pub fn pain(&self) -> Result<Vec<PainRow>, Failure> {
        self.read(|connection| {
            let mut statement = connection.prepare(
                "SELECT report.id, report.at_ms, report.date, report.site, report.level, report.kind, report.since, \
                 report.sign, report.note, ending.date FROM pain AS report LEFT JOIN pain AS ending \
                 ON ending.id = (SELECT min(id) FROM pain WHERE closes = report.id OR replaces = report.id) \
                 WHERE report.closes IS NULL ORDER BY report.id",
            )?;
            let rows = statement.query_map([], read_row)?;
            // A place or sign of a later version is skipped, not fatal.
            rows.filter_map(Result::transpose).collect()
        })
    }
}

fn read_row(row: &Row<'_>) -> rusqlite::Result<Option<PainRow>> {
    let site: Option<String> = row.get(3)?;
    let site = site.as_deref().and_then(Site::from_id);
    let level: Option<u8> = row.get(4)?;
    let kind: Option<String> = row.get(5)?;
    let since: Option<String> = row.get(6)?;
    let sign: Option<String> = row.get(7)?;
    let on = date(row, 2)?;
    let what = match sign {
        Some(sign) => Sign::from_id(&sign).map(|sign| What::Sign { sign, site }),
        None => site.zip(level).map(|(site, level)| {
            What::Pain(PainReport {
                site,
                level,
                kind: kind
                    .as_deref()
                    .and_then(Kind::from_id)
                    .unwrap_or(Kind::Other),
                since: since.and_then(|since| since.parse().ok()).unwrap_or(on),
            })
        }),
    };
    let Some(what) = what else { return Ok(None) };
    let ended: Option<String> = row.get(9)?;
    Ok(Some(PainRow {
        id: row.get(0)?,
        at: instant(row, 1)?,
        report: Report { what, on },
        note: row.get(8)?,
        until: ended.and_then(|on| on.parse().ok()),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(number: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 1, number).expect("date")
    }

    fn knee(level: u8, on: u32) -> Report {
        Report {
            what: What::Pain(PainReport {
                site: Site::from_id("knee_left").expect("site"),
                level,
                kind: Kind::Sharp,
                since: day(3),
            }),
            on: day(on),
        }
    }

    #[test]
    fn reports_stay_and_say_what_became_of_them() {
        let folder = tempfile::tempdir().expect("folder");
        let mut store = Store::open(&folder.path().join("diary.db")).expect("store");
        let zone = Zone::utc();
        let now: Instant = "2026-01-05T18:00:00Z".parse().expect("instant");
        store
            .add_pain(&knee(4, 5), "on stairs", None, now, &zone)
            .expect("added");
        let sign = Report {
            what: What::Sign {
                sign: Sign::Snoring,
                site: None,
            },
            on: day(5),
        };
        store.add_pain(&sign, "", None, now, &zone).expect("added");
        let rows = store.pain().expect("read");
        assert_eq!(rows[0].report, knee(4, 5));
        assert_eq!(rows[0].note, "on stairs");
        assert_eq!(rows[1].report, sign);
        assert!(rows.iter().all(PainRow::is_open));
        store
            .add_pain(&knee(2, 7), "", Some(rows[0].id), now, &zone)
            .expect("replaced");
        let rows = store.pain().expect("read");
        assert_eq!(rows[0].until, Some(day(7)));
        store
            .close_pain(&rows[1..], day(9), now, &zone)
            .expect("closed");
        let rows = store.pain().expect("read");
        let until: Vec<Option<NaiveDate>> = rows.iter().map(|row| row.until).collect();
        assert_eq!(until, [Some(day(7)), Some(day(9)), Some(day(9))]);
        assert_eq!(rows[2].report, knee(2, 7));
    }
}
