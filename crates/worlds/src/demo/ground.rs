//! The land, the people and the gear of the demo farm: the same for every seed.

use super::{Corner, DemoBin, DemoField, DemoPerson};
use crate::mistake::Factor;
use crate::paper::{MeterKind, PlaceKind};
use crate::scribe::{Combine, Scribe};
use quantity::MassUnit;
use std::collections::BTreeMap;
use std::f64::consts::PI;

pub(super) const BUYER: &str = "mill-pit";
pub(super) const BIN: &str = "creek-bin";
pub(super) const TRUCK: &str = "borrowed-truck";
pub(super) const WAGONS: [&str; 3] = ["red-wagon", "blue-wagon", "gray-wagon"];
/// The field whose raw points are kept.
pub(super) const POINTS_FIELD: &str = "stile-piece";
/// Southwest corner of the farm, degrees: nowhere in particular.
const ORIGIN: (f64, f64) = (-90.8512, 44.0476);
/// Square meters in an acre.
const ACRE_M2: f64 = 4_046.856_422_4;

/// Degrees for meters east and north of the farm's corner, on a sphere of 6,371 km.
pub(super) fn corner(east_m: f64, north_m: f64) -> Corner {
    let degree_m = 6_371_000.0 * PI / 180.0;
    let lat = ORIGIN.1 + north_m / degree_m;
    let lon = ORIGIN.0 + east_m / (degree_m * (ORIGIN.1 * PI / 180.0).cos());
    Corner {
        lon: (lon * 1e7).round() / 1e7,
        lat: (lat * 1e7).round() / 1e7,
    }
}

/// Corners of the field that has a points file, meters: west, south, east, north.
pub(super) const STILE_M: [f64; 4] = [820.0, 90.0, 1_045.0, 254.6];

fn ring_m(id: &str) -> Vec<(f64, f64)> {
    match id {
        // the bench above the creek, cut by the lane
        "upper-bench" => vec![
            (0.0, 0.0),
            (262.0, 0.0),
            (262.0, 208.0),
            (40.0, 224.0),
            (0.0, 180.0),
        ],
        // follows the creek along its north side
        "creek-bench" => vec![
            (280.0, 0.0),
            (520.0, 0.0),
            (530.0, 150.0),
            (410.0, 214.0),
            (280.0, 190.0),
        ],
        // oats on the slope
        "kiln-hollow" => vec![(0.0, 260.0), (250.0, 250.0), (265.0, 500.0), (20.0, 520.0)],
        "stile-piece" => {
            let [west, south, east, north] = STILE_M;
            vec![(west, south), (east, south), (east, north), (west, north)]
        }
        "long-slope" => vec![
            (1_080.0, 60.0),
            (1_290.0, 90.0),
            (1_270.0, 330.0),
            (1_075.0, 300.0),
        ],
        // across the creek, rented
        _ => vec![
            (830.0, 420.0),
            (1_120.0, 430.0),
            (1_100.0, 620.0),
            (840.0, 640.0),
        ],
    }
}

fn area_m2(ring: &[(f64, f64)]) -> f64 {
    let mut twice = 0.0;
    for (at, here) in ring.iter().enumerate() {
        let next = ring[(at + 1) % ring.len()];
        twice += here.0 * next.1 - next.0 * here.1;
    }
    twice / 2.0
}

/// The six fields.
pub(super) fn fields() -> Vec<DemoField> {
    let tenth = |acres: f64| (acres * 10.0).round() / 10.0;
    [
        ("upper-bench", "barley", "unit-1", (4_471, 118, 1)),
        ("creek-bench", "barley", "unit-1", (4_471, 118, 2)),
        ("kiln-hollow", "oats", "unit-1", (4_471, 118, 4)),
        ("stile-piece", "corn", "unit-1", (4_471, 121, 1)),
        ("long-slope", "corn", "unit-1", (4_471, 121, 2)),
        ("ferry-lot", "corn", "unit-2", (4_602, 77, 3)),
    ]
    .into_iter()
    .map(|(id, crop, unit, numbers)| {
        let ring = ring_m(id);
        let acres = area_m2(&ring) / ACRE_M2;
        DemoField {
            id: id.to_owned(),
            boundary: ring
                .iter()
                .map(|(east, north)| corner(*east, *north))
                .collect(),
            measured_ac: (acres * 100.0).round() / 100.0,
            // reported before the tree line was measured out
            reported_ac: tenth(acres * 1.02),
            planted_ac: tenth(acres * 1.01),
            farm_tract_field: numbers,
            unit: unit.to_owned(),
            crop: crop.to_owned(),
            share: (id == "ferry-lot").then(|| ("landowner".to_owned(), 40.0)),
        }
    })
    .collect()
}

/// The people, by what they do.
pub(super) fn people() -> Vec<DemoPerson> {
    [
        ("owner", "owner, runs the combine"),
        ("helper", "helper, drives the wagons"),
        ("landowner", "landowner of the rented field"),
    ]
    .into_iter()
    .map(|(id, role)| DemoPerson {
        id: id.to_owned(),
        role: role.to_owned(),
    })
    .collect()
}

/// The bin.
pub(super) fn bin() -> DemoBin {
    DemoBin {
        id: BIN.to_owned(),
        diameter_ft: 15.0,
        eave_ft: 16.0,
    }
}

/// The mill's schedules, one a crop.
pub(super) fn schedules() -> Vec<(String, String)> {
    [
        ("barley", include_str!("schedules/barley.toml")),
        ("oats", include_str!("schedules/oats.toml")),
        ("corn", include_str!("schedules/corn.toml")),
    ]
    .into_iter()
    .map(|(crop, text)| (crop.to_owned(), text.to_owned()))
    .collect()
}

/// Tells the scribe of every place and meter; returns the combine.
pub(super) fn furnish(scribe: &mut Scribe, fields: &[DemoField]) -> Combine {
    scribe.meter("mill-bench", MeterKind::Buyer, true);
    scribe.meter("hand", MeterKind::Hand, false);
    scribe.meter("combine-sensor", MeterKind::Combine, false);
    scribe.record.machines.push("combine".to_owned());
    for field in fields {
        scribe.place(&field.id, PlaceKind::Standing, None, None);
    }
    for (wagon, tare) in WAGONS.into_iter().zip([5_420.0, 9_860.0, 7_640.0]) {
        let tare = tare + scribe.stream.between(-150.0, 150.0);
        scribe.place(wagon, PlaceKind::Wagon, Some(21_000.0), Some(tare));
    }
    scribe.place(TRUCK, PlaceKind::Truck, Some(22_000.0), Some(12_900.0));
    scribe.place(BIN, PlaceKind::Bin, Some(110_000.0), None);
    scribe.place(BUYER, PlaceKind::Pit, None, None);
    scribe.place("spill", PlaceKind::Spill, None, None);
    let mut factors = BTreeMap::new();
    // nobody ever set the monitor for oats
    for crop in ["barley", "corn"] {
        let k = scribe.stream.between(0.88, 1.12);
        factors.insert(crop.to_owned(), k);
        scribe.truth.factors.push(Factor {
            machine: "combine".to_owned(),
            crop: crop.to_owned(),
            k,
        });
    }
    for (crop, mean) in [("barley", 47.5), ("oats", 36.5), ("corn", 55.5)] {
        let weight = scribe.stream.normal_of(mean, 0.7);
        scribe.test_weight.insert(crop.to_owned(), weight);
    }
    Combine {
        id: "combine".to_owned(),
        meter: "combine-sensor".to_owned(),
        shows_dry: false,
        unit: MassUnit::Lb,
        factors,
    }
}
