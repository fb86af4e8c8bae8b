//! What stands: the entries of a book with corrections and voids taken into account.
//!
//! The entries form a set that only grows; [`effective`] is a pure function of that set, whatever
//! the order they are handed over in. Original entries each head a *thread*: the entry, the
//! corrections of it and the voids that name any of them.
//!
//! - A correction replaces every version that it names, and what those named. Voided, it replaces
//!   nothing, and the version before it comes back.
//! - More than one version left is a conflict: the last in order (stamp, device, seq, id) holds,
//!   and all are listed. So is a void of an entry against a correction that was made without
//!   knowing of it.
//! - A void takes out what it names, unless it is itself voided.
//!
//! Limitations: a correction or void of a form that only a later program knows changes nothing
//! here; what it names is listed in [`NeedsNewer::touches`].

use crate::kinds::{Payload, Reading};
use crate::{Entry, EntryId, Happened, PayloadText};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// How far an entry's stamp may stray from the clock in its id before it is shown, ms: 2 minutes.
const STRAY_MS: i64 = 120_000;
/// How far in the future of its stamp a thing may have happened before it is shown, ms: 15 minutes.
const FUTURE_MS: i64 = 900_000;

/// An entry that stands, in the wording that holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Standing {
    /// The first entry's id, by which others refer to it whatever its wording.
    pub id: EntryId,
    /// The entry whose wording holds: the first itself, or a correction of it.
    pub holder: EntryId,
    /// Who wrote the wording that holds.
    pub author: crate::kinds::Name,
    /// When it happened, as corrected.
    pub happened: Happened,
    /// What kind of thing.
    pub kind: String,
    /// Version of the payload's form.
    pub version: u32,
    /// What it says, as corrected.
    pub payload: PayloadText,
    /// Corrections that led here or compete, in order.
    pub corrections: Vec<EntryId>,
}

impl Standing {
    /// What it says, brought up to the current version of its kind.
    ///
    /// # Errors
    /// As [`Entry::read`].
    pub fn read(&self) -> Result<Reading, crate::BookError> {
        Payload::read(&self.kind, self.version, self.payload.as_str())
    }
}

/// Several wordings (or a void) of one entry, made without knowing of each other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Conflict {
    /// The entry that they are about.
    pub id: EntryId,
    /// The one that holds: the last in order.
    pub holds: EntryId,
    /// All that are left, in order; a void among them says "take it out".
    pub survivors: Vec<EntryId>,
}

/// An entry that was taken out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Voided {
    /// The entry.
    pub id: EntryId,
    /// The voids that took it out, in order.
    pub by: Vec<EntryId>,
}

/// An entry that this program keeps and passes on but does not understand.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NeedsNewer {
    /// The entry.
    pub id: EntryId,
    /// Its kind as stored.
    pub kind: String,
    /// Its payload version.
    pub version: u32,
    /// Entries that it may change, once understood.
    pub touches: Vec<EntryId>,
}

/// Why a clock looks wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OddClock {
    /// The stamp and the clock in the entry's id disagree: the device's clock was set back or jumped.
    StampFromId,
    /// It replaces an entry whose stamp is later than its own: one of the two clocks is wrong.
    BeforeItsCause,
    /// It happened well after it was written down.
    HappenedLater,
}

/// An entry whose device clock disagrees with the rest of the book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ClockOdd {
    /// The entry.
    pub id: EntryId,
    /// What disagrees.
    pub what: OddClock,
    /// By how much, ms.
    pub by_ms: i64,
}

/// What stands in a book, and everything that a person should look at.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Effective {
    /// What stands, in the order of the first entries.
    pub entries: Vec<Standing>,
    /// Entries with more than one wording left.
    pub conflicts: Vec<Conflict>,
    /// Entries taken out.
    pub voided: Vec<Voided>,
    /// Entries that a newer program is needed for; those that are no correction or void also stand in `entries`.
    pub needs_newer: Vec<NeedsNewer>,
    /// Entries whose device clock looks wrong.
    pub clock_odd: Vec<ClockOdd>,
    /// Corrections and voids whose entry has not arrived yet, with the ids they wait for.
    pub waiting: Vec<(EntryId, EntryId)>,
    /// Entries that name each other in a circle (no honest program writes such); their `replaces` is disregarded.
    pub circular: Vec<EntryId>,
    /// Entries whose payload does not read, with the reason; they change nothing and do not stand.
    pub unreadable: Vec<(EntryId, String)>,
}

