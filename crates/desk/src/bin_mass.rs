//! What a bin measure comes to.

use crate::{DeskError, Farm};
use book::kinds::{BinShape, Name, StockAmount};
use facts::Crop;
use quantity::{Length, LengthUnit, Mass, TestWeight};

/// Wet mass in a measured round bin: volume by the grain room, times test weight and packing.
pub(crate) fn bin_mass(
    farm: &Farm,
    place: &Name,
    crop: &Name,
    amount: &StockAmount,
) -> Result<Mass, DeskError> {
    let StockAmount::Bin {
        diameter_m,
        wall_depths_m,
        shape,
        test_weight_lb_bu,
        packing,
    } = amount
    else {
        return Ok(Mass::ZERO);
    };
    let metres = |m: rust_decimal::Decimal| -> Result<Length, DeskError> {
        Ok(Length::new(
            f64::try_from(m).unwrap_or(f64::NAN),
            LengthUnit::M,
        )?)
    };
    let own = farm
        .places
        .get(place)
        .and_then(|stands| stands.says.diameter_m);
    let Some(diameter) = diameter_m.or(own) else {
        return Err(DeskError::Refused(format!(
            "the bin measure of {place} has no diameter and the book has none for it; write the place again with across"
        )));
    };
    let crop: Crop = crop
        .as_str()
        .parse()
        .map_err(|why| DeskError::figure("crop", why))?;
    let depths: Vec<Length> = wall_depths_m
        .iter()
        .map(|m| metres(*m))
        .collect::<Result<_, _>>()?;
    let top = match shape {
        BinShape::Level {} => grain::RoundTop::Level,
        BinShape::Peak {
            height_m: Some(height),
        } => grain::RoundTop::Peak(metres(*height)?),
        BinShape::Peak { height_m: None } => grain::RoundTop::PeakUnmeasured(crop),
        BinShape::Cone { depth_m } => grain::RoundTop::InvertedCone(metres(*depth_m)?),
    };
    let filled = grain::round_bin(&grain::RoundBin {
        diameter: metres(diameter)?,
        wall_depth: grain::mean_depth(&depths)?,
        top,
        hopper: None,
    })?;
    let test_weight = match test_weight_lb_bu {
        Some(pounds) => TestWeight::from_decimal(*pounds)?,
        None => TestWeight::from_lb_per_bu(grain::legal_bushel(crop)?.lb())?,
    };
    let packing = match packing {
        Some(factor) => grain::Packing::of(f64::try_from(*factor).unwrap_or(1.0), "as written")?,
        None => grain::Packing::none(),
    };
    Ok(filled.weight(test_weight, &packing)?)
}
