//! What is left in a field by the book, and whether it fits the wagons that stand there.

mod book;
mod says;

use crate::speed::{AC, area_ha, bushel_kg, on_area};
use crate::{DeskError, Farm, Ranged, Why, night, season};
use book::{Off, areas, came_off, planting, rooms};
use machine::capacity::{CameOff, Expected, Filling, Rest};
use quantity::Units;
use says::{notes, sentence, why};
use serde::Serialize;

/// Scatter of acres an hour, as a share: our default, a guess.
const RATE_CV: f64 = 0.10;

/// What is asked, as typed.
#[derive(Debug, Clone, Default)]
pub struct WagonsAsked {
    /// The field; the one last cut if none is named.
    pub field: Option<String>,
    /// Acres left ("12 ac"); by the book if left out.
    pub left: Option<String>,
    /// Wagons that stand there; every wagon, cart and truck with a known room if none is named.
    pub wagons: Vec<String>,
    /// Yield expected before anything came off, e.g. "180 bu/ac".
    pub expected: Option<String>,
    /// Acres cut an hour, e.g. "6 ac/h".
    pub an_hour: Option<String>,
    /// The season; the latest in the book if left out.
    pub season: Option<u16>,
}

/// One of the wagons.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WagonRoom {
    /// Its name.
    pub place: String,
    /// Wet lb that it holds when level full.
    pub holds_lb: f64,
    /// Wet lb in it by the book.
    pub in_it_lb: f64,
    /// Wet lb that still fit.
    pub room_lb: f64,
    /// Whether it holds another crop: no room then.
    pub other_crop: bool,
    /// Loads in it that nobody weighed or estimated: its room is short by those.
    pub unweighed: usize,
}

/// What is left and where it goes. Masses are of grain as cut, wet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WagonsAnswer {
    /// The answer in a sentence, US units.
    pub says: String,
    /// The same, metric.
    pub says_metric: String,
    /// The field.
    pub field: String,
    /// Its crop, by key.
    pub crop: String,
    /// A bushel of it, wet lb.
    pub bushel_lb: f64,
    /// Acres cut.
    pub cut_ac: f64,
    /// Acres left.
    pub left_ac: f64,
    /// Tanks that came off so far.
    pub tanks: usize,
    /// Of those, tanks that squaring set aside: their grain is not in what came off.
    pub tanks_set_aside: usize,
    /// What came off, wet lb, by the squared account.
    pub came_off_lb: Option<f64>,
    /// Yield that the rest is foretold to have, wet lb an acre.
    pub yield_lb_per_ac: f64,
    /// Grain left, wet lb.
    pub left_lb: Ranged,
    /// Room that holds it nine times in ten, wet lb.
    pub room_for_9_in_10_lb: f64,
    /// The wagons.
    pub wagons: Vec<WagonRoom>,
    /// Places on wheels whose room nobody wrote.
    pub room_not_known: Vec<String>,
    /// Room of them all, wet lb.
    pub room_lb: f64,
    /// Chance that the rest fits it; none without room.
    pub fits: Option<f64>,
    /// Minutes until that room is full, where acres an hour are known and the rest does not fit.
    pub full_min: Option<Ranged>,
    /// Hours of cutting left, where acres an hour are known.
    pub left_h: Option<f64>,
    /// What to know.
    pub notes: Vec<String>,
    /// Cautions of the act.
    pub cautions: Vec<String>,
    /// Where it came from.
    pub why: Vec<Why>,
}

const LB: f64 = 0.453_592_37;

/// Grain in bushels of this weight, or in tonnes.
pub fn show_grain(lb: f64, bushel_lb: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.0} bu", lb / bushel_lb),
        Units::Metric => format!("{:.1} t", lb * LB / 1_000.0),
    }
}

