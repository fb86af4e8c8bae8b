//! An entry's figures as people would write them: what a correction starts from, and what is shown.

use super::Figures;
use super::people::{DAYS, PLACES, ROLES};
use super::stock::HOW;
use book::kinds::{
    AcresSource, BinShape, Contract, MeterKind, MoistureReading, MonitorBasis, MoveWeight, Payload,
    Place, ScaleClass, ScaleWeight, StockAmount,
};
use quantity::{Mass, MassUnit};
use rust_decimal::Decimal;

/// The figures of a payload, so that [`super::read`] gives the same payload again; `None` for a
/// kind that has no form.
pub fn figures_of(payload: &Payload) -> Option<Figures> {
    let mut out = Figures::default();
    match payload {
        Payload::Field(field) => {
            out.add("name", field.name.as_str());
            opt(
                &mut out,
                "boundary",
                field.boundary.as_ref().map(book::kinds::Boundary::geojson),
            );
            opt(&mut out, "farm-number", field.farm_number.as_ref());
            opt(&mut out, "tract", field.tract_number.as_ref());
            opt(&mut out, "field-number", field.field_number.as_ref());
            opt(&mut out, "unit", field.unit_number.as_ref());
            for acres in &field.acres {
                let name = match acres.source {
                    AcresSource::Reported => "reported",
                    AcresSource::Planted => "planted",
                    AcresSource::Measured => "measured",
                    AcresSource::Cut => "cut",
                };
                out.add(name, format!("{} ac", acres.area_ac.normalize()));
            }
        }
        Payload::Planting(planting) => {
            out.add("field", planting.field.as_str());
            crop_season(&mut out, planting.crop.as_str(), planting.season);
            for share in &planting.shares {
                out.add(
                    "share",
                    format!("{}={}", share.person, share.percent.normalize()),
                );
            }
            opt(&mut out, "practice", planting.practice.as_ref());
        }
        Payload::Season(season) => {
            out.add("season", season.season.to_string());
            out.add("day-begins", season.day_begins_hour.to_string());
            out.add("remark", season.remark.as_str());
        }
        Payload::Machine(machine) => {
            out.add("name", machine.name.as_str());
            mass(&mut out, "tank", machine.tank, MassUnit::Lb);
            let monitor = machine.monitor.map(|basis| match basis {
                MonitorBasis::Wet => "wet",
                MonitorBasis::Dry => "dry",
            });
            opt(&mut out, "monitor", monitor);
        }
        Payload::Meter(meter) => {
            out.add("name", meter.name.as_str());
            out.add(
                "kind",
                match meter.kind {
                    MeterKind::Buyer => "buyer",
                    MeterKind::Hand => "hand",
                    MeterKind::Machine => "machine",
                },
            );
            opt(&mut out, "of", meter.of.as_ref());
        }
        Payload::Place(place) => place_figures(&mut out, place),
        Payload::Person(person) => {
            out.add("name", person.name.as_str());
            for role in &person.roles {
                out.add("role", word(&ROLES, *role));
            }
            opt(
                &mut out,
                "usual-share",
                person
                    .usual_share_percent
                    .map(|p| format!("{}%", p.normalize())),
            );
        }
        Payload::Buyer(buyer) => {
            out.add("name", buyer.name.as_str());
            if let Some(first) = buyer.schedules.first() {
                out.add("season", first.season.to_string());
            }
            for one in &buyer.schedules {
                out.add("schedule", one.schedule.to_string());
            }
            for one in &buyer.receiving {
                for hours in &one.hours {
                    let day = DAYS[usize::from(hours.weekday.clamp(1, 7)) - 1];
                    let clock = |min: u16| format!("{}:{:02}", min / 60, min % 60);
                    let (opens, closes) = (clock(hours.opens_min), clock(hours.closes_min));
                    out.add("hours", format!("{}={day} {opens}-{closes}", one.crop));
                }
                if let Some(top) = one.top_moisture {
                    out.add("top-moisture", format!("{}={}", one.crop, top.show()));
                }
                for vehicle in &one.vehicles {
                    out.add("takes", format!("{}={vehicle}", one.crop));
                }
            }
            opt(&mut out, "location", buyer.location.as_ref());
        }
        Payload::Dump(dump) => {
            out.add("machine", dump.machine.as_str());
            out.add("field", dump.field.as_str());
            crop_season(&mut out, dump.crop.as_str(), dump.season);
            out.add("to", dump.into.as_str());
            opt(
                &mut out,
                "full",
                dump.fill
                    .map(|fill| format!("{}%", fill.percent.normalize())),
            );
            if let Some(monitor) = &dump.monitor {
                mass(&mut out, "monitor", Some(monitor.mass), monitor.unit);
            }
            moisture(&mut out, dump.moisture.as_ref());
            opt(&mut out, "number", dump.number.as_ref());
        }
        Payload::Weighed(weighed) => weighed_figures(&mut out, weighed),
        Payload::Move(moved) => {
            many(&mut out, "from", moved.from.iter());
            out.add("to", moved.to.as_str());
            crop_season(&mut out, moved.crop.as_str(), moved.season);
            match &moved.weight {
                MoveWeight::Scale { weight } => {
                    out.add("known-by", "scale");
                    scale(&mut out, weight, "weight");
                }
                MoveWeight::Fill { mass: m } => by_eye(&mut out, "fill", *m),
                MoveWeight::Dumps { mass: m } => by_eye(&mut out, "dumps", *m),
                MoveWeight::Full { mass: m } => by_eye(&mut out, "full", *m),
                MoveWeight::Unknown {} => {}
            }
            moisture(&mut out, moved.moisture.as_ref());
            opt(&mut out, "number", moved.number.as_ref());
            flag(&mut out, "empties", moved.empties);
            out.add("remark", moved.remark.as_str());
        }
        Payload::Opening(opening) => {
            out.add("place", opening.place.as_str());
            crop_season(&mut out, opening.crop.as_str(), opening.season);
            amount(&mut out, &opening.amount);
            moisture(&mut out, opening.moisture.as_ref());
        }
        Payload::Measure(measure) => {
            out.add("place", measure.place.as_str());
            crop_season(&mut out, measure.crop.as_str(), measure.season);
            amount(&mut out, &measure.amount);
            moisture(&mut out, measure.moisture.as_ref());
            opt(&mut out, "doubt", measure.sd_percent.map(|p| p.normalize()));
        }
        Payload::Sample(sample) => {
            out.add("of", sample.of.as_str());
            crop_season(&mut out, sample.crop.as_str(), sample.season);
            out.add("how", word(&HOW, sample.how));
            for reading in &sample.readings {
                out.add("moisture", reading.value.show());
            }
            opt(
                &mut out,
                "meter",
                sample
                    .readings
                    .first()
                    .and_then(|reading| reading.meter.as_ref()),
            );
            opt(
                &mut out,
                "test-weight",
                sample.test_weight_lb_bu.map(per_bushel),
            );
            for (name, value) in &sample.factors {
                out.add("factor", format!("{name}={}", value.normalize()));
            }
        }
        Payload::Note(note) => out.add("text", note.text.as_str()),
        Payload::Farm(_) | Payload::Unread(_) | Payload::Correction(_) | Payload::Void(_) => {
            return None;
        }
        _ => return None,
    }
    Some(out)
}

