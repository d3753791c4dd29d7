//! Which prompts a span of time holds, and until when each of them still makes sense.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, Duration, NaiveDate, NaiveDateTime, Timelike};

use super::block::{Block, DayKind};
use super::civil::{Instant, Night, Zone};
use super::compare::{DrawnEvening, Has};
use super::night::{self, NightPlan};
use super::phrase::counted;
use super::prompt::{Key, Kind};
use super::schedule;
use super::settings::{EveningNights, MorningPrompt, OwnPrompt, Settings};

/// Minutes after lights out until which a wind-down can still end.
const LATEST_END_AFTER_LIGHTS_OUT: i64 = 30;
/// A wind-down shorter than this is not offered.
const SHORTEST_WIND_DOWN: i64 = 3;

/// Everything the agenda follows from.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The checked settings.
    pub settings: Settings,
    /// The checked block.
    pub block: Block,
    /// The person's zone.
    pub zone: Zone,
    /// Zones that single nights name (travel), by name.
    pub zones: BTreeMap<String, Zone>,
    /// Seconds of a routine given by name; a composed one takes the minutes of the settings.
    pub routine_seconds: Option<u32>,
    /// What a running comparison drew, by night.
    pub drawn: BTreeMap<Night, DrawnEvening>,
}

/// One prompt of the agenda.
#[derive(Clone, Debug, PartialEq)]
pub struct Due {
    /// Which prompt.
    pub key: Key,
    /// When it is due.
    pub due_at: Instant,
    /// The first instant at which it makes no sense any more.
    pub until: Instant,
    /// What it says.
    pub text: String,
    /// Minutes after which it comes again while unanswered.
    pub remind: Vec<u32>,
}

impl Plan {
    /// The zone of a night: its own if the settings name one for it, else the person's.
    pub fn zone_of(&self, night: Night) -> &Zone {
        let named = self
            .settings
            .nights
            .on
            .get(&night.evening())
            .and_then(|one| one.timezone.as_deref());
        named
            .and_then(|name| self.zones.get(name))
            .unwrap_or(&self.zone)
    }

    /// Seconds the evening's routine takes.
    pub fn seconds(&self) -> u32 {
        self.routine_seconds
            .unwrap_or(self.settings.evening.minutes * 60)
    }

    /// Seconds the routine of a night takes; another number than [`Self::seconds`] where a comparison
    /// drew an evening of its own length.
    pub fn seconds_on(&self, night: Night) -> u32 {
        let drawn = self.drawn.get(&night).and_then(|drawn| drawn.seconds);
        drawn.unwrap_or_else(|| self.seconds())
    }

    /// The times of a night.
    pub fn night(&self, night: Night) -> NightPlan {
        night::plan(
            night,
            &self.settings,
            self.zone_of(night),
            self.seconds_on(night),
        )
    }

    /// Whether the evening of this night has a wind-down.
    pub fn has_evening(&self, night: Night) -> bool {
        if let Some(drawn) = self.drawn.get(&night) {
            return drawn.has != Has::Nothing;
        }
        match self.settings.evening.nights {
            EveningNights::Every => true,
            EveningNights::Training => self.block.day(night.evening()).kind == DayKind::Training,
        }
    }

    /// All prompts with `from <= due_at < until`, ordered by their instant.
    pub fn prompts(&self, from: Instant, until: Instant) -> Vec<Due> {
        let mut found = self.once(from, until);
        found.extend(self.own(from, until));
        found.sort_by(|a, b| (a.due_at, &a.key).cmp(&(b.due_at, &b.key)));
        found
    }

    /// Those of them that come once a night.
    pub fn once(&self, from: Instant, until: Instant) -> Vec<Due> {
        let mut found = Vec::new();
        if from >= until {
            return found;
        }
        // A day on either side covers every zone, prompts before noon and moved hours.
        let mut night = Night(day(Night::at(from, &self.zone).evening(), -2));
        let last = Night(day(Night::at(until, &self.zone).evening(), 1));
        while night <= last {
            self.of_night(night, &mut found);
            night = night.next();
        }
        self.reviews(from, until, &mut found);
        found.retain(|due| from <= due.due_at && due.due_at < until);
        in_order(found)
    }

