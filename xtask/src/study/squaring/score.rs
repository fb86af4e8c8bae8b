//! One squared season held against what really happened.

use account::square::{Hypothesis, MistakeKind as Named, Squared, Suspect};
use numeric::distribution::normal_upper;
use std::collections::{BTreeMap, BTreeSet};
use worlds::mistake::{Mistake, MistakeKind, Truth};
use worlds::paper::Record;

const KG_PER_LB: f64 = 0.453_592_37;
/// Half width of a 90 % interval, in standard errors.
const NINETY: f64 = 1.644_853_626_951_473;

/// What became of one planted mistake.
#[derive(Debug, Clone)]
pub(crate) struct Outcome {
    pub(crate) kind: MistakeKind,
    /// Its size; 0 where nothing checks the slips concerned.
    pub(crate) d: f64,
    /// Chance that one test at the season's level finds a shift of `d`.
    pub(crate) theory: f64,
    /// Named, alone or within the slips of the trips concerned.
    pub(crate) found: bool,
    /// Named itself, alone or with others that no test tells from it.
    pub(crate) itself: bool,
    /// Kind of the best hypothesis; `None` when there is none.
    pub(crate) named: Option<Named>,
    /// Whether every slip concerned was listed beforehand as one that nothing checks.
    pub(crate) listed: bool,
}

impl Outcome {
    pub(crate) fn right(&self) -> bool {
        self.named == Some(same(self.kind))
    }
}

/// Sums over seasons.
#[derive(Debug, Clone, Default)]
pub(crate) struct Tally {
    pub(crate) seasons: u64,
    pub(crate) slips: u64,
    pub(crate) unchecked: u64,
    /// Seasons called unsquared.
    pub(crate) alarms: u64,
    /// Seasons whose chi-square is past its 5 % point.
    pub(crate) global_alarms: u64,
    /// Squared values with a standard error, and those whose 90 % interval holds the truth.
    pub(crate) intervals: u64,
    pub(crate) covered: u64,
    /// Seasons in which a suspect's set holds no bad slip.
    pub(crate) blamed: u64,
    /// Seasons in which a suspect's set holds nothing that stands in a balance with a bad trip.
    pub(crate) blamed_elsewhere: u64,
    pub(crate) outcomes: Vec<Outcome>,
}

impl Tally {
    pub(crate) fn add(&mut self, other: Self) {
        self.seasons += other.seasons;
        self.slips += other.slips;
        self.unchecked += other.unchecked;
        self.alarms += other.alarms;
        self.global_alarms += other.global_alarms;
        self.intervals += other.intervals;
        self.covered += other.covered;
        self.blamed += other.blamed;
        self.blamed_elsewhere += other.blamed_elsewhere;
        self.outcomes.extend(other.outcomes);
    }

    pub(crate) fn between(&self, low: f64, high: f64) -> impl Iterator<Item = &Outcome> {
        self.outcomes
            .iter()
            .filter(move |o| o.d >= low && o.d < high)
    }

    pub(crate) fn found_between(&self, low: f64, high: f64) -> (u64, u64) {
        self.between(low, high).fold((0, 0), |(hits, all), o| {
            (hits + u64::from(o.found), all + 1)
        })
    }

    pub(crate) fn found_from(&self, low: f64) -> (u64, u64) {
        self.found_between(low, f64::INFINITY)
    }

    /// Of the mistakes found, how many with the right kind first.
    pub(crate) fn kind_right(&self) -> (u64, u64) {
        self.outcomes
            .iter()
            .filter(|o| o.found)
            .fold((0, 0), |(hits, all), o| {
                (hits + u64::from(o.right()), all + 1)
            })
    }
}

/// The account's name for a planted kind.
pub(crate) fn same(kind: MistakeKind) -> Named {
    match kind {
        MistakeKind::Swapped => Named::DigitsSwapped,
        MistakeKind::Digit => Named::DigitOff,
        MistakeKind::TareNotTaken => Named::TareNotTaken,
        MistakeKind::GrossAsNet => Named::GrossAsNet,
        MistakeKind::OtherTare => Named::OtherTare,
        MistakeKind::WrongUnit => Named::PoundsForKilograms,
        MistakeKind::MoistureTenfold => Named::MoistureTenfold,
        MistakeKind::TestWeightAsMoisture => Named::TestWeightAsMoisture,
        MistakeKind::Twice => Named::EnteredTwice,
        MistakeKind::Missing => Named::Missing,
        MistakeKind::WrongWagon => Named::WrongWagon,
        MistakeKind::WrongField => Named::WrongField,
        MistakeKind::MonitorGap => Named::MonitorGap,
    }
}

