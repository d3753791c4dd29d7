//! A notification server as servers are, and the person's screen with it. Mirrors what the real one
//! on the bus does to the service, without the bus.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use evenfall::pure::prompt::{Key, Token};
use evenfall::pure::words::Words;
use evenfall::shell::daemon::Desk;

/// What the service asked of the desktop.
#[derive(Clone, Debug)]
pub enum Call {
    /// To show.
    Show {
        /// Which prompt.
        key: Key,
        /// Which showing.
        showing: u32,
        /// In place of.
        replaces: Option<Token>,
    },
    /// To take away.
    Withdraw {
        /// Which prompt.
        key: Key,
        /// Which notification of it.
        token: Option<Token>,
    },
}

/// A notification on the screen.
#[derive(Debug)]
pub struct Notification {
    /// Of which prompt.
    pub key: Key,
    /// Which showing.
    pub showing: u32,
    /// A service that lived on was told that it stands: from then on it is answered for, also by every
    /// service after that one. Until then nobody can know of it.
    pub told: bool,
}

/// What stands where, and who knows of it.
#[derive(Debug, Default)]
pub struct Screen {
    /// The server's unique name; none while there is no server.
    pub server: Option<String>,
    /// It takes calls and answers none.
    pub hung: bool,
    /// Notifications on the screen by their id.
    pub standing: BTreeMap<u32, Notification>,
    /// What the running service knows to stand there.
    pub known: BTreeMap<Key, (u32, Token)>,
    /// Calls not delivered yet.
    pub calls: Vec<Call>,
    /// Calls that a server which hangs has not looked at.
    limbo: Vec<Limbo>,
    servers: u32,
    last_id: u32,
}

#[derive(Clone, Debug)]
enum Limbo {
    Show(Key, u32, Option<Token>),
    Close(u32),
}

/// What became of a call to show.
#[derive(Debug)]
pub enum Taken {
    /// It stands there.
    Shown(Token),
    /// There is no server.
    Refused,
    /// Nothing yet.
    Hangs,
}

impl Screen {
    /// A server starts: its ids start again.
    pub fn start_server(&mut self) {
        self.servers += 1;
        self.server = Some(format!(":1.{}", self.servers));
        self.hung = false;
        self.last_id = 0;
        self.standing.clear();
        self.known.clear();
    }

    /// The server goes, and every notification with it. Returns the showings it never answered.
    pub fn stop_server(&mut self) -> Vec<(Key, u32)> {
        self.server = None;
        self.hung = false;
        self.standing.clear();
        self.known.clear();
        let left = std::mem::take(&mut self.limbo).into_iter();
        left.filter_map(|call| match call {
            Limbo::Show(key, showing, _) => Some((key, showing)),
            Limbo::Close(_) => None,
        })
        .collect()
    }

    /// The server works off what it was asked while it hung.
    pub fn unhang(&mut self) -> Vec<(Key, u32, Taken)> {
        self.hung = false;
        let mut taken = Vec::new();
        for call in std::mem::take(&mut self.limbo) {
            match call {
                Limbo::Show(key, showing, replaces) => {
                    let shown = self.show(&key, showing, replaces);
                    taken.push((key, showing, shown));
                }
                Limbo::Close(id) => drop(self.standing.remove(&id)),
            }
        }
        taken
    }

    /// Delivers a call to show.
    pub fn show(&mut self, key: &Key, showing: u32, replaces: Option<Token>) -> Taken {
        let Some(server) = self.server.clone() else {
            return Taken::Refused;
        };
        let known = self.known.remove(key).map(|(_, token)| token);
        let replaces = known.or(replaces).filter(|token| token.server == server);
        if self.hung {
            self.limbo.push(Limbo::Show(key.clone(), showing, replaces));
            return Taken::Hangs;
        }
        let id = replaces.map_or_else(
            || {
                self.last_id += 1;
                self.last_id
            },
            |token| token.id,
        );
        let notification = Notification {
            key: key.clone(),
            showing,
            told: false,
        };
        self.standing.insert(id, notification);
        Taken::Shown(Token { server, id })
    }

    /// Delivers a call to take away.
    pub fn withdraw(&mut self, key: &Key, token: Option<Token>) {
        let stands = self.known.get(key).map(|(_, token)| token.clone());
        let token = token.or_else(|| stands.clone());
        if stands == token {
            self.known.remove(key);
        }
        if let Some(token) = token
            && Some(&token.server) == self.server.as_ref()
        {
            if self.hung {
                self.limbo.push(Limbo::Close(token.id));
            } else {
                self.standing.remove(&token.id);
            }
        }
    }

    /// The service took note of a showing.
    pub fn told(&mut self, showing: u32, token: &Token) {
        if Some(&token.server) == self.server.as_ref()
            && let Some(notification) = self.standing.get_mut(&token.id)
        {
            notification.told |= notification.showing == showing;
        }
    }

    /// Whether any notification of a prompt stands.
    pub fn holds(&self, key: &Key) -> bool {
        self.standing.values().any(|standing| standing.key == *key)
    }

    /// The prompts whose notifications stand and were told of, with how many.
    pub fn told_of(&self) -> BTreeMap<Key, usize> {
        let mut told = BTreeMap::new();
        for notification in self.standing.values().filter(|standing| standing.told) {
            *told.entry(notification.key.clone()).or_default() += 1;
        }
        told
    }
}

/// The service's end of it.
#[derive(Clone, Debug)]
pub struct FakeDesk(
    /// The screen, shared with the machine.
    pub Rc<RefCell<Screen>>,
);

impl Desk for FakeDesk {
    fn show(&mut self, key: Key, showing: u32, _: Words, replaces: Option<Token>) {
        let call = Call::Show {
            key,
            showing,
            replaces,
        };
        self.0.borrow_mut().calls.push(call);
    }

    fn knows(&mut self, key: Key, showing: u32, token: Option<Token>) {
        let mut screen = self.0.borrow_mut();
        if let Some(token) = token.filter(|token| Some(&token.server) == screen.server.as_ref()) {
            screen.known.insert(key, (showing, token));
        }
    }

    fn withdraw(&mut self, key: Key, token: Option<Token>) {
        let call = Call::Withdraw { key, token };
        self.0.borrow_mut().calls.push(call);
    }

    fn say(&mut self, _: Words) {}
}
