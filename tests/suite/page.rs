//! The page, by way of its socket: who is let in, what is refused, what every answer carries.
//! What needs a browser is in tests/page.

mod browser;
pub(crate) mod client;
mod guard;
mod later;
mod limits;