/// Folds entries into what stands. The result depends on the set of entries only.
pub fn effective(entries: &[Entry]) -> Effective {
    let mut ordered: Vec<&Entry> = entries.iter().collect();
    ordered.sort_by(|a, b| a.order().cmp(&b.order()));
    ordered.dedup_by_key(|entry| entry.id);
    let mut out = Effective::default();
    let mut amends = Amends::sort_out(&ordered, &mut out);
    let by_id: BTreeMap<EntryId, &Entry> = ordered.iter().map(|entry| (entry.id, *entry)).collect();
    amends.drop_misaimed(&by_id, &mut out);
    let voids = amends.standing_voids();
    for (root, corrections) in &amends.threads {
        let thread = Thread {
            root: *root,
            corrections,
            voids: &voids,
        };
        thread.settle(&by_id, &mut out);
    }
    let place = |id: EntryId| by_id.get(&id).map(|entry| entry.order());
    out.entries.sort_by(|a, b| place(a.id).cmp(&place(b.id)));
    out.conflicts.sort_by(|a, b| place(a.id).cmp(&place(b.id)));
    out.voided.sort_by(|a, b| place(a.id).cmp(&place(b.id)));
    look_at_clocks(&ordered, &by_id, &mut out);
    out
}

/// A correction, taken apart.
struct Rewording<'a> {
    entry: &'a Entry,
    kind: String,
    version: u32,
    payload: PayloadText,
    replaces: Vec<EntryId>,
}

/// A void, taken apart.
struct TakeOut {
    id: EntryId,
    names: Vec<EntryId>,
}

/// Everything that replaces something, sorted by what it is about.
#[derive(Default)]
struct Amends<'a> {
    /// First entries with the corrections of them, in order; the first entry may not be here yet.
    threads: BTreeMap<EntryId, Vec<Rewording<'a>>>,
    /// Voids, in order.
    voids: Vec<TakeOut>,
}

