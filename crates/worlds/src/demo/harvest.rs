//! The demo season as it went: barley in July, oats in August, corn in October, the bin in November.

use super::ground::{BIN, BUYER, TRUCK, WAGONS, bin};
use super::{DemoBinMeasure, DemoContract};
use crate::paper::Scale;
use crate::scribe::{Combine, Heap, Scribe, TicketStyle};
use quantity::MassUnit;
use std::collections::BTreeMap;
use std::f64::consts::PI;

const MINUTE: i64 = 60_000;
const DAY: i64 = 86_400_000;
/// 00:00 on the farm's summer clock (UTC - 5 h) of a day counted from 1970.
const fn midnight(day: i64) -> i64 {
    day * DAY + 5 * 60 * MINUTE
}
const JULY_22: i64 = midnight(20_291);
const AUGUST_5: i64 = midnight(20_305);
const OCTOBER_10: i64 = midnight(20_371);
const NOVEMBER_20: i64 = midnight(20_412);

/// What the season left behind beside its slips.
#[derive(Default)]
pub(super) struct Told {
    pub(super) measures: Vec<DemoBinMeasure>,
    /// Tickets by the contract that they go under, by the names they had while written.
    under: BTreeMap<&'static str, Vec<String>>,
}

impl Told {
    /// The contracts with final slip names.
    pub(super) fn contracts(&self, names: &BTreeMap<String, String>) -> Vec<DemoContract> {
        [
            ("barley-cash", "barley", Some("4.85")),
            ("oats-cash", "oats", Some("3.60")),
            ("corn-cash", "corn", Some("4.15")),
            ("corn-later", "corn", None),
        ]
        .into_iter()
        .map(|(id, crop, price)| DemoContract {
            id: id.to_owned(),
            crop: crop.to_owned(),
            price_per_bu: price.map(str::to_owned),
            slips: self
                .under
                .get(id)
                .into_iter()
                .flatten()
                .filter_map(|slip| names.get(slip).cloned())
                .collect(),
        })
        .collect()
    }
}

