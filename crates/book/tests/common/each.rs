//! One payload of every kind, all fields filled.

use super::{id, name};
use book::Sha256Key;
use book::kinds::*;
use quantity::{Mass, MassUnit, Moisture, Money};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

pub(crate) fn lb(pounds: i64) -> Mass {
    Mass::from_units(pounds * 45_359_237)
}

pub(crate) fn dec(text: &str) -> Decimal {
    text.parse().unwrap()
}

pub(crate) fn reading(ppm: u32) -> MoistureReading {
    MoistureReading {
        value: Moisture::from_ppm(ppm).unwrap(),
        meter: Some(name("pit meter")),
    }
}

pub(crate) fn ticket() -> Weighed {
    Weighed {
        from: vec![name("red wagon"), name("green wagon")],
        to: name("river pit"),
        crop: name("corn"),
        season: 2026,
        weight: ScaleWeight {
            gross: Some(lb(78_460)),
            tare: Some(lb(26_240)),
            shared_tare: Some(name("monday's tare")),
            net: lb(52_220),
            step: lb(20),
            unit: MassUnit::Lb,
            class: ScaleClass::Certified,
        },
        moisture: Some(reading(182_000)),
        test_weight_lb_bu: Some(dec("56.5")),
        factors: BTreeMap::from([(name("foreign_material"), dec("1.20"))]),
        number: Some(name("48213")),
        buyer: Some(name("river")),
        field: Some(name("creek bottom")),
        contract: Some(Contract::Sell {
            number: Some(name("C-7")),
            price_per_bu: Some(dec("4.15")),
        }),
        split: vec![
            Share {
                person: name("grower"),
                percent: dec("66.6667"),
            },
            Share {
                person: name("landlord"),
                percent: dec("33.3333"),
            },
        ],
        empties: true,
        paper: Some(Sha256Key::of(b"a photograph")),
    }
}

pub(crate) fn count() -> Count {
    let found = |at, seeds, ears| Found { at, seeds, ears };
    Count {
        field: name("creek bottom"),
        crop: name("corn"),
        season: 2026,
        machine: Some(name("combine")),
        frame: Frame::Sides {
            long_m: dec("5.3035"),
            wide_m: dec("4.572"),
        },
        cut_width_m: Some(dec("4.572")),
        speed_m_s: Some(dec("1.34112")),
        frames: vec![
            found(FrameAt::Standing, Some(2), None),
            found(FrameAt::BehindHead, Some(14), Some(1)),
            found(FrameAt::BehindMachine, None, Some(0)),
        ],
        tail: Tail::Windrow {
            width_m: Some(dec("1.8288")),
        },
        thousand_seeds_g: Some(dec("305.5")),
        remark: "rotor 20 slower".to_owned(),
    }
}

fn square() -> Boundary {
    Boundary::new(
        r#"{"type":"Polygon","coordinates":[[[-95.1,44.0],[-95.0,44.0],[-95.0,44.1],[-95.1,44.0]]]}"#,
    )
    .unwrap()
}

fn bin() -> StockAmount {
    StockAmount::Bin {
        diameter_m: Some(dec("9.144")),
        wall_depths_m: vec![dec("4.8768"), dec("4.9")],
        shape: BinShape::Peak {
            height_m: Some(dec("1.8288")),
        },
        test_weight_lb_bu: Some(dec("57")),
        packing: Some(dec("1.04")),
    }
}

fn buyer() -> Buyer {
    let schedule = serde_json::json!({
        "name": "new corn, cash", "buyer": "river", "contract": "cash", "crop": "corn",
        "base_moisture_pct": "15.0", "unit_lb": "56",
        "line": [{
            "name": "shrink", "factor": "moisture", "when": "above", "from": "15.0", "step": "1",
            "excess": "tenth", "kind": "percent_of_gross_weight", "charge": {"per_step": "1.4"},
        }],
    });
    Buyer {
        name: name("river"),
        schedules: vec![BuyerSchedule {
            name: name("2026 corn, cash"),
            crop: name("corn"),
            season: 2026,
            schedule,
        }],
        receiving: vec![Receiving {
            crop: name("corn"),
            hours: vec![Hours {
                weekday: 1,
                opens_min: 420,
                closes_min: 1140,
            }],
            top_moisture: Some(Moisture::from_ppm(200_000).unwrap()),
            vehicles: vec![name("gravity wagon")],
        }],
        location: Some(name("nine miles down the valley")),
    }
}

