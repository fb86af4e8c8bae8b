//! Arbitrary bytes: read or refused, never a panic, and no record vanishes.

use super::build::{Spec, Transfer};
use formats::taskdata::{self, Files, Limits, PointsOptions, decode};
use proptest::prelude::*;
use std::io::Cursor;

fn whole_way(files: &Files) {
    if let Ok(data) = taskdata::read(files, "x") {
        let options = PointsOptions {
            swath_m: Some(9.0),
            test_weight_lb_per_bu: Some(56.0),
            ..PointsOptions::default()
        };
        if let Ok(read) = taskdata::points(&data, "x", &options) {
            assert!(read.track.conserved());
            assert!(
                read.track
                    .points
                    .iter()
                    .all(|p| p.mass_kg.is_finite() && p.distance_m.is_finite())
            );
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn arbitrary_records_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..2_000)) {
        let header = Spec::usual("TLG00001", 1).header();
        let log = decode("x", header.as_bytes(), &bytes).unwrap();
        let whole: usize = log.records.iter().map(|r| 16 + 5 * log.stored(r).len()).sum();
        let left = log.cut_short.as_ref().map_or(0, |cut| cut.left as usize);
        prop_assert_eq!(whole + left, bytes.len());
    }

    #[test]
    fn arbitrary_headers_never_panic(header in ".{0,300}", bytes in prop::collection::vec(any::<u8>(), 0..100)) {
        let _ = decode("x", header.as_bytes(), &bytes);
    }

    #[test]
    fn a_damaged_part_never_panics(
        which in 0_usize..3,
        at in 0.0..1.0_f64,
        byte in any::<u8>(),
        keep in 0.0..1.0_f64,
        cut in any::<bool>(),
    ) {
        let mut files = Transfer::one(Spec { changes_only: true, ..Spec::usual("TLG00001", 12) }).files();
        let bytes = &mut files[which].1;
        let place = (at * (bytes.len() - 1) as f64) as usize;
        bytes[place] = byte;
        if cut {
            bytes.truncate((keep * bytes.len() as f64) as usize);
        }
        whole_way(&Files::of(files));
    }

    #[test]
    fn a_damaged_archive_never_panics(at in 0.0..1.0_f64, byte in any::<u8>(), keep in 0.2..1.0_f64, cut in any::<bool>()) {
        let mut zip = Transfer::one(Spec::usual("TLG00001", 12)).zip();
        let place = (at * (zip.len() - 1) as f64) as usize;
        zip[place] = byte;
        if cut {
            zip.truncate((keep * zip.len() as f64) as usize);
        }
        if let Ok(files) = Files::from_zip(Cursor::new(&zip), "x", &Limits::default()) {
            whole_way(&files);
        }
    }
}