/// One wagon load: the fields its two tanks came from.
struct Load {
    crop: &'static str,
    fields: [&'static str; 2],
    moisture_pct: f64,
    tank_lb: f64,
}

/// Cuts, hauls and measures the whole season.
pub(super) fn run(scribe: &mut Scribe, combine: &Combine) -> Told {
    let mut told = Told::default();
    let barley = |field| Load {
        crop: "barley",
        fields: [field, field],
        moisture_pct: 13.4,
        tank_lb: 7_900.0,
    };
    let corn = |first, second| Load {
        crop: "corn",
        fields: [first, second],
        moisture_pct: 18.6,
        tank_lb: 9_200.0,
    };
    let oats = || Load {
        crop: "oats",
        fields: ["kiln-hollow"; 2],
        moisture_pct: 12.4,
        tank_lb: 6_600.0,
    };
    scribe.measure(JULY_22, BIN, "corn", true);
    day(
        scribe,
        combine,
        &mut told,
        JULY_22,
        &[
            barley("upper-bench"),
            barley("upper-bench"),
            barley("upper-bench"),
        ],
        "barley-cash",
    );
    day(
        scribe,
        combine,
        &mut told,
        JULY_22 + DAY,
        &[
            barley("creek-bench"),
            barley("creek-bench"),
            barley("creek-bench"),
        ],
        "barley-cash",
    );
    day(
        scribe,
        combine,
        &mut told,
        AUGUST_5,
        &[oats(), oats(), oats()],
        "oats-cash",
    );
    // the third load is topped up from the next field: two fields in one wagon
    let first = [
        corn("stile-piece", "stile-piece"),
        corn("stile-piece", "stile-piece"),
        corn("stile-piece", "long-slope"),
        corn("long-slope", "long-slope"),
        corn("long-slope", "long-slope"),
    ];
    day(scribe, combine, &mut told, OCTOBER_10, &first, "corn-cash");
    let second = [
        corn("long-slope", "long-slope"),
        corn("long-slope", "long-slope"),
        corn("ferry-lot", "ferry-lot"),
        corn("ferry-lot", "ferry-lot"),
    ];
    day(
        scribe,
        combine,
        &mut told,
        OCTOBER_10 + DAY,
        &second,
        "corn-cash",
    );
    day(
        scribe,
        combine,
        &mut told,
        OCTOBER_10 + 3 * DAY,
        &[corn("ferry-lot", "ferry-lot")],
        "corn-later",
    );
    let kept: Vec<Load> = (0..3).map(|_| corn("ferry-lot", "ferry-lot")).collect();
    to_bin(scribe, combine, &mut told, OCTOBER_10 + 4 * DAY, &kept);
    november(scribe, &mut told);
    told
}

fn tanks(scribe: &mut Scribe, combine: &Combine, at: i64, load: &Load, wagon: &str) -> i64 {
    let mut at = at;
    for field in load.fields {
        at += scribe.stream.whole(28, 46) * MINUTE;
        let wet = load.tank_lb * scribe.stream.between(0.88, 1.05);
        let moisture = scribe.stream.normal_of(load.moisture_pct, 0.5);
        scribe.dump(
            at,
            combine,
            field,
            wagon,
            load.crop,
            Heap::of(wet, moisture),
        );
    }
    at
}

fn day(
    scribe: &mut Scribe,
    combine: &Combine,
    told: &mut Told,
    midnight: i64,
    loads: &[Load],
    contract: &'static str,
) {
    let mut at = midnight + 10 * 60 * MINUTE;
    for (turn, load) in loads.iter().enumerate() {
        let wagon = WAGONS[turn % WAGONS.len()];
        at = tanks(scribe, combine, at, load, wagon);
        let style = mill(scribe, load.crop);
        let there = at + scribe.stream.whole(35, 60) * MINUTE;
        let slip = scribe.ticket(there, &[wagon], BUYER, load.crop, &style);
        told.under.entry(contract).or_default().push(slip);
    }
    look_into_wagons(scribe, midnight, loads);
}

/// Wagons are looked into at night.
fn look_into_wagons(scribe: &mut Scribe, midnight: i64, loads: &[Load]) {
    for (wagon, load) in WAGONS.into_iter().zip(loads) {
        scribe.measure(midnight + 22 * 60 * MINUTE, wagon, load.crop, true);
    }
}

/// How the mill's ticket was copied.
fn mill(scribe: &mut Scribe, crop: &str) -> TicketStyle {
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    let factors = match crop {
        "barley" => vec![("dockage".to_owned(), tenth(scribe.stream.between(0.6, 2.4)))],
        "corn" => vec![(
            "broken_and_foreign".to_owned(),
            tenth(scribe.stream.between(0.8, 2.9)),
        )],
        _ => Vec::new(),
    };
    TicketStyle {
        scale: Scale::Certified,
        unit: MassUnit::Lb,
        step: 20,
        net_only: scribe.stream.chance(0.3),
        shared_tare: scribe.stream.chance(0.3),
        meter: Some("mill-bench".to_owned()),
        factors,
    }
}

fn to_bin(scribe: &mut Scribe, combine: &Combine, told: &mut Told, midnight: i64, loads: &[Load]) {
    let mut at = midnight + 11 * 60 * MINUTE;
    for (turn, load) in loads.iter().enumerate() {
        let wagon = WAGONS[turn % WAGONS.len()];
        at = tanks(scribe, combine, at, load, wagon);
        let style = TicketStyle {
            scale: Scale::Cart,
            net_only: true,
            shared_tare: false,
            step: 10,
            meter: Some("hand".to_owned()),
            factors: Vec::new(),
            unit: MassUnit::Lb,
        };
        scribe.ticket(at + 20 * MINUTE, &[wagon], BIN, load.crop, &style);
    }
    look_into_wagons(scribe, midnight, loads);
    tape(scribe, told, midnight + 21 * 60 * MINUTE, 1.5);
}

/// Two truck loads out of the bin, and what is left measured again.
fn november(scribe: &mut Scribe, told: &mut Told) {
    let mut at = NOVEMBER_20 + 9 * 60 * MINUTE;
    for _ in 0..2 {
        let share = 19_500.0 / scribe.heap(BIN, "corn").wet_lb();
        scribe.shift(at, BIN, TRUCK, "corn", share, true);
        let style = mill(scribe, "corn");
        let slip = scribe.ticket(at + 50 * MINUTE, &[TRUCK], BUYER, "corn", &style);
        told.under.entry("corn-cash").or_default().push(slip);
        at += 130 * MINUTE;
    }
    tape(scribe, told, at, -1.5);
}

/// The bin measured by tape: depth, peak or hollow, test weight and packing, and the mass that follows.
///
/// Volume of a cylinder and a third of the cone on its wall depth; 1 bushel is 2150.42 cubic inches.
fn tape(scribe: &mut Scribe, told: &mut Told, at_ms: i64, peak_ft: f64) {
    let stock = scribe.measure(at_ms, BIN, "corn", false);
    let test_weight = 55.5;
    let packing_pct = 2.0;
    let Some(record) = scribe.record.stocks.iter_mut().find(|s| s.id == stock) else {
        return;
    };
    let floor_ft2 = PI / 4.0 * bin().diameter_ft.powi(2);
    let lb_per_ft = floor_ft2 * 1_728.0 / 2_150.42 * test_weight * (1.0 + packing_pct / 100.0);
    // a tape is read to a quarter of a tenth
    let depth_ft = ((record.wet_lb as f64 / lb_per_ft - peak_ft / 3.0) * 40.0).round() / 40.0;
    record.wet_lb = ((depth_ft + peak_ft / 3.0) * lb_per_ft).round() as i64;
    told.measures.push(DemoBinMeasure {
        stock,
        depth_ft,
        peak_ft,
        test_weight_lb_bu: test_weight,
        packing_pct,
    });
}
