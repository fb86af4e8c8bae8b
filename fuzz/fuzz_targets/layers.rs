//! Layers of map programs on arbitrary bytes: they are read or refused, never panic, and lose no row.
#![no_main]

use formats::crs::Crs;
use formats::delimited::ReadOptions;
use formats::points::{self, Parts, Unpacked, unpacked};
use libfuzzer_sys::fuzz_target;

// the first byte says which part is searched, so that a corpus may begin from whole files behind a 0
fuzz_target!(|input: &[u8]| {
    let Some((which, rest)) = input.split_first() else {
        return;
    };
    let parts = match which % 3 {
        0 => match unpacked(rest, "fuzz") {
            Ok(Unpacked::Layer(parts)) => parts,
            _ => Parts::of(rest.to_vec()),
        },
        // shapes, then their table
        1 => {
            let Some((at, both)) = rest.split_at_checked(2) else {
                return;
            };
            let at = usize::from(u16::from_le_bytes([at[0], at[1]]));
            let (shapes, table) = both.split_at(at.min(both.len()));
            Parts::with(shapes.to_vec(), [("a.dbf".to_owned(), table.to_vec())])
        }
        _ => {
            if let Ok(system) = Crs::wkt(&String::from_utf8_lossy(rest)) {
                let _ = system.degrees(421_310.5, 4_862_343.5);
            }
            return;
        }
    };
    if let Ok(read) = points::read(&parts, "fuzz", &ReadOptions::default()) {
        assert!(read.track.conserved(), "a row vanished");
        for point in &read.track.points {
            assert!(point.longitude_deg.abs() <= 180.0 && point.latitude_deg.abs() <= 90.0);
        }
    }
    let _ = formats::polygons::read(&parts, "fuzz");
});
