//! Claims on buyers' storage.
//!
//! Grain delivered on store, for a later price, into a grain bank or to a custom dryer leaves our dry
//! matter at the scale. What comes back is a claim: that buyer's bushels under that schedule, which
//! sales and withdrawals draw on. Bushels here are always the buyer's; they arrive as an argument,
//! settled by the schedule, and are never converted to dry matter again.

use crate::slip::{CropId, SlipId};
use quantity::DryMass;
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// On what terms the buyer holds the grain.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum Terms {
    /// On store under a warehouse receipt: still ours.
    OnStore,
    /// Delivered, title passed, price to be set later.
    PriceLater,
    /// Grain bank: drawn on for feed.
    GrainBank,
    /// Custom dryer: comes back as dry bushels.
    CustomDryer,
}

/// Names one claim: bushels of two schedules, crops or terms never net against each other.
#[derive(
    Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
pub struct ClaimKey {
    /// The buyer.
    pub buyer: String,
    /// The schedule that the bushels were settled under.
    pub schedule: String,
    /// Which crop.
    pub crop: CropId,
    /// On what terms.
    pub terms: Terms,
}

/// What drew a claim down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Draw {
    /// Priced or sold.
    Sold,
    /// Hauled back as grain or feed.
    HauledBack,
    /// Taken by the buyer as a charge in kind, such as storage shrink.
    Charged,
}

/// One entry in a claim.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum ClaimEntry {
    /// Delivered: dry matter left us, bushels came.
    Delivered {
        /// The slip.
        id: SlipId,
        /// When, UTC milliseconds.
        at_ms: i64,
        /// Into which claim.
        key: ClaimKey,
        /// The buyer's bushels under the schedule.
        buyers_bu: Decimal,
        /// The dry matter that left, for the record only.
        dry: DryMass,
    },
    /// Drawn.
    Drawn {
        /// The entry.
        id: SlipId,
        /// When, UTC milliseconds.
        at_ms: i64,
        /// From which claim.
        key: ClaimKey,
        /// The buyer's bushels under the schedule.
        buyers_bu: Decimal,
        /// What for.
        how: Draw,
    },
}

/// One claim as it stands.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Claim {
    /// Which.
    pub key: ClaimKey,
    /// Bushels delivered, the buyer's.
    pub delivered_bu: Decimal,
    /// Of them sold.
    pub sold_bu: Decimal,
    /// Hauled back.
    pub hauled_back_bu: Decimal,
    /// Charged in kind.
    pub charged_bu: Decimal,
    /// What is still owed to us; below zero only with a finding.
    pub open_bu: Decimal,
    /// Dry matter that went in, for the record.
    pub dry: DryMass,
    /// Every entry behind it, in order of time.
    pub entries: Vec<SlipId>,
}

/// Something wrong with a claim.
#[derive(Debug, Clone, PartialEq, serde::Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum ClaimFinding {
    /// More was drawn than the buyer held for us.
    #[error("entry {id} draws {drawn_bu} bu on a claim of {open_bu} bu at {} ({}); a delivery is missing, or the draw is typed wrong", key.buyer, key.crop)]
    Overdrawn {
        /// The entry.
        id: SlipId,
        /// Which claim.
        key: ClaimKey,
        /// What it drew.
        drawn_bu: Decimal,
        /// What stood open before.
        open_bu: Decimal,
    },
    /// Bushels below zero, or too many to count; the entry was set aside.
    #[error("entry {id} has {buyers_bu} bu, expected none or more; it is set aside")]
    NotBushels {
        /// The entry.
        id: SlipId,
        /// As given.
        buyers_bu: Decimal,
    },
}

/// All claims.
#[derive(Debug, Clone, PartialEq, Default, serde::Serialize)]
pub struct Claims {
    /// By buyer, schedule, crop and terms.
    pub claims: Vec<Claim>,
    /// What to look at.
    pub findings: Vec<ClaimFinding>,
}

