//! The verdict: is it real?

use super::looks::level;
use crate::MachineError;
use crate::loss::{Class, Counts, Estimate, Prior, Relative, Summary, partition};
use numeric::distribution::t_cdf;
use serde::{Deserialize, Serialize};

/// What the counts say of a change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Says {
    /// Fewer than three frames on one side: no probability is given, luck alone can do anything.
    TooFew,
    /// Less is lost now, and luck would seldom do that.
    Better,
    /// More is lost now, and luck would seldom do that.
    Worse,
    /// Luck could have done it.
    NotSettled,
}

/// A verdict on a change, at one look.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Verdict {
    /// What the counts say.
    pub says: Says,
    /// Which look at this change it is, from 1.
    pub looks: usize,
    /// What p must fall below at this look for 10 false claims in 100 over all looks.
    pub level: f64,
    /// Frames before and after; of the rarer side where several classes are compared.
    pub frames: (usize, usize),
    /// Loss after / loss before; `None` where differences of classes are compared, whose ratio
    /// has no meaning near nothing.
    pub ratio: Option<f64>,
    /// Student's t, above 0 where more is lost now; `None` with too few frames.
    pub t: Option<f64>,
    /// Degrees of freedom.
    pub df: Option<f64>,
    /// The chance that luck alone makes at least so great a difference, either way.
    pub p: Option<f64>,
    /// The probability that less is lost now.
    pub better: Option<f64>,
    /// Standard error of the log of the ratio, or of the difference a square meter.
    pub se: Option<f64>,
}

/// Everything counted on one side of a change, for [`judge_machine`].
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// Frames behind the head and behind the machine, at least.
    pub counts: &'a Counts,
    /// Width of cut / width of what the tail laid down.
    pub concentration: f64,
}

/// Whether one class of frames changed: two-sided t on log(found + 1/2) with pooled variance,
/// n1 + n2 - 2 degrees of freedom; P(better) = t-cdf(-t).
///
/// ```
/// use machine::change::{judge, Says};
/// use machine::loss::Class;
/// let before = Class::new(0.1, vec![31.0, 22.0, 48.0, 17.0, 27.0])?;
/// let after = Class::new(0.1, vec![14.0, 19.0, 9.0, 22.0, 12.0])?;
/// let first = judge(&before, &after, 1)?;
/// assert!((first.ratio.unwrap() - 0.539415).abs() < 1e-6);
/// assert!((first.better.unwrap() - 0.986046).abs() < 1e-6);
/// assert_eq!(first.says, Says::Better);
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// Frames of two sizes (compare such by [`saved`](super::saved) alone), no look, more looks than there are levels for.
pub fn judge(before: &Class, after: &Class, looks: usize) -> Result<Verdict, MachineError> {
    if (before.frame_m2 - after.frame_m2).abs() > 1e-6 * before.frame_m2 {
        return Err(MachineError::Refused(
            "the frames before and after are of two sizes; count both with the same frame"
                .to_owned(),
        ));
    }
    let level = level(looks)?;
    let (a, b) = (logs(before), logs(after));
    let (n1, n2) = (a.len() as f64, b.len() as f64);
    let mean = |logs: &[f64]| logs.iter().sum::<f64>() / logs.len() as f64;
    let (m1, m2) = (mean(&a), mean(&b));
    let squares = |logs: &[f64], mean: f64| logs.iter().map(|x| (x - mean).powi(2)).sum::<f64>();
    let df = n1 + n2 - 2.0;
    let se = ((squares(&a, m1) + squares(&b, m2)) / df * (1.0 / n1 + 1.0 / n2)).sqrt();
    let frames = (before.found.len(), after.found.len());
    let too_few = frames.0.min(frames.1) < Summary::FEWEST;
    Ok(verdict(
        (m2 - m1, se, df),
        too_few,
        (looks, level),
        frames,
        Some((m2 - m1).exp()),
    ))
}

fn logs(class: &Class) -> Vec<f64> {
    class.found.iter().map(|found| (found + 0.5).ln()).collect()
}

/// Whether the machine's own loss changed where the head's moved too (the head was touched, or its
/// counts drifted, or the tail was set otherwise): (B - H)/C after less before, Welch's t over all
/// four classes.
///
/// # Errors
/// A side without frames behind the head and behind the machine, and whatever [`judge`] refuses of looks.
pub fn judge_machine(
    before: Side<'_>,
    after: Side<'_>,
    prior: Prior,
    looks: usize,
) -> Result<Verdict, MachineError> {
    let level = level(looks)?;
    let machine = |side: Side<'_>| -> Result<Estimate, MachineError> {
        partition(
            side.counts,
            (side.concentration, Relative::NONE),
            prior,
            0.9,
        )?
        .machine
        .ok_or_else(|| {
            MachineError::Refused(
                "what the machine lost needs frames behind the head and behind the machine, before and after".to_owned(),
            )
        })
    };
    let (a, b) = (machine(before)?, machine(after)?);
    let fewest = |side: Side<'_>| {
        [&side.counts.behind_head, &side.counts.behind_machine]
            .into_iter()
            .flatten()
            .map(|class| class.found.len())
            .min()
            .unwrap_or(0)
    };
    let difference = Estimate::of_difference(
        b.value - a.value,
        a.share()
            .zip(b.share())
            .map(|(a, b)| [a, b])
            .as_ref()
            .map(|both| &both[..]),
        0.9,
    );
    let (se, df) = difference
        .doubt
        .map_or((0.0, 1.0), |doubt| (doubt.se, doubt.df));
    Ok(verdict(
        (difference.value, se, df),
        difference.doubt.is_none(),
        (looks, level),
        (fewest(before), fewest(after)),
        None,
    ))
}

