//! Offsets and the moments they change at, written in the form zone files have (RFC 8536), so that a zone
//! defined in a calendar is read by the very code that reads the machine's zones.

/// The beginning of an offset.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Onset {
    /// Seconds since 1970 in UTC.
    pub(super) at: i64,
    /// Offset before it, seconds east of UTC.
    pub(super) from: i32,
    /// Offset from it on.
    pub(super) to: i32,
    /// Summer time.
    pub(super) daylight: bool,
}

/// Most kinds of local time a file can hold.
const MOST_KINDS: usize = 255;

/// A version 2 zone file, or nothing if there is no onset or there are too many different offsets.
///
/// Before the first onset its own `from` holds; after the last one its `to` holds for ever, because no
/// rule is written.
pub(super) fn tzif(mut onsets: Vec<Onset>) -> Option<Vec<u8>> {
    onsets.sort_unstable();
    onsets.dedup_by_key(|onset| onset.at);
    let first = onsets.first()?;
    let mut kinds = vec![(first.from, false)];
    let mut indexes = Vec::with_capacity(onsets.len());
    for onset in &onsets {
        let kind = (onset.to, onset.daylight);
        let index = kinds.iter().position(|known| *known == kind);
        let index = index.unwrap_or_else(|| {
            kinds.push(kind);
            kinds.len() - 1
        });
        indexes.push(u8::try_from(index).ok()?);
    }
    if kinds.len() > MOST_KINDS {
        return None;
    }
    let mut file = Vec::new();
    // The first block serves old readers; it says one kind of local time and nothing else.
    header(&mut file, 0, 1);
    kind_of_local_time(&mut file, (first.from, false));
    file.extend_from_slice(NAME);
    header(&mut file, onsets.len(), kinds.len());
    for onset in &onsets {
        file.extend_from_slice(&onset.at.to_be_bytes());
    }
    file.extend_from_slice(&indexes);
    for kind in kinds {
        kind_of_local_time(&mut file, kind);
    }
    file.extend_from_slice(NAME);
    file.extend_from_slice(b"\n\n");
    Some(file)
}

/// The one abbreviation of all kinds: "local time unspecified", as zone files have it.
const NAME: &[u8] = b"-00\0";

fn header(file: &mut Vec<u8>, transitions: usize, kinds: usize) {
    file.extend_from_slice(b"TZif2");
    file.extend_from_slice(&[0; 15]);
    let counts = [0, 0, 0, transitions, kinds, NAME.len()];
    for count in counts {
        let count = u32::try_from(count).unwrap_or(u32::MAX);
        file.extend_from_slice(&count.to_be_bytes());
    }
}

fn kind_of_local_time(file: &mut Vec<u8>, (offset, daylight): (i32, bool)) {
    file.extend_from_slice(&offset.to_be_bytes());
    file.extend_from_slice(&[u8::from(daylight), 0]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pure::civil::{Resolved, Zone};
    use chrono::{DateTime, NaiveDate};

    #[test]
    fn the_zone_reader_takes_it_and_gives_the_offsets_back() {
        let spring = 1_774_746_000;
        let autumn = 1_792_893_600;
        let onset = |at, from, to, daylight| Onset {
            at,
            from,
            to,
            daylight,
        };
        let octets = tzif(vec![
            onset(autumn, 7_200, 3_600, false),
            onset(spring, 3_600, 7_200, true),
        ])
        .expect("file");
        let zone = Zone::from_tzif("Own/Town", &octets).expect("zone");
        let offset = |at: i64| {
            let at = DateTime::from_timestamp(at, 0).expect("instant");
            zone.offset_at(at).local_minus_utc()
        };
        assert_eq!(offset(spring - 1), 3_600);
        assert_eq!(offset(spring), 7_200);
        assert_eq!(offset(autumn - 1), 7_200);
        assert_eq!(offset(autumn), 3_600);
        assert_eq!(offset(autumn + 400_000_000), 3_600);
        assert_eq!(offset(-4_000_000_000), 3_600);
        let gap = NaiveDate::from_ymd_opt(2026, 3, 29).and_then(|d| d.and_hms_opt(2, 30, 0));
        assert!(matches!(
            zone.resolve(gap.expect("time")),
            Resolved::Skipped { moved } if moved.timestamp() == spring + 1_800
        ));
    }

    #[test]
    fn nothing_makes_no_zone() {
        assert_eq!(tzif(Vec::new()), None);
    }
}
