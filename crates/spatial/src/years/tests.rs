//! Classes drawn and found again, and what three years or fewer cannot say.

use super::*;
use numeric::stream::Stream;

/// Cells of known classes: a third high, a third low, a third that swings; errors that differ by cell.
fn drawn(years: u32, cells: usize, seed: u64) -> (Vec<Year>, Vec<Habit>) {
    let mut stream = Stream::new(seed, "years", 0);
    let truth: Vec<Habit> = (0..cells).map(|c| Habit::ALL[c % 3]).collect();
    let levels: Vec<(f64, f64)> = truth
        .iter()
        .map(|habit| match habit {
            Habit::SteadyHigh => (stream.between(1.0, 1.3), 0.06),
            Habit::SteadyLow => (stream.between(0.7, 1.0), 0.06),
            _ => (stream.between(0.8, 1.2), 0.3),
        })
        .collect();
    let made = (0..years)
        .map(|nth| {
            let good = 150.0 * (1.0 + 0.2 * stream.normal()).max(0.3);
            let cells = levels.iter().map(|(level, swing)| {
                let error = good * stream.between(0.01, 0.12);
                let value = good * (level + swing * stream.normal());
                Some(Known {
                    value: value + error * stream.normal(),
                    variance: error * error,
                })
            });
            Year {
                name: format!("{nth}"),
                cells: cells.collect(),
            }
        })
        .collect();
    (made, truth)
}

#[test]
fn classes_are_right_as_often_as_they_say() {
    for (years, least) in [(3, 0.15), (6, 0.4), (12, 0.65)] {
        let (made, truth) = drawn(years, 1_200, u64::from(years));
        let told = habits(&made, Steady::default()).unwrap();
        let (mut said, mut right, mut hoped) = (0.0, 0.0, 0.0);
        for (one, truth) in told.cells.iter().zip(&truth) {
            let one = one.unwrap();
            let p = match one.habit {
                Habit::SteadyHigh => one.steady_high,
                Habit::SteadyLow => one.steady_low,
                Habit::Unsteady => one.unsteady,
                Habit::NotKnown => continue,
            };
            hoped += p;
            said += 1.0;
            right += f64::from(u8::from(one.habit == *truth));
        }
        assert!(said / 1_200.0 > least, "{years} years: {said} of 1200 told");
        // right as often as the mean of what was said, and never as seldom as four in five
        assert!(
            (right / said - hoped / said).abs() < 0.06,
            "{years}: {right} {hoped} {said}"
        );
        assert!(right / said > 0.8, "{years}: {right} of {said}");
        for share in &told.shares {
            if let Some(expected) = share.expected {
                assert!((expected - 1.0 / 3.0).abs() < 0.08, "{years}: {share:?}");
            }
        }
    }
}

#[test]
fn errors_make_cells_unknown_and_not_unsteady() {
    let (mut made, _) = drawn(4, 600, 1);
    let mut stream = Stream::new(2, "blurred", 0);
    for cell in made.iter_mut().flat_map(|year| &mut year.cells).flatten() {
        cell.value += 60.0 * stream.normal();
        cell.variance += 3_600.0;
    }
    let told = habits(&made, Steady::default()).unwrap();
    let classed = |habit: Habit| {
        let of = told.shares.iter().find(|share| share.habit == habit);
        of.map_or(0.0, |share| share.classed)
    };
    assert!(classed(Habit::NotKnown) > 0.85, "{:?}", told.shares);
    assert!(classed(Habit::Unsteady) < 0.02, "{:?}", told.shares);
}

#[test]
fn by_hand_and_what_cannot_be_said() {
    let year = |values: &[Option<f64>]| Year {
        name: "a".into(),
        cells: values
            .iter()
            .map(|v| {
                v.map(|value| Known {
                    value,
                    variance: 0.0,
                })
            })
            .collect(),
    };
    let years = [
        year(&[Some(80.0), Some(100.0), Some(120.0), None]),
        year(&[Some(45.0), Some(55.0), Some(50.0), Some(60.0)]),
        year(&[Some(160.0), Some(220.0), Some(220.0), Some(300.0)]),
    ];
    let told = habits(&years, Steady::default()).unwrap();
    assert_eq!(told.year_means, [100.0, 50.0, 200.0]);
    let first = told.cells[0].unwrap();
    // 0.8, 0.9, 0.8: mean 0.8333, standard deviation 0.057735
    assert!((first.mean - 2.5 / 3.0).abs() < 1e-12);
    assert!((first.spread - 0.057_735_026_9).abs() < 1e-9);
    assert!((first.steady_high + first.steady_low + first.unsteady - 1.0).abs() < 1e-9);
    assert!(told.cells[3].is_none());
    assert_eq!(
        habits(&years[..2], Steady::default())
            .unwrap_err()
            .to_string(),
        "years: found 2, expected 3 or more"
    );
    let short = [years[0].clone(), years[1].clone(), year(&[Some(1.0)])];
    assert!(habits(&short, Steady::default()).is_err());
    let odd = Steady {
        limit: 2.0,
        ..Steady::default()
    };
    assert!(habits(&years, odd).is_err());
}
