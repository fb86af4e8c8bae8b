//! An entry's figures as people would write them: what a correction starts from, and what is shown.

use super::Figures;
use super::care::OFTEN;
use super::counts::WHERE;
use super::people::{DAYS, LANGUAGES, METERS, PLACES, ROLES};
use super::slips::{BASES, SCALES};
use super::stock::{HOW, PURPOSES, USUAL};
use super::stops::WHYS;
use book::kinds::{
    Acres, AcresSource, BinShape, Contract, Count, Found, Frame, MoistureReading, MonitorBasis,
    MoveWeight, Payload, Place, Sample, ScaleWeight, Share, StockAmount, Tail,
};
use quantity::{Mass, MassUnit, Money};
use rust_decimal::Decimal;

fn dollars(money: Money) -> String {
    format!("${}", money.canonical())
}

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
            acres(&mut out, &field.acres);
        }
        Payload::Planting(planting) => {
            out.add("field", planting.field.as_str());
            crop_season(&mut out, planting.crop.as_str(), planting.season);
            shares(&mut out, "share", &planting.shares);
            opt(&mut out, "practice", planting.practice.as_ref());
            acres(&mut out, &planting.acres);
        }
        Payload::Season(season) => {
            out.add("season", season.season.to_string());
            out.add("day-begins", season.day_begins_hour.to_string());
            opt(&mut out, "hour", season.hour.map(dollars));
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
            out.add("kind", word(METERS, meter.kind));
            opt(&mut out, "of", meter.of.as_ref());
        }
        Payload::Place(place) => place_figures(&mut out, place),
        Payload::Person(person) => {
            out.add("name", person.name.as_str());
            for role in &person.roles {
                out.add("role", word(ROLES, *role));
            }
            opt(
                &mut out,
                "usual-share",
                person
                    .usual_share_percent
                    .map(|p| format!("{}%", p.normalize())),
            );
            let language = person.language.map(|one| word(LANGUAGES, one));
            opt(&mut out, "language", language);
            opt(&mut out, "telephone", person.telephone.as_ref());
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
            for (name, fill) in [("full", dump.fill), ("now-full", dump.into_fill)] {
                let fill = fill.map(|fill| format!("{}%", fill.percent.normalize()));
                opt(&mut out, name, fill);
            }
            if let Some(monitor) = &dump.monitor {
                mass(&mut out, "monitor", Some(monitor.mass), monitor.unit);
                out.add("monitor-basis", word(BASES, monitor.basis));
            }
            moisture(&mut out, dump.moisture.as_ref());
            opt(&mut out, "number", dump.number.as_ref());
            opt(&mut out, "covered", dump.covered.map(yes_or_no));
            flag(&mut out, "mixed", dump.mixed);
            out.add("remark", dump.remark.as_str());
            opt(&mut out, "paper", dump.paper.as_ref());
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
            opt(&mut out, "paper", moved.paper.as_ref());
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
        Payload::Sample(sample) => sample_figures(&mut out, sample),
        Payload::Note(note) => {
            out.add("text", note.text.as_str());
            many(&mut out, "of", note.of.iter());
            many(&mut out, "about", note.about.iter());
            flag(&mut out, "question", note.question);
        }
        Payload::File(file) => {
            out.add("sha256", file.sha256.to_string());
            out.add("name", file.name.as_str());
            out.add("bytes", file.bytes.to_string());
            out.add("purpose", word(PURPOSES, file.purpose));
            many(&mut out, "of", file.of.iter());
        }
        Payload::Count(count) => count_figures(&mut out, count),
        Payload::Setting(setting) => super::settings::figures(&mut out, setting),
        Payload::Stop(stop) => {
            opt(&mut out, "machine", stop.machine.as_ref());
            opt(&mut out, "field", stop.field.as_ref());
            out.add("why", word(WHYS, stop.why));
            opt(&mut out, "part", stop.part.as_ref());
            opt(&mut out, "cost", stop.cost.map(dollars));
            opt(&mut out, "minutes", stop.minutes);
            out.add("remark", stop.remark.as_str());
        }
        Payload::Go(go) => {
            out.add("stop", go.stop.to_string());
            opt(&mut out, "why", go.why.map(|why| word(WHYS, why)));
            opt(&mut out, "part", go.part.as_ref());
            opt(&mut out, "cost", go.cost.map(dollars));
            out.add("remark", go.remark.as_str());
        }
        Payload::CallAt(call) => {
            out.add("unit", call.unit.as_str());
            crop_season(&mut out, call.crop.as_str(), call.season);
            out.add("yield", call.insurance_bu_ac.normalize().to_string());
            opt(&mut out, "notice-by", call.notice_by);
            opt(&mut out, "agent", call.agent.as_ref());
            opt(&mut out, "telephone", call.telephone.as_ref());
            out.add("remark", call.remark.as_str());
        }
        Payload::Contract(promised) => {
            opt(&mut out, "number", promised.number.as_ref());
            out.add("buyer", promised.buyer.as_str());
            crop_season(&mut out, promised.crop.as_str(), promised.season);
            out.add("bushels", promised.buyers_bu.normalize().to_string());
            opt(&mut out, "price", promised.price_per_bu.map(a_bushel));
            opt(&mut out, "deliver-by", promised.deliver_by);
            out.add("remark", promised.remark.as_str());
        }
        Payload::Arranged(arranged) => {
            out.add("buyer", arranged.buyer.as_str());
            crop_season(&mut out, arranged.crop.as_str(), arranged.season);
            opt(&mut out, "field", arranged.field.as_ref());
            terms(&mut out, arranged.terms.as_ref());
            shares(&mut out, "split", &arranged.split);
            for (person, account) in &arranged.accounts {
                out.add("account", format!("{person}={account}"));
            }
            out.add("remark", arranged.remark.as_str());
        }
        Payload::Ready(line) => {
            out.add("text", line.text.as_str());
            out.add("list", line.list.as_str());
            out.add("often", word(OFTEN, line.often));
            if let Some(reading) = &line.reading {
                out.add("reading", reading.what.as_str());
                out.add("unit", reading.unit.as_str());
                opt(&mut out, "least", reading.least.map(|v| v.normalize()));
                opt(&mut out, "most", reading.most.map(|v| v.normalize()));
            }
            opt(
                &mut out,
                "every",
                line.every_engine_h.map(|v| v.normalize()),
            );
        }
        Payload::Ticked(ticked) => {
            out.add("item", ticked.item.to_string());
            out.add("day", ticked.day.to_string());
            opt(&mut out, "value", ticked.value.map(|v| v.normalize()));
            opt(
                &mut out,
                "engine-hours",
                ticked.engine_h.map(|v| v.normalize()),
            );
        }
        Payload::Cover(cover) => {
            out.add("place", cover.place.as_str());
            out.add("covered", yes_or_no(cover.covered));
        }
        Payload::Copied(copied) => {
            out.add("to", copied.kept_at.as_str());
            out.add("entries", copied.entries.to_string());
        }
        Payload::Farm(_) | Payload::Unread(_) | Payload::Correction(_) | Payload::Void(_) => {
            return None;
        }
    }
    Some(out)
}

