//! Errors that points have to themselves or share, and values that are means over lines: against one dense solve of
//! the kriging system written out anew, with every covariance a sum over many nodes.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

use numeric::stream::Stream;
use spatial::{Block, Kind, Kriging, LeaveOut, Model, Near, Place, Shared};

const MODEL: Model = Model {
    kind: Kind::Exponential,
    nugget: 9.0,
    sill: 100.0,
    range_m: 35.0,
};

struct World {
    places: Vec<Place>,
    values: Vec<f64>,
    groups: Vec<u32>,
    noise: Vec<f64>,
    half: Vec<Place>,
}

fn world(n: usize) -> World {
    let mut stream = Stream::new(5, "by hand", 0);
    let places: Vec<Place> = (0..n)
        .map(|_| [stream.between(0.0, 90.0), stream.between(0.0, 90.0)])
        .collect();
    World {
        values: places
            .iter()
            .map(|p| 50.0 + 0.3 * p[0] - 0.2 * p[1] + 4.0 * stream.normal())
            .collect(),
        groups: (0..n).map(|i| (i % 5) as u32).collect(),
        noise: (0..n).map(|_| stream.between(0.0, 12.0)).collect(),
        half: (0..n)
            .map(|_| [stream.between(1.0, 5.0), stream.between(-1.0, 1.0)])
            .collect(),
        places,
    }
}

fn covariance(a: Place, b: Place) -> f64 {
    MODEL.covariance((a[0] - b[0]).hypot(a[1] - b[1]))
}

/// Mean over two lines by so many nodes each, in the middle of equal parts.
fn lines(a: Place, by_a: Place, b: Place, by_b: Place, nodes: usize) -> f64 {
    let node = |at: Place, by: Place, k: usize| {
        let t = (2.0 * k as f64 + 1.0) / nodes as f64 - 1.0;
        [at[0] + t * by[0], at[1] + t * by[1]]
    };
    let mut sum = 0.0;
    for i in 0..nodes {
        for j in 0..nodes {
            sum += covariance(node(a, by_a, i), node(b, by_b, j));
        }
    }
    sum / (nodes * nodes) as f64
}

/// Solves by elimination with pivots.
fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Vec<f64> {
    let n = b.len();
    for k in 0..n {
        let pivot = (k..n)
            .max_by(|i, j| a[*i][k].abs().total_cmp(&a[*j][k].abs()))
            .unwrap();
        a.swap(k, pivot);
        b.swap(k, pivot);
        let row = a[k].clone();
        for i in k + 1..n {
            let by = a[i][k] / row[k];
            for (one, other) in a[i].iter_mut().zip(&row) {
                *one -= by * other;
            }
            b[i] -= by * b[k];
        }
    }
    for k in (0..n).rev() {
        let known: f64 = (k + 1..n).map(|j| a[k][j] * b[j]).sum();
        b[k] = (b[k] - known) / a[k][k];
    }
    b
}

/// Ordinary kriging by its bordered system: value and variance.
fn krige(
    values: &[f64],
    between: &dyn Fn(usize, usize) -> f64,
    to: &dyn Fn(usize) -> f64,
    c0: f64,
) -> (f64, f64) {
    let n = values.len();
    let mut a: Vec<Vec<f64>> = (0..n)
        .map(|i| (0..n).map(|j| between(i, j)).chain([1.0]).collect())
        .collect();
    a.push((0..n).map(|_| 1.0).chain([0.0]).collect());
    let right: Vec<f64> = (0..n).map(to).chain([1.0]).collect();
    let w = solve(a, right.clone());
    let value = w[..n].iter().zip(values).map(|(w, z)| w * z).sum();
    let told: f64 = w.iter().zip(&right).map(|(w, k)| w * k).sum();
    (value, c0 - told)
}

#[test]
fn own_noise_and_shared_errors_are_as_one_dense_solve() {
    let world = world(40);
    for reach_m in [f64::INFINITY, 12.0] {
        let shared = Shared {
            variance: 20.0,
            reach_m,
        };
        let kriging = Kriging::new(&world.places, &world.values, MODEL, Near::nearest(40))
            .unwrap()
            .in_groups(&world.groups, shared)
            .unwrap()
            .with_noise(&world.noise)
            .unwrap();
        let error = |i: usize, j: usize| {
            let (a, b) = (world.places[i], world.places[j]);
            let apart = (a[0] - b[0]).hypot(a[1] - b[1]);
            let own = if i == j { 9.0 + world.noise[i] } else { 0.0 };
            let alike = world.groups[i] == world.groups[j];
            own + if alike {
                20.0 * (-apart / reach_m).exp()
            } else {
                0.0
            }
        };
        let between =
            |i: usize, j: usize| covariance(world.places[i], world.places[j]) + error(i, j);
        let at = [47.0, 31.0];
        let told = kriging.at(&[at])[0].unwrap();
        let (value, variance) = krige(
            &world.values,
            &between,
            &|i| covariance(world.places[i], at),
            109.0,
        );
        assert!((told.value - value).abs() < 1e-9, "{told:?} {value}");
        assert!(
            (told.variance - variance).abs() < 1e-8,
            "{told:?} {variance}"
        );
        // a point left out shares its group's error with those that stay; a group that is left out does not
        let kept = |i: usize| i != 7;
        let others: Vec<usize> = (0..40).filter(|i| kept(*i)).collect();
        let values: Vec<f64> = others.iter().map(|i| world.values[*i]).collect();
        let (value, variance) = krige(
            &values,
            &|i, j| between(others[i], others[j]),
            &|i| between(others[i], 7),
            between(7, 7),
        );
        let one = kriging.cross(&[7], LeaveOut::Point).held[0];
        assert!((one.off + world.values[7] - value).abs() < 1e-9);
        assert!((one.variance - variance).abs() < 1e-8);
        let others: Vec<usize> = (0..40)
            .filter(|i| world.groups[*i] != world.groups[7])
            .collect();
        let values: Vec<f64> = others.iter().map(|i| world.values[*i]).collect();
        let (value, variance) = krige(
            &values,
            &|i, j| between(others[i], others[j]),
            &|i| between(others[i], 7),
            between(7, 7),
        );
        let one = kriging.cross(&[7], LeaveOut::Group).held[0];
        assert!((one.off + world.values[7] - value).abs() < 1e-9);
        assert!((one.variance - variance).abs() < 1e-8);
    }
}

