//! A buyer's schedule as data: what is taken off, for what, how it is counted and where it is
//! rounded. It is entered by the user, one a buyer and contract type, and never has defaults of
//! ours: discounts and bases are market facts.

use crate::Factor;
use facts::Crop;
use quantity::MoneyRounding;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// A buyer's schedule for one crop under one kind of contract.
///
/// Numbers are decimal strings in JSON (`"15.0"`) and strings or plain numbers in TOML.
///
/// ```
/// let schedule: grain::Schedule = toml::from_str(r#"
///     name = "new corn, cash"
///     buyer = "river pit"
///     contract = "cash"
///     crop = "corn"
///     base_moisture_pct = 15.0
///     unit_lb = 56
///
///     [[line]]
///     name = "shrink"
///     factor = "moisture"
///     when = "above"
///     from = 15.0
///     step = 1
///     excess = "tenth"
///     kind = "percent_of_gross_weight"
///     charge = { per_step = 1.4 }
///
///     [[line]]
///     name = "drying"
///     factor = "moisture"
///     when = "above"
///     from = 15.0
///     reject_past = 28
///     step = 0.5
///     excess = "step_up"
///     kind = "cents_per_gross_bushel"
///     charge = { per_step = 2.5 }
/// "#)?;
/// schedule.check()?;
/// assert_eq!(schedule.lines.len(), 2);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Schedule {
    /// What the user calls it.
    pub name: String,
    /// Whose it is.
    pub buyer: String,
    /// Which kind of contract it is for ("cash", "price later", "storage").
    pub contract: String,
    /// Which crop.
    pub crop: Crop,
    /// Base moisture of this buyer and contract, per cent wet basis.
    pub base_moisture_pct: Decimal,
    /// What the price is per.
    #[serde(default)]
    pub unit: PayUnit,
    /// Pounds in one of that unit (56 for corn by the bushel, 100 by the hundredweight).
    pub unit_lb: Decimal,
    /// What is taken off, in the buyer's order. Weight lines work first, in this order, then money
    /// lines, so that a line on net bushels always sees the final net bushels.
    #[serde(default, rename = "line")]
    pub lines: Vec<Line>,
    /// Checkoff and other assessments, in the buyer's order.
    #[serde(default, rename = "assessment")]
    pub assessments: Vec<Assessment>,
    /// Which factors are averaged over the loads of a settlement; none: each load stands alone.
    #[serde(default, rename = "average")]
    pub averages: Vec<Average>,
    /// Where and how the sheet rounds.
    #[serde(default)]
    pub rounding: Rounding,
}

/// What a price is per.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PayUnit {
    /// Bushel of the schedule's own pounds.
    #[default]
    Bushel,
    /// Hundredweight.
    Cwt,
    /// Short ton.
    ShortTon,
    /// Tonne.
    Tonne,
}

impl PayUnit {
    /// The unit in print, one of them.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bushel => "bu",
            Self::Cwt => "cwt",
            Self::ShortTon => "ton",
            Self::Tonne => "t",
        }
    }
}

/// One line of a schedule: what a factor past a limit costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// What the sheet calls it; the factor's own words if empty.
    #[serde(default)]
    pub name: String,
    /// What is measured, or the flag that must be noted on the ticket.
    pub factor: Factor,
    /// On which side of `from` it costs.
    pub when: When,
    /// The limit up to which it is free.
    #[serde(default)]
    pub from: Decimal,
    /// Where this line stops counting (another line may go on from there); none: never.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<Decimal>,
    /// Size of one step of the excess, in the factor's unit.
    #[serde(default = "one")]
    pub step: Decimal,
    /// How an excess that is not whole steps is counted.
    #[serde(default)]
    pub excess: ExcessRounding,
    /// What the charge is in.
    pub kind: Kind,
    /// How much.
    pub charge: Charge,
    /// Past this the load is rejected; none: never for this factor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reject_past: Option<Decimal>,
}

/// On which side of its limit a factor costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// Above the limit (moisture, foreign material, damage).
    Above,
    /// Below the limit (test weight).
    Below,
    /// When the ticket notes the flag at all (musty, sour, live insects).
    Flagged,
}

/// How an excess that is not whole steps is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ExcessRounding {
    /// As it is, in proportion.
    #[default]
    Exact,
    /// In proportion, after the value is rounded half-up to a tenth.
    Tenth,
    /// A begun step counts whole.
    StepUp,
    /// To the nearest whole step, a half counting up.
    StepNearest,
    /// Only whole steps count.
    StepDown,
}

/// What a charge is in, and on what it works. A negative rate is a premium.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Cents for each gross (wet, as weighed) bushel or other pay unit.
    CentsPerGrossBushel,
    /// Cents for each net (paid) bushel or other pay unit.
    CentsPerNetBushel,
    /// Per cent of the weight over the scale.
    PercentOfGrossWeight,
    /// Per cent of the weight that the lines above have left.
    PercentOfRemainingWeight,
    /// Per cent of the price, on net bushels.
    PercentOfPrice,
    /// Cents for the load.
    FlatCents,
}

