//! Hand-calculated ledgers. Masses are pounds; 1 lb is 45,359,237 units of 10 micrograms, so every
//! figure here is exact.

use account::ledger::{
    Basis, End, Ledger, Notice, Origin, Refusal, Season, SourceRule, accounts, balances, by_field,
    by_unit, per_acre, post,
};
use account::shares::{Agreement, Portion, divide_load, share_production};
use account::slip::{
    CropId, EyeKind, MoistureReading, Place, PlaceId, PlaceKind, ScaleClass, Slip, SlipId, Stock,
    Weight,
};
use quantity::{AcreSource, Acres, Area, DryMass, Mass, MassUnit, Moisture, Money, SplitRule};
use std::collections::{BTreeMap, BTreeSet};

const LB: i64 = 45_359_237;

fn place(id: &str, kind: PlaceKind) -> Place {
    Place {
        id: id.into(),
        kind,
        capacity_lb: None,
    }
}

fn places() -> Vec<Place> {
    vec![
        place("north", PlaceKind::Standing),
        place("creek", PlaceKind::Standing),
        place("red", PlaceKind::Wagon),
        place("green", PlaceKind::Wagon),
        place("truck", PlaceKind::Truck),
        place("bin", PlaceKind::Bin),
        place("dryer", PlaceKind::Dryer),
        place("river", PlaceKind::Pit),
        place("hens", PlaceKind::Feed),
        place("ditch", PlaceKind::Spill),
    ]
}

fn scale(lb: i64) -> Weight {
    Weight::Scale {
        gross: None,
        tare: None,
        shared_tare: None,
        net: Mass::from_units(lb * LB),
        step: Mass::from_units(20 * LB),
        unit: MassUnit::Lb,
        class: ScaleClass::Certified,
    }
}

fn eye(lb: i64) -> Weight {
    Weight::Eye {
        mass: Mass::from_units(lb * LB),
        from: EyeKind::Fill,
    }
}

fn slip(at_ms: i64, from: &[&str], to: &str, weight: Weight, moisture: Option<f64>) -> Slip {
    Slip {
        id: SlipId(format!("s{at_ms:03}")),
        at_ms,
        from: from.iter().map(|&f| f.into()).collect(),
        to: to.into(),
        crop: "corn".into(),
        weight,
        moisture: moisture.map(reading),
        empties: false,
        number: None,
    }
}

fn reading(percent: f64) -> MoistureReading {
    MoistureReading {
        value: Moisture::from_percent(percent).expect("a moisture"),
        meter: "hand".into(),
    }
}

fn cut(ac: f64) -> Acres {
    Acres {
        area: Area::from_ac(ac).expect("an area"),
        source: AcreSource::Cut,
    }
}

fn emptied(slip: Slip) -> Slip {
    Slip {
        empties: true,
        ..slip
    }
}

fn stock(id: &str, at_ms: i64, place: &str, lb: i64, percent: f64, sd: Option<f64>) -> Stock {
    Stock {
        id: id.into(),
        at_ms,
        place: place.into(),
        crop: "corn".into(),
        wet: Mass::from_units(lb * LB),
        moisture: Some(reading(percent)),
        relative_sd: sd,
    }
}

fn posted(slips: &[Slip], openings: &[Stock], measured: &[Stock]) -> Ledger {
    let ledger = post(&Season {
        places: &places(),
        slips,
        openings,
        measured,
        assumed: &BTreeMap::from([(
            CropId::from("corn"),
            Moisture::from_percent(16.0).expect("a moisture"),
        )]),
        on_claim: &BTreeSet::new(),
    });
    for account in accounts(&ledger, i64::MAX) {
        assert_eq!(account.appeared(), DryMass::ZERO);
    }
    ledger
}

fn lb(dry: i64) -> DryMass {
    DryMass::from_units(dry * LB)
}

fn hold(ledger: &Ledger, place: &str, at_ms: i64) -> DryMass {
    let rows = balances(ledger, at_ms);
    rows.iter()
        .find(|row| row.place == place.into())
        .map_or(DryMass::ZERO, |row| row.dry)
}

