//! The desktop of the machine: what becomes of a call, and a server that comes and goes.

use evenfall::pure::prompt::{Key, Token};
use evenfall::pure::step::Input;

use super::super::screen::{Call, Taken};
use super::{Happening, Life, Machine};

impl Machine {
    pub(super) fn deliver(&mut self, call: Call) {
        match call {
            Call::Withdraw { key, token } => self.screen.borrow_mut().withdraw(&key, token),
            Call::Show {
                key,
                showing,
                replaces,
            } => {
                let taken = self.screen.borrow_mut().show(&key, showing, replaces);
                self.report(key, showing, taken);
            }
        }
    }

    pub(super) fn report(&mut self, key: Key, showing: u32, taken: Taken) {
        let result = match taken {
            Taken::Hangs => return,
            Taken::Refused => Err(()),
            Taken::Shown(token) => {
                self.counts.popups += 1;
                self.oracle.popped_up(&key);
                if key.kind.only_says() {
                    let (server, id) = (Some(token.server.clone()), token.id);
                    self.queue(10_000, Happening::Expire { server, id });
                }
                let present = self.weather.presence;
                if self.chance.percent(present) {
                    let after = self.chance.spread(200, 40 * 60_000);
                    let (server, id) = (Some(token.server.clone()), token.id);
                    self.queue(after, Happening::React { server, id });
                }
                Ok(Some(token))
            }
        };
        let generation = self.generation;
        let after = self.chance.between(1, 150);
        let happening = Happening::Result {
            generation,
            key,
            showing,
            result,
        };
        self.queue(after, happening);
    }

    pub(super) fn result(&mut self, key: Key, showing: u32, result: Result<Option<Token>, ()>) {
        if let Ok(Some(token)) = &result {
            let mut screen = self.screen.borrow_mut();
            let older = screen
                .known
                .get(&key)
                .is_some_and(|(newest, _)| *newest > showing);
            if !older && screen.server.as_ref() == Some(&token.server) {
                screen.known.insert(key.clone(), (showing, token.clone()));
            }
        }
        let (token, generation) = (result.clone().ok().flatten(), self.generation);
        self.step(Input::ShowResult {
            key,
            showing,
            result,
        });
        if let Some(token) = token
            && generation == self.generation
            && matches!(self.life, Life::Up(_))
        {
            self.screen.borrow_mut().told(showing, &token);
            self.check_screen(self.now());
        }
    }

    pub(super) fn server_goes(&mut self) {
        let limbo = self.screen.borrow_mut().stop_server();
        self.oracle.screen_broke();
        self.step(Input::ServerGone);
        for (key, showing) in limbo {
            self.report(key, showing, Taken::Refused);
        }
    }

    pub(super) fn server_comes(&mut self) {
        self.screen.borrow_mut().start_server();
        self.oracle.screen_broke();
        self.queue(200, Happening::ServerAppeared);
    }

    pub(super) fn unhang(&mut self) {
        self.oracle.disturbed();
        let taken = self.screen.borrow_mut().unhang();
        for (key, showing, taken) in taken {
            self.report(key, showing, taken);
        }
    }
}