fn place_figures(out: &mut Figures, place: &Place) {
    out.add("name", place.name.as_str());
    out.add("kind", word(&PLACES, place.kind));
    mass(out, "capacity", place.capacity, MassUnit::Lb);
    mass(out, "tare", place.tare, MassUnit::Lb);
    opt(
        out,
        "across",
        place.diameter_m.map(|m| format!("{} m", m.normalize())),
    );
    opt(
        out,
        "wall",
        place.wall_m.map(|m| format!("{} m", m.normalize())),
    );
    opt(out, "location", place.location.as_ref());
}

fn weighed_figures(out: &mut Figures, weighed: &book::kinds::Weighed) {
    many(out, "from", weighed.from.iter());
    out.add("to", weighed.to.as_str());
    crop_season(out, weighed.crop.as_str(), weighed.season);
    scale(out, &weighed.weight, "net");
    moisture(out, weighed.moisture.as_ref());
    opt(
        out,
        "test-weight",
        weighed.test_weight_lb_bu.map(per_bushel),
    );
    for (name, value) in &weighed.factors {
        out.add("factor", format!("{name}={}", value.normalize()));
    }
    opt(out, "number", weighed.number.as_ref());
    opt(out, "buyer", weighed.buyer.as_ref());
    opt(out, "field", weighed.field.as_ref());
    match &weighed.contract {
        Some(Contract::Sell {
            number,
            price_per_bu,
        }) => {
            out.add("terms", "sell");
            opt(out, "contract", number.as_ref());
            opt(
                out,
                "price",
                price_per_bu.map(|price| format!("${}/bu", price.normalize())),
            );
        }
        Some(Contract::Store {}) => out.add("terms", "store"),
        Some(Contract::PriceLater {}) => out.add("terms", "price-later"),
        None => {}
    }
    for share in &weighed.split {
        out.add(
            "split",
            format!("{}={}", share.person, share.percent.normalize()),
        );
    }
    flag(out, "not-emptied", !weighed.empties);
}

