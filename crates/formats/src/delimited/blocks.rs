//! A stream to blocks, blocks to pieces, pieces to points, in order.

use super::columns;
use super::record::{Place, Row, RowReader, Scratch};
use super::sniff::{self, Start};
use super::split::{self, Dialect, End, LONGEST_ROW};
use super::{PointsRead, ProfileUsed, ReadOptions};
use crate::FormatError;
use memchr::{memchr, memchr_iter, memrchr};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::io::Read;
use track::{Done, Finding, FindingKind, Findings, RawPoint, Track};

/// Rows that may go by without a usable one before the file is refused.
const PATIENCE: u64 = 10_000;
/// Bytes that one thread parses at a time.
const PIECE: usize = 128 * 1024;
/// More loads than any season: the column is something else.
const MOST_LOADS: usize = 100_000;

/// Who takes points as they come.
pub(super) type Taker<'a> = &'a mut dyn FnMut(&[RawPoint]);

/// Reads a whole stream.
pub(super) fn read(
    mut input: impl Read,
    file: &str,
    options: &ReadOptions,
    mut each: Option<Taker<'_>>,
) -> Result<PointsRead, FormatError> {
    let mut buffer = Buffer::new(options.block_bytes);
    buffer.fill(&mut input, file, 4 * LONGEST_ROW)?;
    let start = sniff::sniff(file, buffer.bytes(), buffer.last, options.delimiter)?;
    let layout = columns::resolve(file, &start.header, &options.columns, options.interval_s)?;
    let reader = RowReader::new(&layout, start.dialect, options.interval_s);
    let Start {
        dialect,
        body,
        lines,
        ..
    } = start;
    buffer.consume(body);

    let mut gathered = Gathered::new(file, options.strict);
    let mut place = Place {
        row: lines + 1,
        byte: Some(body as u64),
    };
    loop {
        let (pieces, used, next) = cut(buffer.bytes(), dialect, buffer.last, place);
        gathered.parse(buffer.bytes(), &pieces, &reader, dialect)?;
        if let Some(each) = &mut each {
            each(&gathered.points);
            gathered.points.clear();
        }
        buffer.consume(used);
        place = next;
        if buffer.last {
            break;
        }
        if buffer.bytes().len() > LONGEST_ROW {
            // no row end in sight: let it go by without holding it
            gathered.long_row(place)?;
            place.pass(buffer.skip_line(&mut input, file, dialect.line_end)?);
            place.row += 1;
        }
        buffer.fill(&mut input, file, 0)?;
    }
    let track = gathered.finish()?;
    Ok(PointsRead {
        track,
        profile: layout.profile.map(|p| ProfileUsed {
            name: p.name.clone(),
            about: p.about.clone(),
        }),
        columns: layout.readings,
        delimiter: char::from(dialect.delimiter),
        decimal_comma: dialect.decimal_comma,
        bytes: buffer.total,
    })
}

/// Bytes read and not yet used.
struct Buffer {
    held: Vec<u8>,
    used: usize,
    block: usize,
    last: bool,
    total: u64,
}

impl Buffer {
    fn new(block: usize) -> Self {
        Self {
            held: Vec::new(),
            used: 0,
            block: block.max(1),
            last: false,
            total: 0,
        }
    }

    fn bytes(&self) -> &[u8] {
        &self.held[self.used..]
    }

    fn consume(&mut self, count: usize) {
        self.used += count;
    }

    /// Reads one more block, and at least `least` bytes in all.
    fn fill(&mut self, input: &mut impl Read, file: &str, least: usize) -> Result<(), FormatError> {
        self.held.drain(..self.used);
        self.used = 0;
        let wanted = (self.held.len() + self.block).max(least) as u64;
        let more = wanted - self.held.len() as u64;
        let got = input
            .by_ref()
            .take(more)
            .read_to_end(&mut self.held)
            .map_err(|source| FormatError::Unreachable {
                file: file.to_string(),
                source,
            })?;
        self.total += got as u64;
        self.last = (got as u64) < more;
        Ok(())
    }

    /// Drops everything up to and including the next line end; says how many bytes that was.
    fn skip_line(
        &mut self,
        input: &mut impl Read,
        file: &str,
        line_end: u8,
    ) -> Result<u64, FormatError> {
        let mut skipped = 0;
        loop {
            if let Some(end) = memchr(line_end, self.bytes()) {
                self.consume(end + 1);
                return Ok(skipped + end as u64 + 1);
            }
            skipped += self.bytes().len() as u64;
            self.used = self.held.len();
            if self.last {
                return Ok(skipped);
            }
            self.fill(input, file, 0)?;
        }
    }
}

