//! What was typed, read into SI.

use super::{Counted, SpeedAsked};
use crate::DeskError;
use facts::Crop;
use machine::speed::{Cap, CapKind, HeadLoss};
use quantity::{Length, LengthUnit, Speed, SpeedUnit};

/// Hectares in an acre.
pub(crate) const AC: f64 = 0.404_685_642_24;
/// Meters a second in a mile an hour.
pub(crate) const MPH: f64 = 0.447_04;

/// All of it in SI.
pub(super) struct Typed {
    pub(super) losses: Vec<(f64, f64)>,
    pub(super) price_per_kg: f64,
    pub(super) cut_m: f64,
    pub(super) hour: f64,
    pub(super) sooner: f64,
    pub(super) efficiency: Option<f64>,
    pub(super) now_m_s: Option<f64>,
    pub(super) head: Option<HeadLoss>,
    pub(super) caps: Vec<Cap>,
    pub(super) haul_ha_per_h: Option<f64>,
    pub(super) lost_yield_kg_per_ha: Option<f64>,
}

/// A number with what may stand around it; the rest is its unit.
pub(crate) fn number(name: &str, text: &str) -> Result<(f64, String), DeskError> {
    let odd = || {
        DeskError::figure(
            name,
            format!(
                "found '{}', expected a number above 0 with its unit",
                text.trim()
            ),
        )
    };
    let bare = text.trim().trim_start_matches('$').replace(',', "");
    let end = bare
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .unwrap_or(bare.len());
    let value: f64 = bare[..end].trim().parse().map_err(|_| odd())?;
    if !(value.is_finite() && value >= 0.0) {
        return Err(odd());
    }
    Ok((value, bare[end..].trim().to_lowercase()))
}

fn above(name: &str, value: f64) -> Result<f64, DeskError> {
    if value > 0.0 {
        return Ok(value);
    }
    Err(DeskError::figure(name, "found 0, expected more"))
}

/// A speed, miles an hour where no unit is typed.
pub(crate) fn speed(name: &str, text: &str) -> Result<f64, DeskError> {
    let speed =
        Speed::parse_or(text.trim(), SpeedUnit::Mph).map_err(|why| DeskError::figure(name, why))?;
    above(name, speed.m_per_s())
}

/// A width, feet where no unit is typed.
pub(crate) fn width(name: &str, text: &str) -> Result<f64, DeskError> {
    let width = Length::parse_or(text.trim(), LengthUnit::Ft)
        .map_err(|why| DeskError::figure(name, why))?;
    above(name, width.m())
}

/// A percentage as a share.
pub(crate) fn share(name: &str, text: &str) -> Result<f64, DeskError> {
    let (value, unit) = number(name, text)?;
    let share = if unit == "%" || value > 1.0 {
        value / 100.0
    } else {
        value
    };
    if share > 0.0 && share <= 1.0 {
        return Ok(share);
    }
    Err(DeskError::figure(
        name,
        format!(
            "found '{}', expected more than 0 and at most 100 %",
            text.trim()
        ),
    ))
}

/// Kilograms in a bushel of the crop.
pub(crate) fn bushel_kg(crop: &str) -> Result<f64, DeskError> {
    if crop.trim().is_empty() {
        return Err(DeskError::figure(
            "crop",
            "nothing; a bushel's weight depends on it, name the crop",
        ));
    }
    let crop: Crop = crop
        .trim()
        .parse()
        .map_err(|why| DeskError::figure("crop", why))?;
    Ok(grain::legal_bushel(crop)?.lb() * 0.453_592_37)
}

/// Grain on an area, bushels an acre where no unit is typed, kilograms a hectare.
pub(crate) fn on_area(name: &str, text: &str, crop: &str) -> Result<f64, DeskError> {
    let (value, unit) = number(name, text)?;
    let factor = match unit.as_str() {
        "" | "bu/ac" | "bu/acre" | "bu" => bushel_kg(crop)? / AC,
        "lb/ac" | "lb/acre" => 0.453_592_37 / AC,
        "kg/ha" => 1.0,
        "t/ha" => 1_000.0,
        _ => {
            return Err(DeskError::figure(
                name,
                format!("found '{unit}', expected bu/ac, lb/ac, kg/ha or t/ha"),
            ));
        }
    };
    above(name, value * factor)
}

/// An area, acres where no unit is typed, hectares.
pub(crate) fn area_ha(name: &str, text: &str) -> Result<f64, DeskError> {
    let (value, unit) = number(name, text)?;
    let factor = match unit.as_str() {
        "" | "ac" | "acres" => AC,
        "ha" => 1.0,
        _ => {
            return Err(DeskError::figure(
                name,
                format!("found '{unit}', expected ac or ha"),
            ));
        }
    };
    above(name, value * factor)
}

