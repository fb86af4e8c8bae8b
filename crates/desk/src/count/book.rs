//! Counts of the book, each worked out.

use super::asked::{Facts, unknown_tail};
use super::{CountAnswer, work};
use crate::cab::CountToday;
use crate::{DeskError, Farm, Stands};
use book::EntryId;
use book::kinds::{Count, FrameAt};
use machine::frame::{Frame, Tail};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

/// One count of the book with its answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Counted {
    /// The entry.
    pub entry: String,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    /// When, on the farm's clock: `2025-10-06 14:20`.
    pub at: String,
    /// The field.
    pub field: String,
    /// The season.
    pub season: u16,
    /// How fast the machine went, metres a second.
    pub speed_m_s: Option<f64>,
    /// What was remarked.
    pub remark: String,
    /// The answer.
    pub answer: Option<CountAnswer>,
    /// Why there is none.
    pub refused: Option<String>,
}

fn number(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(f64::NAN)
}

/// The ground in a frame, as the arithmetic takes it.
pub(crate) fn frame(said: book::kinds::Frame) -> Frame {
    match said {
        book::kinds::Frame::Area { area_m2 } => Frame::Area {
            area_m2: number(area_m2),
        },
        book::kinds::Frame::Sides { long_m, wide_m } => Frame::Sides {
            long_m: number(long_m),
            wide_m: number(wide_m),
        },
        book::kinds::Frame::Hoop { across_m } => Frame::Hoop {
            across_m: number(across_m),
        },
    }
}

fn tail(count: &Count) -> Tail {
    let cut_m = count.cut_width_m.map(number);
    match (count.tail, cut_m) {
        (book::kinds::Tail::Spread { width_m: None }, _) => Tail::Spread,
        (
            book::kinds::Tail::Spread {
                width_m: Some(width),
            },
            Some(cut_m),
        ) => Tail::SpreadOver {
            width_m: number(width),
            cut_m,
        },
        (
            book::kinds::Tail::Windrow {
                width_m: Some(width),
            },
            Some(cut_m),
        ) => Tail::Windrow {
            width_m: number(width),
            cut_m,
        },
        // a width without the cut, or none: as good as not looked at
        _ => unknown_tail(),
    }
}

/// The price that the book knows for a crop: that of its last priced contract of the season.
pub(crate) fn contract_price(farm: &Farm, crop: &str, season: u16) -> Option<f64> {
    farm.contracts
        .iter()
        .filter(|one| one.says.crop.as_str() == crop && one.says.season == season)
        .filter_map(|one| Some((one.happened.at_ms(), number(one.says.price_per_bu?))))
        .filter(|(_, price)| *price > 0.0)
        .max_by_key(|(at_ms, _)| *at_ms)
        .map(|(_, price)| price)
}

/// One count of the book, worked out; `price` goes before the book's contracts.
///
/// # Errors
/// A crop that is not known here, and what its frames and widths make impossible.
pub fn of_entry(
    farm: &Farm,
    count: &Stands<Count>,
    price: Option<f64>,
) -> Result<CountAnswer, DeskError> {
    work(&facts(farm, count, price)?)
}

/// A count of the book in numbers.
fn facts(farm: &Farm, count: &Stands<Count>, price: Option<f64>) -> Result<Facts, DeskError> {
    let says = &count.says;
    let crop = says
        .crop
        .as_str()
        .parse()
        .map_err(|why| DeskError::figure("crop", why))?;
    let mut facts = Facts::of(crop, frame(says.frame), tail(says))?;
    facts.cut_m = says.cut_width_m.map(number);
    facts.thousand_g = says.thousand_seeds_g.map(number);
    facts.price_per_bu = price.or_else(|| contract_price(farm, says.crop.as_str(), says.season));
    facts.ac_per_h = says
        .speed_m_s
        .map(number)
        .zip(facts.cut_m)
        .and_then(|(speed_m_s, cut_m)| machine::capacity::ha_per_h(speed_m_s, cut_m, 1.0).ok())
        .map(|ha| ha / super::work::HA_PER_AC);
    facts.entries = vec![count.id.to_string()];
    for one in &says.frames {
        let slot = match one.at {
            FrameAt::Standing => 0,
            FrameAt::BehindHead => 1,
            FrameAt::BehindMachine => 2,
        };
        facts.seeds[slot].extend(one.seeds.map(f64::from));
        facts.ears[slot].extend(one.ears.map(f64::from));
    }
    Ok(facts)
}

/// The last season that has a count or a slip: frames are laid before the first tank is emptied.
pub fn latest_season(farm: &Farm) -> Option<u16> {
    let counted = farm.counts.iter().map(|count| count.says.season);
    counted.chain(farm.latest_season()).max()
}

/// Every count of a season, in order, or of a span of time in it.
pub fn counts(farm: &Farm, season: u16, within: Option<(i64, i64)>) -> Vec<Counted> {
    let mut out: Vec<(i64, EntryId, Counted)> = farm
        .counts
        .iter()
        .filter(|count| count.says.season == season)
        .filter(|count| {
            within.is_none_or(|(from, to)| (from..to).contains(&count.happened.at_ms()))
        })
        .map(|count| {
            let at_ms = count.happened.at_ms();
            let (answer, refused) = match of_entry(farm, count, None) {
                Ok(answer) => (Some(answer), None),
                Err(why) => (None, Some(why.to_string())),
            };
            let counted = Counted {
                entry: count.id.to_string(),
                at_ms,
                at: crate::moment::zoned(farm, at_ms)
                    .strftime("%Y-%m-%d %H:%M")
                    .to_string(),
                field: count.says.field.to_string(),
                season,
                speed_m_s: count.says.speed_m_s.map(number),
                remark: count.says.remark.clone(),
                answer,
                refused,
            };
            (at_ms, count.id, counted)
        })
        .collect();
    out.sort_by_key(|(at_ms, id, _)| (*at_ms, *id));
    out.into_iter().map(|(_, _, counted)| counted).collect()
}

/// The counts of a span of time, in numbers, for a phone to reckon with; those that make no sense are left out.
pub(crate) fn of_day(farm: &Farm, season: u16, within: (i64, i64)) -> Vec<CountToday> {
    let mut out: Vec<CountToday> = farm
        .counts
        .iter()
        .filter(|count| {
            count.says.season == season && (within.0..within.1).contains(&count.happened.at_ms())
        })
        .filter_map(|count| {
            let facts = facts(farm, count, None).ok()?;
            Some(CountToday {
                id: count.id.to_string(),
                at_ms: count.happened.at_ms(),
                field: count.says.field.to_string(),
                crop: count.says.crop.to_string(),
                frame_m2: facts.frame.area_m2().ok()?,
                frame_wide_m: facts.frame.wide_m(),
                seeds: facts.seeds,
                ears: facts.ears,
                tail: facts.tail,
                thousand_g: facts.thousand_g,
                cut_m: facts.cut_m,
                speed_m_s: count.says.speed_m_s.map(number),
            })
        })
        .collect();
    out.sort_by(|a, b| (a.at_ms, &a.id).cmp(&(b.at_ms, &b.id)));
    out
}