fn place_figures(out: &mut Figures, place: &Place) {
    out.add("name", place.name.as_str());
    out.add("kind", word(PLACES, place.kind));
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
    terms(out, weighed.contract.as_ref());
    shares(out, "split", &weighed.split);
    flag(out, "not-emptied", !weighed.empties);
    opt(out, "paper", weighed.paper.as_ref());
}

fn sample_figures(out: &mut Figures, sample: &Sample) {
    out.add("of", sample.of.as_str());
    crop_season(out, sample.crop.as_str(), sample.season);
    out.add("how", word(HOW, sample.how));
    let meter = |reading: &MoistureReading| reading.meter.clone();
    let first = sample.readings.first().and_then(meter);
    let one_meter = sample.readings.iter().all(|reading| reading.meter == first);
    for reading in &sample.readings {
        let value = reading.value.show();
        match &reading.meter {
            Some(meter) if !one_meter => out.add("moisture", format!("{value} by {meter}")),
            _ => out.add("moisture", value),
        }
    }
    opt(out, "meter", first.filter(|_| one_meter));
    opt(out, "test-weight", sample.test_weight_lb_bu.map(per_bushel));
    for (name, value) in &sample.factors {
        out.add("factor", format!("{name}={}", value.normalize()));
    }
    opt(out, "count", sample.count);
    let temperature = sample.temperature.map(|warm| {
        let (degrees, scale) = (warm.degrees.normalize(), warm.scale);
        format!("{degrees} {scale:?}")
    });
    opt(out, "temperature", temperature);
}

