//! Printing the account: squaring, the day sheet, combine points and the demo.

use crate::print::Out;
use desk::Squaring;
use desk::demo::Demo;
use desk::night::{CropLine, Night};
use desk::passes::PassAnswer;
use quantity::{DryMass, Mass, MassUnit, Units};

fn dry(lb: f64, out: &Out) -> String {
    let unit = if out.units == Units::Metric {
        MassUnit::Kg
    } else {
        MassUnit::Lb
    };
    DryMass::from_lb(lb).map_or_else(|_| "not known".to_owned(), |mass| mass.show_in(unit, 0))
}
fn dry_kg(kg: Option<f64>, out: &Out) -> String {
    match kg.and_then(|kg| DryMass::from_kg(kg).ok()) {
        Some(mass) => dry(mass.lb(), out),
        None => "not known".to_owned(),
    }
}

/// The squared account.
pub(crate) fn squaring(squaring: &Squaring, all: bool, out: &mut Out) {
    let squared = &squaring.squared;
    out.line(&squaring.sentence);
    out.line(format!(
        "largest |z| {:.2}, critical {:.2} ({} distinct tests at {} %); all together chi-square {:.1} on {}, p {:.3}",
        squared.worst_z,
        squared.critical_z,
        squared.tests,
        squared.level * 100.0,
        squared.chi_square,
        squared.dof,
        squared.chi_square_p
    ));
    if !squared.square {
        out.line(
            "Until it is square the ranges below are too narrow: a mistake left in bends them.",
        );
    }
    for suspect in &squaring.suspects {
        out.line("");
        out.line(format!("{}: {}", suspect.slip, suspect.written));
        out.line(format!(
            "  off by {} ± {} (z {:.1} when it was set aside)",
            dry(suspect.off_by_dry_lb, out),
            dry(suspect.se_dry_lb, out),
            suspect.suspect.z
        ));
        let others: Vec<&str> = suspect
            .suspect
            .set
            .iter()
            .filter(|id| **id != suspect.slip)
            .map(|id| id.0.as_str())
            .collect();
        if !others.is_empty() {
            out.line(format!("  no test tells it from: {}", others.join(", ")));
        }
        out.line(format!("  {}", suspect.suspect.words));
        for hypothesis in suspect.suspect.hypotheses.iter().take(2) {
            out.line(format!(
                "  - {} ({:.0} % of what was thought of)",
                hypothesis.words,
                hypothesis.chance * 100.0
            ));
        }
        if let Some(entry) = &suspect.entry {
            out.line(format!("  entry {entry}; look at the paper, then: stook mend \"{}\" --set FIGURE=VALUE --reason \"...\"", suspect.slip));
        }
    }
    if all {
        out.line("");
        let rows: Vec<Vec<String>> = squared
            .slips
            .iter()
            .map(|one| {
                vec![
                    one.slip.0.clone(),
                    dry_kg(one.record_dry_kg, out),
                    dry_kg(one.squared_dry_kg, out),
                    one.se_kg
                        .map_or_else(String::new, |se| dry_kg(Some(se), out)),
                    one.z
                        .map_or_else(|| "unchecked".to_owned(), |z| format!("{z:.2}")),
                ]
            })
            .collect();
        out.table(
            &["slip", "as written", "squared", "±1 se", "z"],
            &[1, 2, 3, 4],
            &rows,
        );
    }
    out.line("");
    for factor in &squared.factors {
        out.line(format!(
            "monitor of {} in {}: true = {:.3} x shown, se {:.3}, {} weighed loads",
            factor.machine, factor.crop, factor.factor, factor.se, factor.weighed_loads
        ));
    }
    for offset in &squared.offsets {
        out.line(format!(
            "moisture by {}: {:+.2} points against the reference, se {:.2}",
            offset.meter, offset.points, offset.se_points
        ));
    }
    if !squared.unchecked.is_empty() {
        let names: Vec<&str> = squared.unchecked.iter().map(|id| id.0.as_str()).collect();
        out.line(format!("nothing checks these: {}", names.join(", ")));
    }
    for advice in &squared.advice {
        out.line(format!("to check them: {}", advice.words));
    }
    for note in &squared.notes {
        out.line(format!("note: {note}"));
    }
}

fn bushels(lb: f64, line: &CropLine, out: &Out) -> String {
    match line.dry_bu_per_dry_lb {
        Some(per) if out.units == Units::Us => format!("{:.1}", lb * per),
        _ => dry(lb, out),
    }
}

