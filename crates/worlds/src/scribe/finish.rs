//! The end of a season: everything in order of time, named and numbered.

use super::Scribe;
use crate::mistake::Truth;
use crate::paper::{PlaceKind, Record, Weight};
use std::collections::BTreeMap;

impl Scribe {
    /// Puts everything in order of time and gives slips their final names and numbers.
    pub(crate) fn finish(self) -> (Record, Truth) {
        let (record, truth, _) = self.finish_named();
        (record, truth)
    }

    /// The same, and the final name of each slip by the name it had before.
    pub(crate) fn finish_named(mut self) -> (Record, Truth, BTreeMap<String, String>) {
        let mut names = BTreeMap::new();
        let mut record = std::mem::take(&mut self.record);
        let mut truth = std::mem::take(&mut self.truth);
        record
            .slips
            .sort_by(|a, b| (a.at_ms, &a.id).cmp(&(b.at_ms, &b.id)));
        record.stocks.sort_by_key(|s| s.at_ms);
        record.samples.sort_by_key(|s| s.at_ms);
        let kinds: BTreeMap<&str, PlaceKind> = record
            .places
            .iter()
            .map(|p| (p.id.as_str(), p.kind))
            .collect();
        let mut card = 100 + self.stream.whole(0, 700);
        let mut tickets: BTreeMap<String, i64> = BTreeMap::new();
        let mut last = i64::MIN;
        for (index, slip) in record.slips.iter_mut().enumerate() {
            let name = format!("s{:03}", index + 1);
            for map in [&mut truth.dry_lb, &mut truth.moisture_pct] {
                if let Some(value) = map.remove(&slip.id) {
                    map.insert(name.clone(), value);
                }
            }
            if let Some(value) = truth.paper_gross.remove(&slip.id) {
                truth.paper_gross.insert(name.clone(), value);
            }
            if let Some(value) = truth.trips.remove(&slip.id) {
                truth.trips.insert(name.clone(), value);
            }
            names.insert(std::mem::replace(&mut slip.id, name.clone()), name);
            // no two slips at the same millisecond, so that order never hangs on names
            slip.at_ms = slip.at_ms.max(last + 1);
            last = slip.at_ms;
            slip.number = if let (Weight::Scale { .. }, Some(PlaceKind::Pit)) =
                (&slip.weight, kinds.get(slip.to.as_str()))
            {
                let start = self.stream.whole(20_000, 79_000);
                let next = tickets.entry(slip.to.clone()).or_insert(start);
                *next += self.stream.whole(1, 9);
                Some(next.to_string())
            } else {
                card += 1;
                Some(card.to_string())
            };
        }
        (record, truth, names)
    }
}
