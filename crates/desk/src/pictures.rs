//! Pictures and the sheet to print, for any face: results of the desk into draw's plain inputs.

use crate::Squaring;
use crate::audit::Audited;
use crate::night::{CropLine, Night, UnitLine};
use crate::passes::PassAnswer;
use draw::{
    AccountBars, BarPart, DaySheet, PlanPoint, PointsPlan, SettlementSteps, SheetSuspect,
    SheetTable, SlipMark, SlipTests, Step, Texture,
};
use quantity::{DryMass, MassUnit};
use track::RawPoint;

/// Standard errors on either side that hold 8 in 10 (normal).
const EIGHT_IN_TEN: f64 = 1.2816;

fn lb(value: f64) -> String {
    DryMass::from_lb(value).map_or_else(
        |_| "not known".to_owned(),
        |mass| mass.show_in(MassUnit::Lb, 0),
    )
}

/// Every slip's test.
pub fn tests(squaring: &Squaring) -> String {
    draw::slip_tests(&tests_of(squaring))
}

fn tests_of(squaring: &Squaring) -> SlipTests {
    let marks = squaring
        .squared
        .slips
        .iter()
        .map(|one| SlipMark {
            name: one.slip.0.clone(),
            z: one.z.map(f64::abs),
            suspect: one.suspect,
        })
        .collect();
    SlipTests {
        marks,
        critical: squaring.squared.critical_z,
        finding: squaring.sentence.clone(),
    }
}

/// The combine points of a file.
pub fn points(answer: &PassAnswer, read: &[RawPoint]) -> String {
    let summary = &answer.summary;
    let placed = crate::passes::plan(answer, read);
    let yields = summary.yield_bu_per_ac.map_or_else(String::new, |bu| {
        format!(
            ", {bu:.1} bu/ac dry at {} % over {:.2} acres cut",
            summary.base_moisture_pct, summary.area_ac
        )
    });
    draw::points_plan(&PointsPlan {
        points: placed
            .into_iter()
            .map(|(east_m, north_m, value)| PlanPoint {
                east_m,
                north_m,
                value,
            })
            .collect(),
        shows: "yield as logged".to_owned(),
        unit: format!("bu/ac dry, at {} %, acres cut", summary.base_moisture_pct),
        finding: format!("{} records{yields}.", summary.n),
        source: "as logged: no delay taken out, nothing cleaned or smoothed".to_owned(),
    })
}

/// Money with its sign before the currency.
fn dollars(money: rust_decimal::Decimal) -> String {
    let sign = if money.is_sign_negative() {
        "\u{2212}"
    } else {
        ""
    };
    format!("{sign}${:.2}", money.abs())
}

/// A settled ticket.
pub fn steps(one: &Audited) -> String {
    draw::settlement_steps(&steps_of(one))
}

/// What the picture of a settled ticket takes.
pub fn steps_of(one: &Audited) -> SettlementSteps {
    let settled = &one.settlement;
    let unit = settled.unit.word();
    let mut steps = vec![Step {
        label: "as weighed".to_owned(),
        change: String::new(),
        left: format!("{} {unit}", settled.gross_units),
        rule: format!(
            "{} lb over {} lb a {unit}",
            settled.wet_lb.normalize(),
            settled.unit_lb.normalize()
        ),
        total: false,
    }];
    for line in &settled.lines {
        let weight = !line.units.is_zero() || line.money.is_zero();
        let left = if weight {
            format!("{} {unit}", line.running_units)
        } else {
            line.running_money.map_or_else(String::new, dollars)
        };
        let change = match (line.units.is_zero(), line.money.is_zero()) {
            (false, _) => format!("{} {unit}", line.units.normalize()),
            (_, false) => dollars(line.money),
            _ => "nothing".to_owned(),
        };
        steps.push(Step {
            label: line.name.clone(),
            change,
            left,
            rule: line.rule.clone(),
            total: false,
        });
    }
    steps.push(Step {
        label: "buyer's".to_owned(),
        change: format!("{} {unit}", settled.net_units),
        left: settled
            .net
            .map_or_else(|| "no price yet".to_owned(), quantity::Money::show),
        rule: settled.price.map_or_else(String::new, |price| {
            format!("at ${} a {unit}", price.normalize())
        }),
        total: true,
    });
    let finding = match settled.net {
        Some(net) => format!("{} pays {}.", one.ticket, net.show()),
        None => format!(
            "{} comes to {} {unit} buyer's.",
            one.ticket, settled.net_units
        ),
    };
    SettlementSteps {
        head: format!(
            "{} at {}, schedule '{}'",
            one.ticket, one.buyer, settled.schedule
        ),
        finding,
        steps,
    }
}

