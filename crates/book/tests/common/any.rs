//! Any payload of any kind, for property tests.

use super::each::all;
use super::id;
use book::Sha256Key;
use book::kinds::*;
use proptest::collection::{btree_map, btree_set, vec};
use proptest::option::of;
use proptest::prelude::*;
use proptest::sample::select;
use quantity::{Mass, MassUnit, Moisture};
use rust_decimal::Decimal;

pub(crate) fn a_name() -> impl Strategy<Value = Name> {
    "[\\PC&&[^\\s]][\\PC]{0,20}".prop_filter_map("a name", |text| Name::new(text).ok())
}

fn mass() -> impl Strategy<Value = Mass> {
    (1i64..=20_000_000_000_000).prop_map(Mass::from_units)
}

fn decimal(low: i64, high: i64) -> impl Strategy<Value = Decimal> {
    (low * 10_000..=high * 10_000, 0u32..4)
        .prop_map(|(units, cut)| Decimal::new(units / 10i64.pow(cut), 4 - cut))
        .prop_filter("in range", move |d| *d >= low.into() && *d <= high.into())
}

fn moisture() -> impl Strategy<Value = MoistureReading> {
    (0u32..=990_000, of(a_name())).prop_map(|(ppm, meter)| MoistureReading {
        value: Moisture::from_ppm(ppm).unwrap(),
        meter,
    })
}

fn unit() -> impl Strategy<Value = MassUnit> {
    select(vec![
        MassUnit::Lb,
        MassUnit::Kg,
        MassUnit::Tonne,
        MassUnit::ShortTon,
        MassUnit::Cwt,
    ])
}

fn key() -> impl Strategy<Value = Sha256Key> {
    vec(any::<u8>(), 0..8).prop_map(|bytes| Sha256Key::of(&bytes))
}

fn scale() -> impl Strategy<Value = ScaleWeight> {
    let class = select(vec![
        ScaleClass::Certified,
        ScaleClass::Cart,
        ScaleClass::Farm,
    ]);
    (
        of(mass()),
        of(mass()),
        of(a_name()),
        mass(),
        0i64..=1_000,
        unit(),
        class,
    )
        .prop_map(|(one, other, shared_tare, net, step, unit, class)| {
            let (gross, tare) = match (one, other) {
                (Some(a), Some(b)) if a == b => (Some(a), None),
                (Some(a), Some(b)) => (Some(a.max(b)), Some(a.min(b))),
                pair => pair,
            };
            let step = Mass::from_units(step * 100_000_000);
            ScaleWeight {
                gross,
                tare,
                shared_tare,
                net,
                step,
                unit,
                class,
            }
        })
}

fn contract() -> impl Strategy<Value = Contract> {
    prop_oneof![
        (of(a_name()), of(decimal(0, 1_000))).prop_map(|(number, price_per_bu)| Contract::Sell {
            number,
            price_per_bu
        }),
        Just(Contract::Store {}),
        Just(Contract::PriceLater {}),
    ]
}

/// Two or more distinct places: where from, and where to.
fn ways() -> impl Strategy<Value = (Vec<Name>, Name)> {
    btree_set(a_name(), 2..5).prop_map(|names| {
        let mut names: Vec<Name> = names.into_iter().collect();
        let to = names.pop().unwrap();
        (names, to)
    })
}

fn shares() -> impl Strategy<Value = Vec<Share>> {
    btree_map(a_name(), 1i64..1_000, 1..5).prop_map(|parts| {
        let whole: i64 = parts.values().sum();
        let mut left = Decimal::ONE_HUNDRED;
        let last = parts.len() - 1;
        let parts = parts.into_iter().enumerate();
        parts
            .map(|(n, (person, part))| {
                let share = (Decimal::from(part * 100) / Decimal::from(whole)).round_dp(4);
                let percent = if n == last { left } else { share };
                left -= percent;
                Share { person, percent }
            })
            .collect()
    })
}

fn weighed() -> impl Strategy<Value = Weighed> {
    let bench = (
        of(moisture()),
        of(decimal(5, 100)),
        btree_map(a_name(), decimal(0, 100), 0..4),
    );
    let paper = (
        of(a_name()),
        of(a_name()),
        of(a_name()),
        of(contract()),
        any::<bool>(),
        of(key()),
    );
    (
        ways(),
        a_name(),
        1970u16..=2200,
        scale(),
        bench,
        paper,
        prop_oneof![Just(vec![]), shares()],
    )
        .prop_map(
            |((from, to), crop, season, weight, bench, paper, split)| Weighed {
                from,
                to,
                crop,
                season,
                weight,
                moisture: bench.0,
                test_weight_lb_bu: bench.1,
                factors: bench.2,
                number: paper.0,
                buyer: paper.1,
                field: paper.2,
                contract: paper.3,
                split,
                empties: paper.4,
                paper: paper.5,
            },
        )
}

