//! One load, several honest bushel counts, each derived by name from raw weight and moisture.

use crate::{GrainError, Settlement};
use facts::Crop;
use quantity::{BushelWeight, Bushels, DryMass, Mass, MassUnit, Moisture, MoneyRounding};
use rust_decimal::Decimal;

/// The counts of one load beside each other. They differ, and none is wrong.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Counts {
    /// Scale weight over the bushel weight.
    pub as_weighed: Bushels,
    /// What the buyer pays on, when the load was settled under a schedule by the bushel.
    pub buyers: Option<Bushels>,
    /// What crop insurance counts, where the clause was read; before any quality adjustment.
    pub insurance: Option<Bushels>,
    /// Dry matter at a base.
    pub dry: Bushels,
    /// Wet weight in tonnes.
    pub wet_t: f64,
    /// Dry matter in tonnes.
    pub dry_matter_t: f64,
}

/// Every count of a load. `base` is the one that the dry count is wanted at; `settled` is the
/// buyer's own settlement of the load, if there is one.
///
/// ```
/// use quantity::{BushelWeight, Mass, Moisture, Units};
/// let counts = grain::counts(
///     facts::Crop::Corn,
///     Mass::parse("52,220 lb")?,
///     Moisture::from_percent(20.0)?,
///     BushelWeight::pounds(56)?,
///     Moisture::from_percent(15.5)?,
///     None,
/// )?;
/// assert_eq!(counts.as_weighed.show(Units::Us), "932.50 bu as weighed (56 lb)");
/// assert_eq!(counts.insurance.map(|bu| bu.show(Units::Us)).as_deref(), Some("876.55 bu insurance (56 lb)"));
/// assert_eq!(counts.dry.show(Units::Us), "882.84 bu dry at 15.5 % (56 lb)");
/// # Ok::<(), grain::GrainError>(())
/// ```
///
/// # Errors
/// A moisture past the range of the insurance rule.
pub fn counts(
    crop: Crop,
    wet: Mass,
    moisture: Moisture,
    bushel: BushelWeight,
    base: Moisture,
    settled: Option<&Settlement>,
) -> Result<Counts, GrainError> {
    let insurance = match facts::insurance_rule(crop) {
        Some(_) => Some(insurance_bushels(crop, wet, moisture, bushel)?),
        None => None,
    };
    Ok(Counts {
        as_weighed: Bushels::as_weighed(wet, bushel),
        buyers: settled.and_then(Settlement::buyers_bushels),
        insurance,
        dry: Bushels::dry_at(DryMass::of(wet, moisture), base, bushel),
        wet_t: wet.to(MassUnit::Tonne),
        dry_matter_t: DryMass::of(wet, moisture).to(MassUnit::Tonne),
    })
}

/// What crop insurance multiplies production by for moisture: `1 - 0.12 %` for each tenth of a point
/// above the base (corn 15, sorghum 14, soybeans 13), for corn `0.2 %` for each tenth above 30.
///
/// Source: 7 CFR 457.113 section 11(d). It is not the water that is lost and not what an elevator
/// takes; grain below the base is not raised; quality is adjusted afterwards and not here. The
/// clause counts tenths: the moisture is first rounded half-up to one (common practice, no source).
///
/// ```
/// use quantity::Moisture;
/// let factor = grain::insurance_moisture_factor(facts::Crop::Corn, Moisture::from_percent(18.0)?)?;
/// assert_eq!(factor.to_string(), "0.964");
/// # Ok::<(), grain::GrainError>(())
/// ```
///
/// # Errors
/// A crop whose clause nobody here could read.
pub fn insurance_moisture_factor(crop: Crop, moisture: Moisture) -> Result<Decimal, GrainError> {
    let rule = facts::insurance_rule(crop).ok_or(GrainError::NotKnown {
        what: "crop insurance moisture rule",
        crop,
    })?;
    let number = |fact: &facts::Fact| Decimal::try_from(fact.value).unwrap_or_default();
    let at = MoneyRounding::HalfUp.round(Decimal::new(i64::from(moisture.ppm()), 4), 1);
    let base = number(&rule.base);
    let steep_from = rule
        .steep_from
        .as_ref()
        .map_or(Decimal::ONE_HUNDRED, number);
    let tenths = |points: Decimal| points.max(Decimal::ZERO) * Decimal::TEN;
    let mut pct = tenths(at.min(steep_from) - base) * number(&rule.per_tenth);
    if let Some(per) = rule.steep_per_tenth.as_ref().map(number) {
        pct += tenths(at - steep_from) * per;
    }
    let factor = Decimal::ONE - pct / Decimal::ONE_HUNDRED;
    Ok(factor.max(Decimal::ZERO).round_dp(4))
}

/// Crop insurance bushels of a load, before any quality adjustment.
///
/// # Errors
/// As [`insurance_moisture_factor`].
pub fn insurance_bushels(
    crop: Crop,
    wet: Mass,
    moisture: Moisture,
    bushel: BushelWeight,
) -> Result<Bushels, GrainError> {
    let factor = insurance_moisture_factor(crop, moisture)?;
    Ok(Bushels::insurance(bushel.bushels(wet) * factor, bushel))
}

/// The legal bushel of a crop as a weight.
///
/// # Errors
/// Sunflower, which has no single bushel weight: ask for the user's own, or stay in hundredweight.
pub fn legal_bushel(crop: Crop) -> Result<BushelWeight, GrainError> {
    let fact = facts::legal_bushel(crop).ok_or(GrainError::NotKnown {
        what: "single bushel weight",
        crop,
    })?;
    Ok(BushelWeight::from_lb(fact.value)?)
}
