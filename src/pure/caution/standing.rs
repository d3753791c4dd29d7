//! Everything open on a day, put together: what shows, what to spare, whether training is suggested.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::CANNOT_JUDGE;
use super::level::Level;
use super::pain::PainReport;
use super::sign::Sign;
use super::site::Site;
use super::soreness::LongSoreness;
use crate::pure::phrase::long_date;
use crate::pure::region::Region;

/// What was reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// Pain at a place.
    Pain(PainReport),
    /// A sign from the list, perhaps with its place.
    Sign {
        /// Which sign.
        sign: Sign,
        /// Where, if it was said.
        site: Option<Site>,
    },
}

/// A report that the person has not closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Report {
    /// What.
    pub what: What,
    /// The day of the report; before it nothing is known of it.
    pub on: NaiveDate,
}

/// A caution to show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// How urgent.
    pub level: Level,
    /// Which sign of the list, if it is one.
    pub sign: Option<Sign>,
    /// The text, which ends with what the tool cannot judge.
    pub text: String,
    /// Regions to leave out of training and stretching because of it.
    pub regions: BTreeSet<Region>,
}

/// Everything open on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// What to show, most urgent first. Usual soreness is not a caution and not among them.
    pub cautions: Vec<Caution>,
    /// The most urgent level.
    pub level: Level,
    /// Whether training may be suggested.
    pub suggest_training: bool,
    /// Regions with pain that is not usual soreness: a session that loads one of them becomes a recovery
    /// day.
    pub painful: BTreeSet<Region>,
    /// Regions to leave out of training and of the evening's stretches.
    pub leave_out: BTreeSet<Region>,
}

/// Puts the open reports and the long soreness of a day together. The emergency number is named only if
/// the person set it.
pub fn standing(
    reports: &[Report],
    long_soreness: &[LongSoreness],
    today: NaiveDate,
    emergency_number: Option<&str>,
) -> Standing {
    let known = reports.iter().filter(|report| report.on <= today);
    let mut painful = BTreeSet::new();
    let mut cautions: Vec<Caution> = Vec::new();
    for report in known {
        painful.extend(report.painful(today));
        cautions.extend(report.caution(today, emergency_number));
    }
    cautions.extend(long_soreness.iter().map(long_soreness_caution));
    cautions.sort_by_key(|caution| std::cmp::Reverse(caution.level));
    let level = cautions
        .first()
        .map_or(Level::CarryOn, |caution| caution.level);
    Standing {
        level,
        suggest_training: level.suggest_training(),
        painful,
        leave_out: cautions
            .iter()
            .flat_map(|caution| caution.regions.iter().copied())
            .collect(),
        cautions,
    }
}

impl Report {
    /// What was reported, in words: `sharp pain (left knee), 4 of 10, since 2 March 2026`.
    pub fn words(&self) -> String {
        match self.what {
            What::Pain(pain) => format!(
                "{} ({}), {} of 10, since {}",
                pain.kind.words(),
                pain.site.words(),
                pain.level,
                long_date(pain.since)
            ),
            What::Sign { sign, site } => match site {
                Some(site) => format!("{} ({})", sign.noticed(), site.words()),
                None => sign.noticed().to_owned(),
            },
        }
    }

    /// What to show about it on a day; nothing for usual soreness.
    pub fn caution(&self, today: NaiveDate, emergency_number: Option<&str>) -> Option<Caution> {
        let (level, sign, text, site) = match self.what {
            What::Pain(pain) => (
                pain.urgency(today),
                pain.sign(today),
                pain.text(today, emergency_number),
                Some(pain.site),
            ),
            What::Sign { sign, site } => {
                let place = site.map(Site::words);
                let text = sign.text(emergency_number, place.as_deref());
                (sign.level(), Some(sign), text, site)
            }
        };
        (level > Level::CarryOn).then(|| Caution {
            level,
            sign,
            text,
            regions: regions_of(site).collect(),
        })
    }

    /// How urgent it is on a day.
    pub fn level(&self, today: NaiveDate) -> Level {
        match self.what {
            What::Pain(pain) => pain.urgency(today),
            What::Sign { sign, .. } => sign.level(),
        }
    }

    /// Which sign of the list it is on a day, if it is one.
    pub fn sign(&self, today: NaiveDate) -> Option<Sign> {
        match self.what {
            What::Pain(pain) => pain.sign(today),
            What::Sign { sign, .. } => Some(sign),
        }
    }

