//! No sequence of entries makes dry matter appear or vanish, or per-person shares not sum to the
//! whole: random slips of every kind, corrections and voids, checked against sums made here from the
//! movements alone.

use account::ledger::{
    End, Ledger, Origin, Refusal, Season, accounts, balances, by_field, by_unit, post,
};
use account::shares::{
    Agreement, Portion, divide_bushels, divide_load, divide_money, share_production,
};
use account::slip::{
    CropId, EyeKind, MoistureReading, Place, PlaceId, PlaceKind, ScaleClass, Slip, SlipId, Stock,
    Weight,
};
use proptest::collection::{btree_set, vec};
use proptest::prelude::*;
use quantity::{DryMass, Mass, MassUnit, Moisture, Money, MoneyRounding, SplitRule};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

const KINDS: [(&str, PlaceKind); 13] = [
    ("north", PlaceKind::Standing),
    ("creek", PlaceKind::Standing),
    ("tank", PlaceKind::Tank),
    ("cart", PlaceKind::Cart),
    ("red", PlaceKind::Wagon),
    ("green", PlaceKind::Wagon),
    ("truck", PlaceKind::Truck),
    ("bin", PlaceKind::Bin),
    ("dryer", PlaceKind::Dryer),
    ("river", PlaceKind::Pit),
    ("hens", PlaceKind::Feed),
    ("seed", PlaceKind::Seed),
    ("ditch", PlaceKind::Spill),
];

fn places() -> Vec<Place> {
    let capacity = |kind| matches!(kind, PlaceKind::Wagon).then_some(14_000.0);
    KINDS
        .iter()
        .map(|&(id, kind)| Place {
            id: id.into(),
            kind,
            capacity_lb: capacity(kind),
        })
        .collect()
}

fn a_place() -> impl Strategy<Value = PlaceId> {
    // now and then a place that the season does not know
    (0..=KINDS.len()).prop_map(|at| PlaceId(KINDS.get(at).map_or("nowhere", |k| k.0).to_owned()))
}

fn a_reading() -> impl Strategy<Value = Option<MoistureReading>> {
    prop_oneof![
        1 => Just(None),
        3 => (0_u32..450_000).prop_map(|ppm| Some(MoistureReading {
            value: Moisture::from_ppm(ppm).expect("below 45 %"),
            meter: "hand".into(),
        })),
    ]
}

fn a_mass() -> impl Strategy<Value = Mass> {
    prop_oneof![
        20 => (1_i64..3_000_000_000_000).prop_map(Mass::from_units),
        1 => (-1_000_i64..1_000).prop_map(Mass::from_units),
        1 => any::<i64>().prop_map(Mass::from_units),
    ]
}

fn a_weight() -> impl Strategy<Value = Weight> {
    (0_u8..8, a_mass()).prop_map(|(which, mass)| match which {
        0..=2 => Weight::Scale {
            gross: None,
            tare: None,
            shared_tare: None,
            net: mass,
            step: Mass::from_units(1),
            unit: MassUnit::Lb,
            class: ScaleClass::Certified,
        },
        3 | 4 => Weight::Monitor {
            machine: "old".into(),
            reading: mass,
            unit: MassUnit::Lb,
        },
        5 => Weight::Eye {
            mass,
            from: EyeKind::Fill,
        },
        _ => Weight::Unknown,
    })
}

fn a_crop() -> impl Strategy<Value = CropId> {
    prop_oneof![4 => Just("corn".into()), 1 => Just("beans".into())]
}

fn a_slip() -> impl Strategy<Value = Slip> {
    (
        0_u32..40,
        0_i64..30,
        prop_oneof![
            5 => vec(a_place(), 1..=1),
            1 => vec(a_place(), 0..4),
            1 => Just(vec!["red".into(), "green".into()]),
        ],
        a_place(),
        a_crop(),
        a_weight(),
        a_reading(),
        any::<bool>(),
    )
        .prop_map(
            |(id, at_ms, from, to, crop, weight, moisture, empties)| Slip {
                id: SlipId(format!("s{id:02}")),
                at_ms,
                from,
                to,
                crop,
                weight,
                moisture,
                empties,
                number: None,
            },
        )
}

