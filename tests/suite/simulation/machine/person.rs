//! The person at the machine: presses buttons, runs commands, follows to the end.

use std::rc::Rc;

use evenfall::pure::prompt::{Answer, Event, Key, Kind, Record, Standing};
use evenfall::pure::step::{Input, Reply};
use evenfall::pure::words;
use evenfall::shell::daemon::{Core, Ledger};

use super::super::screen::FakeDesk;
use super::{Life, Machine};

impl Machine {
    pub(super) fn react(&mut self, server: Option<&str>, id: u32) {
        let (key, heard) = {
            let mut screen = self.screen.borrow_mut();
            if screen.server.as_deref() != server || screen.hung {
                return;
            }
            let Some(notification) = screen.standing.remove(&id) else {
                return;
            };
            let key = notification.key;
            let heard = screen
                .known
                .get(&key)
                .is_some_and(|(_, token)| token.id == id);
            if heard {
                screen.known.remove(&key);
            }
            (key, heard)
        };
        let buttons = words::buttons(key.kind);
        let reply = match buttons.len() {
            0 => Reply::Dismiss,
            _ if self.chance.one_in(4) => Reply::Dismiss,
            _ => self.chance.pick(buttons).reply,
        };
        if !heard {
            self.unheard.insert(key);
        } else {
            self.counts.answers += 1;
            self.step(Input::Reply { key, reply });
        }
    }

    /// `later`, `not-tonight`, or a guide that ends, with or without a service.
    pub(super) fn command(&mut self) {
        self.next_command();
        self.counts.answers += 1;
        let now = self.now();
        let reply = match self.chance.below(3) {
            0 => Reply::NotTonight,
            1 => Reply::Later {
                minutes: u32::try_from(self.chance.spread(1, 300)).expect("minutes"),
            },
            _ => return self.guide_ends(),
        };
        match std::mem::replace(&mut self.life, Life::Changing) {
            Life::Up(core) => {
                let key = core.standing_for(now, reply);
                self.life = Life::Up(core);
                if let Ok(key) = key {
                    self.step(Input::Reply { key, reply });
                }
            }
            Life::Down(store) => {
                let desk = FakeDesk(Rc::default());
                let mut core = Core::new(Ledger::of(store), self.plan.clone(), desk, now);
                let before = core.records().clone();
                let _ = core.answer_alone(now, reply);
                for (key, record) in core.records() {
                    if before.get(key) != Some(record) {
                        let event = event_of(record);
                        self.oracle.recorded(now, key, &event);
                    }
                }
                let store = core.into_store().expect("open");
                self.disk.waited(&store);
                self.life = Life::Down(store);
            }
            Life::Changing => unreachable!("nothing changes here"),
        }
    }

    /// The guide writes to the store itself and tells the service.
    pub(super) fn guide_ends(&mut self) {
        let now = self.now();
        let night = evenfall::pure::civil::Night::at(now, &self.plan.zone);
        let key = Key::once(Kind::WindDown, night);
        let event = Event::Answered {
            answer: Answer::Done,
        };
        self.note(|| format!("the guide ends {key}"));
        let zone = self.plan.zone.clone();
        let store = match &mut self.life {
            Life::Up(core) => core.ledger().store().expect("open"),
            Life::Down(store) => store,
            Life::Changing => unreachable!("nothing changes here"),
        };
        store.add_event(&key, now, &zone, &event).expect("written");
        self.disk.waited(store);
        self.oracle.recorded(now, &key, &event);
        self.reload();
    }

    pub(super) fn reload(&mut self) {
        let now = self.now();
        if let Life::Up(core) = &mut self.life {
            core.replan(now, self.plan.clone());
            self.step(Input::Reloaded);
        }
    }
}

/// The event that led to where a record stands.
fn event_of(record: &Record) -> Event {
    match record.standing {
        Standing::Postponed { until } => Event::Later { until },
        Standing::Answered { answer } => Event::Answered { answer },
        _ => panic!("a command led to {record:?}"),
    }
}
