//! Acres and bushels an hour, when a wagon is full, whether the rest of a field fits.
//!
//! * [`ha_per_h`], [`efficiency`], [`standing_from_efficiency`]: what a width and a speed make.
//! * [`from_taps`]: field efficiency from starts and stops, with its standard error.
//! * [`Filling`]: when a wagon is full; [`Expected`], [`Rest`]: what is left in a field, and whether it fits where it is to go.

mod expected;
mod rate;
mod taps;
mod wagon;

pub use expected::{CameOff, Expected};
pub use rate::{
    cut_m_by_area, efficiency, ha_per_h, hours_left, speed_by_stakes, standing_from_efficiency,
    turning_h_per_ha, unloading_h_per_ha,
};
pub use taps::{Efficiency, Pass, from_taps};
pub use wagon::{Filling, Rest, Room, room_kg};
