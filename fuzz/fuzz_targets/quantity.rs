//! What people write for quantities: every parser reads or refuses, and what it reads survives being
//! written down in its canonical form.
#![no_main]

use libfuzzer_sys::fuzz_target;
use quantity::{
    Area, BushelWeight, DryMass, Length, Mass, MassFlow, Moisture, Money, Price, Speed, TestWeight, When, Zone,
};

/// Reads, and reads the canonical text of what was read.
macro_rules! survives {
    ($text:expr, $($kind:ty),+) => {$(
        if let Ok(read) = <$kind>::parse($text) {
            let canonical = read.canonical();
            let again: $kind = serde_json::from_value(serde_json::Value::String(canonical.clone()))
                .unwrap_or_else(|why| panic!("{} '{}' does not read back: {why}", stringify!($kind), canonical));
            assert_eq!(again, read, "{} {canonical}", stringify!($kind));
        }
    )+};
}

fuzz_target!(|text: &str| {
    survives!(text, Mass, DryMass, Moisture, Money, Price, Length, Area, Speed, MassFlow, TestWeight, BushelWeight);
    let _ = quantity::parse_date(text);
    let _ = quantity::parse_clock(text);
    if let Ok(zone) = Zone::parse("America/Chicago") {
        let _ = When::parse(text, &zone);
    }
    let _ = Zone::parse(text);
});
