//! Reports of pain and warning signs: kept by one rule for the command and the page.

use chrono::NaiveDate;

use super::failure::Failure;
use super::store::{PainRow, Store};
use crate::pure::caution::{Kind, Report, Site, What};
use crate::pure::civil::{Instant, Zone};

/// The reports that are open now, oldest first.
pub fn open(store: &Store) -> Result<Vec<PainRow>, Failure> {
    let rows = store.pain()?;
    Ok(rows.into_iter().filter(PainRow::is_open).collect())
}

/// Since when the same is known already: saying again how it is does not make it new.
pub fn known_since(
    store: &Store,
    site: Option<Site>,
    kind: Kind,
) -> Result<Option<NaiveDate>, Failure> {
    let known = open(store)?;
    let mut since = known.iter().filter_map(|row| match row.report.what {
        What::Pain(pain) if Some(pain.site) == site && pain.kind == kind => Some(pain.since),
        _ => None,
    });
    Ok(since.next())
}

/// Writes what was reported; each report takes the place of what it says anew. Gives them back with
/// their day.
pub fn record(
    store: &mut Store,
    reported: &[What],
    note: &str,
    today: NaiveDate,
    now: Instant,
    zone: &Zone,
) -> Result<Vec<Report>, Failure> {
    let mut kept = Vec::new();
    for what in reported {
        let report = Report {
            what: *what,
            on: today,
        };
        kept.push(report);
        let rows = open(store)?;
        if rows.iter().any(|row| row.report.what == report.what) {
            continue;
        }
        let mut renewed: Vec<PainRow> = rows
            .into_iter()
            .filter(|row| report.renews(&row.report, today))
            .collect();
        let first = (!renewed.is_empty()).then(|| renewed.remove(0).id);
        store.add_pain(&report, note, first, now, zone)?;
        if !renewed.is_empty() {
            store.close_pain(&renewed, today, now, zone)?;
        }
    }
    Ok(kept)
}
