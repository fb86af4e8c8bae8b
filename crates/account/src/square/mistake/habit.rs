//! What is usual on this farm: tares of each wagon, moistures of each crop, units, loads, numbers.
//!
//! A slip that departs from a habit says so by itself, whatever the balances say; the corrected
//! value must fit the habit too.

use crate::slip::{CropId, PlaceId, PlaceKind, SlipId, Weight};
use crate::square::season::build::Layout;
use quantity::MassUnit;
use std::collections::{BTreeMap, BTreeSet};

/// A usual value and how far it strays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Usual {
    pub(super) value: f64,
    pub(super) sd: f64,
}

impl Usual {
    /// Median, and a spread from the median of departures, not below `least`.
    pub(super) fn of(values: &mut [f64], least: f64) -> Option<Self> {
        let value = middle(values)?;
        let mut apart: Vec<f64> = values.iter().map(|v| (v - value).abs()).collect();
        let spread = 1.4826 * middle(&mut apart)?;
        Some(Self {
            value,
            sd: spread.max(least),
        })
    }

    /// Log density of a value, with a heavy tail of `stray` spread over `width`.
    pub(super) fn ln_density(&self, value: f64, stray: f64, width: f64) -> f64 {
        let z = (value - self.value) / self.sd;
        let core = (1.0 - stray) * (-0.5 * z * z).exp() / (self.sd * std::f64::consts::TAU.sqrt());
        (core + stray / width).ln()
    }
}

fn middle(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    values.sort_by(f64::total_cmp);
    Some(values[values.len() / 2])
}

/// Everything usual on one farm in one season.
#[derive(Debug, Clone, Default)]
pub(super) struct Habits {
    /// Empty weights, kg.
    tares: BTreeMap<PlaceId, Usual>,
    /// Moistures of a crop, as a share.
    moistures: BTreeMap<CropId, Usual>,
    /// How often each unit was used where this slip was weighed.
    units: BTreeMap<String, (usize, usize)>,
    /// Dry mass of one tank of a crop, kg.
    tanks: BTreeMap<CropId, Usual>,
    /// Times in which a number of a running series is missing.
    gaps: Vec<(i64, i64)>,
    /// Whether load cards are numbered without gaps as a rule.
    pub(super) numbered: bool,
    /// Slips that say exactly the same as an earlier one soon before: later, first.
    pub(super) twins: BTreeMap<SlipId, SlipId>,
}

/// Two slips further apart than this are not the same load entered twice, ms.
const SOON_MS: i64 = 6 * 3_600_000;

fn metric(unit: MassUnit) -> bool {
    matches!(unit, MassUnit::Kg | MassUnit::Tonne)
}

/// Where a weight was read: its peers share a unit.
fn peers(layout: &Layout<'_>, slip: usize) -> Option<(String, MassUnit)> {
    let slip = layout.slips[slip];
    match &slip.weight {
        Weight::Scale { unit, class, .. } => {
            Some((format!("{class:?} {} {}", slip.to, slip.crop), *unit))
        }
        Weight::Monitor { machine, unit, .. } => Some((format!("monitor {machine}"), *unit)),
        _ => None,
    }
}

impl Habits {
    pub(super) fn of(layout: &Layout<'_>, dry_kg: &[Option<f64>]) -> Self {
        let mut made = Self::default();
        let mut tares: BTreeMap<PlaceId, Vec<f64>> = BTreeMap::new();
        let mut moistures: BTreeMap<CropId, Vec<f64>> = BTreeMap::new();
        let mut tanks: BTreeMap<CropId, Vec<f64>> = BTreeMap::new();
        let kind: BTreeMap<&PlaceId, PlaceKind> = layout
            .season
            .places
            .iter()
            .map(|p| (&p.id, p.kind))
            .collect();
        for (index, slip) in layout.slips.iter().enumerate() {
            if let (
                Weight::Scale {
                    tare: Some(tare), ..
                },
                [from],
            ) = (&slip.weight, slip.from.as_slice())
            {
                tares.entry(from.clone()).or_default().push(tare.kg());
            }
            if let Some(m) = &slip.moisture {
                moistures
                    .entry(slip.crop.clone())
                    .or_default()
                    .push(m.value.fraction());
            }
            if let Some((key, unit)) = peers(layout, index) {
                let count = made.units.entry(key).or_default();
                if metric(unit) {
                    count.1 += 1;
                } else {
                    count.0 += 1;
                }
            }
            let tank = matches!(slip.weight, Weight::Monitor { .. })
                || slip
                    .from
                    .iter()
                    .all(|f| kind.get(f) == Some(&PlaceKind::Standing));
            if let (true, Some(kg)) = (tank, dry_kg[index]) {
                tanks.entry(slip.crop.clone()).or_default().push(kg);
            }
        }
        for (place, values) in &mut tares {
            made.tares
                .extend(Usual::of(values, 12.0).map(|u| (place.clone(), u)));
        }
        for (place, mass) in &layout.season.tares {
            let listed = Usual {
                value: mass.kg(),
                sd: 15.0,
            };
            made.tares.insert(place.clone(), listed);
        }
        for (crop, values) in &mut moistures {
            made.moistures
                .extend(Usual::of(values, 0.008).map(|u| (crop.clone(), u)));
        }
        for (crop, values) in &mut tanks {
            if let Some(usual) = Usual::of(values, 0.0) {
                let sd = usual.sd.max(0.12 * usual.value).max(1.0);
                made.tanks.insert(crop.clone(), Usual { sd, ..usual });
            }
        }
        made.number(layout, &kind);
        made.twin(layout);
        made
    }