fn moved() -> impl Strategy<Value = Move> {
    let weight = prop_oneof![
        scale().prop_map(|weight| MoveWeight::Scale { weight }),
        mass().prop_map(|mass| MoveWeight::Fill { mass }),
        mass().prop_map(|mass| MoveWeight::Dumps { mass }),
        mass().prop_map(|mass| MoveWeight::Full { mass }),
        Just(MoveWeight::Unknown {}),
    ];
    let rest = (
        of(moisture()),
        of(a_name()),
        any::<bool>(),
        "\\PC{0,40}",
        of(key()),
    );
    (ways(), a_name(), 1970u16..=2200, weight, rest).prop_map(
        |((from, to), crop, season, weight, (moisture, number, empties, remark, paper))| Move {
            from,
            to,
            crop,
            season,
            weight,
            moisture,
            number,
            empties,
            remark,
            paper,
        },
    )
}

fn dump() -> impl Strategy<Value = Dump> {
    let basis = select(vec![MonitorBasis::Wet, MonitorBasis::Dry]);
    let monitor = (mass(), unit(), basis).prop_map(|(mass, unit, basis)| MonitorReading {
        mass,
        unit,
        basis,
    });
    let names = (a_name(), a_name(), a_name(), a_name());
    let after = (
        of(decimal(0, 150)),
        of(any::<bool>()),
        any::<bool>(),
        "\\PC{0,40}",
    );
    (
        names,
        1970u16..=2200,
        of(decimal(0, 150)),
        of(monitor),
        of(moisture()),
        of(a_name()),
        (of(key()), after),
    )
        .prop_map(
            |(
                (machine, field, crop, into),
                season,
                fill,
                monitor,
                moisture,
                number,
                (paper, after),
            )| Dump {
                machine,
                field,
                crop,
                season,
                into,
                fill: fill.map(|percent| Fill { percent }),
                monitor,
                moisture,
                number,
                paper,
                into_fill: after.0.map(|percent| Fill { percent }),
                covered: after.1,
                mixed: after.2,
                remark: after.3,
            },
        )
}

fn count() -> impl Strategy<Value = Count> {
    let frame = prop_oneof![
        decimal(1, 10_000).prop_map(|area_m2| Frame::Area { area_m2 }),
        (decimal(1, 1_000), decimal(1, 100))
            .prop_map(|(long_m, wide_m)| Frame::Sides { long_m, wide_m }),
        decimal(1, 10).prop_map(|across_m| Frame::Hoop { across_m }),
    ];
    let tail = prop_oneof![
        of(decimal(1, 60)).prop_map(|width_m| Tail::Spread { width_m }),
        of(decimal(1, 60)).prop_map(|width_m| Tail::Windrow { width_m }),
        Just(Tail::Unknown {}),
    ];
    let at = select(vec![
        FrameAt::Standing,
        FrameAt::BehindHead,
        FrameAt::BehindMachine,
    ]);
    let found = (at, 0u32..=100_000, of(0u32..=100_000), any::<bool>()).prop_map(
        |(at, seeds, ears, loose)| Found {
            at,
            seeds: (loose || ears.is_none()).then_some(seeds),
            ears,
        },
    );
    (
        (a_name(), a_name(), of(a_name())),
        1970u16..=2200,
        frame,
        of(decimal(1, 30)),
        of(decimal(0, 10)),
        vec(found, 1..20),
        tail,
        of(decimal(0, 2_000)),
        "\\PC{0,40}",
    )
        .prop_map(
            |(
                (field, crop, machine),
                season,
                frame,
                cut_width_m,
                speed_m_s,
                frames,
                tail,
                thousand_seeds_g,
                remark,
            )| {
                Count {
                    field,
                    crop,
                    season,
                    machine,
                    frame,
                    cut_width_m,
                    speed_m_s,
                    frames,
                    tail,
                    thousand_seeds_g,
                    remark,
                }
            },
        )
}

fn arranged() -> impl Strategy<Value = Arranged> {
    (
        (a_name(), a_name(), of(a_name())),
        1970u16..=2200,
        of(contract()),
        prop_oneof![Just(vec![]), shares()],
        btree_map(a_name(), a_name(), 0..4),
        "\\PC{0,40}",
    )
        .prop_map(
            |((buyer, crop, field), season, terms, split, accounts, remark)| Arranged {
                buyer,
                crop,
                season,
                field,
                terms,
                split,
                accounts,
                remark,
            },
        )
}

