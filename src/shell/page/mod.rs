//! The local page: the evening, the morning, today, the weeks and the settings in a browser on this
//! machine.
//!
//! The service owns the server and stops it by dropping it. The parts:
//!
//! - [`server`]: listening on loopback, with limits; [`guard`]: who may ask for what;
//! - [`keep`]: port and secrets that stay the same over restarts; [`access`]: tokens and cookies;
//! - [`site`]: what every view needs: files, store, clock, the way to the service;
//! - [`run`]: an evening in progress, kept and recorded;
//! - [`frame`]: what is around every view; [`assets`]: style and script, compiled in;
//! - [`views`]: one file a view.
//!
//! Every view is made here as plain HTML and works without script, but for the pacing itself.

mod access;
mod assets;
mod frame;
mod guard;
mod keep;
mod reply;
mod run;
mod server;
mod site;
mod views;

pub use server::Server;
pub use site::Asked;

/// The views a prompt can open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// Tonight's plan.
    Tonight,
    /// The guided evening.
    Follow,
    /// The morning's record.
    Morning,
    /// Today.
    Today,
    /// The weeks.
    Weeks,
    /// The settings.
    Settings,
}

impl View {
    /// Every view with its path.
    pub const ALL: [(&'static str, Self); 6] = [
        ("/", Self::Tonight),
        ("/follow", Self::Follow),
        ("/morning", Self::Morning),
        ("/today", Self::Today),
        ("/weeks", Self::Weeks),
        ("/settings", Self::Settings),
    ];

    /// Its path.
    pub fn path(self) -> &'static str {
        Self::ALL[self as usize].0
    }

    /// The view with a path.
    pub fn from_path(path: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(known, _)| *known == path)
            .map(|(_, view)| *view)
    }
}
