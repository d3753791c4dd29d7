//! A machine in virtual time: a clock that may be set, a service that may be killed between any two
//! of its effects, a desktop that comes and goes, and a person who answers or does not.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use chrono::NaiveDate;
use evenfall::pure::agenda::{Due, Plan};
use evenfall::pure::civil::Instant;
use evenfall::pure::prompt::{Answer, Event, Key, Kind, Record, Standing, Token};
use evenfall::pure::settings::Settings;
use evenfall::pure::step::{Action, Input, Reply};
use evenfall::pure::words;
use evenfall::shell::daemon::{Core, Ledger};
use evenfall::shell::store::Store;

use super::oracle::{Oracle, instant};
use super::plans;
use super::sabotage::Sabotage;
use super::screen::{Call, FakeDesk, Screen, Taken};
use super::weather::{Fault, Weather};
use crate::support::chance::Chance;

/// What happens at a point of real time.
#[derive(Debug)]
enum Happening {
    /// The desktop reports on a showing to the service that asked.
    Result {
        generation: u32,
        key: Key,
        showing: u32,
        result: Result<Option<Token>, ()>,
    },
    /// The person reacts to a notification.
    React {
        server: Option<String>,
        id: u32,
    },
    /// What only said something goes by itself.
    Expire {
        server: Option<String>,
        id: u32,
    },
    /// The person types a command, or the guide ends.
    Command,
    Fault,
    Restart,
    ServerBack,
    /// The service hears of it after whatever it asked the old server.
    ServerAppeared,
    ServerDies,
    Unhang,
    ClockBack(i64),
    ZoneBack(usize),
}

/// What was counted.
#[derive(Clone, Debug, Default)]
pub struct Counts {
    /// Nights that passed.
    pub nights: u64,
    /// Steps of the service.
    pub steps: u64,
    /// Showings that came on a screen.
    pub popups: u64,
    /// Reactions and commands of the person.
    pub answers: u64,
    /// Kills between two effects of a step.
    pub kills_inside: u64,
    /// Faults by name.
    pub faults: BTreeMap<&'static str, u64>,
    /// Prompts all of whose showings were cut off.
    pub cut_off: u64,
}

impl Counts {
    /// Adds another's.
    pub fn add(&mut self, other: &Self) {
        self.nights += other.nights;
        self.steps += other.steps;
        self.popups += other.popups;
        self.answers += other.answers;
        self.kills_inside += other.kills_inside;
        self.cut_off += other.cut_off;
        for (name, count) in &other.faults {
            *self.faults.entry(name).or_default() += count;
        }
    }
}

enum Life {
    Up(Box<Core<FakeDesk>>),
    Down(Store),
    Changing,
}

/// The machine.
pub struct Machine {
    chance: Chance,
    weather: Weather,
    /// Milliseconds since it was built, whatever its clock says.
    real: i64,
    wall: i64,
    life: Life,
    generation: u32,
    screen: Rc<RefCell<Screen>>,
    settings: Vec<Settings>,
    plan: Plan,
    zone: usize,
    queue: BTreeMap<(i64, u64), Happening>,
    queued: u64,
    nights: BTreeSet<NaiveDate>,
    /// When anything last changed but the time.
    disturbed_at: i64,
    /// Prompts that the person answered while nobody listened.
    unheard: BTreeSet<Key>,
    trace: bool,
    /// What the service is made to do wrong, and what of it is still to come.
    pub sabotage: Option<Sabotage>,
    held: Vec<Action>,
    /// What has to hold.
    pub oracle: Oracle,
    /// What was counted.
    pub counts: Counts,
}

