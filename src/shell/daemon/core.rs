//! The service without its waiting: carries out what [`crate::pure::step`] decides.

use std::collections::BTreeMap;

use chrono::Days;

use super::desk::Desk;
use crate::pure::agenda::Plan;
use crate::pure::civil::{Instant, Night};
use crate::pure::prompt::{Key, Kind, Record};
use crate::pure::step::{Action, Input, Reply, Service};
use crate::pure::words;
use crate::shell::failure::Failure;
use crate::shell::store::Store;

/// Nights of records that are read back at a start.
const READ_BACK_NIGHTS: u64 = 21;

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
    store: Store,
    wake: Option<Instant>,
    wishes: Vec<Wish>,
    /// The store could not be written: said once, until it can be again.
    store_trouble: Option<String>,
    /// The desktop took nothing: said once, until it does again.
    desk_trouble: bool,
    said: Vec<String>,
}

impl<D: Desk> Core<D> {
    /// A service that remembers what the store holds. Call [`Self::start`] next.
    pub fn new(store: Store, plan: Plan, desk: D, now: Instant) -> Result<Self, Failure> {
        let records = read_back(&store, &plan, now)?;
        Ok(Self {
            plan,
            desk,
            service: Service::remembering(records),
            store,
            wake: None,
            wishes: Vec::new(),
            store_trouble: None,
            desk_trouble: false,
            said: Vec::new(),
        })
    }

    /// The first step.
    pub fn start(&mut self, now: Instant) -> Result<(), Failure> {
        let known_until = self.store.last_event()?;
        self.handle(now, Input::Started { known_until });
        Ok(())
    }

    /// One step: decides and carries out.
    pub fn handle(&mut self, now: Instant, input: Input) {
        self.notice_desk(&input);
        for action in self.service.step(&self.plan, now, input) {
            self.carry_out(now, action);
        }
    }

    /// Takes over a new plan and whatever other programs wrote to the store.
    pub fn reload(&mut self, now: Instant, plan: Plan) {
        self.plan = plan;
        match read_back(&self.store, &self.plan, now) {
            Ok(records) if self.store_trouble.is_none() => self.service.records = records,
            Ok(_) => {}
            Err(failure) => self.store_failed(&failure),
        }
        self.handle(now, Input::Reloaded);
    }

    /// Answers the prompt that stands, as a bare command does.
    pub fn answer_standing(&mut self, now: Instant, reply: Reply) -> Result<String, String> {
        let tonight = Night::at(now, &self.plan.zone);
        let key = match (self.service.standing(), reply) {
            (Some(key), _) => key.clone(),
            (None, Reply::NotTonight) if self.plan.has_evening(tonight) => {
                Key::once(Kind::WindDown, tonight)
            }
            (None, _) => {
                return Err(
                    "No prompt stands to be answered. evenfall status tells what is next."
                        .to_owned(),
                );
            }
        };
        if reply == Reply::NotTonight && key.kind != Kind::WindDown {
            let key = Key::once(Kind::WindDown, tonight);
            self.handle(now, Input::Reply { key, reply });
        } else {
            self.handle(
                now,
                Input::Reply {
                    key: key.clone(),
                    reply,
                },
            );
        }
        Ok(match reply {
            Reply::Later { minutes } => format!(
                "The {} prompt comes again in {minutes} minutes.",
                kind_words(key.kind)
            ),
            _ => format!("No wind-down for the night of {tonight}."),
        })
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
        std::mem::take(&mut self.said)
    }

    /// The records in memory.
    pub fn records(&self) -> &BTreeMap<Key, Record> {
        &self.service.records
    }

    /// The store.
    pub fn store(&mut self) -> &mut Store {
        &mut self.store
    }

    fn carry_out(&mut self, now: Instant, action: Action) {
        match action {
            Action::Record { key, event } => {
                let zone = self.plan.zone_of(key.night).clone();
                match self.store.add_event(&key, now, &zone, &event) {
                    Ok(()) => self.store_works(),
                    Err(failure) => self.store_failed(&failure),
                }
            }
            Action::Show {
                due,
                showing,
                replaces,
            } => {
                let detail = super::detail::of(&self.plan, &self.store, &due, now);
                let words = words::notification(&self.plan, &due, now, detail.as_deref());
                self.desk.show(due.key, showing, words, replaces);
            }
            Action::Withdraw { key, token } => self.desk.withdraw(key, token),
            Action::Open { key } => self.wishes.push(Wish::Open(key)),
            Action::RecordUsualMorning { key } => {
                if let Err(failure) =
                    super::detail::record_usual_morning(&self.plan, &mut self.store, &key, now)
                {
                    self.store_failed(&failure);
                }
            }
            Action::WakeAt(at) => self.wake = Some(at),
        }
    }

    fn store_failed(&mut self, failure: &Failure) {
        if self.store_trouble.as_ref() != Some(&failure.message) {
            self.said.push(format!(
                "{failure} Prompts go on from the settings meanwhile."
            ));
            self.store_trouble = Some(failure.message.clone());
        }
    }

    fn store_works(&mut self) {
        if self.store_trouble.take().is_some() {
            self.said.push("The store can be written again.".to_owned());
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

fn read_back(store: &Store, plan: &Plan, now: Instant) -> Result<BTreeMap<Key, Record>, Failure> {
    let tonight = Night::at(now, &plan.zone).evening();
    let from = tonight
        .checked_sub_days(Days::new(READ_BACK_NIGHTS))
        .unwrap_or(tonight);
    store.records_since(Night(from))
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