/// Claims as they stand at a moment. Entries count in order of time, then id, whatever their order
/// here; a delivery of the same moment counts before a draw.
///
/// ```
/// use account::claims::{ClaimEntry, ClaimKey, Draw, Terms, claims};
/// use quantity::DryMass;
/// let key = ClaimKey {
///     buyer: "river".into(),
///     schedule: "corn 2026".into(),
///     crop: "corn".into(),
///     terms: Terms::PriceLater,
/// };
/// let entries = [
///     ClaimEntry::Delivered {
///         id: "t1".into(), at_ms: 1, key: key.clone(),
///         buyers_bu: "600.25".parse()?, dry: DryMass::ZERO,
///     },
///     ClaimEntry::Drawn {
///         id: "s1".into(), at_ms: 2, key,
///         buyers_bu: "400".parse()?, how: Draw::Sold,
///     },
/// ];
/// let stand = claims(&entries, 9);
/// assert_eq!(stand.claims[0].open_bu.to_string(), "200.25");
/// assert!(stand.findings.is_empty());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn claims(entries: &[ClaimEntry], at_ms: i64) -> Claims {
    let mut order: Vec<(i64, u8, &SlipId, &ClaimEntry)> = entries
        .iter()
        .map(|entry| match entry {
            ClaimEntry::Delivered { id, at_ms, .. } => (*at_ms, 0, id, entry),
            ClaimEntry::Drawn { id, at_ms, .. } => (*at_ms, 1, id, entry),
        })
        .filter(|entry| entry.0 <= at_ms)
        .collect();
    order.sort_by(|a, b| (a.0, a.1, a.2).cmp(&(b.0, b.1, b.2)));
    let mut all: BTreeMap<ClaimKey, Claim> = BTreeMap::new();
    let mut findings = Vec::new();
    for (_, _, id, entry) in order {
        let (ClaimEntry::Delivered { key, buyers_bu, .. }
        | ClaimEntry::Drawn { key, buyers_bu, .. }) = entry;
        if buyers_bu.is_sign_negative() && !buyers_bu.is_zero() || *buyers_bu > MOST_BU {
            findings.push(ClaimFinding::NotBushels {
                id: id.clone(),
                buyers_bu: *buyers_bu,
            });
            continue;
        }
        let claim = all.entry(key.clone()).or_insert_with(|| Claim {
            key: key.clone(),
            delivered_bu: Decimal::ZERO,
            sold_bu: Decimal::ZERO,
            hauled_back_bu: Decimal::ZERO,
            charged_bu: Decimal::ZERO,
            open_bu: Decimal::ZERO,
            dry: DryMass::ZERO,
            entries: Vec::new(),
        });
        claim.entries.push(id.clone());
        match entry {
            ClaimEntry::Delivered { dry, .. } => {
                claim.delivered_bu += buyers_bu;
                claim.open_bu += buyers_bu;
                claim.dry = claim.dry.checked_add(*dry).unwrap_or(claim.dry);
            }
            ClaimEntry::Drawn { how, .. } => {
                if *buyers_bu > claim.open_bu {
                    findings.push(ClaimFinding::Overdrawn {
                        id: id.clone(),
                        key: key.clone(),
                        drawn_bu: *buyers_bu,
                        open_bu: claim.open_bu,
                    });
                }
                claim.open_bu -= buyers_bu;
                *match how {
                    Draw::Sold => &mut claim.sold_bu,
                    Draw::HauledBack => &mut claim.hauled_back_bu,
                    Draw::Charged => &mut claim.charged_bu,
                } += buyers_bu;
            }
        }
    }
    Claims {
        claims: all.into_values().collect(),
        findings,
    }
}

/// A billion bushels: more than any buyer holds, and far from where a decimal overflows.
const MOST_BU: Decimal = Decimal::from_parts(1_000_000_000, 0, 0, false, 0);
