//! What a count says: loss standing, at the head and behind the machine, in bushels and money, with its doubt.

mod asked;
mod book;
mod says;
mod work;

pub(crate) use asked::seed_weight;
pub use asked::{CountAsked, Facts, count};
pub use book::{Counted, counts, latest_season, of_entry};
pub(crate) use book::{contract_price, frame, of_day};
pub use says::{sentence, sentence_in};
pub use work::work;
pub(crate) use work::{CONFIDENCE, ear_grain_kg};

use crate::{Ranged, Why};
use facts::LostAt;
use machine::loss::Standing;
use serde::Serialize;

/// A figure with its range 8 in 10; without one there were too few frames to say how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Told {
    /// The figure; by chance a difference may fall below nothing, and is kept as it fell.
    pub value: f64,
    /// Its range, cut at nothing below.
    pub range: Option<Ranged>,
}

impl Told {
    /// The figure as it is shown: nothing, where chance let it fall below.
    pub fn shown(self) -> f64 {
        self.value.max(0.0)
    }

    /// The same in another unit.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            range: self.range.map(|range| range.times(factor)),
        }
    }
}

/// One part of a loss.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LossPart {
    /// Loose seeds a square foot; none where only ears were looked for.
    pub seeds_per_ft2: Option<Told>,
    /// Bushels (of the legal weight) an acre cut.
    pub bu_per_ac: Told,
    /// Per cent of the total yield, harvested and lost.
    pub pct_of_total_yield: Option<Told>,
    /// Money an acre cut.
    pub money_per_ac: Option<Told>,
    /// Money an hour of cutting.
    pub money_per_h: Option<Told>,
}

/// A loss by who lost it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Losses {
    /// Before the machine came; not in the total.
    pub standing: Option<LossPart>,
    /// At the head.
    pub head: Option<LossPart>,
    /// Behind the head.
    pub machine: Option<LossPart>,
    /// Head and machine.
    pub total: Option<LossPart>,
}

impl Losses {
    /// The figure that answers: the whole pass, or what was looked at of it.
    pub fn answer(&self) -> Option<&LossPart> {
        self.total
            .as_ref()
            .or(self.head.as_ref())
            .or(self.standing.as_ref())
    }
}

/// Which part is most of a loss.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Most {
    /// The head.
    Head,
    /// The machine behind it.
    Machine,
}

impl CountAnswer {
    /// What the trade usually tries first for the largest part of the loss; the maker's manual goes before it.
    pub fn tries(&self) -> Vec<&'static facts::Try> {
        let Ok(crop) = self.crop.parse::<facts::Crop>() else {
            return Vec::new();
        };
        let at = self.try_for.iter();
        at.flat_map(|at| facts::tries_at(crop, *at)).collect()
    }
}

/// Frames that would settle whether the loss is worth an adjustment.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MoreFrames {
    /// How the question stands.
    pub standing: Standing,
    /// The loss from which an adjustment is worth trying, bushels an acre.
    pub worth_bu_per_ac: f64,
    /// Whether that is our default, a guess.
    pub worth_is_default: bool,
    /// The chance that the loss is above it.
    pub chance_above: Option<f64>,
    /// More frames in the standing crop.
    pub in_standing: usize,
    /// More frames behind the head.
    pub behind_head: usize,
    /// More frames behind the machine.
    pub behind_machine: usize,
    /// Minutes that they take.
    pub minutes: f64,
}

/// The answer to a count.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CountAnswer {
    /// One sentence, US units.
    pub sentence: String,
    /// The crop's key.
    pub crop: String,
    /// Its name.
    pub crop_name: String,
    /// Width of cut over width of what the tail laid down; none where nobody looked.
    pub concentration: Option<f64>,
    /// The loss; where nobody looked at the tail, as if it were spread over the whole cut.
    pub loss: Losses,
    /// Where nobody looked at the tail: as if it lay in a windrow of a sixth of the cut. There is no money then.
    pub or_windrow: Option<Losses>,
    /// Most of the loss.
    pub most: Option<Most>,
    /// For whose loss the trade's usual tries are worth a look, the largest first; none where that is not known.
    pub try_for: Vec<LostAt>,
    /// Nobody counted in the standing crop: what lay there is counted with the head.
    pub head_holds_standing: bool,
    /// Weight of 1,000 seeds, grams.
    pub thousand_seeds_g: f64,
    /// Whether that is our crop's default and nobody weighed any.
    pub seeds_are_default: bool,
    /// Price of a bushel, as it was taken.
    pub price_per_bu: Option<f64>,
    /// How many more frames would tell; none where nobody looked at the tail.
    pub more: Option<MoreFrames>,
    /// What to know, one sentence each.
    pub notes: Vec<String>,
    /// Cautions for the act.
    pub cautions: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}
