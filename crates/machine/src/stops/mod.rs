//! How often and how long the machine stands, what that costs, which spares pay.
//!
//! * [`usual_rate`]: the published reliability as a prior; the farm's own stops are added with
//!   [`stats::rates::Rate::seen`].
//! * [`repair`]: how long a breakdown lasts.
//! * [`lost`]: hours that the acres left will still cost, as a distribution.
//! * [`spares`]: what a part on the shelf is worth.
//! * [`causes`]: stops by cause, longest first.
//!
//! Alternating renewal: the machine runs an exposure (acres cut or engine hours, never both in one
//! sum, and never the time it stood), breaks, is mended in clock hours, runs on. Only breakdowns
//! have a rate; wagons, plugs, weather and grease are told apart and listed.
//!
//! Limitations: published reliability is from memory and old; where no stop has been written the
//! rate is the prior's, never zero.

pub mod causes;
pub mod lost;
pub mod repair;
pub mod spares;

use crate::MachineError;
use crate::error::above_zero;
use facts::Crop;
use stats::rates::Rate;

/// Acres of 40 ha, on which reliability was published: the standard's own "100 acres".
const PUBLISHED_AC: f64 = 100.0;

fn fact(id: &str) -> f64 {
    facts::machinery(id).map_or(f64::NAN, |fact| fact.value)
}

/// Breakdowns an acre before the farm has written any: `-ln(1 - p) / 100 ac`, worth 1.5 stops.
///
/// Corn has its own figure, every other crop takes that of soybeans. Tag: from memory.
///
/// ```
/// let usual = machine::stops::usual_rate(facts::Crop::Soybean).unwrap();
/// assert!((100.0 * usual.mean() - 0.451).abs() < 5e-4);
/// ```
///
/// # Errors
/// [`MachineError`] if the embedded facts are not above zero, which a test excludes.
pub fn usual_rate(crop: Crop) -> Result<Rate, MachineError> {
    let published = fact(if crop == Crop::Corn {
        "breakdown_corn"
    } else {
        "breakdown_soybean"
    });
    let per_acre =
        above_zero("usual breakdowns", -(-published).ln_1p(), "on 100 ac")? / PUBLISHED_AC;
    let events = above_zero(
        "stops the prior is worth",
        fact("breakdown_prior_events"),
        "",
    )?;
    Rate::new(events, events / per_acre).ok_or_else(|| {
        MachineError::Refused("the usual rate of breakdowns is not above 0".to_owned())
    })
}

/// Share of the time that the machine can work: `U / (U + D)`, hours run and hours stood.
///
/// None where neither ran, or either is below zero.
///
/// ```
/// assert_eq!(machine::stops::availability(90.0, 10.0), Some(0.9));
/// assert_eq!(machine::stops::availability(0.0, 0.0), None);
/// ```
pub fn availability(ran_h: f64, stood_h: f64) -> Option<f64> {
    let all = ran_h + stood_h;
    (ran_h >= 0.0 && stood_h >= 0.0 && all > 0.0 && all.is_finite()).then(|| ran_h / all)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published worked figures: on 250 acres (100 ha) of corn .975 stops, of soybeans 1.127.
    #[test]
    fn published_reliability_gives_the_printed_stops() {
        for (crop, stops, none) in [(Crop::Corn, 0.975, 0.3771), (Crop::Soybean, 1.127, 0.3239)] {
            let expected = 250.0 * usual_rate(crop).unwrap().mean();
            assert!((expected - stops).abs() < 0.002, "{crop} {expected}");
            assert!(((-expected).exp() - none).abs() < 0.001);
        }
    }

    /// 1.5 stops at .451 on 100 acres are worth 332.6 acres.
    #[test]
    fn prior_is_worth_so_many_acres() {
        let usual = usual_rate(Crop::Soybean).unwrap();
        assert!(
            (usual.exposure - 332.604_8).abs() < 0.1,
            "{}",
            usual.exposure
        );
    }
}
