//! Published constants and tables, each with its unit, range, source and how it was come by.
//!
//! Every number of the trade that the program uses and nobody on the farm typed lives in
//! `data/*.toml` beside this crate, as an entry with a `source` and a [`Provenance`] tag. A number
//! from memory says so wherever it is shown ([`Provenance::caution`]), so that a weak one can never
//! quietly become a truth.
//!
//! ```
//! use facts::Crop;
//! let weight = facts::legal_bushel(Crop::Corn).expect("corn has one");
//! assert_eq!(weight.value, 56.0);
//! assert_eq!(weight.unit, "lb/bu");
//! assert!(facts::legal_bushel(Crop::SunflowerOil).is_none(), "sunflower has no single bushel weight");
//! ```
//!
//! What a buyer pays on (base moisture, discounts, prices) is never here: that is the buyer's
//! schedule, which the user enters. [`customary_bases`] only lists what buyers are known to use.

mod caution;
mod crop;
mod error;
mod fact;
mod grades;
mod machinery;
mod ready;
mod seeds;
mod storage;
mod trade;
mod tries;

pub use caution::{Act, Caution, caution, caution_in_spanish};
pub use crop::{Crop, customary_bases, dockage_source, insurance_rule, legal_bushel, uses_dockage};
pub use crop::{CustomaryBase, InsuranceRule};
pub use error::FactsError;
pub use fact::{Fact, Provenance};
pub use grades::{GradeLimits, GradeTable, LimitSide, SampleReason, grade_table, sample_reasons};
pub use machinery::{all_machinery, machinery};
pub use ready::{StarterLine, starter_lines};
pub use seeds::{counting, counting_facts, ears, seeds_per_ft2_rule, thousand_seeds_g};
pub use storage::{peak_share, repose};
pub use trade::{constant, constants, ft3_per_bu};
pub use tries::{LostAt, MANUAL_FIRST, Sign, Try, crop_group, tries, tries_at, try_in_spanish};
