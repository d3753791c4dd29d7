//! What has to hold at every step, kept apart from the code under test: it sees what is recorded, what
//! comes on the screen and what time it is, and knows the rules in words.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, Utc};
use evenfall::pure::agenda::{Due, Plan};
use evenfall::pure::civil::Instant;
use evenfall::pure::prompt::{Event, Key, Kind, Record};

/// A chance of so many undisturbed minutes is enough to come on the screen: the spacing of late
/// prompts is a minute, a follow-up takes two, a reminder ten.
const ENOUGH_MS: i64 = 15 * 60_000;
/// Violations written down; one is enough to fail.
const MOST: usize = 20;

/// What is true of one prompt.
#[derive(Debug, Default)]
struct Truth {
    begun: u32,
    shown: u32,
    refused: u32,
    laters: u32,
    since_later: u32,
    popups: u32,
    /// Nobody said of the last showing that it was there: not the desktop, and not the person.
    unconfirmed: bool,
    answered: bool,
    missed: bool,
    /// It was called missed and reopened: it may go on the screen once more as it was.
    reopened: bool,
    /// A showing may follow at once: it was put off or refused.
    free: bool,
    last_begun: Option<Instant>,
    epoch: u64,
    /// Put off until then.
    put_off: Option<Instant>,
    /// In calm weather: when it has to come next.
    expected: Option<Instant>,
}

/// Keeps the truths and counts violations.
#[derive(Debug)]
pub struct Oracle {
    truths: BTreeMap<Key, Truth>,
    /// Undisturbed chance to come on the screen, by prompt.
    chance: BTreeMap<Key, i64>,
    window: Vec<Due>,
    window_at: Option<Instant>,
    /// Changes with every loss of the screen: what stood may be put there once more.
    epoch: u64,
    /// Nothing but the person's answers happens: prompts have to come to the second.
    calm: bool,
    plan_since: Instant,
    last_late: Option<i64>,
    /// Violations in words.
    pub violations: Vec<String>,
    /// Prompts every showing of which was cut off by a kill or a hung server.
    pub cut_off: u64,
}

impl Oracle {
    /// For a service that first starts at an instant.
    pub fn new(start: Instant, calm: bool) -> Self {
        Self {
            truths: BTreeMap::new(),
            chance: BTreeMap::new(),
            window: Vec::new(),
            window_at: None,
            epoch: 0,
            calm,
            plan_since: start,
            last_late: None,
            violations: Vec::new(),
            cut_off: 0,
        }
    }

    /// Notes a violation.
    pub fn violated(&mut self, now: Instant, what: impl Into<String>) {
        if self.violations.len() < MOST {
            self.violations.push(format!("{now}: {}", what.into()));
        }
    }

    /// The screen was lost, or the service that knew it.
    pub fn screen_broke(&mut self) {
        self.epoch += 1;
        self.disturbed();
    }

    /// Chances begin anew: the clock was set, the service was away.
    pub fn disturbed(&mut self) {
        self.chance.clear();
        self.last_late = None;
    }

    /// Another plan is in force.
    pub fn replanned(&mut self, now: Instant) {
        self.window_at = None;
        self.plan_since = now;
        self.disturbed();
    }

