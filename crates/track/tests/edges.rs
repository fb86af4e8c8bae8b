//! Edges whose loss is known, and zones of a field.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

mod common;

use common::{SWATH_M, degrees, drive, known, soil};
use spatial::Region;
use track::clean::{Cells, clean, map, zones};
use track::edge::{
    Class, Curve, Edge, EdgeFound, EdgeLine, EdgeSettings, Edges, Meets, Verdict, edges,
};

const PASSES: u32 = 20;
const LONG_M: f64 = 320.0;

fn lines() -> Vec<EdgeLine> {
    let east = f64::from(PASSES) * SWATH_M;
    let line = |class, height, from, to| EdgeLine {
        class,
        tree_height_m: height,
        places: vec![degrees(from), degrees(to)],
    };
    vec![
        // drawn four meters off the boundary, as people do
        line(Class::Trees, Some(12.0), (-4.0, 0.0), (-4.0, LONG_M)),
        line(Class::Road, None, (east + 3.0, 0.0), (east + 3.0, LONG_M)),
        line(Class::TurningEnds, None, (0.0, 0.0), (east, 0.0)),
        line(Class::TurningEnds, None, (0.0, LONG_M), (east, LONG_M)),
    ]
}

fn told(seed: u64, share: f64, length_m: f64) -> Edges {
    let field = |x: f64, y: f64| soil(x, y) * (1.0 - share * (-x / length_m).exp());
    let track = drive(PASSES, LONG_M, seed, field);
    let known = known(PASSES, LONG_M);
    let cleaned = clean(&track, &known).unwrap();
    let settings = EdgeSettings {
        price_usd_bu: Some(4.0),
        seed,
        ..EdgeSettings::default()
    };
    edges(&cleaned, &known, &lines(), &settings)
}

fn of(edges: &Edges, class: Class) -> &Edge {
    edges.each.iter().find(|edge| edge.class == class).unwrap()
}

fn curve(edge: &Edge) -> &Curve {
    match &edge.found {
        EdgeFound::Curve(curve) => curve,
        EdgeFound::NotTold(why) => panic!("{why}"),
    }
}

#[test]
fn trees_that_take_half_are_found_and_the_road_is_let_be() {
    let found = told(3, 0.6, 8.0);
    let trees = of(&found, Class::Trees);
    assert_eq!(
        (trees.meets, trees.tree_height_m.map(f64::round)),
        (Meets::Along, Some(12.0))
    );
    assert!((trees.length_m - LONG_M).abs() < 1.0);
    let curve_of = curve(trees);
    assert_eq!(curve_of.verdict, Verdict::Loses);
    // 0.6 kg/m2 x 8 m x 320 m, the soil's mean there being about 1
    let lost_kg = 0.6 * 8.0 * LONG_M;
    let lost = curve_of.lost_dry_kg;
    assert!(
        lost.low < lost_kg && lost_kg < lost.high,
        "{lost:?} {lost_kg}"
    );
    assert!(
        (lost.value / lost_kg - 1.0).abs() < 0.15,
        "{lost:?} {lost_kg}"
    );
    let bushels = lost.value / (56.0 * track::KG_PER_LB);
    assert!((curve_of.lost_bu.value - bushels).abs() < 1e-9);
    assert!((curve_of.lost_usd.unwrap().value - 4.0 * bushels).abs() < 1e-9);
    let far = curve_of.recovered_m.unwrap();
    assert!(far.low < 24.0 && 24.0 < far.high, "{far:?}");
    assert!((curve_of.recovered_heights.unwrap().value * 12.0 - far.value).abs() < 0.1);
    // by swath: the yield given, over 0..9 and 9..18, over that of 30..60; one in a thousand lies twice as far out
    for (bin, wanted) in curve_of.free.iter().zip([0.644, 0.888]) {
        let off = (bin.of_level.value - wanted).abs();
        assert!(off < bin.of_level.high - bin.of_level.low, "{bin:?}");
    }
    // the curve never falls inward
    for pair in curve_of.bands.windows(2) {
        assert!(pair[1].dry_kg_m2.value >= pair[0].dry_kg_m2.value - 1e-9);
    }
    assert_eq!(
        curve(of(&found, Class::Road)).verdict,
        Verdict::NotToldApart
    );
    assert!(found.inside_kg_m2 > found.with_edges_kg_m2);
    let text = serde_json::to_string(&found).unwrap();
    assert_eq!(serde_json::from_str::<Edges>(&text).unwrap(), found);
}