fn at_speed(name: &str, text: &str, crop: &str) -> Result<(f64, f64), DeskError> {
    let Some((loss, at)) = text.split_once(" at ") else {
        return Err(DeskError::figure(
            name,
            format!(
                "found '{}', expected a loss and its speed, such as \"0.5 bu/ac at 3 mph\"",
                text.trim()
            ),
        ));
    };
    Ok((speed(name, at)?, on_area(name, loss, crop)?))
}

fn price(text: &str, crop: &str) -> Result<f64, DeskError> {
    let (value, unit) = number("price", text)?;
    let kg = match unit.as_str() {
        "" | "/bu" => bushel_kg(crop)?,
        "/t" => 1_000.0,
        "/kg" => 1.0,
        "/cwt" => 45.359_237,
        _ => {
            return Err(DeskError::figure(
                "price",
                format!("found '{}', expected such as $11/bu or $400/t", text.trim()),
            ));
        }
    };
    above("price", value / kg)
}

fn cap(text: &str) -> Result<Cap, DeskError> {
    let known = "rough ground, head, power, walkers, operator";
    let (name, at) = text.split_once('=').ok_or_else(|| {
        DeskError::figure(
            "cap",
            format!("found '{text}', expected a name and a speed, such as \"rough ground=4 mph\""),
        )
    })?;
    let kind = match name.trim().to_lowercase().as_str() {
        "rough ground" | "rough-ground" | "ground" => CapKind::RoughGround,
        "head" => CapKind::Head,
        "power" => CapKind::Power,
        "walkers" => CapKind::Walkers,
        "operator" => CapKind::Operator,
        other => {
            return Err(DeskError::figure(
                "cap",
                format!("found '{other}', expected one of {known}"),
            ));
        }
    };
    Ok(Cap {
        kind,
        speed_m_s: speed("cap", at)?,
    })
}

fn maybe<T>(
    text: &str,
    read: impl FnOnce(&str) -> Result<T, DeskError>,
) -> Result<Option<T>, DeskError> {
    (!text.trim().is_empty()).then(|| read(text)).transpose()
}

fn needed(name: &str, text: &str, such: &str) -> Result<(), DeskError> {
    if text.trim().is_empty() {
        return Err(DeskError::figure(
            name,
            format!("nothing typed; give it, such as {such}"),
        ));
    }
    Ok(())
}

pub(super) fn read(asked: &SpeedAsked, counted: Option<&Counted>) -> Result<Typed, DeskError> {
    let crop = asked.crop.as_str();
    let losses: Vec<(f64, f64)> = asked
        .loss
        .iter()
        .filter(|text| !text.trim().is_empty())
        .map(|text| at_speed("loss", text, crop))
        .collect::<Result<_, _>>()?;
    if losses.is_empty() && counted.is_none() {
        return Err(DeskError::figure(
            "loss",
            "nothing typed; give a loss with its speed, such as \"0.5 bu/ac at 3 mph\"",
        ));
    }
    needed("price", &asked.price, "$11/bu")?;
    needed("hour", &asked.hour, "$180")?;
    let cut_m = match maybe(&asked.width, |text| width("width", text))? {
        Some(cut) => cut,
        None => counted.and_then(|one| one.cut_m).ok_or_else(|| {
            DeskError::figure(
                "width",
                "nothing typed; give the width that is cut, such as 20ft",
            )
        })?,
    };
    let growth = maybe(&asked.head_growth, |text| share("head growth", text))?.unwrap_or(0.0);
    let money = |name: &str, text: &str| number(name, text).map(|one| one.0);
    Ok(Typed {
        losses,
        price_per_kg: price(&asked.price, crop)?,
        cut_m,
        hour: above("hour", money("hour", &asked.hour)?)?,
        sooner: maybe(&asked.sooner, |text| money("sooner", text))?.unwrap_or(0.0),
        efficiency: maybe(&asked.efficiency, |text| share("efficiency", text))?,
        now_m_s: maybe(&asked.now, |text| speed("now", text))?,
        head: maybe(&asked.head, |text| {
            let (at_m_s, kg_per_ha) = at_speed("head", text, crop)?;
            Ok(HeadLoss {
                at_m_s,
                kg_per_ha,
                per_m_s: growth / MPH,
            })
        })?,
        caps: asked
            .caps
            .iter()
            .filter(|text| !text.trim().is_empty())
            .map(|text| cap(text))
            .collect::<Result<_, _>>()?,
        haul_ha_per_h: maybe(&asked.haul, |text| {
            let (value, unit) = number("haul", text)?;
            above("haul", if unit == "ha/h" { value } else { value * AC })
        })?,
        lost_yield_kg_per_ha: maybe(&asked.uncut_lost_yield, |text| on_area("yield", text, crop))?,
    })
}
