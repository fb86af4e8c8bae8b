//! What people write for quantities: every parser reads or refuses, and what it reads survives being
//! written down in its canonical form.
#![no_main]

use libfuzzer_sys::fuzz_target;
use quantity::{
    Area, AreaUnit, BushelWeight, BushelWeightUnit, Bushels, DryMass, FlowUnit, Length, LengthUnit,
    Mass, MassFlow, MassUnit, Moisture, MoistureUnit, Money, MoneyUnit, Price, PriceUnit, Speed,
    SpeedUnit, TestWeight, TestWeightUnit, Units, When, Yield, Zone,
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

/// As it is shown, in both systems, it still reads as a quantity of its kind.
macro_rules! shows {
    ($text:expr, $($kind:ty),+) => {$(
        if let Ok(read) = <$kind>::parse($text) {
            for units in [Units::Us, Units::Metric] {
                let shown = read.show(units);
                // rounding up at the very end of a range is the one way out of it
                if let Err(why) = <$kind>::parse(&shown) {
                    assert!(matches!(why, quantity::QuantityError::OutOfRange { .. }), "{shown}: {why}");
                }
            }
        }
    )+};
}

/// A bare number, given a unit: it only must not panic.
macro_rules! bare {
    ($text:expr, $($kind:ident in $units:ident),+) => {$(
        for &unit in $units::ALL {
            let _ = $kind::parse_or($text, unit);
        }
    )+};
}

fuzz_target!(|bytes: &[u8]| {
    // bytes that are not text reach no parser; the readers of files refuse them
    let text = &String::from_utf8_lossy(bytes);
    survives!(
        text,
        Mass,
        DryMass,
        Moisture,
        Money,
        Price,
        Length,
        Area,
        Speed,
        MassFlow,
        TestWeight,
        BushelWeight,
        Bushels,
        Yield,
        Zone
    );
    shows!(
        text,
        Mass,
        DryMass,
        Length,
        Area,
        Speed,
        MassFlow,
        TestWeight,
        BushelWeight
    );
    bare!(
        text, Mass in MassUnit, DryMass in MassUnit, Moisture in MoistureUnit, Money in MoneyUnit, Price in PriceUnit,
        Length in LengthUnit, Area in AreaUnit, Speed in SpeedUnit, MassFlow in FlowUnit,
        TestWeight in TestWeightUnit, BushelWeight in BushelWeightUnit
    );
    if let Ok(money) = Money::parse(text) {
        assert_eq!(Money::parse(&money.show()).as_ref(), Ok(&money));
    }
    let _ = quantity::parse_date(text);
    let _ = quantity::parse_clock(text);
    if let Ok(zone) = Zone::parse("America/Chicago") {
        if let Ok(when) = When::parse(text, &zone) {
            assert_eq!(when.canonical().parse::<When>().as_ref(), Ok(&when));
        }
    }
});