impl Machine {
    /// A machine in a zone (by its place in [`plans::ZONES`]), built at an instant.
    pub fn new(seed: u64, weather: Weather, zone: usize, start: Instant) -> Self {
        let trace = std::env::var_os("EVENFALL_TRACE").is_some();
        let settings = plans::variants();
        let year = chrono::Datelike::year(&start);
        let plan = plans::plan(settings[0].clone(), plans::zone(plans::ZONES[zone]), year);
        let mut machine = Self {
            chance: Chance::new(seed),
            weather,
            real: 0,
            wall: start.timestamp_millis(),
            life: Life::Down(Store::in_memory().expect("store")),
            generation: 0,
            screen: Rc::default(),
            settings,
            plan,
            zone,
            queue: BTreeMap::new(),
            queued: 0,
            nights: BTreeSet::new(),
            disturbed_at: 0,
            unheard: BTreeSet::new(),
            trace,
            sabotage: None,
            held: Vec::new(),
            oracle: Oracle::new(start, weather.is_calm()),
            counts: Counts::default(),
        };
        machine.screen.borrow_mut().start_server();
        machine.start();
        machine.next_fault();
        machine.next_command();
        machine
    }

    /// Lets so many real days pass.
    pub fn run(&mut self, days: i64) {
        let end = self.real + days * 86_400_000;
        while self.oracle.violations.is_empty() {
            let wake = match &self.life {
                Life::Up(core) => core.wake(),
                _ => None,
            };
            let timer = wake.map(|at| self.real + (at.timestamp_millis() - self.wall).max(0));
            let first = self.queue.keys().next().copied();
            let next = timer.into_iter().chain(first.map(|(at, _)| at)).min();
            let Some(next) = next.filter(|at| *at <= end) else {
                self.pass(end - self.real);
                break;
            };
            self.pass(next - self.real);
            match first.filter(|(at, _)| *at <= next) {
                Some(key) => {
                    let happening = self.queue.remove(&key).expect("queued");
                    self.happen(happening);
                }
                None => self.step(Input::Woke),
            }
        }
        self.compare_with_store();
        self.counts.nights += self.nights.len() as u64;
        self.nights.clear();
        self.counts.cut_off = self.oracle.cut_off;
    }

    fn now(&self) -> Instant {
        instant(self.wall)
    }

    fn note(&self, what: impl FnOnce() -> String) {
        if self.trace {
            let local = self.plan.zone.local(self.now());
            println!("{} {} {}", self.real, local.format("%F %T%.3f %z"), what());
        }
    }

    fn pass(&mut self, ms: i64) {
        let from = self.now();
        self.real += ms;
        self.wall += ms;
        self.nights
            .insert(self.plan.zone.local(self.now()).date_naive());
        let up = matches!(self.life, Life::Up(_));
        let serves = {
            let screen = self.screen.borrow();
            screen.server.is_some() && !screen.hung
        };
        if up && serves && ms > 0 {
            let now = self.now();
            self.oracle.pass(&self.plan, from, now);
        }
    }

    fn queue(&mut self, after: i64, happening: Happening) {
        self.queued += 1;
        self.queue
            .insert((self.real + after.max(0), self.queued), happening);
    }

    // ---- the service ----

    fn start(&mut self) {
        let Life::Down(store) = std::mem::replace(&mut self.life, Life::Changing) else {
            unreachable!("it runs already");
        };
        self.generation += 1;
        let desk = FakeDesk(Rc::clone(&self.screen));
        let ledger = Ledger::of(store);
        let mut core = Box::new(Core::new(ledger, self.plan.clone(), desk, self.now()));
        let input = core.started(self.now());
        self.life = Life::Up(core);
        self.oracle.screen_broke();
        self.unheard.clear();
        self.disturbed();
        self.note(|| "starts".to_owned());
        self.step(input);
    }

