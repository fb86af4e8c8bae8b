//! A generated record in the account's own types.

use account::slip::{
    EyeKind, MachineId, MeterId, MoistureReading, Place, PlaceId, PlaceKind, ScaleClass, Slip,
    SlipId, Stock, Weight,
};
use account::square::{MeterKind, Season};
use quantity::{Mass, MassUnit, Moisture};
use worlds::paper;

/// The season as the account takes it.
pub(crate) fn season(record: &paper::Record) -> Season {
    Season {
        places: record.places.iter().map(place).collect(),
        slips: record.slips.iter().map(slip).collect(),
        stocks: record.stocks.iter().map(stock).collect(),
        reference_meter: record
            .meters
            .iter()
            .find(|m| m.reference)
            .map(|m| MeterId(m.id.clone())),
        meters: record
            .meters
            .iter()
            .map(|m| (MeterId(m.id.clone()), meter_kind(m.kind)))
            .collect(),
        tares: record
            .places
            .iter()
            .filter_map(|p| Some((PlaceId(p.id.clone()), mass(p.tare_lb?, MassUnit::Lb))))
            .collect(),
        test_weights_lb_bu: record
            .slips
            .iter()
            .filter_map(|s| Some((SlipId(s.id.clone()), s.test_weight_lb_bu?)))
            .collect(),
        recalibrations: Vec::new(),
    }
}

fn mass(digits: i64, unit: MassUnit) -> Mass {
    Mass::from_units(digits * unit.per())
}

fn meter_kind(kind: paper::MeterKind) -> MeterKind {
    match kind {
        paper::MeterKind::Buyer => MeterKind::Buyer,
        paper::MeterKind::Hand => MeterKind::Hand,
        paper::MeterKind::Combine => MeterKind::Combine,
    }
}

fn place(place: &paper::Place) -> Place {
    Place {
        id: PlaceId(place.id.clone()),
        kind: match place.kind {
            paper::PlaceKind::Standing => PlaceKind::Standing,
            paper::PlaceKind::Wagon => PlaceKind::Wagon,
            paper::PlaceKind::Truck => PlaceKind::Truck,
            paper::PlaceKind::Bin => PlaceKind::Bin,
            paper::PlaceKind::Dryer => PlaceKind::Dryer,
            paper::PlaceKind::Pit => PlaceKind::Pit,
            paper::PlaceKind::Feed => PlaceKind::Feed,
            paper::PlaceKind::Seed => PlaceKind::Seed,
            paper::PlaceKind::Spill => PlaceKind::Spill,
        },
        capacity_lb: place.capacity_lb,
    }
}

fn reading(reading: &paper::Reading) -> MoistureReading {
    MoistureReading {
        value: Moisture::from_percent(reading.percent)
            .expect("a generated moisture lies between 0 and 99 %"),
        meter: MeterId(reading.meter.clone()),
    }
}

fn weight(weight: &paper::Weight) -> Weight {
    match weight {
        paper::Weight::Scale {
            gross,
            tare,
            shared_tare,
            net,
            step,
            unit,
            scale,
        } => Weight::Scale {
            gross: gross.map(|digits| mass(digits, *unit)),
            tare: tare.map(|digits| mass(digits, *unit)),
            shared_tare: shared_tare.clone(),
            net: mass(*net, *unit),
            step: mass(*step, *unit),
            unit: *unit,
            class: match scale {
                paper::Scale::Certified => ScaleClass::Certified,
                paper::Scale::Cart => ScaleClass::Cart,
                paper::Scale::Farm => ScaleClass::Farm,
            },
        },
        paper::Weight::Monitor {
            machine,
            reading,
            unit,
        } => Weight::Monitor {
            machine: MachineId(machine.clone()),
            reading: mass(*reading, *unit),
            unit: *unit,
        },
        paper::Weight::Eye { lb, full } => Weight::Eye {
            mass: mass(*lb, MassUnit::Lb),
            from: if *full { EyeKind::Full } else { EyeKind::Fill },
        },
        paper::Weight::Unknown => Weight::Unknown,
    }
}

fn slip(slip: &paper::Slip) -> Slip {
    Slip {
        id: SlipId(slip.id.clone()),
        at_ms: slip.at_ms,
        from: slip.from.iter().map(|name| PlaceId(name.clone())).collect(),
        to: PlaceId(slip.to.clone()),
        crop: slip.crop.as_str().into(),
        weight: weight(&slip.weight),
        moisture: slip.moisture.as_ref().map(reading),
        empties: slip.empties,
        number: slip.number.clone(),
    }
}

fn stock(stock: &paper::Stock) -> Stock {
    Stock {
        id: SlipId(stock.id.clone()),
        at_ms: stock.at_ms,
        place: PlaceId(stock.place.clone()),
        crop: stock.crop.as_str().into(),
        wet: mass(stock.wet_lb, MassUnit::Lb),
        moisture: stock.moisture.as_ref().map(reading),
        relative_sd: stock.relative_sd,
    }
}