/// The day sheet.
pub(crate) fn night(night: &Night, out: &mut Out) {
    let day = night
        .day
        .as_ref()
        .map_or_else(|| format!("season {}", night.season), Clone::clone);
    out.line(format!("{}, {day}", night.farm));
    out.line(&night.sentence);
    out.line("");
    let rows: Vec<Vec<String>> = night
        .crops
        .iter()
        .map(|line| {
            let basis = match line.base_moisture_pct {
                Some(base) if out.units == Units::Us => format!("bu dry at {base} %"),
                _ => "dry matter".to_owned(),
            };
            vec![
                line.crop.0.clone(),
                basis,
                bushels(line.came_off_dry_lb, line, out),
                bushels(line.opening_dry_lb, line, out),
                bushels(line.sold_dry_lb, line, out),
                bushels(line.on_claim_dry_lb, line, out),
                bushels(line.held_dry_lb, line, out),
                bushels(line.used_dry_lb, line, out),
                bushels(line.unexplained_dry_lb, line, out),
                bushels(line.unexplained_se_lb, line, out),
            ]
        })
        .collect();
    out.line("The account on record");
    let heads = [
        "crop",
        "counted in",
        "came off",
        "opening",
        "sold",
        "on claim",
        "held",
        "used",
        "unexplained",
        "±1 se",
    ];
    out.table(&heads, &[2, 3, 4, 5, 6, 7, 8, 9], &rows);
    if !night.held.is_empty() {
        out.line("");
        out.line("On wheels and in bins");
        let rows: Vec<Vec<String>> = night
            .held
            .iter()
            .map(|line| {
                let wet = Mass::from_lb(line.wet_lb)
                    .map_or_else(|_| String::new(), |mass| mass.show(out.units));
                let squared = match (line.squared_dry_lb, line.squared_se_lb) {
                    (Some(lb), Some(se)) => format!("{} ± {}", dry(lb, out), dry(se, out)),
                    _ => String::new(),
                };
                vec![
                    line.place.0.clone(),
                    line.crop.0.clone(),
                    wet,
                    line.moisture_pct
                        .map_or_else(String::new, |pct| format!("{pct:.1} %")),
                    squared,
                    line.since.clone().unwrap_or_default(),
                ]
            })
            .collect();
        out.table(
            &[
                "place",
                "crop",
                "wet, on record",
                "moisture",
                "dry, squared",
                "last filled",
            ],
            &[2, 3, 4],
            &rows,
        );
    }
    out.line("");
    out.line("What each field made so far");
    let rows: Vec<Vec<String>> = night
        .fields
        .iter()
        .map(|line| {
            let made = match (line.dry_bu, line.base_moisture_pct) {
                (Some(bu), Some(base)) if out.units == Units::Us => {
                    format!("{bu:.1} bu dry at {base} %")
                }
                _ => dry(line.dry_lb, out),
            };
            let yields: Vec<String> = line
                .yields
                .iter()
                .map(|one| {
                    format!(
                        "{:.1} bu/ac ({:.1} ac {})",
                        one.dry_bu_per_ac, one.area_ac, one.acres
                    )
                })
                .collect();
            vec![
                line.field.clone(),
                line.crop.0.clone(),
                line.unit.clone().unwrap_or_default(),
                made,
                yields.join(", "),
            ]
        })
        .collect();
    out.table(
        &["field", "crop", "unit", "made", "yield, by which acres"],
        &[3],
        &rows,
    );
    if !night.units.is_empty() {
        out.line("");
        out.line("By insured unit, in insurance bushels (your agent decides what counts)");
        let rows: Vec<Vec<String>> = night
            .units
            .iter()
            .map(|line| {
                let note = if line.unconverted > 0 && line.unconverted < line.loads {
                    format!("{} loads not converted", line.unconverted)
                } else {
                    String::new()
                };
                vec![
                    line.unit.clone().unwrap_or_else(|| "no unit".to_owned()),
                    line.crop.0.clone(),
                    desk::pictures::insurance(line),
                    line.loads.to_string(),
                    note,
                ]
            })
            .collect();
        out.table(
            &["unit", "crop", "insurance bu", "loads", ""],
            &[2, 3],
            &rows,
        );
    }
    if !night.shares.is_empty() {
        out.line("");
        out.line("Shares of what was delivered or put by");
        let rows: Vec<Vec<String>> = night
            .shares
            .iter()
            .map(|line| {
                vec![
                    line.person.0.clone(),
                    line.field.0.clone(),
                    line.crop.0.clone(),
                    dry(line.dry_lb, out),
                ]
            })
            .collect();
        out.table(&["who", "field", "crop", "dry matter"], &[3], &rows);
    }
    for claim in &night.claims {
        out.line("");
        out.line(format!(
            "Owed by {} under '{}': {} bu buyer's of {} ({} delivered)",
            claim.key.buyer,
            claim.key.schedule,
            claim.open_bu.round_dp(2),
            claim.key.crop,
            claim.delivered_bu.round_dp(2)
        ));
    }
    if !night.look_at.is_empty() {
        out.line("");
        out.line("Look at");
        for one in &night.look_at {
            out.line(format!("  {one}"));
        }
    }
    out.line("");
    out.cautions(&night.cautions);
}

