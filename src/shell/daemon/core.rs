//! The service without its waiting: carries out what [`crate::pure::step`] decides.

use std::collections::BTreeMap;

use chrono::Duration;

use super::desk::Desk;
use super::ledger::Ledger;
use crate::pure::agenda::Plan;
use crate::pure::civil::{Instant, Night};
use crate::pure::phrase::counted;
use crate::pure::prompt::{Event, Key, Kind, Record, Standing};
use crate::pure::step::{Action, Input, Reply, Service};
use crate::pure::words;
use crate::shell::store::Store;

/// Something that the service itself cannot do and leaves to its surroundings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wish {
    /// Open what the prompt is about.
    Open(
        /// Which prompt.
        Key,
    ),
}

/// The service: its memory, its store, its desktop.
#[derive(Debug)]
pub struct Core<D> {
    /// What is planned.
    pub plan: Plan,
    /// The desktop.
    pub desk: D,
    service: Service,
    ledger: Ledger,
    wake: Option<Instant>,
    wishes: Vec<Wish>,
    /// Mornings that were as usual and are not in the store yet.
    mornings: Vec<(Key, Instant)>,
    /// When the last step was, to notice a clock set back.
    last: Instant,
    /// The desktop took nothing: said once, until it does again.
    desk_trouble: bool,
    said: Vec<String>,
}

impl<D: Desk> Core<D> {
    /// A service that remembers what the store holds. Call [`Self::start`] next.
    pub fn new(mut ledger: Ledger, plan: Plan, desk: D, now: Instant) -> Self {
        let records = ledger.records(now, &plan.zone).unwrap_or_default();
        Self {
            plan,
            desk,
            service: Service::remembering(records),
            ledger,
            wake: None,
            wishes: Vec::new(),
            mornings: Vec::new(),
            last: now,
            desk_trouble: false,
            said: Vec::new(),
        }
    }

    /// The first step.
    pub fn start(&mut self, now: Instant) {
        let input = self.started(now);
        self.act(now, input);
    }

    /// The first half of [`Self::start`]: what the first step starts from.
    pub fn started(&mut self, now: Instant) -> Input {
        for (key, record) in &self.service.records {
            if let Some(token) = record.notification() {
                self.desk
                    .knows(key.clone(), record.showings, Some(token.clone()));
            }
        }
        let (since, known_until) = self.ledger.history(now);
        Input::Started { since, known_until }
    }

    /// One step: decides and carries out. [`Self::look_ahead`] then finds when to wake, once whatever is to
    /// be shown has gone out.
    pub fn act(&mut self, now: Instant, input: Input) {
        let actions = self.what_to_do(now, input);
        let shows = |action: &Action| matches!(action, Action::Show { .. });
        let shows = actions.iter().any(shows);
        for action in actions {
            self.carry_out(now, action);
        }
        // The desktop says what became of a showing in a step of its own: by then the screen has it.
        if !shows {
            self.ledger.make_owed_copy();
        }
    }

    /// Finds when to wake after the last step, unless that is known.
    pub fn look_ahead(&mut self) {
        if self.wake.is_none() {
            self.wake = self.service.wake(&self.plan, self.last);
        }
    }

    /// What [`Self::act`] and [`Self::look_ahead`] decide, each of it by [`Self::carry_out`] in order. The
    /// process may die between any two of them.
    pub fn decide(&mut self, now: Instant, input: Input) -> Vec<Action> {
        let mut actions = self.what_to_do(now, input);
        let wake = self.service.wake(&self.plan, now);
        actions.extend(wake.map(Action::WakeAt));
        actions
    }

    fn what_to_do(&mut self, now: Instant, input: Input) -> Vec<Action> {
        self.notice_desk(&input);
        // A clock set back by days may lead to nights that are no longer in memory.
        if self.ledger.came_back() || self.last - now > Duration::hours(1) {
            self.read_back(now);
        }
        self.ledger.catch_up(now);
        self.usual_mornings(now);
        self.last = now;
        self.wake = None;
        self.service.act(&self.plan, now, input)
    }

    /// Takes over a new plan and whatever other programs wrote to the store.
    pub fn reload(&mut self, now: Instant, plan: Plan) {
        self.replan(now, plan);
        self.act(now, Input::Reloaded);
    }

    /// The first half of [`Self::reload`].
    pub fn replan(&mut self, now: Instant, plan: Plan) {
        self.plan = plan;
        self.read_back(now);
    }

    fn read_back(&mut self, now: Instant) {
        if let Some(records) = self.ledger.records(now, &self.plan.zone) {
            self.service.records = records;
        }
    }

    /// Answers the prompt that stands, as a bare command asks the service to.
    pub fn answer_standing(&mut self, now: Instant, reply: Reply) -> Result<String, String> {
        let key = self.standing_for(now, reply)?;
        Ok(self.answered(now, key, reply))
    }

    /// Puts off the prompt that is meant, whatever else stands.
    pub fn put_off(&mut self, now: Instant, key: Key, minutes: u32) -> Result<String, String> {
        if self.service.records.get(&key).is_some_and(Record::waits) {
            Ok(self.answered(now, key, Reply::Later { minutes }))
        } else {
            Err(format!(
                "The {} prompt does not stand any more, so it cannot come later. evenfall status tells what is next.",
                kind_words(key.kind)
            ))
        }
    }

