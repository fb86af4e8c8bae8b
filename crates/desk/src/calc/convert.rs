//! One written quantity in another unit.

use super::Answer;
use crate::{DeskError, Why};
use facts::Crop;
use quantity::{
    Area, AreaUnit, BushelWeight, FlowUnit, Length, LengthUnit, Mass, MassFlow, MassUnit, Speed,
    SpeedUnit, TestWeight, TestWeightUnit,
};

/// Converts a written quantity to another unit; bushels on either side need the crop.
///
/// # Errors
/// A quantity or unit that cannot be read, two different kinds of quantity, or bushels without a crop.
pub fn convert(what: &str, to: &str, crop: Option<&str>) -> Result<Answer, DeskError> {
    let bushel = crop
        .map(|text| {
            let crop: Crop = text.parse().map_err(|why| DeskError::figure("crop", why))?;
            Ok::<_, DeskError>(grain::legal_bushel(crop)?)
        })
        .transpose()?;
    let to = to.trim();
    let value = plain(what, to)
        .or_else(|| with_bushels(what, to, bushel).transpose())
        .transpose()?;
    let Some(value) = value else {
        return Err(DeskError::figure(
            "to",
            format!(
                "cannot turn '{}' into '{to}': expected two units of one kind, such as lb to kg, ft to m, bu/ac to kg/ha (with --crop)",
                what.trim()
            ),
        ));
    };
    let mut out = Answer::default();
    let shown = shown(value);
    out.same(
        "value",
        value,
        what.trim().to_owned(),
        format!("{shown} {to}"),
    );
    out.same("unit", to, "Unit", to);
    let mut why = Why::new(
        what.trim(),
        format!("{shown} {to}"),
        "exact definitions: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m, 1 ac = 0.40468564224 ha",
        "definitions; bushel weights as published in facts",
    );
    if let Some(bushel) = bushel {
        why = why.with("pounds a bushel", bushel.lb().to_string());
    }
    out.why.push(why);
    Ok(out)
}

fn shown(value: f64) -> String {
    let digits = (6 - value.abs().log10().floor() as i32).clamp(0, 8) as usize;
    let text = format!("{value:.digits$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Two units of one kind.
fn plain(what: &str, to: &str) -> Option<Result<f64, DeskError>> {
    macro_rules! kind {
        ($quantity:ty, $unit:ty) => {
            if let (Ok(value), Ok(unit)) = (<$quantity>::parse(what), <$unit>::parse(to)) {
                return Some(Ok(value.to(unit)));
            }
        };
    }
    kind!(Mass, MassUnit);
    kind!(Length, LengthUnit);
    kind!(Area, AreaUnit);
    kind!(Speed, SpeedUnit);
    kind!(MassFlow, FlowUnit);
    if let (Ok(value), Ok(unit)) = (TestWeight::parse(what), TestWeightUnit::parse(to)) {
        return Some(Ok(match unit {
            TestWeightUnit::LbPerBu => value.lb_per_bu(),
            TestWeightUnit::KgPerHl => value.kg_per_hl(),
            TestWeightUnit::GPerL => value.kg_per_hl() * 10.0,
        }));
    }
    None
}

/// Bushels as weighed to mass and back, and yields.
fn with_bushels(
    what: &str,
    to: &str,
    bushel: Option<BushelWeight>,
) -> Result<Option<f64>, DeskError> {
    let bare = what.trim().to_lowercase();
    let counted = |suffixes: &[&str]| {
        suffixes
            .iter()
            .find_map(|suffix| bare.strip_suffix(suffix))
            .and_then(|number| {
                number
                    .trim()
                    .replace(',', "")
                    .parse::<f64>()
                    .ok()
                    .filter(|value| value.is_finite())
            })
    };
    let per_acre = counted(&["bu/ac", "bu/acre"]);
    let bushels = if per_acre.is_none() {
        counted(&["bushels", "bushel", "bu"])
    } else {
        None
    };
    let per_hectare = counted(&["kg/ha"]);
    let wants_bushels = matches!(to, "bu" | "bushels" | "bu/ac");
    if bushels.is_none() && per_acre.is_none() && !wants_bushels {
        return Ok(None);
    }
    let Some(weight) = bushel else {
        return Err(DeskError::figure(
            "crop",
            "bushels are of a crop; add --crop, e.g. --crop corn",
        ));
    };
    let value = match (bushels, per_acre, per_hectare, to) {
        (Some(count), ..) => MassUnit::parse(to)
            .ok()
            .map(|unit| count * weight.mass().to(unit)),
        (_, Some(yields), _, "kg/ha") => Some(yields * weight.kg_per_ha()),
        (_, Some(yields), _, "t/ha") => Some(yields * weight.kg_per_ha() / 1_000.0),
        (_, _, Some(kg_ha), "bu/ac") => Some(kg_ha / weight.kg_per_ha()),
        (None, None, None, "bu" | "bushels") => Mass::parse(what)
            .ok()
            .and_then(|mass| f64::try_from(weight.bushels(mass)).ok()),
        _ => None,
    };
    Ok(value)
}
