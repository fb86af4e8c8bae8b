//! What an hour and an acre of the machine cost: repair, fuel, depreciation.
//!
//! The equations are the engineers' of ASABE D497 and EP496. Repair rises with use faster than in
//! proportion; value falls with years and hours; interest on what stands in the shed is a cost too.
//!
//! Limitations: constants are from memory (`facts`, machinery.toml). Repair of a single machine scatters
//! about the curve with a standard deviation about as large as the mean, so that the curve is a mean of many
//! machines, never a forecast for one. Money is in the money and the year of the list price.

use crate::MachineError;
use crate::error::above_zero;
use serde::{Deserialize, Serialize};

/// Horsepower in a kilowatt (mechanical horsepower, 745.7 W).
pub const KW_PER_HP: f64 = 0.745_699_872;
/// Liters in a US gallon, exactly.
pub const L_PER_GAL: f64 = 3.785_411_784;

/// Which machine, for its repair curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RepairClass {
    /// Self-propelled combine.
    Combine,
    /// Combine pulled by a tractor.
    PtoCombine,
    /// Two-wheel-drive tractor.
    Tractor,
    /// Four-wheel-drive or crawler tractor.
    #[serde(rename = "tractor_4wd")]
    Tractor4wd,
    /// Wagon.
    Wagon,
    /// Forage wagon.
    ForageWagon,
}

impl RepairClass {
    /// Every class with its word.
    pub const WORDS: &'static [(&'static str, Self)] = &[
        ("combine", Self::Combine),
        ("pto-combine", Self::PtoCombine),
        ("tractor", Self::Tractor),
        ("tractor-4wd", Self::Tractor4wd),
        ("wagon", Self::Wagon),
        ("forage-wagon", Self::ForageWagon),
    ];

    const fn id(self) -> &'static str {
        match self {
            Self::Combine => "combine",
            Self::PtoCombine => "pto_combine",
            Self::Tractor => "tractor",
            Self::Tractor4wd => "tractor_4wd",
            Self::Wagon => "wagon",
            Self::ForageWagon => "forage_wagon",
        }
    }
}

/// Which machine, for its value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ValueClass {
    /// Tractor above 112 kW (150 hp).
    TractorLarge,
    /// Tractor of 60 to 112 kW (80 to 150 hp).
    Tractor,
    /// Tractor below 60 kW (80 hp).
    TractorSmall,
    /// Combine.
    Combine,
    /// Anything else.
    Other,
}

impl ValueClass {
    /// The class of a machine of this repair curve and power.
    pub fn of(class: RepairClass, power_kw: f64) -> Self {
        match class {
            RepairClass::Combine | RepairClass::PtoCombine => Self::Combine,
            RepairClass::Wagon | RepairClass::ForageWagon => Self::Other,
            RepairClass::Tractor | RepairClass::Tractor4wd if power_kw > 112.0 => {
                Self::TractorLarge
            }
            RepairClass::Tractor | RepairClass::Tractor4wd if power_kw < 60.0 => Self::TractorSmall,
            RepairClass::Tractor | RepairClass::Tractor4wd => Self::Tractor,
        }
    }

    const fn id(self) -> &'static str {
        match self {
            Self::TractorLarge => "tractor_large",
            Self::Tractor => "tractor",
            Self::TractorSmall => "tractor_small",
            Self::Combine => "combine",
            Self::Other => "other",
        }
    }
}

fn fact(id: &str) -> f64 {
    facts::machinery(id)
        .map(|fact| fact.value)
        .expect("this file names only listed constants, tested")
}

/// Repair and upkeep up to an age in hours as a share of list price: RF1 (h / 1000)^RF2
/// (ASABE D497.7 table 3, from memory).
///
/// ```
/// use machine::cost::{RepairClass, repair_share};
/// let share = repair_share(RepairClass::Combine, 3_000.0)?;
/// assert!((share - 0.4018).abs() < 5e-5); // 40 % over a combine's life
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// Hours below nothing.
pub fn repair_share(class: RepairClass, hours: f64) -> Result<f64, MachineError> {
    if !(hours.is_finite() && hours >= 0.0) {
        return Err(MachineError::odd(
            "hours",
            format!("{hours} h"),
            "0 or more",
        ));
    }
    let rf = |part: &str| fact(&format!("repair_{}_{part}", class.id()));
    Ok(rf("rf1") * (hours / 1_000.0).powf(rf("rf2")))
}

/// Hours that the published curve was made for: past them it is stretched.
pub fn life_h(class: RepairClass) -> f64 {
    fact(&format!("repair_{}_life_h", class.id()))
}

/// The range about a mean repair cost that holds a single machine's 8 times in 10: log-normal with the
/// source's standard deviation as large as the mean, (low, high) as multiples of the mean.
pub fn repair_range() -> (f64, f64) {
    let cv = fact("repair_spread");
    let variance = (1.0 + cv * cv).ln();
    let at = |z: f64| (z * variance.sqrt() - variance / 2.0).exp();
    let z = numeric::distribution::normal_quantile(0.9);
    (at(-z), at(z))
}

