//! Properties of adding up that hold for any track.

use proptest::prelude::*;
use quantity::Moisture;
use track::{
    CropBasis, Done, Finding, FindingKind, Findings, Head, RawPoint, Totals, Track, passes, summary,
};

fn basis() -> CropBasis {
    CropBasis {
        crop: "corn".into(),
        base_moisture: Moisture::from_percent(15.5).expect("a moisture"),
        lb_per_bu: 56.0,
        moisture_if_unmeasured: Some(Moisture::from_percent(20.0).expect("a moisture")),
    }
}

prop_compose! {
    fn point()(
        east in 0.0..0.01_f64,
        north in 0.0..0.01_f64,
        mass in 0.0..100.0_f64,
        distance in 0.0..10.0_f64,
        moisture in prop::option::of(0.0..0.5_f64),
        time in prop::option::of(0.0..1e5_f64),
        head in prop::sample::select(vec![Head::Down, Head::Up, Head::Unsaid]),
        load in prop::option::of(0_u32..3),
        pass in prop::option::of(0_u32..3),
    ) -> RawPoint {
        RawPoint {
            moisture,
            time_s: time,
            head,
            load,
            pass,
            ..RawPoint::new(2, -93.9 + east, 43.9 + north, mass, 1.0, distance)
        }
    }
}

fn tracks() -> impl Strategy<Value = Track> {
    prop::collection::vec(point(), 1..200).prop_map(|mut points| {
        for (point, row) in points.iter_mut().zip(2..) {
            point.row = row;
        }
        Track {
            loads: ["A", "B", "C"].map(String::from).into(),
            ..Track::of(points)
        }
    })
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

proptest! {
    #[test]
    fn passes_and_tanks_hold_every_record_and_every_pound(track in tracks()) {
        let sum = summary(&track, 9.144, &basis()).unwrap();
        prop_assert_eq!(sum.n, track.points.len() as u64);
        prop_assert_eq!(sum.passes.iter().map(|p| p.n).sum::<u64>(), sum.n);
        prop_assert_eq!(sum.tanks.iter().map(|t| t.n).sum::<u64>() + sum.no_tank_rows, sum.n);
        prop_assert!(near(sum.passes.iter().map(|p| p.wet_lb).sum(), sum.wet_lb));
        prop_assert!(near(sum.passes.iter().map(|p| p.dry_bu).sum(), sum.dry_bu));
        prop_assert!(near(sum.passes.iter().map(|p| p.area_ac).sum(), sum.area_ac));
        let plain: f64 = track.points.iter().map(|p| p.mass_kg).sum();
        prop_assert!(near(plain / track::KG_PER_LB, sum.wet_lb));
        // water cannot make dry matter
        prop_assert!(sum.dry_matter_lb <= sum.wet_lb);
    }

    #[test]
    fn pieces_add_up_as_the_whole(track in tracks(), piece in 1_usize..50) {
        let mut totals = Totals::new(9.144, &basis()).unwrap();
        for points in track.points.chunks(piece) {
            totals.add(points);
        }
        prop_assert_eq!(totals.finish(&track).unwrap(), summary(&track, 9.144, &basis()).unwrap());
    }

    #[test]
    fn passes_follow_each_other_without_gap(track in tracks(), swath in 0.5..20.0_f64) {
        let cut = passes::cut(&track.points, swath);
        prop_assert_eq!(cut[0].start, 0);
        prop_assert_eq!(cut[cut.len() - 1].end, track.points.len());
        prop_assert!(cut.windows(2).all(|pair| pair[0].end == pair[1].start));
        prop_assert!(cut.iter().all(|pass| !pass.is_empty()));
    }

    #[test]
    fn findings_do_not_show_where_they_were_cut(
        found in prop::collection::vec((0_usize..3, prop::option::of(0.0..50.0_f64)), 0..300),
        at in 0_usize..300,
    ) {
        let kinds = [FindingKind::Mass, FindingKind::NoFix, FindingKind::Empty];
        let one = |(i, (kind, mass_kg)): (usize, &(usize, Option<f64>))| Finding {
            row: Some(i as u64),
            byte: None,
            kind: kinds[*kind],
            what: String::new(),
            done: Done::SetAside,
            mass_kg: *mass_kg,
        };
        let (mut whole, mut first, mut second) = (Findings::default(), Findings::default(), Findings::default());
        for (i, finding) in found.iter().enumerate() {
            whole.add(one((i, finding)));
            if i < at { first.add(one((i, finding))) } else { second.add(one((i, finding))) }
        }
        first.append(second);
        prop_assert_eq!(&first, &whole);
        prop_assert_eq!(whole.set_aside_rows(), found.len() as u64);
    }
}

#[test]
fn what_cannot_be_added_up_is_said() {
    let points = vec![RawPoint::new(7, -93.9, 43.9, 1.0, 1.0, 1.0)];
    let bare = CropBasis {
        moisture_if_unmeasured: None,
        ..basis()
    };
    let said = |track: &Track, swath: f64, basis: &CropBasis| {
        summary(track, swath, basis).unwrap_err().to_string()
    };
    assert!(said(&Track::of(points.clone()), 9.0, &bare).starts_with("row 7 has no moisture"));
    assert!(
        said(&Track::of(points.clone()), 360.0, &basis()).starts_with("found a swath of 360 m")
    );
    assert!(said(&Track::of(points.clone()), f64::NAN, &basis()).contains("swath"));
    assert!(
        said(
            &Track::of(points),
            9.0,
            &CropBasis {
                lb_per_bu: 0.0,
                ..basis()
            }
        )
        .contains("lb per bushel")
    );
    assert!(said(&Track::default(), 9.0, &basis()).contains("no usable record"));
}