fn a_stock(prefix: &'static str) -> impl Strategy<Value = Stock> {
    (
        0_u32..9,
        0_i64..30,
        a_place(),
        a_crop(),
        a_mass(),
        a_reading(),
        0_u8..3,
    )
        .prop_map(move |(id, at_ms, place, crop, wet, moisture, sure)| Stock {
            id: SlipId(format!("{prefix}{id}")),
            at_ms,
            place,
            crop,
            wet: if sure == 0 { Mass::ZERO } else { wet },
            moisture,
            relative_sd: (sure < 2).then_some(0.0),
        })
}

/// What happens to the book: entries come, are corrected (replaced), and are voided.
#[derive(Debug, Clone)]
enum Act {
    Enter(Slip),
    Correct(usize, Slip),
    Void(usize),
}

fn an_act() -> impl Strategy<Value = Act> {
    prop_oneof![
        8 => a_slip().prop_map(Act::Enter),
        1 => (any::<usize>(), a_slip()).prop_map(|(at, slip)| Act::Correct(at, slip)),
        1 => any::<usize>().prop_map(Act::Void),
    ]
}

/// The effective slips after every act, as a fold over them.
fn effective(acts: &[Act]) -> Vec<Slip> {
    let mut slips: Vec<Slip> = Vec::new();
    for act in acts {
        match act {
            Act::Enter(slip) => slips.push(slip.clone()),
            Act::Correct(at, with) if !slips.is_empty() => {
                let at = at % slips.len();
                slips[at] = Slip {
                    id: slips[at].id.clone(),
                    ..with.clone()
                };
            }
            Act::Void(at) if !slips.is_empty() => {
                slips.remove(at % slips.len());
            }
            Act::Correct(..) | Act::Void(_) => {}
        }
    }
    slips
}

fn posted(
    slips: &[Slip],
    openings: &[Stock],
    measured: &[Stock],
    claims: &BTreeSet<SlipId>,
) -> Ledger {
    post(&Season {
        places: &places(),
        slips,
        openings,
        measured,
        assumed: &BTreeMap::from([("corn".into(), Moisture::from_ppm(155_000).expect("15.5 %"))]),
        on_claim: claims,
    })
}

