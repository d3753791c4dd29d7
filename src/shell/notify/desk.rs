//! What stands on the screen, and what is on its way there.

use std::collections::{HashMap, VecDeque};
use std::sync::Arc;

use tokio::sync::mpsc;
use tokio::task::AbortHandle;
use tokio::time::timeout;
use zbus::Connection;

use super::send::{self, Abilities};
use super::{Job, KEPT, OBJECT, PATIENCE, Report, SERVICE, listen};
use crate::pure::prompt::{Key, Kind, Token};
use crate::pure::words::Words;

/// A signal or result as it comes from one of the listening tasks.
#[derive(Debug)]
pub(super) enum Raw {
    /// What a server can do, with its unique name as it was when it was asked.
    Able(Option<String>, Arc<Abilities>),
    Taken {
        key: Key,
        showing: u32,
        token: Token,
        waiting: AbortHandle,
    },
    Refused {
        key: Key,
        showing: u32,
        reason: String,
    },
    Signal(Signal),
    Owner(Option<String>),
    BusGone,
}

#[derive(Clone, Debug)]
pub(super) struct Signal {
    pub token: Token,
    /// The button's key; `None` = closed by the person.
    pub button: Option<String>,
}

struct Standing {
    showing: u32,
    token: Token,
    /// The task that waits for an answer on the connection that sent it, if this process sent it.
    waiting: Option<AbortHandle>,
}

impl Drop for Standing {
    fn drop(&mut self) {
        if let Some(waiting) = &self.waiting {
            waiting.abort();
        }
    }
}

/// The desktop's side of the service.
pub(super) struct Desk {
    raw: mpsc::UnboundedSender<Raw>,
    reports: mpsc::UnboundedSender<Report>,
    bus: Option<Connection>,
    server: Option<String>,
    /// What the present server can do, once it was asked.
    able: Option<Arc<Abilities>>,
    standing: HashMap<Key, Standing>,
    /// Showings that were sent and whose id is not known yet.
    under_way: usize,
    /// A server appeared while showings were under way: said when they have ended.
    appeared: bool,
    early: VecDeque<Signal>,
}

impl Desk {
    /// A desk that reports to the service and hears from its own tasks.
    pub fn new(raw: mpsc::UnboundedSender<Raw>, reports: mpsc::UnboundedSender<Report>) -> Self {
        Self {
            raw,
            reports,
            bus: None,
            server: None,
            able: None,
            standing: HashMap::new(),
            under_way: 0,
            appeared: false,
            early: VecDeque::new(),
        }
    }

    /// Connects to the bus, if there is one.
    pub async fn connect(&mut self) {
        let Ok(Ok(bus)) = timeout(PATIENCE, listen::start(self.raw.clone())).await else {
            return;
        };
        self.server = send::owner(&bus).await;
        self.bus = Some(bus);
    }

    /// Reports what stands in the way of any prompt, so that it is known before the evening.
    pub async fn say_what_is_missing(&self) {
        let missing = match &self.bus {
            None => "the session bus cannot be reached",
            // A server that the bus starts when it is asked for need not run yet.
            Some(bus) if self.server.is_none() && !send::can_be_started(bus).await => {
                "no notification service runs on this desktop"
            }
            Some(_) => return,
        };
        let _ = self.reports.send(Report::NothingShows(missing.to_owned()));
    }

    /// Carries out a job.
    pub async fn take(&mut self, job: Job) {
        if self.bus.is_none() {
            self.connect().await;
        }
        match job {
            Job::Show {
                key,
                showing,
                words,
                replaces,
            } => self.show(key, showing, words, replaces),
            Job::Knows {
                key,
                showing,
                token,
            } if Some(&token.server) == self.server.as_ref() => {
                let standing = Standing {
                    showing,
                    token,
                    waiting: None,
                };
                self.standing.insert(key, standing);
            }
            Job::Knows { .. } => {}
            Job::Withdraw { key, token } => self.withdraw(&key, token).await,
            Job::Say { words } => {
                if let Some(bus) = self.bus.clone() {
                    tokio::spawn(async move {
                        let able = send::capabilities(&bus).await;
                        let _ = timeout(
                            PATIENCE,
                            send::notification(Kind::Own, &words, &able).show_async(),
                        )
                        .await;
                    });
                }
            }
        }
    }