#[test]
fn a_wagon_guessed_and_then_weighed_keeps_the_difference_as_unexplained() {
    // by eye 10,000 lb at 16 % = 8,400 dry; over the scale 9,800 lb at 15 % = 8,330 dry; 70 short
    let ledger = posted(
        &[
            slip(1, &["north"], "red", eye(10_000), Some(16.0)),
            emptied(slip(2, &["red"], "river", scale(9_800), Some(15.0))),
        ],
        &[],
        &[],
    );
    assert_eq!(hold(&ledger, "red", 1), lb(8_400));
    assert_eq!(hold(&ledger, "red", 2), DryMass::ZERO);
    let all = accounts(&ledger, 2);
    let corn = &all[0];
    assert_eq!(
        (corn.came_off, corn.sold, corn.unexplained),
        (lb(8_400), lb(8_330), lb(70))
    );
    let row = &ledger.unexplained[0];
    assert_eq!(
        (row.place.0.as_str(), row.from_ms, row.to_ms),
        ("red", 1, 2)
    );
    assert_eq!(row.slips, ["s001".into(), "s002".into()]);
    // water is a view: 1,600 lb went on the wagon
    let loaded = balances(&ledger, 1);
    assert_eq!(
        loaded
            .iter()
            .find(|r| r.place == "red".into())
            .unwrap()
            .water()
            .lb(),
        1_600.0
    );
}

#[test]
fn a_ticket_over_two_wagons_is_divided_by_what_each_held() {
    // 9,000 and 6,000 dry on record; the ticket has 20,000 lb at 15.5 % = 16,900 dry: 10,140 and 6,760
    let slips = [
        slip(1, &["north"], "red", scale(10_000), Some(10.0)),
        slip(2, &["creek"], "green", scale(7_500), Some(20.0)),
        emptied(slip(
            3,
            &["red", "green"],
            "river",
            scale(20_000),
            Some(15.5),
        )),
    ];
    let ledger = posted(&slips, &[], &[]);
    let taken: Vec<_> = ledger
        .movements
        .iter()
        .filter(|m| m.to == End::Place("river".into()))
        .map(|m| (m.dry, m.rule))
        .collect();
    assert_eq!(
        taken,
        [
            (lb(10_140), SourceRule::Held),
            (lb(6_760), SourceRule::Held)
        ]
    );
    let gaps: Vec<_> = ledger.unexplained.iter().map(|u| u.dry).collect();
    assert_eq!(gaps, [lb(9_000 - 10_140), lb(6_000 - 6_760)]);
    assert_eq!(ledger.loads.len(), 1);
    let split: Vec<_> = ledger.loads[0]
        .split
        .iter()
        .map(|p| (&p.origin, p.dry))
        .collect();
    let (creek, north) = (Origin::Field("creek".into()), Origin::Field("north".into()));
    assert_eq!(split, [(&creek, lb(6_760)), (&north, lb(10_140))]);
}

#[test]
fn a_mixed_wagon_keeps_its_recorded_split_to_the_scale_and_to_the_people() {
    // north 8,000 and creek 2,000 dry lb in one wagon; the ticket finds 9,500: 7,600 and 1,900
    let slips = [
        slip(1, &["north"], "red", eye(10_000), Some(20.0)),
        slip(2, &["creek"], "red", eye(2_500), Some(20.0)),
        emptied(slip(3, &["red"], "bin", scale(11_875), Some(20.0))),
    ];
    let ledger = posted(&slips, &[], &[]);
    let made = by_field(&ledger.loads);
    let dry: Vec<_> = made.iter().map(|row| row.dry).collect();
    assert_eq!(dry, [lb(1_900), lb(7_600)]); // creek, north
    let third = |person: &str, top| Portion {
        person: person.into(),
        top,
        bottom: 3,
    };
    let own = Agreement::new(vec![Portion {
        person: "operator".into(),
        top: 1,
        bottom: 1,
    }])
    .unwrap();
    let rented = Agreement::new(vec![third("operator", 2), third("landlord", 1)]).unwrap();
    let agreements = BTreeMap::from([("north".into(), own), ("creek".into(), rented)]);
    let shares = share_production(&made, &agreements, SplitRule::LargestRemainder).unwrap();
    assert!(shares.uncovered.is_empty());
    let total: DryMass = shares.rows.iter().map(|row| row.dry).sum();
    assert_eq!(total, lb(9_500));
    // $1,000.00 for the load: 800.00 north, 200.00 creek; of creek 133.33 and 66.67
    let paid = divide_load(
        &ledger.loads[0],
        Money::from_units(10_000_000),
        &agreements,
        SplitRule::LargestRemainder,
    )
    .unwrap();
    let units: Vec<_> = paid
        .iter()
        .map(|s| (s.person.0.as_str(), s.part.units()))
        .collect();
    assert_eq!(units, [("landlord", 666_700), ("operator", 9_333_300)]);
}

