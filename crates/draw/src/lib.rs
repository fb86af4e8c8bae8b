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
//!
//! Pieces for pages that allow no style of their own take their colors from the classes of [`PAGE_CSS`],
//! and their words, translated, from the caller:
//!
//! - [`hours`]: the hour ruler, forecast and past;
//! - [`account`], [`swatch`]: the account's bars, and samples of textures for its table;
//! - [`whisker`], [`tally`], [`call_at`], [`wagon`], [`waiting`]: small ones that stand in a row;
//! - [`field_map`], [`ramp`]: a field's map and how sure it is;
//! - [`days`]: samples over days;
//! - [`speed_cost`]: what an acre costs at each speed;
//! - [`load_pad`]: a leaf of load cards;
//! - [`chart`]: one figure over another, with its doubt; [`panels`]: small maps, one a cause;
//! - [`evidence`]: a field's map with all it rests on, as one page.

mod account;
mod bars;
mod causes;
mod chart;
mod days;
mod evidence;
mod field_map;
mod hours;
mod load_pad;
mod look;
mod panels;
mod paper;
mod plan;
mod ramp;
mod sheet;
mod speed_cost;
mod steps;
mod strip;
mod svg;
mod tests_of_slips;
mod texture;
mod wagon;
mod whisker;
mod width;

/// The style of pictures inside pages: classes under `.draw`, colored by the custom properties of
/// the page (`--paper`, `--ink`, `--soft`, `--rule`, `--hair`, `--pencil`), with what differs in the sun.
pub const PAGE_CSS: &str = include_str!("page.css");

pub use account::{Account, account};

pub use bars::{AccountBars, BarPart, Texture, account_bars};
pub use causes::{CauseBar, causes};
pub use chart::{Chart, ChartLine, ChartMark, chart};
pub use days::{DaySample, Days, days};
pub use evidence::{Evidence, EvidencePart, evidence};
pub use field_map::{FieldMap, FieldMaps, MapCell, field_map, field_map_alone};
pub use hours::{
    DAY, HourFigures, HourMark, HourRow, HourSpan, HourState, HourTick, Hours, RowFigure, hours,
};
pub use load_pad::{LoadPad, PadBlank, PadColumn, load_pad};
pub use look::{DARK, LIGHT, SUN, Theme, contrast};
pub use panels::{Panel, Panels, panels};
pub use paper::paper_slip;
pub use plan::{PlanPoint, PlanWords, PointsPlan, points_plan, points_plan_page};
pub use ramp::{RAMP, ramp, ramp_bytes};
pub use sheet::{DaySheet, SheetSuspect, SheetTable, day_sheet};
pub use speed_cost::{SpeedCost, SpeedCostWords, SpeedPoint, speed_cost};
pub use steps::{SettlementSteps, Step, settlement_steps, settlement_steps_page};
pub use svg::escape;
pub use tests_of_slips::{SlipMark, SlipTestWords, SlipTests, slip_tests, slip_tests_page};
pub use texture::{bracket_swatch, state_swatch, swatch};
pub use wagon::{Wagon, wagon, waiting};
pub use whisker::{CallAt, Whisker, call_at, tally, whisker};
pub use width::{Finding, Tick, Width, both};