/// One payload of every kind; corrections of tickets stand for all corrections.
pub(crate) fn all() -> Vec<Payload> {
    vec![
        Farm {
            name: name("home"),
            insured_name: Some(name("the home farm")),
            zone: name("America/Chicago"),
        }
        .into(),
        Field {
            name: name("creek bottom"),
            boundary: Some(square()),
            farm_number: Some(name("1234")),
            tract_number: Some(name("567")),
            field_number: Some(name("8")),
            unit_number: Some(name("0001-0002")),
            acres: vec![
                Acres {
                    source: AcresSource::Reported,
                    area_ac: dec("67.64"),
                },
                Acres {
                    source: AcresSource::Cut,
                    area_ac: dec("66.9"),
                },
            ],
        }
        .into(),
        Planting {
            field: name("creek bottom"),
            crop: name("corn"),
            season: 2026,
            shares: ticket().split,
            practice: Some(name("no-till")),
            acres: vec![Acres {
                source: AcresSource::Planted,
                area_ac: dec("66"),
            }],
        }
        .into(),
        Opening {
            place: name("north bin"),
            crop: name("corn"),
            season: 2025,
            amount: StockAmount::Mass { mass: lb(112_000) },
            moisture: Some(reading(140_000)),
        }
        .into(),
        Machine {
            name: name("combine"),
            tank: Some(lb(12_000)),
            monitor: Some(MonitorBasis::Wet),
        }
        .into(),
        Place {
            name: name("red wagon"),
            kind: PlaceKind::Wagon,
            capacity: Some(lb(20_000)),
            tare: Some(lb(5_240)),
            diameter_m: None,
            wall_m: None,
            location: Some(name("yard")),
        }
        .into(),
        Meter {
            name: name("pit meter"),
            kind: MeterKind::Buyer,
            of: Some(name("river")),
        }
        .into(),
        buyer().into(),
        Person {
            name: name("landlord"),
            roles: vec![Role::Landlord, Role::Help],
            usual_share_percent: Some(dec("33.3333")),
            language: Some(Language::Spanish),
            telephone: Some(name("555 0142")),
        }
        .into(),
        Dump {
            machine: name("combine"),
            field: name("creek bottom"),
            crop: name("corn"),
            season: 2026,
            into: name("red wagon"),
            fill: Some(Fill {
                percent: dec("105"),
            }),
            monitor: Some(MonitorReading {
                mass: lb(13_610),
                unit: MassUnit::Lb,
                basis: MonitorBasis::Wet,
            }),
            moisture: Some(reading(178_000)),
            number: Some(name("3")),
            paper: Some(Sha256Key::of(b"a card")),
            into_fill: Some(Fill { percent: dec("75") }),
            covered: Some(true),
            mixed: true,
            remark: "the last of the headland".to_owned(),
        }
        .into(),
        ticket().into(),
        Move {
            from: vec![name("north bin")],
            to: name("truck"),
            crop: name("corn"),
            season: 2025,
            weight: MoveWeight::Scale {
                weight: ticket().weight,
            },
            moisture: Some(reading(140_000)),
            number: Some(name("12")),
            empties: false,
            remark: "to make room".to_owned(),
            paper: Some(Sha256Key::of(b"a card")),
        }
        .into(),
        Measure {
            place: name("north bin"),
            crop: name("corn"),
            season: 2026,
            amount: bin(),
            moisture: Some(reading(145_000)),
            sd_percent: Some(dec("3")),
        }
        .into(),
        Sample {
            of: name("creek bottom"),
            crop: name("corn"),
            season: 2026,
            how: SampleHow::HandShelled,
            readings: vec![reading(221_000), reading(219_500)],
            test_weight_lb_bu: Some(dec("55.1")),
            factors: BTreeMap::from([(name("total_damage"), dec("0.4"))]),
            count: Some(10),
            temperature: Some(Temperature {
                degrees: dec("71.5"),
                scale: TemperatureScale::F,
            }),
        }
        .into(),
        FileKept {
            sha256: Sha256Key::of(b"points"),
            name: name("creek-bottom.csv"),
            bytes: 6,
            purpose: FilePurpose::CombinePoints,
            of: vec![name("creek bottom"), name("combine")],
        }
        .into(),
        Note {
            text: "first frost\non the low ground".to_owned(),
            about: vec![id(1)],
            of: vec![name("creek bottom")],
            question: true,
        }
        .into(),
        count().into(),
        Stop {
            machine: Some(name("combine")),
            field: Some(name("creek bottom")),
            why: StopWhy::Breakdown,
            part: Some(name("feeder chain")),
            cost: Some(Money::from_units(4_218_500)),
            minutes: Some(95),
            remark: "two links".to_owned(),
        }
        .into(),
        Go {
            stop: id(1),
            why: Some(StopWhy::Breakdown),
            part: Some(name("feeder chain")),
            cost: Some(Money::from_units(4_218_500)),
            remark: "new chain".to_owned(),
        }
        .into(),
        CallAt {
            unit: name("0001-0002"),
            crop: name("corn"),
            season: 2026,
            insurance_bu_ac: dec("131.5"),
            notice_by: Some(Day::new(2026, 12, 10).unwrap()),
            agent: Some(name("the agent in town")),
            telephone: Some(name("555 0117")),
            remark: "before the last round".to_owned(),
        }
        .into(),
        GrainContract {
            number: Some(name("C-7")),
            buyer: name("river"),
            crop: name("corn"),
            season: 2026,
            buyers_bu: dec("5000"),
            price_per_bu: Some(dec("4.15")),
            deliver_by: Some(Day::new(2026, 11, 30).unwrap()),
            remark: "by truck".to_owned(),
        }
        .into(),
        Arranged {
            buyer: name("river"),
            crop: name("corn"),
            season: 2026,
            field: Some(name("creek bottom")),
            terms: ticket().contract,
            split: ticket().split,
            accounts: BTreeMap::from([(name("landlord"), name("LANDLORD TRUST"))]),
            remark: "west pit".to_owned(),
        }
        .into(),
        Ready {
            text: "torque the wheel nuts".to_owned(),
            list: name("walk-round"),
            often: Often::Once,
            reading: Some(ReadyReading {
                what: name("torque"),
                unit: name("lb ft"),
                least: Some(dec("430")),
                most: Some(dec("470")),
            }),
            every_engine_h: Some(dec("50")),
        }
        .into(),
        Ticked {
            item: id(1),
            day: Day::new(2026, 10, 6).unwrap(),
            value: Some(dec("445")),
            engine_h: Some(dec("1843.6")),
        }
        .into(),
        Setting {
            machine: name("combine"),
            field: Some(name("creek bottom")),
            crop: Some(name("corn")),
            season: 2026,
            changes: vec![
                SettingChange {
                    what: SettingOf::Fan,
                    from: Some(name("900")),
                    to: name("850"),
                    unit: Some(name("rpm")),
                },
                SettingChange {
                    what: SettingOf::DeckPlates,
                    from: None,
                    to: name("1 1/4"),
                    unit: Some(name("in")),
                },
            ],
            tank_before: TankSeen {
                cracked_pct: Some(dec("2.5")),
                foreign_pct: Some(dec("1.2")),
                unthreshed: Some(Seen::None),
                dirt: Some(Seen::Some),
            },
            tank_after: TankSeen {
                cracked_pct: Some(dec("1.5")),
                ..TankSeen::default()
            },
            remark: "chaff in the tank".to_owned(),
        }
        .into(),
        Cover {
            place: name("red wagon"),
            covered: true,
        }
        .into(),
        Copied {
            kept_at: name("stick in the truck"),
            entries: 412,
        }
        .into(),
        Unread {
            sent_as: "dump".to_owned(),
            figures: BTreeMap::from([("monitor".to_owned(), vec!["a lot".to_owned()])]),
            why: "monitor: found 'a lot', expected a mass".to_owned(),
            replaces_sent: vec!["01a0".to_owned()],
        }
        .into(),
        SeasonSettings {
            season: 2026,
            day_begins_hour: 4,
            hour: Some(Money::from_units(1_800_000)),
            remark: "two shifts".to_owned(),
        }
        .into(),
        Correction {
            of: id(1),
            reason: "the paper ticket says so".to_owned(),
            now: Box::new(ticket().into()),
        }
        .into(),
        Void {
            reason: "entered twice".to_owned(),
        }
        .into(),
    ]
}
