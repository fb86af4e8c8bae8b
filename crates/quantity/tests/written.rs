//! What people write, and what each parser makes of it: the table is the contract.

use quantity::{
    Area, AreaUnit, BushelWeight, BushelWeightUnit, DryMass, FlowUnit, Length, LengthUnit, Mass,
    MassFlow, MassUnit, Moisture, MoistureUnit, Money, MoneyUnit, Price, PriceUnit, QuantityError,
    Speed, SpeedUnit, TestWeight, TestWeightUnit, parse_clock, parse_date,
};

/// Canonical text, or the kind of refusal.
fn outcome<T>(
    read: Result<T, QuantityError>,
    canonical: impl Fn(&T) -> String,
) -> Result<String, &'static str> {
    read.map(|value| canonical(&value))
        .map_err(|error| match error {
            QuantityError::Unreadable { .. } => "unreadable",
            QuantityError::UnitMissing { .. } => "unit missing",
            QuantityError::OutOfRange { .. } => "out of range",
            _ => "something else",
        })
}

fn read(what: &str, text: &str) -> Result<String, &'static str> {
    match what {
        "length" => outcome(Length::parse(text), |q| q.canonical()),
        "area" => outcome(Area::parse(text), |q| q.canonical()),
        "speed" => outcome(Speed::parse(text), |q| q.canonical()),
        "flow" => outcome(MassFlow::parse(text), |q| q.canonical()),
        "mass" => outcome(Mass::parse(text), |q| q.canonical()),
        "dry" => outcome(DryMass::parse(text), |q| q.canonical()),
        "moisture" => outcome(Moisture::parse(text), |q| q.canonical()),
        "money" => outcome(Money::parse(text), |q| q.canonical()),
        "price" => outcome(Price::parse(text), |q| q.canonical()),
        "bushel" => outcome(BushelWeight::parse(text), |q| q.canonical()),
        "test weight" => outcome(TestWeight::parse(text), |q| q.canonical()),
        "date" => outcome(parse_date(text), ToString::to_string),
        "clock" => outcome(parse_clock(text), ToString::to_string),
        other => panic!("no such quantity as {other}"),
    }
}

const UNDERSTOOD: &[(&str, &str, &str)] = &[
    ("length", "30ft", "9.144 m"),
    ("length", "30 ft", "9.144 m"),
    ("length", "30'", "9.144 m"),
    ("length", "360in", "9.144 m"),
    ("length", "360 \"", "9.144 m"),
    ("length", "9.1 m", "9.1 m"),
    ("length", "9.1\u{a0}m", "9.1 m"),
    ("length", "30 Feet", "9.144 m"),
    ("length", "-0.5 m", "-0.5 m"),
    ("length", "\u{2212}50 cm", "-0.5 m"),
    ("length", "1 mi", "1609.344 m"),
    ("length", "1,320 ft", "402.336 m"),
    ("length", "8 ft 6 in", "2.5908 m"),
    ("length", "8' 6\"", "2.5908 m"),
    ("length", "8'6\"", "2.5908 m"),
    ("length", ".75 m", "0.75 m"),
    ("area", "80 ac", "323748.513792 m2"),
    ("area", "32 ha", "320000 m2"),
    ("area", "1 acre", "4046.8564224 m2"),
    ("area", "1,000 sq ft", "92.90304 m2"),
    ("area", "0.5 Ha", "5000 m2"),
    ("speed", "4.1 mph", "1.832864 m/s"),
    ("speed", "9 km/h", "2.5 m/s"),
    ("speed", "9 kph", "2.5 m/s"),
    ("speed", "2.5m/s", "2.5 m/s"),
    ("speed", "10 fps", "3.048 m/s"),
    ("flow", "12 lb/s", "5.44310844 kg/s"),
    ("flow", "5.4 kg/s", "5.4 kg/s"),
    ("flow", "36 t/h", "10 kg/s"),
    ("mass", "52,220 lb", "23686.59356140 kg"),
    ("mass", "52220#", "23686.59356140 kg"),
    ("mass", "52220 LBS", "23686.59356140 kg"),
    ("mass", "52\u{202f}220 lb.", "23686.59356140 kg"),
    ("mass", "23.7 t", "23700.00000000 kg"),
    ("mass", "23.7 tonnes", "23700.00000000 kg"),
    ("mass", "23,700 kg", "23700.00000000 kg"),
    ("mass", "26 short tons", "23586.80324000 kg"),
    ("mass", "522.2 cwt", "23686.59356140 kg"),
    ("mass", "-100 lb", "-45.35923700 kg"),
    ("mass", "0 lb", "0.00000000 kg"),
    ("mass", "0.000000005 kg", "0.00000000 kg"),
    ("mass", "0.000000015 kg", "0.00000002 kg"),
    ("mass", "0.0000000050000000000001 kg", "0.00000001 kg"),
    ("mass", "100,000 t", "100000000.00000000 kg"),
    ("dry", "44,126 lb dry", "20015.21691862 kg"),
    ("dry", "20 t", "20000.00000000 kg"),
    ("moisture", "14.3%", "14.3 %"),
    ("moisture", "14.3 %", "14.3 %"),
    ("moisture", " 15 pct ", "15 %"),
    ("moisture", "18.25 % wb", "18.25 %"),
    ("moisture", "0.143 fraction", "14.3 %"),
    ("moisture", "0 %", "0 %"),
    ("moisture", "99%", "99 %"),
    ("moisture", "14.30005 %", "14.3 %"),
    ("moisture", "14.30015 %", "14.3002 %"),
    ("money", "$1,234.50", "1234.5000"),
    ("money", "$ 4.15", "4.1500"),
    ("money", "-$4.15", "-4.1500"),
    ("money", "$-4.15", "-4.1500"),
    ("money", "\u{2212}$4.15", "-4.1500"),
    ("money", "4.15 USD", "4.1500"),
    ("money", "65 cents", "0.6500"),
    ("money", "5.5¢", "0.0550"),
    ("money", "$0.00005", "0.0000"),
    ("money", "$0.00015", "0.0002"),
    ("price", "$4.15/bu", "4.15 /bu"),
    ("price", "$4.15 per bushel", "4.15 /bu"),
    ("price", "415 ¢/bu", "4.15 /bu"),
    ("price", "-$0.35/bu", "-0.35 /bu"),
    ("price", "4.1525 /bu", "4.1525 /bu"),
    ("bushel", "60 lb/bu", "60 lb/bu"),
    ("bushel", "56lb per bu", "56 lb/bu"),
    ("bushel", "25.4 kg/bu", "25.40000000 kg/bu"),
    ("test weight", "57.5 lb/bu", "57.5 lb/bu"),
    ("test weight", "57.5#/bu", "57.5 lb/bu"),
    ("test weight", "74.2 kg/hL", "57.645128 lb/bu"),
    ("test weight", "742 g/L", "57.645128 lb/bu"),
    ("date", "2026-10-14", "2026-10-14"),
    ("date", "Oct 14, 2026", "2026-10-14"),
    ("date", "14 October 2026", "2026-10-14"),
    ("clock", "19:20", "19:20:00"),
    ("clock", "7:20 PM", "19:20:00"),
    ("clock", "7 a.m.", "07:00:00"),
    ("clock", "12:05 am", "00:05:00"),
    ("clock", "12 pm", "12:00:00"),
];

