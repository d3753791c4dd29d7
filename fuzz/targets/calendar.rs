#![no_main]

use evenfall_fuzz::{BLOCK, ZONE, reading};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|octets: &[u8]| {
    reading::calendar(octets, &ZONE, &BLOCK);
});