#[test]
fn a_dump_with_no_weight_is_listed_and_takes_its_mass_from_the_ticket() {
    let dump = slip(1, &["north"], "red", Weight::Unknown, None);
    let before = posted(std::slice::from_ref(&dump), &[], &[]);
    assert_eq!(before.no_weight.len(), 1);
    assert_eq!(before.no_weight[0].weighed_by, None);
    assert_eq!(hold(&before, "red", 9), DryMass::ZERO);
    assert_eq!(balances(&before, 9)[0].no_weight, [SlipId::from("s001")]);

    let ticket = emptied(slip(2, &["red"], "river", scale(10_000), Some(15.5)));
    let after = posted(&[dump, ticket], &[], &[]);
    assert_eq!(after.no_weight[0].weighed_by, Some("s002".into()));
    assert_eq!(after.movements[0].basis, Basis::WeighedBy("s002".into()));
    let all = accounts(&after, 9);
    assert_eq!((all[0].came_off, all[0].sold), (lb(8_450), lb(8_450)));
    assert_eq!(all[0].unexplained, DryMass::ZERO);
    assert_eq!(
        after.loads[0].split[0].origin,
        Origin::Field("north".into())
    );
    assert!(
        balances(&after, 9)
            .iter()
            .all(|row| row.no_weight.is_empty())
    );
}

#[test]
fn unweighed_loads_share_what_the_weighed_one_leaves() {
    // 4,200 dry weighed by eye from north; two dumps from creek unweighed; the ticket has 8,400
    let slips = [
        slip(1, &["north"], "red", eye(5_000), Some(16.0)),
        slip(2, &["creek"], "red", Weight::Unknown, None),
        slip(3, &["creek"], "red", Weight::Unknown, None),
        emptied(slip(4, &["red"], "river", scale(10_000), Some(16.0))),
    ];
    let ledger = posted(&slips, &[], &[]);
    let creek: Vec<_> = ledger
        .movements
        .iter()
        .filter(|m| m.from == End::Place("creek".into()))
        .map(|m| m.dry)
        .collect();
    assert_eq!(creek, [lb(2_100), lb(2_100)]);
    assert!(ledger.unexplained.is_empty());
    let mixed = Notice::MixedUnweighed {
        place: "red".into(),
    };
    assert!(ledger.findings.iter().any(|f| f.what == mixed));
}

#[test]
fn an_unweighed_wagon_emptied_into_the_truck_is_still_weighed_by_the_truck() {
    let slips = [
        slip(1, &["north"], "red", Weight::Unknown, None),
        emptied(slip(2, &["red"], "truck", Weight::Unknown, None)),
        emptied(slip(3, &["truck"], "river", scale(10_000), Some(10.0))),
    ];
    let ledger = posted(&slips, &[], &[]);
    let all = accounts(&ledger, 9);
    assert_eq!((all[0].came_off, all[0].sold), (lb(9_000), lb(9_000)));
    assert!(
        ledger
            .no_weight
            .iter()
            .all(|n| n.weighed_by == Some("s003".into()))
    );
    assert!(ledger.unexplained.is_empty());
}

#[test]
fn an_empty_cart_that_gave_grain_shows_it_as_unexplained() {
    // nothing was ever written into the truck before it filled the wagon: a slip is missing
    let slips = [
        emptied(slip(1, &["truck"], "red", Weight::Unknown, None)),
        emptied(slip(2, &["red"], "river", scale(10_000), Some(10.0))),
    ];
    let ledger = posted(&slips, &[], &[]);
    let all = accounts(&ledger, 9);
    assert_eq!((all[0].came_off, all[0].sold), (DryMass::ZERO, lb(9_000)));
    assert_eq!(all[0].unexplained, lb(-9_000));
    assert_eq!(ledger.unexplained[0].place, "truck".into());
    assert!(all[0].in_places.iter().all(|row| row.2.is_zero()));
}

