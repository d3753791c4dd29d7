//! Everything that touches the world: clock, files, store, bus, terminal, page.

pub mod guide;
pub mod zones;
