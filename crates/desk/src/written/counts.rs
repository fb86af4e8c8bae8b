//! Seed counts, as written.

use super::land::crop_in;
use super::people::metres;
use super::{Figures, choice, season, words};
use crate::{DeskError, Farm};
use book::kinds::{Count, Found, Frame, FrameAt, Tail};
use quantity::{Area, AreaUnit, Speed, SpeedUnit};
use rust_decimal::Decimal;

/// What the tail does, before a width is added.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Laid {
    Spread,
    Windrow,
    Unknown,
}

words! {
    TAILS, TAIL_WORDS: Laid {
        "spread" => Laid::Spread,
        "windrow" => Laid::Windrow,
        "unknown" => Laid::Unknown,
    }
}

/// The figures of the frames, in the order in which the machine passes over them.
pub(super) const WHERE: [(&str, FrameAt); 3] = [
    ("standing", FrameAt::Standing),
    ("behind-head", FrameAt::BehindHead),
    ("behind-machine", FrameAt::BehindMachine),
];

pub(super) fn count(figures: &Figures, farm: &Farm, year: u16) -> Result<Count, DeskError> {
    let field = farm.field(figures.must("field"))?;
    let season = season(figures, year)?;
    let width_m = figures.parsed("tail-width", metres)?;
    let tail = match choice(figures, "tail", TAILS)?.unwrap_or(Laid::Unknown) {
        Laid::Spread => Tail::Spread { width_m },
        Laid::Windrow => Tail::Windrow { width_m },
        Laid::Unknown if width_m.is_some() => {
            return Err(DeskError::figure(
                "tail-width",
                "a width without spread or windrow; say which, as tail",
            ));
        }
        Laid::Unknown => Tail::Unknown {},
    };
    let mut frames = Vec::new();
    for (name, at) in WHERE {
        for text in figures.many(name) {
            let (seeds, ears) = found(text).map_err(|why| DeskError::figure(name, why))?;
            frames.push(Found { at, seeds, ears });
        }
    }
    if frames.is_empty() {
        return Err(DeskError::Missing {
            kind: "count".to_owned(),
            figure: "standing, behind-head or behind-machine".to_owned(),
            help: "seeds in a frame, 0 too".to_owned(),
        });
    }
    Ok(Count {
        crop: crop_in(figures, farm, "count", (Some(&field), season))?,
        field,
        season,
        machine: figures
            .one("machine")
            .map(|name| farm.machine(name).map(|machine| machine.name.clone()))
            .transpose()?,
        frame: figures
            .parsed("frame", frame)?
            .expect("required figures are checked before they are read"),
        cut_width_m: figures.parsed("cut-width", metres)?,
        speed_m_s: figures.parsed("speed", speed)?,
        frames,
        tail,
        thousand_seeds_g: figures.parsed("seed-weight", thousand_seeds)?,
        remark: figures.one("remark").unwrap_or_default().to_owned(),
    })
}

/// Weight of 1,000 seeds in grams to a hundredth.
fn thousand_seeds(text: &str) -> Result<Decimal, String> {
    let grams = crate::count::seed_weight(text)?;
    Decimal::from_f64_retain(grams)
        .map(|grams| grams.round_dp(2).normalize())
        .ok_or_else(|| format!("found '{text}', expected a weight like 180 g"))
}

/// A speed in metres a second to a thousandth of a millimetre.
fn speed(text: &str) -> Result<Decimal, String> {
    let speed = Speed::parse(text).map_err(|why| why.to_string())?;
    Decimal::from_f64_retain(speed.to(SpeedUnit::MPerS))
        .map(|m_s| m_s.round_dp(6).normalize())
        .ok_or_else(|| format!("found '{text}', expected a speed like 3.2 mph"))
}