    /// One step of the service, cut off between two effects now and then.
    fn step(&mut self, input: Input) {
        let now = self.now();
        let Life::Up(core) = &mut self.life else {
            return;
        };
        self.counts.steps += 1;
        let said = self.trace.then(|| format!("{input:?}"));
        let mut actions = core.decide(now, input);
        if let Some(sabotage) = self.sabotage {
            actions = sabotage.apply(now, actions, &mut self.held);
        }
        let cut = self
            .chance
            .one_in(self.weather.kill_inside)
            .then(|| self.chance.below(actions.len() as u64 + 1));
        if let Some(said) = said {
            self.note(|| said);
        }
        for (place, action) in (0_u64..).zip(actions) {
            if cut == Some(place) {
                self.counts.kills_inside += 1;
                self.kill();
                let after = self.chance.spread(500, 3_600_000);
                self.queue(after, Happening::Restart);
                return;
            }
            self.carry_out(now, action);
        }
        self.after_step(now);
    }

    fn carry_out(&mut self, now: Instant, action: Action) {
        self.note(|| format!("  {action:?}"));
        match &action {
            Action::Record { events } => {
                for (key, event) in events {
                    self.oracle.recorded(now, key, event);
                }
            }
            Action::Show { due, showing, .. } => {
                self.oracle.shows(now, self.real, &self.plan, due, *showing);
            }
            _ => {}
        }
        let Life::Up(core) = &mut self.life else {
            return;
        };
        core.carry_out(now, action);
        core.take_wishes();
        let calls = std::mem::take(&mut self.screen.borrow_mut().calls);
        for call in calls {
            self.deliver(call);
        }
    }

    fn after_step(&mut self, now: Instant) {
        let Life::Up(core) = &self.life else { return };
        self.oracle
            .stepped(now, &self.plan, core.wake(), core.records());
        self.check_screen(now);
    }

    /// What stands on the screen and what the service believes of it.
    fn check_screen(&mut self, now: Instant) {
        let Life::Up(core) = &self.life else { return };
        let screen = self.screen.borrow();
        let mut complaints = Vec::new();
        for (key, _) in screen.standing.values() {
            if self.oracle.is_unsure(key) || screen.hung {
                continue;
            }
            if screen.count(key) > 1 {
                complaints.push(format!("{key} stands {} times", screen.count(key)));
            }
            let open = core.records().get(key).is_some_and(|record: &Record| {
                matches!(
                    record.standing,
                    Standing::Open {
                        dismissed: false,
                        ..
                    }
                )
            });
            if !open && !key.kind.only_says() {
                complaints.push(format!("{key} stands and is not open"));
            }
        }
        for (key, record) in core.records() {
            let window = |due: Due| due.due_at <= now && now < due.until;
            // Everything has its turn on a new screen within some minutes.
            let settled = self.real - self.disturbed_at > 10 * 60_000;
            let serves = screen.server.is_some() && !screen.hung;
            if record.stands()
                && serves
                && settled
                && screen.count(key) == 0
                && !self.unheard.contains(key)
                && self.plan.due_of(key).is_some_and(window)
            {
                complaints.push(format!("{key} is open and not on the screen"));
            }
        }
        drop(screen);
        for complaint in complaints {
            self.oracle.violated(now, complaint);
        }
    }

    /// The machine, the desktop or the plan is not what it was.
    fn disturbed(&mut self) {
        self.disturbed_at = self.real;
    }

    fn kill(&mut self) {
        self.life = match std::mem::replace(&mut self.life, Life::Changing) {
            Life::Up(core) => Life::Down(core.into_store().expect("the store stays open")),
            other => other,
        };
        self.screen.borrow_mut().known.clear();
        self.screen.borrow_mut().calls.clear();
        self.oracle.screen_broke();
        self.note(|| "killed".to_owned());
    }

    /// A restarted service has to know what this one knows.
    fn compare_with_store(&mut self) {
        let now = self.now();
        let Life::Up(core) = &mut self.life else {
            return;
        };
        let zone = core.plan.zone.clone();
        let Some(stored) = core.ledger().records(now, &zone) else {
            return self.oracle.violated(now, "the store cannot be read");
        };
        for (key, record) in core.records() {
            let different = stored.get(key).is_some_and(|stored| stored != record);
            if different || (!stored.contains_key(key) && !record.is_settled()) {
                let what = format!("{key}: {record:?} in memory, {:?} stored", stored.get(key));
                return self.oracle.violated(now, what);
            }
        }
    }

