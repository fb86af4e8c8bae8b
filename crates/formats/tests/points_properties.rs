//! Properties of the reader that hold for any file.

use formats::delimited::{PointsRead, ReadOptions, read_bytes, read_each};
use proptest::prelude::*;
use quantity::Moisture;
use std::fmt::Write as _;
use track::{CropBasis, summary};

/// One row as generated: SI values, and whether it is spoilt.
#[derive(Debug, Clone)]
struct Row {
    flow_lb_s: u32,
    dist_in: u32,
    moist_tenths: u32,
    spoil: Option<&'static str>,
}

fn rows() -> impl Strategy<Value = Vec<Row>> {
    let spoil = prop_oneof![
        6 => Just(None),
        1 => prop::sample::select(vec!["NaN", "-5", "1e308", "", "\"open", "\u{e9}", "7\n8", "0x1F"]).prop_map(Some),
    ];
    let row = (0_u32..5000, 0_u32..400, 0_u32..500, spoil).prop_map(
        |(flow_lb_s, dist_in, moist_tenths, spoil)| Row {
            flow_lb_s,
            dist_in,
            moist_tenths,
            spoil,
        },
    );
    prop::collection::vec(row, 1..120)
}

/// Writes the rows with columns in an order, a delimiter, and feet or inches.
fn write(rows: &[Row], order: &[usize], delimiter: char, feet: bool, quoted: bool) -> String {
    let names = [
        "long",
        "lat",
        "mass lb/s",
        "seconds",
        if feet { "dist ft" } else { "dist in" },
        "moist %",
    ];
    let join = |cells: &[String]| {
        order
            .iter()
            .map(|i| cells[*i].as_str())
            .collect::<Vec<_>>()
            .join(&delimiter.to_string())
    };
    let quote = |text: String| if quoted { format!("\"{text}\"") } else { text };
    let mut text = join(&names.map(|n| quote(n.to_string()))) + "\n";
    for (i, row) in rows.iter().enumerate() {
        let flow = match row.spoil {
            // as written: a spoilt cell is not quoted again
            Some(spoilt) => spoilt.to_string(),
            None => quote(format!("{}", f64::from(row.flow_lb_s) / 100.0)),
        };
        let dist = f64::from(row.dist_in) / if feet { 12.0 } else { 1.0 };
        let cells = [
            quote("-93.9".into()),
            quote(format!("{}", 43.9 + i as f64 * 5e-5)),
            flow,
            quote("3".into()),
            quote(format!("{dist}")),
            quote(format!("{}", f64::from(row.moist_tenths) / 10.0)),
        ];
        text.push_str(&join(&cells));
        text.push('\n');
    }
    text
}

fn options(block_bytes: usize) -> ReadOptions {
    ReadOptions {
        block_bytes,
        ..ReadOptions::default()
    }
}

