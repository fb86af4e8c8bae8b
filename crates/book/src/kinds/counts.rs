//! Counts: seeds and ears found on the ground in frames of a known size.
//!
//! The facts are kept whole, so that a loss can be worked out later: what lies in the standing crop was lost before the
//! machine came, what lies behind the head is that and what the head lost, what lies behind the
//! machine is all of it, gathered by the tail into the width that it covers.

use super::Name;
use super::check::{odd, season, within, words};
use crate::BookError;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// The ground that was looked at in each place, as it was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "snake_case", deny_unknown_fields)]
pub enum Frame {
    /// A frame or pan of a known area.
    Area {
        /// Square metres; a square foot is exactly 0.09290304.
        area_m2: Decimal,
    },
    /// A rectangle: two sides of a frame, or a length of row by the width of the head.
    Sides {
        /// Along the rows, metres.
        long_m: Decimal,
        /// Across the rows, metres.
        wide_m: Decimal,
    },
    /// A hoop.
    Hoop {
        /// Inside diameter, metres.
        across_m: Decimal,
    },
}

impl Frame {
    fn check(self) -> Result<(), BookError> {
        let above = |field, value: Decimal, most, unit| {
            if value <= Decimal::ZERO {
                let found = format!("{value} {unit}");
                return Err(odd("count", field, &found, "more than 0"));
            }
            within("count", field, Some(value), (0, most), unit)
        };
        match self {
            Self::Area { area_m2 } => above("frame area_m2", area_m2, 10_000, "m2"),
            Self::Sides { long_m, wide_m } => {
                above("frame long_m", long_m, 1_000, "m")?;
                above("frame wide_m", wide_m, 100, "m")
            }
            Self::Hoop { across_m } => above("frame across_m", across_m, 10, "m"),
        }
    }
}

/// Where a frame lay.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FrameAt {
    /// In the standing crop, out of the reel's reach.
    Standing,
    /// Between head and tail: the machine stopped and backed up.
    BehindHead,
    /// Behind the machine, under what the tail laid down.
    BehindMachine,
}

/// What was found in one frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Found {
    /// Where it lay.
    pub at: FrameAt,
    /// Loose seeds; `None` where only ears were looked for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seeds: Option<u32>,
    /// Ears or heads with seed on them, whose kernels are not among the loose ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ears: Option<u32>,
}

/// How the tail of the machine laid down what it threw out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "as", rename_all = "snake_case", deny_unknown_fields)]
pub enum Tail {
    /// Spread.
    Spread {
        /// How wide the spread reaches, metres, where it does not reach the whole cut.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        width_m: Option<Decimal>,
    },
    /// In a windrow.
    Windrow {
        /// How wide the windrow is, metres; without it no loss can be worked out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        width_m: Option<Decimal>,
    },
    /// Nobody looked: a loss then has two answers.
    Unknown {},
}

/// Seeds counted in frames, in one spot of one field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Count {
    /// Which field.
    pub field: Name,
    /// Which crop.
    pub crop: Name,
    /// Of which season.
    pub season: u16,
    /// Behind which machine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<Name>,
    /// The ground in each frame; frames of another size are another count.
    pub frame: Frame,
    /// How wide the machine cuts, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut_width_m: Option<Decimal>,
    /// How fast it went, metres a second (3 mph is exactly 1.34112).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speed_m_s: Option<Decimal>,
    /// What was found, one a frame, nothing found being 0.
    pub frames: Vec<Found>,
    /// What the tail did.
    pub tail: Tail,
    /// Weight of 1,000 seeds, grams, where somebody weighed some.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thousand_seeds_g: Option<Decimal>,
    /// Settings, weather, anything that explains it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remark: String,
}

impl Count {
    pub(crate) fn check(&self) -> Result<(), BookError> {
        season("count", self.season)?;
        self.frame.check()?;
        within("count", "cut_width_m", self.cut_width_m, (1, 30), "m")?;
        within("count", "speed_m_s", self.speed_m_s, (0, 10), "m/s")?;
        within(
            "count",
            "thousand_seeds_g",
            self.thousand_seeds_g,
            (0, 2_000),
            "g",
        )?;
        if let Tail::Spread { width_m } | Tail::Windrow { width_m } = self.tail {
            if width_m.is_some_and(|width| width <= Decimal::ZERO) {
                return Err(odd("count", "tail width_m", "0 m", "more than 0"));
            }
            within("count", "tail width_m", width_m, (0, 60), "m")?;
        }
        if !(1..=200).contains(&self.frames.len()) {
            let found = format!("{} frames", self.frames.len());
            return Err(odd("count", "frames", &found, "1 to 200 frames"));
        }
        for one in &self.frames {
            if one.seeds.is_none() && one.ears.is_none() {
                return Err(odd("count", "frames", "nothing", "seeds or ears, or 0"));
            }
            let most = one.seeds.max(one.ears).unwrap_or(0);
            if most > 100_000 {
                return Err(odd(
                    "count",
                    "frames",
                    &most.to_string(),
                    "at most 100,000 a frame",
                ));
            }
        }
        words("count", "remark", &self.remark, false)
    }
}
