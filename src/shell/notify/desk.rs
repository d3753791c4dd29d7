//! What stands on the screen, and what is on its way there.

use std::collections::{HashMap, VecDeque};
use std::num::NonZeroU32;

use tokio::sync::mpsc;
use tokio::time::timeout;
use zbus::Connection;

use super::send::{self, Abilities};
use super::{Job, KEPT, PATIENCE, Report, listen};
use crate::pure::prompt::{Key, Kind, Token};
use crate::pure::words::Words;

/// What comes from the bus.
#[derive(Debug)]
pub(super) enum Raw {
    /// What a server can do.
    Able(Abilities),
    /// A call was answered.
    Replied {
        /// The serial number of the call.
        call: NonZeroU32,
        /// Where the notification stands, if that was what was asked for; the error in words.
        taken: Result<Token, String>,
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
}

/// A notification that is to be sent.
struct Wanted {
    kind: Kind,
    words: Words,
    /// Whose showing it is; none for what only says something.
    about: Option<(Key, u32)>,
    replaces: Option<Token>,
}

/// The desktop's side of the service.
pub(super) struct Desk {
    raw: mpsc::UnboundedSender<Raw>,
    reports: mpsc::UnboundedSender<Report>,
    bus: Option<Connection>,
    server: Option<String>,
    /// What the present server can do, once it said so.
    able: Option<Abilities>,
    /// It is being asked.
    asking: bool,
    /// What waits until it has said so.
    unsent: Vec<Wanted>,
    standing: HashMap<Key, Standing>,
    /// Showings that were sent and whose id is not known yet, by the serial numbers of the calls.
    under_way: HashMap<NonZeroU32, (Key, u32)>,
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
            asking: false,
            unsent: Vec::new(),
            standing: HashMap::new(),
            under_way: HashMap::new(),
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
        if self.server.is_some() {
            self.ask();
        }
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
            } => {
                let wanted = Wanted {
                    kind: key.kind,
                    words,
                    about: Some((key, showing)),
                    replaces,
                };
                self.show(wanted).await;
            }
            Job::Knows {
                key,
                showing,
                token,
            } if Some(&token.server) == self.server.as_ref() => {
                self.standing.insert(key, Standing { showing, token });
            }
            Job::Knows { .. } => {}
            Job::Withdraw { key, token } => self.withdraw(&key, token).await,
            Job::Say { words } => {
                let wanted = Wanted {
                    kind: Kind::Own,
                    words,
                    about: None,
                    replaces: None,
                };
                self.show(wanted).await;
            }
        }
    }

    async fn show(&mut self, wanted: Wanted) {
        if self.bus.is_none() {
            self.refuse(wanted.about, "there is no session bus".to_owned());
            return;
        }
        match self.able.take() {
            Some(able) => {
                self.send(wanted, &able).await;
                self.able = Some(able);
            }
            None => {
                self.unsent.push(wanted);
                self.ask();
            }
        }
    }

    /// Asks what the server can do: once a server, and before anything is due if one is there, because a
    /// prompt would come later by two questions.
    fn ask(&mut self) {
        let Some(bus) = self.bus.clone().filter(|_| !self.asking) else {
            return;
        };
        self.asking = true;
        let raw = self.raw.clone();
        tokio::spawn(async move {
            let _ = raw.send(Raw::Able(send::capabilities(&bus).await));
        });
    }

    async fn send(&mut self, wanted: Wanted, able: &Abilities) {
        let Some(bus) = self.bus.clone() else {
            return self.refuse(wanted.about, "there is no session bus".to_owned());
        };
        // An id of a server that is gone names nothing, or somebody else's notification.
        let standing = wanted.about.as_ref();
        let standing = standing.and_then(|(key, _)| self.standing.remove(key));
        let replaces = standing
            .map(|standing| standing.token)
            .or(wanted.replaces)
            .filter(|token| Some(&token.server) == self.server.as_ref());
        let replaces = replaces.map(|token| token.id);
        let message = send::notify(wanted.kind, &wanted.words, able, replaces);
        let sent = match &message {
            Ok(message) => send::send(&bus, message).await,
            Err(error) => Err(error.to_string()),
        };
        match (sent, message, wanted.about) {
            (Ok(()), Ok(message), Some(about)) => {
                let call = message.primary_header().serial_num();
                self.under_way.insert(call, about);
            }
            (Err(reason), _, about) => self.refuse(about, reason),
            _ => {}
        }
    }

    async fn withdraw(&mut self, key: &Key, token: Option<Token>) {
        let stands = self.standing.get(key).map(|standing| &standing.token);
        let token = token.or(stands.cloned());
        if stands == token.as_ref() {
            self.standing.remove(key);
        }
        let token = token.filter(|token| Some(&token.server) == self.server.as_ref());
        if let (Some(token), Some(bus)) = (token, &self.bus)
            && let Ok(message) = send::call("CloseNotification", &token.id)
        {
            let _ = send::send(bus, &message).await;
        }
    }

    /// Takes in what comes from the bus.
    pub async fn notice(&mut self, raw: Raw) {
        match raw {
            Raw::Able(able) => self.is_able(able).await,
            Raw::Replied { call, taken } => {
                let Some((key, showing)) = self.under_way.remove(&call) else {
                    return;
                };
                match taken {
                    Ok(token) => self.taken(key, showing, token),
                    Err(reason) => self.refuse(Some((key, showing)), reason),
                }
            }
            Raw::Signal(signal) => self.signal(signal),
            Raw::Owner(owner) => self.owner_changed(owner),
            Raw::BusGone => self.bus_gone(),
        }
    }

    /// A server that did not say what it can do is asked again with the next showing, and so is another
    /// one; what waits is sent by what is known.
    async fn is_able(&mut self, able: Abilities) {
        self.asking = false;
        for wanted in std::mem::take(&mut self.unsent) {
            self.send(wanted, &able).await;
        }
        if able.server.is_some() && able.server == self.server && !able.said.is_empty() {
            self.able = Some(able);
        }
    }

    fn bus_gone(&mut self) {
        self.bus = None;
        self.asking = false;
        self.owner_changed(None);
        let unsent = std::mem::take(&mut self.unsent).into_iter();
        let lost: Vec<_> = unsent
            .filter_map(|wanted| wanted.about)
            .chain(self.under_way.drain().map(|(_, about)| about))
            .collect();
        for about in lost {
            self.refuse(Some(about), "the session bus went away".to_owned());
        }
    }

    fn refuse(&mut self, about: Option<(Key, u32)>, reason: String) {
        if let Some((key, showing)) = about {
            let _ = self.reports.send(Report::Shown {
                key,
                showing,
                result: Err(reason),
            });
        }
        self.show_ended();
    }

    fn taken(&mut self, key: Key, showing: u32, token: Token) {
        let early = self
            .early
            .iter()
            .find(|signal| signal.token == token)
            .cloned();
        // A server that our own call brought up has shown that call: nothing is to be sent again.
        self.appeared = false;
        // A slow server may take an older showing after a newer one.
        let newest = self.standing.get(&key).map(|standing| standing.showing);
        if newest.is_none_or(|newest| newest <= showing) {
            let token = token.clone();
            self.standing
                .insert(key.clone(), Standing { showing, token });
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

    /// Nothing is on its way to the screen.
    fn is_idle(&self) -> bool {
        self.under_way.is_empty() && self.unsent.is_empty()
    }

    fn show_ended(&mut self) {
        if self.is_idle() {
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
            None if !self.under_way.is_empty() => {
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
        if self.server.is_some() {
            self.ask();
        }
        self.appeared = self.server.is_some() && !self.is_idle();
        if self.server.is_some() && self.is_idle() {
            let _ = self.reports.send(Report::ServerAppeared);
        }
    }
}