fn unread() -> impl Strategy<Value = Unread> {
    let figures = btree_map("\\PC{0,10}", vec("\\PC{0,20}", 0..4), 0..6);
    ("\\PC{0,10}", figures, vec("\\PC{0,40}", 0..3)).prop_map(
        |(sent_as, figures, replaces_sent)| Unread {
            sent_as,
            figures,
            why: "it does not read".to_owned(),
            replaces_sent,
        },
    )
}

fn amount() -> impl Strategy<Value = StockAmount> {
    let shape = prop_oneof![
        Just(BinShape::Level {}),
        of(decimal(0, 30)).prop_map(|height_m| BinShape::Peak { height_m }),
        decimal(0, 60).prop_map(|depth_m| BinShape::Cone { depth_m }),
    ];
    let bin = (
        of(decimal(1, 60)),
        vec(decimal(0, 60), 1..24),
        shape,
        of(decimal(5, 100)),
        of(decimal(1, 2)),
    );
    prop_oneof![
        Just(StockAmount::Empty {}),
        mass().prop_map(|mass| StockAmount::Mass { mass }),
        bin.prop_map(
            |(diameter_m, wall_depths_m, shape, test_weight_lb_bu, packing)| StockAmount::Bin {
                diameter_m,
                wall_depths_m,
                shape,
                test_weight_lb_bu,
                packing
            }
        ),
    ]
}

fn stocks() -> impl Strategy<Value = Payload> {
    (
        a_name(),
        a_name(),
        1970u16..=2200,
        amount(),
        of(moisture()),
        of(decimal(0, 100)),
        any::<bool>(),
    )
        .prop_map(
            |(place, crop, season, amount, moisture, sd_percent, opening)| {
                if opening {
                    Opening {
                        place,
                        crop,
                        season,
                        amount,
                        moisture,
                    }
                    .into()
                } else {
                    Measure {
                        place,
                        crop,
                        season,
                        amount,
                        moisture,
                        sd_percent,
                    }
                    .into()
                }
            },
        )
}

fn plantings() -> impl Strategy<Value = Payload> {
    let source = select(vec![AcresSource::Reported, AcresSource::Measured]);
    let acres =
        (source, decimal(1, 100_000)).prop_map(|(source, area_ac)| vec![Acres { source, area_ac }]);
    (
        a_name(),
        a_name(),
        1970u16..=2200,
        shares(),
        of(a_name()),
        acres,
    )
        .prop_map(|(field, crop, season, shares, practice, acres)| {
            Planting {
                field,
                crop,
                season,
                shares,
                practice,
                acres,
            }
            .into()
        })
}

fn outline() -> impl Strategy<Value = Boundary> {
    vec((-180.0..=180.0f64, -90.0..=90.0f64), 3..30).prop_map(|mut ring| {
        ring.push(ring[0]);
        let ring: Vec<[f64; 2]> = ring.into_iter().map(|(x, y)| [x, y]).collect();
        let text = serde_json::json!({"type": "MultiPolygon", "coordinates": [[ring]]}).to_string();
        Boundary::new(text).unwrap()
    })
}

fn fields() -> impl Strategy<Value = Payload> {
    (
        a_name(),
        of(outline()),
        of(a_name()),
        of(a_name()),
        of(a_name()),
        of(a_name()),
    )
        .prop_map(
            |(name, boundary, farm_number, tract_number, field_number, unit_number)| {
                Field {
                    name,
                    boundary,
                    farm_number,
                    tract_number,
                    field_number,
                    unit_number,
                    acres: vec![],
                }
                .into()
            },
        )
}

/// Any payload; the setup kinds with few free fields come from the fixed list.
pub(crate) fn a_payload() -> impl Strategy<Value = Payload> {
    let fixed = select(all());
    let corrected = (weighed(), "\\PC{1,40}").prop_filter_map("a reason", |(now, reason)| {
        let now = Box::new(now.into());
        let payload = Payload::from(Correction {
            of: id(1),
            reason,
            now,
        });
        payload.check().is_ok().then_some(payload)
    });
    let note = "[\\PC\\n\\r\\t]{1,200}".prop_filter_map("words", |text| {
        let payload = Payload::from(Note {
            text,
            about: vec![],
            of: vec![],
            question: false,
        });
        payload.check().is_ok().then_some(payload)
    });
    prop_oneof![
        fixed,
        weighed().prop_map(Payload::from),
        moved().prop_map(Payload::from),
        dump().prop_map(Payload::from),
        count().prop_map(Payload::from),
        arranged().prop_map(Payload::from),
        unread().prop_map(Payload::from),
        stocks(),
        plantings(),
        fields(),
        corrected,
        note,
    ]
}
