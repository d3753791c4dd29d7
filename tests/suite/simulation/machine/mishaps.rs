//! What happens to the machine when its time comes, the mishaps among it.

use evenfall::pure::step::Input;

use super::super::plans;
use super::super::weather::Fault;
use super::{Happening, Life, Machine};

impl Machine {
    pub(super) fn next_fault(&mut self) {
        if let Some((low, high)) = self.weather.fault_every {
            let after = self.chance.between(low, high);
            self.queue(after, Happening::Fault);
        }
    }

    pub(super) fn next_command(&mut self) {
        if self.weather.command_every.1 > 0 {
            let (low, high) = self.weather.command_every;
            let after = self.chance.between(low, high);
            self.queue(after, Happening::Command);
        }
    }

    pub(super) fn happen(&mut self, happening: Happening) {
        let quiet = matches!(
            happening,
            Happening::Result { .. } | Happening::React { .. } | Happening::Expire { .. }
        );
        if !quiet {
            self.disturbed();
        }
        match happening {
            Happening::Result {
                generation,
                key,
                showing,
                result,
            } => {
                if generation == self.generation {
                    self.result(key, showing, result);
                }
            }
            Happening::React { server, id } => self.react(server.as_deref(), id),
            Happening::Expire { server, id } => {
                let mut screen = self.screen.borrow_mut();
                if screen.server == server {
                    screen.standing.remove(&id);
                }
            }
            Happening::Command => self.command(),
            Happening::Fault => self.fault(),
            Happening::Restart => {
                if matches!(self.life, Life::Down(_)) {
                    self.start();
                }
            }
            Happening::ServerBack => {
                if self.screen.borrow().server.is_none() {
                    self.server_comes();
                }
            }
            Happening::ServerAppeared => {
                self.oracle.screen_broke();
                self.step(Input::ServerAppeared);
            }
            Happening::ServerDies => self.server_goes(),
            Happening::Unhang => {
                if self.screen.borrow().hung {
                    self.unhang();
                }
            }
            Happening::ClockBack(by) => self.set_clock(by),
            Happening::ZoneBack(zone) => self.move_to(zone),
        }
    }

    pub(super) fn set_clock(&mut self, by: i64) {
        self.note(|| format!("clock set by {by} ms"));
        self.wall += by;
        self.oracle.disturbed();
        self.step(Input::Woke);
    }

    pub(super) fn move_to(&mut self, zone: usize) {
        self.zone = zone;
        self.plan.zone = plans::zone(plans::ZONES[zone]);
        self.note(|| "another zone".to_owned());
        self.oracle.replanned(self.now());
        self.reload();
    }

    pub(super) fn fault(&mut self) {
        self.next_fault();
        let fault = *self.chance.pick(self.weather.faults);
        self.note(|| format!("{fault:?}"));
        *self.counts.faults.entry(fault.name()).or_default() += 1;
        match fault {
            Fault::Kill => {
                self.compare_with_store();
                self.kill();
                let after = self.chance.spread(100, 6 * 3_600_000);
                self.queue(after, Happening::Restart);
            }
            Fault::Reboot => {
                self.kill();
                self.screen.borrow_mut().stop_server();
                self.boots_again();
            }
            Fault::PowerCut => {
                self.cut_power();
                self.boots_again();
            }
            Fault::Suspend => self.suspend(),
            Fault::ClockSet => {
                let far = self.chance.spread(500, 26 * 3_600_000);
                let by = if self.chance.one_in(2) { far } else { -far };
                self.set_clock(by);
                let after = self.chance.spread(1000, 86_400_000);
                self.queue(after, Happening::ClockBack(-by));
            }
            Fault::Zone => {
                let back = self.zone;
                let there = self.chance.below(plans::ZONES.len() as u64) as usize;
                self.move_to(there);
                if self.chance.one_in(2) {
                    let after = self.chance.spread(1000, 86_400_000);
                    self.queue(after, Happening::ZoneBack(back));
                }
            }
            Fault::Edit => {
                let settings = self.chance.pick(&self.settings).clone();
                self.plan.settings = settings;
                self.oracle.replanned(self.now());
                self.reload();
            }
            Fault::ServerGone => {
                self.server_goes();
                let after = self.chance.spread(1, 8 * 3_600_000);
                self.queue(after, Happening::ServerBack);
            }
            Fault::ServerHangs => self.hang(),
        }
    }

    /// The machine is off for a while; the service may come before the server or after it.
    fn boots_again(&mut self) {
        let after = self.chance.spread(20_000, 3 * 86_400_000);
        self.queue(after, Happening::Restart);
        let later = after + self.chance.between(-5000, 5000);
        self.queue(later, Happening::ServerBack);
    }

    pub(super) fn suspend(&mut self) {
        let length = self.chance.spread(1000, 5 * 86_400_000);
        // The whole machine stands still; what was to come comes after it.
        let queue = std::mem::take(&mut self.queue);
        self.queue = queue
            .into_iter()
            .map(|((at, place), happening)| ((at + length, place), happening))
            .collect();
        self.real += length;
        self.wall += length;
        self.oracle.disturbed();
        self.step(Input::Woke);
    }

    pub(super) fn hang(&mut self) {
        if self.screen.borrow().server.is_none() {
            return;
        }
        self.screen.borrow_mut().hung = true;
        self.oracle.disturbed();
        let after = self.chance.spread(100, 2 * 3_600_000);
        let end = if self.chance.one_in(2) {
            Happening::Unhang
        } else {
            let back = after + self.chance.spread(1, 60_000);
            self.queue(back, Happening::ServerBack);
            Happening::ServerDies
        };
        self.queue(after, end);
    }
}