#[test]
fn an_unweighed_emptying_moves_all_that_was_held() {
    let slips = [
        slip(1, &["north"], "red", eye(10_000), Some(16.0)),
        emptied(slip(2, &["red"], "bin", Weight::Unknown, None)),
    ];
    let ledger = posted(&slips, &[], &[]);
    assert_eq!(hold(&ledger, "bin", 9), lb(8_400));
    assert_eq!(ledger.movements[1].basis, Basis::AllHeld);
    assert!(ledger.no_weight.is_empty());
}

#[test]
fn opening_stock_is_not_harvest_and_a_bin_emptied_closes() {
    let slips = [
        slip(2, &["north"], "bin", scale(10_000), Some(20.0)),
        emptied(slip(3, &["bin"], "truck", scale(20_000), Some(10.0))),
        emptied(slip(4, &["truck"], "river", scale(20_000), Some(10.0))),
        slip(5, &["river"], "hens", eye(100), Some(10.0)),
    ];
    // opening 10,000 at 10 % = 9,000 dry, plus 8,000 in; out 18,000: 1,000 more than on record
    let ledger = posted(&slips, &[stock("o1", 1, "bin", 10_000, 10.0, None)], &[]);
    let all = accounts(&ledger, 9);
    let corn = &all[0];
    assert_eq!((corn.came_off, corn.opening), (lb(8_000), lb(9_000)));
    assert_eq!(
        (corn.sold, corn.fed, corn.unexplained),
        (lb(17_910), lb(90), lb(-1_000))
    );
    // one load of harvest only: into the bin; the truck out of it is not counted again
    assert_eq!(ledger.loads.len(), 1);
    assert_eq!(ledger.loads[0].to, PlaceId::from("bin"));
}

#[test]
fn a_bin_measure_is_set_beside_the_record_but_empty_is_empty() {
    let slips = [slip(1, &["north"], "bin", scale(10_000), Some(20.0))];
    let measured = [
        stock("m1", 2, "bin", 9_900, 20.0, None),
        Stock {
            moisture: None,
            ..stock("m2", 3, "bin", 0, 0.0, Some(0.0))
        },
    ];
    let ledger = posted(&slips, &[], &measured);
    assert_eq!(
        (ledger.checks[0].record, ledger.checks[0].measured),
        (lb(8_000), lb(7_920))
    );
    assert_eq!(hold(&ledger, "bin", 2), lb(8_000));
    assert_eq!(hold(&ledger, "bin", 3), DryMass::ZERO);
    assert_eq!(ledger.unexplained[0].dry, lb(8_000));
}

#[test]
fn a_dryer_changes_water_only() {
    // 8,000 dry in; 7,960 out: 40 lb of fines and handling, unexplained; the water is not
    let slips = [
        slip(1, &["north"], "dryer", scale(10_000), Some(20.0)),
        emptied(slip(2, &["dryer"], "bin", scale(9_365), Some(15.0))),
    ];
    let ledger = posted(&slips, &[], &[]);
    let out = 9_365 * LB * 85 / 100;
    assert_eq!(hold(&ledger, "bin", 9).units(), out);
    assert_eq!(ledger.unexplained[0].dry.units(), 8_000 * LB - out);
}

#[test]
fn what_cannot_be_posted_is_set_aside_with_its_reason() {
    let wheat = Slip {
        crop: "wheat".into(),
        ..slip(5, &["north"], "red", eye(100), None)
    };
    let slips = [
        slip(1, &["south"], "red", eye(10), Some(16.0)),
        slip(2, &["red"], "north", eye(10), Some(16.0)),
        slip(3, &["red"], "red", eye(10), Some(16.0)),
        slip(4, &["north"], "red", eye(-10), Some(16.0)),
        wheat,
        slip(6, &["north"], "red", eye(i64::MAX / LB), Some(16.0)),
        slip(7, &[], "red", eye(10), Some(16.0)),
    ];
    let ledger = posted(&slips, &[], &[]);
    assert!(ledger.movements.is_empty());
    let why: Vec<_> = ledger.set_aside.iter().map(|s| &s.why).collect();
    assert_eq!(
        why,
        [
            &Refusal::UnknownPlace {
                place: "south".into()
            },
            &Refusal::IntoStanding {
                place: "north".into()
            },
            &Refusal::SamePlace {
                place: "red".into()
            },
            &Refusal::Negative { mass_lb: -10 },
            &Refusal::NoMoisture {
                crop: "wheat".into()
            },
            &Refusal::TooMuch,
            &Refusal::NoSource,
        ]
    );
}

