//! Everything that touches the world: clock, files, store, bus, terminal, page.

pub mod cli;
pub mod clock;
pub mod compared;
pub mod control;
pub mod daemon;
pub mod day;
pub mod failure;
pub mod given;
pub mod guide;
pub mod home;
pub mod known;
pub mod look_back;
pub mod morning;
pub mod notify;
pub mod page;
pub mod pain;
pub mod random;
pub mod readable;
pub mod store;
pub mod timer;
pub mod watch;
pub mod world;
pub mod zones;
