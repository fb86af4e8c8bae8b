//! Shrink, give-away, a ticket by its schedule, and a grade.

use super::{Answer, number};
use crate::{DeskError, Why, schedule_from};
use facts::Crop;
use grain::{Factor, Outcome, Settlement, Ticket};
use quantity::{
    AcreSource, BushelWeight, Bushels, Mass, MassUnit, Moisture, MoneyRounding, Price, TestWeight,
    Units, Yield,
};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

/// What a shrink is asked with, as typed.
#[derive(Debug, Clone, Default)]
pub struct ShrinkAsked {
    /// Moisture now.
    pub from: String,
    /// Moisture to.
    pub to: String,
    /// Wet weight.
    pub weight: Option<String>,
    /// Crop, for bushels.
    pub crop: Option<String>,
    /// Flat shrink, per cent a point.
    pub flat: Option<f64>,
    /// Handling loss, per cent.
    pub handling: Option<f64>,
}

fn read<T, E: std::fmt::Display>(
    name: &str,
    text: &str,
    parse: impl Fn(&str) -> Result<T, E>,
) -> Result<T, DeskError> {
    parse(text).map_err(|why| DeskError::figure(name, why))
}

fn per_cent(name: &str, value: f64, most: f64) -> Result<f64, DeskError> {
    if (0.0..=most).contains(&value) {
        Ok(value)
    } else {
        Err(DeskError::figure(
            name,
            format!("found {value}, expected 0 to {most} per cent"),
        ))
    }
}

fn crop_of(text: &str) -> Result<(Crop, BushelWeight), DeskError> {
    let crop: Crop = read("crop", text, str::parse)?;
    Ok((crop, grain::legal_bushel(crop)?))
}

/// Water shrink, flat shrink and handling loss.
///
/// # Errors
/// Moistures or a weight that cannot be read.
pub fn shrink(asked: &ShrinkAsked) -> Result<Answer, DeskError> {
    let from = read("from", &asked.from, Moisture::parse)?;
    let to = read("to", &asked.to, Moisture::parse)?;
    let handling = asked
        .handling
        .map_or(Ok(0.0), |value| per_cent("handling", value, 20.0))?;
    let mut out = Answer::default();
    let water = grain::water_shrink_pct(from, to);
    out.same(
        "water_shrink_pct",
        water,
        "Water shrink",
        format!("{water:.4} % of the wet weight"),
    );
    out.why.push(
        Why::new(
            "water shrink",
            format!("{water:.4} %"),
            "100 (from - to) / (100 - to)",
            "dry matter is conserved; SDSU Extension, Understanding corn shrink (2014)",
        )
        .with("from", from.show())
        .with("to", to.show()),
    );
    let factor = grain::point_factor(to);
    out.same(
        "point_factor_pct",
        factor,
        "Factor a point",
        format!("{factor:.4} %"),
    );
    let mut total = water;
    if handling > 0.0 {
        total += handling;
        out.same(
            "with_handling_pct",
            total,
            "With handling loss",
            format!("{total:.4} %"),
        );
    }
    if let Some(flat) = asked.flat {
        let flat = per_cent("flat", flat, 10.0)?;
        let taken = grain::flat_shrink_pct(from, to, flat);
        let hidden = grain::hidden_in_flat_shrink_pct(from, to, flat);
        out.same(
            "flat_shrink_pct",
            taken,
            "Flat shrink",
            format!("{taken:.4} %"),
        );
        out.same(
            "hidden_handling_pct",
            hidden,
            "Of that, not water",
            format!("{hidden:.4} %: a handling charge in all but name"),
        );
        out.why.push(
            Why::new(
                "flat shrink",
                format!("{taken:.4} %"),
                "points above the base x the buyer's flat factor",
                "the buyer's schedule",
            )
            .with("factor", format!("{flat} % a point")),
        );
    }
    if let Some(text) = &asked.weight {
        let wet = read("weight", text, Mass::parse)?;
        let after = grain::dried(wet, from, to, handling)?;
        out.say(
            "wet_lb",
            wet.lb(),
            "Wet weight",
            wet.show(Units::Us),
            wet.show(Units::Metric),
        );
        out.say(
            "after_lb",
            after.lb(),
            "Weight after shrink",
            after.show_in(MassUnit::Lb, 2),
            after.show_in(MassUnit::Kg, 2),
        );
        if let Some(crop) = &asked.crop {
            let (_, bushel) = crop_of(crop)?;
            let before = Bushels::as_weighed(wet, bushel);
            // what is left stands at the lower moisture, so its own weight counts it
            let left = Bushels::dry_at(quantity::DryMass::of(after, to), to, bushel);
            out.same(
                "as_weighed_bu",
                before.float(),
                "Bushels as weighed",
                before.show_places(3),
            );
            out.same(
                "after_bu",
                left.float(),
                "Bushels after shrink",
                left.show_places(3),
            );
        }
    }
    Ok(out)
}

