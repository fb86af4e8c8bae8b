//! Acres and bushels an hour, hours left, when a wagon is full, whether the rest fits.

use super::Answer;
use crate::speed::{AC, area_ha, bushel_kg, number, on_area, read_speed as speed, share, width};
use crate::{DeskError, Why};
use machine::capacity::{self, Filling, Rest};

/// What is asked, as typed.
#[derive(Debug, Clone, Default)]
pub struct CapacityAsked {
    /// Speed, e.g. "3.5 mph".
    pub speed: Option<String>,
    /// Seconds between two stakes 88 feet apart, in place of a speed.
    pub stakes: Option<String>,
    /// Width cut.
    pub width: String,
    /// Field efficiency.
    pub efficiency: String,
    /// Speed at which the efficiency was found, where it is another.
    pub efficiency_at: Option<String>,
    /// Crop.
    pub crop: String,
    /// Yield.
    pub yielding: Option<String>,
    /// What the grain tank holds, bushels.
    pub tank: Option<String>,
    /// Acres left.
    pub left: Option<String>,
    /// Room in the wagons that stand there, bushels.
    pub room: Option<String>,
    /// Test weight, lb a volume bushel, where the room's weight should follow it.
    pub test_weight: Option<String>,
    /// Weight that the wagons may still carry, lb.
    pub may_carry: Option<String>,
}

/// Scatter of the yield ahead and of acres an hour, as shares: our defaults, guesses.
const YIELD_CV: f64 = 0.15;
const RATE_CV: f64 = 0.10;
const GUESS: &str = "how far yield (15 %) and acres an hour (10 %) scatter is our default, a guess; ranges hold 8 times in 10";

/// Acres and bushels an hour; with more typed, minutes to a full tank, hours left, and whether the rest fits.
///
/// # Errors
/// A figure that cannot be read or meant.
pub fn capacity(asked: &CapacityAsked) -> Result<Answer, DeskError> {
    let odd = |name: &'static str| move |why: machine::MachineError| DeskError::figure(name, why);
    let m_s = match (&asked.speed, &asked.stakes) {
        (Some(text), None) => speed("speed", text)?,
        (None, Some(text)) => capacity::speed_by_stakes(88.0 * 0.3048, number("stakes", text)?.0)
            .map_err(odd("stakes"))?,
        _ => {
            return Err(DeskError::figure(
                "speed",
                "give --speed, or --stakes with the seconds between two stakes 88 feet apart, and not both",
            ));
        }
    };
    let cut = width("width", &asked.width)?;
    let mut part = share("efficiency", &asked.efficiency)?;
    let mut out = Answer::default();
    if let Some(text) = &asked.efficiency_at {
        let standing = capacity::standing_from_efficiency(speed("efficiency at", text)?, cut, part)
            .map_err(odd("efficiency"))?;
        part = capacity::efficiency(m_s, cut, standing).map_err(odd("efficiency"))?;
    }
    if asked.stakes.is_some() {
        let (us, metric) = (
            format!("{:.1} mph", m_s / 0.447_04),
            format!("{:.1} km/h", m_s * 3.6),
        );
        out.say("speed_m_s", m_s, "speed", us, metric);
    }
    let made = capacity::ha_per_h(m_s, cut, part).map_err(odd("speed"))?;
    out.same(
        "efficiency_pct",
        100.0 * part,
        "field efficiency",
        format!("{:.0} %", 100.0 * part),
    );
    out.say(
        "ha_per_h",
        made,
        "an hour",
        format!("{:.1} ac", made / AC),
        format!("{made:.1} ha"),
    );
    let hours = |ha: f64| capacity::hours_left(ha, made).map_err(odd("left"));
    let left = asked
        .left
        .as_ref()
        .map(|text| area_ha("left", text))
        .transpose()?;
    if let Some(ha) = left {
        let hours = hours(ha)?;
        out.same("hours_left_h", hours, "hours left", format!("{hours:.1} h"));
    }
    if let Some(text) = &asked.yielding {
        grain(
            asked,
            &mut out,
            on_area("yield", text, &asked.crop)?,
            made,
            left,
        )?;
    } else if asked.tank.is_some() || asked.room.is_some() {
        return Err(DeskError::figure(
            "yield",
            "nothing typed; a tank and a room need it, such as 180 bu/ac",
        ));
    }
    out.why.push(
        Why::new(
            "acres an hour",
            format!("{:.2} ac", made / AC),
            "speed in mph x width in ft x efficiency / 8.25",
            "Iowa State University PM 696 (2001)",
        )
        .with("speed", format!("{:.2} mph", m_s / 0.447_04))
        .with("width", format!("{:.1} ft", cut / 0.3048))
        .with("efficiency", format!("{:.1} %", 100.0 * part)),
    );
    Ok(out)
}

