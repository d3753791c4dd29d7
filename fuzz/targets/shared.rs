#![no_main]

use evenfall_fuzz::reading;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|octets: &[u8]| {
    reading::shared(octets);
});
