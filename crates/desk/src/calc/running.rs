//! What a machine costs to run, and what to do with a tire.

use super::Answer;
use crate::{DeskError, Why};
use facts::Act;
use machine::cost::{self, RepairClass, Spread};
use machine::tires::{self, LoadAt, Tire, TireSays};

/// What running a machine is asked with, as typed.
#[derive(Debug, Clone, Default)]
pub struct CostAsked {
    /// Which machine: combine, tractor, wagon and so on.
    pub class: String,
    /// List price of such a machine, new, today.
    pub list: String,
    /// What it is worth today; the list price if left out.
    pub worth: Option<String>,
    /// Years since it was new; 0 if left out.
    pub age: Option<String>,
    /// Hours on it; 0 if left out.
    pub hours: Option<String>,
    /// Hours a year.
    pub per_year: String,
    /// Years to keep it; 10 if left out.
    pub years: Option<String>,
    /// Interest in per cent a year; 7 if left out.
    pub interest: Option<String>,
    /// Power, horsepower or kilowatts.
    pub power: Option<String>,
    /// Share of full power, per cent.
    pub load: Option<String>,
    /// Fuel price, dollars a gallon or a liter.
    pub fuel: Option<String>,
    /// Labor, dollars an hour.
    pub labor: Option<String>,
    /// Acres or hectares an hour.
    pub rate: Option<String>,
}

/// A number with one of several units, each with its factor; the first is what a bare number is in.
fn figure(name: &str, text: &str, units: &[(&str, f64)], like: &str) -> Result<f64, DeskError> {
    let odd = || {
        DeskError::figure(
            name,
            format!("found '{text}', expected a number like {like}"),
        )
    };
    let plain = text.trim().trim_start_matches('$').replace(',', "");
    let (number, factor) = units
        .iter()
        .filter(|(unit, _)| !unit.is_empty())
        .find_map(|(unit, factor)| Some((plain.strip_suffix(unit)?.trim().to_owned(), *factor)))
        .unwrap_or_else(|| {
            (
                plain.trim().to_owned(),
                units.first().map_or(1.0, |one| one.1),
            )
        });
    let value: f64 = number.trim().parse().map_err(|_| odd())?;
    if value.is_finite() && value >= 0.0 {
        Ok(value * factor)
    } else {
        Err(odd())
    }
}

fn maybe(
    name: &str,
    text: Option<&String>,
    units: &[(&str, f64)],
    like: &str,
) -> Result<Option<f64>, DeskError> {
    text.filter(|text| !text.trim().is_empty())
        .map(|text| figure(name, text, units, like))
        .transpose()
}

const HA_PER_AC: f64 = 0.404_685_642_24;

/// What a machine costs to run, an hour and an acre.
///
/// # Errors
/// A figure that cannot be read or meant.
pub fn cost(asked: &CostAsked) -> Result<Answer, DeskError> {
    let word = asked.class.trim().to_lowercase().replace([' ', '_'], "-");
    let class = RepairClass::WORDS
        .iter()
        .find(|(known, _)| *known == word)
        .map(|(_, class)| *class)
        .ok_or_else(|| {
            let known: Vec<&str> = RepairClass::WORDS.iter().map(|one| one.0).collect();
            DeskError::figure(
                "machine",
                format!("found '{}', expected {}", asked.class, known.join(", ")),
            )
        })?;
    let list = figure("list", &asked.list, &[("", 1.0)], "$350,000")?;
    let per_gal = 1.0 / cost::L_PER_GAL;
    let fuel = maybe(
        "fuel",
        asked.fuel.as_ref(),
        &[("/gal", per_gal), ("/L", 1.0), ("/l", 1.0)],
        "$3.60/gal",
    )?;
    let power = maybe(
        "power",
        asked.power.as_ref(),
        &[("hp", cost::KW_PER_HP), ("kW", 1.0), ("kw", 1.0)],
        "\"250 hp\"",
    )?;
    let given = cost::Asked {
        class,
        list,
        worth: maybe("worth", asked.worth.as_ref(), &[("", 1.0)], "$180,000")?.unwrap_or(list),
        age_years: maybe(
            "age",
            asked.age.as_ref(),
            &[("years", 1.0), ("y", 1.0)],
            "6",
        )?
        .unwrap_or(0.0),
        hours_now: maybe("hours", asked.hours.as_ref(), &[("h", 1.0)], "1,200")?.unwrap_or(0.0),
        hours_a_year: figure("per-year", &asked.per_year, &[("h", 1.0)], "200")?,
        years: maybe(
            "years",
            asked.years.as_ref(),
            &[("years", 1.0), ("y", 1.0)],
            "10",
        )?
        .unwrap_or(10.0),
        rate: maybe("interest", asked.interest.as_ref(), &[("%", 0.01)], "7%")?.unwrap_or(0.07),
        power_kw: power.unwrap_or(0.0),
        load: maybe("load", asked.load.as_ref(), &[("%", 0.01)], "75%")?,
        fuel_per_l: fuel.unwrap_or(0.0),
        labor_per_h: maybe("labor", asked.labor.as_ref(), &[("/h", 1.0)], "$20/h")?.unwrap_or(0.0),
        ha_per_h: maybe(
            "acres-per-hour",
            asked.rate.as_ref(),
            &[("ac/h", HA_PER_AC), ("ha/h", 1.0)],
            "\"6.5 ac/h\"",
        )?,
    };
    let found = cost::cost(&given)?;
    Ok(cost_answer(&given, &found))
}