/// What needs a yield.
fn grain(
    asked: &CapacityAsked,
    out: &mut Answer,
    kg_per_ha: f64,
    ha_per_h: f64,
    left_ha: Option<f64>,
) -> Result<(), DeskError> {
    let odd = |name: &'static str| move |why: machine::MachineError| DeskError::figure(name, why);
    let bushel = bushel_kg(&asked.crop)?;
    let kg_per_h = kg_per_ha * ha_per_h;
    out.say(
        "kg_per_h",
        kg_per_h,
        "grain an hour",
        format!("{:.0} bu", kg_per_h / bushel),
        format!("{:.1} t", kg_per_h / 1_000.0),
    );
    if let Some(text) = &asked.tank {
        let tank = Filling {
            room_kg: number("tank", text)?.0 * bushel,
            kg_per_h,
            yield_cv: YIELD_CV,
            rate_cv: RATE_CV,
        };
        let minutes = |share: f64| tank.quantile_min(share).map_err(odd("tank"));
        let (low, middle, high) = (minutes(0.1)?, minutes(0.5)?, minutes(0.9)?);
        out.same(
            "tank_full_min",
            serde_json::json!({ "value": middle, "low": low, "high": high }),
            "tank full in",
            format!("{middle:.1} min ({low:.0} to {high:.0})"),
        );
    }
    if let Some(left_ha) = left_ha {
        let rest = Rest {
            kg_per_ha,
            yield_cv: YIELD_CV,
            left_ha,
            left_sd_ha: 0.0,
        };
        let middle = rest.median_kg().map_err(odd("left"))?;
        let room_for = rest.room_for_kg(0.9).map_err(odd("left"))?;
        let show = |kg: f64| {
            (
                format!("{:.0} bu", kg / bushel),
                format!("{:.1} t", kg / 1_000.0),
            )
        };
        let (us, metric) = show(middle);
        out.say("left_kg", middle, "grain left", us, metric);
        let (us, metric) = show(room_for);
        out.say(
            "room_for_9_in_10_kg",
            room_for,
            "room that holds it 9 times in 10",
            us,
            metric,
        );
        if let Some(text) = &asked.room {
            let (kg, by_weight) = room(asked, number("room", text)?.0, bushel)?;
            let chance = rest.fits(kg).map_err(odd("room"))?;
            if by_weight {
                out.notes
                    .push("Weight, not room, is what ends the wagons' load.".to_owned());
            }
            out.same(
                "fits_chance",
                chance,
                "fits the room there",
                format!("{:.0} times in 10", 10.0 * chance),
            );
        }
    } else if asked.room.is_some() {
        return Err(DeskError::figure(
            "left",
            "nothing typed; give the acres left, such as 12 ac",
        ));
    }
    if asked.tank.is_some() || left_ha.is_some() {
        out.notes.push(GUESS.into());
    }
    out.cautions
        .push(facts::caution(facts::Act::WagonFlow).text.clone());
    Ok(())
}

/// Room in kilograms, and whether weight is what ends it: a volume bushel weighs the test weight, where one
/// is typed, else the legal bushel.
fn room(asked: &CapacityAsked, volume_bu: f64, bushel_kg: f64) -> Result<(f64, bool), DeskError> {
    /// Cubic meters of a US bushel, 2,150.42 cubic inches (NIST Handbook 44, from memory).
    const BUSHEL_M3: f64 = 0.035_239_070_166_88;
    let pounds = |name: &str, text: &Option<String>| {
        text.as_ref()
            .map(|text| Ok::<f64, DeskError>(number(name, text)?.0 * 0.453_592_37))
            .transpose()
    };
    let per_bushel = pounds("test weight", &asked.test_weight)?.unwrap_or(bushel_kg);
    let room = capacity::room_kg(
        volume_bu * BUSHEL_M3,
        per_bushel / BUSHEL_M3,
        pounds("may carry", &asked.may_carry)?,
    )
    .map_err(|why| DeskError::figure("room", why))?;
    Ok((room.kg, room.by_weight))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_rows_of_corn() {
        let asked = CapacityAsked {
            speed: Some("3.5".into()),
            width: "20".into(),
            efficiency: "70".into(),
            crop: "corn".into(),
            yielding: Some("180".into()),
            tank: Some("300".into()),
            left: Some("12".into()),
            room: Some("2160".into()),
            ..CapacityAsked::default()
        };
        let found = capacity(&asked).unwrap();
        let text = |key: &str| {
            found
                .figures
                .iter()
                .find(|one| one.key == key)
                .unwrap()
                .us
                .clone()
        };
        assert_eq!(text("ha_per_h"), "5.9 ac");
        assert_eq!(text("kg_per_h"), "1069 bu");
        assert!(text("tank_full_min").starts_with("16.8 min ("));
        assert_eq!(text("fits_chance"), "5 times in 10");
        // light grain takes more room for its weight, and a wagon's plate may end it sooner
        let fits = |test_weight: &str, may_carry: Option<&str>| {
            let found = capacity(&CapacityAsked {
                test_weight: Some(test_weight.into()),
                may_carry: may_carry.map(Into::into),
                ..asked.clone()
            })
            .unwrap();
            let chance = found.figures.iter().find(|one| one.key == "fits_chance");
            (chance.unwrap().value.as_f64().unwrap(), found.notes)
        };
        assert!((fits("56", None).0 - 0.5).abs() < 1e-9);
        assert!(fits("50", None).0 < 0.25);
        let (chance, notes) = fits("56", Some("95000 lb"));
        assert!(
            chance < 0.1 && notes[0].starts_with("Weight"),
            "{chance} {notes:?}"
        );
        let mut at_five = asked.clone();
        (at_five.speed, at_five.efficiency_at) = (Some("5 mph".into()), Some("3.5 mph".into()));
        let found = capacity(&at_five).unwrap();
        assert_eq!(found.figures[0].us, "62 %");
        let mut both = asked.clone();
        both.stakes = Some("12".into());
        assert!(capacity(&both).is_err());
        both.speed = None;
        assert_eq!(capacity(&both).unwrap().figures[0].us, "5.0 mph");
    }
}
