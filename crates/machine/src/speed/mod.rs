//! The speed of least cost per acre on fixed acres.
//!
//! Faster spreads the machine's hour over more acres and leaves more grain on each. On acres that will
//! all be cut, what counts is cost per hectare,
//!
//! J(v) = p \[h(v) + m(v)\] + (K + V) (1/(c v) + tau),
//!
//! with price p, head loss h, machine loss m, cost of an hour K, value of an hour finished sooner V,
//! hectares an hour c v, and tau hours a hectare of turning, unloading and waiting. The most money per
//! hour is another question, whose answer leaves grain standing in the straw ([`hour_limited`]).
//!
//! * [`Costs`], [`at()`]: the cost at one speed, part by part.
//! * [`best()`]: the speed of least cost, how flat it is, and which cap binds.
//! * [`pool()`]: the loss curve from frames at one or more speeds and what was believed beforehand.
//!
//! Limitations: a power of speed describes losses within a crop and a day (Nyborg 1967); far past the
//! fastest speed counted ([`CapKind::Counted`]) nothing should be advised.

mod best;
mod cost;
mod pool;

pub use best::{Band, Best, Cap, CapKind, HourLimited, Present, best, haul_cap, hour_limited};
pub use cost::{Cost, Costs, Curve, HeadLoss, MachineLoss, Time, at, closed_form};
pub use pool::{FramesAt, Pooled, Pooling, Prior, pool, second_speed};
