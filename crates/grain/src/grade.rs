//! The official grade from measured factors, and which of them drove it.

use crate::{Factor, GrainError};
use facts::{Crop, GradeLimits, LimitSide, Provenance};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};

/// A grade, and why.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Grade {
    /// U.S. No. of the grade; none is U.S. Sample grade.
    pub number: Option<usize>,
    /// In print: "U.S. No. 2", "U.S. Sample grade".
    pub name: String,
    /// The factors that kept it from the next better grade, worst first; empty for a No. 1.
    pub drivers: Vec<Driver>,
    /// What makes it sample grade apart from failing the lowest number.
    pub sample_reasons: Vec<String>,
    /// Factors of the table that nobody measured: the grade is at best this one.
    pub missing: Vec<Factor>,
    /// The regulation and where it was read.
    pub source: String,
    /// What a reader must be told about those limits, if any are not from the source itself.
    pub caution: Option<String>,
}

/// One factor that holds a grade down.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Driver {
    /// Which factor.
    pub factor: Factor,
    /// As measured.
    pub value: Decimal,
    /// Best grade that it allows by itself; none is sample grade.
    pub allows: Option<usize>,
    /// The limit of the next better grade that it misses.
    pub missed: f64,
}

/// Grades a sample by 7 CFR 810 for its crop.
///
/// ```
/// use grain::{Factor, grade};
/// use std::collections::{BTreeMap, BTreeSet};
/// let factors: BTreeMap<_, _> = [
///     (Factor::TestWeight, "53.5".parse()?),
///     (Factor::TotalDamage, "4.0".parse()?),
///     (Factor::HeatDamage, "0.1".parse()?),
///     (Factor::BrokenAndForeign, "2.5".parse()?),
/// ].into();
/// let graded = grade(facts::Crop::Corn, &factors, &BTreeSet::new())?;
/// assert_eq!(graded.name, "U.S. No. 3");
/// assert_eq!(graded.drivers[0].factor, Factor::TestWeight);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// Limitations: factors are taken as printed (graders round to the precision of each); dockage must be
/// out already; special grades (infested, smutty and so on) are not worked; limits from memory say
/// so in `caution`.
///
/// # Errors
/// A crop without a table here (barley).
pub fn grade(
    crop: Crop,
    factors: &BTreeMap<Factor, Decimal>,
    flags: &BTreeSet<Factor>,
) -> Result<Grade, GrainError> {
    let table = facts::grade_table(crop).ok_or(GrainError::NotKnown {
        what: "grade table",
        crop,
    })?;
    let factors = with_total_defects(factors);
    let sample = table.grades + 1;
    let mut worst = 1;
    let mut missing = Vec::new();
    let mut allowed = Vec::new();
    for limits in &table.limits {
        let factor = Factor::from(limits.factor.as_str());
        let Some(value) = factors.get(&factor).copied() else {
            missing.push(factor);
            continue;
        };
        let best = best_grade(limits, value);
        worst = worst.max(best);
        allowed.push((factor, value, best, limits));
    }
    let mut drivers: Vec<Driver> = allowed
        .into_iter()
        .filter(|(_, _, best, _)| *best == worst && worst > 1)
        .map(|(factor, value, best, limits)| Driver {
            factor,
            value,
            allows: (best < sample).then_some(best),
            missed: limits.values[best - 2],
        })
        .collect();
    drivers.sort_by(|a, b| a.factor.cmp(&b.factor));
    let sample_reasons: Vec<String> = facts::sample_reasons(crop)
        .filter(|reason| {
            let factor = Factor::from(reason.factor.as_str());
            let over = reason.more_than.is_some_and(|limit| {
                factors
                    .get(&factor)
                    .is_some_and(|value| *value > exact(limit))
            });
            over || (reason.more_than.is_none() && flags.contains(&factor))
        })
        .map(|reason| reason.words.clone())
        .collect();
    let number = (worst < sample && sample_reasons.is_empty()).then_some(worst);
    let from_memory = table
        .limits
        .iter()
        .filter(|limits| limits.tag == Provenance::Mem);
    let rows: Vec<_> = from_memory
        .map(|limits| limits.factor.replace('_', " "))
        .collect();
    Ok(Grade {
        number,
        name: number.map_or("U.S. Sample grade".to_owned(), |no| {
            format!("U.S. No. {no}")
        }),
        drivers,
        sample_reasons,
        missing,
        source: format!("{}; {}", table.standard, table.source),
        caution: (!rows.is_empty()).then(|| {
            format!(
                "limits for {} are from memory: check them against {} before relying on them",
                rows.join(", "),
                table.standard
            )
        }),
    })
}