/// Pounds without their unit, for a column whose head has it.
fn bare(value: f64) -> String {
    lb(value).trim_end_matches(" lb dry").to_owned()
}

fn bars(line: &CropLine) -> AccountBars {
    let per = line.dry_bu_per_dry_lb.unwrap_or(1.0);
    let unit = match line.base_moisture_pct {
        Some(base) => format!("bushels dry at {base} %"),
        None => "pounds of dry matter".to_owned(),
    };
    let part = |label: &str, lb: f64, texture| BarPart {
        label: label.to_owned(),
        value: lb * per,
        texture,
    };
    let mut went_to = vec![part("sold", line.sold_dry_lb, Texture::Solid)];
    let more = [
        ("on claim at buyers", line.on_claim_dry_lb, Texture::Dots),
        ("on wheels and in bins", line.held_dry_lb, Texture::Hatch),
        ("fed, seed and spilt", line.used_dry_lb, Texture::Plain),
    ];
    went_to.extend(
        more.into_iter()
            .filter(|one| one.1 > 0.0)
            .map(|(label, lb, texture)| part(label, lb, texture)),
    );
    let (gap, range) = (
        line.unexplained_dry_lb * per,
        EIGHT_IN_TEN * line.unexplained_se_lb * per,
    );
    let word = if gap < 0.0 { "over" } else { "short" };
    let sure = if gap.abs() <= range {
        "within what the errors explain"
    } else {
        "more than the errors explain 8 times in 10"
    };
    AccountBars {
        crop: line.crop.0.clone(),
        finding: format!(
            "{:.0} {word}, {sure}: the monitor set to the scale.",
            gap.abs()
        ),
        unit,
        came_off: (line.came_off_dry_lb + line.opening_dry_lb) * per,
        went_to,
        gap,
        gap_range: range,
    }
}

/// The account of the crop of which most came off.
pub fn account(night: &Night) -> Option<String> {
    let most = night
        .crops
        .iter()
        .max_by(|a, b| a.came_off_dry_lb.total_cmp(&b.came_off_dry_lb))?;
    Some(draw::account_bars(&bars(most)))
}

/// The day sheet as a page.
pub fn sheet(night: &Night) -> String {
    let suspects = night
        .squaring
        .suspects
        .iter()
        .map(|one| SheetSuspect {
            name: one.slip.0.clone(),
            written: one.written.clone(),
            off_by: format!(
                "{} \u{b1}{}",
                lb(one.off_by_dry_lb),
                lb(EIGHT_IN_TEN * one.se_dry_lb)
            ),
            perhaps: one
                .suspect
                .hypotheses
                .iter()
                .take(2)
                .map(|h| h.words.clone())
                .collect(),
            or: one
                .suspect
                .set
                .iter()
                .filter(|id| **id != one.slip)
                .map(|id| id.0.clone())
                .collect(),
        })
        .collect();
    let squared = &night.squaring.squared;
    draw::day_sheet(&DaySheet {
        farm: night.farm.clone(),
        day: night.day.clone().unwrap_or_else(|| format!("season {}", night.season)),
        lede: night.sentence.clone(),
        standfirst: format!(
            "The largest of {} tests stands at {:.2}; {:.2} would alarm. A range on this sheet holds the truth 8 times in 10, once the account is square.",
            squared.tests, squared.worst_z, squared.critical_z
        ),
        accounts: night.crops.iter().map(bars).collect(),
        tests: tests_of(&night.squaring),
        suspects,
        tables: tables(night),
        look_at: night.look_at.clone(),
        cautions: night.cautions.clone(),
        foot: "Sale weights are the certified scale's; what counts for insurance your agent decides. Made by stook from the farm's book.".to_owned(),
    })
}

fn table(
    title: &str,
    note: &str,
    heads: &[&str],
    right: &[usize],
    rows: Vec<Vec<String>>,
) -> SheetTable {
    SheetTable {
        title: title.to_owned(),
        note: note.to_owned(),
        heads: heads.iter().map(|head| (*head).to_owned()).collect(),
        right: right.to_vec(),
        rows,
    }
}

