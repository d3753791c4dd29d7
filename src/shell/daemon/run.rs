//! The loop of the service.

use std::future::pending;
use std::path::PathBuf;
use std::pin::Pin;

use sd_notify::NotifyState;
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::mpsc;

use super::core::{Core, Wish, kind_words};
use super::desk::BusDesk;
use super::give_back::{BUSY_START, BUSY_WITH_A_PROMPT, give_back};
use super::instance::Instance;
use super::ledger::Ledger;
use super::{open, report, supervisor};
use crate::pure::civil::Instant;
use crate::pure::complaint::Complaint;
use crate::pure::routine::library::Kind;
use crate::pure::step::{Input, Reply};
use crate::pure::words::{self, Words};
use crate::shell::clock::{Clock, SystemClock};
use crate::shell::control::{self, Answering, Listener, Named, Request};
use crate::shell::failure::Failure;
use crate::shell::home::Home;
use crate::shell::notify::{self, Report};
use crate::shell::page::{self, View};
use crate::shell::timer::WallTimer;
use crate::shell::watch::Watch;
use crate::shell::world::{Checked, DEFAULT_BLOCK_BEGUN, World};

/// A line on standard output. A reader that went away must not end the service, as `println!` would.
macro_rules! say {
    ($($words:tt)*) => {{
        let _ = std::io::Write::write_fmt(
            &mut std::io::stdout(),
            format_args!("{}\n", format_args!($($words)*)),
        );
    }};
}

/// A line on standard error, by the same rule.
macro_rules! log {
    ($($words:tt)*) => {{
        let _ = std::io::Write::write_fmt(
            &mut std::io::stderr(),
            format_args!("{}\n", format_args!($($words)*)),
        );
    }};
}

/// Runs the service in the foreground until it is asked to stop.
pub fn run(home: &Home) -> Result<(), Failure> {
    home.make()?;
    let instance = Instance::take(home)?;
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|error| Failure::failed(format!("Cannot start: {error}. Try again.")))?;
    let result = runtime.block_on(serve(home));
    // Calls to a desktop that hangs are not waited for.
    runtime.shutdown_background();
    drop(instance);
    result
}

/// What wakes the service.
enum Happened {
    Timer,
    Desktop(Report),
    Asked(Request, Answering),
    PageAsked(page::Asked),
    FilesChanged,
    /// What a start or a prompt needs is done, and whatever was due is on the screen.
    Rests,
    Stop,
}

/// Everything the loop holds.
struct Running {
    home: Home,
    core: Core<BusDesk>,
    settings_start: crate::pure::settings::StartWith,
    /// Complaints about files that were edited while running; the last good ones stay in force.
    complaints: Vec<String>,
    /// Why no prompt can show, as it was at the start and until one did.
    nothing_shows: Option<String>,
    announced: Option<String>,
    /// The page, while it is on, with the settings it was started by.
    page: Option<(crate::pure::settings::Page, page::Server)>,
    page_service: mpsc::UnboundedSender<page::Asked>,
}

async fn serve(home: &Home) -> Result<(), Failure> {
    let clock = SystemClock;
    let (world, routine_complaints) = World::load(home, clock.now())?;
    for complaint in routine_complaints {
        log!("{complaint}");
    }
    let mut ledger = Ledger::open(&home.diary(), clock.now());
    if world.on_default_block {
        ledger.note_once(
            DEFAULT_BLOCK_BEGUN,
            &world.zone.local(clock.now()).date_naive().to_string(),
            clock.now(),
        );
    }
    let (jobs, desktop_jobs) = mpsc::unbounded_channel();
    let (reports, mut desktop) = mpsc::unbounded_channel();
    tokio::spawn(notify::run(desktop_jobs, reports));
    let (page_service, mut page_asked) = mpsc::unbounded_channel();
    let trouble = |doing: &str, error: &std::io::Error| {
        Failure::failed(format!(
            "{doing}: {error}. Start again; evenfall doctor looks for the cause."
        ))
    };
    let mut listener = Listener::bind(&home.socket())
        .map_err(|e| trouble("Cannot open the control socket", &e))?;
    let timer = WallTimer::new().map_err(|e| trouble("Cannot make the timer", &e))?;
    let folders = watched_folders(home);
    let watch = Watch::new(folders.iter().map(PathBuf::as_path))
        .map_err(|e| trouble("Cannot watch files", &e))?;
    let mut stop_term =
        signal(SignalKind::terminate()).map_err(|e| trouble("Cannot listen to signals", &e))?;
    let mut stop_int =
        signal(SignalKind::interrupt()).map_err(|e| trouble("Cannot listen to signals", &e))?;
    let mut running = Running {
        home: home.clone(),
        core: Core::new(ledger, world.plan(), BusDesk(jobs), clock.now()),
        settings_start: world.settings.evening.start.clone(),
        complaints: Vec::new(),
        nothing_shows: None,
        announced: None,
        page: None,
        page_service,
    };
    running.set_page(world.settings.page);
    if world.on_defaults {
        log!("{}", crate::shell::cli::ON_DEFAULTS);
    }
    drop(world);
    running.announce_page();
    running.core.start(clock.now());
    supervisor::tell(NotifyState::Ready);
    let mut busy = Some(Box::pin(tokio::time::sleep(BUSY_START)));
    loop {
        running.settle(clock.now());
        running.core.look_ahead();
        timer
            .arm(running.core.wake())
            .map_err(|e| trouble("Cannot set the timer", &e))?;
        let happened = tokio::select! {
            woke = timer.wait() => {
                woke.map_err(|e| trouble("Cannot wait for the timer", &e))?;
                Happened::Timer
            }
            report = desktop.recv() => match report {
                Some(report) => Happened::Desktop(report),
                None => pending().await,
            },
            Some((request, answering)) = listener.next() => Happened::Asked(request, answering),
            Some(asked) = page_asked.recv() => Happened::PageAsked(asked),
            changed = watch.changed(matters) => {
                changed.map_err(|e| trouble("Cannot watch files", &e))?;
                Happened::FilesChanged
            }
            () = over(busy.as_mut()) => {
                busy = None;
                Happened::Rests
            }
            _ = stop_term.recv() => Happened::Stop,
            _ = stop_int.recv() => Happened::Stop,
        };
        if let Happened::Desktop(_) = &happened {
            busy.get_or_insert_with(|| Box::pin(tokio::time::sleep(BUSY_WITH_A_PROMPT)));
        }
        if !running.take(happened, clock.now()) {
            break;
        }
        // What is to be sent goes out before this loop works out what is next.
        tokio::task::yield_now().await;
    }
    supervisor::tell(NotifyState::Stopping);
    Ok(())
}