fn agreements() -> BTreeMap<PlaceId, Agreement> {
    let agreed = |parts: &[(&str, u32, u32)]| {
        let portions = parts
            .iter()
            .map(|&(person, top, bottom)| Portion {
                person: person.into(),
                top,
                bottom,
            })
            .collect();
        Agreement::new(portions).expect("whole")
    };
    BTreeMap::from([
        ("north".into(), agreed(&[("operator", 1, 1)])),
        (
            "creek".into(),
            agreed(&[("operator", 2, 3), ("landlord", 1, 4), ("heir", 1, 12)]),
        ),
    ])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_500))]

    #[test]
    fn dry_matter_neither_appears_nor_vanishes(
        acts in vec(an_act(), 0..40),
        openings in vec(a_stock("o"), 0..3),
        measured in vec(a_stock("m"), 0..3),
        claimed in btree_set(0_u32..40, 0..6),
        until in 0_i64..35,
    ) {
        let slips = effective(&acts);
        let claims = claimed.into_iter().map(|id| SlipId(format!("s{id:02}"))).collect();
        let ledger = posted(&slips, &openings, &measured, &claims);

        // the account of each crop closes, at any moment
        for account in accounts(&ledger, until) {
            prop_assert_eq!(account.appeared(), DryMass::ZERO);
        }
        // the parts of each movement are the movement
        for m in &ledger.movements {
            prop_assert_eq!(m.parts.iter().map(|p| p.dry).sum::<DryMass>(), m.dry);
            prop_assert_eq!(m.parts.iter().map(|p| p.wet).sum::<Mass>(), m.wet);
            prop_assert!(m.parts.iter().all(|p| p.dry >= DryMass::ZERO) || matches!(m.to, End::Unexplained(_)));
        }
        // each weighed slip's movements sum to its own mass, rounded once
        let sums = |id: &SlipId| ledger.movements.iter()
            .filter(|m| m.slip == *id && matches!(m.to, End::Place(_)))
            .filter(|m| matches!(m.basis, account::ledger::Basis::Measured))
            .map(|m| m.dry).sum::<DryMass>();
        let set_aside: BTreeSet<&SlipId> = ledger.set_aside.iter().map(|s| &s.slip).collect();
        for slip in slips.iter().filter(|s| !set_aside.contains(&s.id)) {
            let mass = match &slip.weight {
                Weight::Scale { net, .. } => *net,
                Weight::Monitor { reading, .. } => *reading,
                Weight::Eye { mass, .. } => *mass,
                Weight::Unknown => continue,
            };
            if let (Some(reading), false) = (&slip.moisture, mass.is_zero()) {
                prop_assert_eq!(sums(&slip.id), DryMass::of(mass, reading.value));
            }
        }
        // nothing is lost on the way: every entry was posted, listed or set aside
        let moved: BTreeSet<&SlipId> = ledger.movements.iter().map(|m| &m.slip)
            .chain(ledger.no_weight.iter().map(|n| &n.slip)).collect();
        for slip in &slips {
            prop_assert!(moved.contains(&slip.id) || set_aside.contains(&slip.id));
        }
        // the listed unexplained are the movements to it
        let listed: DryMass = ledger.unexplained.iter().map(|u| u.dry).sum();
        let moved: DryMass = ledger.movements.iter()
            .filter(|m| matches!(m.to, End::Unexplained(_))).map(|m| m.dry).sum();
        prop_assert_eq!(listed, moved);
    }

    #[test]
    fn the_order_of_typing_does_not_matter(slips in vec(a_slip(), 0..25)) {
        let mut seen = BTreeSet::new();
        let mut once: Vec<Slip> = slips.into_iter().filter(|s| seen.insert(s.id.clone())).collect();
        let there = posted(&once, &[], &[], &BTreeSet::new());
        once.reverse();
        prop_assert_eq!(there, posted(&once, &[], &[], &BTreeSet::new()));
    }

    #[test]
    fn an_entry_given_twice_counts_once(slips in vec(a_slip(), 1..25)) {
        let mut seen = BTreeSet::new();
        let once: Vec<Slip> = slips.into_iter().filter(|s| seen.insert(s.id.clone())).collect();
        let twice: Vec<Slip> = once.iter().chain(&once).cloned().collect();
        let (a, b) = (posted(&once, &[], &[], &BTreeSet::new()), posted(&twice, &[], &[], &BTreeSet::new()));
        prop_assert_eq!(a.movements, b.movements);
        let again = b.set_aside.iter().filter(|s| s.why == Refusal::GivenTwice).count();
        prop_assert_eq!(again, once.len());
    }

    #[test]
    fn fields_sum_to_the_places_where_loads_came_to_rest(
        slips in vec(a_slip(), 0..40),
        openings in vec(a_stock("o"), 0..3),
    ) {
        let ledger = posted(&slips, &openings, &[], &BTreeSet::new());
        // sum over fields = bins + buyers + feed, seed and other + spilt, counted here from movements
        let rests = |place: &PlaceId| !matches!(
            ledger.kinds[place],
            PlaceKind::Tank | PlaceKind::Cart | PlaceKind::Wagon | PlaceKind::Truck
        );
        let mut at_rest = DryMass::ZERO;
        for m in &ledger.movements {
            if let End::Place(to) = &m.to && rests(to) {
                at_rest += m.parts.iter().filter(|p| !p.rested).map(|p| p.dry).sum();
            }
        }
        let fields = by_field(&ledger.loads);
        prop_assert_eq!(fields.iter().map(|f| f.dry).sum::<DryMass>(), at_rest);
        // every load has one split, and it is the whole load
        let mut seen = BTreeSet::new();
        for load in &ledger.loads {
            prop_assert!(seen.insert(&load.slip));
            prop_assert_eq!(load.split.iter().map(|p| p.dry).sum::<DryMass>(), load.dry);
        }
        // units sum to the loads too, in dry matter and in insurance bushels
        let unit_of = BTreeMap::from([("north".into(), "A".to_owned()), ("creek".into(), "B".to_owned())]);
        let bushels: BTreeMap<SlipId, Decimal> = ledger.loads.iter().zip(123_457_i64..)
            .map(|(load, bu)| (load.slip.clone(), Decimal::new(bu, 3))).collect();
        let units = by_unit(&ledger.loads, &unit_of, &bushels).units;
        prop_assert_eq!(units.iter().map(|u| u.dry).sum::<DryMass>(), at_rest);
        let whole: Decimal = ledger.loads.iter().filter(|l| !l.dry.is_zero())
            .map(|l| bushels[&l.slip]).sum();
        prop_assert_eq!(units.iter().map(|u| u.insurance_bu).sum::<Decimal>(), whole);

        // what people get is what the fields made
        let shares = share_production(&fields, &agreements(), SplitRule::LargestRemainder)
            .expect("the rule fits");
        let people: DryMass = shares.rows.iter().map(|r| r.dry).sum();
        let nobody: DryMass = shares.uncovered.iter().map(|r| r.2).sum();
        prop_assert_eq!(people + nobody, at_rest);
        for field in &fields {
            if let Origin::Field(name) = &field.origin {
                let parts: DryMass = shares.rows.iter()
                    .filter(|r| r.field == *name && r.crop == field.crop).map(|r| r.dry).sum();
                prop_assert_eq!(parts, field.dry);
            }
        }
        // and what a load paid is divided whole
        for load in ledger.loads.iter().filter(|l| !l.dry.is_zero()) {
            let pay = Money::from_units(load.dry.units() % 99_999_999);
            if let Ok(parts) = divide_load(load, pay, &agreements(), SplitRule::LargestRemainder) {
                prop_assert_eq!(parts.iter().map(|s| s.part.units()).sum::<i64>(), pay.units());
            }
        }
    }

    #[test]
    fn shares_sum_to_the_whole_by_either_rule(
        tops in vec(1_u32..5_000, 1..6),
        units in -1_000_000_000_i64..1_000_000_000,
        places in 0_u32..5,
        last in any::<bool>(),
    ) {
        let bottom: u32 = tops.iter().sum();
        let rule = if last {
            SplitRule::RemainderTo { party: tops.len() - 1, rule: MoneyRounding::HalfUp }
        } else {
            SplitRule::LargestRemainder
        };
        let portions = tops.iter().enumerate()
            .map(|(at, &top)| Portion { person: at.to_string().as_str().into(), top, bottom }).collect();
        let agreement = Agreement::new(portions).expect("the parts sum to one");
        let money = divide_money(Money::from_units(units), &agreement, rule).expect("the rule fits");
        prop_assert_eq!(money.iter().map(|s| s.part.units()).sum::<i64>(), units);
        let bushels = Decimal::new(units, places);
        let parts = divide_bushels(bushels, 2, &agreement, rule).expect("few enough");
        prop_assert_eq!(parts.iter().map(|s| s.part).sum::<Decimal>(), bushels);
    }
}

#[test]
fn balances_name_the_entries_behind_them() {
    let slip = |id: &str, at_ms, from: &str, to: &str| Slip {
        id: id.into(),
        at_ms,
        from: vec![from.into()],
        to: to.into(),
        crop: "corn".into(),
        weight: Weight::Eye {
            mass: Mass::from_units(1_000_000),
            from: EyeKind::Fill,
        },
        moisture: None,
        empties: from == "red",
        number: None,
    };
    let slips = [
        slip("a", 1, "north", "red"),
        slip("b", 2, "red", "bin"),
        slip("c", 3, "north", "red"),
    ];
    let ledger = posted(&slips, &[], &[], &BTreeSet::new());
    let rows = balances(&ledger, 3);
    let behind = |place: &str| {
        let row = rows
            .iter()
            .find(|r| r.place == place.into())
            .expect("posted");
        row.slips.iter().map(|s| s.0.as_str()).collect::<Vec<_>>()
    };
    assert_eq!(behind("red"), ["c"]); // emptied by b, so a is no longer behind it
    assert_eq!(behind("bin"), ["b"]);
    assert_eq!(behind("north"), ["a", "c"]);
}
