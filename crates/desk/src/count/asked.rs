//! What is asked of a count, as typed, with no book.

use super::{CountAnswer, work};
use crate::DeskError;
use crate::written::{found_in_frame, frame_size};
use facts::Crop;
use machine::frame::{Frame, Tail, thousand_seeds_g};
use quantity::{Length, LengthUnit, Price, PriceUnit};
use rust_decimal::prelude::ToPrimitive;

/// A count as somebody types it; texts are read as everywhere else.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CountAsked {
    /// The crop.
    pub crop: String,
    /// Seeds in each frame ahead of the machine: `2,1,2,2`.
    pub standing: Option<String>,
    /// Behind the head.
    pub head: Option<String>,
    /// Behind the machine.
    pub behind: Option<String>,
    /// What the tail did: `spread`, `spread 20 ft of 30 ft`, `windrow 5 ft of 30 ft`, `unknown`.
    pub tail: Option<String>,
    /// Size of a frame; a square foot if left out.
    pub frame: Option<String>,
    /// Weight of 1,000 seeds (`180 g`) or seeds a pound (`2,900/lb`).
    pub seed_weight: Option<String>,
    /// Price of a bushel.
    pub price: Option<String>,
    /// Acres cut an hour, for money an hour.
    pub acres_an_hour: Option<f64>,
    /// Harvested yield, bushels an acre, for per cent of the total yield.
    pub bu_per_ac: Option<f64>,
    /// Loss from which an adjustment is worth trying, bushels an acre.
    pub worth: Option<f64>,
    /// Frames were weighed, in grams, and not counted.
    pub weighed: bool,
}

/// A count in numbers: what both the typed one and the book's come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Facts {
    pub(super) crop: Crop,
    pub(super) bushel_lb: f64,
    pub(super) frame: Frame,
    pub(super) cut_m: Option<f64>,
    pub(super) tail: Tail,
    pub(super) seeds: [Vec<f64>; 3],
    pub(super) ears: [Vec<f64>; 3],
    pub(super) frames_weighed: bool,
    pub(super) thousand_g: Option<f64>,
    pub(super) default_thousand_g: f64,
    pub(super) ear_lb: f64,
    pub(super) price_per_bu: Option<f64>,
    pub(super) ac_per_h: Option<f64>,
    pub(super) yield_bu_per_ac: Option<f64>,
    pub(super) worth_bu_per_ac: Option<f64>,
    pub(super) entries: Vec<String>,
}

impl Facts {
    /// Nothing counted yet: the crop's defaults.
    pub(super) fn of(crop: Crop, frame: Frame, tail: Tail) -> Result<Self, DeskError> {
        Ok(Self {
            crop,
            bushel_lb: grain::legal_bushel(crop)?.lb(),
            frame,
            cut_m: None,
            tail,
            seeds: Default::default(),
            ears: Default::default(),
            frames_weighed: false,
            thousand_g: None,
            default_thousand_g: facts::thousand_seeds_g(crop).value,
            ear_lb: facts::ears("ear_lb").map_or(f64::NAN, |fact| fact.value),
            price_per_bu: None,
            ac_per_h: None,
            yield_bu_per_ac: None,
            worth_bu_per_ac: None,
            entries: Vec::new(),
        })
    }
}

/// The factor for the second answer where nobody looked at the tail.
pub(super) fn unknown_tail() -> Tail {
    Tail::Unknown {
        cut_over_windrow: facts::counting("windrow_share").map_or(f64::NAN, |fact| fact.value),
    }
}

/// Works out a count as typed.
///
/// # Errors
/// A figure that cannot be read or meant, in one sentence that names it.
pub fn count(asked: &CountAsked) -> Result<CountAnswer, DeskError> {
    let crop: Crop = asked
        .crop
        .parse()
        .map_err(|why| DeskError::figure("crop", why))?;
    let frame = match &asked.frame {
        None => Frame::Area {
            area_m2: machine::frame::M2_PER_FT2,
        },
        Some(text) => {
            super::book::frame(frame_size(text).map_err(|why| DeskError::figure("frame", why))?)
        }
    };
    let tail = match &asked.tail {
        None => unknown_tail(),
        Some(text) => tail(text)?,
    };
    let mut facts = Facts::of(crop, frame, tail)?;
    facts.frames_weighed = asked.weighed;
    for (slot, (name, text)) in [
        ("standing", &asked.standing),
        ("head", &asked.head),
        ("behind", &asked.behind),
    ]
    .into_iter()
    .enumerate()
    {
        for one in text.iter().flat_map(|text| pieces(text)) {
            let (seeds, ears) =
                found(&one, asked.weighed).map_err(|why| DeskError::figure(name, why))?;
            facts.seeds[slot].extend(seeds);
            facts.ears[slot].extend(ears);
        }
    }
    facts.cut_m = match facts.tail {
        Tail::Windrow { cut_m, .. } | Tail::SpreadOver { cut_m, .. } => Some(cut_m),
        Tail::Spread | Tail::Unknown { .. } => None,
    };
    if facts.seeds.iter().chain(&facts.ears).all(Vec::is_empty) {
        return Err(DeskError::figure(
            "head",
            "no frame is given; type what lay in each, behind the head at least, such as --head 10,9,11,11",
        ));
    }
    facts.thousand_g = asked
        .seed_weight
        .as_deref()
        .map(seed_weight)
        .transpose()
        .map_err(|why| DeskError::figure("seed-weight", why))?;
    facts.price_per_bu = asked
        .price
        .as_deref()
        .map(|text| {
            Price::parse_or(text, PriceUnit::DollarPerBu)
                .map_err(|why| DeskError::figure("price", why))
                .and_then(|price| {
                    positive("price", price.0.to_f64().unwrap_or(f64::NAN), "$ a bushel")
                })
        })
        .transpose()?;
    for (slot, name, value) in [
        (&mut facts.ac_per_h, "acres-an-hour", asked.acres_an_hour),
        (&mut facts.yield_bu_per_ac, "yield", asked.bu_per_ac),
        (&mut facts.worth_bu_per_ac, "worth", asked.worth),
    ] {
        *slot = value.map(|value| positive(name, value, "")).transpose()?;
    }
    work(&facts)
}