    /// What is said about it, usual soreness and no pain included.
    pub fn text(&self, today: NaiveDate, emergency_number: Option<&str>) -> String {
        match self.what {
            What::Pain(pain) if pain.level == 0 => {
                format!(
                    "You recorded no pain ({}). {CANNOT_JUDGE}",
                    pain.site.words()
                )
            }
            What::Pain(pain) => pain.text(today, emergency_number),
            What::Sign { sign, site } => {
                let place = site.map(Site::words);
                sign.text(emergency_number, place.as_deref())
            }
        }
    }

    /// Whether it says anew what an older one said: the same place and kind, or that nothing hurts there
    /// any more. What needed care the same day stays open until the person closes it by name, unless the
    /// new report is as urgent.
    pub fn renews(&self, old: &Self, today: NaiveDate) -> bool {
        let (What::Pain(new_pain), What::Pain(old_pain)) = (self.what, old.what) else {
            return false;
        };
        let same = new_pain.site == old_pain.site
            && (new_pain.kind == old_pain.kind || new_pain.level == 0);
        let before = old.level(today);
        same && (before.suggest_training() || self.level(today) >= before)
    }

    /// Regions that hurt, other than by usual soreness.
    fn painful(&self, today: NaiveDate) -> impl Iterator<Item = Region> {
        let site = match self.what {
            What::Pain(pain) => pain.is_pain(today).then_some(pain.site),
            What::Sign { sign, site } => {
                site.filter(|_| sign.level() > Level::CarryOn && sign != Sign::SorenessStays)
            }
        };
        regions_of(site)
    }
}

fn regions_of(site: Option<Site>) -> impl Iterator<Item = Region> {
    site.into_iter()
        .flat_map(|site| site.regions().iter().copied())
}

fn long_soreness_caution(long: &LongSoreness) -> Caution {
    let sign = Sign::SorenessStays;
    let place = long.region.words();
    Caution {
        level: sign.level(),
        sign: Some(sign),
        text: format!(
            "You noted soreness ({place}) on every morning you recorded since {}, {} days. {} {CANNOT_JUDGE}",
            long_date(long.since),
            long.days,
            sign.level().deed(None, Some(place))
        ),
        regions: BTreeSet::from([long.region]),
    }
}

#[cfg(test)]
mod tests {
    use super::super::pain::Kind;
    use super::*;

    fn date(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 3, day).expect("date")
    }

    fn pain(site: &str, kind: Kind, level: u8, on: u32) -> Report {
        Report {
            what: What::Pain(PainReport {
                site: Site::from_id(site).expect("site"),
                level,
                kind,
                since: date(on),
            }),
            on: date(on),
        }
    }

    #[test]
    fn a_painful_place_is_spared_and_usual_soreness_is_not() {
        let reports = [
            pain("calves", Kind::Sore, 4, 2),
            pain("wrist_left", Kind::Sharp, 3, 2),
        ];
        let found = standing(&reports, &[], date(3), None);
        assert_eq!(found.level, Level::ClinicianSoon);
        assert!(found.suggest_training);
        assert_eq!(found.painful, BTreeSet::from([Region::Forearms]));
        assert_eq!(found.leave_out, found.painful);
        assert_eq!(found.cautions.len(), 1);
        assert!(
            found.cautions[0].text.contains("left wrist"),
            "{:?}",
            found.cautions
        );
        // The day before the report nothing was known.
        assert_eq!(standing(&reports, &[], date(1), None).cautions, []);
    }

    #[test]
    fn long_soreness_is_left_out_but_is_no_pain() {
        let long = LongSoreness {
            region: Region::Calves,
            since: date(1),
            days: 9,
        };
        let found = standing(&[], &[long], date(9), None);
        assert_eq!(found.leave_out, BTreeSet::from([Region::Calves]));
        assert!(found.painful.is_empty());
        assert_eq!(found.cautions[0].sign, Some(Sign::SorenessStays));
    }

    #[test]
    fn the_worst_comes_first_and_decides() {
        let sign = |sign| Report {
            what: What::Sign { sign, site: None },
            on: date(1),
        };
        let reports = [
            sign(Sign::Snoring),
            sign(Sign::DarkUrine),
            sign(Sign::SleepyDriving),
            sign(Sign::UsualSoreness),
        ];
        let found = standing(&reports, &[], date(1), Some("112"));
        assert_eq!(found.level, Level::EmergencyNow);
        assert!(!found.suggest_training && found.level.is_urgent());
        assert_eq!(found.cautions.len(), 3);
        assert!(found.cautions[0].text.contains("112"));
    }
}
