//! What the targets share: the readers with what has to hold of them, and what they read with.

use std::sync::LazyLock;

use evenfall::pure::block::Block;
use evenfall::pure::civil::Zone;

#[path = "../../tests/suite/hostile/reading.rs"]
pub mod reading;

/// The zone of the person.
pub static ZONE: LazyLock<Zone> = LazyLock::new(|| Zone::embedded("Europe/Berlin").expect("zone"));
/// The block of the person.
pub static BLOCK: LazyLock<Block> = LazyLock::new(reading::nine_weeks);

/// Files are refused before they are read where they are no text.
pub fn text(octets: &[u8], read: impl FnOnce(&str)) {
    if let Ok(text) = std::str::from_utf8(octets) {
        read(text);
    }
}