#[test]
fn ends_where_no_pass_runs_along_say_why_they_tell_nothing() {
    let found = told(3, 0.6, 8.0);
    let ends = of(&found, Class::TurningEnds);
    assert_eq!(ends.meets, Meets::Ending);
    let EdgeFound::NotTold(why) = &ends.found else {
        panic!("{ends:?}");
    };
    assert!(why.contains("run along it"), "{why}");
}

#[test]
fn the_same_seed_tells_the_same_and_nothing_is_claimed_where_nothing_is() {
    assert_eq!(told(5, 0.0, 8.0), told(5, 0.0, 8.0));
    let mut claims = 0;
    for seed in 10..16 {
        let found = told(seed, 0.0, 8.0);
        for class in [Class::Trees, Class::Road] {
            claims += u32::from(curve(of(&found, class)).verdict == Verdict::Loses);
        }
    }
    assert!(claims <= 2, "{claims} of 12");
}

#[test]
fn zones_are_the_maps_own_cells_and_know_how_far_they_are_off() {
    const PASSES: u32 = 10;
    const LONG_M: f64 = 160.0;
    let field = |x: f64, y: f64| soil(x, y) * (0.8 + 0.2 * ((x - 20.0) / 50.0).clamp(0.0, 1.0));
    let track = drive(PASSES, LONG_M, 7, field);
    let known = known(PASSES, LONG_M);
    let cleaned = clean(&track, &known).unwrap();
    let corner = degrees((0.0, 0.0));
    let cells = Cells {
        corner: cleaned.frame.xy(corner.0, corner.1),
        side_m: 10.0,
        wide: 9,
        high: 16,
    };
    let made = map(&cleaned, &known, cells).unwrap();
    let zone = |name: &str, from: f64, to: f64| -> Region {
        let ring = [(from, 0.0), (to, 0.0), (to, LONG_M), (from, LONG_M)];
        cleaned.region(name, &[ring.map(degrees).to_vec()]).unwrap()
    };
    let regions = [zone("west", 0.0, 45.0), zone("east", 45.0, 90.0)];
    let told = zones(&track, &cleaned, &known, &made, &regions).unwrap();
    let mean = |from: u32, to: u32| {
        let mut sum = 0.0;
        for x in from..to {
            for y in 0..160 {
                sum += field(f64::from(x) + 0.5, f64::from(y) + 0.5);
            }
        }
        sum / f64::from((to - from) * 160)
    };
    let truth = [mean(0, 45), mean(45, 90)];
    for (zone, truth) in told.each.iter().zip(truth) {
        assert!(
            (zone.area_m2 / (45.0 * LONG_M) - 1.0).abs() < 0.01,
            "{zone:?}"
        );
        assert!(zone.told > 0.99 && zone.records > 300);
        assert!(
            (zone.dry_kg_m2 / truth - 1.0).abs() < 0.02,
            "{zone:?} {truth}"
        );
        assert!((zone.dry_kg / zone.dry_kg_m2 / zone.area_m2 - 1.0).abs() < 1e-12);
    }
    let off = told.differences[0];
    assert!(
        (off.dry_kg_m2 - truth[0] + truth[1]).abs() < 3.0 * off.error_kg_m2,
        "{off:?}"
    );
    let away = zone("away", 5_000.0, 5_100.0);
    assert_eq!(
        zones(&track, &cleaned, &known, &made, &[away])
            .unwrap_err()
            .to_string(),
        "no map can be made: zone away holds no cell of the map: does it lie in this field?"
    );
}
