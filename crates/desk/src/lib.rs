//! The use-cases that every face calls: read the book, call the arithmetic, return a plain result
//! that a page, a sheet or `--json` shows.
//!
//! - [`written`]: what can be written down, one definition of every figure of every kind of entry;
//! - [`write()`], [`mend`], [`strike`], [`show`]: entries in and their history out;
//! - [`Farm`] and [`season()`]: the book as it stands, and one season of it as the account takes it;
//! - [`square()`]: does the account balance, and which slip looks wrong;
//! - [`audit`]: each ticket against its buyer's schedule;
//! - [`night`]: the day sheet and the evening's page; [`morning`], [`cab`], [`winter`]: the other pages of the day;
//! - [`sync`]: what phones wrote, taken in; [`setup`]: what a new book still lacks;
//! - [`passes`]: what a file of combine points adds up to; [`tanks()`]: its tanks as evidence;
//! - [`begin()`], [`write_all`], [`listing()`], [`outline`]: a new book, several entries at once, entries in pages, outlines;
//! - [`books`]: new, check, backup, merge, export, import;
//! - [`pictures`]: the same results drawn, through `draw`;
//! - [`dropped`]: a file dropped on a page, told by its content;
//! - [`speed`]: how fast to drive; [`wagons()`]: what is left in a field, and whether it fits the wagons;
//! - [`settings`]: what was set on the combine, and whether it helped; [`ready`]: what is due before the first pass;
//! - [`calc`]: arithmetic with no book;
//! - [`demo`]: the demo farm from first slip to squared account.
//!
//! The desk never prints and never asks the machine's clock: a [`Clock`] is lent to it.

pub mod audit;
mod begin;
mod bin_mass;
pub mod books;
pub mod cab;
pub mod calc;
pub mod count;
pub mod demo;
pub mod dropped;
mod entries;
mod error;
mod farm;
mod held;
mod listing;
mod many;
mod moment;
pub mod morning;
pub mod night;
pub mod outline;
pub mod passes;
mod pen;
pub mod pictures;
mod ranged;
pub mod reader;
pub mod ready;
mod season;
pub mod settings;
pub mod setup;
mod sheet;
mod source;
pub mod speed;
mod square;
pub mod stops;
pub mod sync;
mod tanks;
mod wagons;
mod why;
pub mod winter;
pub mod written;
pub mod yields;

pub use begin::{begin, zones};
pub use entries::{Shown, find, history, mend, read_new, show, strike, write, year_of};
pub use error::DeskError;
pub use farm::{Farm, Stands};
pub use held::{Held, MoveWhy, Share};
pub use listing::{Listing, Wanted, listing};
pub use many::{ToWrite, write_all};
pub use pen::{Clock, Pen, happened};
pub use ranged::Ranged;
pub use season::{Season, crop_id, season, standing_place};
pub use sheet::{SheetRead, read_sheet};
pub use square::{LEVEL, Squaring, SuspectSlip, square};
pub use tanks::{TanksRead, tanks};
pub use wagons::{WagonRoom, WagonsAnswer, WagonsAsked, show_grain, wagons};
pub use why::Why;

/// Reads a buyer's schedule, TOML or JSON, and checks it.
///
/// # Errors
/// A text that is neither, or a schedule that cannot be applied.
pub fn schedule_from(text: &str) -> Result<grain::Schedule, DeskError> {
    let json = text.trim_start().starts_with('{');
    let schedule: grain::Schedule = if json {
        serde_json::from_str(text).map_err(|why| DeskError::figure("schedule", why))?
    } else {
        toml::from_str(text).map_err(|why| {
            DeskError::figure("schedule", why.to_string().trim_end().replace('\n', " "))
        })?
    };
    schedule.check()?;
    Ok(schedule)
}
