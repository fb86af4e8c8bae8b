//! Division of a mass, bushels or money among persons by agreement: parts always sum to the whole.
//!
//! An [`Agreement`] is exact fractions (2/3 and 1/3, or parts per million); every division rounds by
//! a named [`SplitRule`]. A load that mixed fields is first divided over the fields by its recorded
//! source split, then each field's part by that field's agreement ([`divide_load`]).

use crate::ledger::{FieldProduction, Load, Origin, in_proportion};
use crate::slip::{CropId, PersonId, PlaceId, SlipId};
use quantity::{DryMass, Money, QuantityError, SplitRule, split_money};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// What is wrong with an agreement or a division.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ShareError {
    /// The parts do not sum to one.
    #[error("the parts of the agreement sum to {sum}, expected 1; correct the fractions")]
    NotWhole {
        /// As a reduced fraction.
        sum: String,
    },
    /// A part with a zero bottom, or the agreement has nobody in it.
    #[error("found {found}, expected at least one person, each with a fraction such as 2/3")]
    NoFraction {
        /// What was found.
        found: String,
    },
    /// A person named twice.
    #[error("the agreement names '{person}' twice; give each person one part")]
    Twice {
        /// The person.
        person: PersonId,
    },
    /// A field that no agreement covers.
    #[error("no share agreement covers '{field}'; enter who has which part of it")]
    NoAgreement {
        /// The field's standing crop, or why it is not known.
        field: String,
    },
    /// Too large for exact division.
    #[error("{amount} is too large to divide exactly")]
    TooLarge {
        /// The amount.
        amount: String,
    },
    /// The rule does not fit the agreement.
    #[error("the whole cannot be split: {0}")]
    Split(#[from] QuantityError),
}

/// Most parts that a whole is cut into when fractions are brought to one denominator.
const MOST_PARTS: u128 = 1_000_000_000_000;

/// A person's part of a whole, an exact fraction.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Portion {
    /// Whose.
    pub person: PersonId,
    /// Top of the fraction.
    pub top: u32,
    /// Bottom of the fraction; 1,000,000 for parts per million.
    pub bottom: u32,
}

/// Who has which part; the parts sum to one exactly.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Agreement {
    portions: Vec<Portion>,
    #[serde(skip)]
    weights: Vec<Decimal>,
}

impl Agreement {
    /// An agreement from its portions, in the order that rounding favors.
    ///
    /// ```
    /// use account::shares::{Agreement, Portion};
    /// let part = |person: &str, top| Portion { person: person.into(), top, bottom: 3 };
    /// assert!(Agreement::new(vec![part("operator", 2), part("landlord", 1)]).is_ok());
    /// let short = Agreement::new(vec![part("operator", 1), part("landlord", 1)]).unwrap_err();
    /// assert_eq!(
    ///     short.to_string(),
    ///     "the parts of the agreement sum to 2/3, expected 1; correct the fractions"
    /// );
    /// ```
    ///
    /// # Errors
    /// When nobody is in it, a fraction has a zero bottom, a person is named twice, or the parts do
    /// not sum to one exactly (one third is 1/3; 333,333 parts per million leaves one over).
    pub fn new(portions: Vec<Portion>) -> Result<Self, ShareError> {
        let found = |found: String| ShareError::NoFraction { found };
        if portions.is_empty() {
            return Err(found("nobody".to_owned()));
        }
        let mut common: u128 = 1;
        for (at, portion) in portions.iter().enumerate() {
            if portion.bottom == 0 {
                return Err(found(format!("{}/0", portion.top)));
            }
            if portions[..at].iter().any(|p| p.person == portion.person) {
                return Err(ShareError::Twice {
                    person: portion.person.clone(),
                });
            }
            let bottom = u128::from(portion.bottom);
            common = common / gcd(common, bottom) * bottom;
            if common > MOST_PARTS {
                return Err(ShareError::TooLarge {
                    amount: "the common denominator".to_owned(),
                });
            }
        }
        let weight = |p: &Portion| common / u128::from(p.bottom) * u128::from(p.top);
        let sum: u128 = portions.iter().map(weight).sum();
        if sum != common {
            let by = gcd(sum, common);
            return Err(ShareError::NotWhole {
                sum: format!("{}/{}", sum / by, common / by),
            });
        }
        let weights = portions.iter().map(|p| Decimal::from(weight(p))).collect();
        Ok(Self { portions, weights })
    }

