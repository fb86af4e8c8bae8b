//! The squared account of a season, with names that people know and the way back to the entries.

use crate::season::{LENT_METER, LENT_POINTS};
use crate::{DeskError, Season, Why};
use account::slip::{CropId, SlipId, Weight};
use account::square::{Settings, Squared, Suspect};
use quantity::{DryMass, MassUnit};
use serde::Serialize;
use std::collections::BTreeMap;

/// The squared account, ready for any face; `--json` prints exactly this.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Squaring {
    /// The year.
    pub season: u16,
    /// Slips and stocks that took part.
    pub slips: usize,
    /// The answer in one sentence.
    pub sentence: String,
    /// What looks wrong, the most certain first.
    pub suspects: Vec<SuspectSlip>,
    /// Everything that was worked out.
    pub squared: Squared,
    /// The entry behind each slip.
    pub entries: BTreeMap<SlipId, String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// One slip that does not fit, as written.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SuspectSlip {
    /// The slip, by the name people know.
    pub slip: SlipId,
    /// Its entry.
    pub entry: Option<String>,
    /// What is written on it.
    pub written: String,
    /// Which crop.
    pub crop: Option<CropId>,
    /// What was found, from the account.
    pub suspect: Suspect,
    /// Its gap in dry pounds: written less what everything else says.
    pub off_by_dry_lb: f64,
    /// Standard error of that, dry pounds.
    pub se_dry_lb: f64,
}

/// The level at which every face asks: a clean season alarms 5 times in 100.
pub const LEVEL: f64 = 0.05;

/// Squares a season of the book.
///
/// # Errors
/// Evidence that cannot be squared, e.g. two entries under one name.
pub fn square(season: &Season, level: f64) -> Result<Squaring, DeskError> {
    if !(0.0005..=0.5).contains(&level) {
        return Err(DeskError::figure(
            "level",
            format!("found {level}, expected 0.0005 to 0.5"),
        ));
    }
    let lent = (account::slip::MeterId::from(LENT_METER), LENT_POINTS);
    let settings = Settings {
        level,
        meter_points: BTreeMap::from([lent]),
        ..Settings::default()
    };
    let squared = account::square::square(&season.evidence, &settings)
        .map_err(|why| DeskError::Refused(why.to_string()))?;
    let lb = |kg: f64| kg / MassUnit::Lb.per() as f64 * MassUnit::Kg.per() as f64;
    let suspects: Vec<SuspectSlip> = squared
        .suspects
        .iter()
        .map(|suspect| {
            let slip = season
                .evidence
                .slips
                .iter()
                .find(|slip| slip.id == suspect.slip);
            let stock = season
                .evidence
                .stocks
                .iter()
                .find(|stock| stock.id == suspect.slip);
            let written = match (slip, stock) {
                (Some(slip), _) => written(&slip.weight, slip.moisture.as_ref().map(|m| m.value)),
                (_, Some(stock)) => {
                    format!("{} measured", stock.wet.show_in(MassUnit::Lb, 0))
                }
                _ => String::new(),
            };
            SuspectSlip {
                slip: suspect.slip.clone(),
                entry: season.entries.get(&suspect.slip).map(ToString::to_string),
                written,
                crop: slip
                    .map(|slip| slip.crop.clone())
                    .or_else(|| stock.map(|stock| stock.crop.clone())),
                off_by_dry_lb: lb(suspect.off_by_kg),
                se_dry_lb: lb(suspect.se_kg),
                suspect: suspect.clone(),
            }
        })
        .collect();
    let slips = season.evidence.slips.len() + season.evidence.stocks.len();
    let sentence = sentence(&squared, &suspects, slips);
    let why = whys(season, &squared);
    let entries = season
        .entries
        .iter()
        .map(|(slip, id)| (slip.clone(), id.to_string()))
        .collect();
    Ok(Squaring {
        season: season.year,
        slips,
        sentence,
        suspects,
        squared,
        entries,
        why,
    })
}

