//! Bytes → a record: verified or refused, and what holds is found again by its digest.
#![no_main]

use libfuzzer_sys::fuzz_target;
use liftsheet::record;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(found) = record::verify(bytes) {
        assert!(found.entries.is_empty() || found.line_of(found.last_digest()).is_some());
    }
});
