//! Means over polygons as R's gstat, and dense matrices in R, work them out; least squares as nlme's gls does.

use serde::Deserialize;
use spatial::{Block, Correlated, Kind, Kriging, Model, Near, Place, Region};

#[derive(Deserialize)]
struct Expected {
    nugget: f64,
    sill: f64,
    range_m: f64,
    x: Vec<f64>,
    y: Vec<f64>,
    z: Vec<f64>,
    rings: [Vec<Vec<Place>>; 2],
    gstat_mean_variance: [[f64; 2]; 2],
    dense_means: [f64; 2],
    dense_error_covariance: [[f64; 2]; 2],
    gls: [f64; 2],
    gls_covariance_over_variance: [f64; 4],
}

fn expected() -> (Expected, Vec<Place>, Model) {
    let text = include_str!("../../../reference/regions/expected.json");
    let r: Expected = serde_json::from_str(text).expect("the committed numbers");
    let places = r.x.iter().zip(&r.y).map(|(x, y)| [*x, *y]).collect();
    let model = Model {
        kind: Kind::Exponential,
        nugget: r.nugget,
        sill: r.sill,
        range_m: r.range_m,
    };
    (r, places, model)
}

#[test]
fn a_slope_and_its_error_are_those_of_gls() {
    let (r, places, model) = expected();
    let n = places.len();
    let groups: Vec<u32> = (0..n as u32).collect();
    let measured = Correlated::new(&places, &model, &vec![0.0; n], &groups, 0.0).unwrap();
    let fit = measured
        .regress(&r.z, &[vec![1.0; n], r.x.clone()], &[0.0; 2])
        .unwrap();
    for a in 0..2 {
        assert!((fit.coefficients[a] / r.gls[a] - 1.0).abs() < 1e-9);
        for b in 0..2 {
            let of_one = fit.covariance[a][b] / (r.nugget + r.sill);
            assert!((of_one / r.gls_covariance_over_variance[2 * a + b] - 1.0).abs() < 1e-9);
        }
    }
}

#[test]
fn means_over_polygons_and_their_errors_are_those_of_r() {
    let (r, places, model) = expected();
    let kriging = Kriging::new(&places, &r.z, model, Near::nearest(places.len())).unwrap();
    let at = |k: usize| 10.0 * k as f64 - 5.0;
    let blocks: Vec<Block> = (0..100)
        .map(|c| Block {
            at: [at(c % 10), at(c / 10)],
            size: [10.0; 2],
        })
        .collect();
    let regions = r.rings.map(|rings| Region::new("", rings).unwrap());
    let lists: Vec<Vec<(usize, f64)>> = regions
        .iter()
        .map(|region| {
            let shares = blocks.iter().map(|block| region.share(block)).enumerate();
            shares.filter(|one| one.1 > 0.0).collect()
        })
        .collect();
    assert_eq!(regions[0].area_m2(), 1_600.0);
    assert_eq!((lists[0].len(), lists[1].len()), (16, 20));
    let means = kriging.means(&blocks, &lists).unwrap();
    for a in 0..2 {
        assert!((means.values[a] / r.dense_means[a] - 1.0).abs() < 1e-9);
        for b in 0..2 {
            let (ours, dense) = (means.covariance[a][b], r.dense_error_covariance[a][b]);
            assert!((ours - dense).abs() < 1e-9, "{ours} {dense}");
        }
        let [mean, variance] = r.gstat_mean_variance[a];
        assert!((means.values[a] - mean).abs() < 0.002);
        assert!((means.covariance[a][a] / variance - 1.0).abs() < 0.01);
    }
}