fn dollars(amount: f64) -> String {
    // cents are beneath the doubt of anything large
    let places = if amount.abs() < 100.0 { 2 } else { 0 };
    let plain = format!("{:.places$}", amount.abs());
    let (whole, cents) = plain.split_once('.').unwrap_or((&plain, ""));
    let mut grouped = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at) % 3 == 0 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    let sign = if amount < 0.0 { "\u{2212}" } else { "" };
    let point = if cents.is_empty() { "" } else { "." };
    format!("{sign}${grouped}{point}{cents}")
}

fn spread(one: Spread) -> String {
    format!(
        "{} ({} to {})",
        dollars(one.value),
        dollars(one.low),
        dollars(one.high)
    )
}

fn cost_answer(given: &cost::Asked, found: &cost::Cost) -> Answer {
    let mut out = Answer::default();
    let ranged = |out: &mut Answer,
                  key: &'static str,
                  low: &'static str,
                  high: &'static str,
                  label: &str,
                  one: Spread,
                  unit: &str| {
        out.same(key, one.value, label, format!("{} {unit}", spread(one)));
        // the ends stand in JSON only
        out.ends.push((low, one.low));
        out.ends.push((high, one.high));
    };
    ranged(
        &mut out,
        "total_per_h",
        "total_per_h_low",
        "total_per_h_high",
        "An hour",
        found.total_per_h,
        "an hour",
    );
    if let Some(per_ha) = found.total_per_ha {
        let per_ac = Spread {
            value: per_ha.value * HA_PER_AC,
            low: per_ha.low * HA_PER_AC,
            high: per_ha.high * HA_PER_AC,
        };
        out.say(
            "total_per_ac",
            per_ac.value,
            "Cut ground",
            format!("{} an acre", spread(per_ac)),
            format!("{} a hectare", spread(per_ha)),
        );
        out.ends.push(("total_per_ac_low", per_ac.low));
        out.ends.push(("total_per_ac_high", per_ac.high));
    }
    ranged(
        &mut out,
        "repair_per_h",
        "repair_per_h_low",
        "repair_per_h_high",
        "Repair",
        found.repair_per_h,
        "an hour",
    );
    ranged(
        &mut out,
        "repair_next_year",
        "repair_next_year_low",
        "repair_next_year_high",
        "Repair in the next year",
        found.repair_next_year,
        "a year",
    );
    ranged(
        &mut out,
        "repair_so_far",
        "repair_so_far_low",
        "repair_so_far_high",
        "Repair so far, by the curve",
        found.repair_so_far,
        "in all",
    );
    out.same(
        "capital_per_h",
        found.capital_per_h,
        "Depreciation and interest",
        format!("{} an hour", dollars(found.capital_per_h)),
    );
    out.same(
        "capital_per_year",
        found.capital_per_year,
        "The same",
        format!("{} a year", dollars(found.capital_per_year)),
    );
    out.same(
        "depreciation_per_year",
        found.depreciation_per_year,
        "Depreciation alone",
        format!("{} a year", dollars(found.depreciation_per_year)),
    );
    out.same(
        "salvage",
        found.salvage,
        "Worth at the end",
        dollars(found.salvage),
    );
    out.same(
        "capital_recovery_factor",
        found.capital_recovery_factor,
        "Capital recovery factor",
        format!("{:.4}", found.capital_recovery_factor),
    );
    out.say(
        "fuel_l_per_h",
        found.fuel_l_per_h,
        "Fuel",
        format!("{:.2} gal/h", found.fuel_l_per_h / cost::L_PER_GAL),
        format!("{:.1} L/h", found.fuel_l_per_h),
    );
    out.same(
        "fuel_per_h",
        found.fuel_per_h,
        "Fuel",
        format!("{} an hour", dollars(found.fuel_per_h)),
    );
    out.same(
        "lube_per_h",
        found.lube_per_h,
        "Oil and filters",
        format!("{} an hour", dollars(found.lube_per_h)),
    );
    out.same(
        "labor_per_h",
        found.labor_per_h,
        "Labor",
        format!("{} an hour", dollars(found.labor_per_h)),
    );
    out.notes.push("Repair of a single machine scatters widely: surveys find a standard deviation about as large as the mean, so the range is wide; it holds 8 machines in 10.".to_owned());
    out.notes.push("The constants of the equations are from memory of the standards: check them before relying on them.".to_owned());
    if given.power_kw == 0.0 || given.fuel_per_l == 0.0 {
        out.notes
            .push("No fuel was counted: it takes the power and the price of fuel.".to_owned());
    }
    if given.labor_per_h == 0.0 {
        out.notes.push("No labor was counted.".to_owned());
    }
    if found.past_life {
        out.notes.push(
            "The hours go past what the repair curve was made for: beyond that it is stretched."
                .to_owned(),
        );
    }
    if found.salvage_cut {
        out.notes.push("By the equation it would be worth more at the end than today; no fall in value was counted.".to_owned());
    }
    out.cautions.push(facts::caution(Act::Money).text.clone());
    out.why.push(
        Why::new(
            "repair",
            spread(found.repair_per_h),
            "RF1 x list price x (hours / 1,000)^RF2, the end less now, over the hours between",
            "ASABE D497.7 and EP496, from memory; the scatter taken as log-normal is our choice",
        )
        .with("list price", dollars(given.list))
        .with("hours now", format!("{:.0} h", given.hours_now))
        .with("hours a year", format!("{:.0} h", given.hours_a_year)),
    );
    out.why.push(
        Why::new("capital", dollars(found.capital_per_year), "(worth - salvage) x i(1+i)^n / ((1+i)^n - 1) + salvage x i; salvage = list x (C1 - C2 sqrt(years) - C3 sqrt(hours a year))^2", "ASAE D497.5, from memory; it gives the 23 % that Iowa State A3-29 prints for a 180 hp tractor")
            .with("worth today", dollars(given.worth))
            .with("years kept", format!("{}", given.years))
            .with("interest", format!("{:.2} %", given.rate * 100.0)),
    );
    let fuel = if given.load.is_some() {
        "(2.64 X + 3.91 - 0.203 sqrt(738 X + 173)) L/(kW h) x X x power; oil and filters 15 % of fuel"
    } else {
        "0.044 gal/(hp h) x power, a year's mean; oil and filters 15 % of fuel"
    };
    out.why.push(
        Why::new(
            "fuel",
            format!("{:.2} L/h", found.fuel_l_per_h),
            fuel,
            "ASABE EP496 and D497, from memory",
        )
        .with("power", format!("{:.1} kW", given.power_kw)),
    );
    out
}