fn totals(read: &PointsRead) -> (u64, f64, f64, f64) {
    let basis = CropBasis {
        crop: "corn".into(),
        base_moisture: Moisture::from_percent(15.5).expect("a moisture"),
        lb_per_bu: 56.0,
        moisture_if_unmeasured: None,
    };
    let sum = summary(&read.track, 9.144, &basis).expect("points add up");
    (sum.n, sum.wet_lb, sum.dry_bu, sum.area_ac)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn order_delimiter_and_unit_do_not_change_the_totals(
        rows in rows(),
        order in Just((0..6).collect::<Vec<usize>>()).prop_shuffle(),
        delimiter in prop::sample::select(vec![',', '\t', ';', '|']),
        feet: bool,
        quoted: bool,
    ) {
        let rows: Vec<Row> = rows.into_iter().map(|row| Row { spoil: None, ..row }).collect();
        let plain = read_bytes(write(&rows, &[0, 1, 2, 3, 4, 5], ',', false, false).as_bytes(), "a", &options(1 << 20)).unwrap();
        let other = read_bytes(write(&rows, &order, delimiter, feet, quoted).as_bytes(), "b", &options(1 << 20)).unwrap();
        let (a, b) = (totals(&plain), totals(&other));
        prop_assert_eq!(a.0, b.0);
        for (x, y) in [(a.1, b.1), (a.2, b.2), (a.3, b.3)] {
            prop_assert!((x - y).abs() <= 1e-12 * x.abs().max(1.0), "{x} {y}");
        }
    }

    #[test]
    fn kept_and_set_aside_are_all_that_was_read_wherever_blocks_are_cut(
        rows in rows(),
        quoted: bool,
        block in 1_usize..600,
    ) {
        let text = write(&rows, &[0, 1, 2, 3, 4, 5], ',', false, quoted);
        match read_bytes(text.as_bytes(), "a", &options(1 << 20)) {
            Ok(whole) => {
                prop_assert!(whole.track.conserved());
                let cut = read_bytes(text.as_bytes(), "a", &options(block)).unwrap();
                prop_assert_eq!(whole, cut);
            }
            Err(error) => {
                let cut = read_bytes(text.as_bytes(), "a", &options(block)).unwrap_err();
                prop_assert_eq!(error.to_string(), cut.to_string());
            }
        }
    }

    #[test]
    fn any_bytes_after_a_header_are_read_or_refused(
        body in prop::collection::vec(prop_oneof![any::<u8>(), prop::sample::select(b"\"\n\r,0123456789.-".to_vec())], 0..600),
        block in 1_usize..200,
    ) {
        let mut text = b"long,lat,mass lb/s,seconds,dist in\n-93.9,43.9,16,3,200\n".to_vec();
        text.extend_from_slice(&body);
        let whole = read_bytes(&text, "a", &options(1 << 20));
        let cut = read_bytes(&text, "a", &options(block));
        match (whole, cut) {
            (Ok(whole), Ok(cut)) => {
                prop_assert!(whole.track.conserved());
                prop_assert_eq!(whole, cut);
            }
            (Err(a), Err(b)) => prop_assert_eq!(a.to_string(), b.to_string()),
            (a, b) => prop_assert!(false, "{a:?} {b:?}"),
        }
    }

    #[test]
    fn any_bytes_at_all_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = read_bytes(&bytes, "a", &options(64));
    }
}

/// The first 64 pieces of a block go to threads; the answer must not show it.
#[test]
fn threads_do_not_change_the_answer() {
    let mut text = String::from("long,lat,mass lb/s,seconds,dist in,moist %,load\n");
    for i in 0..60_000_u32 {
        let load = i / 7_000;
        let flow = if i % 997 == 0 {
            "oops".to_string()
        } else {
            format!("{}.{}", i % 40, i % 10)
        };
        let name = if i % 1_009 == 0 {
            format!("\"L, {load}\"")
        } else {
            format!("L {load}")
        };
        writeln!(
            text,
            "-93.9,{:.6},{flow},3,{},{}.5,{name}",
            43.9 + f64::from(i % 1_000) * 5e-5,
            i % 300,
            i % 20
        )
        .expect("memory");
    }
    let with = |threads: usize| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| read_bytes(text.as_bytes(), "a", &ReadOptions::default()).unwrap())
    };
    let one = with(1);
    assert!(one.track.conserved() && one.track.findings.set_aside_rows() == 61);
    let mut given = Vec::new();
    let each = read_each(
        text.as_bytes(),
        "a",
        &ReadOptions::default(),
        &mut |points| given.extend_from_slice(points),
    );
    let rest = each.unwrap().track;
    assert_eq!((given, rest.loads, rest.findings, rest.rows_read), {
        let all = one.track.clone();
        (all.points, all.loads, all.findings, all.rows_read)
    });
    for threads in [2, 5] {
        let many = with(threads);
        assert_eq!(one, many);
        assert_eq!(totals(&one), totals(&many));
    }
}