const REFUSED: &[(&str, &str, &str)] = &[
    ("length", "30", "unit missing"),
    ("length", "", "unreadable"),
    ("length", "ft", "unreadable"),
    ("length", "30 lb", "unreadable"),
    ("length", "1,23 m", "unreadable"),
    ("length", "NaN ft", "unreadable"),
    ("length", "inf ft", "unreadable"),
    ("length", "1e308 ft", "unreadable"),
    ("length", "1e3 ft", "unreadable"),
    ("length", "99999999 ft 6 in", "out of range"),
    ("length", "8 ft 13 in", "unreadable"),
    ("length", "2,000 km", "out of range"),
    ("length", "30 ft 6", "unreadable"),
    ("area", "80", "unit missing"),
    ("area", "-80 ac", "out of range"),
    ("area", "80 ft", "unreadable"),
    ("area", "3,000,000 ac", "out of range"),
    ("speed", "4.1", "unit missing"),
    ("speed", "900 mph", "out of range"),
    ("flow", "12 lb", "unreadable"),
    ("mass", "52,220", "unit missing"),
    ("mass", "26 tons", "unreadable"),
    ("mass", "26 T", "unreadable"),
    ("mass", "1,23 lb", "unreadable"),
    ("mass", "52,2200 lb", "unreadable"),
    ("mass", "52 220 lb", "unreadable"),
    ("mass", "52.220,5 lb", "unreadable"),
    ("mass", "44,126 lb dry", "unreadable"),
    ("mass", "1e308 lb", "unreadable"),
    ("mass", "100,001 t", "out of range"),
    ("mass", "1234567890123456789012345 lb", "unreadable"),
    ("mass", "999999999999999999999999 lb", "out of range"),
    ("mass", "--5 lb", "unreadable"),
    ("mass", "lots", "unreadable"),
    ("mass", "٣ lb", "unreadable"),
    ("moisture", "14.3", "unit missing"),
    ("moisture", "143 %", "out of range"),
    ("moisture", "-1 %", "out of range"),
    ("moisture", "14,3 %", "unreadable"),
    ("moisture", "16.7 % db", "unreadable"),
    ("money", "1,234.50", "unit missing"),
    ("money", "$1,23", "unreadable"),
    ("money", "$5 cents", "unreadable"),
    ("money", "-$-5", "unreadable"),
    ("money", "$", "unreadable"),
    ("money", "$4.15/bu", "unreadable"),
    ("money", "$1,000,000,001", "out of range"),
    ("price", "4.15", "unit missing"),
    ("price", "$4.15", "unit missing"),
    ("price", "$4.15/lb", "unreadable"),
    ("price", "$4,150/bu", "out of range"),
    ("price", "$4.15 c/bu", "unreadable"),
    ("bushel", "56", "unit missing"),
    ("bushel", "560 lb/bu", "out of range"),
    ("test weight", "57.5", "unit missing"),
    ("test weight", "575 lb/bu", "out of range"),
    ("test weight", "0 lb/bu", "out of range"),
    ("date", "10/11/2026", "unreadable"),
    ("date", "2026-02-30", "unreadable"),
    ("date", "0026-10-14", "unreadable"),
    ("clock", "7", "unreadable"),
    ("clock", "25:00", "unreadable"),
    ("clock", "13:00 pm", "unreadable"),
    ("clock", "7:5x", "unreadable"),
];

