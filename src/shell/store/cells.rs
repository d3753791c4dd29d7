//! Dates and instants as the store keeps them.

use chrono::{DateTime, NaiveDate};
use rusqlite::types::Type;
use rusqlite::{Error, Row};

use crate::pure::civil::{Instant, Zone};

/// A date kept as text.
pub(super) fn date(row: &Row<'_>, column: usize) -> rusqlite::Result<NaiveDate> {
    let text = row.get_ref(column)?.as_str()?;
    text.parse()
        .map_err(|error| Error::FromSqlConversionFailure(column, Type::Text, Box::new(error)))
}

/// An instant kept as UTC milliseconds.
pub(super) fn instant(row: &Row<'_>, column: usize) -> rusqlite::Result<Instant> {
    let ms: i64 = row.get(column)?;
    DateTime::from_timestamp_millis(ms).ok_or(Error::IntegralValueOutOfRange(column, ms))
}

/// The same where it may be missing.
pub(super) fn instant_if_any(row: &Row<'_>, column: usize) -> rusqlite::Result<Option<Instant>> {
    let ms: Option<i64> = row.get(column)?;
    Ok(ms.and_then(DateTime::from_timestamp_millis))
}

/// An instant for the store, with the offset of the zone whose clock the person looked at.
pub(super) fn with_offset(at: Option<Instant>, zone: &Zone) -> (Option<i64>, Option<i32>) {
    (
        at.map(|at| at.timestamp_millis()),
        at.map(|at| zone.offset_at(at).local_minus_utc()),
    )
}
