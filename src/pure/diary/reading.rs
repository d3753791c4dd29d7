//! From dated wall times to instants, and the checks on the way.

use chrono::{Duration, NaiveDateTime, NaiveTime};

use super::measures::Times;
use super::moment::Dated;
use super::refusal::{Field, Refusal};
use crate::pure::civil::{Instant, Night, Resolved, Zone};

/// The longest time in bed that is taken without asking.
const LONGEST_MIN: i64 = 16 * 60;

/// The work of reading one entry.
pub(super) struct Reading<'z> {
    pub zone: &'z Zone,
    pub refusals: Vec<Refusal>,
    pub notes: Vec<String>,
}

impl Reading<'_> {
    /// A dated time may lie a little outside noon to noon (a nap before a night shift, a long morning),
    /// but not on another day altogether.
    pub fn check_night(&mut self, field: Field, wall: NaiveDateTime, night: Night) {
        let from = night.evening().and_time(NaiveTime::MIN);
        if wall < from || wall >= from + Duration::days(3) {
            self.refusals
                .push(Refusal::OtherNight { field, wall, night });
        }
    }

    pub fn instant(
        &mut self,
        field: Field,
        dated: Dated,
        limit: Option<Instant>,
    ) -> Option<Instant> {
        let wall = match dated {
            Dated::Fixed(at) => return Some(at.to_utc()),
            Dated::Wall(wall) => wall,
        };
        match self.zone.resolve(wall) {
            Resolved::Exact(at) => Some(at),
            Resolved::Skipped { moved } => {
                let moved = self.zone.local(moved).naive_local();
                self.refusals.push(Refusal::Skipped { field, wall, moved });
                None
            }
            Resolved::Repeated { first, second } => {
                let fits = |at: Instant| limit.is_none_or(|limit| at <= limit);
                let (at, other) = if fits(second) || !fits(first) {
                    (second, first)
                } else {
                    (first, second)
                };
                let which = if at == second { "later" } else { "earlier" };
                self.notes.push(format!(
                    "{} happened twice because the clocks went back; {} is counted at the {which} one ({}). Write {} for the other.",
                    wall.format("%H:%M"),
                    field.words(),
                    self.zone.local(at).format("%H:%M%:z"),
                    self.zone.local(other).format("%Y-%m-%dT%H:%M%:z"),
                ));
                Some(at)
            }
        }
    }

    fn named(&self, (field, at): (Field, Instant)) -> (Field, NaiveDateTime) {
        (field, self.zone.local(at).naive_local())
    }

    pub fn check_order(&mut self, found: &[(Field, Instant)]) {
        for pair in found.windows(2) {
            if let [first, then] = pair
                && then.1 < first.1
            {
                self.refusals.push(Refusal::Order {
                    first: self.named(*first),
                    then: self.named(*then),
                });
            }
        }
    }

    pub fn check_awake(&mut self, times: &Times) {
        let to_sleep = i64::from(times.asleep_after_min.unwrap_or(0));
        let awake = i64::from(times.awake_for_min.unwrap_or(0));
        let fields = (Field::LightsOut, Field::Woke);
        let named = if awake > to_sleep {
            Field::AwakeFor
        } else {
            Field::AsleepAfter
        };
        self.fits(
            named,
            to_sleep + awake,
            fields,
            times.lights_out,
            times.woke,
        );
        let tried = i64::from(times.tried_after_min.unwrap_or(0));
        let fields = (Field::Woke, Field::Up);
        self.fits(Field::TriedAfter, tried, fields, times.woke, times.up);
    }

    fn fits(
        &mut self,
        field: Field,
        awake_min: i64,
        between: (Field, Field),
        from: Option<Instant>,
        to: Option<Instant>,
    ) {
        let Some((from, to)) = from.zip(to) else {
            return;
        };
        let available_min = (to - from).num_minutes();
        if awake_min > available_min {
            self.refusals.push(Refusal::AwakeTooLong {
                field,
                awake_min,
                between,
                available_min,
            });
        }
    }

    pub fn check_length(&mut self, found: &[(Field, Instant)], confirmed: bool) {
        let (Some(first), Some(last)) = (found.first(), found.last()) else {
            return;
        };
        let length = last.1 - first.1;
        if length > Duration::minutes(LONGEST_MIN) && !confirmed {
            self.refusals.push(Refusal::LongInBed {
                first: self.named(*first),
                last: self.named(*last),
                minutes: length.num_minutes(),
            });
        }
    }

    /// Minutes asleep that were said beside the times have to say the same, to the minute; where the
    /// times leave it open they have to fit into them.
    pub fn check_sleep_min(&mut self, times: &Times) {
        let Some(sleep_min) = times.sleep_min.map(i64::from) else {
            return;
        };
        let without = times.without_sleep_min().measures();
        let wrong = match (without.asleep_s, without.asleep_at_most_s) {
            (Some(asleep), _) if (asleep - sleep_min * 60).abs() > 60 => Some(asleep),
            (None, Some(most)) if sleep_min * 60 > most + 60 => Some(most),
            (None, None) if sleep_min > 24 * 60 => Some(24 * 3600),
            _ => None,
        };
        if let Some(seconds) = wrong {
            self.refusals.push(Refusal::Disagree {
                sleep_min,
                from_times_min: seconds / 60,
            });
        }
    }
}
