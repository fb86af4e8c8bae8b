//! Layers of map programs on arbitrary bytes: they are read or refused, never panic, and lose no row.
#![no_main]

use formats::crs::Crs;
use formats::delimited::ReadOptions;
use formats::points::{self, Parts, Unpacked, unpacked};
use libfuzzer_sys::fuzz_target;

/// Put before the bytes, so that most of the search is past the first check of what a file is.
const STARTS: [&[u8]; 5] = [
    b"\x00\x00\x27\x0a",
    b"fgb\x03fgb\x01",
    b"{\"type\":\"FeatureCollection\",\"features\":[",
    b"SQLite format 3\0",
    b"PAR1",
];

fuzz_target!(|input: (u8, &[u8], &[u8], &str)| {
    let (start, main, table, system) = input;
    let start = STARTS.get(usize::from(start)).copied().unwrap_or(b"");
    let bytes = [start, main].concat();
    let beside = [
        ("a.dbf".to_owned(), table.to_vec()),
        ("a.prj".to_owned(), system.as_bytes().to_vec()),
    ];
    let parts = match unpacked(&bytes, "fuzz") {
        Ok(Unpacked::Layer(parts)) => parts,
        _ => Parts::with(bytes, beside),
    };
    if let Ok(read) = points::read(&parts, "fuzz", &ReadOptions::default()) {
        assert!(read.track.conserved(), "a row vanished");
        for point in &read.track.points {
            assert!(point.longitude_deg.abs() <= 180.0 && point.latitude_deg.abs() <= 90.0);
        }
    }
    let _ = formats::polygons::read(&parts, "fuzz");
    if let Ok(system) = Crs::wkt(system) {
        let _ = system.degrees(421_310.5, 4_862_343.5);
    }
});