    // ---- the desktop ----

    fn deliver(&mut self, call: Call) {
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

    fn report(&mut self, key: Key, showing: u32, taken: Taken) {
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
                if self.chance.below(100) < present {
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

    fn result(&mut self, key: Key, showing: u32, result: Result<Option<Token>, ()>) {
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
        let (named, generation) = (key.clone(), self.generation);
        self.step(Input::ShowResult {
            key,
            showing,
            result,
        });
        if generation == self.generation && matches!(self.life, Life::Up(_)) {
            self.oracle.told(&named, showing);
        }
    }

    fn server_goes(&mut self) {
        let limbo = self.screen.borrow_mut().stop_server();
        self.oracle.screen_broke();
        self.step(Input::ServerGone);
        for (key, showing) in limbo {
            self.report(key, showing, Taken::Refused);
        }
    }

    fn server_comes(&mut self) {
        self.screen.borrow_mut().start_server();
        self.oracle.screen_broke();
        self.queue(200, Happening::ServerAppeared);
    }

    fn unhang(&mut self) {
        self.oracle.disturbed();
        let taken = self.screen.borrow_mut().unhang();
        for (key, showing, taken) in taken {
            self.report(key, showing, taken);
        }
    }

    // ---- the person ----

    fn react(&mut self, server: Option<&str>, id: u32) {
        let (key, heard) = {
            let mut screen = self.screen.borrow_mut();
            if screen.server.as_deref() != server || screen.hung {
                return;
            }
            let Some((key, _)) = screen.standing.remove(&id) else {
                return;
            };
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
    fn command(&mut self) {
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
                self.life = Life::Down(core.into_store().expect("open"));
            }
            Life::Changing => unreachable!("nothing changes here"),
        }
    }

    /// The guide writes to the store itself and tells the service.
    fn guide_ends(&mut self) {
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
        self.oracle.recorded(now, &key, &event);
        self.reload();
    }

    fn reload(&mut self) {
        let now = self.now();
        if let Life::Up(core) = &mut self.life {
            core.replan(now, self.plan.clone());
            self.step(Input::Reloaded);
        }
    }

    // ---- what happens ----

    fn next_fault(&mut self) {
        if let Some((low, high)) = self.weather.fault_every {
            let after = self.chance.between(low, high);
            self.queue(after, Happening::Fault);
        }
    }

    fn next_command(&mut self) {
        if self.weather.command_every.1 > 0 {
            let (low, high) = self.weather.command_every;
            let after = self.chance.between(low, high);
            self.queue(after, Happening::Command);
        }
    }

    fn happen(&mut self, happening: Happening) {
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

    fn set_clock(&mut self, by: i64) {
        self.note(|| format!("clock set by {by} ms"));
        self.wall += by;
        self.oracle.disturbed();
        self.step(Input::Woke);
    }

    fn move_to(&mut self, zone: usize) {
        self.zone = zone;
        self.plan.zone = plans::zone(plans::ZONES[zone]);
        self.note(|| "another zone".to_owned());
        self.oracle.replanned(self.now());
        self.reload();
    }

    fn fault(&mut self) {
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
                let after = self.chance.spread(20_000, 3 * 86_400_000);
                self.queue(after, Happening::Restart);
                let later = after + self.chance.between(-5000, 5000);
                self.queue(later, Happening::ServerBack);
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

    fn suspend(&mut self) {
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

    fn hang(&mut self) {
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

/// The event that led to where a record stands.
fn event_of(record: &Record) -> Event {
    match record.standing {
        Standing::Postponed { until } => Event::Later { until },
        Standing::Answered { answer } => Event::Answered { answer },
        _ => panic!("a command led to {record:?}"),
    }
}