    /// Gaps in the numbers of load cards (a buyer numbers other people's loads too, so tickets say
    /// nothing).
    fn number(&mut self, layout: &Layout<'_>, kind: &BTreeMap<&PlaceId, PlaceKind>) {
        let cards: Vec<(i64, i64)> = layout
            .slips
            .iter()
            .filter(|s| kind.get(&s.to) != Some(&PlaceKind::Pit))
            .filter_map(|s| Some((s.number.as_ref()?.trim().parse().ok()?, s.at_ms)))
            .collect();
        if cards.len() < 8 {
            return;
        }
        let there: BTreeSet<i64> = cards.iter().map(|c| c.0).collect();
        let next = cards.windows(2).filter(|w| w[1].0 - w[0].0 == 1).count();
        self.numbered = next * 10 >= 7 * (cards.len() - 1);
        if !self.numbered {
            return;
        }
        let mut sorted = cards;
        sorted.sort_unstable();
        for pair in sorted.windows(2) {
            let (before, after) = (pair[0], pair[1]);
            if after.0 - before.0 > 1 && after.0 - before.0 <= 4 && !there.contains(&(before.0 + 1))
            {
                self.gaps
                    .push((before.1.min(after.1), before.1.max(after.1)));
            }
        }
    }

    fn twin(&mut self, layout: &Layout<'_>) {
        for (index, slip) in layout.slips.iter().enumerate() {
            if matches!(slip.weight, Weight::Unknown) {
                continue;
            }
            let first = layout.slips[..index]
                .iter()
                .rev()
                .take_while(|s| slip.at_ms - s.at_ms <= SOON_MS)
                .find(|s| {
                    s.weight == slip.weight
                        && s.moisture == slip.moisture
                        && s.crop == slip.crop
                        && s.to == slip.to
                        && s.from == slip.from
                });
            if let Some(first) = first {
                self.twins.insert(slip.id.clone(), first.id.clone());
            }
        }
    }

    /// What these places weigh empty together, kg.
    pub(super) fn tare(&self, from: &[PlaceId]) -> Option<Usual> {
        let mut sum = Usual {
            value: 0.0,
            sd: 0.0,
        };
        for place in from {
            let one = self.tares.get(place)?;
            sum.value += one.value;
            sum.sd = sum.sd.hypot(one.sd);
        }
        Some(sum)
    }

    /// Empty weights of other places, kg.
    pub(super) fn other_tares(&self, not: &[PlaceId]) -> Vec<(PlaceId, f64)> {
        self.tares
            .iter()
            .filter(|(place, _)| !not.contains(place))
            .map(|(place, usual)| (place.clone(), usual.value))
            .collect()
    }

    /// What this crop's moisture usually is.
    pub(super) fn moisture(&self, crop: &CropId) -> Option<Usual> {
        self.moistures.get(crop).copied()
    }

    /// What one tank of this crop usually holds, dry kg.
    pub(super) fn tank(&self, crop: &CropId) -> Option<Usual> {
        self.tanks.get(crop).copied()
    }

    /// Log odds that this slip's peers speak for the other unit.
    pub(super) fn other_unit(&self, layout: &Layout<'_>, slip: usize) -> f64 {
        let Some((key, unit)) = peers(layout, slip) else {
            return 0.0;
        };
        let (pounds, kilograms) = self.units.get(&key).copied().unwrap_or((0, 0));
        let (same, other) = if metric(unit) {
            (kilograms, pounds)
        } else {
            (pounds, kilograms)
        };
        // this slip itself is no evidence for its own unit
        let same = same.saturating_sub(1) as f64;
        ((other as f64 + 0.3) / (same + 0.3)).ln()
    }

    /// Log odds that the load cards speak for a slip missing in this time: a number is not there.
    pub(super) fn gap(&self, from_ms: i64, to_ms: i64) -> f64 {
        if !self.numbered {
            return 0.0;
        }
        let here = self.gaps.iter().any(|g| g.0 <= to_ms && g.1 >= from_ms);
        if here { 20.0_f64.ln() } else { 0.05_f64.ln() }
    }
}
