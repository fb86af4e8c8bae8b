//! What the standing crop, the head and the machine each lost, in seeds a square meter.

use super::class::{Counts, Prior, Summary};
use super::estimate::{Estimate, Relative, Share};
use crate::MachineError;
use serde::{Deserialize, Serialize};

/// Loss split by who lost it, in what was counted a square meter (seeds or ears).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Partition {
    /// Width of cut / width of what the tail laid down.
    pub concentration: f64,
    /// Lost before the machine came.
    pub standing: Option<Estimate>,
    /// Lost by the head; with [`Partition::head_holds_standing`], by the head and before it.
    pub head: Option<Estimate>,
    /// Lost by the machine behind the head.
    pub machine: Option<Estimate>,
    /// Lost in the pass: head and machine, and what was lost before if nobody counted that apart.
    pub total: Option<Estimate>,
    /// Nobody counted in the standing crop: what lay there is counted with the head.
    pub head_holds_standing: bool,
    /// The classes, each with what it weighs in the total (in the head's loss, where there is no total).
    pub classes: Vec<Weighted>,
}

/// Where frames lay.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FrameAt {
    /// In the standing crop.
    Standing,
    /// Between head and tail.
    BehindHead,
    /// Behind the machine.
    BehindMachine,
}

/// A class and its weight in the total.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Weighted {
    /// Where its frames lay.
    pub at: FrameAt,
    /// The class in a few numbers.
    pub summary: Summary,
    /// Weight of its mean a square meter in the total.
    pub weight: f64,
}

impl Weighted {
    /// Variance that it adds to the total, a square meter.
    pub(super) fn variance(&self) -> f64 {
        (self.weight / self.summary.frame_m2).powi(2) * self.summary.variance_of_mean
    }
}