/// The end of a wait, if there is one to wait for.
async fn over(wait: Option<&mut Pin<Box<tokio::time::Sleep>>>) {
    match wait {
        Some(wait) => wait.await,
        None => pending().await,
    }
}

fn watched_folders(home: &Home) -> Vec<PathBuf> {
    let routines = home.routines();
    let mut folders = vec![home.config.clone(), PathBuf::from("/etc"), routines.clone()];
    folders.extend(Kind::ALL.map(|(folder, _)| routines.join(folder)));
    folders
}

/// Files whose change means something: the person's TOML files, and the link to the system's zone.
fn matters(name: &str) -> bool {
    name.ends_with(".toml") || name == "localtime" || name == "timezone"
}

impl Running {
    fn take(&mut self, happened: Happened, now: Instant) -> bool {
        match happened {
            Happened::Timer => {
                self.notice_zone(now);
                self.core.act(now, Input::Woke);
            }
            Happened::Desktop(report) => self.desktop(report, now),
            Happened::Asked(request, answering) => {
                let reply = self.answer(&request, now);
                // Whoever asks and does not listen holds up nobody but itself.
                tokio::spawn(async move { answering.say(&reply).await });
            }
            Happened::PageAsked(page::Asked { request, answering }) => {
                let _ = answering.send(self.answer(&request, now));
            }
            Happened::FilesChanged => self.reload(now),
            Happened::Rests => {
                self.core.ledger().begin_journal();
                give_back();
            }
            Happened::Stop => return false,
        }
        true
    }

    /// The zone is read again at every wake: the kernel tells of a set clock, not of a set zone.
    fn notice_zone(&mut self, now: Instant) {
        if self.core.plan.settings.timezone != crate::pure::settings::ZoneChoice::System {
            return;
        }
        let zones = crate::shell::zones::ZoneFiles::of_machine();
        if zones.system().zone.name() != self.core.plan.zone.name() {
            self.reload(now);
        }
    }

    fn desktop(&mut self, report: Report, now: Instant) {
        if let Report::Shown { result: Ok(_), .. } | Report::ServerAppeared = &report {
            self.nothing_shows = None;
        }
        let input = match report {
            Report::NothingShows(why) => {
                let said = format!(
                    "No prompt can show: {why}. It shows as soon as there is one; evenfall doctor says what helps."
                );
                log!("{said}");
                self.nothing_shows = Some(said);
                return;
            }
            Report::Shown {
                key,
                showing,
                result,
            } => Input::ShowResult {
                key,
                showing,
                result: result.map_err(|_| ()),
            },
            Report::Reacted { key, button: None } => Input::Reply {
                key,
                reply: Reply::Dismiss,
            },
            Report::Reacted {
                key,
                button: Some(button),
            } => {
                let Some(reply) = words::reply_of(key.kind, &button) else {
                    return;
                };
                Input::Reply { key, reply }
            }
            Report::ServerAppeared => Input::ServerAppeared,
            Report::ServerGone => Input::ServerGone,
        };
        self.core.act(now, input);
    }

