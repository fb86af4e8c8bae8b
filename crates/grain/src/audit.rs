//! A printed settlement beside the recomputed one, line by line.

use crate::{Factor, Settlement};
use quantity::Money;
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// What the buyer's sheet prints; what is not printed is left out and not compared.
///
/// Amounts taken are negative, as in [`Settlement`].
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Printed {
    /// Units as weighed.
    pub gross_units: Option<Decimal>,
    /// Units paid.
    pub net_units: Option<Decimal>,
    /// Value before discounts.
    pub gross_value: Option<Money>,
    /// What is paid.
    pub net: Option<Money>,
    /// Lines by the names that the schedule gives them.
    #[serde(rename = "line")]
    pub lines: Vec<PrintedLine>,
}

/// One printed line.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct PrintedLine {
    /// As the schedule calls it.
    pub name: String,
    /// Units taken (negative), if printed.
    pub units: Option<Decimal>,
    /// Money taken (negative), if printed.
    pub money: Option<Money>,
}

/// What an audit found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Audit {
    /// How many printed figures were compared.
    pub compared: usize,
    /// Those that differ, in the sheet's order.
    pub differences: Vec<Difference>,
    /// Printed lines that the schedule does not have.
    pub not_in_schedule: Vec<String>,
    /// Lines of the schedule that took something and are not printed.
    pub not_printed: Vec<String>,
    /// Printed net less recomputed net; negative: the sheet pays less than its schedule says.
    pub net_difference: Option<Money>,
}

/// One figure that differs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Difference {
    /// Which line, or which total.
    pub line: String,
    /// Units or money.
    pub figure: Figure,
    /// As printed.
    pub printed: Decimal,
    /// As recomputed.
    pub recomputed: Decimal,
    /// Printed less recomputed.
    pub difference: Decimal,
    /// The rule by which it was recomputed, in words.
    pub rule: String,
    /// The factor behind it, if any: what to read again on the ticket.
    pub factor: Option<Factor>,
}

/// What a figure counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Figure {
    /// Bushels or other pay units.
    Units,
    /// Money.
    Money,
}

/// Compares a printed settlement with the recomputed one. Differences are exact: a sheet that rounds
/// otherwise than its schedule says is shown to the last cent, and it is for the user to say whether
/// that is the schedule's rounding or the buyer's mistake.
///
/// ```
/// use grain::{Printed, PrintedLine, Ticket, audit, settle};
/// use quantity::{Mass, Money, Price};
/// let schedule: grain::Schedule = toml::from_str(r#"
///     name = "plain"
///     buyer = "river pit"
///     contract = "cash"
///     crop = "corn"
///     base_moisture_pct = 15
///     unit_lb = 56
///     [[line]]
///     name = "test weight"
///     factor = "test_weight"
///     when = "below"
///     from = 54
///     kind = "cents_per_net_bushel"
///     charge = { per_step = 2 }
/// "#)?;
/// let ticket = Ticket::of_net(facts::Crop::Corn, Mass::parse("56,000 lb")?)
///     .with(grain::Factor::TestWeight, "53".parse()?);
/// let settled = settle(&ticket, &schedule, Some(Price("4.00".parse()?)))?;
/// let printed = Printed {
///     net: Some(Money::parse("$3,960.00")?),
///     lines: vec![PrintedLine { name: "test weight".into(), money: Some(Money::parse("-$40.00")?), ..Default::default() }],
///     ..Default::default()
/// };
/// let found = audit(&settled, &printed);
/// assert_eq!(found.differences.len(), 2);
/// assert_eq!(found.net_difference, Some(Money::parse("-$20.00")?));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn audit(settled: &Settlement, printed: &Printed) -> Audit {
    let mut found = Audit {
        compared: 0,
        differences: Vec::new(),
        not_in_schedule: Vec::new(),
        not_printed: Vec::new(),
        net_difference: None,
    };
    let money = |amount: Option<Money>| amount.map(Money::decimal);
    let over_scale = "weight over the scale by the pounds a unit";
    let totals = [
        (
            "gross units",
            Figure::Units,
            printed.gross_units,
            Some(settled.gross_units),
            over_scale,
        ),
        (
            "net units",
            Figure::Units,
            printed.net_units,
            Some(settled.net_units),
            "gross units less the weight lines",
        ),
        (
            "gross value",
            Figure::Money,
            money(printed.gross_value),
            money(settled.gross_value),
            "net units times price",
        ),
        (
            "net",
            Figure::Money,
            money(printed.net),
            money(settled.net),
            "gross value less the money lines and assessments",
        ),
    ];
    // a name may stand on several lines of a schedule (one for each tier); they are compared as one
    let mut names: Vec<&str> = Vec::new();
    for line in &printed.lines {
        if names.contains(&line.name.as_str()) {
            continue;
        }
        names.push(&line.name);
        let ours: Vec<_> = settled
            .lines
            .iter()
            .filter(|ours| ours.name == line.name)
            .collect();
        if ours.is_empty() {
            found.not_in_schedule.push(line.name.clone());
            continue;
        }
        let theirs = || printed.lines.iter().filter(|other| other.name == line.name);
        let rule: Vec<&str> = ours.iter().map(|line| line.rule.as_str()).collect();
        let rule = rule.join("; then ");
        let factor = ours[0].factor.clone();
        let units: Option<Decimal> = theirs()
            .filter_map(|line| line.units)
            .reduce(Decimal::saturating_add);
        let amount: Option<Decimal> = theirs()
            .filter_map(|line| money(line.money))
            .reduce(Decimal::saturating_add);
        let add = Decimal::saturating_add;
        let our_units = ours.iter().map(|line| line.units).reduce(add);
        let our_money = ours.iter().map(|line| line.money).reduce(add);
        found.compare(
            &line.name,
            Figure::Units,
            units,
            our_units,
            &rule,
            factor.clone(),
        );
        found.compare(&line.name, Figure::Money, amount, our_money, &rule, factor);
    }
    for (line, figure, theirs, ours, rule) in totals {
        found.compare(line, figure, theirs, ours, rule, None);
    }
    for line in &settled.lines {
        let takes = !line.units.is_zero() || !line.money.is_zero();
        let printed = names.contains(&line.name.as_str()) || found.not_printed.contains(&line.name);
        if takes && !printed {
            found.not_printed.push(line.name.clone());
        }
    }
    if let (Some(theirs), Some(ours)) = (printed.net, settled.net) {
        found.net_difference = Some(theirs - ours);
    }
    found
}

impl Audit {
    /// Whether every figure compared agrees and no line is on one side only.
    pub fn agrees(&self) -> bool {
        self.differences.is_empty()
            && self.not_in_schedule.is_empty()
            && self.not_printed.is_empty()
    }

    fn compare(
        &mut self,
        line: &str,
        figure: Figure,
        printed: Option<Decimal>,
        recomputed: Option<Decimal>,
        rule: &str,
        factor: Option<Factor>,
    ) {
        let (Some(printed), Some(recomputed)) = (printed, recomputed) else {
            return;
        };
        self.compared += 1;
        if printed != recomputed {
            self.differences.push(Difference {
                line: line.to_owned(),
                figure,
                printed,
                recomputed,
                difference: printed.saturating_sub(recomputed),
                rule: rule.to_owned(),
                factor,
            });
        }
    }
}
