//! Everything that touches the world: clock, files, store, bus, terminal, page.

pub mod zones;
