//! What the stops of a season took, and what is still to come.

use super::says::{notes, sentence, whys};
use super::{lasted, together, why_word};
use crate::{DeskError, Farm, Ranged, Why};
use book::kinds::{AcresSource, StopWhy};
use machine::stops::causes::causes;
use machine::stops::repair::Repair;
use machine::stops::spares::{Spare, Worth};
use machine::stops::{lost, usual_rate};
use quantity::Money;
use serde::Serialize;
use stats::rates::Rate;
use std::collections::BTreeSet;

/// What is asked.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct StopsAsked {
    /// The season.
    pub season: u16,
    /// One machine only.
    pub machine: Option<String>,
    /// What an hour of the machine and its crew costs, dollars.
    pub hour_usd: Option<f64>,
    /// Acres cut so far; from the book if left out.
    pub acres_cut: Option<f64>,
    /// Acres still to cut; from the book if left out.
    pub acres_left: Option<f64>,
    /// A part that might lie on the shelf.
    pub spare: Option<SpareAsked>,
}

/// A part that might lie on the shelf, as somebody asks about it.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct SpareAsked {
    /// Its price, dollars.
    pub price_usd: f64,
    /// Of 100 breakdowns so many are this part.
    pub share_pct: f64,
    /// Hours that having it saves at each.
    pub saves_h: f64,
    /// What is paid more for having it rushed, dollars.
    pub rush_usd: f64,
    /// Per cent of the price that holding it a season costs; 20 if left out, our default, a guess.
    pub holding_pct: Option<f64>,
}

/// Share of a part's price that a season on the shelf costs: our default, a guess.
const HOLDING_PCT: f64 = 20.0;
/// Spares of one part that are looked at.
const SPARES: u64 = 2;

/// One stop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StopLine {
    /// The entry.
    pub entry: String,
    /// When it began, on the farm's clock: `2025-10-06 14:20`.
    pub at: String,
    /// The same, UTC milliseconds.
    pub at_ms: i64,
    /// Which machine.
    pub machine: Option<String>,
    /// In which field.
    pub field: Option<String>,
    /// Why, by key.
    pub why: &'static str,
    /// Which part.
    pub part: Option<String>,
    /// Minutes; none while nobody knows.
    pub minutes: Option<i64>,
    /// Parts and labor, dollars.
    pub cost_usd: Option<f64>,
    /// It still runs.
    pub running: bool,
    /// It was left open past its day, or ends before it began: when did it end?
    pub asks: bool,
    /// Ends written for it; of several the earliest stands.
    pub ends: usize,
    /// Anything else.
    pub remark: String,
    /// What was done, as its ends say.
    pub done: Vec<String>,
    /// Reasons that an end told otherwise; they do not count until somebody corrects the stop.
    pub otherwise_whys: Vec<&'static str>,
    /// Parts that an end told otherwise.
    pub otherwise_parts: Vec<String>,
    /// Costs that an end told otherwise, dollars; they are in no sum.
    pub otherwise_costs_usd: Vec<f64>,
}

/// A cause and what it took.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CauseLine {
    /// Why, by key.
    pub why: &'static str,
    /// How often.
    pub stops: u64,
    /// Clock hours.
    pub hours: f64,
    /// Share of all hours up to and with this one.
    pub cumulative: f64,
}

/// How often it breaks.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Breakdowns {
    /// Breakdowns written.
    pub seen: u64,
    /// Acres cut beside them.
    pub acres_cut: f64,
    /// Whether those acres are the planted acres of fields that were begun.
    pub acres_are_planted: bool,
    /// Breakdowns on 100 acres.
    pub on_100_ac: Ranged,
    /// Acres from one to the next, mean.
    pub between_ac: Option<f64>,
    /// Hours of the next repair: the middle, and 8 in 10.
    pub repair_h: Ranged,
    /// The crop whose published rate it starts from.
    pub starts_from: String,
    /// Crops of the season for which that rate stands in: only corn and soybeans have a published one, and
    /// the crop of most loads decides between the two.
    pub stands_in_for: Vec<String>,
    /// What the acres left will bring.
    pub ahead: Option<Ahead>,
}

/// Breakdowns still to come.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ahead {
    /// Acres left.
    pub acres_left: f64,
    /// The chance of none.
    pub p_none: f64,
    /// Mean number.
    pub stops: f64,
    /// Clock hours lost: the middle, and 8 in 10.
    pub hours: Ranged,
    /// Mean clock hours, each repair counted up to 24 hours.
    pub mean_h: f64,
    /// What that costs, where an hour's cost is known.
    pub mean_usd: Option<f64>,
}

