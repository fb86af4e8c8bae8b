//! A setting's effect beside what else changed: feed rate, moisture.

use super::log_t::{Verdict, verdict};
use super::looks::level;
use super::turns::Setting;
use crate::MachineError;
use crate::error::above_zero;
use serde::{Deserialize, Serialize};
use stats::negbin;

/// One frame, the setting it was counted under, and what else was known of the moment.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Look {
    /// Which setting.
    pub setting: Setting,
    /// What was found.
    pub found: u32,
    /// Ground in the frame, square meters.
    pub frame_m2: f64,
    /// Feed rate in any unit, or the speed where crop and cut are the same throughout.
    pub feed: f64,
    /// Moisture of the grain, points; all frames or none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moisture_pct: Option<f64>,
}

/// What a regression on setting, feed rate and moisture says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "answer", rename_all = "snake_case")]
pub enum Adjusted {
    /// It can be told.
    Told {
        /// The verdict on the setting at equal feed and moisture; its ratio is B / A.
        verdict: Verdict,
        /// Exponent of the feed rate: loss goes as feed to this power.
        feed_exponent: f64,
        /// Change of log loss by a point of moisture.
        per_point: Option<f64>,
        /// Dispersion; 0 where the counts scatter no more than chance.
        alpha: f64,
    },
    /// It cannot, and why: a sentence.
    Cannot {
        /// Why, and what would help.
        why: String,
    },
}

/// Fewest frames for such a regression.
const FEWEST: usize = 8;

/// The setting's effect at equal feed rate and moisture: log mean = a + setting + b log feed
/// (+ c moisture) + log area, counts negative binomial, t on the degrees of freedom left.
///
/// Only with eight frames or more, feed varying inside each setting, and the two settings' feeds
/// overlapping: else setting and feed are one thing and no regression tells them apart. Taking the
/// settings in turn ([`super::alternation`]) is better by design.
///
/// Limitations: likelihood from few counts understates their scatter, so a bare "real" here wants a
/// second look; the standard error is widened by the Pearson scatter left where that is above 1.
///
/// # Errors
/// A feed or frame that is not above zero; looks out of range.
pub fn adjusted(frames: &[Look], looks: usize) -> Result<Adjusted, MachineError> {
    let level = level(looks)?;
    for frame in frames {
        above_zero("feed rate", frame.feed, "")?;
        above_zero("frame", frame.frame_m2, "m2")?;
    }
    let cannot = |why: &str| {
        Ok(Adjusted::Cannot {
            why: why.to_owned(),
        })
    };
    let side = |which: Setting| -> Vec<f64> {
        frames
            .iter()
            .filter(|frame| frame.setting == which)
            .map(|frame| frame.feed.ln())
            .collect()
    };
    let (a, b) = (side(Setting::A), side(Setting::B));
    if frames.len() < FEWEST || a.len() < 3 || b.len() < 3 {
        return cannot(
            "fewer than eight frames, or fewer than three at one setting: feed rate and setting cannot be told apart; count more, in turn A B B A",
        );
    }
    let ends = |logs: &[f64]| {
        logs.iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                (low.min(*x), high.max(*x))
            })
    };
    let ((low_a, high_a), (low_b, high_b)) = (ends(&a), ends(&b));
    // a twentieth in feed is less than a speed readout's own wobble
    if (high_a - low_a).min(high_b - low_b) < 0.05 {
        return cannot(
            "the feed rate hardly varied at one of the settings, so its effect cannot be taken out; count at two speeds under each setting",
        );
    }
    if low_a.max(low_b) >= high_a.min(high_b) {
        return cannot(
            "one setting was always fed faster than the other, so that the two cannot be told apart; count both at the same speeds",
        );
    }
    let moist: Vec<f64> = frames
        .iter()
        .filter_map(|frame| frame.moisture_pct)
        .collect();
    let with_moisture = moist.len() == frames.len() && {
        let (low, high) = ends(&moist);
        high - low > 0.2
    };
    let center = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let feed = center(&a.iter().chain(&b).copied().collect::<Vec<_>>());
    let wet = if with_moisture { center(&moist) } else { 0.0 };
    let rows: Vec<Vec<f64>> = frames
        .iter()
        .map(|frame| {
            let mut row = vec![
                1.0,
                f64::from(u8::from(frame.setting == Setting::B)),
                frame.feed.ln() - feed,
            ];
            if with_moisture {
                row.push(frame.moisture_pct.unwrap_or(wet) - wet);
            }
            row
        })
        .collect();
    let counts: Vec<u32> = frames.iter().map(|frame| frame.found).collect();
    let offset: Vec<f64> = frames.iter().map(|frame| frame.frame_m2.ln()).collect();
    let fit = match negbin::fit(&counts, &rows, &offset) {
        Ok(fit) => fit,
        Err(why) => return cannot(&why.to_string()),
    };
    let df = (frames.len() - rows[0].len()) as f64;
    let alpha = fit.alpha();
    let pearson: f64 = counts
        .iter()
        .zip(&fit.fitted)
        .map(|(y, mu)| (f64::from(*y) - mu).powi(2) / (mu + alpha * mu * mu))
        .sum::<f64>()
        / df;
    let se = fit.se(1) * pearson.max(1.0).sqrt();
    Ok(Adjusted::Told {
        verdict: verdict(
            (fit.coefficients[1], se, df),
            false,
            (looks, level),
            (a.len(), b.len()),
            Some(fit.coefficients[1].exp()),
        ),
        feed_exponent: fit.coefficients[2],
        per_point: with_moisture.then(|| fit.coefficients[3]),
        alpha,
    })
}

