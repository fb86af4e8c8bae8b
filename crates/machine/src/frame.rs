//! Frames and row lengths, seeds to bushels, and what the tail does to a count.

use crate::MachineError;
use crate::error::above_zero;
use serde::{Deserialize, Serialize};

/// Square feet in an acre, exactly.
pub const FT2_PER_AC: f64 = 43_560.0;
/// Square meters in a square foot, exactly.
pub const M2_PER_FT2: f64 = 0.092_903_04;
/// Square meters in an acre, exactly.
pub const M2_PER_AC: f64 = 4_046.856_422_4;
/// Grams in a pound, exactly.
pub const G_PER_LB: f64 = 453.592_37;

/// The ground that is looked at in one place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "snake_case")]
pub enum Frame {
    /// A frame or pan of a known area.
    Area {
        /// Square meters.
        area_m2: f64,
    },
    /// A rectangle: two sides of a frame, or a length of row by the width of the head.
    Sides {
        /// Along the rows, meters.
        long_m: f64,
        /// Across the rows, meters.
        wide_m: f64,
    },
    /// A hoop.
    Hoop {
        /// Inside diameter, meters.
        across_m: f64,
    },
}

impl Frame {
    /// Its area in square meters.
    ///
    /// ```
    /// use machine::frame::Frame;
    /// let hoop = Frame::Hoop { across_m: 34.0 * 0.0254 }.area_m2()?;
    /// assert!((hoop / 0.092_903_04 - 6.305).abs() < 1e-3); // square feet
    /// # Ok::<(), machine::MachineError>(())
    /// ```
    ///
    /// # Errors
    /// A size that is not above zero.
    pub fn area_m2(self) -> Result<f64, MachineError> {
        match self {
            Self::Area { area_m2 } => above_zero("frame", area_m2, "m2"),
            Self::Sides { long_m, wide_m } => Ok(above_zero("length of the frame", long_m, "m")?
                * above_zero("width of the frame", wide_m, "m")?),
            Self::Hoop { across_m } => {
                let across = above_zero("hoop", across_m, "m")?;
                Ok(std::f64::consts::PI * across * across / 4.0)
            }
        }
    }

    /// How far it reaches across the rows, meters; `None` for an area whose sides nobody said.
    pub fn wide_m(self) -> Option<f64> {
        match self {
            Self::Area { .. } => None,
            Self::Sides { wide_m, .. } => Some(wide_m),
            Self::Hoop { across_m } => Some(across_m),
        }
    }

    /// Refuses a frame that reaches further across than the head cuts: part of it would lie in
    /// ground that this pass did not cut.
    ///
    /// # Errors
    /// A frame wider than the cut by more than 1 %, both widths in the sentence.
    pub fn within_cut(self, cut_m: f64) -> Result<(), MachineError> {
        let cut = above_zero("width of cut", cut_m, "m")?;
        match self.wide_m() {
            Some(wide) if wide > cut * 1.01 => Err(MachineError::Refused(format!(
                "the frame is {:.1} ft ({wide:.2} m) across and the head cuts {:.1} ft ({cut:.2} m); measure both again, or lay a frame that fits into the cut",
                wide / 0.3048,
                cut / 0.3048
            ))),
            _ => Ok(()),
        }
    }
}

/// How long a frame must be to hold this area across the whole head, meters:
/// area / width of the head. A 10 square foot frame for a 20 ft head is 6 inches long.
///
/// ```
/// use machine::frame::{M2_PER_FT2, length_across_head_m};
/// let long = length_across_head_m(10.0 * M2_PER_FT2, 20.0 * 0.3048)?;
/// assert!((long / 0.0254 - 6.0).abs() < 1e-9); // inches
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// An area or width that is not above zero.
pub fn length_across_head_m(area_m2: f64, head_m: f64) -> Result<f64, MachineError> {
    Ok(above_zero("frame", area_m2, "m2")? / above_zero("width of the head", head_m, "m")?)
}

/// How long a stretch of so many rows is a given share of an acre, meters:
/// share x 43,560 ft2 / (rows x spacing). One hundredth of an acre for ears, a thousandth for stands.
///
/// ```
/// use machine::frame::row_length_m;
/// let eight = row_length_m(0.01, 8, 30.0 * 0.0254)?;
/// assert!((eight / 0.3048 - 21.78).abs() < 1e-9); // feet
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// A share or a spacing that is not above zero, or no rows.
pub fn row_length_m(share_of_acre: f64, rows: u32, spacing_m: f64) -> Result<f64, MachineError> {
    let share = above_zero("share of an acre", share_of_acre, "ac")?;
    let rows = above_zero("rows", f64::from(rows), "rows")?;
    Ok(share * M2_PER_AC / (rows * above_zero("row spacing", spacing_m, "m")?))
}

/// Weight of 1,000 seeds in grams for a number of seeds to the pound: 453,592 / seeds per pound.
///
/// # Errors
/// A number that is not above zero.
pub fn thousand_seeds_g(seeds_per_lb: f64) -> Result<f64, MachineError> {
    Ok(1_000.0 * G_PER_LB / above_zero("seeds per pound", seeds_per_lb, "seeds")?)
}