fn positive(name: &str, value: f64, unit: &str) -> Result<f64, DeskError> {
    if value.is_finite() && value > 0.0 {
        return Ok(value);
    }
    Err(DeskError::figure(
        name,
        format!("found {value} {unit}, expected a number above 0"),
    ))
}

/// One text a frame: apart by commas or spaces, where `+ 1 ear` belongs to the number before it.
fn pieces(text: &str) -> Vec<String> {
    text.split([',', ';'])
        .map(|one| one.trim().to_owned())
        .collect()
}

fn found(text: &str, weighed: bool) -> Result<(Option<f64>, Option<f64>), String> {
    if weighed {
        let plain = text.trim_end_matches('g').trim();
        return match plain.parse::<f64>() {
            Ok(grams) if grams.is_finite() && grams >= 0.0 => Ok((Some(grams), None)),
            _ => Err(format!(
                "found '{text}', expected grams in one frame, 0 or more"
            )),
        };
    }
    let (seeds, ears) = found_in_frame(text)?;
    Ok((seeds.map(f64::from), ears.map(f64::from)))
}

fn length(text: &str, whole: &str) -> Result<f64, DeskError> {
    Length::parse(text.trim())
        .map(|length| length.to(LengthUnit::M))
        .map_err(|_| odd_tail(whole))
}

fn odd_tail(text: &str) -> DeskError {
    DeskError::figure(
        "tail",
        format!(
            "found '{text}', expected what the tail did: spread (over the whole cut), \"spread 20 ft of 30 ft\", \
             \"windrow 5 ft of 30 ft\" (its width, and the cut's), or unknown"
        ),
    )
}

fn tail(text: &str) -> Result<Tail, DeskError> {
    let lower = text.trim().to_lowercase();
    let (word, rest) = lower
        .split_once(char::is_whitespace)
        .unwrap_or((&lower, ""));
    let rest = rest.trim().trim_start_matches("over ").trim();
    match (word, rest) {
        ("spread", "") => Ok(Tail::Spread),
        ("unknown", "") => Ok(unknown_tail()),
        ("spread" | "windrow", rest) => {
            let (width, cut) = rest.split_once(" of ").ok_or_else(|| odd_tail(text))?;
            // "5 of 30 ft" says the unit once
            let unit = cut
                .trim()
                .trim_start_matches(|c: char| c.is_ascii_digit() || ".,".contains(c));
            let width = if width.trim().ends_with(|c: char| c.is_ascii_digit()) {
                format!("{width}{unit}")
            } else {
                width.to_owned()
            };
            let (width_m, cut_m) = (length(&width, text)?, length(cut, text)?);
            Ok(if word == "spread" {
                Tail::SpreadOver { width_m, cut_m }
            } else {
                Tail::Windrow { width_m, cut_m }
            })
        }
        _ => Err(odd_tail(text)),
    }
}

/// `180 g`, `180` (grams a thousand) or `2,900/lb` (seeds a pound).
pub(crate) fn seed_weight(text: &str) -> Result<f64, String> {
    let odd = || {
        format!(
            "found '{text}', expected the weight of 1,000 seeds, such as 180 g, or seeds a pound, such as 2,900/lb"
        )
    };
    let lower = text.trim().to_lowercase().replace(',', "");
    let (number, a_pound) = match lower.strip_suffix("/lb") {
        Some(number) => (number, true),
        None => (lower.trim_end_matches('g'), false),
    };
    let value: f64 = number.trim().parse().map_err(|_| odd())?;
    let grams = if a_pound {
        thousand_seeds_g(value).map_err(|_| odd())?
    } else {
        value
    };
    if (0.5..=2_000.0).contains(&grams) {
        Ok(grams)
    } else {
        Err(odd())
    }
}
