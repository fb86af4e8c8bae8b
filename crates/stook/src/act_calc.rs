//! `stook calc ...`, and printing a settlement.

use crate::args::CalcTyped;
use crate::print::Out;
use anyhow::{Context, Result};
use desk::audit::Audited;
use desk::calc::{self, Answer};
use grain::{Outcome, SettleFinding, Settlement};
use quantity::Units;

/// Works it out; the exit code (1 when a buyer would refuse the load, or a network is not square).
pub(crate) fn calc(asked: &CalcTyped, out: &mut Out) -> Result<u8> {
    let answer = match asked {
        CalcTyped::Shrink(t) => calc::shrink(&calc::ShrinkAsked {
            from: t.from.clone(),
            to: t.to.clone(),
            weight: t.weight.clone(),
            crop: t.crop.clone(),
            flat: t.flat,
            handling: t.handling,
        })?,
        CalcTyped::Giveaway(t) => calc::give_away(&calc::GiveAwayAsked {
            moisture: t.moisture.clone(),
            base: t.base.clone(),
            yield_at_base: t.yield_at_base.clone(),
            acres_are: t.acres_are.clone(),
            price: t.price.clone(),
            crop: t.crop.clone(),
        })?,
        CalcTyped::Bin(t) => calc::bin(&calc::BinAsked {
            across: t.across.clone(),
            length: t.length.clone(),
            width: t.width.clone(),
            depth: t.depth.clone(),
            peak: t.peak.clone(),
            hollow: t.hollow.clone(),
            hopper: t.hopper.clone(),
            crop: t.crop.clone(),
            test_weight: t.test_weight.clone(),
            packing: t.packing,
        })?,
        CalcTyped::Pile(t) => calc::pile(&calc::PileAsked {
            crop: t.crop.clone(),
            bushels: t.bushels,
            across: t.across.clone(),
            height: t.height.clone(),
        })?,
        CalcTyped::Cost(t) => crate::act_ready::cost(t)?,
        CalcTyped::Tires(t) => crate::act_ready::tires(t)?,
        CalcTyped::Convert(t) => calc::convert(&t.what, &t.to, t.crop.as_deref())?,
        CalcTyped::Grade(t) => calc::grade(&t.crop, &t.factors)?,
        CalcTyped::Capacity(t) => calc::capacity(&t.asked())?,
        CalcTyped::Ticket(t) => {
            let text = std::fs::read_to_string(&t.schedule)
                .with_context(|| t.schedule.display().to_string())?;
            let settlement = calc::ticket(&calc::TicketAsked {
                schedule: text,
                gross: t.gross.clone(),
                tare: t.tare.clone(),
                net: t.net.clone(),
                moisture: t.moisture.clone(),
                test_weight: t.test_weight.clone(),
                factors: t.factors.clone(),
                price: t.price.clone(),
            })?;
            if out.json {
                out.json(&settlement)?;
            } else {
                print_settlement(&settlement, out);
            }
            return Ok(u8::from(settlement.outcome != Outcome::Settled));
        }
        CalcTyped::Network { file } => {
            let text = std::fs::read_to_string(file).with_context(|| file.display().to_string())?;
            let answer = calc::network(&text).with_context(|| file.display().to_string())?;
            if out.json {
                out.json(&answer)?;
            } else {
                print_network(&answer, out);
                out.whys(&answer.why);
            }
            return Ok(u8::from(!answer.square));
        }
    };
    if out.json {
        out.json(&answer)?;
    } else {
        print_answer(&answer, out);
    }
    Ok(0)
}

fn print_answer(answer: &Answer, out: &mut Out) {
    let metric = out.units == Units::Metric;
    let pairs: Vec<(String, String)> = answer
        .figures
        .iter()
        .filter(|figure| figure.key != "unit")
        .map(|figure| {
            let text = if metric { &figure.metric } else { &figure.us };
            (figure.label.clone(), text.clone())
        })
        .collect();
    out.pairs(&pairs);
    for note in &answer.notes {
        out.line(note);
    }
    out.cautions(&answer.cautions);
    out.whys(&answer.why);
}