fn opt(out: &mut Figures, name: &str, value: Option<impl ToString>) {
    if let Some(value) = value {
        out.add(name, value.to_string());
    }
}
fn many(out: &mut Figures, name: &str, values: impl Iterator<Item = impl ToString>) {
    for value in values {
        out.add(name, value.to_string());
    }
}
fn flag(out: &mut Figures, name: &str, yes: bool) {
    if yes {
        out.add(name, "yes");
    }
}
fn crop_season(out: &mut Figures, crop: &str, season: u16) {
    out.add("crop", crop);
    out.add("season", season.to_string());
}
fn word<T: Copy + PartialEq>(words: &[(&'static str, T)], value: T) -> &'static str {
    words
        .iter()
        .find(|(_, known)| *known == value)
        .map_or("", |(word, _)| word)
}
fn per_bushel(pounds: Decimal) -> String {
    format!("{} lb/bu", pounds.normalize())
}
/// A mass in the unit it was written in when that is exact, else in the kilograms that always are.
fn mass(out: &mut Figures, name: &str, mass: Option<Mass>, unit: MassUnit) {
    if let Some(mass) = mass {
        out.add(name, exactly(mass, unit));
    }
}
pub(super) fn exactly(mass: Mass, unit: MassUnit) -> String {
    let short = mass.decimal(unit).round_dp(3).normalize();
    if Mass::from_decimal(short, unit) == Ok(mass) {
        format!("{short} {}", unit.symbol())
    } else {
        mass.canonical()
    }
}
fn by_eye(out: &mut Figures, word: &str, m: Mass) {
    out.add("known-by", word);
    mass(out, "weight", Some(m), MassUnit::Lb);
}
fn moisture(out: &mut Figures, reading: Option<&MoistureReading>) {
    if let Some(reading) = reading {
        out.add("moisture", reading.value.show());
        opt(out, "meter", reading.meter.as_ref());
    }
}
fn scale(out: &mut Figures, weight: &ScaleWeight, net: &str) {
    mass(out, "gross", weight.gross, weight.unit);
    mass(out, "tare", weight.tare, weight.unit);
    if weight.net_off_by() != Some(Mass::ZERO) {
        mass(out, net, Some(weight.net), weight.unit);
    }
    mass(out, "step", Some(weight.step), weight.unit);
    out.add(
        "scale",
        match weight.class {
            ScaleClass::Certified => "certified",
            ScaleClass::Cart => "cart",
            ScaleClass::Farm => "farm",
        },
    );
    if net == "net" {
        opt(out, "shared-tare", weight.shared_tare.as_ref());
    }
}
fn amount(out: &mut Figures, amount: &StockAmount) {
    let metres = |m: &Decimal| format!("{} m", m.normalize());
    match amount {
        StockAmount::Empty {} => out.add("empty", "yes"),
        StockAmount::Mass { mass: m } => mass(out, "weight", Some(*m), MassUnit::Lb),
        StockAmount::Bin {
            diameter_m,
            wall_depths_m,
            shape,
            test_weight_lb_bu,
            packing,
        } => {
            many(out, "depth", wall_depths_m.iter().map(metres));
            match shape {
                BinShape::Level {} => {}
                BinShape::Peak { height_m } => opt(out, "peak", height_m.as_ref().map(metres)),
                BinShape::Cone { depth_m } => out.add("hollow", metres(depth_m)),
            }
            opt(out, "across", diameter_m.as_ref().map(metres));
            opt(out, "test-weight", test_weight_lb_bu.map(per_bushel));
            opt(out, "packing", packing.map(|p| p.normalize()));
        }
    }
}