/// What is left in a field, told anew by what came off so far, and whether it fits.
///
/// # Errors
/// A name or figure that the book does not have, or cannot be meant.
pub fn wagons(farm: &Farm, asked: &WagonsAsked) -> Result<WagonsAnswer, DeskError> {
    let odd = |name: &'static str| move |why: machine::MachineError| DeskError::figure(name, why);
    let planted = || farm.plantings.iter().map(|one| one.says.season).max();
    let year = asked
        .season
        .or_else(|| farm.latest_season())
        .or_else(planted);
    let year = year.ok_or_else(|| {
        DeskError::figure(
            "season",
            "nothing is planted yet; write it: stook write planting",
        )
    })?;
    let planting = planting(farm, asked, year)?;
    let crop = planting.crop.as_str();
    let season = season(farm, year)?;
    let ledger = night::post(&season);
    let Off {
        kg: off_kg,
        error,
        tanks,
        set_aside,
    } = came_off(farm, &season, &ledger, &planting.field, crop)?;
    let (cut_ha, left_ha, left_sd_ha, said) = areas(farm, asked, planting, tanks)?;
    let seen = (off_kg > 0.0 && cut_ha > 0.0).then_some(CameOff {
        kg: off_kg,
        error,
        cut_ha,
    });
    let expected = match (&asked.expected, seen) {
        (Some(text), _) => Expected::usual(on_area("expected", text, crop)?),
        // nothing expected: what came off speaks alone
        (None, Some(seen)) => Expected {
            level_sd: 1.0,
            ..Expected::usual(seen.kg / seen.cut_ha)
        },
        (None, None) => {
            return Err(DeskError::figure(
                "expected",
                "no grain of this field is weighed or read yet; say what you expect of it: --expected \"180 bu/ac\"",
            ));
        }
    };
    let rest = expected
        .rest(seen, left_ha, left_sd_ha)
        .map_err(odd("left"))?;
    let (rooms, room_not_known) = rooms(farm, asked, crop, &season, &ledger)?;
    let room_kg: f64 = rooms.iter().map(|one| one.room_lb * LB).sum();
    let ends = |at: f64| rest.room_for_kg(at).map_err(odd("left"));
    let left_lb = Ranged {
        value: ends(0.5)? / LB,
        low: ends(0.1)? / LB,
        high: ends(0.9)? / LB,
    };
    let fits = (room_kg > 0.0)
        .then(|| rest.fits(room_kg).map_err(odd("wagons")))
        .transpose()?;
    let rate = asked.an_hour.as_ref().map(|text| {
        let bare = text
            .trim()
            .trim_end_matches("/h")
            .trim_end_matches("an hour");
        area_ha("an hour", bare)
    });
    let rate = rate.transpose()?;
    let full = match rate {
        Some(rate) if room_kg > 0.0 && fits.is_some_and(|chance| chance < 0.9) => {
            Some(full_min(rest, room_kg, rate).map_err(odd("an hour"))?)
        }
        _ => None,
    };
    let bushel_lb = bushel_kg(crop)? / LB;
    let mut answer = WagonsAnswer {
        says: String::new(),
        says_metric: String::new(),
        field: planting.field.to_string(),
        crop: crop.to_owned(),
        bushel_lb,
        cut_ac: cut_ha / AC,
        left_ac: left_ha / AC,
        tanks,
        tanks_set_aside: set_aside,
        came_off_lb: (off_kg > 0.0).then_some(off_kg / LB),
        yield_lb_per_ac: rest.kg_per_ha * AC / LB,
        left_lb,
        room_for_9_in_10_lb: left_lb.high,
        room_lb: room_kg / LB,
        wagons: rooms,
        room_not_known,
        fits,
        full_min: full,
        left_h: rate.map(|rate| left_ha / rate),
        notes: Vec::new(),
        cautions: [facts::Act::WagonFlow]
            .iter()
            .map(|act| facts::caution(*act).text.clone())
            .collect(),
        why: Vec::new(),
    };
    answer.notes = notes(&answer, said);
    answer.why.push(why(
        &answer,
        expected.kg_per_ha,
        rest,
        error,
        seen.is_some(),
    ));
    let show = |units| move |lb: f64| show_grain(lb, bushel_lb, units);
    let areas = (
        format!("{:.1} ac", answer.left_ac),
        format!("{left_ha:.1} ha"),
    );
    answer.says = sentence(&answer, &show(Units::Us), &areas.0);
    answer.says_metric = sentence(&answer, &show(Units::Metric), &areas.1);
    Ok(answer)
}

fn full_min(rest: Rest, room_kg: f64, ha_per_h: f64) -> Result<Ranged, machine::MachineError> {
    let filling = Filling {
        room_kg,
        kg_per_h: rest.kg_per_ha * ha_per_h,
        yield_cv: rest.yield_cv,
        rate_cv: RATE_CV,
    };
    Ok(Ranged {
        value: filling.median_min()?,
        low: filling.quantile_min(0.1)?,
        high: filling.quantile_min(0.9)?,
    })
}