    /// The portions, in order.
    pub fn portions(&self) -> &[Portion] {
        &self.portions
    }

    /// Divides a whole count in steps by a named rule; one part a portion, summing to `total`.
    ///
    /// # Errors
    /// When the rule names a party who is not in the agreement, or parts pass counting.
    fn divide(&self, total: i64, step: i64, rule: SplitRule) -> Result<Vec<i64>, ShareError> {
        let (whole, step) = (Money::from_units(total), Money::from_units(step));
        let parts = split_money(whole, &self.weights, step, rule)?;
        Ok(parts.into_iter().map(Money::units).collect())
    }
}

fn gcd(a: u128, b: u128) -> u128 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// One person's part of something.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Share<T> {
    /// Whose.
    pub person: PersonId,
    /// How much.
    pub part: T,
}

fn shared<T>(agreement: &Agreement, parts: impl IntoIterator<Item = T>) -> Vec<Share<T>> {
    let people = agreement.portions.iter().map(|p| p.person.clone());
    people
        .zip(parts)
        .map(|(person, part)| Share { person, part })
        .collect()
}

/// Divides dry matter, to 10 micrograms.
///
/// # Errors
/// When the rule names a party who is not in the agreement.
pub fn divide_dry(
    dry: DryMass,
    agreement: &Agreement,
    rule: SplitRule,
) -> Result<Vec<Share<DryMass>>, ShareError> {
    let parts = agreement.divide(dry.units(), 1, rule)?;
    Ok(shared(
        agreement,
        parts.into_iter().map(DryMass::from_units),
    ))
}

/// Divides money, to the cent.
///
/// ```
/// use account::shares::{Agreement, Portion, divide_money};
/// use quantity::{Money, SplitRule};
/// let half = |person: &str| Portion { person: person.into(), top: 1, bottom: 2 };
/// let agreement = Agreement::new(vec![half("operator"), half("landlord")])?;
/// let parts = divide_money(Money::from_units(100_100), &agreement, SplitRule::LargestRemainder)?;
/// assert_eq!(parts[0].part.units(), 50_100); // 5.01
/// assert_eq!(parts[1].part.units(), 50_000); // 5.00
/// # Ok::<(), account::shares::ShareError>(())
/// ```
///
/// # Errors
/// When the rule names a party who is not in the agreement.
pub fn divide_money(
    money: Money,
    agreement: &Agreement,
    rule: SplitRule,
) -> Result<Vec<Share<Money>>, ShareError> {
    let parts = agreement.divide(money.units(), Money::CENT.units(), rule)?;
    Ok(shared(agreement, parts.into_iter().map(Money::from_units)))
}

/// Divides bushels (the caller says which) to a number of decimals, or to their own where they have
/// more.
///
/// # Errors
/// When the bushels are too many to count exactly, or the rule names nobody in the agreement.
pub fn divide_bushels(
    bushels: Decimal,
    places: u32,
    agreement: &Agreement,
    rule: SplitRule,
) -> Result<Vec<Share<Decimal>>, ShareError> {
    let (units, scale) = whole_units(bushels, places).ok_or_else(|| ShareError::TooLarge {
        amount: format!("{bushels} bu"),
    })?;
    let parts = agreement.divide(units, 1, rule)?;
    Ok(shared(
        agreement,
        parts.into_iter().map(|part| Decimal::new(part, scale)),
    ))
}