/// What a give-away is asked with, as typed.
#[derive(Debug, Clone, Default)]
pub struct GiveAwayAsked {
    /// Moisture as sold.
    pub moisture: String,
    /// The buyer's base.
    pub base: String,
    /// Yield at the base.
    pub yield_at_base: Option<String>,
    /// Which acres.
    pub acres_are: Option<String>,
    /// Price.
    pub price: Option<String>,
    /// Crop.
    pub crop: Option<String>,
}

/// What grain drier than the base gives away: weight that a buyer would have paid as water.
///
/// # Errors
/// Figures that cannot be read; a yield without its acres or crop.
pub fn give_away(asked: &GiveAwayAsked) -> Result<Answer, DeskError> {
    let at = read("moisture", &asked.moisture, Moisture::parse)?;
    let base = read("base", &asked.base, Moisture::parse)?;
    let mut out = Answer::default();
    let loss = grain::over_dry_loss_pct(base, at);
    out.same(
        "loss_pct",
        loss,
        "Saleable weight given away",
        format!("{loss:.3} %"),
    );
    out.why.push(
        Why::new(
            "give-away",
            format!("{loss:.3} %"),
            "100 (base - moisture) / (100 - moisture), nothing above the base",
            "University of Nebraska CropWatch 2016, 2020",
        )
        .with("moisture", at.show())
        .with("base", base.show()),
    );
    if at >= base {
        out.notes
            .push("The grain is not drier than the base: nothing is given away.".to_owned());
    }
    if let Some(text) = &asked.yield_at_base {
        let (Some(crop), Some(acres)) = (&asked.crop, &asked.acres_are) else {
            return Err(DeskError::figure(
                "yield",
                "a yield needs --crop and --acres-are (reported, planted, measured or cut)",
            ));
        };
        let (_, bushel) = crop_of(crop)?;
        let source = match acres.trim().to_lowercase().as_str() {
            "reported" => AcreSource::Reported,
            "planted" => AcreSource::Planted,
            "measured" => AcreSource::Measured,
            "cut" => AcreSource::Cut,
            other => {
                return Err(DeskError::figure(
                    "acres-are",
                    format!("found '{other}', expected reported, planted, measured or cut"),
                ));
            }
        };
        let yields = Yield::parse_as(text, quantity::BushelKind::DryAt(base), bushel, source)
            .map_err(|why| DeskError::figure("yield", why))?;
        let count = Decimal::from_f64_retain(yields.bu_per_ac())
            .unwrap_or_default()
            .round_dp(6);
        let per_acre = Bushels {
            count,
            kind: quantity::BushelKind::DryAt(base),
            weight: bushel,
        };
        let price = asked
            .price
            .as_deref()
            .map(|text| read("price", text, Price::parse))
            .transpose()?;
        let away = grain::give_away(
            per_acre,
            at,
            price.unwrap_or_default(),
            MoneyRounding::HalfUp,
        )?;
        let lost = away.lost.float();
        out.same(
            "lost_bu_per_ac",
            lost,
            format!("Fewer bushels sold, per acre {}", acres.trim()),
            format!("{lost:.3} bu/ac"),
        );
        if price.is_some() {
            out.same(
                "lost_money_per_ac",
                number(away.lost_money.decimal()),
                format!("Money given away, per acre {}", acres.trim()),
                away.lost_money.show(),
            );
        }
    }
    Ok(out)
}

/// What a ticket is settled with, as typed.
#[derive(Debug, Clone, Default)]
pub struct TicketAsked {
    /// The schedule's text.
    pub schedule: String,
    /// Loaded.
    pub gross: Option<String>,
    /// Empty.
    pub tare: Option<String>,
    /// Net.
    pub net: Option<String>,
    /// Moisture.
    pub moisture: Option<String>,
    /// Test weight.
    pub test_weight: Option<String>,
    /// Other factors, `NAME=VALUE`; a name alone is a flag.
    pub factors: Vec<String>,
    /// Price.
    pub price: Option<String>,
}

