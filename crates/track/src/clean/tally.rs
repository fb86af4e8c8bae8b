//! Every record counted once, under the cause for which it is not mapped or under none.

use super::chain::Cleaned;
use super::flag::Flag;
use crate::Sum;
use serde::Serialize;
use std::collections::BTreeMap;

/// What carries one cause.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tallied {
    /// The cause; none for what is mapped.
    pub flag: Option<Flag>,
    /// Records.
    pub records: usize,
    /// Grain that came over the sensor in them by the scale, wet kg: it stays in the account whatever the cause.
    pub arrived_kg: f64,
    /// The same dry at the base, kg; records without a moisture count at the base.
    pub dry_kg: f64,
    /// Ground cut in them, m2.
    pub area_m2: f64,
}

/// What is mapped first, then each cause that occurs, in the order in which they are asked.
pub fn tally(cleaned: &Cleaned) -> Vec<Tallied> {
    let mut all: BTreeMap<Option<Flag>, (usize, [Sum; 3])> = BTreeMap::new();
    for r in &cleaned.records {
        let (records, sums) = all.entry(r.flag).or_default();
        *records += 1;
        sums[0].add(r.arrived_kg);
        sums[1].add(r.arrived_kg * r.dry_share(cleaned));
        sums[2].add(r.area_m2);
    }
    all.into_iter()
        .map(|(flag, (records, sums))| Tallied {
            flag,
            records,
            arrived_kg: sums[0].value(),
            dry_kg: sums[1].value(),
            area_m2: sums[2].value(),
        })
        .collect()
}