/// The stops of a season.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StopsReport {
    /// The answer in one sentence.
    pub sentence: String,
    /// The season.
    pub season: u16,
    /// Each stop, in order.
    pub stops: Vec<StopLine>,
    /// Clock hours in all; two stops at once count once.
    pub hours: f64,
    /// Clock hours broken or plugged: those that the bill counts; two stops at once count once.
    pub broke_hours: f64,
    /// The other hours that it stood: wagons, moving, weather, care, setting, rest. They are in no bill.
    pub other_hours: f64,
    /// Parts and labor as written of what broke or plugged, dollars.
    pub cost_usd: f64,
    /// Costs written with the other stops, dollars; they are in no bill.
    pub other_cost_usd: f64,
    /// What an hour costs, dollars: as asked, else as the season's settings say.
    pub hour_usd: Option<f64>,
    /// Hours and parts of what broke or plugged together, dollars, where an hour's cost is known.
    pub bill_usd: Option<f64>,
    /// By cause, the longest first.
    pub causes: Vec<CauseLine>,
    /// The chance that the first cause is more frequent than the second.
    pub p_first_more_often: Option<f64>,
    /// Under five stops: too few to say which is worst.
    pub too_few: bool,
    /// How often it breaks, where acres are known.
    pub breakdowns: Option<Breakdowns>,
    /// What the first and the second spare of a part are worth, where one was asked about.
    pub spares: Vec<Worth>,
    /// What to know, one sentence each.
    pub notes: Vec<String>,
    /// Cautions for the act.
    pub cautions: Vec<String>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

fn hours(minutes: i64) -> f64 {
    minutes as f64 / 60.0
}

/// The stops of a season, what they took and what is still to come; `now_ms` ends what runs.
///
/// # Errors
/// An acreage or a cost below nothing.
pub fn report(farm: &Farm, asked: &StopsAsked, now_ms: i64) -> Result<StopsReport, DeskError> {
    for (name, value) in [
        ("an-hour", asked.hour_usd),
        ("acres-cut", asked.acres_cut),
        ("acres-left", asked.acres_left),
    ] {
        if value.is_some_and(|value| !(value.is_finite() && value >= 0.0)) {
            return Err(DeskError::figure(
                name,
                format!("found {}, expected 0 or more", value.unwrap_or(f64::NAN)),
            ));
        }
    }
    let mut stood: Vec<_> = farm
        .stops
        .iter()
        .filter(|stop| {
            let local = crate::moment::zoned(farm, stop.happened.at_ms());
            u16::try_from(local.year()).is_ok_and(|year| year == asked.season)
        })
        .filter(|stop| {
            asked.machine.as_ref().is_none_or(|wanted| {
                stop.says
                    .machine
                    .as_ref()
                    .is_some_and(|m| m.as_str() == wanted)
            })
        })
        .map(|stop| lasted(farm, stop, now_ms))
        .collect();
    stood.sort_by_key(|one| (one.from_ms, one.stop.id));
    let known = |asks: bool, from: i64, to: i64| (!asks).then_some((to - from) / 60_000);
    let lines: Vec<StopLine> = stood
        .iter()
        .map(|one| {
            let (says, told) = (&one.stop.says, &one.told);
            StopLine {
                entry: one.stop.id.to_string(),
                at: crate::moment::zoned(farm, one.from_ms)
                    .strftime("%Y-%m-%d %H:%M")
                    .to_string(),
                at_ms: one.from_ms,
                machine: says.machine.as_ref().map(ToString::to_string),
                field: says.field.as_ref().map(ToString::to_string),
                why: why_word(told.why),
                part: told.part.as_ref().map(ToString::to_string),
                minutes: known(one.asks, one.from_ms, one.to_ms),
                cost_usd: told.cost.map(dollars),
                running: one.running,
                asks: one.asks,
                ends: one.ends,
                remark: says.remark.clone(),
                done: told.done.clone(),
                otherwise_whys: told.other_whys.iter().map(|why| why_word(*why)).collect(),
                otherwise_parts: told.other_parts.iter().map(ToString::to_string).collect(),
                otherwise_costs_usd: told.other_costs.iter().copied().map(dollars).collect(),
            }
        })
        .collect();
    let minutes = |wanted: &dyn Fn(&super::Stood<'_>) -> bool| {
        let those = stood.iter().filter(|one| wanted(one));
        together(those.map(|one| (one.from_ms, one.to_ms)).collect())
    };
    let all_minutes = minutes(&|_| true);
    // the bill is of what broke or plugged: a wagon that was late, a meal or rain is no repair
    let broke_minutes = minutes(&|one| one.told.broke());
    let costs = |broke: bool| -> f64 {
        let those = stood.iter().filter(|one| one.told.broke() == broke);
        those.filter_map(|one| one.told.cost).map(dollars).sum()
    };
    let (cost_usd, other_cost_usd) = (costs(true), costs(false));
    let broke_hours = hours(broke_minutes);
    let kept = farm.seasons.get(&asked.season).and_then(|one| one.hour);
    let hour_usd = asked.hour_usd.or(kept.map(dollars));
    let pareto = causes(
        &lines
            .iter()
            .filter_map(|one| Some((one.why, hours(one.minutes?))))
            .collect::<Vec<_>>(),
    );
    let breakdowns = breakdowns(farm, asked, hour_usd, &stood)?;
    let mut out = StopsReport {
        sentence: String::new(),
        season: asked.season,
        hours: hours(all_minutes),
        broke_hours,
        other_hours: hours(all_minutes - broke_minutes),
        cost_usd,
        other_cost_usd,
        hour_usd,
        bill_usd: hour_usd.map(|hour| hour * broke_hours + cost_usd),
        causes: pareto
            .causes
            .iter()
            .map(|one| CauseLine {
                why: one.why,
                stops: one.stops,
                hours: one.hours,
                cumulative: one.cumulative,
            })
            .collect(),
        p_first_more_often: pareto.p_first_more_often,
        too_few: pareto.too_few,
        breakdowns,
        spares: Vec::new(),
        notes: Vec::new(),
        cautions: vec![caution().to_owned()],
        why: Vec::new(),
        stops: lines,
    };
    if let Some(asked_spare) = asked.spare {
        out.spares = spares(&out, asked_spare)?;
    }
    out.notes = notes(&out);
    out.sentence = sentence(&out);
    out.why = whys(&out);
    Ok(out)
}