/// Settles a ticket line by line.
///
/// # Errors
/// Figures or a schedule that cannot be read or applied.
pub fn ticket(asked: &TicketAsked) -> Result<Settlement, DeskError> {
    let schedule = schedule_from(&asked.schedule)?;
    let mass = |name: &str, text: &Option<String>| {
        text.as_deref()
            .map(|text| read(name, text, Mass::parse))
            .transpose()
    };
    let (gross, tare) = (mass("gross", &asked.gross)?, mass("tare", &asked.tare)?);
    let net = match (mass("net", &asked.net)?, gross, tare) {
        (Some(net), ..) => net,
        (None, Some(gross), Some(tare)) => gross - tare,
        _ => {
            return Err(DeskError::figure(
                "net",
                "needs gross and tare, or net; add them with units, e.g. \"52,220 lb\"",
            ));
        }
    };
    let mut ticket = Ticket::of_net(schedule.crop, net);
    (ticket.gross, ticket.tare) = (gross, tare);
    if let Some(text) = &asked.moisture {
        let moisture = read("moisture", text, Moisture::parse)?;
        ticket = ticket.with(Factor::Moisture, moisture.decimal_percent());
    }
    if let Some(text) = &asked.test_weight {
        ticket = ticket.with(
            Factor::TestWeight,
            read("test-weight", text, TestWeight::parse)?.decimal(),
        );
    }
    let (values, flags) = factors(&asked.factors)?;
    for (factor, value) in values {
        ticket = ticket.with(factor, value);
    }
    for flag in flags {
        ticket = ticket.flagged(flag);
    }
    let price = asked
        .price
        .as_deref()
        .map(|text| read("price", text, Price::parse))
        .transpose()?;
    Ok(grain::settle(&ticket, &schedule, price)?)
}

/// Factors with a value, and flags without.
pub type Factors = (BTreeMap<Factor, Decimal>, BTreeSet<Factor>);

/// Factors as typed: `NAME=VALUE`, or a name alone for a flag.
pub(super) fn factors(texts: &[String]) -> Result<Factors, DeskError> {
    let (mut values, mut flags) = (BTreeMap::new(), BTreeSet::new());
    for text in texts {
        let (name, value) = text
            .split_once('=')
            .map_or((text.as_str(), None), |(n, v)| (n, Some(v)));
        let key = Factor::from(name.trim().to_lowercase().replace([' ', '-'], "_"));
        match value {
            None => {
                flags.insert(key);
            }
            Some(value) => {
                let bare = value
                    .trim()
                    .trim_end_matches("lb/bu")
                    .trim_end_matches('%')
                    .trim();
                let number = bare.parse().map_err(|_| {
                    DeskError::figure(
                        "factor",
                        format!(
                            "found '{}', expected a number like {name}=1.2",
                            value.trim()
                        ),
                    )
                })?;
                values.insert(key, number);
            }
        }
    }
    Ok((values, flags))
}

/// Grades a sample.
///
/// # Errors
/// A crop without a grade table here, or factors that cannot be read.
pub fn grade(crop: &str, typed: &[String]) -> Result<Answer, DeskError> {
    let crop: Crop = read("crop", crop, str::parse)?;
    let (values, flags) = factors(typed)?;
    for (factor, value) in &values {
        if let Factor::Other(name) = factor {
            return Err(DeskError::figure(
                "factor",
                format!(
                    "found '{name}', which no grade table has; expected names like \"test weight\", \"total damage\", \"heat damage\", \"foreign material\", \"broken and foreign\", splits"
                ),
            ));
        }
        if value.is_sign_negative() || *value > Decimal::from(100) {
            return Err(DeskError::figure(
                "factor",
                format!(
                    "found {} {value}, expected 0 to 100 {}",
                    factor.words(),
                    factor.unit()
                ),
            ));
        }
    }
    let graded = grain::grade(crop, &values, &flags)?;
    let mut out = Answer::default();
    out.same("grade", graded.name.clone(), "Grade", graded.name.clone());
    let drivers: Vec<String> = graded
        .drivers
        .iter()
        .map(|driver| {
            format!(
                "{} {} {} misses {}",
                driver.factor.words(),
                driver.value.normalize(),
                driver.factor.unit(),
                driver.missed
            )
        })
        .collect();
    if !drivers.is_empty() {
        out.same(
            "driven_by",
            drivers.join("; "),
            "Driven by",
            drivers.join("; "),
        );
    }
    if !graded.sample_reasons.is_empty() {
        let reasons = graded.sample_reasons.join("; ");
        out.same(
            "sample_reasons",
            reasons.clone(),
            "Sample grade because",
            reasons,
        );
    }
    if !graded.missing.is_empty() {
        let missing: Vec<String> = graded.missing.iter().map(Factor::words).collect();
        out.notes.push(format!(
            "Not measured: {}. The grade is at best this one.",
            missing.join(", ")
        ));
    }
    out.notes.extend(graded.caution.clone());
    out.notes.push(
        "An official grade is a licensed inspector's to give; this is arithmetic on your figures."
            .to_owned(),
    );
    out.why.push(Why::new(
        "grade",
        graded.name,
        "the best number whose every limit the sample meets",
        &graded.source,
    ));
    Ok(out)
}

/// Whether a settlement pays anything: a rejected load does not.
pub fn rejected(settlement: &Settlement) -> bool {
    matches!(settlement.outcome, Outcome::Rejected { .. })
}