#[test]
fn what_people_write_is_understood() {
    for &(what, text, canonical) in UNDERSTOOD {
        assert_eq!(
            read(what, text).as_deref(),
            Ok(canonical),
            "{what} {text:?}"
        );
    }
}

#[test]
fn what_could_mean_two_things_is_refused() {
    for &(what, text, refusal) in REFUSED {
        assert_eq!(read(what, text), Err(refusal), "{what} {text:?}");
    }
}

#[test]
fn the_table_is_long_enough() {
    assert!(UNDERSTOOD.len() >= 80 && REFUSED.len() >= 60);
}

#[test]
fn a_bare_number_takes_the_unit_that_the_caller_names() {
    assert_eq!(
        Length::parse_or("30", LengthUnit::Ft),
        Length::parse("30 ft")
    );
    assert_eq!(Area::parse_or("80", AreaUnit::Ac), Area::parse("80 ac"));
    assert_eq!(
        Speed::parse_or("4.1", SpeedUnit::Mph),
        Speed::parse("4.1 mph")
    );
    assert_eq!(
        MassFlow::parse_or("12", FlowUnit::LbPerS),
        MassFlow::parse("12 lb/s")
    );
    assert_eq!(
        Mass::parse_or("52,220", MassUnit::Lb),
        Mass::parse("52,220 lb")
    );
    assert_eq!(
        DryMass::parse_or("20", MassUnit::Tonne),
        DryMass::parse("20 t")
    );
    assert_eq!(
        Moisture::parse_or("14.3", MoistureUnit::Percent),
        Moisture::parse("14.3 %")
    );
    assert_eq!(
        Money::parse_or("4.15", MoneyUnit::Dollar),
        Money::parse("$4.15")
    );
    assert_eq!(
        Price::parse_or("4.15", PriceUnit::DollarPerBu),
        Price::parse("$4.15/bu")
    );
    assert_eq!(
        Price::parse_or("$4.15", PriceUnit::DollarPerBu),
        Price::parse("$4.15/bu")
    );
    assert_eq!(
        BushelWeight::parse_or("56", BushelWeightUnit::LbPerBu),
        BushelWeight::pounds(56)
    );
    let kg_per_hl = TestWeight::parse_or("74.2", TestWeightUnit::KgPerHl);
    assert_eq!(kg_per_hl, TestWeight::parse("74.2 kg/hL"));
    // a written unit beats the default
    assert_eq!(
        Mass::parse_or("23.7 t", MassUnit::Lb),
        Mass::parse("23.7 t")
    );
    // and cents are never dollars
    assert!(Price::parse_or("$4.15", PriceUnit::CentPerBu).is_err());
}

#[test]
fn refusals_say_what_to_do() {
    let said = |error: QuantityError| error.to_string();
    assert_eq!(
        said(Mass::parse("26 tons").unwrap_err()),
        "found '26 tons', expected a mass with its unit, such as 52,220 lb, 23.7 t or 26 short tons"
    );
    assert_eq!(
        said(Moisture::parse("143 %").unwrap_err()),
        "found 143 %, expected a moisture (wet basis) from 0 % to 99 %"
    );
    assert_eq!(
        said(Money::parse("1,234.50").unwrap_err()),
        "found '1,234.50' without a unit, expected an amount of money, such as $1,234.50"
    );
    assert_eq!(
        said(Area::parse("-80 ac").unwrap_err()),
        "found -80 ac, expected an area from 0 ac to 1,000,000 ha"
    );
    let long = said(Length::parse(&"9".repeat(10_000)).unwrap_err());
    assert!(long.chars().count() < 160, "{long}");
}

#[test]
fn units_are_known_by_their_names() {
    assert_eq!(LengthUnit::parse(" Feet "), Ok(LengthUnit::Ft));
    assert_eq!(MassUnit::parse("t"), Ok(MassUnit::Tonne));
    assert!(MassUnit::parse("T").is_err());
    for &unit in LengthUnit::ALL {
        assert_eq!(LengthUnit::parse(unit.symbol()), Ok(unit));
    }
    for &unit in MassUnit::ALL {
        assert_eq!(MassUnit::parse(unit.symbol()), Ok(unit));
    }
    for &unit in FlowUnit::ALL {
        assert_eq!(FlowUnit::parse(unit.symbol()), Ok(unit));
    }
}