/// Seeds to the pound for a weight of 1,000 seeds in grams.
///
/// # Errors
/// A weight that is not above zero.
pub fn seeds_per_lb(thousand_seeds_g: f64) -> Result<f64, MachineError> {
    Ok(1_000.0 * G_PER_LB / above_zero("weight of 1,000 seeds", thousand_seeds_g, "g")?)
}

/// Seeds on a square foot that are one bushel an acre: bushel weight x seeds per pound / 43,560.
///
/// ```
/// use machine::frame::seeds_per_ft2_of_one_bu;
/// // soybeans of 180 g a thousand, 60 lb bushel
/// assert!((seeds_per_ft2_of_one_bu(60.0, 180.0)? - 3.4710).abs() < 5e-5);
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// A weight that is not above zero.
pub fn seeds_per_ft2_of_one_bu(bushel_lb: f64, thousand_seeds_g: f64) -> Result<f64, MachineError> {
    let bushel = above_zero("weight of a bushel", bushel_lb, "lb")?;
    Ok(bushel * seeds_per_lb(thousand_seeds_g)? / FT2_PER_AC)
}

/// Kilograms a hectare for one seed on a square meter: weight of 1,000 seeds in grams / 100.
pub fn kg_per_ha_of_one_seed_per_m2(thousand_seeds_g: f64) -> f64 {
    // 1 seed/m2 is 10,000 seeds/ha of thousand_seeds_g / 1e6 kg each
    thousand_seeds_g / 100.0
}

/// Kilograms a hectare in one bushel an acre of this bushel weight.
pub fn kg_per_ha_of_one_bu_per_ac(bushel_lb: f64) -> f64 {
    bushel_lb * G_PER_LB / 1_000.0 / (M2_PER_AC / 10_000.0)
}

/// How the tail of the machine laid down what it threw out. Always asked: the answer can change a
/// loss six-fold.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "as", rename_all = "snake_case")]
pub enum Tail {
    /// Spread evenly over the full cut.
    Spread,
    /// Spread, over a width that is not the full cut.
    SpreadOver {
        /// How wide the spread reaches, meters.
        width_m: f64,
        /// How wide the machine cuts, meters.
        cut_m: f64,
    },
    /// In a windrow, chopper and spreader off; frames lie inside it.
    Windrow {
        /// How wide the windrow is, meters.
        width_m: f64,
        /// How wide the machine cuts, meters.
        cut_m: f64,
    },
    /// Nobody looked: two answers, and no money.
    Unknown {
        /// How often the cut is as wide as a windrow would be, for the second answer.
        cut_over_windrow: f64,
    },
}

/// How many times thicker than over the full cut what the machine lost lies in the frames.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "known", rename_all = "snake_case")]
pub enum Concentration {
    /// One answer.
    Yes {
        /// Width of cut / width of what the tail laid down.
        factor: f64,
    },
    /// Two answers.
    No {
        /// If it was spread over the full cut: 1.
        spread: f64,
        /// If it was in a windrow.
        windrow: f64,
    },
}

/// The concentration factor: width of cut / width in which the tail laid what it threw out
/// (after extension sheets of NDSU and the Canola Council: a 30 ft cut and a 5 ft discharge give 6).
///
/// A frame that reaches further across than the windrow gathers all of it, thinned out over the
/// frame's own width; one as wide as the cut needs no factor at all.
///
/// ```
/// use machine::frame::{Concentration, Frame, Tail, concentration};
/// let tail = Tail::Windrow { width_m: 5.0 * 0.3048, cut_m: 30.0 * 0.3048 };
/// let square_foot = Frame::Area { area_m2: 0.092_903_04 };
/// let Concentration::Yes { factor } = concentration(tail, square_foot)? else { unreachable!() };
/// assert!((factor - 6.0).abs() < 1e-12);
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// Widths that are not above zero, a windrow or spread more than half as wide again as the cut, a
/// windrow wider than the cut, a frame wider than the cut.
pub fn concentration(tail: Tail, frame: Frame) -> Result<Concentration, MachineError> {
    let of = |what: &'static str, width_m: f64, cut_m: f64, most: f64| {
        let (width, cut) = (
            above_zero(what, width_m, "m")?,
            above_zero("width of cut", cut_m, "m")?,
        );
        frame.within_cut(cut)?;
        if width > cut * most {
            return Err(MachineError::odd(
                what,
                format!("{:.1} ft ({width:.2} m)", width / 0.3048),
                format!("no more than the cut, {:.1} ft ({cut:.2} m)", cut / 0.3048),
            ));
        }
        let gathered = frame.wide_m().map_or(width, |wide| wide.max(width));
        Ok(Concentration::Yes {
            factor: cut / gathered,
        })
    };
    match tail {
        Tail::Spread => Ok(Concentration::Yes { factor: 1.0 }),
        // a spread may reach past the cut: then the next pass gets what this one does not
        Tail::SpreadOver { width_m, cut_m } => of("width of the spread", width_m, cut_m, 1.5),
        Tail::Windrow { width_m, cut_m } => of("width of the windrow", width_m, cut_m, 1.0),
        Tail::Unknown { cut_over_windrow } => {
            above_zero("cut over windrow", cut_over_windrow, "times")?;
            Ok(Concentration::No {
                spread: 1.0,
                windrow: cut_over_windrow,
            })
        }
    }
}