    fn answered(&mut self, now: Instant, key: Key, reply: Reply) -> String {
        let named = key.clone();
        self.act(now, Input::Reply { key, reply });
        let said = self.said_of(&named, now);
        match self.ledger.trouble() {
            Some(trouble) => format!("{said} It is not written down yet: {trouble}"),
            None => said,
        }
    }

    /// The same for a command while no service runs: nothing else is looked at or shown.
    pub fn answer_alone(&mut self, now: Instant, reply: Reply) -> Result<String, String> {
        let key = self.standing_for(now, reply)?;
        for action in self.service.answer(&self.plan, now, &key, reply) {
            self.carry_out(now, action);
        }
        // Nobody remembers it after this process: what is not written is not done.
        match self.ledger.trouble() {
            Some(trouble) => Err(trouble.to_owned()),
            None => Ok(self.said_of(&key, now)),
        }
    }

    /// Which prompt a bare command answers.
    pub fn standing_for(&self, now: Instant, reply: Reply) -> Result<Key, String> {
        let tonight = Night::at(now, &self.plan.zone);
        let evening = Key::once(Kind::WindDown, tonight);
        match (self.service.standing(), reply) {
            // "Not tonight" is about the wind-down, whatever else stands.
            (Some(key), Reply::NotTonight) if key.kind != Kind::WindDown => Ok(evening),
            (Some(key), _) => Ok(key.clone()),
            (None, Reply::NotTonight) if self.plan.has_evening(tonight) => Ok(evening),
            (None, _) => Err(
                "No prompt stands to be answered. evenfall status tells what is next.".to_owned(),
            ),
        }
    }

    /// What a bare command led to.
    fn said_of(&self, key: &Key, now: Instant) -> String {
        match self.service.records.get(key).map(|record| &record.standing) {
            // Put off for longer than it makes sense, it comes as late as it does.
            Some(Standing::Postponed { until }) => {
                let minutes = ((*until - now).num_seconds() + 59) / 60;
                format!(
                    "The {} prompt comes again in {}.",
                    kind_words(key.kind),
                    counted(minutes, "minutes")
                )
            }
            _ => format!("No wind-down for the night of {}.", key.night),
        }
    }

    /// When to wake at the latest.
    pub fn wake(&self) -> Option<Instant> {
        self.wake
    }

    /// What the surroundings are to do, emptied by the call.
    pub fn take_wishes(&mut self) -> Vec<Wish> {
        std::mem::take(&mut self.wishes)
    }

    /// Lines for the log, emptied by the call.
    pub fn take_said(&mut self) -> Vec<String> {
        let mut said = std::mem::take(&mut self.said);
        said.extend(self.ledger.take_said());
        said
    }

    /// The records in memory.
    pub fn records(&self) -> &BTreeMap<Key, Record> {
        &self.service.records
    }

    /// The way to the store.
    pub fn ledger(&mut self) -> &mut Ledger {
        &mut self.ledger
    }

    /// The store, if it is open, as a service that ends leaves it.
    pub fn into_store(self) -> Option<Store> {
        self.ledger.into()
    }

    /// Does one thing.
    pub fn carry_out(&mut self, now: Instant, action: Action) {
        match action {
            Action::Record { events } => {
                let with_zone = |(key, event): (Key, Event)| {
                    let zone = self.plan.zone_of(key.night).clone();
                    (key, zone, event)
                };
                let events = events.into_iter().map(with_zone).collect();
                self.ledger.write(now, events);
            }
            Action::Show {
                due,
                showing,
                replaces,
            } => {
                let store = self.ledger.store();
                let detail =
                    store.and_then(|store| super::detail::of(&self.plan, store, &due, now));
                let words = words::notification(&self.plan, &due, now, detail.as_deref());
                self.desk.show(due.key, showing, words, replaces);
            }
            Action::Withdraw { key, token } => self.desk.withdraw(key, token),
            Action::Open { key } => self.wishes.push(Wish::Open(key)),
            Action::RecordUsualMorning { key } => {
                self.mornings.push((key, now));
                self.usual_mornings(now);
            }
            Action::WakeAt(at) => self.wake = Some(at),
        }
    }

    /// Records the mornings that were as usual; those that the store does not take wait until it does.
    fn usual_mornings(&mut self, now: Instant) {
        while let (Some((key, at)), Some(store)) = (self.mornings.first(), self.ledger.store()) {
            match super::detail::record_usual_morning(&self.plan, store, key, *at) {
                Ok(()) => drop(self.mornings.remove(0)),
                Err(failure) => return self.ledger.failed(&failure, now),
            }
        }
    }

    fn notice_desk(&mut self, input: &Input) {
        if let Input::ShowResult { result, .. } = input {
            if result.is_ok() {
                self.desk_trouble = false;
            } else if !self.desk_trouble {
                self.desk_trouble = true;
                self.said.push(
                    "No desktop notification could be shown; the next prompt tries again. evenfall doctor looks \
                     for the cause."
                        .to_owned(),
                );
            }
        }
    }
}

/// The kind as a person says it.
pub fn kind_words(kind: Kind) -> &'static str {
    match kind {
        Kind::WindDown => "wind-down",
        Kind::LightsOut => "lights-out",
        Kind::Morning => "morning",
        Kind::Session => "session",
        Kind::WeekReview => "weekly review",
        Kind::Own => "own",
    }
}