fn sentence(squared: &Squared, suspects: &[SuspectSlip], slips: usize) -> String {
    if slips == 0 {
        return "Nothing is written yet: there is no account to square.".to_owned();
    }
    let checked = slips.saturating_sub(squared.unchecked.len());
    if squared.square {
        if checked == 0 {
            return format!(
                "Nothing checks these {slips} slips: weigh or measure something to square them."
            );
        }
        let odd = match suspects {
            [] => String::new(),
            some => format!(
                " Odd by itself, though: {}.",
                some.iter()
                    .map(|one| one.slip.0.as_str())
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
        };
        return format!(
            "Square: {checked} of {slips} slips and measures check each other and none is off by more than their errors allow.{odd}"
        );
    }
    if suspects.is_empty() {
        // an alarm that chance may explain blames nobody, but says where to look first
        let worst = squared.slips.iter().filter(|one| one.z.is_some());
        let worst = worst.max_by(|a, b| {
            a.z.unwrap_or(0.0)
                .abs()
                .total_cmp(&b.z.unwrap_or(0.0).abs())
        });
        let name = worst.map_or("a measure", |one| one.slip.0.as_str());
        return format!(
            "Not square, but no slip is blamed: {name} fits worst (|z| {:.1}), and chance alone does as much in {:.0} clean seasons of 100; look at its paper first.",
            squared.worst_z,
            squared.level * 100.0
        );
    }
    let names: Vec<&str> = suspects
        .iter()
        .map(|one| one.slip.0.as_str())
        .take(3)
        .collect();
    let more = suspects.len().saturating_sub(names.len());
    let tail = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    let verb = if suspects.len() == 1 { "looks" } else { "look" };
    format!("Not square: {}{tail} {verb} wrong.", names.join(", "))
}

/// What is written on a slip, for a reader.
pub(crate) fn written(weight: &Weight, moisture: Option<quantity::Moisture>) -> String {
    let wet = moisture.map_or(String::new(), |m| format!(", {}", m.show()));
    let mut text = match weight {
        Weight::Scale {
            gross,
            tare,
            net,
            unit,
            ..
        } => {
            let mut parts = Vec::new();
            if let Some(gross) = gross {
                parts.push(format!("gross {}", gross.show_in(*unit, 0)));
            }
            if let Some(tare) = tare {
                parts.push(format!("tare {}", tare.show_in(*unit, 0)));
            }
            parts.push(format!("net {}", net.show_in(*unit, 0)));
            parts.join(", ")
        }
        Weight::Monitor { reading, unit, .. } => format!("monitor {}", reading.show_in(*unit, 0)),
        Weight::Eye { mass, .. } => format!("about {} by eye", mass.show_in(MassUnit::Lb, 0)),
        Weight::Unknown => "no weight".to_owned(),
    };
    text.push_str(&wet);
    text
}

/// A squared dry mass as an exact one, for printing beside the record.
pub(crate) fn dry(kg: f64) -> DryMass {
    DryMass::from_kg(kg).unwrap_or(DryMass::ZERO)
}

fn whys(season: &Season, squared: &Squared) -> Vec<Why> {
    let source = "weighted least squares under exact balances of dry matter; Mah, Stanley and Downing 1976 and Mah and Tamhane 1982 for the tests (from memory)";
    let mut why = vec![
        Why::new(
            "square",
            if squared.square { "yes" } else { "no" },
            "yes if no slip's |z| passes the critical value; z is the residual over its standard error",
            source,
        )
        .with("largest |z|", format!("{:.2}", squared.worst_z))
        .with("critical |z|", format!("{:.2} (Sidak, {} distinct tests at {} %)", squared.critical_z, squared.tests, squared.level * 100.0))
        .with("all residuals together", format!("chi-square {:.1} on {}, p {:.3} (shown beside, decides nothing)", squared.chi_square, squared.dof, squared.chi_square_p)),
    ];
    for factor in &squared.factors {
        why.push(
            Why::new(
                &format!("{} in {}", factor.machine, factor.crop),
                format!(
                    "true = {:.3} x monitor, standard error {:.3}",
                    factor.factor, factor.se
                ),
                "one unknown factor a machine, crop and setting, solved with everything else",
                source,
            )
            .with("weighed loads", factor.weighed_loads.to_string()),
        );
    }
    for offset in &squared.offsets {
        why.push(Why::new(
            &format!("{} moisture", offset.meter),
            format!(
                "reads {:+.2} points against the reference, standard error {:.2}",
                offset.points, offset.se_points
            ),
            "one unknown offset a meter, prior 0 with standard error 0.5 points",
            source,
        ));
    }
    for suspect in &squared.suspects {
        let mut one = Why::new(
            &suspect.slip.0,
            format!("z {:.1}", suspect.z),
            "written dry mass less what everything else says, over its standard error",
            source,
        )
        .with(
            "off by",
            format!(
                "{} ± {}",
                dry(suspect.off_by_kg).show_in(MassUnit::Lb, 0),
                dry(suspect.se_kg).show_in(MassUnit::Lb, 0)
            ),
        )
        .with(
            "no test tells it from",
            suspect
                .set
                .iter()
                .filter(|id| **id != suspect.slip)
                .map(|id| id.0.as_str())
                .collect::<Vec<_>>()
                .join(", "),
        );
        for id in &suspect.set {
            if let Some(entry) = season.entries.get(id) {
                one = one.from_entry(entry.to_string());
            }
        }
        why.push(one);
    }
    why
}
