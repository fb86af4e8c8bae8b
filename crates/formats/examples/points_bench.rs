//! Parses and totals a million points, beside the `csv` crate merely splitting the same file.
//!
//! `cargo run --release -p stook-formats --example points_bench [-- POINTS [REPETITIONS]]`
//!
//! Makes a file in memory and on disk, then times, turn about: the `csv` crate splitting it into fields
//! (`ByteRecord`, one record reused, default buffer, the fields only counted); reading it into points;
//! reading and adding it up. Prints medians, and the ratio to the splitting, as a markdown table.
#![expect(clippy::print_stdout, reason = "an example that prints its table")]

use formats::delimited::{ReadOptions, read};
use quantity::Moisture;
use std::fmt::Write as _;
use std::fs::File;
use std::hint::black_box;
use std::path::Path;
use std::time::Instant;
use track::{CropBasis, summary};

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

fn main() -> Outcome<()> {
    let mut arguments = std::env::args().skip(1);
    let points: u32 = arguments
        .next()
        .map_or(Ok(1_000_000), |text| text.parse())?;
    let repetitions: usize = arguments.next().map_or(Ok(9), |text| text.parse())?;
    let path = std::env::temp_dir().join(format!("points-bench-{}.tsv", std::process::id()));
    std::fs::write(&path, text(points))?;
    let outcome = run(&path, points, repetitions);
    std::fs::remove_file(&path)?;
    outcome
}

/// Passes of 500 records up and down a field, with the eight columns of a plain export.
fn text(points: u32) -> String {
    let mut text = String::from("long\tlat\tmass\ttime\tseconds\tdist\tmoist\telev\n");
    let mut noise = 1_u64;
    for i in 0..points {
        noise = noise
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let wobble = f64::from((noise >> 40) as u32) / f64::from(1_u32 << 24);
        let (pass, along) = (i / 500, i % 500);
        let north = if pass.is_multiple_of(2) {
            along
        } else {
            499 - along
        };
        let _ = writeln!(
            text,
            "{:.6}\t{:.6}\t{:.2}\t{}\t1\t{:.0}\t{:.1}\t{:.2}",
            -93.97 + f64::from(pass) * 1.139e-4,
            43.92 + f64::from(north) * 1.8e-5,
            20.0 + 20.0 * wobble,
            i,
            70.0 + 20.0 * wobble,
            15.0 + 4.0 * wobble,
            1_030.0 + 30.0 * wobble,
        );
    }
    text
}

fn run(path: &Path, points: u32, repetitions: usize) -> Outcome<()> {
    let basis = CropBasis {
        crop: "corn".into(),
        base_moisture: Moisture::from_percent(15.5)?,
        lb_per_bu: 56.0,
        moisture_if_unmeasured: None,
    };
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build()?;
    let many = rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()?;
    let parse = || -> usize {
        read(
            File::open(path).expect("our file"),
            "bench",
            &ReadOptions::default(),
        )
        .expect("points")
        .track
        .points
        .len()
    };
    let total = || -> usize {
        let read = read(
            File::open(path).expect("our file"),
            "bench",
            &ReadOptions::default(),
        )
        .expect("points");
        black_box(summary(&read.track, 9.144, &basis).expect("a summary").n) as usize
    };
    let mut seconds = [const { Vec::new() }; 5];
    for _ in 0..repetitions {
        let fields = timed(&mut seconds[0], || split(path));
        assert_eq!(fields, 8 * (points as usize + 1));
        for (slot, found) in [
            (1, one.install(|| timed(&mut seconds[1], parse))),
            (2, one.install(|| timed(&mut seconds[2], total))),
            (3, many.install(|| timed(&mut seconds[3], parse))),
            (4, many.install(|| timed(&mut seconds[4], total))),
        ] {
            assert_eq!(found, points as usize, "measurement {slot}");
        }
    }
    let base = median(&mut seconds[0]);
    let megabytes = std::fs::metadata(path)?.len() as f64 / 1e6;
    println!(
        "{points} points, {megabytes:.1} MB, medians of {repetitions} runs taken in turn, {threads} processors\n"
    );
    println!("| what | threads | seconds | times the splitting |\n| --- | --- | --- | --- |");
    let many = threads.to_string();
    let rows = [
        ("csv crate: split into fields (ByteRecord)", "1"),
        ("read into points", "1"),
        ("read and total (passes, checks, summary)", "1"),
        ("read into points", &many),
        ("read and total (passes, checks, summary)", &many),
    ];
    for ((what, threads), seconds) in rows.iter().zip(&mut seconds) {
        let time = median(seconds);
        println!("| {what} | {threads} | {time:.3} | {:.2} |", time / base);
    }
    Ok(())
}

/// The `csv` crate splitting the file, as fast as it goes by its own documentation.
fn split(path: &Path) -> usize {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .delimiter(b'\t')
        .from_path(path)
        .expect("our file");
    let mut record = csv::ByteRecord::new();
    let mut fields = 0;
    while reader.read_byte_record(&mut record).expect("our file") {
        fields += black_box(&record).len();
    }
    fields
}

fn timed<T>(seconds: &mut Vec<f64>, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let result = work();
    seconds.push(start.elapsed().as_secs_f64());
    result
}

fn median(seconds: &mut [f64]) -> f64 {
    seconds.sort_by(f64::total_cmp);
    seconds[seconds.len() / 2]
}
