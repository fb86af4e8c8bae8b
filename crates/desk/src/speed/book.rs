//! Counts of the book that carry the speed at which their strip was cut.

use crate::{DeskError, Farm};
use ::book::kinds::{FrameAt, Tail};
use machine::speed::{FramesAt, HeadLoss, Pooling};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

/// What a season's counts say of loss and speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    /// Frames behind the machine by speed, and what else the pooling rests on.
    pub pooling: Pooling,
    /// What the head loses, taken not to grow with speed.
    pub head: HeadLoss,
    /// Width of cut, meters, where a count says it.
    pub cut_m: Option<f64>,
    /// Crop.
    pub crop: String,
    /// Weight of 1,000 seeds, grams: the latest that a count carries, else our default.
    pub thousand_seeds_g: f64,
    /// Whether that is our default and nobody weighed any.
    pub seeds_are_default: bool,
    /// Speeds counted, meters a second.
    pub speeds_m_s: Vec<f64>,
    /// Entries used.
    pub entries: Vec<String>,
    /// Counts that could not serve, and why.
    pub left_out: Vec<String>,
}

/// Two counts of one day: this many milliseconds.
const DAY_MS: i64 = 86_400_000;

fn real(value: Decimal) -> f64 {
    value.to_f64().unwrap_or(f64::NAN)
}

/// Seeds a square meter, and square meters looked at.
fn class(frames: &[(f64, f64)]) -> (f64, f64) {
    let n = frames.len() as f64;
    let mean = frames.iter().map(|(seeds, m2)| seeds / m2).sum::<f64>() / n;
    let spread: f64 = frames
        .iter()
        .map(|(seeds, m2)| (seeds / m2 - mean).powi(2))
        .sum();
    let se = if frames.len() > 1 {
        (spread / (n - 1.0) / n).sqrt()
    } else {
        mean
    };
    (mean, se)
}

/// The latest day's counts of a crop that carry a speed; `None` where there are none.
///
/// # Errors
/// A crop that is not known here, a frame that cannot be, or counts that have no frames between head and machine, without which the machine's share is not known.
pub fn counted(farm: &Farm, crop: Option<&str>) -> Result<Option<Counted>, DeskError> {
    let read = |name: &str| -> Result<facts::Crop, DeskError> {
        name.trim()
            .parse()
            .map_err(|why| DeskError::figure("crop", why))
    };
    let crop = crop
        .filter(|name| !name.trim().is_empty())
        .map(read)
        .transpose()?;
    let wanted = |name: &str| crop.is_none_or(|crop| name.parse() == Ok(crop));
    let mut counts: Vec<_> = farm
        .counts
        .iter()
        .filter(|one| {
            one.says.speed_m_s.is_some_and(|v| v > Decimal::ZERO) && wanted(one.says.crop.as_str())
        })
        .collect();
    counts.sort_by_key(|one| one.happened.at_ms());
    let Some(last) = counts.last().copied() else {
        return Ok(None);
    };
    counts.retain(|one| {
        one.says.crop == last.says.crop
            && one.says.machine == last.says.machine
            && last.happened.at_ms() - one.happened.at_ms() < DAY_MS
    });
    let mut left_out = Vec::new();
    let (mut frames, mut heads, mut standing) = (Vec::new(), Vec::new(), Vec::new());
    let (mut entries, mut cut_m, mut concentration) = (Vec::new(), None, None);
    let mut weighed_g = None;
    for one in counts.iter().rev() {
        let says = &one.says;
        let cut = says.cut_width_m.map(real);
        let tail = match (says.tail, cut) {
            (Tail::Spread { width_m: None }, _) => Some(1.0),
            (Tail::Spread { width_m: Some(w) } | Tail::Windrow { width_m: Some(w) }, Some(cut)) => {
                Some((cut / real(w)).max(1.0))
            }
            _ => None,
        };
        let Some(tail) = tail else {
            left_out.push("a count was left out, for nobody wrote how wide the tail laid down what it threw out".to_owned());
            continue;
        };
        if *concentration.get_or_insert(tail) != tail {
            left_out.push(
                "a count was left out, for its tail was laid down otherwise than the last one's"
                    .to_owned(),
            );
            continue;
        }
        cut_m = cut_m.or(cut);
        weighed_g = weighed_g.or(says.thousand_seeds_g.map(real));
        let m2 = crate::count::frame(says.frame)
            .area_m2()
            .map_err(super::refused)?;
        let at = |place: FrameAt| {
            says.frames
                .iter()
                .filter(move |found| found.at == place)
                .filter_map(|found| found.seeds)
        };
        heads.extend(at(FrameAt::BehindHead).map(|seeds| (f64::from(seeds), m2)));
        standing.extend(at(FrameAt::Standing).map(|seeds| (f64::from(seeds), m2)));
        let seeds: Vec<u32> = at(FrameAt::BehindMachine).collect();
        if let (false, Some(speed)) = (seeds.is_empty(), says.speed_m_s) {
            frames.push(FramesAt {
                speed_m_s: real(speed),
                frame_m2: m2,
                seeds,
            });
        }
        entries.push(one.id.to_string());
    }
    if frames.is_empty() {
        return Ok(None);
    }
    if heads.is_empty() {
        return Err(DeskError::Refused(
            "the counts with a speed have no frames between head and machine, so the machine's share of the loss is not known; count some there, or type the loss".into(),
        ));
    }
    let (head_per_m2, head_se_per_m2) = class(&heads);
    let standing_per_m2 = if standing.is_empty() {
        0.0
    } else {
        class(&standing).0
    };
    let crop_name = last.says.crop.to_string();
    let default_g = facts::thousand_seeds_g(read(&crop_name)?).value;
    let thousand_seeds_g = weighed_g.unwrap_or(default_g);
    let one_seed = machine::frame::kg_per_ha_of_one_seed_per_m2(thousand_seeds_g);
    let mut speeds_m_s: Vec<f64> = frames.iter().map(|one| one.speed_m_s).collect();
    speeds_m_s.sort_by(f64::total_cmp);
    speeds_m_s.dedup();
    let at_m_s = speeds_m_s.iter().sum::<f64>() / speeds_m_s.len() as f64;
    Ok(Some(Counted {
        head: HeadLoss {
            at_m_s,
            kg_per_ha: (head_per_m2 - standing_per_m2).max(0.0) * one_seed,
            per_m_s: 0.0,
        },
        pooling: Pooling {
            frames,
            head_per_m2,
            head_se_per_m2,
            concentration: concentration.unwrap_or(1.0),
            kg_per_ha_of_one_seed: one_seed,
            at_m_s,
            dispersion: super::guess("dispersion"),
            prior: super::before(),
        },
        cut_m,
        crop: crop_name,
        thousand_seeds_g,
        seeds_are_default: weighed_g.is_none(),
        speeds_m_s,
        entries,
        left_out,
    }))
}