/// The caution beside a stop: nothing is cleared by hand while a drive is on.
pub fn caution() -> &'static str {
    &facts::caution(facts::Act::Unplug).text
}

fn dollars(money: Money) -> f64 {
    money.units() as f64 / 10_000.0
}

/// Acres cut so far and acres left by the book: cut acres where they are written, else the planted
/// acres of fields that were begun.
fn acres(farm: &Farm, season: u16) -> (f64, f64, bool) {
    let begun: BTreeSet<_> = farm
        .dumps
        .iter()
        .filter(|one| one.says.season == season)
        .map(|one| (one.says.field.clone(), one.says.crop.clone()))
        .collect();
    let (mut cut, mut left, mut planted_used) = (0.0, 0.0, false);
    for planting in crate::morning::plantings(farm, season) {
        let Some(field) = farm.fields.get(&planting.field) else {
            continue;
        };
        let planted = crate::morning::acres_of(&field.says, Some(planting), AcresSource::Planted);
        let begun = begun.contains(&(planting.field.clone(), planting.crop.clone()));
        let written = crate::morning::cut_acres(
            farm,
            &planting.field,
            Some(planting),
            season,
            usize::from(begun),
        );
        match (begun, written, planted) {
            (true, Some(acres), planted) => {
                cut += acres;
                left += (planted.unwrap_or(acres) - acres).max(0.0);
            }
            (true, None, Some(acres)) => {
                cut += acres;
                planted_used = true;
            }
            (false, _, Some(acres)) => left += acres,
            _ => {}
        }
    }
    (cut, left, planted_used)
}

