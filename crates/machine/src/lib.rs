//! What a combine leaves behind, how fast to drive it, what a stop and an hour of it cost.
//!
//! * [`frame`]: frames and row lengths, seeds to bushels, what the tail does to a count.
//! * [`loss`]: standing, head and machine loss with their doubt, and how many more frames would settle it.
//! * [`change`]: whether a change of the machine's setting was real, however often somebody looks.
//! * [`speed`]: the speed of least cost per acre, how flat that is, and which cap binds.
//! * [`capacity`]: acres and bushels an hour, when a wagon is full, whether the rest fits.
//! * [`stops`]: how often and how long it stands, what that costs, which spares pay.
//! * [`cost`]: repair, fuel, depreciation; [`tires`]: pressures that neither tire nor rim forbids.
//!
//! Pure arithmetic over plain values: no book, no clock, no file.

pub mod capacity;
pub mod change;
pub mod cost;
mod error;
pub mod frame;
pub mod loss;
pub mod speed;
pub mod stops;
pub mod tires;

pub use error::MachineError;
