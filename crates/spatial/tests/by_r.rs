//! Means over polygons as R's gstat, and dense matrices in R, work them out.

use serde::Deserialize;
use spatial::{Block, Kind, Kriging, Model, Near, Place, Region};

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
}

#[test]
fn means_over_polygons_and_their_errors_are_those_of_r() {
    let text = include_str!("../../../reference/regions/expected.json");
    let r: Expected = serde_json::from_str(text).unwrap();
    let places: Vec<Place> = r.x.iter().zip(&r.y).map(|(x, y)| [*x, *y]).collect();
    let model = Model {
        kind: Kind::Exponential,
        nugget: r.nugget,
        sill: r.sill,
        range_m: r.range_m,
    };
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
