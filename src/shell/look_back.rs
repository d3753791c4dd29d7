//! What a look back rests on, gathered from the store.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::day;
use super::failure::Failure;
use super::store::Store;
use super::zones::ZoneFiles;
use crate::pure::agenda::Plan;
use crate::pure::civil::{Instant, Night, Zone};
use crate::pure::prompt::{Kind, Record};
use crate::pure::review::summary::{
    BlockWeek, EveningDone, JudgedDay, Records, Review, Span, block_weeks, review,
};
use crate::pure::today::{self, Today, days};

/// Everything a look back over a span rests on.
#[derive(Debug)]
pub struct LookBack<'p> {
    /// Settings, block and zone.
    pub plan: &'p Plan,
    /// The zones that mornings were recorded in.
    pub zones: BTreeMap<String, Zone>,
    /// Mornings, sessions, rest and reports, with as much of the time before as is compared with.
    pub recorded: today::Records,
    /// Evenings that were begun.
    pub evenings: Vec<EveningDone>,
    /// What became of the wind-down prompts.
    pub prompts: BTreeMap<Night, Record>,
    /// What each morning of the span meant for its day.
    pub days: Vec<JudgedDay>,
}

impl<'p> LookBack<'p> {
    /// Gathers what matters for a span. Sessions go back to the start of the block, for the bests of
    /// its phases.
    pub fn gather(
        store: &Store,
        plan: &'p Plan,
        span: Span,
        now: Instant,
    ) -> Result<Self, Failure> {
        let (back, _) = Self::gather_with_days(store, plan, span, now)?;
        Ok(back)
    }

    /// The same, with all that is said about each day of the span.
    pub fn gather_with_days(
        store: &Store,
        plan: &'p Plan,
        span: Span,
        now: Instant,
    ) -> Result<(Self, Vec<Today>), Failure> {
        let Span { from, to } = span;
        let today = plan.zone.local(now).date_naive();
        let recorded = day::records(store, from.min(plan.block.starts), to)?;
        let number = plan.settings.emergency_number.as_deref();
        let count = u64::try_from((to - from).num_days() + 1).unwrap_or(0);
        let days = days(&recorded, &plan.block, number, from, count, today);
        let files = ZoneFiles::of_machine();
        let mut zones = BTreeMap::new();
        for morning in &recorded.mornings {
            if morning.zone != plan.zone.name() && !zones.contains_key(&morning.zone) {
                // A zone that is no longer known reads as the person's.
                let zone = files.load(&morning.zone);
                zones.insert(
                    morning.zone.clone(),
                    zone.unwrap_or_else(|_| plan.zone.clone()),
                );
            }
        }
        let back = Self {
            plan,
            zones,
            days: days.iter().filter_map(JudgedDay::of).collect(),
            evenings: evenings(store, from, to)?,
            prompts: wind_downs(store, from, to)?,
            recorded,
        };
        Ok((back, days))
    }

    /// The same as values.
    pub fn records(&self) -> Records<'_> {
        Records {
            plan: self.plan,
            zones: &self.zones,
            recorded: &self.recorded,
            evenings: &self.evenings,
            prompts: &self.prompts,
            days: &self.days,
        }
    }

    /// Looks back over a span within what was gathered.
    pub fn review(&self, span: Span, now: Instant) -> Review {
        review(&self.records(), span, now)
    }

    /// Every week of the block.
    pub fn block_weeks(&self, now: Instant) -> Vec<BlockWeek> {
        block_weeks(&self.records(), now)
    }
}

fn evenings(store: &Store, from: NaiveDate, to: NaiveDate) -> Result<Vec<EveningDone>, Failure> {
    let rows = store.evenings_since(Night(from))?;
    let within = rows.iter().filter(|row| row.night <= Night(to));
    Ok(within
        .map(|row| EveningDone {
            night: row.night,
            planned_s: row.planned_s,
            done_s: row.done_s,
        })
        .collect())
}

fn wind_downs(
    store: &Store,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<BTreeMap<Night, Record>, Failure> {
    let records = store.records_since(Night(from))?;
    Ok(records
        .into_iter()
        .filter(|(key, _)| key.kind == Kind::WindDown && key.night <= Night(to))
        .map(|(key, record)| (key.night, record))
        .collect())
}

/// The seven days that end with the day of `now`, as a review.
pub fn week(store: &Store, plan: &Plan, now: Instant) -> Result<Review, Failure> {
    let today = plan.zone.local(now).date_naive();
    let span = Span::weeks_until(today, 1);
    Ok(LookBack::gather(store, plan, span, now)?.review(span, now))
}
