//! Grain in a round or flat bin, and in a free pile.

use super::Answer;
use crate::{DeskError, Why};
use facts::{Act, Crop};
use grain::{BushelVolume, Filled, FlatBin, Packing, RoundBin, RoundTop};
use quantity::{Length, TestWeight, Units};

/// What a bin is asked with, as typed.
#[derive(Debug, Clone, Default)]
pub struct BinAsked {
    /// Inside diameter.
    pub across: Option<String>,
    /// Length of a flat store.
    pub length: Option<String>,
    /// Width of a flat store.
    pub width: Option<String>,
    /// Depth at the wall; several are averaged.
    pub depth: String,
    /// Peak above it.
    pub peak: Option<String>,
    /// Hollow below it.
    pub hollow: Option<String>,
    /// Cone-shaped bottom.
    pub hopper: Option<String>,
    /// Crop.
    pub crop: String,
    /// Test weight.
    pub test_weight: Option<String>,
    /// Packing factor.
    pub packing: Option<f64>,
}

fn length(name: &str, text: &str) -> Result<Length, DeskError> {
    Length::parse(text).map_err(|why| DeskError::figure(name, why))
}
fn maybe(name: &str, text: Option<&String>) -> Result<Option<Length>, DeskError> {
    text.map(|text| length(name, text)).transpose()
}

/// Volume, bushels by volume and weight of what stands in a bin.
///
/// # Errors
/// Sizes that cannot be read or are no bin.
pub fn bin(asked: &BinAsked) -> Result<Answer, DeskError> {
    let crop: Crop = asked
        .crop
        .parse()
        .map_err(|why| DeskError::figure("crop", why))?;
    let depths: Vec<Length> = asked
        .depth
        .split(';')
        .map(|text| length("depth", text))
        .collect::<Result<_, _>>()?;
    let depth = grain::mean_depth(&depths)?;
    let (peak, hollow) = (
        maybe("peak", asked.peak.as_ref())?,
        maybe("hollow", asked.hollow.as_ref())?,
    );
    let hopper = maybe("hopper", asked.hopper.as_ref())?;
    let filled = match (&asked.across, &asked.length, &asked.width) {
        (Some(across), None, None) => {
            let top = match (peak, hollow) {
                (Some(height), None) => RoundTop::Peak(height),
                (None, Some(down)) => RoundTop::InvertedCone(down),
                (None, None) => RoundTop::Level,
                (Some(_), Some(_)) => {
                    return Err(DeskError::figure(
                        "hollow",
                        "a peak and a hollow at once; leave one out",
                    ));
                }
            };
            grain::round_bin(&RoundBin {
                diameter: length("across", across)?,
                wall_depth: depth,
                top,
                hopper,
            })?
        }
        (None, Some(long), Some(wide)) => {
            if hollow.is_some() || hopper.is_some() {
                return Err(DeskError::figure(
                    "hollow",
                    "a flat store takes a peak (its ridge) only",
                ));
            }
            grain::flat_bin(&FlatBin {
                length: length("length", long)?,
                width: length("width", wide)?,
                wall_depth: depth,
                ridge: peak.unwrap_or_default(),
            })?
        }
        _ => {
            return Err(DeskError::figure(
                "across",
                "a bin needs --across, or --length and --width",
            ));
        }
    };
    let mut out = volume(filled);
    weight(
        &mut out,
        filled,
        crop,
        asked.test_weight.as_deref(),
        asked.packing,
    )?;
    out.why.push(
        Why::new("volume", format!("{:.1} ft3", filled.ft3()), "area of the floor x (depth at the wall + a third of the peak, or less a third of the hollow); a ridge counts half", "geometry; Iowa Department of Agriculture, Measuring grain")
            .with("depth at the wall", depth.show(Units::Us)),
    );
    out.cautions
        .push(facts::caution(Act::BinMeasure).text.clone());
    Ok(out)
}

fn volume(filled: Filled) -> Answer {
    let mut out = Answer::default();
    let (exact, iowa) = (
        filled.volume_bu(BushelVolume::Exact),
        filled.volume_bu(BushelVolume::Iowa),
    );
    out.say(
        "volume_ft3",
        filled.ft3(),
        "Volume",
        format!("{:.1} ft3", filled.ft3()),
        format!("{:.2} m3", filled.volume_m3),
    );
    out.same(
        "volume_bu",
        exact,
        "Bushels by volume (2,150.42 cubic inches each)",
        format!("{exact:.1} bu by volume"),
    );
    out.same(
        "volume_iowa_bu",
        iowa,
        "The same by Iowa's printed factor 0.80385",
        format!("{iowa:.1} bu by volume"),
    );
    out
}

