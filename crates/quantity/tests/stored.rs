//! What goes into the book comes out the same, and what never could have gone in does not come out.

#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use quantity::{
    AcreSource, Acres, Area, BushelKind, BushelWeight, Bushels, DryMass, Length, Mass, MassFlow,
    MassStep, Moisture, Money, MoneyRounding, Price, Speed, SplitRule, Step, TestWeight, Units,
    Yield, Zone,
};
use serde::Serialize;
use serde::de::DeserializeOwned;

#[track_caller]
fn stored<T: Serialize + DeserializeOwned + PartialEq + std::fmt::Debug>(value: &T, json: &str) {
    assert_eq!(serde_json::to_string(value).unwrap(), json);
    assert_eq!(&serde_json::from_str::<T>(json).unwrap(), value);
}

#[test]
fn each_quantity_has_one_canonical_text() {
    stored(
        &Mass::from_units(2_368_664_356_140),
        r#""23686.64356140 kg""#,
    );
    stored(&Mass::from_units(-1), r#""-0.00000001 kg""#);
    stored(
        &DryMass::from_units(2_000_000_000_000),
        r#""20000.00000000 kg""#,
    );
    stored(&Moisture::from_percent(14.3).unwrap(), r#""14.3 %""#);
    stored(&Money::from_units(12_345_000), r#""1234.5000""#);
    stored(&Money::from_units(-1), r#""-0.0001""#);
    stored(&Price("4.15".parse().unwrap()), r#""4.15 /bu""#);
    stored(&Length::from_ft(30.0).unwrap(), r#""9.144 m""#);
    stored(&Area::from_ac(80.0).unwrap(), r#""323748.513792 m2""#);
    stored(&Speed::from_km_per_h(9.0).unwrap(), r#""2.5 m/s""#);
    stored(&MassFlow::from_kg_per_s(5.4).unwrap(), r#""5.4 kg/s""#);
    stored(
        &TestWeight::from_lb_per_bu(57.5).unwrap(),
        r#""57.5 lb/bu""#,
    );
    let corn = BushelWeight::pounds(56).unwrap();
    stored(&corn, r#""56 lb/bu""#);
    let count = Bushels::buyers("890.724".parse().unwrap(), corn);
    stored(&count, r#""890.724 bu buyer's, 56 lb/bu""#);
    let base = BushelKind::DryAt(Moisture::from_percent(15.5).unwrap());
    stored(
        &Bushels {
            kind: base,
            ..count
        },
        r#""890.724 bu dry at 15.5 %, 56 lb/bu""#,
    );
    stored(&base, r#"{"dry_at":"15.5 %"}"#);
    let made = Yield::from_bu_per_ac(133.465, base, corn, AcreSource::Measured).unwrap();
    stored(
        &made,
        r#""133.465 bu/ac dry at 15.5 %, 56 lb/bu, measured acres""#,
    );
    let acres = Acres {
        area: Area::from_m2(10_000.0).unwrap(),
        source: AcreSource::Cut,
    };
    stored(&acres, r#"{"area":"10000 m2","source":"cut"}"#);
    stored(
        &Zone::parse("America/Chicago").unwrap(),
        r#""America/Chicago""#,
    );
    stored(&Units::Us, r#""us""#);
    let scale = MassStep {
        step: Mass::parse("20 lb").unwrap(),
        rule: MoneyRounding::HalfUp,
    };
    stored(&scale, r#"{"step":"9.07184740 kg","rule":"half_up"}"#);
    let step = Step {
        step: "0.1".parse().unwrap(),
        rule: MoneyRounding::Down,
    };
    stored(&step, r#"{"step":"0.1","rule":"down"}"#);
    let rule = SplitRule::RemainderTo {
        party: 1,
        rule: MoneyRounding::HalfEven,
    };
    stored(&rule, r#"{"remainder_to":{"party":1,"rule":"half_even"}}"#);
}

#[test]
fn reading_back_passes_the_same_checks_as_typing() {
    fn refused<T: DeserializeOwned + std::fmt::Debug>(json: &str, because: &str) {
        let said = serde_json::from_str::<T>(json).unwrap_err().to_string();
        assert!(said.contains(because), "{said}");
    }
    refused::<Mass>(r#""23686.64""#, "without a unit");
    refused::<Mass>(r#""200000 t""#, "from -100,000 t to 100,000 t");
    refused::<Mass>("23686.64", "expected a mass with its unit");
    refused::<DryMass>(r#""NaN kg""#, "expected a mass of dry matter");
    refused::<Moisture>(r#""143 %""#, "from 0 % to 99 %");
    refused::<Moisture>("14.3", "expected a moisture");
    refused::<Money>(r#""1e9""#, "expected an amount of money");
    refused::<Money>("4.15", "expected an amount of money");
    refused::<Price>(r#""4.15""#, "expected a price per bushel");
    refused::<Price>(r#""1001 /bu""#, "from -$1,000/bu");
    refused::<Area>(r#""-1 m2""#, "expected an area");
    refused::<Area>(r#""inf m2""#, "expected an area");
    refused::<Bushels>(r#""890.724 bu, 56 lb/bu""#, "bushels that say which");
    refused::<Bushels>(r#""890.724 bu buyer's""#, "bushels that say which");
    refused::<Yield>(
        r#""133.465 bu/ac dry at 15.5 %, 56 lb/bu""#,
        "which bushels and acres",
    );
    refused::<Zone>(r#""Mars/Base""#, "IANA name");
}