impl<'a> Amends<'a> {
    fn sort_out(ordered: &[&'a Entry], out: &mut Effective) -> Self {
        let ids: BTreeSet<EntryId> = ordered.iter().map(|entry| entry.id).collect();
        let circular = circular(ordered);
        out.circular = ordered
            .iter()
            .map(|e| e.id)
            .filter(|id| circular.contains(id))
            .collect();
        let mut amends = Self::default();
        for entry in ordered {
            let names = || -> Vec<EntryId> {
                let all = entry.replaces.iter().copied();
                // an edge between two entries of a circle is no edge
                all.filter(|id| !(circular.contains(&entry.id) && circular.contains(id)))
                    .collect()
            };
            match entry.read() {
                Err(error) => {
                    out.unreadable.push((entry.id, error.to_string()));
                    continue;
                }
                Ok(Reading::NeedsNewer) => {
                    out.needs_newer.push(NeedsNewer {
                        id: entry.id,
                        kind: entry.kind.clone(),
                        version: entry.version,
                        touches: entry.replaces.clone(),
                    });
                    if entry.kind == "correction" || entry.kind == "void" {
                        continue;
                    }
                    amends.threads.entry(entry.id).or_default();
                }
                Ok(Reading::Known(Payload::Void(_))) => {
                    amends.voids.push(TakeOut {
                        id: entry.id,
                        names: names(),
                    });
                }
                Ok(Reading::Known(Payload::Correction(correction))) => {
                    let rewording = Rewording {
                        entry,
                        kind: correction.now.kind().to_owned(),
                        version: correction.now.version(),
                        payload: PayloadText::new(correction.now.text())
                            .expect("a payload writes one JSON object"),
                        replaces: names(),
                    };
                    amends
                        .threads
                        .entry(correction.of)
                        .or_default()
                        .push(rewording);
                }
                Ok(Reading::Known(_)) => {
                    amends.threads.entry(entry.id).or_default();
                }
            }
            let absent = entry.replaces.iter().filter(|id| !ids.contains(id));
            out.waiting.extend(absent.map(|id| (entry.id, *id)));
        }
        amends
    }

    /// Voids that a standing void takes out. Circles are cut already, so naming has no loops.
    fn dead_voids(&self) -> BTreeSet<EntryId> {
        let mut namers: BTreeMap<EntryId, Vec<EntryId>> = BTreeMap::new();
        let mut waits: BTreeMap<EntryId, usize> = self.voids.iter().map(|v| (v.id, 0)).collect();
        for void in &self.voids {
            for name in void.names.iter().filter(|name| waits.contains_key(name)) {
                namers.entry(void.id).or_default().push(*name);
            }
        }
        for names in namers.values() {
            for name in names {
                if let Some(count) = waits.get_mut(name) {
                    *count += 1;
                }
            }
        }
        // a void is decided once every void that names it is
        let mut ready: Vec<EntryId> = waits
            .iter()
            .filter(|(_, count)| **count == 0)
            .map(|(id, _)| *id)
            .collect();
        let mut dead = BTreeSet::new();
        while let Some(id) = ready.pop() {
            for name in namers.get(&id).into_iter().flatten() {
                if !dead.contains(&id) {
                    dead.insert(*name);
                }
                if let Some(count) = waits.get_mut(name) {
                    *count -= 1;
                    if *count == 0 {
                        ready.push(*name);
                    }
                }
            }
        }
        dead
    }

    /// Standing voids of each entry that is named by one, in order.
    fn standing_voids(&self) -> BTreeMap<EntryId, Vec<EntryId>> {
        let dead = self.dead_voids();
        let mut of: BTreeMap<EntryId, Vec<EntryId>> = BTreeMap::new();
        for void in self.voids.iter().filter(|void| !dead.contains(&void.id)) {
            for name in &void.names {
                of.entry(*name).or_default().push(void.id);
            }
        }
        of
    }

    /// Sets aside corrections of another kind than the entry that they name (no honest program
    /// writes such; a correction of a correction is one of them).
    fn drop_misaimed(&mut self, by_id: &BTreeMap<EntryId, &Entry>, out: &mut Effective) {
        for (root, corrections) in &mut self.threads {
            let Some(first) = by_id.get(root) else {
                continue;
            };
            corrections.retain(|correction| {
                let fits = correction.kind == first.kind;
                if !fits {
                    let why = format!("it rewords a {} entry as {}", first.kind, correction.kind);
                    out.unreadable.push((correction.entry.id, why));
                }
                fits
            });
        }
        self.threads.retain(|root, corrections| {
            let amend = by_id
                .get(root)
                .is_some_and(|e| matches!(e.kind.as_str(), "correction" | "void"));
            !(amend && corrections.is_empty())
        });
    }
}

/// One first entry and all that was said about it.
struct Thread<'t, 'a> {
    root: EntryId,
    corrections: &'t [Rewording<'a>],
    voids: &'t BTreeMap<EntryId, Vec<EntryId>>,
}

impl Thread<'_, '_> {
    fn settle(&self, by_id: &BTreeMap<EntryId, &Entry>, out: &mut Effective) {
        let first = by_id.get(&self.root);
        let voids_of = |id: EntryId| self.voids.get(&id).cloned().unwrap_or_default();
        let standing: Vec<&Rewording<'_>> = self
            .corrections
            .iter()
            .filter(|c| !self.voids.contains_key(&c.entry.id))
            .collect();
        let mut covered = BTreeSet::new();
        for correction in &standing {
            covered.extend(self.reach(&correction.replaces));
        }
        let survivors: Vec<&&Rewording<'_>> = standing
            .iter()
            .filter(|c| !covered.contains(&c.entry.id))
            .collect();
        let first_voids = voids_of(self.root);
        let first_stands =
            first.is_some() && first_voids.is_empty() && !covered.contains(&self.root);

        let mut left: Vec<EntryId> = Vec::new();
        left.extend(first_stands.then_some(self.root));
        left.extend(survivors.iter().map(|c| c.entry.id));
        if !survivors.is_empty() {
            // a void of the whole entry against wordings that did not know of it
            left.extend(&first_voids);
        }
        left.sort_by(|a, b| order(by_id, *a).cmp(&order(by_id, *b)));
        let Some(&holds) = left.last() else {
            let mut by: Vec<EntryId> = first_voids;
            by.extend(self.corrections.iter().flat_map(|c| voids_of(c.entry.id)));
            by.sort_by(|a, b| order(by_id, *a).cmp(&order(by_id, *b)));
            by.dedup();
            if first.is_some() || !by.is_empty() {
                out.voided.push(Voided { id: self.root, by });
            }
            return;
        };
        if left.len() > 1 {
            out.conflicts.push(Conflict {
                id: self.root,
                holds,
                survivors: left,
            });
        }
        if first_voids.contains(&holds) {
            out.voided.push(Voided {
                id: self.root,
                by: first_voids,
            });
            return;
        }
        let corrections = self.corrections.iter().map(|c| c.entry.id).collect();
        let reworded = survivors.iter().find(|c| c.entry.id == holds);
        let said = match (reworded, first) {
            (Some(c), _) => (c.entry, c.kind.clone(), c.version, c.payload.clone()),
            (None, Some(e)) => (*e, e.kind.clone(), e.version, e.payload.clone()),
            (None, None) => return,
        };
        out.entries.push(Standing {
            id: self.root,
            holder: holds,
            author: said.0.author.clone(),
            happened: said.0.happened.clone(),
            kind: said.1,
            version: said.2,
            payload: said.3,
            corrections,
        });
    }