#[cfg(test)]
mod tests {
    use super::super::Says;
    use super::*;

    fn looks(b_factor: f64, feeds: [f64; 10]) -> Vec<Look> {
        feeds
            .iter()
            .enumerate()
            .map(|(at, feed)| {
                let setting = if at % 2 == 0 { Setting::A } else { Setting::B };
                let factor = if setting == Setting::B { b_factor } else { 1.0 };
                Look {
                    setting,
                    found: (20.0 * factor * (feed / 8.0_f64).powf(2.0)).round() as u32,
                    frame_m2: 0.1,
                    feed: *feed,
                    moisture_pct: None,
                }
            })
            .collect()
    }

    const FEEDS: [f64; 10] = [6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0, 9.5, 10.0, 10.5];

    /// Counts made of a square law of feed and a setting that halves the loss, rounded to whole seeds.
    #[test]
    fn feed_is_taken_out() {
        let Adjusted::Told {
            verdict,
            feed_exponent,
            alpha,
            ..
        } = adjusted(&looks(0.5, FEEDS), 1).unwrap()
        else {
            panic!("it can be told");
        };
        assert!((feed_exponent - 2.0).abs() < 0.1, "{feed_exponent}");
        assert!((verdict.ratio.unwrap() - 0.5).abs() < 0.02);
        assert_eq!((verdict.says, alpha), (Says::Better, 0.0));
    }

    #[test]
    fn what_cannot_be_told_apart_is_said() {
        let few = &looks(0.5, FEEDS)[..6];
        let why = |frames: &[Look]| match adjusted(frames, 1).unwrap() {
            Adjusted::Cannot { why } => why,
            Adjusted::Told { .. } => panic!("it cannot be told"),
        };
        assert!(why(few).contains("eight"));
        let apart = looks(0.5, [5.0, 9.0, 5.5, 9.5, 6.0, 10.0, 6.5, 10.5, 7.0, 11.0]);
        assert!(why(&apart).contains("same speeds"));
        let flat = looks(0.5, [8.0; 10]);
        assert!(why(&flat).contains("two speeds"));
        let mut bad = looks(0.5, FEEDS);
        bad[0].feed = 0.0;
        assert!(adjusted(&bad, 1).is_err());
    }
}
