//! How long 10,000 entries take: one by one, each on the disk before the next; and as one import.
//! Beside them the physical limit of the same disk, 10,000 writes of the same bytes to a plain
//! file, each followed by `fdatasync`: once appended (the file grows, so that its size is written
//! too) and once over the same place (what a write-ahead log that is used again does). The three
//! take turns, a tenth of the entries each, so that a busy disk slows all of them.
//!
//! ```text
//! cargo run --release -p stook-book --example append_bench -- [FOLDER] [COUNT]
//! ```
#![expect(clippy::print_stdout, reason = "a benchmark prints its table")]

use book::kinds::{Name, Note};
use book::{Book, Device, EntryId, Happened, NewEntry, effective};
use std::error::Error;
use std::fs::File;
use std::io::{Seek, Write};
use std::path::PathBuf;
use std::time::{Duration, Instant};

const NOW: i64 = 1_790_000_000_000;

fn made(count: u32) -> Result<Vec<NewEntry>, Box<dyn Error>> {
    // about as long as a ticket
    let text =
        "gross 78,460 tare 26,240 net 52,220 lb, 18.2 %, 56.5 lb/bu, ticket 48213. ".repeat(6);
    (0..count)
        .map(|n| {
            let [a, b, c, d] = n.to_be_bytes();
            Ok(NewEntry {
                id: EntryId::from_clock(NOW + i64::from(n), [0, 0, 0, 0, 0, 0, a, b, c, d])?,
                author: Name::new("grower")?,
                happened: Happened::new(NOW, "America/Chicago")?,
                payload: Note {
                    text: text.clone(),
                    about: vec![],
                    of: vec![],
                    question: false,
                }
                .into(),
                replaces: vec![],
            })
        })
        .collect()
}

fn line(what: &str, count: u32, took: Duration) {
    let each = took.as_secs_f64() * 1e6 / f64::from(count);
    println!("| {what} | {:.3} | {each:.1} |", took.as_secs_f64());
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut words = std::env::args_os().skip(1);
    let folder = words.next().map_or_else(std::env::temp_dir, PathBuf::from);
    let count: u32 = words
        .next()
        .map_or(Ok(10_000), |word| word.to_string_lossy().parse())?;
    let folder = folder.join(format!("append_bench.{}", std::process::id()));
    std::fs::create_dir(&folder)?;
    let entries = made(count)?;
    println!("| {count} entries | seconds | us each |\n| --- | --- | --- |");

    let bytes = entries[0].payload.text();
    let mut grown = File::create(folder.join("grown"))?;
    let mut over = File::create(folder.join("over"))?;
    let device = Device::new("bench", "bench")?;
    let mut book = Book::create(folder.join("one.stook"), &device, NOW)?;
    let mut took = [Duration::ZERO; 3];
    for part in entries.chunks(entries.len().div_ceil(10).max(1)) {
        let start = Instant::now();
        for _ in part {
            grown.write_all(bytes.as_bytes())?;
            grown.sync_data()?;
        }
        took[0] += start.elapsed();
        let start = Instant::now();
        for _ in part {
            over.rewind()?;
            over.write_all(bytes.as_bytes())?;
            over.sync_data()?;
        }
        took[1] += start.elapsed();
        let start = Instant::now();
        for entry in part {
            book.append(entry, NOW)?;
        }
        took[2] += start.elapsed();
    }
    line(
        "plain file that grows, fdatasync after each",
        count,
        took[0],
    );
    line(
        "plain file written over, fdatasync after each",
        count,
        took[1],
    );
    line("book, one by one, each on the disk", count, took[2]);

    let mut import = Book::create(folder.join("import.stook"), &device, NOW)?;
    let start = Instant::now();
    import.append_all(&entries, NOW)?;
    line("book, as one import", count, start.elapsed());

    let mut merged = Book::create(folder.join("merged.stook"), &device, NOW)?;
    let start = Instant::now();
    merged.merge_from(folder.join("one.stook"))?;
    line("book, merged from the other book", count, start.elapsed());

    let start = Instant::now();
    let read = merged.entries()?;
    line("read back, in order", count, start.elapsed());
    let start = Instant::now();
    let fold = effective(&read);
    line("folded into what stands", count, start.elapsed());
    assert_eq!(fold.entries.len(), read.len());
    assert_eq!(merged.dump()?, book.dump()?);
    std::fs::remove_dir_all(&folder)?;
    Ok(())
}