/// Share of list price that a machine is worth after so many years at so many hours a year:
/// (C1 - C2 sqrt(years) - C3 sqrt(hours))^2, nothing below nothing (ASAE D497.5, from memory).
///
/// ```
/// use machine::cost::{ValueClass, remaining_share};
/// let share = remaining_share(ValueClass::TractorLarge, 15.0, 400.0)?;
/// assert!((share - 0.2276).abs() < 5e-4); // Iowa State A3-29 prints 23 %
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// Years or hours below nothing.
pub fn remaining_share(
    class: ValueClass,
    years: f64,
    hours_a_year: f64,
) -> Result<f64, MachineError> {
    for (what, value, unit) in [
        ("years", years, "years"),
        ("hours a year", hours_a_year, "h"),
    ] {
        if !(value.is_finite() && value >= 0.0) {
            return Err(MachineError::odd(
                what,
                format!("{value} {unit}"),
                "0 or more",
            ));
        }
    }
    let c = |part: &str| fact(&format!("remaining_{}_{part}", class.id()));
    let root = c("c1") - c("c2") * years.sqrt() - c("c3") * hours_a_year.sqrt();
    Ok(root.max(0.0).powi(2).min(1.0))
}

/// The yearly payment that brings back one dollar with interest over so many years:
/// i (1 + i)^n / ((1 + i)^n - 1), and 1/n without interest.
///
/// ```
/// let factor = machine::cost::capital_recovery_factor(0.08, 15.0)?;
/// assert!((factor - 0.116830).abs() < 5e-7);
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// Years that are not above zero, a rate below nothing or above 1.
pub fn capital_recovery_factor(rate: f64, years: f64) -> Result<f64, MachineError> {
    let years = above_zero("years", years, "years")?;
    if !(rate.is_finite() && (0.0..=1.0).contains(&rate)) {
        return Err(MachineError::odd(
            "interest",
            format!("{} %", rate * 100.0),
            "0 to 100 % a year",
        ));
    }
    if rate == 0.0 {
        return Ok(1.0 / years);
    }
    // expm1 and ln_1p keep a rate near nothing from losing its digits
    Ok(rate / -(-years * rate.ln_1p()).exp_m1())
}

/// Depreciation and interest together, a year: (price - salvage) x factor + salvage x rate.
///
/// # Errors
/// As [`capital_recovery_factor`].
pub fn capital_recovery(
    price: f64,
    salvage: f64,
    rate: f64,
    years: f64,
) -> Result<f64, MachineError> {
    Ok((price - salvage) * capital_recovery_factor(rate, years)? + salvage * rate)
}

/// Diesel over a year's mix of work, liters an hour: 0.044 gal an hour and PTO horsepower (from memory).
pub fn diesel_mean_l_h(power_kw: f64) -> f64 {
    fact("diesel_mean") * L_PER_GAL / KW_PER_HP * power_kw
}

/// Diesel at a share of full power, liters a kilowatt-hour of work done:
/// 2.64 X + 3.91 - 0.203 sqrt(738 X + 173) (ASAE D497.4, from memory; an older fleet's).
///
/// ```
/// let full = machine::cost::diesel_l_per_kwh(1.0)?;
/// assert!((full - 0.4229).abs() < 1e-3);
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// A share that is not above 0 and at most 1.
pub fn diesel_l_per_kwh(load: f64) -> Result<f64, MachineError> {
    if !(load.is_finite() && load > 0.0 && load <= 1.0) {
        return Err(MachineError::odd(
            "load",
            format!("{} %", load * 100.0),
            "more than 0 and at most 100 % of full power",
        ));
    }
    let part = |part: &str| fact(&format!("diesel_load_{part}"));
    Ok(part("a") * load + part("b") - part("c") * (part("d") * load + part("e")).sqrt())
}

/// What running a machine is asked with. Money in one unit throughout.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// Which repair curve.
    pub class: RepairClass,
    /// List price of such a machine, new, in today's money.
    pub list: f64,
    /// What it would sell for today, or what was paid for it today.
    pub worth: f64,
    /// Years since it was new.
    pub age_years: f64,
    /// Hours on it.
    pub hours_now: f64,
    /// Hours it will work a year.
    pub hours_a_year: f64,
    /// Years to keep it.
    pub years: f64,
    /// Interest a year, as a share.
    pub rate: f64,
    /// Engine or PTO power, kilowatts; 0 for what has no engine.
    pub power_kw: f64,
    /// Share of full power, for the load-dependent fuel equation; else the yearly mean.
    pub load: Option<f64>,
    /// Price of a liter of fuel.
    pub fuel_per_l: f64,
    /// Labor, an hour of the machine.
    pub labor_per_h: f64,
    /// Hectares an hour, for the cost of a hectare.
    pub ha_per_h: Option<f64>,
}

