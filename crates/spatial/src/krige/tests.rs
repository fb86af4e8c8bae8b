//! Kriging by hand, of a level, at points' own places, with points of groups balanced.

use super::*;
use crate::Kind;
use numeric::stream::Stream;

fn world(n: usize) -> (Vec<Place>, Vec<f64>) {
    let mut stream = Stream::new(3, "krige", 0);
    let places: Vec<Place> = (0..n)
        .map(|_| [stream.between(0.0, 200.0), stream.between(0.0, 200.0)])
        .collect();
    let values = places
        .iter()
        .map(|p| 100.0 + (p[0] / 30.0).sin() * 10.0 + (p[1] / 40.0).cos() * 7.0)
        .collect();
    (places, values)
}

fn model(nugget: f64) -> Model {
    Model {
        kind: Kind::Exponential,
        nugget,
        sill: 100.0,
        range_m: 60.0,
    }
}

#[test]
fn a_point_is_its_own_best_guess_and_a_level_stays_level() {
    let (places, values) = world(300);
    let kriging = Kriging::new(&places, &values, model(0.0), Near::nearest(30)).unwrap();
    for (told, true_value) in kriging.at(&places).iter().zip(&values) {
        let told = told.unwrap();
        assert!((told.value - true_value).abs() < 1e-6 && told.variance < 1e-6);
    }
    let level = vec![42.0; 300];
    let kriging = Kriging::new(&places, &level, model(20.0), Near::nearest(30)).unwrap();
    let block = Block {
        at: [100.0, 100.0],
        size: [10.0, 10.0],
    };
    assert!((kriging.over(&[block])[0].unwrap().value - 42.0).abs() < 1e-9);
}

#[test]
fn two_points_are_as_by_hand() {
    // covariances by hand: C = 100 e^(-20/60), target in the middle: both weigh a half
    let kriging_values = [10.0, 20.0];
    let places = [[0.0, 0.0], [20.0, 0.0]];
    let kriging = Kriging::new(&places, &kriging_values, model(5.0), Near::nearest(2)).unwrap();
    let told = kriging.at(&[[10.0, 0.0]])[0].unwrap();
    let (c, k) = (
        100.0 * (-20.0_f64 / 60.0).exp(),
        100.0 * (-10.0_f64 / 60.0).exp(),
    );
    assert!((told.value - 15.0).abs() < 1e-9);
    // var = C0 - 2 sum w k + sum w w K, w = 1/2
    let by_hand = 105.0 - 2.0 * k + 0.5 * (105.0 + c);
    assert!((told.variance - by_hand).abs() < 1e-9, "{told:?} {by_hand}");
}

#[test]
fn points_at_one_place_do_not_break_it_and_groups_are_balanced() {
    let places = vec![[0.0, 0.0]; 4];
    let values = [1.0, 2.0, 3.0, 4.0];
    let kriging = Kriging::new(&places, &values, model(0.0), Near::nearest(4)).unwrap();
    assert!((kriging.nugget() - 0.1).abs() < 1e-12);
    assert!((kriging.at(&[[50.0, 0.0]])[0].unwrap().value - 2.5).abs() < 1e-9);
    let (places, values) = world(300);
    let groups: Vec<u32> = places.iter().map(|p| (p[0] / 5.0) as u32).collect();
    let near = Near {
        most: 20,
        of_a_group: Some(2),
        within_m: None,
    };
    let kriging = Kriging::new(&places, &values, model(1.0), near)
        .unwrap()
        .in_groups(&groups, Shared::always(3.0))
        .unwrap();
    let mut work = Work::default();
    kriging.neighbors(&mut work, [100.0, 100.0], |_| true);
    assert_eq!(work.near.len(), 20);
    for (_, point) in &work.near {
        let group = groups[*point as usize];
        let same = work
            .near
            .iter()
            .filter(|one| groups[one.1 as usize] == group);
        assert!(same.count() <= 2);
    }
}
