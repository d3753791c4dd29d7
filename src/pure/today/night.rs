//! Which night a morning record is about.

use chrono::Duration;

use crate::pure::agenda::Plan;
use crate::pure::civil::{Instant, Night};
use crate::pure::load::TrainingDone;

impl Plan {
    /// The night that ended last: from the middle of its planned sleep on it is the night now ending,
    /// before that the one before, so that somebody up early records the right one and somebody still
    /// awake after midnight does too. In the afternoon and evening it is still last night.
    pub fn last_night(&self, now: Instant) -> Night {
        let last = Night(self.zone.local(now).date_naive()).previous();
        let times = self.night(last);
        let middle = times.bedtime.at + (times.wake.at - times.bedtime.at) / 2;
        if now < middle { last.previous() } else { last }
    }

    /// When a session ended if it began as planned. Without a planned time nobody knows: the moment of
    /// recording may be hours later, and a late end would make the evening gentle for no reason.
    pub fn planned_end(&self, done: &TrainingDone) -> Option<Instant> {
        let session = self.block.sessions.get(done.session.as_deref()?)?;
        let zone = self.zone_of(Night(done.date));
        let start = zone.resolve(done.date.and_time(session.at?)).earlier();
        let seconds = (done.minutes? * 60.0).round();
        Some(start + Duration::seconds(seconds as i64))
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use crate::pure::agenda::Plan;
    use crate::pure::block::{SHIPPED, shipped};
    use crate::pure::civil::Zone;
    use crate::pure::settings::Settings;

    #[test]
    fn the_night_that_ended_last() {
        let start = chrono::NaiveDate::from_ymd_opt(2026, 1, 5).expect("date");
        let plan = Plan {
            settings: Settings::default(),
            block: shipped(SHIPPED[0].0, start).expect("block").expect("read"),
            zone: Zone::utc(),
            zones: BTreeMap::new(),
            routine_seconds: None,
            drawn: BTreeMap::new(),
        };
        for (now, night) in [
            ("2026-01-06T06:40:00Z", "2026-01-05"),
            ("2026-01-06T04:30:00Z", "2026-01-05"),
            ("2026-01-06T00:40:00Z", "2026-01-04"),
            ("2026-01-06T12:00:00Z", "2026-01-05"),
            ("2026-01-06T23:30:00Z", "2026-01-05"),
        ] {
            let found = plan.last_night(now.parse().expect("instant"));
            assert_eq!(found.to_string(), night, "{now}");
        }
    }
}
