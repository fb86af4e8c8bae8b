//! Ground that is truly poor stays on the map: cleaning flags what is alone, not what is low.

mod common;

use common::{drive, known, soil};
use track::clean::{Record, clean};

/// Of the records that are so, the share that carry no flag but those of a pass's first and last seconds.
fn kept(records: &[Record], is_so: impl Fn(&Record) -> bool) -> (usize, f64) {
    use track::clean::Flag;
    let ends = |r: &&Record| !matches!(r.flag, Some(Flag::Start | Flag::End));
    let of: Vec<&Record> = records.iter().filter(|r| is_so(r)).filter(ends).collect();
    let kept = of.iter().filter(|r| r.flag.is_none()).count();
    (of.len(), kept as f64 / of.len() as f64)
}

#[test]
fn a_drowned_spot_of_three_swaths_and_a_pass_beside_trees_stay() {
    let (passes, long_m) = (20, 320.0);
    // passes 9 to 11 drown for 40 m; the first loses half beside the trees
    let drowned = |x: f64, y: f64| (81.0..108.0).contains(&x) && (140.0..180.0).contains(&y);
    let field = |x: f64, y: f64| {
        let trees = if x < 9.0 { 0.5 } else { 1.0 };
        soil(x, y) * trees * if drowned(x, y) { 0.25 } else { 1.0 }
    };
    let cleaned = clean(&drive(passes, long_m, 4, field), &known(passes, long_m)).unwrap();
    let corner = cleaned
        .frame
        .xy(common::degrees((0.0, 0.0)).0, common::degrees((0.0, 0.0)).1);
    let at = |r: &Record| (r.at.0 - corner.0, r.at.1 - corner.1);
    let (spot, spot_kept) = kept(&cleaned.records, |r| {
        let (x, y) = at(r);
        drowned(x, y)
    });
    assert!(
        spot > 50 && spot_kept > 0.95,
        "{spot} records, {spot_kept} kept"
    );
    let (trees, trees_kept) = kept(&cleaned.records, |r| r.pass == 0);
    assert!(
        trees > 140 && trees_kept > 0.97,
        "{trees} records, {trees_kept} kept"
    );
    let low: f64 = cleaned
        .records
        .iter()
        .filter(|r| r.flag.is_none() && drowned(at(r).0, at(r).1))
        .filter_map(|r| r.dry_kg_m2)
        .sum();
    assert!(
        (low / (spot as f64 * spot_kept) - 0.25).abs() < 0.03,
        "{low} over {spot}"
    );
}

#[test]
fn a_record_that_nothing_bears_out_goes() {
    let (passes, long_m) = (20, 320.0);
    let mut track = drive(passes, long_m, 5, soil);
    // one second reads a tenth of what it should, far from any end
    track.points[10 * 160 + 80].mass_kg *= 0.1;
    let cleaned = clean(&track, &known(passes, long_m)).unwrap();
    assert!(cleaned.records[10 * 160 + 80].flag.is_some());
    let (all, share) = kept(&cleaned.records, |_| true);
    assert!(share > 0.98, "{share} of {all} kept");
}