/// Splits counts into standing P, head H - P and machine (B - H) / C, with total
/// H (1 - 1/C) - P + B/C, for means a square meter and a concentration C (MU G1280; NDSU).
///
/// Every figure is a sum of class means with weights; variances add with the weights squared,
/// degrees of freedom by Welch and Satterthwaite. The doubt of C adds (machine loss x its CV)^2.
///
/// # Errors
/// No class at all; a concentration that is not above zero; frames behind a machine that laid a windrow without
/// frames behind the head, since what the machine lost cannot then be told.
pub fn partition(
    counts: &Counts,
    (concentration, doubt): (f64, Relative),
    prior: Prior,
    confidence: f64,
) -> Result<Partition, MachineError> {
    let c = crate::error::above_zero("concentration", concentration, "times")?;
    if !(confidence > 0.0 && confidence < 1.0) {
        return Err(MachineError::odd(
            "confidence",
            confidence,
            "a share between 0 and 1, such as 0.9",
        ));
    }
    let sum = |class: &Option<super::Class>| class.as_ref().map(|class| class.summary(prior));
    let (p, h, b) = (
        sum(&counts.standing),
        sum(&counts.behind_head),
        sum(&counts.behind_machine),
    );
    if p.is_none() && h.is_none() && b.is_none() {
        return Err(MachineError::Refused(
            "no frames; give what was found in each, behind the head at least".to_owned(),
        ));
    }
    if b.is_some() && h.is_none() && (c - 1.0).abs() > 1e-9 {
        return Err(MachineError::Refused(
            "frames behind the machine and none behind the head: the tail gathers what the machine lost and not what the head lost, so neither can be told; back up a machine length and count behind the head too".to_owned(),
        ));
    }
    let of = |terms: &[(f64, Option<Summary>)], machine: Option<f64>| -> Option<Estimate> {
        let mut value = 0.0;
        let mut shares = Vec::new();
        let mut enough = true;
        for (weight, summary) in terms {
            let summary = (*summary)?;
            let weight = weight / summary.frame_m2;
            value += weight * summary.mean;
            shares.push(Share {
                variance: weight * weight * summary.variance_of_mean,
                df: Some(summary.df),
            });
            enough &= summary.frames >= Summary::FEWEST;
        }
        if let Some(machine) = machine {
            shares.push(Share::relative(machine, doubt));
        }
        Some(Estimate::of_amount(
            value,
            enough.then_some(&shares[..]),
            confidence,
        ))
    };
    let mean = |summary: Option<Summary>| summary.map(|summary| summary.mean_per_m2());
    let machine_mean = mean(b).zip(mean(h)).map(|(b, h)| (b - h) / c);
    let (of_h, of_b) = match (h, b) {
        (Some(_), Some(_)) => (1.0 - 1.0 / c, 1.0 / c),
        (Some(_), None) => (1.0, 0.0),
        (None, _) => (0.0, 1.0),
    };
    let of_p = if h.is_some() || b.is_some() {
        -1.0
    } else {
        0.0
    };
    let named = [
        (FrameAt::Standing, p, of_p),
        (FrameAt::BehindHead, h, of_h),
        (FrameAt::BehindMachine, b, of_b),
    ];
    let weights: Vec<(f64, Option<Summary>)> = named
        .iter()
        .filter(|(_, summary, weight)| summary.is_some() && *weight != 0.0)
        .map(|(_, summary, weight)| (*weight, *summary))
        .collect();
    // without frames behind the machine there is no total, only the head
    let total = b.and_then(|_| of(&weights, machine_mean));
    let head = match p {
        Some(_) => of(&[(1.0, h), (-1.0, p)], None),
        None => of(&[(1.0, h)], None),
    };
    Ok(Partition {
        concentration: c,
        standing: of(&[(1.0, p)], None),
        head,
        machine: of(&[(1.0 / c, b), (-1.0 / c, h)], machine_mean),
        total,
        head_holds_standing: p.is_none(),
        classes: named
            .iter()
            .filter_map(|(at, summary, weight)| {
                summary.map(|summary| Weighted {
                    at: *at,
                    summary,
                    weight: *weight,
                })
            })
            .collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::Class;
    use super::*;
    use crate::frame::M2_PER_FT2;

    fn class(found: &[f64]) -> Class {
        Class::new(M2_PER_FT2, found.to_vec()).unwrap()
    }

    fn split(p: Option<Class>, h: Option<Class>, b: Option<Class>, c: f64) -> Partition {
        let counts = Counts {
            standing: p,
            behind_head: h,
            behind_machine: b,
        };
        partition(&counts, (c, Relative::NONE), Prior::default(), 0.9).unwrap()
    }

    /// 2 standing, 10 behind the head, 28 behind a machine that gathers six-fold: head 8, machine 3
    /// seeds a square foot.
    #[test]
    fn standing_head_and_machine_are_told_apart() {
        let out = split(
            Some(class(&[2.0; 4])),
            Some(class(&[10.0; 4])),
            Some(class(&[28.0; 4])),
            6.0,
        );
        let ft2 = |one: Option<Estimate>| one.unwrap().value * M2_PER_FT2;
        assert!((ft2(out.standing) - 2.0).abs() < 1e-12);
        assert!((ft2(out.head) - 8.0).abs() < 1e-12);
        assert!((ft2(out.machine) - 3.0).abs() < 1e-12);
        assert!((ft2(out.total) - 11.0).abs() < 1e-12);
        // a windrow makes the frames behind the head the ones that matter
        assert!((out.classes[1].weight - 5.0 / 6.0).abs() < 1e-12);
        assert!((out.classes[2].weight - 1.0 / 6.0).abs() < 1e-12);
    }

    #[test]
    fn what_was_not_looked_at_is_not_told() {
        let head_only = split(None, Some(class(&[9.0, 8.0, 11.0])), None, 1.0);
        assert!(head_only.head_holds_standing && head_only.total.is_none());
        assert!(head_only.machine.is_none() && head_only.head.unwrap().doubt.is_some());
        let spread = split(
            Some(class(&[1.0; 3])),
            None,
            Some(class(&[9.0, 7.0, 8.0])),
            1.0,
        );
        assert!(spread.head.is_none() && spread.machine.is_none());
        assert!((spread.total.unwrap().value * M2_PER_FT2 - 7.0).abs() < 1e-12);
    }

    #[test]
    fn two_frames_give_a_figure_and_no_interval() {
        let out = split(Some(class(&[1.0; 3])), Some(class(&[5.0, 9.0])), None, 1.0);
        assert_eq!(out.head.unwrap().doubt, None);
        assert!(out.standing.unwrap().doubt.is_some());
    }

    #[test]
    fn a_windrow_needs_frames_behind_the_head() {
        let counts = Counts {
            behind_machine: Some(class(&[9.0; 4])),
            ..Counts::default()
        };
        let why = partition(&counts, (6.0, Relative::NONE), Prior::default(), 0.9).unwrap_err();
        assert!(why.to_string().contains("behind the head too"));
        assert!(
            partition(
                &Counts::default(),
                (1.0, Relative::NONE),
                Prior::default(),
                0.9
            )
            .is_err()
        );
    }

    #[test]
    fn the_doubt_of_the_widths_counts_with_the_machine_loss_only() {
        let counts = Counts {
            standing: Some(class(&[2.0, 1.0, 2.0, 2.0])),
            behind_head: Some(class(&[10.0, 9.0, 11.0, 11.0])),
            behind_machine: Some(class(&[28.0, 19.0, 41.0, 24.0])),
        };
        let of =
            |cv| partition(&counts, (6.0, Relative::guess(cv)), Prior::default(), 0.9).unwrap();
        let (sure, unsure) = (of(0.0), of(0.1));
        assert_eq!(sure.head, unsure.head);
        let se = |out: &Partition| out.machine.unwrap().doubt.unwrap().se;
        let machine = sure.machine.unwrap().value;
        let both = (se(&sure).powi(2) + (machine * 0.1).powi(2)).sqrt();
        assert!((se(&unsure) - both).abs() < 1e-12);
    }
}