    /// An event was written.
    pub fn recorded(&mut self, now: Instant, key: &Key, event: &Event) {
        let truth = self.truths.entry(key.clone()).or_default();
        let mut complaint = None;
        match event {
            Event::Showing { showing } => {
                if *showing != truth.begun + 1 {
                    complaint = Some(format!("showing {showing} after {}", truth.begun));
                }
                let spaced = truth
                    .last_begun
                    .is_none_or(|last| now - last >= Duration::minutes(1));
                if !spaced && !truth.free {
                    complaint = Some("shown again within a minute".to_owned());
                }
                truth.begun = *showing;
                truth.since_later += 1;
                truth.free = false;
                truth.last_begun = Some(now);
                truth.unconfirmed = true;
            }
            Event::NotShown { .. } => {
                truth.refused += 1;
                truth.since_later -= 1;
                truth.free = true;
            }
            Event::Later { until } => {
                truth.laters += 1;
                truth.unconfirmed = false;
                truth.since_later = 0;
                truth.free = true;
                (truth.answered, truth.missed) = (false, false);
                truth.expected = Some(*until);
                truth.put_off = Some(*until);
            }
            Event::Answered { .. } => {
                truth.answered = true;
                truth.expected = None;
            }
            Event::Missed => truth.missed = true,
            Event::Reopened => {
                (truth.missed, truth.reopened) = (false, true);
            }
            Event::Shown { .. } | Event::Dismissed => truth.unconfirmed = false,
        }
        if let Some(complaint) = complaint {
            self.violated(now, format!("{key}: {complaint}"));
        }
    }

    /// The power was cut before the disk had it: to the service it never happened. A prompt that was never
    /// begun then is to come again, whatever was on the screen. Nothing but the screen is forgotten.
    pub fn forgotten(&mut self, key: &Key, event: &Event) {
        let truth = self.truths.entry(key.clone()).or_default();
        match event {
            Event::Showing { showing } => {
                truth.begun = showing.saturating_sub(1);
                truth.shown = truth.shown.min(truth.begun);
                truth.since_later = truth.since_later.saturating_sub(1);
                truth.unconfirmed = false;
                truth.free = true;
                if truth.begun == 0 {
                    truth.popups = 0;
                }
            }
            Event::NotShown { .. } => {
                truth.refused -= 1;
                truth.since_later += 1;
                truth.free = false;
            }
            _ => {}
        }
    }

    /// The service is about to ask the desktop to show something; `real` counts milliseconds awake or
    /// asleep, whatever the clock says.
    pub fn shows(&mut self, now: Instant, real: i64, plan: &Plan, due: &Due, showing: u32) {
        let mut complaints = Vec::new();
        match plan.due_of(&due.key) {
            Some(planned) if planned.due_at <= now && now < planned.until => {}
            Some(planned) => complaints.push(format!(
                "outside its window {} to {}",
                planned.due_at, planned.until
            )),
            None => complaints.push("not in the plan".to_owned()),
        }
        let epoch = self.epoch;
        let truth = self.truths.entry(due.key.clone()).or_default();
        if truth.answered || truth.missed {
            complaints.push("after it was answered or missed".to_owned());
        }
        let anew = showing > truth.shown;
        if anew && showing != truth.begun {
            complaints.push(format!("showing {showing} is not written down"));
        }
        if !anew && (showing != truth.shown || (truth.epoch == epoch && !truth.reopened)) {
            complaints.push(format!(
                "showing {showing} a second time on the same screen"
            ));
        }
        let most = (1 + truth.laters) * (1 + super::MOST_REMINDERS);
        if truth.begun - truth.refused > most {
            complaints.push(format!("{} showings", truth.begun));
        }
        if self.calm && due.due_at >= self.plan_since {
            let expected = truth.expected.unwrap_or(due.due_at);
            let late = now - expected;
            if late < Duration::zero() || late > Duration::seconds(1) {
                complaints.push(format!("expected at {expected}"));
            }
            let showings = truth.since_later as usize;
            let reminder = showings
                .checked_sub(1)
                .and_then(|last| due.remind.get(last));
            truth.expected = reminder.map(|minutes| now + Duration::minutes(i64::from(*minutes)));
        }
        truth.shown = showing;
        truth.epoch = epoch;
        truth.reopened = false;
        let late = !anew || (showing == 1 && now - due.due_at > Duration::minutes(1));
        if late {
            if self.last_late.is_some_and(|last| real - last < 60_000) {
                complaints.push("a burst: two late ones within a minute".to_owned());
            }
            self.last_late = Some(real);
        }
        for complaint in complaints {
            self.violated(now, format!("{} shown: {complaint}", due.key));
        }
    }

