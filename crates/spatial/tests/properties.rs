//! What must hold of any points: variances, exactness, levels, order, ties.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

use proptest::prelude::*;
use spatial::{Block, Estimate, Kind, Kriging, Model, Near, Place};

const KINDS: [Kind; 5] = [
    Kind::Exponential,
    Kind::Spherical,
    Kind::Gaussian,
    Kind::Matern32,
    Kind::Matern52,
];

/// Points on millimeters, so that none are nearly but not quite at one place, and their values.
fn points() -> impl Strategy<Value = Vec<(Place, f64)>> {
    let one = (0..100_000_i32, 0..100_000_i32, 50.0..250.0_f64);
    prop::collection::vec(one, 1..60).prop_map(|all| {
        all.into_iter()
            .map(|(x, y, value)| ([f64::from(x) / 1e3, f64::from(y) / 1e3], value))
            .collect()
    })
}

fn model() -> impl Strategy<Value = Model> {
    (0..KINDS.len(), 0.5..50.0_f64, 1.0..200.0_f64, 2.0..80.0_f64).prop_map(
        |(kind, nugget, sill, range_m)| Model {
            kind: KINDS[kind],
            nugget,
            sill,
            range_m,
        },
    )
}

fn targets() -> Vec<Place> {
    vec![[50.0, 50.0], [3.0, 97.0], [-40.0, -40.0], [250.0, 10.0]]
}

fn both(points: &[(Place, f64)], model: Model, most: usize) -> Vec<Estimate> {
    let (places, values): (Vec<Place>, Vec<f64>) = points.iter().copied().unzip();
    let kriging = Kriging::new(&places, &values, model, Near::nearest(most)).unwrap();
    let blocks: Vec<Block> = targets()
        .into_iter()
        .map(|at| Block {
            at,
            size: [10.0; 2],
        })
        .collect();
    let told = kriging.at(&targets()).into_iter();
    told.chain(kriging.over(&blocks))
        .map(Option::unwrap)
        .collect()
}

proptest! {
    #[test]
    fn variances_are_of_a_size_that_can_be(points in points(), model in model()) {
        for (nth, told) in both(&points, model, 20).iter().enumerate() {
            prop_assert!(told.value.is_finite());
            prop_assert!(told.used == points.len().min(20));
            // no more than a new measurement beside a mean of which nothing is known but one point
            prop_assert!((0.0..=2.0 * (model.nugget + model.sill) + 1e-9).contains(&told.variance), "{told:?}");
            // a place's reading has the nugget in it
            prop_assert!(nth >= 4 || told.variance >= model.nugget * (1.0 - 1e-9), "{told:?}");
        }
    }

    #[test]
    fn a_level_stays_level_and_what_is_added_is_added(points in points(), model in model()) {
        let level: Vec<(Place, f64)> = points.iter().map(|one| (one.0, 42.0)).collect();
        for told in both(&level, model, 20) {
            prop_assert!((told.value - 42.0).abs() < 1e-8, "{told:?}");
        }
        let higher: Vec<(Place, f64)> = points.iter().map(|one| (one.0, 3.0 * one.1 + 7.0)).collect();
        for (one, other) in both(&points, model, 20).iter().zip(both(&higher, model, 20)) {
            prop_assert!((3.0 * one.value + 7.0 - other.value).abs() < 1e-7);
            prop_assert!((one.variance - other.variance).abs() < 1e-12);
        }
    }

    /// All points are neighbors, so that no tie is broken by their order.
    #[test]
    fn the_order_of_points_changes_only_rounding(points in points(), model in model(), by in 1..59_usize) {
        let mut other = points.clone();
        other.rotate_left(by % points.len());
        other.reverse();
        for (one, other) in both(&points, model, 60).iter().zip(both(&other, model, 60)) {
            prop_assert!((one.value - other.value).abs() < 1e-7, "{one:?} {other:?}");
            prop_assert!((one.variance - other.variance).abs() < 1e-7, "{one:?} {other:?}");
        }
    }

    /// Without a nugget, on a rough curve: each point tells itself, with no variance.
    #[test]
    fn points_are_told_exactly(points in points(), range_m in 5.0..80.0_f64) {
        let mut points = points;
        points.sort_by(|a, b| a.0[0].total_cmp(&b.0[0]).then(a.0[1].total_cmp(&b.0[1])));
        points.dedup_by_key(|one| one.0);
        let (places, values): (Vec<Place>, Vec<f64>) = points.iter().copied().unzip();
        for kind in [Kind::Exponential, Kind::Spherical] {
            let model = Model { kind, nugget: 0.0, sill: 100.0, range_m };
            let kriging = Kriging::new(&places, &values, model, Near::nearest(30)).unwrap();
            for (told, value) in kriging.at(&places).iter().zip(&values) {
                let told = told.unwrap();
                prop_assert!((told.value - value).abs() < 1e-6 && told.variance < 1e-6, "{told:?} {value}");
            }
        }
    }
}

/// Four points as far from the target as each other, of which two are asked: the two given first count.
#[test]
fn ties_fall_to_the_points_given_first() {
    let places = [[10.0, 0.0], [0.0, 10.0], [-10.0, 0.0], [0.0, -10.0]];
    let model = Model {
        kind: Kind::Exponential,
        nugget: 1.0,
        sill: 10.0,
        range_m: 20.0,
    };
    let told = |values: &[f64]| {
        let kriging = Kriging::new(&places, values, model, Near::nearest(2)).unwrap();
        kriging.at(&[[0.0, 0.0]])[0].unwrap().value
    };
    assert!((told(&[1.0, 3.0, 100.0, 100.0]) - 2.0).abs() < 1e-12);
    assert!((told(&[100.0, 3.0, 5.0, 100.0]) - 51.5).abs() < 1e-12);
}

/// Two measurements at one place are both kept: together they count as their mean with half the nugget, not as one.
#[test]
fn points_at_one_place_are_not_merged() {
    let model = Model {
        kind: Kind::Exponential,
        nugget: 8.0,
        sill: 100.0,
        range_m: 30.0,
    };
    let places = [[0.0, 0.0], [0.0, 0.0], [20.0, 0.0]];
    let values = [10.0, 14.0, 30.0];
    let kriging = Kriging::new(&places, &values, model, Near::nearest(3)).unwrap();
    let pair = kriging.at(&[[5.0, 0.0]])[0].unwrap();
    // the same of their mean: sill + 8/2 on its diagonal, which noise of -4 would give; so the other has 4 more of
    // noise over a nugget of 4
    let less = Model {
        nugget: 4.0,
        ..model
    };
    let kriging = Kriging::new(&places[1..], &[12.0, 30.0], less, Near::nearest(2))
        .unwrap()
        .with_noise(&[0.0, 4.0])
        .unwrap();
    let mean = kriging.at(&[[5.0, 0.0]])[0].unwrap();
    assert!((pair.value - mean.value).abs() < 1e-10);
    // the reading told of has a nugget of 8 in the one and of 4 in the other
    assert!((pair.variance - (mean.variance + 4.0)).abs() < 1e-10);
}
