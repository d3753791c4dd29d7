//! A day worked out.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate};

use super::loads::Loads;
use super::records::{BANDS_BEFORE, Records};
use crate::pure::adjust::{Dose, MoveBack, Suggestion, move_back, suggest};
use crate::pure::block::{Block, DayKind, DayPlan};
use crate::pure::caution::{Caution, Standing};
use crate::pure::diary::Ratings;
use crate::pure::load::{DayNumbers, TrainingDone};
use crate::pure::readiness::{
    Band, Conditions, RatedMorning, Readiness, Score, assess, history, reasons,
};
use crate::pure::region::Region;

/// A planned session and what is suggested for it.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionToday {
    /// As planned.
    pub planned: Dose,
    /// As suggested.
    pub suggestion: Suggestion,
}

/// What is said about a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Today {
    /// The day.
    pub date: NaiveDate,
    /// What kind of day it is in the block.
    pub kind: DayKind,
    /// A morning is recorded for it.
    pub recorded: bool,
    /// Readiness, as it was known that morning.
    pub readiness: Readiness,
    /// The sessions planned, in the order of the block; empty on days without.
    pub sessions: Vec<SessionToday>,
    /// The sessions done.
    pub done: Vec<TrainingDone>,
    /// The load of the day and of the days before it.
    pub load: DayNumbers,
    /// What to be careful of, most urgent first.
    pub cautions: Vec<Caution>,
    /// Why, in sentences.
    pub reasons: Vec<String>,
    /// The rest of the block had better wait a week.
    pub move_back: Option<MoveBack>,
    /// The person chose to train as planned anyway.
    pub kept: bool,
}

impl Today {
    /// The band in words, or what stands in for it on a day without a session and after the person chose.
    pub fn headline(&self) -> &'static str {
        let band = self.readiness.band;
        match self.kind {
            _ if self.kept && self.suggests_training() => "As planned, by your choice",
            // Nothing to train: the mornings say only how things are.
            DayKind::Rest if band == Band::AsPlanned => "Rest, as planned",
            DayKind::Outside if band == Band::AsPlanned => "Nothing planned",
            _ => band.words(),
        }
    }

    /// Whether training may be suggested at all.
    pub fn suggests_training(&self) -> bool {
        self.readiness.band < Band::StopAndSeekHelp
    }
}

/// What is said about `count` days from `from` on. `today` is the day that is not over yet;
/// `emergency_number` is named only if the person set it.
pub fn days(
    records: &Records,
    block: &Block,
    emergency_number: Option<&str>,
    from: NaiveDate,
    count: u64,
    today: NaiveDate,
) -> Vec<Today> {
    let first = from
        .checked_sub_days(Days::new(BANDS_BEFORE))
        .unwrap_or(from);
    let asked: Vec<NaiveDate> = first
        .iter_days()
        .take_while(|date| *date < from)
        .chain(from.iter_days().take(usize::try_from(count).unwrap_or(0)))
        .collect();
    let Some(last) = asked.last().copied() else {
        return Vec::new();
    };
    let work = Work {
        records,
        block,
        emergency_number,
        scores: scores(records, &asked),
        loads: Loads::new(records, block, from, last, today),
        today,
    };
    let mut bands: Vec<(NaiveDate, Band)> = Vec::new();
    let mut found = Vec::new();
    for date in asked {
        let mut day = work.day(date);
        if day.recorded || !day.readiness.guards.is_empty() {
            bands.push((date, day.readiness.band));
        }
        if date >= from {
            day.move_back = work.move_back(&day, &bands);
            found.push(day);
        }
    }
    found
}

/// One forward pass over the mornings gives the score of every asked day. A day without a record goes in
/// with empty ratings, which count for no other day.
fn scores(records: &Records, asked: &[NaiveDate]) -> BTreeMap<NaiveDate, Score> {
    let (first, last) = (asked.first(), asked.last());
    let mut rated: Vec<RatedMorning> = asked
        .iter()
        .map(|date| RatedMorning {
            date: *date,
            ratings: Ratings::default(),
        })
        .collect();
    let known = records
        .mornings
        .iter()
        .take_while(|morning| last.is_some_and(|last| morning.date() <= *last));
    rated.extend(known.map(RatedMorning::from));
    history(&rated)
        .into_iter()
        .filter(|score| first.is_some_and(|first| score.date >= *first))
        .map(|score| (score.date, score))
        .collect()
}