    /// The person's own, which may come many times a night.
    pub fn own(&self, from: Instant, until: Instant) -> Vec<Due> {
        self.own_where(|_| true, from, until)
    }

    fn own_where(
        &self,
        wanted: impl Fn(&OwnPrompt) -> bool,
        from: Instant,
        until: Instant,
    ) -> Vec<Due> {
        let mut found = Vec::new();
        let span = schedule::Span::of(&self.zone, from, until);
        for own in self.settings.prompts.own.iter().filter(|own| wanted(own)) {
            for (wall, due_at) in span.firings(&own.when) {
                found.push(own_due(own, wall, due_at));
            }
        }
        in_order(found)
    }

    /// The prompt of a key, if the plan (still) holds it.
    pub fn due_of(&self, key: &Key) -> Option<Due> {
        let mut found = Vec::new();
        let noon = self
            .zone
            .resolve(key.night.evening().and_hms_opt(12, 0, 0)?)
            .earlier();
        match key.kind {
            Kind::WeekReview => self.reviews(
                noon - Duration::days(1),
                noon + Duration::days(2),
                &mut found,
            ),
            Kind::Own => found = self.own_of(key),
            _ => self.of_night(key.night, &mut found),
        }
        found.into_iter().find(|due| due.key == *key)
    }

    fn own_of(&self, key: &Key) -> Vec<Due> {
        let named = key
            .slot
            .split_once(' ')
            .and_then(|(wall, text)| Some((wall.parse().ok()?, text)));
        let Some((wall, text)) = named else {
            return Vec::new();
        };
        let at = self.zone.resolve(wall).earlier();
        self.own_where(|own| own.text == text, at, at + Duration::seconds(1))
    }

    /// The prompts of a night that come once.
    pub fn of_night(&self, night: Night, found: &mut Vec<Due>) {
        let zone = self.zone_of(night);
        // The times alone: what is worth saying about the night costs more than all the rest.
        let span = night::span(night, &self.settings.nights, zone);
        if !span.takes_place() {
            return;
        }
        let bedtime = span.bedtime.at;
        if self.has_evening(night) {
            found.push(self.wind_down_of(night, bedtime));
        }
        if self.settings.prompts.lights_out {
            found.push(Due {
                key: Key::once(Kind::LightsOut, night),
                due_at: bedtime,
                until: bedtime + Duration::minutes(LATEST_END_AFTER_LIGHTS_OUT),
                text: format!("Lights out, as planned at {}", clock(zone, bedtime)),
                remind: Vec::new(),
            });
        }
        let morning = match self.settings.prompts.morning {
            MorningPrompt::AfterWake(minutes) => {
                Some(span.wake.at + Duration::minutes(i64::from(minutes)))
            }
            MorningPrompt::At(time) => Some(zone.resolve(night.morning().and_time(time)).earlier()),
            MorningPrompt::Off => None,
        };
        if let Some(due_at) = morning {
            found.push(Due {
                key: Key::once(Kind::Morning, night),
                due_at,
                until: due_at + Duration::hours(6),
                text: "How was the night, and how do you feel".to_owned(),
                remind: Vec::new(),
            });
        }
        self.session_of(night.evening(), found);
    }

    fn wind_down_of(&self, night: Night, bedtime: Instant) -> Due {
        let seconds = self.seconds_on(night);
        let starts = night::wind_down_start(bedtime, self.settings.evening.settle, seconds);
        let latest_start = LATEST_END_AFTER_LIGHTS_OUT - SHORTEST_WIND_DOWN;
        Due {
            key: Key::once(Kind::WindDown, night),
            due_at: starts - Duration::minutes(night::PROMPT_AHEAD_MIN),
            until: bedtime + Duration::minutes(latest_start) + Duration::seconds(1),
            text: format!(
                "Wind-down: {}, lights out at {}",
                minutes(seconds),
                clock(self.zone_of(night), bedtime)
            ),
            remind: self.settings.evening.remind.clone(),
        }
    }