/// Two nodes a line against forty: lines of up to 10 m beside a range of 35 m.
#[test]
fn means_over_lines_are_as_one_dense_solve_with_many_nodes() {
    let world = world(40);
    let kriging = Kriging::new(&world.places, &world.values, MODEL, Near::nearest(40))
        .unwrap()
        .in_groups(&world.groups, Shared::none())
        .unwrap()
        .spread(&world.half)
        .unwrap();
    let between = |i: usize, j: usize| {
        let nugget = if i == j { 9.0 } else { 0.0 };
        lines(
            world.places[i],
            world.half[i],
            world.places[j],
            world.half[j],
            40,
        ) + nugget
    };
    let block = Block {
        at: [45.0, 45.0],
        size: [10.0, 10.0],
    };
    let to_block = |i: usize| {
        let mut sum = 0.0;
        for k in 0..40 {
            let y = 45.0 - 5.0 + 10.0 * (f64::from(k) + 0.5) / 40.0;
            sum += lines(world.places[i], world.half[i], [45.0, y], [5.0, 0.0], 40);
        }
        sum / 40.0
    };
    let mut within = 0.0;
    for k in 0..40 {
        for l in 0..40 {
            let y = |k: i32| 10.0 * (f64::from(k) + 0.5) / 40.0;
            within += lines([0.0, y(k)], [5.0, 0.0], [0.0, y(l)], [5.0, 0.0], 40);
        }
    }
    let told = kriging.over(&[block])[0].unwrap();
    let (value, variance) = krige(&world.values, &between, &to_block, within / 1_600.0);
    // what two nodes leave out of a mean over a line is a share of a hundredth of the sill
    assert!((told.value - value).abs() < 0.05, "{told:?} {value}");
    assert!(
        (told.variance - variance).abs() < 0.4,
        "{told:?} {variance}"
    );
    // and it is far nearer than the same points taken without their lines
    let plain = Kriging::new(&world.places, &world.values, MODEL, Near::nearest(40)).unwrap();
    let plain = plain.over(&[block])[0].unwrap();
    assert!((plain.value - value).abs() > 5.0 * (told.value - value).abs());
}

#[test]
fn threads_change_nothing() {
    let world = world(400);
    let blocks: Vec<Block> = (0..300)
        .map(|i| Block {
            at: [f64::from(i % 20) * 5.0, f64::from(i / 20) * 5.0],
            size: [5.0; 2],
        })
        .collect();
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| {
            let kriging = Kriging::new(&world.places, &world.values, MODEL, Near::nearest(30))
                .unwrap()
                .spread(&world.half)
                .unwrap();
            let bins = spatial::variogram(
                &world.places,
                &world.values,
                5.0,
                60.0,
                spatial::Estimator::Classical,
                spatial::Pairs::All,
            )
            .unwrap();
            (kriging.over(&blocks), bins)
        })
    };
    // bit for bit
    assert_eq!(on(1), on(2));
    assert_eq!(on(1), on(3));
}

#[test]
fn turning_and_moving_the_ground_changes_no_answer() {
    let world = world(60);
    let (sin, cos) = 0.7_f64.sin_cos();
    let turn = |p: &Place| [cos * p[0] - sin * p[1] + 5e5, sin * p[0] + cos * p[1] - 3e4];
    let turned: Vec<Place> = world.places.iter().map(turn).collect();
    let at = [[30.0, 40.0], [88.0, 3.0]];
    let there: Vec<Place> = at.iter().map(turn).collect();
    let near = Near::nearest(25);
    let one = Kriging::new(&world.places, &world.values, MODEL, near).unwrap();
    let other = Kriging::new(&turned, &world.values, MODEL, near).unwrap();
    for (a, b) in one.at(&at).into_iter().zip(other.at(&there)) {
        let (a, b) = (a.unwrap(), b.unwrap());
        assert!((a.value - b.value).abs() < 1e-6 && (a.variance - b.variance).abs() < 1e-6);
        assert!(a.variance >= 0.0);
    }
}