    fn answer(&mut self, request: &Request, now: Instant) -> control::Reply {
        let said = match request {
            Request::Status => {
                let address = self.page.as_ref().map(|(_, server)| server.address());
                let mut status =
                    report::status(&self.core, now, &self.complaints, address.as_deref());
                status["nothing_shows"] = self.nothing_shows.as_deref().into();
                return control::Reply {
                    ok: true,
                    said: "The service runs.".to_owned(),
                    status: Some(status),
                };
            }
            Request::Reread => {
                self.reload(now);
                Ok("Read.".to_owned())
            }
            Request::PageAddress => return self.page_address(),
            Request::Later { minutes, prompt } => self.put_off(*minutes, prompt.as_ref(), now),
            Request::NotTonight => self.core.answer_standing(now, Reply::NotTonight),
        };
        let ok = said.is_ok();
        control::Reply {
            ok,
            said: said.unwrap_or_else(|said| said),
            status: None,
        }
    }

    fn put_off(
        &mut self,
        minutes: u32,
        prompt: Option<&Named>,
        now: Instant,
    ) -> Result<String, String> {
        let Some(named) = prompt else {
            return self.core.answer_standing(now, Reply::Later { minutes });
        };
        let key = named.key().ok_or_else(|| {
            format!(
                "There is no prompt \"{}\". evenfall status tells which stand.",
                named.kind
            )
        })?;
        self.core.put_off(now, key, minutes)
    }

    /// Takes over changed files; broken ones are complained of once, and the last good ones stay.
    fn reload(&mut self, now: Instant) {
        if let Some((_, server)) = &self.page {
            server.forget();
        }
        match World::check(&self.home, now) {
            Ok(Checked {
                world,
                complaints,
                routine_complaints,
            }) if complaints.is_empty() => {
                self.complain(
                    routine_complaints
                        .iter()
                        .map(Complaint::to_string)
                        .collect(),
                );
                self.settings_start = world.settings.evening.start.clone();
                self.set_page(world.settings.page);
                self.core.reload(now, world.plan());
            }
            Ok(Checked { complaints, .. }) => {
                self.complain(complaints.iter().map(Complaint::to_string).collect());
                let plan = self.core.plan.clone();
                self.core.reload(now, plan);
            }
            Err(failure) => self.complain(vec![failure.message]),
        }
    }

    fn complain(&mut self, complaints: Vec<String>) {
        if complaints == self.complaints || complaints.is_empty() {
            self.complaints = complaints;
            return;
        }
        let more = match complaints.len() {
            0 | 1 => String::new(),
            count => format!(" ({} more: evenfall check)", count - 1),
        };
        let first = complaints.first().cloned().unwrap_or_default();
        let body = format!("{first}{more} The last good files stay in force.");
        log!("{body}");
        use super::desk::Desk;
        self.core.desk.say(Words {
            summary: "A file needs a look".to_owned(),
            body,
        });
        self.complaints = complaints;
    }

    /// Starts, restarts or stops the page where the settings changed. A page that cannot start is said
    /// and left out: prompts matter more.
    fn set_page(&mut self, wanted: crate::pure::settings::Page) {
        if self.page.as_ref().is_some_and(|(had, _)| *had == wanted) {
            return;
        }
        let had = self.page.take().is_some();
        if !wanted.on {
            return;
        }
        match page::Server::start(&self.home, wanted.port, self.page_service.clone()) {
            Ok(server) => {
                self.page = Some((wanted, server));
                if had {
                    self.announce_page();
                }
            }
            Err(failure) => log!("{failure}"),
        }
    }

    fn fresh_address(&self, view: View) -> Option<String> {
        let (_, server) = self.page.as_ref()?;
        match server.fresh_address(view) {
            Ok(address) => Some(address),
            Err(failure) => {
                log!("{failure}");
                None
            }
        }
    }

    /// Not into the journal: it has other readers than the person, and keeps what it is given.
    fn announce_page(&self) {
        if supervisor::is_unit() {
            say!("The page's address is told by: evenfall page");
        } else if let Some(address) = self.fresh_address(View::Tonight) {
            say!("The page, to open once within ten minutes: {address}");
        }
    }

    fn page_address(&self) -> control::Reply {
        match self.fresh_address(View::Tonight) {
            Some(address) => control::Reply {
                ok: true,
                said: "The address opens the page once, within ten minutes.".to_owned(),
                status: Some(serde_json::json!({ "page": address })),
            },
            None => control::Reply::refused(
                "The page is off. Write on = true under [page] in the settings.",
            ),
        }
    }

    /// After every input: wishes carried out, the log written, the next prompt announced when it changed.
    fn settle(&mut self, now: Instant) {
        for Wish::Open(key) in self.core.take_wishes() {
            let address = self.fresh_address(open::view_for(key.kind));
            if let Some(words) = open::open(&self.settings_start, address.as_deref(), &key) {
                use super::desk::Desk;
                self.core.desk.say(words);
            }
        }
        for line in self.core.take_said() {
            log!("{line}");
        }
        let next = self.core.plan.next_after(now).map(|due| {
            let zone = self.core.plan.zone_of(due.key.night);
            format!(
                "Next: {}, {}.",
                kind_words(due.key.kind),
                zone.local(due.due_at).format("%a %d %b %H:%M")
            )
        });
        if next != self.announced {
            let line = next.as_deref().unwrap_or("Nothing is planned.");
            supervisor::tell(NotifyState::Status(line));
            if next.is_some() {
                say!("{line}");
            }
            self.announced = next;
        }
    }
}
