//! Commands as people type them, through the real binary.

mod bench;
mod cautions;
mod counts;
mod farm;
mod layers;
mod ready;
mod refused;
mod speed;
mod stops;
mod taskdata;
mod wagons;
mod work;
mod yields;