/// Whole records of a block, for one thread.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub(super) start: usize,
    pub(super) end: usize,
    /// Whether quotes may be in it.
    pub(super) quoted: bool,
    pub(super) place: Place,
}

/// Cuts the whole records of a block into pieces; says how many bytes they take and where the next
/// record is.
fn cut(bytes: &[u8], dialect: Dialect, last: bool, mut place: Place) -> (Vec<Piece>, usize, Place) {
    let mut pieces = Vec::new();
    let mut start = 0;
    let quoted = memchr(b'"', bytes).is_some();
    let whole = match memrchr(dialect.line_end, bytes) {
        _ if last => bytes.len(),
        Some(end) => end + 1,
        None => 0,
    };
    while start < whole {
        let end = if quoted {
            quoted_piece(bytes, start, dialect, last)
        } else {
            let from = (start + PIECE).min(whole);
            memchr(dialect.line_end, &bytes[from - 1..whole]).map_or(whole, |step| from + step)
        };
        if end == start {
            break;
        }
        pieces.push(Piece {
            start,
            end,
            quoted,
            place,
        });
        place.row += memchr_iter(dialect.line_end, &bytes[start..end]).count() as u64;
        place.pass((end - start) as u64);
        start = end;
    }
    (pieces, start, place)
}

/// The end of a piece whose row ends may be inside quotes: found record by record.
fn quoted_piece(bytes: &[u8], start: usize, dialect: Dialect, last: bool) -> usize {
    let mut at = start;
    while at < bytes.len() && at - start < PIECE {
        match split::record_end(bytes, at, dialect, last) {
            End::At(_, next) => at = next,
            End::Beyond => break,
        }
    }
    at
}

/// What one piece holds.
#[derive(Default)]
struct Side {
    rows: u64,
    /// Rows before the first usable one.
    first_kept: Option<u64>,
    findings: Findings,
    first_bad: Option<Finding>,
    /// Whether a row too long for points came before any usable one.
    long_before_kept: bool,
    loads: Loads,
}

/// Load names in order of appearance.
#[derive(Default)]
struct Loads {
    names: Vec<String>,
    known: BTreeMap<String, u32>,
    latest: Option<u32>,
}

impl Loads {
    fn number(&mut self, name: &str) -> u32 {
        if let Some(latest) = self.latest
            && self.names[latest as usize] == name
        {
            return latest;
        }
        let number = self.known.get(name).copied().unwrap_or_else(|| {
            let number = self.names.len() as u32;
            self.names.push(name.to_string());
            self.known.insert(name.to_string(), number);
            number
        });
        self.latest = Some(number);
        number
    }
}

fn parse(
    bytes: &[u8],
    piece: Piece,
    reader: &RowReader,
    dialect: Dialect,
    points: &mut Vec<RawPoint>,
) -> Side {
    let mut side = Side::default();
    let mut scratch = Scratch::default();
    let bytes = &bytes[piece.start..piece.end];
    let (mut at, mut row) = (0, piece.place.row);
    let quoted = piece.quoted;
    while at < bytes.len() {
        // the piece ends at a record's end, so nothing more follows
        let (end, next) = if quoted {
            let End::At(end, next) = split::record_end(bytes, at, dialect, true) else {
                break;
            };
            (end, next)
        } else {
            memchr(dialect.line_end, &bytes[at..]).map_or((bytes.len(), bytes.len()), |step| {
                (at + step, at + step + 1)
            })
        };
        let record_len = end - at;
        let record = split::without_cr(&bytes[at..end]);
        let place = Place {
            row,
            byte: piece.place.byte.map(|byte| byte + at as u64),
        };
        row += 1;
        if quoted {
            row += memchr_iter(dialect.line_end, record).count() as u64;
        }
        at = next;
        if record.is_empty() {
            continue;
        }
        side.rows += 1;
        if record_len > LONGEST_ROW {
            side.long_before_kept |= side.first_kept.is_none();
            side.note(long_row(place));
            continue;
        }
        match reader.read(record, quoted, place, &mut scratch) {
            Row::Bad(finding) => side.note(finding),
            Row::Point(mut point, load, odd) => {
                point.load = load.map(|name| side.loads.number(&String::from_utf8_lossy(name)));
                side.first_kept.get_or_insert(side.rows - 1);
                points.push(point);
                if let Some(finding) = odd {
                    side.note(finding);
                }
            }
        }
    }
    side
}

impl Side {
    fn note(&mut self, finding: Finding) {
        if self.first_bad.is_none() {
            self.first_bad = Some(finding.clone());
        }
        self.findings.add(finding);
    }
}

fn long_row(place: Place) -> Finding {
    place.set_aside(
        FindingKind::LongRow,
        "longer than 64 KB, expected a row of points".into(),
        None,
    )
}

