#![no_main]

use evenfall_fuzz::{reading, text};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|octets: &[u8]| {
    text(octets, |text| {
        reading::request(text);
    });
});