/// What combine points add up to.
pub(crate) fn passes(answer: &PassAnswer, out: &mut Out) {
    let s = &answer.summary;
    let metric = out.units == Units::Metric;
    let wet = Mass::from_lb(s.wet_lb).map_or_else(
        |_| format!("{:.0} lb", s.wet_lb),
        |mass| mass.show(out.units),
    );
    let area = quantity::Area::from_ac(s.area_ac).map_or_else(
        |_| format!("{:.4} ac", s.area_ac),
        |area| {
            if metric {
                format!("{:.4} ha", area.ha())
            } else {
                format!("{:.4} ac", s.area_ac)
            }
        },
    );
    let mut pairs = vec![
        (
            "records".to_owned(),
            format!("{} of {} rows read", s.n, s.rows_read),
        ),
        (format!("area {}", s.acres), area),
        ("wet".to_owned(), wet),
        (
            format!("dry at {} %, {} lb/bu", s.base_moisture_pct, s.lb_per_bu),
            if metric {
                format!("{:.3} t", answer.dry_at_base_t)
            } else {
                format!("{:.3} bu", s.dry_bu)
            },
        ),
    ];
    if let Some(yields) = s.yield_bu_per_ac {
        pairs.push((
            format!("yield by acres {}", s.acres),
            format!("{yields:.3} bu/ac dry at {} %", s.base_moisture_pct),
        ));
    }
    if let Some(moisture) = s.moisture_pct_mass_weighted {
        pairs.push(("moisture, by mass".to_owned(), format!("{moisture:.4} %")));
    }
    pairs.push((
        "passes".to_owned(),
        format!("{}, {} of them short", s.passes.len(), s.short_passes),
    ));
    if !s.tanks.is_empty() {
        pairs.push(("tanks".to_owned(), s.tanks.len().to_string()));
    }
    out.pairs(&pairs);
    for tank in &s.tanks {
        out.line(format!(
            "  tank {}: monitor {:.0} lb wet, {:.2} ac",
            tank.tank, tank.monitor_wet_lb, tank.area_ac
        ));
    }
    for log in &answer.logs {
        out.line(format!(
            "  log {} of {}: {} records, mass from {}",
            log.log, log.task, log.records, log.mass_from
        ));
    }
    for said in answer.assumed.iter().chain(&answer.told) {
        out.line(said);
    }
    for finding in &answer.shown_findings {
        let row = finding
            .row
            .map_or_else(String::new, |row| format!("row {row}: "));
        out.line(format!("{row}{}", finding.what));
    }
}

/// The demo, told in order.
pub(crate) fn demo(demo: &Demo, out: &mut Out) {
    out.line(format!(
        "The demo farm, seed {}: {} entries in {}",
        demo.seed, demo.entries, demo.book
    ));
    out.line("Everything on it is invented. First the account as it was typed.");
    out.line("");
    squaring(&demo.before, false, out);
    out.line("");
    out.line(format!("Each suspect looked up on its paper: {} of the 8 planted mistakes named, {} corrections entered.", demo.named, demo.mended.len()));
    for one in &demo.mended {
        out.line(format!("  {}: {}", one.slip, one.what));
    }
    for open in &demo.open {
        out.line(format!("  open question: {open}"));
    }
    out.line("");
    out.line("Squared again:");
    out.line(&demo.after.sentence);
    out.line("");
    night(&demo.night, out);
    out.line("");
    out.line(format!(
        "The sheet to print is {}; the book is {}.",
        demo.page, demo.book
    ));
}
