//! What every view needs: the person's files, the store, the clock, and the way to the service.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time;

use tokio::sync::{mpsc, oneshot};

use super::access::Tokens;
use super::keep::{Kept, Secret};
use crate::pure::civil::Instant;
use crate::pure::routine::compose::Memory;
use crate::shell::clock::{Clock, SystemClock};
use crate::shell::control::{Reply, Request};
use crate::shell::failure::Failure;
use crate::shell::home::Home;
use crate::shell::store::Store;
use crate::shell::world::{Checked, World};

/// What the page asks of the service, and where the answer goes.
#[derive(Debug)]
pub struct Asked {
    /// What is asked.
    pub request: Request,
    /// Where the answer goes.
    pub answering: oneshot::Sender<Reply>,
}

/// The person's files as the page uses them.
#[derive(Clone, Debug)]
pub struct Files {
    /// The last good state of them.
    pub world: Arc<World>,
    /// What there is to complain of.
    pub complaints: Arc<[String]>,
    read_on: chrono::NaiveDate,
}

/// Everything behind the views.
#[derive(Debug)]
pub struct Site {
    /// The person's home.
    pub home: Home,
    /// The port it is reached at.
    pub port: u16,
    /// Secrets.
    pub kept: Kept,
    store: Mutex<Store>,
    files: Mutex<Option<Files>>,
    stale: std::sync::atomic::AtomicBool,
    tokens: Mutex<Tokens>,
    composed: Mutex<Memory>,
    service: mpsc::UnboundedSender<Asked>,
}

/// A lock whose holder panicked still guards usable values: each change is one statement.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Site {
    /// A site over its own connection to the store.
    pub fn new(
        home: &Home,
        port: u16,
        kept: Kept,
        service: mpsc::UnboundedSender<Asked>,
    ) -> Result<Self, Failure> {
        Ok(Self {
            home: home.clone(),
            port,
            kept,
            store: Mutex::new(Store::open(&home.diary())?),
            files: Mutex::new(None),
            stale: std::sync::atomic::AtomicBool::new(false),
            tokens: Mutex::new(Tokens::default()),
            composed: Mutex::new(Memory::default()),
            service,
        })
    }

    /// Now.
    pub fn now(&self) -> Instant {
        SystemClock.now()
    }

    /// The store. Not to be held over a wait.
    pub fn store(&self) -> MutexGuard<'_, Store> {
        lock(&self.store)
    }

    /// What was composed so far; the same evening is not composed again at every look.
    pub fn composed(&self) -> MutexGuard<'_, Memory> {
        lock(&self.composed)
    }

    /// The files, read again only after [`Self::forget`] or on a new day. Files that cannot be used
    /// leave the last good ones in force.
    pub fn files(&self, now: Instant) -> Result<Files, Failure> {
        use std::sync::atomic::Ordering;
        let mut kept = lock(&self.files);
        if self.stale.swap(false, Ordering::AcqRel)
            && let Some(files) = kept.as_mut()
        {
            files.read_on = chrono::NaiveDate::MIN;
        }
        if let Some(files) = kept.as_ref()
            && files.read_on == files.world.zone.local(now).date_naive()
        {
            return Ok(files.clone());
        }
        let Checked {
            world,
            complaints,
            routine_complaints,
        } = World::check(&self.home, now)?;
        let world = match kept.as_ref() {
            Some(last) if !complaints.is_empty() => last.world.clone(),
            _ => Arc::new(world),
        };
        let said = complaints.iter().chain(&routine_complaints);
        let files = Files {
            read_on: world.zone.local(now).date_naive(),
            complaints: said.map(ToString::to_string).collect(),
            world,
        };
        *kept = Some(files.clone());
        Ok(files)
    }

    /// The files changed.
    pub fn forget(&self) {
        self.stale.store(true, std::sync::atomic::Ordering::Release);
    }

    /// Asks the service; it answers within the same process, so this waits only for its turn.
    pub async fn ask(&self, request: Request) -> Result<String, Failure> {
        let gone = || Failure::failed("The service is stopping. Load the page again in a moment.");
        let (answering, answer) = oneshot::channel();
        self.service
            .send(Asked { request, answering })
            .map_err(|_| gone())?;
        let reply = answer.await.map_err(|_| gone())?;
        if reply.ok {
            Ok(reply.said)
        } else {
            Err(Failure::failed(reply.said))
        }
    }

    /// Tells the service that something was written.
    pub async fn tell(&self) {
        // What was written is safe in the store; a service that is stopping reads it at its next start.
        let _ = self.ask(Request::Reread).await;
    }

    /// A token that opens the page once.
    pub fn new_token(&self, now: time::Instant) -> Result<Secret, Failure> {
        let token = Secret::new().map_err(|error| {
            Failure::failed(format!(
                "No random numbers for the page: {error}. Try again."
            ))
        })?;
        lock(&self.tokens).add(token.clone(), now);
        Ok(token)
    }

    /// Takes a token back.
    pub fn redeem(&self, given: &str, now: time::Instant) -> bool {
        lock(&self.tokens).redeem(given, now)
    }
}