struct Work<'r> {
    records: &'r Records,
    block: &'r Block,
    emergency_number: Option<&'r str>,
    scores: BTreeMap<NaiveDate, Score>,
    loads: Loads,
    today: NaiveDate,
}

impl Work<'_> {
    fn day(&self, date: NaiveDate) -> Today {
        let plan = self.block.day(date);
        let morning = self.records.morning(date);
        let standing = self.records.standing(date, self.emergency_number);
        let kept = self.records.kept.contains(&date);
        let planned = doses(&plan);
        let loaded = |dose: &Dose| dose.loads_any(&standing.painful);
        let conditions = |pain| self.conditions(date, &standing, pain);
        let score = self.score(date);
        let readiness = assess(score, &conditions(planned.iter().any(loaded)));
        let sessions = planned
            .into_iter()
            .map(|planned| {
                // A session that spares the painful place keeps the band without it.
                let band = assess(score, &conditions(loaded(&planned))).band;
                let suggestion = suggestion(&planned, band, &standing.leave_out, kept);
                SessionToday {
                    planned,
                    suggestion,
                }
            })
            .collect();
        let reasons = if kept && standing.suggest_training {
            vec!["You chose to train as planned.".to_owned()]
        } else {
            reasons(&readiness)
        };
        Today {
            date,
            kind: plan.kind,
            recorded: morning.is_some(),
            readiness,
            sessions,
            done: self.records.sessions_on(date).to_vec(),
            load: self.loads.of(date),
            cautions: standing.cautions,
            reasons,
            move_back: None,
            kept,
        }
    }

    fn score(&self, date: NaiveDate) -> Score {
        let empty = || {
            let nothing = RatedMorning {
                date,
                ratings: Ratings::default(),
            };
            crate::pure::readiness::for_day(&[], &nothing)
        };
        self.scores.get(&date).copied().unwrap_or_else(empty)
    }

    fn conditions(&self, date: NaiveDate, standing: &Standing, pain: bool) -> Conditions {
        // The most that can have been slept: a night that cannot have had four hours had less.
        let asleep = |ago: u64| {
            let date = date.checked_sub_days(Days::new(ago))?;
            self.records
                .morning(date)?
                .times
                .measures()
                .asleep_at_most_s
        };
        Conditions {
            red_flag: !standing.suggest_training,
            illness: self.is_ill(date),
            pain_in_loaded_region: pain,
            asleep_s: asleep(0),
            last_three_nights_s: [asleep(2), asleep(1), asleep(0)],
        }
    }

    fn is_ill(&self, date: NaiveDate) -> bool {
        self.records
            .morning(date)
            .is_some_and(|morning| morning.ill)
    }

    /// Only for days that have come, within the block, and since it was last moved.
    fn move_back(&self, day: &Today, bands: &[(NaiveDate, Band)]) -> Option<MoveBack> {
        let date = day.date;
        if day.kept || day.kind == DayKind::Outside || date > self.today {
            return None;
        }
        let moved = self
            .block
            .shifts
            .iter()
            .map(|shift| shift.from)
            .filter(|from| *from <= date)
            .max();
        let since: Vec<(NaiveDate, Band)> = bands
            .iter()
            .rev()
            .take(7)
            .copied()
            .filter(|(known, _)| moved.is_none_or(|moved| *known >= moved))
            .collect();
        let day_before = date.pred_opt().unwrap_or(date);
        let unwell = self.is_ill(date) || self.is_ill(day_before);
        move_back(&since, date, unwell)
    }
}

fn doses(plan: &DayPlan<'_>) -> Vec<Dose> {
    let week = plan.week.unwrap_or(1);
    plan.sessions
        .iter()
        .map(|session| Dose::planned(session, week))
        .collect()
}

fn suggestion(planned: &Dose, band: Band, leave_out: &BTreeSet<Region>, kept: bool) -> Suggestion {
    if kept && band < Band::StopAndSeekHelp {
        suggest(planned, Band::AsPlanned, &BTreeSet::new())
    } else {
        suggest(planned, band, leave_out)
    }
}

#[cfg(test)]
mod tests;
