//! The day sheet: is the account square, what is on wheels and in bins, what each field and unit made.

mod agreed;
mod cards;
mod crops;
mod evening;
mod made;
mod ruler;
mod sheet;
mod standing;
mod suspects;
mod tonight;

pub use evening::evening;
pub use sheet::{CropLine, FieldLine, HeldLine, Night, ShareLine, SlipLine, UnitLine, YieldLine};
pub use tonight::{
    Against, ContractOwed, Counted, CropAccount, Did, Evening, EveningSays, FieldTonight, Habit,
    HeldTonight, LastCopy, Likely, LookAt, MissingCards, Ruler, Span, StopCause, Stops, Suspicion,
    Tick, TickState, TypedFigure, UnitTonight, UnreadEntry, UntypedTicket,
};

pub(crate) use made::share_lines;
pub(crate) use standing::basis;

/// Standard error of grain in a wagon or bin whose weight rests on eye, monitor or tape and was not
/// squared, as a part of it (a guess; weighing it replaces it).
const HELD_SD: f64 = 0.05;

use crate::moment::{day_end_ms, harvest_day, local};
use crate::{DeskError, Farm, Season, square};
use account::ledger::{self, Ledger, Load};
use facts::Act;
use made::{claim_lines, field_lines, look_at, unit_lines};
use standing::{crop_lines, held_lines, slip_lines};

/// Makes the sheet of one harvest day or of the whole season, as things stood at its end.
///
/// # Errors
/// A day that cannot be read, or evidence that cannot be squared.
pub fn night(
    farm: &Farm,
    season: &Season,
    day: Option<&str>,
    level: f64,
) -> Result<Night, DeskError> {
    let day = day
        .map(|text| quantity::parse_date(text).map_err(|why| DeskError::figure("day", why)))
        .transpose()?;
    let squaring = square(season, level)?;
    let ledger = post(season);
    let end_ms = match day {
        Some(day) => day_end_ms(farm, season.year, day)?,
        None => i64::MAX,
    };
    let crops = crop_lines(season, &ledger, &squaring, end_ms);
    let loads: Vec<Load> = ledger
        .loads
        .iter()
        .filter(|load| load.at_ms < end_ms)
        .cloned()
        .collect();
    let fields = field_lines(farm, season, &loads);
    let look_at = look_at(farm, &ledger, season);
    let mut sentence = squaring.sentence.clone();
    if let Some(day) = day {
        sentence = format!("{sentence} (at the end of {day})");
    }
    Ok(Night {
        farm: farm.name.clone(),
        season: season.year,
        day: day.map(|day| day.to_string()),
        square: squaring.squared.square,
        crops,
        held: held_lines(farm, &ledger, &squaring, end_ms, season),
        slips: slip_lines(farm, season, &squaring, day),
        units: unit_lines(farm, season, &loads),
        shares: share_lines(farm, season, &loads)?,
        claims: claim_lines(farm, season, &ledger, end_ms).claims,
        fields,
        look_at,
        cautions: [Act::WagonFlow, Act::BinMeasure, Act::Fatigue, Act::Money]
            .iter()
            .map(|act| facts::caution(*act).text.clone())
            .collect(),
        why: squaring.why.clone(),
        sentence,
        squaring,
    })
}

/// The season posted as exact movements.
pub(crate) fn post(season: &Season) -> Ledger {
    ledger::post(&ledger::Season {
        places: &season.evidence.places,
        slips: &season.evidence.slips,
        openings: &season.openings,
        measured: &season.measured,
        assumed: &season.assumed,
        on_claim: &season.on_claim,
    })
}
