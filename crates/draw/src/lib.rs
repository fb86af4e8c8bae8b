//! Charts and sheets from results, as deterministic SVG and print-ready HTML; one look for screen
//! and paper.
//!
//! Every picture states its finding in its title, carries a description for those who do not see
//! it, and tells states apart by shape, texture and word, never by color alone. Inputs are plain
//! structs of this room's own, with texts already formatted; nothing of grain is worked out here.
//!
//! - [`account_bars`]: what came off and where it went, at one scale, with the gap and its doubt;
//! - [`slip_tests`]: every slip's test against the line that alarms;
//! - [`points_plan`]: combine points of a field in plan;
//! - [`settlement_steps`]: a ticket from the scale to the payment;
//! - [`day_sheet`]: the day sheet as one page to print.

mod bars;
mod look;
mod plan;
mod sheet;
mod steps;
mod svg;
mod tests_of_slips;

pub use bars::{AccountBars, BarPart, Texture, account_bars};
pub use look::{DARK, LIGHT, SUN, Theme, contrast};
pub use plan::{PlanPoint, PointsPlan, points_plan};
pub use sheet::{DaySheet, SheetSuspect, SheetTable, day_sheet};
pub use steps::{SettlementSteps, Step, settlement_steps};
pub use svg::escape;
pub use tests_of_slips::{SlipMark, SlipTests, slip_tests};