impl Kind {
    /// Whether it takes weight, not money.
    pub const fn takes_weight(self) -> bool {
        matches!(
            self,
            Self::PercentOfGrossWeight | Self::PercentOfRemainingWeight
        )
    }
}

/// How much a line charges, in the unit of its [`Kind`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Charge {
    /// Nothing: the line only rejects.
    None,
    /// So much whenever the limit is passed or the flag noted.
    Flat(Decimal),
    /// So much a step.
    PerStep(Decimal),
    /// By bands, read in the way that the buyer means.
    Banded {
        /// How the printed table is meant.
        reading: Reading,
        /// The bands, nearest the limit first.
        bands: Vec<Band>,
    },
    /// A printed table of value at each factor, straight between its points, `[factor, value]`;
    /// from the line's limit (value nothing) to the first point likewise. Past the last point the
    /// line is not computed and says so.
    Piecewise(Vec<(Decimal, Decimal)>),
    /// All of the excess: a load with 1.3 % over the limit loses 1.3 % of weight.
    WholeExcess,
    /// The water above the limit and no more, `100 (M - from) / (100 - from)` per cent, plus
    /// handling. Moisture lines in per cent of weight only.
    WaterShrink {
        /// Handling loss added whenever the limit is passed, per cent of weight.
        handling_pct: Decimal,
    },
}

/// How a table of bands is meant. The same print pays three ways: at a limit of 54 lb and a
/// test weight of 51.0, "1 cent a lb to 52, 2 cents to 48" is 6, 4 or 2 cents a bushel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Reading {
    /// The band's rate per step on the whole shortfall or excess.
    WholeShortfall,
    /// Each band's rate per step on the part that lies in it.
    Marginal,
    /// The band's value, once: it already includes the bands before it.
    BandValue,
    /// The band's value, once, and the values of the bands before it.
    BandValuesSummed,
}

impl Reading {
    /// The reading in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::WholeShortfall => "band's rate on the whole difference",
            Self::Marginal => "each band's rate on its own part",
            Self::BandValue => "band's value, bands before it included",
            Self::BandValuesSummed => "band's value plus those of the bands before it",
        }
    }
}

/// One band of a table.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Band {
    /// The last factor value in the band; none: it has no end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<Decimal>,
    /// Rate a step, or the band's value, as the reading says.
    pub rate: Decimal,
}

/// Checkoff or another assessment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assessment {
    /// What the sheet calls it.
    pub name: String,
    /// On what.
    pub base: AssessmentBase,
    /// Per cent of a value, or cents a bushel, as the base says.
    pub rate: Decimal,
}

/// On what an assessment is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AssessmentBase {
    /// Per cent of net bushels times price, before discounts.
    GrossValue,
    /// Per cent of the value after discounts, before any assessment.
    NetValue,
    /// Per cent of what is left after discounts and the assessments above.
    Remaining,
    /// Cents for each net (paid) bushel.
    PerNetBushel,
    /// Cents for each gross (wet) bushel.
    PerGrossBushel,
}

/// A factor that a settlement averages over its loads, weighted by net pounds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Average {
    /// Which factor.
    pub factor: Factor,
    /// Loads below this stand alone; none: no lower limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<Decimal>,
    /// Loads above this stand alone; none: no upper limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most: Option<Decimal>,
    /// How the average is rounded before it is used; none: not at all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub round: Option<Round>,
}

/// One named rounding: to so many places, by a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Round {
    /// Decimal places.
    pub places: u32,
    /// By which rule.
    pub rule: MoneyRounding,
}

impl Round {
    /// Rounds by this rule.
    pub fn apply(self, value: Decimal) -> Decimal {
        self.rule.round(value, self.places)
    }
}

/// Where a sheet rounds; a place left out is not rounded.
///
/// The default (bushels to 0.01 and each money line to the cent, halves up) is common practice, no
/// source; a sheet that differs says so here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Rounding {
    /// Gross bushels, as weighed over the pounds a bushel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gross_units: Option<Round>,
    /// Bushels that one weight line takes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line_units: Option<Round>,
    /// Net bushels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub net_units: Option<Round>,
    /// Rate of one line (cents or per cent) before it is applied.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line_rate: Option<Round>,
    /// Money of one line or assessment. Left out, only the totals are rounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line_money: Option<Round>,
    /// Gross value and net payment.
    pub total_money: Round,
}

impl Default for Rounding {
    fn default() -> Self {
        let half_up = |places| Round {
            places,
            rule: MoneyRounding::HalfUp,
        };
        Self {
            gross_units: Some(half_up(2)),
            line_units: Some(half_up(2)),
            net_units: Some(half_up(2)),
            line_rate: None,
            line_money: Some(half_up(2)),
            total_money: half_up(2),
        }
    }
}

fn one() -> Decimal {
    Decimal::ONE
}