fn count_figures(out: &mut Figures, count: &Count) {
    let metres = |m: Decimal| format!("{} m", m.normalize());
    opt(
        out,
        "seed-weight",
        count
            .thousand_seeds_g
            .map(|g| format!("{} g", g.normalize())),
    );
    out.add("field", count.field.as_str());
    crop_season(out, count.crop.as_str(), count.season);
    opt(out, "machine", count.machine.as_ref());
    let frame = match count.frame {
        Frame::Area { area_m2 } => format!("{} m2", area_m2.normalize()),
        Frame::Sides { long_m, wide_m } => format!("{} x {}", metres(long_m), metres(wide_m)),
        Frame::Hoop { across_m } => format!("hoop {}", metres(across_m)),
    };
    out.add("frame", frame);
    opt(out, "cut-width", count.cut_width_m.map(metres));
    let speed = count
        .speed_m_s
        .map(|speed| format!("{} m/s", speed.normalize()));
    opt(out, "speed", speed);
    for (name, at) in WHERE {
        for found in count.frames.iter().filter(|found| found.at == at) {
            out.add(name, in_a_frame(found));
        }
    }
    let (tail, width) = match count.tail {
        Tail::Spread { width_m } => ("spread", width_m),
        Tail::Windrow { width_m } => ("windrow", width_m),
        Tail::Unknown {} => ("unknown", None),
    };
    out.add("tail", tail);
    opt(out, "tail-width", width.map(metres));
    out.add("remark", count.remark.as_str());
}

fn in_a_frame(found: &Found) -> String {
    match (found.seeds, found.ears) {
        (Some(seeds), None) => seeds.to_string(),
        (None, Some(ears)) => format!("{ears} ears"),
        (seeds, ears) => format!("{} + {} ears", seeds.unwrap_or(0), ears.unwrap_or(0)),
    }
}

fn acres(out: &mut Figures, acres: &[Acres]) {
    for one in acres {
        let name = match one.source {
            AcresSource::Reported => "reported",
            AcresSource::Planted => "planted",
            AcresSource::Measured => "measured",
            AcresSource::Cut => "cut",
        };
        out.add(name, format!("{} ac", one.area_ac.normalize()));
    }
}

fn shares(out: &mut Figures, name: &str, shares: &[Share]) {
    for share in shares {
        out.add(
            name,
            format!("{}={}", share.person, share.percent.normalize()),
        );
    }
}

fn a_bushel(price: Decimal) -> String {
    format!("${}/bu", price.normalize())
}

fn yes_or_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

fn terms(out: &mut Figures, contract: Option<&Contract>) {
    match contract {
        Some(Contract::Sell {
            number,
            price_per_bu,
        }) => {
            out.add("terms", "sell");
            opt(out, "contract", number.as_ref());
            opt(out, "price", price_per_bu.map(a_bushel));
        }
        Some(Contract::Store {}) => out.add("terms", "store"),
        Some(Contract::PriceLater {}) => out.add("terms", "price-later"),
        None => {}
    }
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
pub(super) fn word<T: Copy + PartialEq>(words: &[(&'static str, T)], value: T) -> &'static str {
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
    out.add("scale", word(SCALES, weight.class));
    opt(out, "shared-tare", weight.shared_tare.as_ref());
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
                BinShape::Peak { height_m } => {
                    let height = height_m.as_ref().map_or_else(|| USUAL.to_owned(), metres);
                    out.add("peak", height);
                }
                BinShape::Cone { depth_m } => out.add("hollow", metres(depth_m)),
            }
            opt(out, "across", diameter_m.as_ref().map(metres));
            opt(out, "test-weight", test_weight_lb_bu.map(per_bushel));
            opt(out, "packing", packing.map(|p| p.normalize()));
        }
    }
}
