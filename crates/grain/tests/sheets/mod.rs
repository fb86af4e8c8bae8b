//! Invented schedules and loads that the settlement tests share.

use facts::Crop;
use grain::{Factor, Schedule, Settlement, Ticket};
use quantity::{Mass, Price};
use rust_decimal::Decimal;

/// A corn schedule with this much more; the figures are invented.
pub(crate) fn corn(more: &str) -> Schedule {
    toml::from_str(&format!(
        "name = 'invented'\nbuyer = 'river pit'\ncontract = 'cash'\ncrop = 'corn'\nbase_moisture_pct = 15\nunit_lb = 56\n{more}"
    ))
    .unwrap()
}

pub(crate) fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

pub(crate) fn load(lb: f64, factors: &[(&str, &str)]) -> Ticket {
    let ticket = Ticket::of_net(Crop::Corn, Mass::from_lb(lb).unwrap());
    factors.iter().fold(ticket, |ticket, (factor, value)| {
        ticket.with(Factor::from(*factor), d(value))
    })
}

#[expect(clippy::unnecessary_wraps, reason = "as settle takes it")]
pub(crate) fn at(price: &str) -> Option<Price> {
    Some(Price(d(price)))
}

/// Every kind of line at once; the figures are invented.
pub(crate) const FULL: &str = r#"
[[line]]
name = "foreign material over 1 %"
factor = "foreign_material"
when = "above"
from = 1
kind = "percent_of_gross_weight"
charge = "whole_excess"
[[line]]
name = "shrink"
factor = "moisture"
when = "above"
from = 15
kind = "percent_of_remaining_weight"
charge = { water_shrink = { handling_pct = 0.5 } }
[[line]]
name = "drying"
factor = "moisture"
when = "above"
from = 15
step = 0.5
excess = "step_up"
kind = "cents_per_gross_bushel"
charge = { per_step = 2.5 }
reject_past = 26
[[line]]
name = "storage"
factor = "storage_days"
when = "above"
step = 30
excess = "step_up"
kind = "cents_per_net_bushel"
charge = { per_step = 4 }
[[line]]
name = "musty"
factor = "musty"
when = "flagged"
kind = "cents_per_net_bushel"
charge = { flat = 10 }
[[line]]
factor = "live_insects"
when = "flagged"
kind = "flat_cents"
charge = "none"
reject_past = 0
[[assessment]]
name = "checkoff"
base = "net_value"
rate = 0.5
[[assessment]]
name = "state fund"
base = "per_net_bushel"
rate = 0.3
"#;

/// Every settlement is the sum of its lines.
pub(crate) fn sums_up(settled: &Settlement) {
    let units: Decimal = settled.lines.iter().map(|line| line.units).sum();
    assert!((settled.gross_units + units - settled.net_units).abs() <= d("0.005"));
    let Some(gross) = settled.gross_value else {
        return;
    };
    let taken: Decimal = settled.lines.iter().map(|line| line.money).sum();
    assert_eq!(
        Some((gross.decimal() + taken).normalize()),
        settled.net.map(|net| net.decimal().normalize())
    );
    assert_eq!(
        (settled.discounts + settled.assessments)
            .decimal()
            .normalize(),
        taken.normalize()
    );
}
