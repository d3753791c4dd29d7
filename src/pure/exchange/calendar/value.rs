//! The kinds of values: dates, times, durations, offsets and text (RFC 5545, section 3.3).

use chrono::{Duration, NaiveDate, NaiveDateTime, NaiveTime};

/// A date or a time as written, before any zone has had its say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Written {
    /// A whole day.
    Date(NaiveDate),
    /// A wall time, in a zone named elsewhere or in the person's own.
    Local(NaiveDateTime),
    /// A time in UTC.
    Utc(NaiveDateTime),
}

/// A length as written: days and weeks are counted on the calendar, the rest in elapsed time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Length {
    pub(super) days: i64,
    pub(super) exact: Duration,
}

/// Reads `20261005`, `20261005T180000` or `20261005T180000Z`; second 60 counts as 59, as section 3.3.12
/// has it for clocks without leap seconds.
pub(super) fn written(text: &str) -> Option<Written> {
    let (date, time) = match text.split_once(['T', 't']) {
        Some((date, time)) => (date, Some(time)),
        None => (text, None),
    };
    let date = day(date)?;
    let Some(time) = time else {
        return Some(Written::Date(date));
    };
    match time.strip_suffix(['Z', 'z']) {
        Some(time) => Some(Written::Utc(date.and_time(clock(time)?))),
        None => Some(Written::Local(date.and_time(clock(time)?))),
    }
}

fn day(text: &str) -> Option<NaiveDate> {
    if text.len() != 8 {
        return None;
    }
    let year = number(text.get(..4)?)?;
    let (month, day) = (number(text.get(4..6)?)?, number(text.get(6..)?)?);
    NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, month, day)
}

fn clock(text: &str) -> Option<NaiveTime> {
    if text.len() != 6 {
        return None;
    }
    let second = number(text.get(4..)?)?;
    let second = if second == 60 { 59 } else { second };
    NaiveTime::from_hms_opt(number(text.get(..2)?)?, number(text.get(2..4)?)?, second)
}

/// A number of digits only: no sign, no blank.
fn number(digits: &str) -> Option<u32> {
    let plain = !digits.is_empty() && digits.bytes().all(|octet| octet.is_ascii_digit());
    plain.then(|| digits.parse().ok())?
}

/// Reads `P1D`, `PT1H30M`, `P2W`; a sign is accepted, a negative length is the caller's to refuse.
pub(super) fn length(text: &str) -> Option<Length> {
    let (sign, text) = match text.as_bytes().first()? {
        b'+' => (1, &text[1..]),
        b'-' => (-1, &text[1..]),
        _ => (1, text),
    };
    let text = text.to_ascii_uppercase();
    let rest = text.strip_prefix('P')?;
    let (date, time) = match rest.split_once('T') {
        Some((date, time)) if !time.is_empty() => (date, time),
        Some(_) => return None,
        None if rest.is_empty() => return None,
        None => (rest, ""),
    };
    let mut days = 0;
    for (count, unit) in pieces(date)? {
        days += count
            * i64::from(match unit {
                'W' => 7,
                'D' => 1,
                _ => return None,
            });
    }
    let mut seconds = 0;
    for (count, unit) in pieces(time)? {
        seconds += count
            * i64::from(match unit {
                'H' => 3600,
                'M' => 60,
                'S' => 1,
                _ => return None,
            });
    }
    Some(Length {
        days: sign * days,
        exact: Duration::seconds(sign * seconds),
    })
}

/// `1H30M` as (1, 'H'), (30, 'M'). No count is larger than a person's life in seconds.
fn pieces(text: &str) -> Option<Vec<(i64, char)>> {
    let mut found = Vec::new();
    let mut rest = text;
    while !rest.is_empty() {
        let end = rest.find(|c: char| !c.is_ascii_digit())?;
        let count = number(rest.get(..end)?)?;
        let unit = rest[end..].chars().next()?;
        found.push((i64::from(count), unit));
        rest = &rest[end + unit.len_utf8()..];
    }
    Some(found)
}

/// Reads `+0100` or `-053000` as seconds east of UTC.
pub(super) fn offset(text: &str) -> Option<i32> {
    let sign = match text.as_bytes().first()? {
        b'+' => 1,
        b'-' => -1,
        _ => return None,
    };
    let digits = &text[1..];
    if digits.len() != 4 && digits.len() != 6 {
        return None;
    }
    let hours = number(digits.get(..2)?)?;
    let minutes = number(digits.get(2..4)?)?;
    let seconds = digits
        .get(4..)
        .filter(|rest| !rest.is_empty())
        .map_or(Some(0), number)?;
    if hours > 23 || minutes > 59 || seconds > 59 {
        return None;
    }
    i32::try_from(hours * 3600 + minutes * 60 + seconds)
        .ok()
        .map(|east| sign * east)
}

/// Undoes the escapes of a text: `\n`, `\,`, `\;`, `\\`.
pub(super) fn text(value: &str) -> String {
    let mut plain = String::with_capacity(value.len());
    let mut characters = value.chars();
    while let Some(character) = characters.next() {
        match character {
            '\\' => match characters.next() {
                Some('n' | 'N') => plain.push('\n'),
                Some(other) => plain.push(other),
                None => plain.push('\\'),
            },
            other => plain.push(other),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_that_exist_are_read_and_others_are_not() {
        let date = NaiveDate::from_ymd_opt(2026, 10, 5).expect("date");
        assert_eq!(written("20261005"), Some(Written::Date(date)));
        let wall = date.and_hms_opt(18, 0, 59).expect("time");
        assert_eq!(written("20261005T180059"), Some(Written::Local(wall)));
        assert_eq!(written("20261005T180060Z"), Some(Written::Utc(wall)));
        for bad in [
            "20261345T180000",
            "20260230",
            "2026105",
            "20261005T1800",
            "+0261005",
            "20261005T",
            "2026é05",
            "",
        ] {
            assert_eq!(written(bad), None, "{bad}");
        }
    }

    #[test]
    fn lengths_and_offsets() {
        let of = |days, seconds| {
            Some(Length {
                days,
                exact: Duration::seconds(seconds),
            })
        };
        // Examples of RFC 5545, section 3.3.6.
        assert_eq!(length("P15DT5H0M20S"), of(15, 18_020));
        assert_eq!(length("P7W"), of(49, 0));
        assert_eq!(length("-PT15M"), of(0, -900));
        for bad in [
            "",
            "P",
            "PT",
            "1H",
            "PT1D",
            "P1H",
            "PT5",
            "PT999999999999H",
            "+",
            "é",
        ] {
            assert_eq!(length(bad), None, "{bad}");
        }
        // Examples of RFC 5545, section 3.3.14.
        assert_eq!(offset("-0500"), Some(-18_000));
        assert_eq!(offset("+0100"), Some(3_600));
        assert_eq!(offset("+123045"), Some(45_045));
        for bad in ["0100", "+1", "+2500", "+01é0"] {
            assert_eq!(offset(bad), None, "{bad}");
        }
    }

    #[test]
    fn escapes_are_undone_once() {
        assert_eq!(text(r"a\, b\; c\\n\nd\"), "a, b; c\\n\nd\\");
    }
}
