//! A ticket from the scale to the payment, step by step.

use crate::svg::{Anchor, Svg};

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
        .map(|step| wrap(&step.rule, 92))
        .collect();
    let high = 78.0
        + rows
            .iter()
            .map(|lines| 30.0 + 16.0 * lines.len() as f64)
            .sum::<f64>()
        + 16.0;
    let words: Vec<String> = settlement
        .steps
        .iter()
        .map(|s| format!("{} {} leaves {}", s.label, s.change, s.left))
        .collect();
    let mut svg = Svg::new(WIDE, high, &settlement.finding, &words.join("; "));
    svg.text(
        (8.0, 22.0),
        Anchor::Start,
        "fill:var(--ink);font-size:15px;font-weight:650",
        &settlement.finding,
    );
    svg.text(
        (8.0, 46.0),
        Anchor::Start,
        "fill:var(--soft);font-size:13px",
        &settlement.head,
    );
    svg.line(
        (8.0, 58.0),
        (WIDE - 8.0, 58.0),
        "stroke:var(--ink);stroke-width:2",
    );
    let mut y = 58.0;
    for (step, rule) in settlement.steps.iter().zip(rows) {
        if step.total {
            svg.line(
                (8.0, y + 3.0),
                (WIDE - 8.0, y + 3.0),
                "stroke:var(--ink);stroke-width:1",
            );
        }
        let weight = if step.total { 650 } else { 400 };
        let style = format!("fill:var(--ink);font-size:14px;font-weight:{weight}");
        svg.text((8.0, y + 22.0), Anchor::Start, &style, &step.label);
        svg.text((470.0, y + 22.0), Anchor::End, &style, &step.change);
        svg.text((WIDE - 8.0, y + 22.0), Anchor::End, &style, &step.left);
        for (index, line) in rule.iter().enumerate() {
            svg.text(
                (8.0, y + 38.0 + 16.0 * index as f64),
                Anchor::Start,
                "fill:var(--soft);font-size:12.5px",
                line,
            );
        }
        y += 30.0 + 16.0 * rule.len() as f64;
        svg.line(
            (8.0, y),
            (WIDE - 8.0, y),
            "stroke:var(--hair);stroke-width:1",
        );
    }
    svg.finish()
}

/// Breaks a rule at blanks into lines of at most so many characters.
fn wrap(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let line = lines.last_mut().expect("never empty");
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > most {
            lines.push(word.to_owned());
        } else {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines.retain(|line| !line.is_empty());
    lines
}