    /// Everything that these ids replace, and what those replaced, within the thread.
    fn reach(&self, from: &[EntryId]) -> BTreeSet<EntryId> {
        let mut reached = BTreeSet::new();
        let mut open = from.to_vec();
        while let Some(id) = open.pop() {
            let inner = self.corrections.iter().find(|c| c.entry.id == id);
            if (id == self.root || inner.is_some()) && reached.insert(id) {
                open.extend(inner.into_iter().flat_map(|c| &c.replaces));
            }
        }
        reached
    }
}

fn order<'e>(
    by_id: &BTreeMap<EntryId, &'e Entry>,
    id: EntryId,
) -> Option<(i64, &'e crate::DeviceId, u32, EntryId)> {
    by_id.get(&id).map(|entry| entry.order())
}

/// Entries that lie on a circle of `replaces`, or between two circles: what is left when entries
/// that nobody left names, and entries that name nobody left, are peeled off.
fn circular(ordered: &[&Entry]) -> BTreeSet<EntryId> {
    let ids: BTreeSet<EntryId> = ordered.iter().map(|entry| entry.id).collect();
    let edges: Vec<(EntryId, EntryId)> = ordered
        .iter()
        .flat_map(|entry| entry.replaces.iter().map(|id| (entry.id, *id)))
        .filter(|(_, id)| ids.contains(id))
        .collect();
    let mut left: BTreeSet<EntryId> = edges.iter().flat_map(|(a, b)| [*a, *b]).collect();
    for flip in [false, true] {
        let mut out: BTreeMap<EntryId, Vec<EntryId>> = BTreeMap::new();
        let mut count: BTreeMap<EntryId, usize> = left.iter().map(|id| (*id, 0)).collect();
        for (a, b) in &edges {
            let (a, b) = if flip { (*b, *a) } else { (*a, *b) };
            if left.contains(&a) && left.contains(&b) {
                out.entry(a).or_default().push(b);
                *count.entry(b).or_default() += 1;
            }
        }
        let mut open: Vec<EntryId> = count
            .iter()
            .filter(|(_, count)| **count == 0)
            .map(|(id, _)| *id)
            .collect();
        while let Some(id) = open.pop() {
            left.remove(&id);
            for next in out.remove(&id).into_iter().flatten() {
                if let Some(count) = count.get_mut(&next) {
                    *count -= 1;
                    if *count == 0 {
                        open.push(next);
                    }
                }
            }
        }
    }
    left
}

fn look_at_clocks(ordered: &[&Entry], by_id: &BTreeMap<EntryId, &Entry>, out: &mut Effective) {
    for entry in ordered {
        let mut odd = |what, by_ms| {
            out.clock_odd.push(ClockOdd {
                id: entry.id,
                what,
                by_ms,
            });
        };
        let stray = entry.stamp_ms - entry.id.clock_ms();
        if stray.abs() > STRAY_MS {
            odd(OddClock::StampFromId, stray);
        }
        let causes = entry.replaces.iter().filter_map(|id| by_id.get(id));
        if let Some(latest) = causes
            .map(|cause| cause.stamp_ms)
            .max()
            .filter(|ms| *ms > entry.stamp_ms)
        {
            odd(OddClock::BeforeItsCause, latest - entry.stamp_ms);
        }
        let later = entry.happened.at_ms() - entry.stamp_ms;
        if later > FUTURE_MS {
            odd(OddClock::HappenedLater, later);
        }
    }
}