/// Whether the mistake is of one slip's own numbers, so that its size is that slip's own.
fn of_one_slip(kind: MistakeKind) -> bool {
    !matches!(
        kind,
        MistakeKind::Missing | MistakeKind::WrongWagon | MistakeKind::WrongField
    )
}

/// Scores one season.
pub(crate) fn score(truth: &Truth, typed: &Record, squared: &Squared) -> Tally {
    let mut tally = Tally {
        seasons: 1,
        slips: typed.slips.len() as u64,
        unchecked: squared.unchecked.len() as u64,
        alarms: u64::from(!squared.square),
        global_alarms: u64::from(squared.chi_square_p < 0.05),
        ..Tally::default()
    };
    for slip in &squared.slips {
        let (Some(value), Some(se), Some(dry_lb)) = (
            slip.squared_dry_kg,
            slip.se_kg,
            truth.dry_lb.get(&slip.slip.0),
        ) else {
            continue;
        };
        tally.intervals += 1;
        tally.covered += u64::from((value - dry_lb * KG_PER_LB).abs() <= NINETY * se);
    }
    let findable: BTreeMap<&str, f64> = squared
        .slips
        .iter()
        .filter_map(|s| Some((s.slip.0.as_str(), s.findable_kg?)))
        .collect();
    let unchecked: BTreeSet<&str> = squared.unchecked.iter().map(|s| s.0.as_str()).collect();
    for mistake in &truth.mistakes {
        let outcome = judge(mistake, squared, &findable, &unchecked);
        tally.outcomes.push(outcome);
    }
    let bad: BTreeSet<&str> = truth.mistakes.iter().flat_map(bad_slips).collect();
    let near: BTreeSet<&str> = truth
        .mistakes
        .iter()
        .flat_map(|m| m.in_balance.iter().map(String::as_str))
        .collect();
    let outside = |set: &BTreeSet<&str>| {
        squared
            .suspects
            .iter()
            .any(|s| !s.set.iter().any(|id| set.contains(id.0.as_str())))
    };
    tally.blamed = u64::from(outside(&bad));
    tally.blamed_elsewhere = u64::from(outside(&near));
    tally
}

/// Slips that it is right to name for a mistake: the slip itself, and for one that is not there or
/// stands in the wrong balance, any slip of the trips concerned.
fn bad_slips(mistake: &Mistake) -> Vec<&str> {
    let mut bad = vec![mistake.slip.as_str()];
    bad.extend(mistake.twin.as_deref());
    if !of_one_slip(mistake.kind) || mistake.kind == MistakeKind::Twice {
        bad.extend(mistake.concerned.iter().map(String::as_str));
        // a bin that is over or short by a load shows it in its own measure
        let stocks = mistake.in_balance.iter().filter(|id| id.starts_with('m'));
        bad.extend(stocks.map(String::as_str));
    }
    bad
}

fn names(suspect: &Suspect, id: &str) -> bool {
    suspect.slip.0 == id || suspect.set.iter().any(|other| other.0 == id)
}

fn judge(
    mistake: &Mistake,
    squared: &Squared,
    findable: &BTreeMap<&str, f64>,
    unchecked: &BTreeSet<&str>,
) -> Outcome {
    let change_kg = mistake.change_dry_lb.abs() * KG_PER_LB;
    let size = |id: &str| {
        findable
            .get(id)
            .map_or(0.0, |least| 6.0 * change_kg / least)
    };
    let d = if of_one_slip(mistake.kind) {
        size(&mistake.slip)
    } else {
        // a balance off by a whole slip is seen by whichever slip of it is known best
        mistake
            .concerned
            .iter()
            .map(|id| size(id))
            .fold(0.0, f64::max)
    };
    let critical = squared.critical_z;
    let bad = bad_slips(mistake);
    let itself = squared
        .suspects
        .iter()
        .find(|s| bad.iter().any(|id| names(s, id)));
    let near = squared
        .suspects
        .iter()
        .find(|s| mistake.concerned.contains(&s.slip.0));
    let best: Option<&Hypothesis> = itself.or(near).and_then(|s| s.hypotheses.first());
    Outcome {
        kind: mistake.kind,
        d,
        theory: normal_upper(critical - d) + normal_upper(critical + d),
        found: itself.is_some() || near.is_some(),
        itself: itself.is_some(),
        named: best.map(|h| h.kind),
        listed: mistake
            .concerned
            .iter()
            .all(|id| unchecked.contains(id.as_str())),
    }
}