/// A cost and the range that holds it 8 times in 10 for a single machine, where the source has one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// The mean.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Spread {
    fn times(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            low: self.low * factor,
            high: self.high * factor,
        }
    }
    fn plus(self, more: f64) -> Self {
        Self {
            value: self.value + more,
            low: self.low + more,
            high: self.high + more,
        }
    }
}

/// What running it costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cost {
    /// Repair so far by the curve.
    pub repair_so_far: Spread,
    /// Repair of the next year's hours.
    pub repair_next_year: Spread,
    /// Repair an hour over the years that it is kept.
    pub repair_per_h: Spread,
    /// What it is worth at their end.
    pub salvage: f64,
    /// Fall in value a year, without interest.
    pub depreciation_per_year: f64,
    /// Depreciation and interest a year.
    pub capital_per_year: f64,
    /// The factor behind it.
    pub capital_recovery_factor: f64,
    /// Depreciation and interest an hour.
    pub capital_per_h: f64,
    /// Fuel, liters an hour.
    pub fuel_l_per_h: f64,
    /// Fuel, money an hour.
    pub fuel_per_h: f64,
    /// Oil and filters, money an hour.
    pub lube_per_h: f64,
    /// Labor, money an hour.
    pub labor_per_h: f64,
    /// All together, an hour.
    pub total_per_h: Spread,
    /// All together, a hectare.
    pub total_per_ha: Option<Spread>,
    /// Hours at the end past those that the repair curve was made for.
    pub past_life: bool,
    /// The value equation's end was above what it is worth now, and was cut down to that.
    pub salvage_cut: bool,
}

/// What a machine costs to run, an hour and a hectare, over the years that it is kept.
///
/// # Errors
/// A price, an hour or a rate that cannot be meant: the figure, and what would do.
pub fn cost(asked: &Asked) -> Result<Cost, MachineError> {
    let list = above_zero("list price", asked.list, "")?;
    let worth = above_zero("what it is worth", asked.worth, "")?;
    let hours = above_zero("hours a year", asked.hours_a_year, "h")?;
    if hours > 8_760.0 {
        return Err(MachineError::odd(
            "hours a year",
            format!("{hours} h"),
            "at most the 8,760 of a year",
        ));
    }
    for (what, value) in [
        ("age", asked.age_years),
        ("power", asked.power_kw),
        ("fuel price", asked.fuel_per_l),
        ("labor", asked.labor_per_h),
    ] {
        if !(value.is_finite() && value >= 0.0) {
            return Err(MachineError::odd(what, value, "0 or more"));
        }
    }
    let factor = capital_recovery_factor(asked.rate, asked.years)?;
    let at = |h: f64| repair_share(asked.class, h).map(|share| share * list);
    let (low, high) = repair_range();
    let spread = |value: f64| Spread {
        value,
        low: value * low,
        high: value * high,
    };
    let end_h = asked.hours_now + hours * asked.years;
    let so_far = at(asked.hours_now)?;
    let repair_per_h = spread((at(end_h)? - so_far) / (end_h - asked.hours_now));
    let age = asked.age_years + asked.years;
    let by_equation = list
        * remaining_share(
            ValueClass::of(asked.class, asked.power_kw),
            age,
            end_h / age,
        )?;
    let salvage = by_equation.min(worth);
    let capital_per_year = capital_recovery(worth, salvage, asked.rate, asked.years)?;
    let fuel_l_per_h = match asked.load {
        _ if asked.power_kw == 0.0 => 0.0,
        Some(load) => diesel_l_per_kwh(load)? * load * asked.power_kw,
        None => diesel_mean_l_h(asked.power_kw),
    };
    let fuel_per_h = fuel_l_per_h * asked.fuel_per_l;
    let lube_per_h = fuel_per_h * fact("lube_share");
    let capital_per_h = capital_per_year / hours;
    let total_per_h =
        repair_per_h.plus(capital_per_h + fuel_per_h + lube_per_h + asked.labor_per_h);
    let total_per_ha = asked
        .ha_per_h
        .map(|rate| above_zero("acres an hour", rate, "ha/h"))
        .transpose()?
        .map(|rate| total_per_h.times(1.0 / rate));
    Ok(Cost {
        repair_so_far: spread(so_far),
        repair_next_year: spread(at(asked.hours_now + hours)? - so_far),
        repair_per_h,
        salvage,
        depreciation_per_year: (worth - salvage) / asked.years,
        capital_per_year,
        capital_recovery_factor: factor,
        capital_per_h,
        fuel_l_per_h,
        fuel_per_h,
        lube_per_h,
        labor_per_h: asked.labor_per_h,
        total_per_h,
        total_per_ha,
        past_life: end_h > life_h(asked.class),
        salvage_cut: by_equation > worth,
    })
}