/// Insurance bushels, or that there is no rule for the crop here.
pub fn insurance(line: &UnitLine) -> String {
    if line.unconverted == line.loads && line.loads > 0 {
        "no rule here".to_owned()
    } else {
        format!("{:.1}", line.insurance_bu)
    }
}

fn tables(night: &Night) -> Vec<SheetTable> {
    let held = night.held.iter().map(|line| {
        let range = line.squared_se_lb.map_or_else(String::new, |se| {
            format!("\u{b1}{}", bare(EIGHT_IN_TEN * se))
        });
        vec![
            line.place.0.clone(),
            line.crop.0.clone(),
            line.moisture_pct
                .map_or_else(String::new, |pct| format!("{pct:.1} %")),
            bare(line.squared_dry_lb.unwrap_or(line.dry_lb)),
            range,
            line.since.clone().unwrap_or_default(),
        ]
    });
    let fields = night.fields.iter().map(|line| {
        let yields: Vec<String> = line
            .yields
            .iter()
            .map(|one| {
                format!(
                    "{:.1} bu/ac by {:.1} ac {}",
                    one.dry_bu_per_ac, one.area_ac, one.acres
                )
            })
            .collect();
        let made = match (line.dry_bu, line.base_moisture_pct) {
            (Some(bu), Some(base)) => format!("{bu:.0} bu dry at {base} %"),
            _ => lb(line.dry_lb),
        };
        vec![
            line.field.clone(),
            line.crop.0.clone(),
            line.unit.clone().unwrap_or_default(),
            made,
            yields.join("; "),
        ]
    });
    let units = night.units.iter().map(|line| {
        let note = if line.unconverted > 0 && line.unconverted < line.loads {
            format!("{} loads not converted", line.unconverted)
        } else {
            String::new()
        };
        vec![
            line.unit.clone().unwrap_or_else(|| "no unit".to_owned()),
            line.crop.0.clone(),
            insurance(line),
            line.loads.to_string(),
            note,
        ]
    });
    let shares = night.shares.iter().map(|line| {
        vec![
            line.person.0.clone(),
            line.field.0.clone(),
            line.crop.0.clone(),
            lb(line.dry_lb),
        ]
    });
    let claims = night.claims.iter().map(|claim| {
        vec![
            claim.key.buyer.clone(),
            claim.key.crop.0.clone(),
            claim.key.schedule.clone(),
            claim.open_bu.round_dp(2).to_string(),
        ]
    });
    let slips = night.slips.iter().map(|line| {
        let word = match (line.suspect, line.mended, line.z) {
            (true, ..) => "looks wrong",
            (_, true, _) => "mended",
            (_, _, None) => "nothing checks it",
            _ => "",
        };
        vec![
            line.at.clone(),
            line.slip.0.clone(),
            format!("{} to {}", line.from, line.to),
            line.written.clone(),
            line.squared_dry_lb.map_or_else(String::new, bare),
            line.squared_se_lb.map_or_else(String::new, |se| {
                format!("\u{b1}{}", bare(EIGHT_IN_TEN * se))
            }),
            word.to_owned(),
        ]
    });
    let mut tables = vec![
        table(
            "on wheels and in bins",
            "",
            &[
                "where",
                "what",
                "moisture",
                "lb dry",
                "8 in 10",
                "last filled",
            ],
            &[2, 3],
            held.collect(),
        ),
        table(
            "what each field made so far",
            "",
            &["field", "crop", "unit", "made", "an acre, by which acres"],
            &[3],
            fields.collect(),
        ),
        table(
            "by insured unit",
            "Insurance bushels by the moisture rule of 7 CFR 457.113 where it applies; your agent decides what counts.",
            &["unit", "crop", "insurance bu", "loads", ""],
            &[2, 3],
            units.collect(),
        ),
        table(
            "shares of what was delivered or put by",
            "",
            &["who", "field", "crop", "dry matter"],
            &[3],
            shares.collect(),
        ),
        table(
            "owed by buyers",
            "In the buyer's bushels under the schedule named.",
            &["buyer", "crop", "schedule", "buyer's bu"],
            &[3],
            claims.collect(),
        ),
    ];
    tables.push(table(
        "slips",
        "",
        &[
            "when",
            "slip",
            "way",
            "as written",
            "squared, lb dry",
            "8 in 10",
            "",
        ],
        &[4],
        slips.collect(),
    ));
    tables
}
