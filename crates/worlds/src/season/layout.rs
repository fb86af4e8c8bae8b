//! A farm drawn at random: crops, fields, wagons, combines, buyers, and perhaps a bin and a dryer.

use crate::paper::{MeterKind, PlaceKind, Scale};
use crate::scribe::{Combine, Scribe, TicketStyle};
use quantity::MassUnit;
use std::collections::BTreeMap;

/// One crop of the season.
pub(super) struct Crop {
    pub(super) name: &'static str,
    pub(super) lb_per_bu: f64,
    pub(super) moisture_pct: f64,
    pub(super) buyer: String,
    pub(super) style: TicketStyle,
    pub(super) bin: Option<String>,
    /// Goes through the dryer on its way to the bin.
    pub(super) dried: bool,
}

pub(super) struct Wagon {
    pub(super) name: String,
    /// Tanks to a level load.
    pub(super) tanks: usize,
    /// Carries its list tare onto tickets instead of being weighed empty.
    pub(super) shared_tare: bool,
}

pub(super) struct Layout {
    pub(super) crops: Vec<Crop>,
    /// Name and index of the crop.
    pub(super) fields: Vec<(String, usize)>,
    pub(super) wagons: Vec<Wagon>,
    pub(super) combines: Vec<Combine>,
    pub(super) tank_bu: f64,
    pub(super) truck: Option<String>,
}

const CROPS: [(&str, f64, f64); 6] = [
    ("corn", 56.0, 18.5),
    ("soybean", 60.0, 12.5),
    ("wheat-hrw", 60.0, 13.2),
    ("sorghum", 56.0, 15.0),
    ("oats", 32.0, 13.0),
    ("canola", 50.0, 9.5),
];

/// Draws a farm and tells the scribe of its places and meters.
pub(super) fn draw(scribe: &mut Scribe) -> Layout {
    let wanted = scribe.stream.whole(2, 3) as usize;
    let mut order: Vec<usize> = (0..CROPS.len()).collect();
    scribe.stream.shuffle(&mut order);
    scribe.meter("bench-0", MeterKind::Buyer, true);
    let two_buyers = scribe.stream.chance(0.5);
    if two_buyers {
        scribe.meter("bench-1", MeterKind::Buyer, false);
    }
    scribe.meter("hand", MeterKind::Hand, false);
    for buyer in 0..=usize::from(two_buyers) {
        scribe.place(&format!("pit-{buyer}"), PlaceKind::Pit, None, None);
    }
    let tank_bu = scribe.stream.between(140.0, 260.0);
    let dryer = scribe.stream.chance(0.3);
    let mut crops = Vec::new();
    for &which in order.iter().take(wanted) {
        let (name, lb_per_bu, moisture) = CROPS[which];
        let buyer = if two_buyers {
            scribe.stream.below(2)
        } else {
            0
        };
        // one buyer in eight weighs in kilograms
        let metric = scribe.stream.chance(0.125);
        let bin = scribe.stream.chance(0.5).then(|| format!("bin-{name}"));
        let dried = dryer && bin.is_some() && moisture > 14.0;
        crops.push(Crop {
            name,
            lb_per_bu,
            moisture_pct: scribe.stream.normal_of(moisture, 1.2).max(7.0),
            buyer: format!("pit-{buyer}"),
            style: TicketStyle {
                scale: Scale::Certified,
                unit: if metric { MassUnit::Kg } else { MassUnit::Lb },
                step: if metric { 10 } else { 20 },
                net_only: false,
                shared_tare: false,
                meter: Some(format!("bench-{buyer}")),
                factors: Vec::new(),
            },
            bin,
            dried,
        });
        let weight = scribe.stream.normal_of(lb_per_bu, 1.0);
        scribe.test_weight.insert(name.to_owned(), weight);
    }
    for crop in &crops {
        if let Some(bin) = &crop.bin {
            scribe.place(bin, PlaceKind::Bin, Some(12_000.0 * crop.lb_per_bu), None);
        }
    }
    if crops.iter().any(|c| c.dried) {
        scribe.place("dryer", PlaceKind::Dryer, None, None);
    }
    let mut fields = Vec::new();
    let count = crops.len() + 1 + scribe.stream.below(8 - crops.len());
    for field in 0..count {
        // every crop has a field before any has a second
        let crop = if field < crops.len() {
            field
        } else {
            scribe.stream.below(crops.len())
        };
        let name = format!("field-{}", field + 1);
        scribe.place(&name, PlaceKind::Standing, None, None);
        fields.push((name, crop));
    }
    let count = scribe.stream.whole(3, 6) as usize;
    let mut wagons = Vec::new();
    for wagon in 0..count {
        let name = format!("wagon-{}", wagon + 1);
        let tanks = scribe.stream.whole(1, 3) as usize;
        let capacity = tanks as f64 * tank_bu * 58.0;
        let tare = scribe.stream.between(0.26, 0.34) * capacity + 1_500.0;
        scribe.place(&name, PlaceKind::Wagon, Some(capacity), Some(tare));
        wagons.push(Wagon {
            name,
            tanks,
            shared_tare: scribe.stream.chance(0.4),
        });
    }
    let truck = crops.iter().any(|c| c.bin.is_some()).then(|| {
        scribe.place("truck", PlaceKind::Truck, Some(48_000.0), Some(26_300.0));
        "truck".to_owned()
    });
    for place in [("feed", PlaceKind::Feed), ("spill", PlaceKind::Spill)] {
        scribe.place(place.0, place.1, None, None);
    }
    let count = 1 + usize::from(scribe.stream.chance(0.25));
    let combines = (1..=count).map(|n| combine(scribe, n, &crops)).collect();
    Layout {
        crops,
        fields,
        wagons,
        combines,
        tank_bu,
        truck,
    }
}

fn combine(scribe: &mut Scribe, number: usize, crops: &[Crop]) -> Combine {
    let id = format!("combine-{number}");
    let meter = format!("sensor-{number}");
    scribe.meter(&meter, MeterKind::Combine, false);
    scribe.record.machines.push(id.clone());
    let mut factors = BTreeMap::new();
    for crop in crops {
        let k = (1.0 + scribe.sureness.factor * scribe.stream.normal()).clamp(0.7, 1.3);
        // some crops are cut with no monitor
        if scribe.stream.chance(0.85) {
            factors.insert(crop.name.to_owned(), k);
            scribe.truth.factors.push(crate::mistake::Factor {
                machine: id.clone(),
                crop: crop.name.to_owned(),
                k,
            });
        }
    }
    Combine {
        id,
        meter,
        shows_dry: scribe.stream.chance(0.5),
        unit: MassUnit::Lb,
        factors,
    }
}