fn weight(
    out: &mut Answer,
    filled: Filled,
    crop: Crop,
    test_weight: Option<&str>,
    packing: Option<f64>,
) -> Result<(), DeskError> {
    let packing = if let Some(factor) = packing {
        Packing::of(factor, "as typed")?
    } else {
        out.notes.push(
            "No packing was counted: grain packs with depth, so a deep bin holds more than this."
                .to_owned(),
        );
        Packing::none()
    };
    let Some(text) = test_weight else {
        out.notes.push("Give --test-weight for the weight in the bin; bushels by volume are not bushels by weight.".to_owned());
        return Ok(());
    };
    let test_weight =
        TestWeight::parse(text).map_err(|why| DeskError::figure("test-weight", why))?;
    let mass = filled.weight(test_weight, &packing)?;
    out.say(
        "wet_lb",
        mass.lb(),
        "Weight as it lies",
        mass.show(Units::Us),
        mass.show(Units::Metric),
    );
    if let Ok(bushel) = grain::legal_bushel(crop) {
        let bushels = quantity::Bushels::as_weighed(mass, bushel);
        out.same(
            "as_weighed_bu",
            bushels.float(),
            "Bushels by weight",
            bushels.show_places(1),
        );
    }
    out.why.push(
        Why::new(
            "weight",
            mass.show(Units::Us),
            "bushels by volume x test weight x packing",
            "Iowa Department of Agriculture, Measuring grain; packing as given",
        )
        .with("test weight", test_weight.show(Units::Us))
        .with(
            "packing",
            format!("{} ({})", packing.factor, packing.source),
        ),
    );
    Ok(())
}

/// What a pile is asked with, as typed.
#[derive(Debug, Clone, Default)]
pub struct PileAsked {
    /// Crop.
    pub crop: String,
    /// Bushels by volume, to find its width.
    pub bushels: Option<f64>,
    /// Width, to find its bushels.
    pub across: Option<String>,
    /// Height at the peak.
    pub height: Option<String>,
}

/// A free cone on the ground.
///
/// # Errors
/// Neither width nor bushels, or a crop without a published angle of repose and no height.
pub fn pile(asked: &PileAsked) -> Result<Answer, DeskError> {
    let crop: Crop = asked
        .crop
        .parse()
        .map_err(|why| DeskError::figure("crop", why))?;
    let source = "angle of repose: MWPS-type table, read second-hand; form: University of Nebraska, outside storage";
    match (asked.bushels, &asked.across) {
        (Some(bushels), None) => {
            let angle = grain::angle_of(crop)?;
            let across = grain::pile_diameter(bushels, angle)?;
            let mut out = Answer::default();
            out.say(
                "across_ft",
                across.ft(),
                "Width on the ground",
                format!("{:.2} ft", across.ft()),
                format!("{:.2} m", across.m()),
            );
            out.same(
                "angle_deg",
                angle,
                "Angle of repose",
                format!("{angle:.0} degrees"),
            );
            out.why.push(
                Why::new(
                    "width",
                    across.show(Units::Us),
                    "D = (bushels x 24 x 1.244456 / (pi tan angle))^(1/3), in feet",
                    source,
                )
                .with("bushels by volume", bushels.to_string()),
            );
            out.notes.push(
                "Wetter or finer grain stands steeper: the pile is then narrower.".to_owned(),
            );
            Ok(out)
        }
        (None, Some(across)) => {
            let across = length("across", across)?;
            let filled = match maybe("height", asked.height.as_ref())? {
                Some(height) => grain::cone_pile(across, height)?,
                None => grain::pile_by_repose(crop, across)?,
            };
            let mut out = volume(filled);
            out.why.push(
                Why::new(
                    "volume",
                    format!("{:.1} ft3", filled.ft3()),
                    "pi/12 x width^2 x height",
                    source,
                )
                .with("width", across.show(Units::Us)),
            );
            Ok(out)
        }
        _ => Err(DeskError::figure(
            "across",
            "a pile needs --bushels or --across",
        )),
    }
}
