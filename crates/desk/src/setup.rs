//! What a new book still lacks, and what is settled of the list before the first pass.

use crate::Farm;
use serde::Serialize;

/// Getting started.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Setup {
    /// The season asked for.
    pub season: u16,
    /// The steps in order.
    pub steps: Vec<Step>,
    /// The first that is not done; none once all are.
    pub next: Option<StepKind>,
    /// Whether nothing but the farm is written yet.
    pub empty: bool,
    /// The list before the first pass.
    pub before: Vec<BeforeLine>,
}

/// One step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Step {
    /// Which.
    pub step: StepKind,
    /// Whether it is done.
    pub done: bool,
    /// How many of them are in the book.
    pub count: usize,
    /// What lacks something still, by name (a field that is not planted).
    pub lacking: Vec<String>,
}

/// The steps of getting started.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StepKind {
    /// The farm and its time zone.
    Farm,
    /// Fields, each with what is planted there this season.
    Fields,
    /// A combine.
    Machine,
    /// Places: a wagon or truck, and where grain goes.
    Places,
    /// A buyer.
    Buyer,
}

/// One line of the list before the first pass.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BeforeLine {
    /// What.
    pub what: BeforeKind,
    /// How it stands by the book.
    pub state: BeforeState,
    /// What is settled, by name.
    pub settled: Vec<String>,
    /// What is open, by name.
    pub open: Vec<String>,
}

/// The lines of the list before the first pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BeforeKind {
    /// Tare each wagon on the buyer's scale.
    TareWagons,
    /// Check the hand meter against the buyer's.
    CheckMeter,
    /// Measure and mark carry-over bins; ask the agent before new crop goes in.
    CarryOverBins,
    /// Get the buyer's schedule for each crop.
    Schedules,
    /// Get contracts.
    Contracts,
    /// Get splits.
    Splits,
    /// Get unit numbers.
    UnitNumbers,
    /// Get the call-at yield of each unit.
    CallAt,
    /// Hang extinguishers.
    Extinguishers,
    /// Practise one load per person.
    PractiseLoads,
}

/// How a line stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BeforeState {
    /// Settled by entries.
    Settled,
    /// Some are settled, some open.
    Partly,
    /// Open.
    Open,
    /// Nothing in the book can settle it: tick it on paper.
    OnPaper,
}

/// What the book lacks for a season.
pub fn setup(_farm: &Farm, season: u16) -> Setup {
    Setup {
        season,
        steps: Vec::new(),
        next: None,
        empty: true,
        before: Vec::new(),
    }
}