/// A decimal as a whole count at `places` decimals, or at its own where it has more, and that number
/// of decimals; `None` past 18 figures.
pub(crate) fn whole_units(amount: Decimal, places: u32) -> Option<(i64, u32)> {
    let amount = amount.normalize();
    let scale = amount.scale().max(places);
    let up = 10_i128.checked_pow(scale - amount.scale())?;
    let units = i64::try_from(amount.mantissa().checked_mul(up)?).ok()?;
    (scale <= 18).then_some((units, scale))
}

/// One person's dry matter off one field.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct FieldShare {
    /// The field's standing crop.
    pub field: PlaceId,
    /// Which crop.
    pub crop: CropId,
    /// Whose.
    pub person: PersonId,
    /// How much.
    pub dry: DryMass,
}

/// What each person's part of each field's production is, and what no agreement covers.
#[derive(Debug, Clone, PartialEq, Eq, Default, serde::Serialize)]
pub struct Shares {
    /// By field, crop and person; sums exactly to the fields' production less `uncovered`.
    pub rows: Vec<FieldShare>,
    /// Production with no agreement, or with no field on record: nobody's until one is entered.
    pub uncovered: Vec<(Origin, CropId, DryMass)>,
}

/// Divides each field's production by that field's agreement. Each field's parts sum exactly to it.
///
/// # Errors
/// When the rule names a party who is not in an agreement.
pub fn share_production(
    production: &[FieldProduction],
    agreements: &BTreeMap<PlaceId, Agreement>,
    rule: SplitRule,
) -> Result<Shares, ShareError> {
    let mut all = Shares::default();
    for row in production {
        let covered = match &row.origin {
            Origin::Field(field) => agreements.get(field).map(|agreement| (field, agreement)),
            Origin::Opening(_) | Origin::Unrecorded => None,
        };
        let Some((field, agreement)) = covered else {
            all.uncovered
                .push((row.origin.clone(), row.crop.clone(), row.dry));
            continue;
        };
        for Share { person, part } in divide_dry(row.dry, agreement, rule)? {
            let (field, crop) = (field.clone(), row.crop.clone());
            all.rows.push(FieldShare {
                field,
                crop,
                person,
                dry: part,
            });
        }
    }
    Ok(all)
}

/// Divides what a load paid among persons: over its fields by the recorded source split, then by
/// each field's agreement; one row a person. Parts sum exactly to `money`.
///
/// # Errors
/// When a field of the load has no agreement, or the load has no field on record.
pub fn divide_load(
    load: &Load,
    money: Money,
    agreements: &BTreeMap<PlaceId, Agreement>,
    rule: SplitRule,
) -> Result<Vec<Share<Money>>, ShareError> {
    let uncovered = |field: String| ShareError::NoAgreement { field };
    let weights: Vec<u64> = load
        .split
        .iter()
        .map(|p| p.dry.units().max(0).unsigned_abs())
        .collect();
    let cent = Money::CENT.units();
    let step = if money.units() % cent == 0 { cent } else { 1 };
    let by_field = in_proportion(money.units() / step, &weights)
        .ok_or_else(|| uncovered(format!("load {}", load.slip)))?;
    let mut people: BTreeMap<PersonId, i64> = BTreeMap::new();
    for (part, units) in load.split.iter().zip(by_field) {
        let agreement = match &part.origin {
            Origin::Field(field) => agreements
                .get(field)
                .ok_or_else(|| uncovered(field.to_string()))?,
            Origin::Opening(place) => return Err(uncovered(format!("opening stock of {place}"))),
            Origin::Unrecorded => return Err(uncovered(unknown_field(&load.slip))),
        };
        for share in shared(agreement, agreement.divide(units * step, step, rule)?) {
            *people.entry(share.person).or_default() += share.part;
        }
    }
    Ok(people
        .into_iter()
        .map(|(person, units)| Share {
            person,
            part: Money::from_units(units),
        })
        .collect())
}

fn unknown_field(slip: &SlipId) -> String {
    format!("the unrecorded part of load {slip}")
}
