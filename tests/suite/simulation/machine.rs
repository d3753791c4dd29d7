//! A machine in virtual time: a clock that may be set, a service that may be killed between any two
//! of its effects, a desktop that comes and goes, and a person who answers or does not.

#[path = "machine/desktop.rs"]
mod desktop;
#[path = "machine/disk.rs"]
mod disk;
#[path = "machine/mishaps.rs"]
mod mishaps;
#[path = "machine/person.rs"]
mod person;

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use chrono::NaiveDate;
use evenfall::pure::agenda::{Due, Plan};
use evenfall::pure::civil::Instant;
use evenfall::pure::prompt::{Key, Record, Standing, Token};
use evenfall::pure::settings::Settings;
use evenfall::pure::step::{Action, Input};
use evenfall::shell::daemon::{Core, Ledger};
use evenfall::shell::store::Store;

use self::disk::Disk;
use super::oracle::{Oracle, instant};
use super::plans;
use super::sabotage::Sabotage;
use super::screen::{FakeDesk, Screen};
use super::weather::Weather;
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
    /// What a power cut leaves.
    pub disk: Disk,
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
            disk: Disk::default(),
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
        let mut actions = core.decide(now, input.clone());
        if let Some(sabotage) = self.sabotage {
            actions = sabotage.apply(now, &input, actions, &mut self.held);
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
        let written = match &action {
            Action::Record { events } => Some(events.clone()),
            // A morning is waited for, and nothing of it is on the screen.
            Action::RecordUsualMorning { .. } => None,
            _ => Some(Vec::new()),
        };
        core.carry_out(now, action);
        core.take_wishes();
        let store = core.ledger().store().expect("open");
        match written {
            None => self.disk.waited(store),
            Some(events) if events.is_empty() => {}
            Some(events) => self.disk.wrote(store, &events),
        }
        let calls = std::mem::take(&mut self.screen.borrow_mut().calls);
        for call in calls {
            self.deliver(call);
        }
    }

    fn after_step(&mut self, now: Instant) {
        let Life::Up(core) = &mut self.life else {
            return;
        };
        if self.sabotage.is_some_and(Sabotage::goes_by_the_store) {
            core.replan(now, self.plan.clone());
        }
        self.oracle
            .stepped(now, &self.plan, core.wake(), core.records());
        self.check_screen(now);
    }

    /// What stands on the screen and what the service believes of it.
    fn check_screen(&mut self, now: Instant) {
        let Life::Up(core) = &self.life else { return };
        let screen = self.screen.borrow();
        let mut complaints = Vec::new();
        // What a server that hangs was asked to take away is still there.
        let told = if screen.hung {
            BTreeMap::new()
        } else {
            screen.told_of()
        };
        for (key, count) in told {
            if count > 1 {
                complaints.push(format!("{key} stands {count} times"));
            }
            let open = core.records().get(&key).is_some_and(|record: &Record| {
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
                && !screen.holds(key)
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

    /// The power goes, and with it the screen and what the disk did not have.
    fn cut_power(&mut self) {
        self.kill();
        self.screen.borrow_mut().stop_server();
        let Life::Down(store) = &mut self.life else {
            return;
        };
        let lost = self.disk.cut(&mut self.chance, store);
        self.note(|| format!("lost with the power: {lost:?}"));
        for (key, event) in lost.iter().rev() {
            self.oracle.forgotten(key, event);
        }
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
}