/// Best grade whose limit the value meets; one past the last is sample grade.
fn best_grade(limits: &GradeLimits, value: Decimal) -> usize {
    let meets = |limit: &f64| match limits.side {
        LimitSide::Min => value >= exact(*limit),
        LimitSide::Max => value <= exact(*limit),
    };
    let found = limits.values.iter().position(meets);
    found.unwrap_or(limits.values.len()) + 1
}

/// Total defects of wheat are damage, foreign material and shrunken and broken together; worked out
/// only when the sheet prints the three and not the sum.
fn with_total_defects(factors: &BTreeMap<Factor, Decimal>) -> BTreeMap<Factor, Decimal> {
    let mut factors = factors.clone();
    let parts = [
        Factor::TotalDamage,
        Factor::ForeignMaterial,
        Factor::ShrunkenAndBroken,
    ];
    let sum = parts.iter().try_fold(Decimal::ZERO, |sum, part| {
        sum.checked_add(*factors.get(part)?)
    });
    if let Some(sum) = sum {
        factors.entry(Factor::TotalDefects).or_insert(sum);
    }
    factors
}

fn exact(limit: f64) -> Decimal {
    Decimal::try_from(limit).unwrap_or(Decimal::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn measured(crop: Crop, pairs: &[(Factor, &str)]) -> Grade {
        let factors = pairs
            .iter()
            .map(|(factor, value)| (factor.clone(), value.parse().unwrap()))
            .collect();
        grade(crop, &factors, &BTreeSet::new()).unwrap()
    }

    #[test]
    fn wheat_defects_add_up() {
        let parts = [
            (Factor::TestWeight, "61"),
            (Factor::TotalDamage, "1.9"),
            (Factor::ForeignMaterial, "0.4"),
            (Factor::ShrunkenAndBroken, "2.9"),
        ];
        let graded = measured(Crop::WheatHrw, &parts);
        assert_eq!(
            graded.number,
            Some(3),
            "5.2 % in all is over the 5 % of No. 2"
        );
        assert_eq!(graded.drivers[0].factor, Factor::TotalDefects);
        assert_eq!(graded.caution, None);
    }

    #[test]
    fn the_class_of_wheat_decides_the_test_weight() {
        let light = [(Factor::TestWeight, "58.0")];
        assert_eq!(measured(Crop::WheatHrs, &light).number, Some(1));
        assert_eq!(measured(Crop::WheatDurum, &light).number, Some(2));
    }

    #[test]
    fn an_odor_or_a_stone_makes_sample_grade_and_says_so() {
        let factors = BTreeMap::from([(Factor::TestWeight, 57.into())]);
        let musty = BTreeSet::from([Factor::from("musty")]);
        let graded = grade(Crop::Corn, &factors, &musty).unwrap();
        assert_eq!(
            (graded.number, graded.name.as_str()),
            (None, "U.S. Sample grade")
        );
        assert_eq!(graded.sample_reasons, ["a musty odor"]);
        let stony = measured(
            Crop::Corn,
            &[(Factor::TestWeight, "57"), (Factor::Stones, "0.2")],
        );
        assert_eq!(stony.number, None);
    }

    #[test]
    fn soybean_limits_are_shown_to_be_from_memory_and_test_weight_does_not_grade() {
        let light = measured(
            Crop::Soybean,
            &[(Factor::TestWeight, "40"), (Factor::Splits, "9")],
        );
        assert_eq!(light.number, Some(1));
        assert!(
            light
                .caution
                .is_some_and(|text| text.contains("from memory"))
        );
        assert!(grade(Crop::Barley, &BTreeMap::new(), &BTreeSet::new()).is_err());
    }

    proptest! {
        #[test]
        fn a_heavier_bushel_never_grades_worse(crop in 0..Crop::ALL.len(), a in 200_i64..700, b in 200_i64..700) {
            let crop = Crop::ALL[crop];
            prop_assume!(facts::grade_table(crop).is_some());
            let at = |tenths: i64| {
                let factors = BTreeMap::from([(Factor::TestWeight, Decimal::new(tenths, 1))]);
                grade(crop, &factors, &BTreeSet::new()).unwrap().number.unwrap_or(99)
            };
            prop_assert!(at(a.max(b)) <= at(a.min(b)));
        }
    }
}