/// Points and findings so far.
pub(super) struct Gathered<'a> {
    file: &'a str,
    strict: bool,
    points: Vec<RawPoint>,
    findings: Findings,
    loads: Loads,
    rows: u64,
    /// Usable rows, whether or not their points are still here.
    kept: u64,
    first_bad: Option<Finding>,
}

impl<'a> Gathered<'a> {
    pub(super) fn new(file: &'a str, strict: bool) -> Self {
        Self {
            file,
            strict,
            points: Vec::new(),
            findings: Findings::default(),
            loads: Loads::default(),
            rows: 0,
            kept: 0,
            first_bad: None,
        }
    }

    pub(super) fn parse(
        &mut self,
        bytes: &[u8],
        pieces: &[Piece],
        reader: &RowReader,
        dialect: Dialect,
    ) -> Result<(), FormatError> {
        if pieces.len() < 2 || rayon::current_num_threads() == 1 {
            for piece in pieces {
                let from = self.points.len();
                let side = parse(bytes, *piece, reader, dialect, &mut self.points);
                self.absorb(side, from)?;
            }
            return Ok(());
        }
        let parsed: Vec<(Vec<RawPoint>, Side)> = pieces
            .par_iter()
            .map(|piece| {
                let mut points = Vec::with_capacity(PIECE / 32);
                let side = parse(bytes, *piece, reader, dialect, &mut points);
                (points, side)
            })
            .collect();
        for (points, side) in parsed {
            let from = self.points.len();
            self.points.extend_from_slice(&points);
            self.absorb(side, from)?;
        }
        Ok(())
    }

    /// Takes in the next piece, whose points are those from `from` on.
    fn absorb(&mut self, side: Side, from: usize) -> Result<(), FormatError> {
        let idle = if self.kept == 0 {
            self.rows + side.first_kept.unwrap_or(side.rows)
        } else {
            0
        };
        if self.first_bad.is_none() {
            self.first_bad = side.first_bad;
        }
        self.refuse_if_strict()?;
        if self.kept == 0 && side.long_before_kept {
            return Err(self.too_long());
        }
        if idle >= PATIENCE {
            return Err(self.unusable(PATIENCE));
        }
        self.rows += side.rows;
        self.kept += (self.points.len() - from) as u64;
        self.findings.append(side.findings);
        if side.loads.names.is_empty() {
            return Ok(());
        }
        let numbers: Vec<u32> = side
            .loads
            .names
            .iter()
            .map(|name| self.loads.number(name))
            .collect();
        if self.loads.names.len() > MOST_LOADS {
            return Err(FormatError::Columns {
                file: self.file.to_string(),
                what: format!(
                    "found more than {MOST_LOADS} different loads, expected a few hundred; set that column to ignore"
                ),
            });
        }
        for point in &mut self.points[from..] {
            point.load = point.load.map(|load| numbers[load as usize]);
        }
        Ok(())
    }

    /// A row that was never held whole.
    fn long_row(&mut self, place: Place) -> Result<(), FormatError> {
        let finding = long_row(place);
        if self.first_bad.is_none() {
            self.first_bad = Some(finding.clone());
        }
        self.refuse_if_strict()?;
        if self.kept == 0 {
            return Err(self.too_long());
        }
        self.rows += 1;
        self.findings.add(finding);
        Ok(())
    }

    fn refuse_if_strict(&self) -> Result<(), FormatError> {
        match &self.first_bad {
            Some(bad) if self.strict => Err(FormatError::BadRow {
                file: self.file.to_string(),
                row: bad.row.unwrap_or(0),
                what: bad.what.clone(),
            }),
            _ => Ok(()),
        }
    }

    fn too_long(&self) -> FormatError {
        FormatError::NotThis {
            file: self.file.to_string(),
            found: "a row longer than 64 KB before any usable one".into(),
            expected: "delimited text of combine points".into(),
        }
    }

    fn unusable(&self, rows: u64) -> FormatError {
        FormatError::NoUsableRow {
            file: self.file.to_string(),
            rows,
            first: self.first_bad.as_ref().map_or_else(
                || "there is none".into(),
                |bad| format!("of row {}: {}", bad.row.unwrap_or(0), bad.what),
            ),
        }
    }

    pub(super) fn finish(self) -> Result<Track, FormatError> {
        if self.kept == 0 {
            return Err(self.unusable(self.rows));
        }
        debug_assert!(self.findings.shown().iter().all(|f| f.done != Done::Warned));
        Ok(Track {
            points: self.points,
            loads: self.loads.names,
            findings: self.findings,
            rows_read: self.rows,
        })
    }
}