    fn session_of(&self, date: NaiveDate, found: &mut Vec<Due>) {
        let Some(time) = self.settings.prompts.session else {
            return;
        };
        let sessions = self.block.day(date).sessions;
        if sessions.is_empty() {
            return;
        }
        let due_at = self
            .zone_of(Night(date))
            .resolve(date.and_time(time))
            .earlier();
        let titles: Vec<&str> = sessions
            .iter()
            .map(|session| session.title.as_str())
            .collect();
        found.push(Due {
            key: Key::once(Kind::Session, Night(date)),
            due_at,
            until: due_at + Duration::hours(6),
            text: format!("Today: {}", titles.join(", ")),
            remind: Vec::new(),
        });
    }

    fn reviews(&self, from: Instant, until: Instant, found: &mut Vec<Due>) {
        let Some(fields) = &self.settings.prompts.week_review else {
            return;
        };
        for (wall, due_at) in schedule::firings(fields, &self.zone, from, until) {
            found.push(Due {
                key: Key::once(Kind::WeekReview, Night::of(wall)),
                due_at,
                until: due_at + Duration::hours(18),
                text: "The week in review".to_owned(),
                remind: Vec::new(),
            });
        }
    }

    /// The first prompt after an instant, looking ahead as far as a year.
    pub fn next_after(&self, now: Instant) -> Option<Due> {
        let all = &self.settings.prompts.own;
        let fields = all.iter().map(|own| &own.when);
        let first = schedule::first_of(fields, &self.zone, now + Duration::milliseconds(1));
        let own = first
            .into_iter()
            .map(|(place, wall, due_at)| own_due(&all[place], wall, due_at));
        own.chain(self.next_once(now))
            .min_by(|a, b| (a.due_at, &a.key).cmp(&(b.due_at, &b.key)))
    }

    fn next_once(&self, now: Instant) -> Option<Due> {
        let mut from = now + Duration::milliseconds(1);
        for days in [1, 8, 40, 400] {
            let until = now + Duration::days(days);
            if let Some(due) = self.once(from, until).into_iter().next() {
                return Some(due);
            }
            from = until;
        }
        None
    }
}

/// By instant, each key once: two reviews in a night are one, and so are two own prompts that say the
/// same at the same time.
fn in_order(mut found: Vec<Due>) -> Vec<Due> {
    found.sort_by(|a, b| (a.due_at, &a.key).cmp(&(b.due_at, &b.key)));
    let mut seen = BTreeSet::new();
    found.retain(|due| seen.insert(due.key.clone()));
    found
}

/// An own prompt is known by its time and its words, not by its place in the settings: putting another
/// one before it must not make it a new one.
fn own_due(own: &OwnPrompt, wall: NaiveDateTime, due_at: Instant) -> Due {
    Due {
        key: Key {
            kind: Kind::Own,
            night: Night::of(wall),
            slot: format!("{} {}", wall.format("%Y-%m-%dT%H:%M:%S"), own.text),
        },
        due_at,
        until: due_at + Duration::minutes(30),
        text: own.text.clone(),
        remind: Vec::new(),
    }
}

/// Seconds of wind-down that still fit at an instant: the planned length while there is time, less
/// when late; `None` when too little is left.
pub fn seconds_left(planned: u32, now: Instant, lights_out: Instant) -> Option<u32> {
    let end = lights_out + Duration::minutes(LATEST_END_AFTER_LIGHTS_OUT);
    let left = (end - now).num_seconds();
    if left < SHORTEST_WIND_DOWN * 60 {
        return None;
    }
    Some(planned.min(u32::try_from(left).unwrap_or(u32::MAX)))
}

fn clock(zone: &Zone, at: Instant) -> String {
    let local = zone.local(at);
    format!("{:02}:{:02}", local.hour(), local.minute())
}

fn minutes(seconds: u32) -> String {
    counted(seconds.div_ceil(60), "minutes")
}

fn day(date: NaiveDate, by: i64) -> NaiveDate {
    let days = Days::new(by.unsigned_abs());
    let moved = if by < 0 {
        date.checked_sub_days(days)
    } else {
        date.checked_add_days(days)
    };
    moved.unwrap_or(date)
}
