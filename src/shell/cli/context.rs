//! What every command starts from: the home, the moment, the files.

use std::cell::Cell;
use std::path::Path;

use chrono::{DateTime, NaiveDateTime};

use super::ON_DEFAULTS;
use super::lines::for_error;
use crate::pure::civil::{Instant, Resolved, Zone};
use crate::shell::clock::{Clock, SystemClock};
use crate::shell::control::{self, Request};
use crate::shell::failure::Failure;
use crate::shell::home::Home;
use crate::shell::store::Store;
use crate::shell::world::World;

/// The start of a command.
#[derive(Debug)]
pub struct Context {
    home: Home,
    at: Option<String>,
    json: bool,
    told_of_defaults: Cell<bool>,
}

impl Context {
    /// Finds the home. `at` is read later, because it may be meant in the person's zone.
    pub fn new(home: Option<&Path>, at: Option<String>, json: bool) -> Result<Self, Failure> {
        let home = match home {
            Some(folder) => Home::at(folder),
            None => Home::of_user()?,
        };
        Ok(Self {
            home,
            at,
            json,
            told_of_defaults: Cell::new(false),
        })
    }

    /// The home.
    pub fn home(&self) -> &Home {
        &self.home
    }

    /// Whether JSON was asked for.
    pub fn json(&self) -> bool {
        self.json
    }

    /// Refuses `--at` for a command that lives in real time.
    pub fn refuse_at(&self, command: &str) -> Result<(), Failure> {
        match self.at {
            Some(_) => Err(Failure::wrong(format!(
                "--at does not go with {command}. Leave it out."
            ))),
            None => Ok(()),
        }
    }

    /// The moment and the files, read once for the command. On defaults this says so.
    pub fn open(&self) -> Result<(Instant, World), Failure> {
        // The files are needed to know the zone that --at is meant in. Only the default block's start
        // depends on the date, so only with it they are read again once the moment is known.
        let rough = match &self.at {
            Some(at) => read_at(at, &Zone::utc())?,
            None => SystemClock.now(),
        };
        let (mut world, complaints) = World::load(&self.home, rough)?;
        let mut now = rough;
        if let Some(at) = &self.at {
            now = read_at(at, &world.zone)?;
            if now != rough && world.on_default_block {
                world = World::load(&self.home, now)?.0;
            }
        }
        for complaint in complaints {
            eprintln!("{}", for_error(&complaint.to_string()));
        }
        if world.on_defaults && !self.told_of_defaults.replace(true) {
            eprintln!("{}", for_error(ON_DEFAULTS));
        }
        Ok((now, world))
    }

    /// The moment alone, for commands that report on broken files too.
    pub fn rough_now(&self) -> Result<Instant, Failure> {
        match &self.at {
            Some(at) => read_at(at, &Zone::utc()),
            None => Ok(SystemClock.now()),
        }
    }

    /// The store.
    pub fn store(&self) -> Result<Store, Failure> {
        self.home.make()?;
        Store::open(&self.home.diary())
    }

    /// Asks the running service, if there is one.
    pub fn ask(&self, request: &Request) -> Result<Option<control::Reply>, Failure> {
        control::ask(&self.home.socket(), request)
    }

    /// Tells a running service that something was written. Nothing is lost if it cannot be told: it
    /// reads the store again at its next start.
    pub fn tell_service(&self) {
        if let Err(failure) = self.ask(&Request::Reread) {
            eprintln!("{}", for_error(&failure.to_string()));
        }
    }
}

/// Reads `--at`.
pub fn read_at(text: &str, zone: &Zone) -> Result<Instant, Failure> {
    if let Ok(at) = DateTime::parse_from_rfc3339(text) {
        return Ok(at.to_utc());
    }
    let local = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"];
    let wall = local
        .iter()
        .find_map(|form| NaiveDateTime::parse_from_str(text, form).ok());
    match wall.map(|wall| zone.resolve(wall)) {
        Some(
            Resolved::Exact(at)
            | Resolved::Skipped { moved: at }
            | Resolved::Repeated { first: at, .. },
        ) => Ok(at),
        None => Err(Failure::wrong(format!(
            "--at {text}: this is no moment. Write 2026-01-05T21:30 (in your zone) or 2026-01-05T21:30:00+01:00."
        ))),
    }
}