fn breakdowns(
    farm: &Farm,
    asked: &StopsAsked,
    hour_usd: Option<f64>,
    stood: &[super::Stood<'_>],
) -> Result<Option<Breakdowns>, DeskError> {
    // the book's acres are the whole farm's: of one of several combines it does not know which it cut
    if asked.machine.is_some() && farm.machines.len() > 1 && asked.acres_cut.is_none() {
        return Ok(None);
    }
    let (book_cut, book_left, planted) = acres(farm, asked.season);
    let acres_cut = asked.acres_cut.unwrap_or(book_cut);
    let broken: Vec<_> = stood
        .iter()
        .filter(|one| one.told.why == StopWhy::Breakdown)
        .collect();
    if acres_cut <= 0.0 && broken.is_empty() {
        return Ok(None);
    }
    let refused = |why: machine::MachineError| DeskError::Entry(why.to_string());
    let (crop, stands_in_for) = published_for(farm, asked.season);
    let usual = usual_rate(crop).map_err(refused)?;
    let rate: Rate = usual.seen(broken.len() as u64, acres_cut);
    let repaired: Vec<f64> = broken
        .iter()
        .filter(|one| !one.asks && !one.running && one.to_ms > one.from_ms)
        .map(|one| (one.to_ms - one.from_ms) as f64 / 3_600_000.0)
        .collect();
    let repair = Repair::usual().seen(&repaired).map_err(refused)?;
    let (low, high) = rate.interval(0.8);
    let left = asked.acres_left.unwrap_or(book_left);
    let ahead = (left > 0.0).then(|| {
        let all = lost::lost(rate, repair, left, SEED, &|clock_h| clock_h);
        Ahead {
            acres_left: left,
            p_none: all.p_none,
            stops: all.stops,
            hours: Ranged {
                value: all.quantile_h(0.5),
                low: all.quantile_h(0.1),
                high: all.quantile_h(0.9),
            },
            mean_h: all.mean_h,
            mean_usd: hour_usd.map(|hour| hour * all.mean_h),
        }
    });
    let between = rate.mean_between();
    Ok(Some(Breakdowns {
        seen: broken.len() as u64,
        acres_cut,
        acres_are_planted: asked.acres_cut.is_none() && planted,
        on_100_ac: Ranged {
            value: 100.0 * rate.mean(),
            low: 100.0 * low,
            high: 100.0 * high,
        },
        between_ac: between.is_finite().then_some(between),
        repair_h: Ranged {
            value: repair.quantile_h(0.5),
            low: repair.quantile_h(0.1),
            high: repair.quantile_h(0.9),
        },
        starts_from: crop.name().to_owned(),
        stands_in_for,
        ahead,
    }))
}

/// The crop whose published rate a season starts from, corn where most loads are corn, else soybeans; and
/// the season's other crops, for which it stands in.
fn published_for(farm: &Farm, season: u16) -> (facts::Crop, Vec<String>) {
    let loads: Vec<&str> = farm
        .dumps
        .iter()
        .filter(|one| one.says.season == season)
        .map(|one| one.says.crop.as_str())
        .collect();
    let corn = facts::Crop::Corn.key();
    let of_corn = loads.iter().filter(|one| **one == corn).count();
    let planted = crate::morning::plantings(farm, season);
    let crops: BTreeSet<&str> = loads
        .iter()
        .copied()
        .chain(planted.iter().map(|one| one.crop.as_str()))
        .collect();
    // before the first load what is planted decides
    let is_corn = of_corn * 2 > loads.len() || (loads.is_empty() && crops.iter().eq([&corn]));
    let crop = if is_corn {
        facts::Crop::Corn
    } else {
        facts::Crop::Soybean
    };
    let others = crops.into_iter().filter(|one| *one != crop.key());
    (crop, others.map(crate::held::crop_name).collect())
}

/// The draws of what is still to come are the same for the same book.
const SEED: u64 = 1;

/// What a spare part on the shelf is worth for the acres left: the first and the second.
fn spares(report: &StopsReport, asked: SpareAsked) -> Result<Vec<Worth>, DeskError> {
    let known = report
        .breakdowns
        .as_ref()
        .and_then(|one| Some((one, one.ahead.as_ref()?)));
    let Some((breakdowns, ahead)) = known else {
        return Err(DeskError::figure(
            "acres-left",
            "no acres are left to cut by the book; say how many with --acres-left",
        ));
    };
    let Some(hour_usd) = report.hour_usd else {
        return Err(DeskError::figure(
            "an-hour",
            "a spare is worth the hours it saves; say what an hour costs, such as --an-hour 180",
        ));
    };
    let crop = if breakdowns.starts_from == facts::Crop::Corn.name() {
        facts::Crop::Corn
    } else {
        facts::Crop::Soybean
    };
    let refused = |why: machine::MachineError| DeskError::Entry(why.to_string());
    let rate = usual_rate(crop)
        .map_err(refused)?
        .seen(breakdowns.seen, breakdowns.acres_cut);
    let spare = Spare {
        share: asked.share_pct / 100.0,
        saves_h: asked.saves_h,
        hour_usd,
        rush_usd: asked.rush_usd,
        price_usd: asked.price_usd,
        holding: asked.holding_pct.unwrap_or(HOLDING_PCT) / 100.0,
    };
    machine::stops::spares::spares(rate, ahead.acres_left, &spare, SPARES).map_err(refused)
}
