//! The day sheet: is the account square, what is on wheels and in bins, what each field and unit made.

mod evening;
mod made;
mod sheet;
mod standing;
mod tonight;

pub use evening::evening;
pub use sheet::{CropLine, FieldLine, HeldLine, Night, ShareLine, SlipLine, UnitLine, YieldLine};
pub use tonight::{
    Against, ContractOwed, CountLine, Counted, CropAccount, Did, Evening, EveningSays,
    FieldTonight, Habit, HeldTonight, LastCopy, Likely, LookAt, MissingCards, Ruler, Span,
    StopCause, Stops, Suspicion, Tick, TickState, TypedFigure, UnitTonight, UnreadEntry,
    UntypedTicket,
};

use crate::{DeskError, Farm, Season, square};
use account::ledger::{self, Ledger, Load};
use facts::Act;
use jiff::civil::Date;
use made::{claim_lines, field_lines, look_at, share_lines, unit_lines};
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

fn zone(farm: &Farm) -> jiff::tz::TimeZone {
    jiff::tz::TimeZone::get(&farm.zone).unwrap_or(jiff::tz::TimeZone::UTC)
}

/// The harvest day that a moment belongs to.
fn harvest_day(farm: &Farm, year: u16, at_ms: i64) -> Date {
    let instant = jiff::Timestamp::from_millisecond(at_ms).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    let local = instant.to_zoned_datetime(zone(farm));
    if local.hour() < farm.day_begins(year) {
        local.date().yesterday().unwrap_or(local.date())
    } else {
        local.date()
    }
}

fn day_end_ms(farm: &Farm, year: u16, day: Date) -> Result<i64, DeskError> {
    let next = day
        .tomorrow()
        .map_err(|why| DeskError::figure("day", why))?;
    let end = next
        .at(farm.day_begins(year), 0, 0, 0)
        .to_zoned_datetime(zone(farm))
        .map_err(|why| DeskError::figure("day", why))?;
    Ok(end.timestamp().as_millisecond())
}

fn local(farm: &Farm, at_ms: i64) -> String {
    jiff::Timestamp::from_millisecond(at_ms)
        .unwrap_or(jiff::Timestamp::UNIX_EPOCH)
        .to_zoned_datetime(zone(farm))
        .strftime("%b %-d %H:%M")
        .to_string()
}
