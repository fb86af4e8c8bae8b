//! Parses and totals a million points, beside the `csv` crate merely splitting the same file.
//!
//! `cargo run --release -p stook-formats --example points_bench [-- POINTS [REPETITIONS]]`
//!
//! Makes a file in memory and on disk, then times, turn about: the `csv` crate splitting it into fields
//! (`ByteRecord`, one record reused, default buffer, the fields only counted); reading it and adding
//! it up as `pass summary` does (area, masses, passes, checks); reading it into points that are held;
//! adding those up. Prints medians, and the ratio to the splitting, as a markdown table.
#![expect(clippy::print_stdout, reason = "an example that prints its table")]

use formats::delimited::{ReadOptions, read, read_each};
use quantity::Moisture;
use std::fmt::Write as _;
use std::fs::File;
use std::hint::black_box;
use std::path::Path;
use std::time::Instant;
use track::{CropBasis, Totals, summary};

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
    let options = ReadOptions::default();
    let open = || File::open(path).expect("our file");
    let total = || -> usize {
        let mut totals = Totals::new(9.144, &basis).expect("a swath");
        let rest =
            read_each(open(), "bench", &options, &mut |points| totals.add(points)).expect("points");
        black_box(totals.finish(&rest.track).expect("a summary").n) as usize
    };
    let parse = || -> usize {
        black_box(
            read(open(), "bench", &options)
                .expect("points")
                .track
                .points,
        )
        .len()
    };
    let hold = || -> usize {
        let read = read(open(), "bench", &options).expect("points");
        black_box(summary(&read.track, 9.144, &basis).expect("a summary").n) as usize
    };
    let mut seconds = [const { Vec::new() }; 7];
    for _ in 0..repetitions {
        let fields = timed(&mut seconds[0], || split(path));
        assert_eq!(fields, 8 * (points as usize + 1));
        for (pool, slot) in [(&one, 1), (&many, 4)] {
            let found = [
                pool.install(|| timed(&mut seconds[slot], total)),
                pool.install(|| timed(&mut seconds[slot + 1], parse)),
                pool.install(|| timed(&mut seconds[slot + 2], hold)),
            ];
            assert_eq!(found, [points as usize; 3]);
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
        ("parse and total, point by point", "1"),
        ("parse into points, held", "1"),
        ("parse into points, held, then total", "1"),
        ("parse and total, point by point", &many),
        ("parse into points, held", &many),
        ("parse into points, held, then total", &many),
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