#[test]
fn moisture_comes_from_the_slip_the_mix_or_the_assumption_in_that_order() {
    let slips = [
        slip(1, &["north"], "bin", scale(10_000), Some(20.0)),
        slip(2, &["bin"], "hens", scale(1_000), None), // the mix: 800 dry
        slip(3, &["north"], "ditch", eye(100), None),  // assumed 16 %: 84 dry
    ];
    let ledger = posted(&slips, &[], &[]);
    let rows: Vec<_> = ledger
        .movements
        .iter()
        .map(|m| (m.dry, m.basis.clone()))
        .collect();
    assert_eq!(
        rows,
        [
            (lb(8_000), Basis::Measured),
            (lb(800), Basis::HeldMoisture),
            (lb(84), Basis::AssumedMoisture),
        ]
    );
}

#[test]
fn units_sum_to_the_loads_and_a_load_of_no_known_field_is_commingled() {
    let slips = [
        slip(1, &["north"], "red", eye(10_000), Some(20.0)),
        slip(2, &["creek"], "red", eye(5_000), Some(20.0)),
        emptied(slip(3, &["red"], "bin", scale(15_000), Some(20.0))),
        emptied(slip(4, &["truck"], "river", scale(1_000), Some(20.0))),
    ];
    let ledger = posted(&slips, &[], &[]);
    let unit_of = BTreeMap::from([
        ("north".into(), "0001-0001".to_owned()),
        ("creek".into(), "0001-0002".to_owned()),
    ]);
    let bushels = BTreeMap::from([(SlipId::from("s003"), "251.7857".parse().unwrap())]);
    let units = by_unit(&ledger.loads, &unit_of, &bushels).units;
    let rows: Vec<_> = units
        .iter()
        .map(|u| (u.unit.as_deref(), u.dry, u.insurance_bu.to_string()))
        .collect();
    assert_eq!(
        rows,
        [
            (None, lb(800), "0".to_owned()),
            (Some("0001-0001"), lb(8_000), "167.8571".to_owned()),
            (Some("0001-0002"), lb(4_000), "83.9286".to_owned()),
        ]
    );
    assert_eq!(units[0].unconverted, ["s004".into()]);
    let yielded = per_acre(units[1].dry, cut(2.0)).unwrap();
    assert!((yielded.dry_lb_per_ac - 4_000.0).abs() < 1e-9);
    assert_eq!(per_acre(units[1].dry, cut(0.0)), None);
}

#[test]
fn two_crops_never_net_and_a_mixed_place_is_named() {
    let beans = Slip {
        crop: "beans".into(),
        ..slip(2, &["creek"], "red", eye(1_000), Some(10.0))
    };
    let ledger = posted(
        &[slip(1, &["north"], "red", eye(1_000), Some(10.0)), beans],
        &[],
        &[],
    );
    assert_eq!(accounts(&ledger, 9).len(), 2);
    let found = Notice::TwoCrops {
        place: "red".into(),
        crop: "beans".into(),
        other: "corn".into(),
    };
    assert_eq!(ledger.findings[0].what, found);
}

#[test]
fn taking_more_than_the_record_holds_is_noticed() {
    let slips = [
        slip(1, &["north"], "bin", scale(1_000), Some(10.0)),
        slip(2, &["bin"], "hens", scale(2_000), Some(10.0)),
    ];
    let ledger = posted(&slips, &[], &[]);
    assert_eq!(hold(&ledger, "bin", 9), lb(-900));
    let found = Notice::HeldLess {
        place: "bin".into(),
        crop: "corn".into(),
    };
    assert_eq!(ledger.findings[0].what, found);
}