pub(super) fn verdict(
    (difference, se, df): (f64, f64, f64),
    too_few: bool,
    (looks, level): (usize, f64),
    frames: (usize, usize),
    ratio: Option<f64>,
) -> Verdict {
    let mut out = Verdict {
        says: Says::TooFew,
        looks,
        level,
        frames,
        ratio,
        t: None,
        df: None,
        p: None,
        better: None,
        se: None,
    };
    if too_few {
        return out;
    }
    // the same number in every frame of both sides: no scatter, and no difference either
    let t = if se > 0.0 {
        difference / se
    } else if difference == 0.0 {
        0.0
    } else {
        difference.signum() * f64::MAX.sqrt()
    };
    let better = t_cdf(-t, df);
    let p = 2.0 * t_cdf(-t.abs(), df);
    out.says = match (p < level, t < 0.0) {
        (false, _) => Says::NotSettled,
        (true, true) => Says::Better,
        (true, false) => Says::Worse,
    };
    (out.t, out.df, out.p, out.better, out.se) =
        (Some(t), Some(df), Some(p), Some(better), Some(se));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn class(found: &[f64]) -> Class {
        Class::new(0.1, found.to_vec()).unwrap()
    }

    #[test]
    fn a_verdict_turns_with_its_sides() {
        let (a, b) = (class(&[31.0, 22.0, 48.0]), class(&[4.0, 9.0, 6.0]));
        let (there, back) = (judge(&a, &b, 1).unwrap(), judge(&b, &a, 1).unwrap());
        assert_eq!((there.says, back.says), (Says::Better, Says::Worse));
        assert!((there.ratio.unwrap() * back.ratio.unwrap() - 1.0).abs() < 1e-12);
        assert!((there.better.unwrap() + back.better.unwrap() - 1.0).abs() < 1e-12);
        assert!((there.p.unwrap() - back.p.unwrap()).abs() < 1e-15);
    }

    #[test]
    fn two_frames_prove_nothing() {
        let out = judge(&class(&[3.0, 3.0]), &class(&[0.0, 1.0, 0.0]), 1).unwrap();
        assert_eq!(out.says, Says::TooFew);
        assert_eq!((out.better, out.p), (None, None));
        assert!(out.ratio.is_some());
    }

    /// One p, between the thresholds of the first look and of the fifth.
    #[test]
    fn looks_tighten_the_threshold() {
        let before = class(&[31.0, 22.0, 48.0, 17.0, 27.0]);
        let after = class(&[14.0, 19.0, 9.0, 22.0, 12.0]);
        let first = judge(&before, &after, 1).unwrap();
        let fifth = judge(&before, &after, 5).unwrap();
        assert_eq!(first.p, fifth.p);
        assert!(
            first.p.unwrap() < 0.05 && first.p.unwrap() > 0.0114,
            "{first:?}"
        );
        assert_eq!((first.says, fifth.says), (Says::Better, Says::NotSettled));
        assert!(judge(&before, &after, 0).is_err());
    }

    #[test]
    fn alike_everywhere_is_no_change() {
        let out = judge(&class(&[4.0; 3]), &class(&[4.0; 3]), 1).unwrap();
        assert_eq!((out.says, out.better), (Says::NotSettled, Some(0.5)));
        let out = judge(&class(&[4.0; 3]), &class(&[3.0; 3]), 1).unwrap();
        assert_eq!(out.says, Says::Better);
    }

    /// The head lost ten more a frame; what the machine lost is as it was.
    #[test]
    fn four_classes_take_the_head_out() {
        let side = |h: &[f64], b: &[f64]| Counts {
            standing: None,
            behind_head: Some(class(h)),
            behind_machine: Some(class(b)),
        };
        let before = side(&[10.0, 12.0, 9.0, 11.0], &[30.0, 26.0, 34.0, 28.0]);
        let after = side(&[20.0, 22.0, 19.0, 21.0], &[40.0, 36.0, 44.0, 38.0]);
        let of = |counts| Side {
            counts,
            concentration: 6.0,
        };
        let out = judge_machine(of(&before), of(&after), Prior::default(), 1).unwrap();
        assert_eq!(out.says, Says::NotSettled);
        assert!((out.better.unwrap() - 0.5).abs() < 1e-12);
        let naive = judge(
            before.behind_machine.as_ref().unwrap(),
            after.behind_machine.as_ref().unwrap(),
            1,
        )
        .unwrap();
        assert_eq!(naive.says, Says::Worse, "the machine alone would be blamed");
    }

    #[test]
    fn frames_of_two_sizes_are_not_compared() {
        let other = Class::new(0.2, vec![1.0, 2.0, 3.0]).unwrap();
        assert!(judge(&class(&[1.0, 2.0, 3.0]), &other, 1).is_err());
    }
}