/// What a tire is asked with, as typed.
#[derive(Debug, Clone, Default)]
pub struct TireAsked {
    /// Most pressure marked on the tire.
    pub tire: String,
    /// Most pressure marked on the rim.
    pub rim: String,
    /// The pressure wanted, cold.
    pub wanted: Option<String>,
    /// The load on the tire.
    pub load: Option<String>,
    /// Lines of the maker's load table: `40 psi=4,080 lb`.
    pub table: Vec<String>,
    /// What the gauge shows.
    pub read: Option<String>,
    /// Whether it was driven within some hours.
    pub warm: bool,
}

const PSI: f64 = 6.894_757_293_168;
const PRESSURES: &[(&str, f64)] = &[("psi", PSI), ("kPa", 1.0), ("kpa", 1.0), ("bar", 100.0)];
const LOADS: &[(&str, f64)] = &[("lb", 0.453_592_37), ("kg", 1.0)];

/// What to do with a tire.
///
/// # Errors
/// A figure that cannot be read or meant.
pub fn tires(asked: &TireAsked) -> Result<Answer, DeskError> {
    let pressure = |name: &str, text: &str| figure(name, text, PRESSURES, "\"42 psi\"");
    let table = asked
        .table
        .iter()
        .map(|line| {
            let (at, load) = line.split_once('=').ok_or_else(|| {
                DeskError::figure(
                    "table",
                    format!("found '{line}', expected PRESSURE=LOAD like \"40 psi=4,080 lb\""),
                )
            })?;
            Ok(LoadAt {
                kpa: pressure("table", at)?,
                load_kg: figure("table", load, LOADS, "\"4,080 lb\"")?,
            })
        })
        .collect::<Result<Vec<_>, DeskError>>()?;
    let given = Tire {
        tire_most_kpa: pressure("tire", &asked.tire)?,
        rim_most_kpa: pressure("rim", &asked.rim)?,
        wanted_kpa: maybe("wanted", asked.wanted.as_ref(), PRESSURES, "\"42 psi\"")?,
        load_kg: maybe("load", asked.load.as_ref(), LOADS, "\"4,500 lb\"")?,
        table,
        read_kpa: maybe("read", asked.read.as_ref(), PRESSURES, "\"38 psi\"")?,
        cold: !asked.warm,
    };
    let found = tires::tire(&given)?;
    let mut out = Answer::default();
    let rim = found.governs == tires::Governs::Rim;
    let says = match found.says {
        TireSays::TakeOff => {
            "It reads 80 % or less of what it should have: do not pump it up; let it down, have it taken off and looked at inside."
        }
        TireSays::AboveMark => {
            "What is wanted is above the lower mark: never pump to it; carry less, or fit tires and rims that are marked for it."
        }
        TireSays::OverNow => {
            "It reads above the lower mark: stand aside, let it cool, and let it down cold to the target."
        }
        TireSays::WaitCold => {
            "It is warm: read it cold, hours after the road, before anything is changed."
        }
        TireSays::PumpUp => "Pump it up to the target, with a clip-on chuck, from the side.",
        TireSays::LetDown => "Let it down to the target, cold.",
        TireSays::Leave => "It is near enough to its target: leave it.",
        TireSays::NotRead => "The target is within both marks; read the tire cold.",
    };
    out.notes.push(says.to_owned());
    out.same(
        "says",
        serde_json::to_value(found.says).unwrap_or_default(),
        "Answer",
        says,
    );
    let both = |kpa: f64| (format!("{:.1} psi", kpa / PSI), format!("{kpa:.0} kPa"));
    let (us, metric) = both(found.target_kpa);
    out.say("target_kpa", found.target_kpa, "Target, cold", us, metric);
    let (us, metric) = both(found.most_kpa);
    let mark = if rim {
        "Never above, the rim's mark"
    } else {
        "Never above, the tire's mark"
    };
    out.say("most_kpa", found.most_kpa, mark, us, metric);
    if let Some(share) = found.share {
        out.same(
            "share_of_target",
            share,
            "Reading of the target",
            format!("{:.0} %", share * 100.0),
        );
    }
    if let Some(load) = found.load_at_most_kg {
        out.say(
            "load_at_most_kg",
            load,
            "Carries at that mark, by the table",
            format!("{:.0} lb", load / 0.453_592_37),
            format!("{load:.0} kg"),
        );
    }
    out.notes.remove(0);
    out.cautions.push(facts::caution(Act::Tires).text.clone());
    out.why.push(Why::new("target", format!("{:.1} kPa", found.target_kpa), "the pressure wanted, or the load table between its lines; the lower of the marks on tire and rim governs; 80 % of the target or less is not pumped up", "29 CFR 1910.177, from memory; the marks and the table as typed"));
    Ok(out)
}
