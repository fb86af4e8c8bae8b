//! The fields this morning: acres, tanks, latest sample.

use super::{FieldNow, LatestSample};
use crate::Farm;
use crate::held::{crop_name, mean_percent};
use crate::moment::{hours_between, zoned};
use book::EntryId;
use book::kinds::{AcresSource, Field, Name, Planting, SampleHow};
use std::collections::BTreeMap;

/// How a sample was taken, by key.
pub(crate) fn how_word(how: SampleHow) -> &'static str {
    match how {
        SampleHow::HandShelled => "hand_shelled",
        SampleHow::Tank => "tank",
        SampleHow::Stream => "stream",
        SampleHow::Probe => "probe",
        SampleHow::Grab => "grab",
        SampleHow::Wagon => "wagon",
        SampleHow::Bin => "bin",
        SampleHow::DryerHot => "dryer_hot",
    }
}

/// An acreage of a planting: its own, else its field's.
pub(crate) fn acres_of(
    field: &Field,
    planting: Option<&Planting>,
    source: AcresSource,
) -> Option<f64> {
    let own = planting.and_then(|one| one.acres.iter().find(|acres| acres.source == source));
    let acres = own.or_else(|| field.acres.iter().find(|acres| acres.source == source))?;
    f64::try_from(acres.area_ac).ok()
}

/// Acres cut in a season: the planting's own; else the field's, if they were written in that season's
/// year or since; else 0 while no tank came off it; else not known.
pub(crate) fn cut_acres(
    farm: &Farm,
    name: &Name,
    planting: Option<&Planting>,
    year: u16,
    dumps: usize,
) -> Option<f64> {
    let field = farm.fields.get(name)?;
    let own = planting.and_then(|one| {
        let mut acres = one.acres.iter();
        acres.find(|acres| acres.source == AcresSource::Cut)
    });
    if let Some(own) = own {
        return f64::try_from(own.area_ac).ok();
    }
    let written = acres_of(&field.says, None, AcresSource::Cut);
    if written.is_some() && written_in(farm, field.id) == Some(year) {
        return written;
    }
    (dumps == 0).then_some(0.0)
}

/// The local year in which the wording of an entry was written.
fn written_in(farm: &Farm, id: EntryId) -> Option<u16> {
    let standing = farm.effective.entries.iter().find(|one| one.id == id)?;
    u16::try_from(zoned(farm, standing.holder.clock_ms()).year()).ok()
}

/// The plantings of a season by field and crop, the last wording of each.
pub(crate) fn plantings(farm: &Farm, year: u16) -> Vec<&Planting> {
    let mut last: BTreeMap<(&Name, &Name), &Planting> = BTreeMap::new();
    for one in farm.plantings.iter().filter(|one| one.says.season == year) {
        last.insert((&one.says.field, &one.says.crop), &one.says);
    }
    last.into_values().collect()
}

/// Every planting of a season; the field last cut first, then by name. What was written until
/// `end_ms` counts; ages are as of `now_ms`.
pub(super) fn fields(farm: &Farm, year: u16, now_ms: i64, end_ms: i64) -> Vec<FieldNow> {
    let mut out: Vec<FieldNow> = Vec::new();
    for says in plantings(farm, year) {
        let crop = says.crop.as_str();
        let Some(field) = farm.fields.get(&says.field) else {
            continue;
        };
        let tanks = farm.dumps.iter().filter(|one| {
            (&one.says.field, &one.says.crop, one.says.season) == (&says.field, &says.crop, year)
                && one.happened.at_ms() <= end_ms
        });
        let last_dump_ms = tanks.clone().map(|one| one.happened.at_ms()).max();
        let dumps = tanks.count();
        let planted_ac = acres_of(&field.says, Some(says), AcresSource::Planted);
        let cut_ac = cut_acres(farm, &says.field, Some(says), year, dumps);
        out.push(FieldNow {
            field: says.field.to_string(),
            crop: crop.to_owned(),
            crop_name: crop_name(crop),
            unit: field.says.unit_number.as_ref().map(ToString::to_string),
            planted_ac,
            cut_ac,
            standing_ac: planted_ac
                .zip(cut_ac)
                .map(|(planted, cut)| (planted - cut).max(0.0)),
            dumps,
            last_dump_ms,
            sample: latest_sample(farm, &says.field, crop, year, (now_ms, end_ms)),
        });
    }
    out.sort_by(|a, b| {
        let key = |one: &FieldNow| std::cmp::Reverse(one.last_dump_ms);
        (key(a), &a.field, &a.crop).cmp(&(key(b), &b.field, &b.crop))
    });
    out
}

/// The latest moisture read of a field's crop: a sample of the field, or a moisture written on a tank
/// that came off it.
fn latest_sample(
    farm: &Farm,
    field: &Name,
    crop: &str,
    year: u16,
    (now_ms, end_ms): (i64, i64),
) -> Option<LatestSample> {
    let samples = farm.samples.iter().filter(|one| {
        one.says.of == *field
            && one.says.crop.as_str() == crop
            && one.says.season == year
            && one.happened.at_ms() <= end_ms
            && !one.says.readings.is_empty()
    });
    let sample = samples.max_by_key(|one| one.happened.at_ms());
    let tanks = farm.dumps.iter().filter(|one| {
        one.says.field == *field
            && one.says.crop.as_str() == crop
            && one.says.season == year
            && one.happened.at_ms() <= end_ms
            && one.says.moisture.is_some()
    });
    let tank = tanks.max_by_key(|one| one.happened.at_ms());
    let newer = match (&sample, &tank) {
        (Some(sample), Some(tank)) => tank.happened.at_ms() > sample.happened.at_ms(),
        (None, Some(_)) => true,
        (_, None) => false,
    };
    if newer {
        let tank = tank?;
        let reading = tank.says.moisture.as_ref()?;
        let percent = reading.value.percent();
        return Some(LatestSample {
            entry: tank.id.to_string(),
            moisture_pct: percent,
            readings: 1,
            low_pct: percent,
            high_pct: percent,
            how: "dump",
            meter: reading.meter.as_ref().map(ToString::to_string),
            at_ms: tank.happened.at_ms(),
            age_h: hours_between(tank.happened.at_ms(), now_ms).max(0.0),
        });
    }
    let sample = sample?;
    let readings = &sample.says.readings;
    let values = readings.iter().map(|one| one.value);
    Some(LatestSample {
        entry: sample.id.to_string(),
        moisture_pct: mean_percent(values.clone())?,
        readings: readings.len(),
        low_pct: values.clone().min()?.percent(),
        high_pct: values.max()?.percent(),
        how: how_word(sample.says.how),
        meter: readings
            .first()
            .and_then(|one| one.meter.as_ref())
            .map(ToString::to_string),
        at_ms: sample.happened.at_ms(),
        age_h: hours_between(sample.happened.at_ms(), now_ms).max(0.0),
    })
}