    fn show(&mut self, key: Key, showing: u32, words: Words, replaces: Option<Token>) {
        self.under_way += 1;
        let Some(bus) = self.bus.clone() else {
            let reason = "there is no session bus".to_owned();
            let _ = self.raw.send(Raw::Refused {
                key,
                showing,
                reason,
            });
            return;
        };
        // An id of a server that is gone names nothing, or somebody else's notification.
        let standing = self.standing.remove(&key);
        let replaces = standing
            .map(|standing| standing.token.clone())
            .or(replaces)
            .filter(|token| Some(&token.server) == self.server.as_ref());
        let (raw, known, server) = (self.raw.clone(), self.able.clone(), self.server.clone());
        tokio::spawn(async move {
            // Asked once a server: two questions less between the due instant and the screen.
            let able = match known {
                Some(able) => able,
                None => {
                    let able = Arc::new(send::capabilities(&bus).await);
                    let _ = raw.send(Raw::Able(server, Arc::clone(&able)));
                    able
                }
            };
            let _ = raw.send(send::send(&bus, key, showing, &words, replaces, &able, &raw).await);
        });
    }

    async fn withdraw(&mut self, key: &Key, token: Option<Token>) {
        let stands = self.standing.get(key).map(|standing| &standing.token);
        let token = token.or(stands.cloned());
        if stands == token.as_ref() {
            self.standing.remove(key);
        }
        let token = token.filter(|token| Some(&token.server) == self.server.as_ref());
        if let (Some(token), Some(bus)) = (token, self.bus.clone()) {
            let close = bus.call_method(
                Some(SERVICE),
                OBJECT,
                Some(SERVICE),
                "CloseNotification",
                &(token.id),
            );
            let _ = timeout(PATIENCE, close).await;
        }
    }

    /// Takes in a signal or a result.
    pub fn notice(&mut self, raw: Raw) {
        match raw {
            // A server that did not say what it can do is asked again, and so is another one.
            Raw::Able(server, able) => {
                if server == self.server && !able.said.is_empty() {
                    self.able = Some(able);
                }
            }
            Raw::Taken {
                key,
                showing,
                token,
                waiting,
            } => self.taken(key, showing, token, waiting),
            Raw::Refused {
                key,
                showing,
                reason,
            } => {
                let _ = self.reports.send(Report::Shown {
                    key,
                    showing,
                    result: Err(reason),
                });
                self.show_ended();
            }
            Raw::Signal(signal) => self.signal(signal),
            Raw::Owner(owner) => self.owner_changed(owner),
            Raw::BusGone => {
                self.bus = None;
                self.owner_changed(None);
            }
        }
    }

    fn taken(&mut self, key: Key, showing: u32, token: Token, waiting: AbortHandle) {
        let early = self
            .early
            .iter()
            .find(|signal| signal.token == token)
            .cloned();
        // A server that our own call brought up has shown that call: nothing is to be sent again.
        self.appeared = false;
        // A slow server may take an older showing after a newer one.
        let newest = self.standing.get(&key).map(|standing| standing.showing);
        let waiting = Some(waiting);
        if newest.is_none_or(|newest| newest <= showing) {
            let token = token.clone();
            let standing = Standing {
                showing,
                token,
                waiting,
            };
            self.standing.insert(key.clone(), standing);
        }
        let _ = self.reports.send(Report::Shown {
            key,
            showing,
            result: Ok(Some(token)),
        });
        self.show_ended();
        if let Some(signal) = early {
            self.signal(signal);
        }
    }

    fn show_ended(&mut self) {
        self.under_way = self.under_way.saturating_sub(1);
        if self.under_way == 0 {
            self.early.clear();
            // What an old server left unanswered is refused by now, so it can go to the new one.
            if std::mem::take(&mut self.appeared) {
                let _ = self.reports.send(Report::ServerAppeared);
            }
        }
    }

    fn signal(&mut self, signal: Signal) {
        let key = self
            .standing
            .iter()
            .find(|(_, standing)| standing.token == signal.token)
            .map(|(key, _)| key.clone());
        match key {
            Some(key) => {
                self.standing.remove(&key);
                let _ = self.reports.send(Report::Reacted {
                    key,
                    button: signal.button,
                });
            }
            None if self.under_way > 0 => {
                if self.early.len() == KEPT {
                    self.early.pop_front();
                }
                self.early.push_back(signal);
            }
            None => {}
        }
    }

    fn owner_changed(&mut self, owner: Option<String>) {
        if owner == self.server {
            return;
        }
        let had_one = self.server.is_some();
        self.able = None;
        self.server = owner;
        self.standing.clear();
        if had_one {
            let _ = self.reports.send(Report::ServerGone);
        }
        self.appeared = self.server.is_some() && self.under_way > 0;
        if self.server.is_some() && self.under_way == 0 {
            let _ = self.reports.send(Report::ServerAppeared);
        }
    }
}