/// The size of a frame: an area, two sides, or a hoop.
pub(crate) fn frame(text: &str) -> Result<Frame, String> {
    let odd = || {
        format!(
            "found '{text}', expected a size like 1 ft2, 2 ft x 5 ft (along the rows x across) or hoop 34 in"
        )
    };
    let lower = text.trim().to_lowercase();
    if lower.contains("hoop") {
        let across = lower.replace("hoop", " ");
        let across_m = metres(across.trim()).map_err(|_| odd())?;
        return Ok(Frame::Hoop { across_m });
    }
    let sides = [" x ", " by ", "\u{d7}", "x"]
        .iter()
        .find_map(|sign| lower.split_once(sign));
    if let Some((long, wide)) = sides {
        // "2 x 5 ft" says the unit once
        let unit = wide.trim().trim_start_matches(|c: char| !is_unit(c));
        let long = if long.contains(is_unit) {
            long.to_owned()
        } else {
            format!("{long} {unit}")
        };
        return Ok(Frame::Sides {
            long_m: metres(&long).map_err(|_| odd())?,
            wide_m: metres(wide).map_err(|_| odd())?,
        });
    }
    let area = Area::parse(&lower).map_err(|_| odd())?;
    Decimal::from_f64_retain(area.to(AreaUnit::M2))
        .map(|m2| Frame::Area {
            area_m2: m2.round_dp(8).normalize(),
        })
        .ok_or_else(odd)
}

fn is_unit(c: char) -> bool {
    c.is_alphabetic() || "'\"\u{2032}\u{2033}\u{2019}\u{201d}".contains(c)
}

/// What was found in one frame: `12`, `1 ear`, `12 + 1 ear`. A bare number is seeds.
pub(crate) fn found(text: &str) -> Result<(Option<u32>, Option<u32>), String> {
    let odd = || {
        format!("found '{text}', expected seeds in one frame, like 12, or ears, like 12 + 1 ear")
    };
    let (mut seeds, mut ears) = (None, None);
    for part in text.split(['+', ',']) {
        let part = part.trim().to_lowercase();
        let split = part
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(part.len());
        let (digits, word) = part.split_at(split);
        let number: u32 = digits.parse().map_err(|_| odd())?;
        let slot = match word.trim() {
            "" | "seed" | "seeds" | "kernel" | "kernels" => &mut seeds,
            "ear" | "ears" | "head" | "heads" => &mut ears,
            _ => return Err(odd()),
        };
        if slot.replace(number).is_some() {
            return Err(odd());
        }
    }
    Ok((seeds, ears))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dec(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn frames_are_read_as_they_were_measured() {
        let square = Frame::Area {
            area_m2: dec("0.09290304"),
        };
        assert_eq!(frame("1 ft2"), Ok(square));
        assert_eq!(frame("1 sq ft"), Ok(square));
        let sides = Frame::Sides {
            long_m: dec("0.6096"),
            wide_m: dec("1.524"),
        };
        for text in [
            "2ft x 5ft",
            "2 ft by 5 ft",
            "2 x 5 ft",
            "2' x 5'",
            "24in\u{d7}60in",
        ] {
            assert_eq!(frame(text), Ok(sides), "{text}");
        }
        assert_eq!(
            frame("hoop 34 in"),
            Ok(Frame::Hoop {
                across_m: dec("0.8636")
            })
        );
        assert_eq!(frame("34in hoop"), frame("Hoop 34 in"));
        for odd in ["1", "ft2", "2 x 5", "hoop", "1 bu", "x"] {
            assert!(frame(odd).unwrap_err().contains("hoop"), "{odd}");
        }
    }

    #[test]
    fn a_frame_holds_seeds_ears_or_both() {
        assert_eq!(found("12"), Ok((Some(12), None)));
        assert_eq!(found("0"), Ok((Some(0), None)));
        assert_eq!(found("1 ear"), Ok((None, Some(1))));
        assert_eq!(found("12 seeds, 2 heads"), Ok((Some(12), Some(2))));
        for odd in ["", "-1", "1.5", "many", "3 + 4", "12 mice"] {
            assert!(found(odd).is_err(), "{odd}");
        }
    }

    #[test]
    fn three_miles_an_hour_is_exact() {
        assert_eq!(speed("3 mph"), Ok(dec("1.34112")));
    }
}