/// A settlement, line by line, each with its rule.
pub(crate) fn print_settlement(settled: &Settlement, out: &mut Out) {
    let unit = settled.unit.word();
    let head = settled
        .ticket
        .as_ref()
        .map_or_else(String::new, |number| format!("ticket {number}, "));
    out.line(format!("{head}schedule '{}'", settled.schedule));
    if let Outcome::Rejected { reasons } = &settled.outcome {
        out.line(format!(
            "the buyer refuses this load: {}",
            reasons.join("; ")
        ));
    }
    if settled.outcome == Outcome::Incomplete {
        out.line("incomplete: some line could not be worked out, so this is not what the load pays; see the notes");
    }
    let mut rows = vec![vec![
        "as weighed".to_owned(),
        format!("{} {unit}", settled.gross_units),
        String::new(),
        format!(
            "{} lb over {} lb a {unit}",
            settled.wet_lb.normalize(),
            settled.unit_lb.normalize()
        ),
    ]];
    for line in &settled.lines {
        let units = if line.units.is_zero() {
            String::new()
        } else {
            format!("{} {unit}", line.units)
        };
        let money = if line.money.is_zero() {
            String::new()
        } else {
            format!("{}", line.money)
        };
        rows.push(vec![line.name.clone(), units, money, line.rule.clone()]);
    }
    rows.push(vec![
        "buyer's".to_owned(),
        format!("{} {unit}", settled.net_units),
        settled.net.map_or_else(String::new, quantity::Money::show),
        settled.price.map_or_else(
            || "no price yet".to_owned(),
            |price| format!("at ${} a {unit}", price.normalize()),
        ),
    ]);
    out.table(
        &["line", "bushels", "money", "rule"]
            .map(|head| if head == "bushels" { unit } else { head }),
        &[1, 2],
        &rows,
    );
    for finding in &settled.findings {
        out.line(format!("note: {}", finding_words(finding)));
    }
}

fn finding_words(finding: &SettleFinding) -> String {
    match finding {
        SettleFinding::NotOnTicket { line, factor } => {
            format!(
                "the schedule has a line '{line}' for {}, which is not on the ticket; nothing was assumed",
                factor.words()
            )
        }
        SettleFinding::NoLine { factor } => {
            format!("no line of the schedule uses {}", factor.words())
        }
        SettleFinding::PastTable { line, value, last } => {
            format!(
                "{value} is past the end of the table of '{line}' ({last}); that line was not computed: ask the buyer"
            )
        }
        SettleFinding::NetDiffers {
            gross_less_tare_lb,
            net_lb,
        } => {
            format!(
                "net {net_lb} lb is not gross less tare, {gross_less_tare_lb} lb; the net was used"
            )
        }
        SettleFinding::NoPrice { line } => format!("'{line}' needs a price"),
        SettleFinding::Averaged {
            factor,
            loads,
            own,
            used,
        } => {
            format!(
                "{}: {used}, the average of {loads} loads, was used instead of {own}",
                factor.words()
            )
        }
    }
}

/// One audited ticket.
pub(crate) fn print_audited(one: &Audited, out: &mut Out) {
    out.line(format!("{} at {}", one.ticket, one.buyer));
    print_settlement(&one.settlement, out);
    if let Some(counts) = &one.counts {
        out.line("the same load, counted each way:");
        let several = [
            Some(counts.as_weighed),
            counts.buyers,
            counts.insurance,
            Some(counts.dry),
        ];
        for bushels in several.into_iter().flatten() {
            out.line(format!("  {}", bushels.show(out.units)));
        }
    }
    for (person, money) in &one.split {
        out.line(format!("  {person}: {}", money.show()));
    }
    if let (Some(paid), Some(off)) = (one.paid, one.paid_less_recomputed) {
        out.line(format!(
            "paid {}, recomputed differs by {}",
            paid.show(),
            off.show()
        ));
    }
    out.line("");
}

fn print_network(answer: &calc::NetworkAnswer, out: &mut Out) {
    let word = if answer.square {
        "square"
    } else {
        "not square"
    };
    out.line(format!(
        "{word}: chi-square {:.4} on {}, critical |z| {:.4}",
        answer.chi_square, answer.dof, answer.critical_z
    ));
    let rows: Vec<Vec<String>> = answer
        .streams
        .iter()
        .map(|one| {
            vec![
                one.name.clone(),
                format!("{:.4}", one.squared),
                one.se.map_or_else(
                    || "nothing determines it".to_owned(),
                    |se| format!("{se:.4}"),
                ),
            ]
        })
        .collect();
    out.table(&["stream", "squared", "standard error"], &[1, 2], &rows);
    out.line("");
    let rows: Vec<Vec<String>> = answer
        .measurements
        .iter()
        .map(|one| {
            vec![
                one.name.clone(),
                format!("{}", one.value),
                format!("{:.4}", one.residual),
                one.z
                    .map_or_else(|| "nothing checks it".to_owned(), |z| format!("{z:.4}")),
            ]
        })
        .collect();
    out.table(
        &["measurement", "value", "residual", "z"],
        &[1, 2, 3],
        &rows,
    );
    for one in &answer.set_aside {
        let alike = if one.alike.is_empty() {
            String::new()
        } else {
            format!(" (no test tells it from {})", one.alike.join(", "))
        };
        out.line(format!("set aside: {} at z {:.4}{alike}", one.name, one.z));
    }
}