    /// It came on the screen.
    pub fn popped_up(&mut self, key: &Key) {
        self.truths.entry(key.clone()).or_default().popups += 1;
    }

    /// Time passes, undisturbed: the service runs and there is a server that answers.
    pub fn pass(&mut self, plan: &Plan, from: Instant, until: Instant) {
        self.look(plan, from);
        let mut lost = Vec::new();
        for due in &self.window {
            let open = (due.until.min(until) - due.due_at.max(from)).num_milliseconds();
            if open <= 0 || (due.key.kind == Kind::Own && due.due_at < self.plan_since) {
                continue;
            }
            // What was put off waits for the instant that the person chose.
            let put_off = self.truths.get(&due.key).and_then(|truth| truth.put_off);
            if put_off.is_some_and(|at| until <= at) {
                self.chance.remove(&due.key);
                continue;
            }
            let chance = self.chance.entry(due.key.clone()).or_default();
            *chance += open;
            if *chance < ENOUGH_MS {
                continue;
            }
            let truth = self.truths.entry(due.key.clone()).or_default();
            if truth.popups > 0 || truth.answered {
                continue;
            }
            let most = 1 + due.remind.len().max(1);
            if truth.begun as usize - truth.refused as usize >= most {
                self.cut_off += 1;
                truth.popups = 1;
                continue;
            }
            lost.push(due.key.clone());
        }
        for key in lost {
            self.violated(until, format!("{key} is lost: it had its chance"));
            self.truths.entry(key).or_default().popups = 1;
        }
    }

    /// The state of the service after a step.
    pub fn stepped(
        &mut self,
        now: Instant,
        plan: &Plan,
        wake: Option<Instant>,
        records: &BTreeMap<Key, Record>,
    ) {
        match wake {
            Some(at) if at > now => {}
            Some(at) => self.violated(now, format!("it wants to wake in the past, at {at}")),
            None => self.violated(now, "it never wakes again"),
        }
        self.undo_what_lies_ahead(now);
        self.look(plan, now);
        let mut complaints = Vec::new();
        for due in &self.window {
            if due.until > now || due.due_at < self.plan_since || due.key.kind == Kind::Own {
                continue;
            }
            if !records.get(&due.key).is_some_and(Record::is_settled) {
                complaints.push(format!("{} passed without a trace", due.key));
            }
            let truth = self.truths.get(&due.key);
            let expected = truth.map_or(Some(due.due_at), |truth| truth.expected);
            if self.calm && expected.is_some_and(|at| at < due.until) {
                complaints.push(format!("{} did not come when expected", due.key));
            }
        }
        for complaint in complaints {
            self.violated(now, complaint);
        }
    }

    /// A clock that was ahead made showings of which nobody knows whether anybody saw them: each has
    /// its chance once more. A clock put right by a second is not meant.
    fn undo_what_lies_ahead(&mut self, now: Instant) {
        let ahead = now + Duration::minutes(1);
        for truth in self.truths.values_mut() {
            let open = truth.unconfirmed && !truth.answered && !truth.missed;
            if open && truth.last_begun.is_some_and(|at| at > ahead) {
                (truth.unconfirmed, truth.popups) = (false, 0);
            }
        }
    }

    /// What is due around an instant, looked up now and then.
    fn look(&mut self, plan: &Plan, now: Instant) {
        let near = |at: Instant| (now - at).abs() < Duration::hours(20);
        if self.window_at.is_some_and(near) {
            return;
        }
        let (from, until) = (now - Duration::hours(44), now + Duration::hours(44));
        self.window = plan.prompts(from, until);
        self.window_at = Some(now);
        // Nothing is asked any more of what is long past.
        let old = now - Duration::days(30);
        self.truths
            .retain(|key, _| key.night.evening() >= old.date_naive());
    }
}

/// Milliseconds as an instant.
pub fn instant(ms: i64) -> Instant {
    DateTime::<Utc>::from_timestamp_millis(ms).expect("instant")
}
