//! A whole transfer on arbitrary bytes, as an archive and as files: it reads or refuses, never panics, and
//! no record vanishes on the way to points.
#![no_main]

use formats::taskdata::{Files, Limits, PointsOptions, points, read};
use libfuzzer_sys::fuzz_target;
use std::io::Cursor;

/// A transfer that is well made, for the parts that are not searched.
const MAIN: &[u8] = br#"<ISO11783_TaskData VersionMajor="4"><XFR A="PFD00001"/><TSK A="TSK1"><TLG A="TLG00001"/></TSK></ISO11783_TaskData>"#;
const HEADER: &[u8] = br#"<TIM A="" D="4"><PTN A="" B=""/><DLV A="0057" B="" C="DET-2"/><DLV A="005A" B="" C="DET-2"/><DLV A="0063" B="" C="DET-2"/><DLV A="0075" B="" C="DET-1"/></TIM>"#;

// the first byte says which part is searched, so that a corpus may begin from whole archives behind a 0
fuzz_target!(|input: &[u8]| {
    let Some((which, rest)) = input.split_first() else {
        return;
    };
    let (one, two) = match rest.split_at_checked(2) {
        Some((at, both)) => {
            let at = usize::from(u16::from_le_bytes([at[0], at[1]]));
            both.split_at(at.min(both.len()))
        }
        None => (rest, &[][..]),
    };
    let named = |main: &[u8], header: &[u8], records: &[u8], linked: &[u8]| {
        Files::of([
            ("TASKDATA.XML".to_owned(), main.to_vec()),
            ("TLG00001.xml".to_owned(), header.to_vec()),
            ("TLG00001.bin".to_owned(), records.to_vec()),
            ("PFD00001.XML".to_owned(), linked.to_vec()),
        ])
    };
    let files = match which % 4 {
        // limits are small so that the search is quick
        0 => {
            let limits = Limits {
                entries: 100,
                unpacked_bytes: 1 << 20,
                ratio: 50,
            };
            match Files::from_zip(Cursor::new(rest), "fuzz", &limits) {
                Ok(files) => files,
                Err(_) => return,
            }
        }
        1 => named(one, HEADER, two, b"<XFC/>"),
        2 => named(MAIN, HEADER, one, two),
        _ => named(MAIN, one, two, b"<XFC/>"),
    };
    let Ok(data) = read(&files, "fuzz") else {
        return;
    };
    let options = PointsOptions {
        swath_m: Some(9.144),
        test_weight_lb_per_bu: Some(56.0),
        ..PointsOptions::default()
    };
    if let Ok(read) = points(&data, "fuzz", &options) {
        assert!(read.track.conserved(), "a record vanished");
        assert!(!read.track.points.is_empty());
        for point in &read.track.points {
            assert!(point.mass_kg.is_finite() && point.distance_m.is_finite());
            assert!(
                point
                    .load
                    .is_none_or(|load| (load as usize) < read.track.loads.len())
            );
        }
    }
});
