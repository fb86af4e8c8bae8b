//! The delimited reader on arbitrary bytes: it reads or refuses, never panics, loses no row, and does
//! not care where blocks are cut.
#![no_main]

use formats::delimited::{ReadOptions, read_bytes};
use libfuzzer_sys::fuzz_target;
use quantity::Moisture;
use track::{CropBasis, summary};

/// Put before the bytes half of the time, so that most of the search is past the header.
const HEADER: &[u8] = b"long,lat,mass lb/s,seconds,dist in,moist %,time,load,head,pass,width ft,elev ft\n-93.9,43.9,16,3,200,18,0,A,down,1,30,1000\n";

fuzz_target!(|input: (bool, u16, &[u8])| {
    let (headed, block, bytes) = input;
    let text = if headed { [HEADER, bytes].concat() } else { bytes.to_vec() };
    let cut = ReadOptions { block_bytes: usize::from(block) + 1, ..ReadOptions::default() };
    let whole = read_bytes(&text, "fuzz", &ReadOptions::default());
    let pieces = read_bytes(&text, "fuzz", &cut);
    match (whole, pieces) {
        (Ok(whole), Ok(pieces)) => {
            assert!(whole.track.conserved(), "a row vanished");
            assert_eq!(whole, pieces, "the cut of blocks shows");
            let moisture = Moisture::from_percent(15.5).expect("a moisture");
            let basis = CropBasis {
                crop: "corn".into(),
                base_moisture: moisture,
                lb_per_bu: 56.0,
                moisture_if_unmeasured: Some(moisture),
            };
            let sum = summary(&whole.track, 9.144, &basis).expect("kept points add up");
            assert!(sum.wet_lb.is_finite() && sum.dry_bu.is_finite() && sum.area_ac.is_finite());
        }
        (Err(whole), Err(pieces)) => assert_eq!(whole.to_string(), pieces.to_string()),
        (whole, pieces) => panic!("the cut of blocks shows: {whole:?} {pieces:?}"),
    }
});
