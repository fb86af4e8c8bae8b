//! A ticket from the scale to the payment, step by step.

use crate::Width;
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
    let desc = words(settlement, |step| {
        format!("{} {} leaves {}", step.label, step.change, step.left)
    });
    let mut svg = Svg::new(WIDE, 0.0, &settlement.finding, &desc);
    let top = svg.heading(&settlement.finding, &settlement.head) + 4.0;
    rows(&mut svg, settlement, top, &PAGE);
    svg.finish()
}

/// The same for a page that allows no style of its own; on a phone each change stands below its
/// name.
pub fn settlement_steps_page(settlement: &SettlementSteps, width: Width) -> String {
    let layout = match width {
        Width::Phone => PHONE,
        Width::Page => PAGE,
    };
    // no word of this room's own, for the page may be in another language
    let desc = words(settlement, |step| {
        format!("{}: {}, {}", step.label, step.change, step.left)
    });
    let mut svg = Svg::new(layout.wide, 0.0, &settlement.finding, &desc);
    rows(&mut svg, settlement, 4.0, &layout);
    svg.finish_page(width)
}

fn words(settlement: &SettlementSteps, one: impl Fn(&Step) -> String) -> String {
    let words: Vec<String> = settlement.steps.iter().map(one).collect();
    words.join("; ")
}

/// Where the parts of a line stand.
struct Layout {
    wide: f64,
    /// Right end of the change, and how far below the label.
    change: (f64, f64),
    label: usize,
    rule: usize,
}

const PAGE: Layout = Layout {
    wide: WIDE,
    change: (470.0, 0.0),
    label: 48,
    rule: 100,
};
const PHONE: Layout = Layout {
    wide: 340.0,
    change: (200.0, 20.0),
    label: 40,
    rule: 44,
};

fn rows(svg: &mut Svg, settlement: &SettlementSteps, top: f64, layout: &Layout) {
    let right = layout.wide - 8.0;
    let below = layout.change.1;
    let mut y = top;
    svg.line((8.0, y), (right, y), "stroke:var(--ink);stroke-width:2");
    for (at, step) in settlement.steps.iter().enumerate() {
        let rule = wrap(&step.rule, layout.rule);
        let weight = if step.total { 650 } else { 400 };
        let style = format!("fill:var(--ink);font-size:14px;font-weight:{weight}");
        let label = short(&step.label, layout.label);
        svg.text((8.0, y + 22.0), Anchor::Start, &style, &label);
        let change = (layout.change.0, y + 22.0 + below);
        svg.text(change, Anchor::End, &style, &step.change);
        svg.text((right, y + 22.0 + below), Anchor::End, &style, &step.left);
        for (index, line) in rule.iter().enumerate() {
            svg.text(
                (8.0, y + below + 38.0 + 16.0 * index as f64),
                Anchor::Start,
                "fill:var(--soft);font-size:13px",
                line,
            );
        }
        y += 30.0 + below + 16.0 * rule.len() as f64;
        // a total stands between a rule and a double rule, as in account books
        let next_is_total = settlement.steps.get(at + 1).is_some_and(|next| next.total);
        let ink = if step.total || next_is_total {
            "ink"
        } else {
            "hair"
        };
        let style = format!("stroke:var(--{ink});stroke-width:1");
        svg.line((8.0, y), (right, y), &style);
        if step.total {
            svg.line((8.0, y + 3.0), (right, y + 3.0), &style);
        }
    }
    svg.set_high(y + 12.0);
}
