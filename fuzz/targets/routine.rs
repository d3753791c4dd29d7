#![no_main]

use evenfall::pure::routine::Kind;
use evenfall_fuzz::{reading, text};
use libfuzzer_sys::fuzz_target;

// One file is read as each of the three kinds: they share their format.
fuzz_target!(|octets: &[u8]| {
    text(octets, |text| {
        for kind in [Kind::Stretch, Kind::Pattern, Kind::Evening] {
            reading::routine_file(text, kind);
        }
    });
});
