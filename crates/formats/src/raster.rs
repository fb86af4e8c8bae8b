//! Square cells of numbers, out: GeoTIFF for map programs, PNG to look at.
//!
//! A grid lies in meters east and north of an origin in degrees. Its GeoTIFF names the coordinate system in full: a
//! transverse Mercator about that origin on WGS 84, scale 1, no false easting ("user-defined" in the GeoTIFF keys, OGC
//! 19-008r4). The flat frame of a field ([`track::LocalFrame`]) is not quite that: 500 m east and 500 m north of the
//! origin at 45 degrees the two lie 4 cm apart, at 1,000 m 16 cm, growing with the product of both.
//!
//! Files are tiled (256 cells a side), deflated, with overviews by means over the cells that are told, and say which
//! number is none (NaN, GDAL's tag 42113). Each band has its name and its unit (GDAL's tag 42112).
//!
//! Limitations: 32 bit floating point only; below 4 GB (classic TIFF, TIFF 6.0).

use crate::FormatError;
use flate2::Compression;
use flate2::write::ZlibEncoder;
use std::fmt::Write as _;
use std::io::Write as _;

/// One number of every cell.
#[derive(Debug, Clone, PartialEq)]
pub struct RasterBand {
    /// What it is, such as `yield`.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// Cells from the south-west, row by row; NaN where nothing is told.
    pub values: Vec<f32>,
}

/// Cells of a grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Raster {
    /// Longitude and latitude of the place from which meters count, degrees (WGS 84).
    pub origin: (f64, f64),
    /// South-west corner, meters east and north of it.
    pub corner: (f64, f64),
    /// Side of a cell, m.
    pub side_m: f64,
    /// Columns.
    pub wide: usize,
    /// Rows.
    pub high: usize,
    /// What is told of each cell.
    pub bands: Vec<RasterBand>,
}

const TILE: usize = 256;
/// Name of the coordinate system, with the end mark of GeoTIFF's texts.
const NAME: &str = "transverse Mercator about the field, WGS 84|";

fn odd(found: String, expected: &str) -> FormatError {
    FormatError::Malformed {
        found,
        expected: expected.to_owned(),
    }
}

/// One resolution: rows from the north, bands beside each other.
struct Level {
    wide: usize,
    high: usize,
    /// `values[band][row * wide + column]`, rows from the north.
    values: Vec<Vec<f32>>,
}

impl Level {
    fn of(raster: &Raster) -> Self {
        let (wide, high) = (raster.wide, raster.high);
        let turned = |band: &RasterBand| {
            let rows = band.values.chunks_exact(wide).rev();
            rows.flatten().copied().collect()
        };
        Self {
            wide,
            high,
            values: raster.bands.iter().map(turned).collect(),
        }
    }

    /// Half as fine: each cell the mean of the up to four that are told.
    fn halved(&self) -> Self {
        let (wide, high) = (self.wide.div_ceil(2), self.high.div_ceil(2));
        let half = |values: &Vec<f32>| {
            let mut out = Vec::with_capacity(wide * high);
            for row in 0..high {
                for column in 0..wide {
                    let (mut sum, mut n) = (0.0_f64, 0.0);
                    for y in 2 * row..(2 * row + 2).min(self.high) {
                        for x in 2 * column..(2 * column + 2).min(self.wide) {
                            let value = f64::from(values[y * self.wide + x]);
                            if value.is_finite() {
                                sum += value;
                                n += 1.0;
                            }
                        }
                    }
                    out.push(if n > 0.0 { (sum / n) as f32 } else { f32::NAN });
                }
            }
            out
        };
        Self {
            wide,
            high,
            values: self.values.iter().map(half).collect(),
        }
    }

    fn tiles(&self) -> (usize, usize) {
        (self.wide.div_ceil(TILE), self.high.div_ceil(TILE))
    }

    /// A tile, deflated: bands of a cell side by side, padded with none.
    fn tile(&self, across: usize, down: usize) -> std::io::Result<Vec<u8>> {
        let mut bytes = Vec::with_capacity(TILE * TILE * self.values.len() * 4);
        for y in down * TILE..(down + 1) * TILE {
            for x in across * TILE..(across + 1) * TILE {
                for values in &self.values {
                    let value = if x < self.wide && y < self.high {
                        values[y * self.wide + x]
                    } else {
                        f32::NAN
                    };
                    bytes.extend_from_slice(&value.to_le_bytes());
                }
            }
        }
        deflated(&bytes)
    }
}

fn deflated(bytes: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::default());
    packer.write_all(bytes)?;
    packer.finish()
}

/// A directory's entries in the making: tag, type, count, bytes of the value.
struct Directory(Vec<(u16, u16, u32, Vec<u8>)>);

impl Directory {
    fn shorts(&mut self, tag: u16, all: &[u16]) {
        let bytes = all.iter().flat_map(|one| one.to_le_bytes()).collect();
        self.0.push((tag, 3, all.len() as u32, bytes));
    }
    fn longs(&mut self, tag: u16, all: &[u32]) {
        let bytes = all.iter().flat_map(|one| one.to_le_bytes()).collect();
        self.0.push((tag, 4, all.len() as u32, bytes));
    }
    fn doubles(&mut self, tag: u16, all: &[f64]) {
        let bytes = all.iter().flat_map(|one| one.to_le_bytes()).collect();
        self.0.push((tag, 12, all.len() as u32, bytes));
    }
    fn text(&mut self, tag: u16, text: &str) {
        let mut bytes = text.as_bytes().to_vec();
        bytes.push(0);
        self.0.push((tag, 2, bytes.len() as u32, bytes));
    }

    /// Its bytes at a place, values that do not fit into an entry after it; and where the place of the next is written.
    fn bytes(mut self, at: u32, next: u32) -> Vec<u8> {
        self.0.sort_by_key(|one| one.0);
        let mut beyond = at + 2 + 12 * self.0.len() as u32 + 4;
        let mut out = (self.0.len() as u16).to_le_bytes().to_vec();
        let mut after = Vec::new();
        for (tag, kind, count, bytes) in &self.0 {
            out.extend_from_slice(&tag.to_le_bytes());
            out.extend_from_slice(&kind.to_le_bytes());
            out.extend_from_slice(&count.to_le_bytes());
            if bytes.len() <= 4 {
                let mut short = bytes.clone();
                short.resize(4, 0);
                out.extend_from_slice(&short);
            } else {
                out.extend_from_slice(&beyond.to_le_bytes());
                after.extend_from_slice(bytes);
                if bytes.len() % 2 == 1 {
                    after.push(0);
                }
                beyond += (bytes.len() + bytes.len() % 2) as u32;
            }
        }
        out.extend_from_slice(&next.to_le_bytes());
        out.extend_from_slice(&after);
        out
    }

    fn length(&self) -> usize {
        let long = |bytes: &Vec<u8>| {
            if bytes.len() > 4 {
                bytes.len() + bytes.len() % 2
            } else {
                0
            }
        };
        2 + 12 * self.0.len() + 4 + self.0.iter().map(|one| long(&one.3)).sum::<usize>()
    }
}

/// A GeoTIFF.
///
/// # Errors
/// Bands that do not have one value a cell, no band, or more cells than the format holds.
pub fn geotiff(raster: &Raster) -> Result<Vec<u8>, FormatError> {
    check(raster)?;
    let mut levels = vec![Level::of(raster)];
    while let Some(last) = levels.last()
        && last.wide.max(last.high) > TILE
    {
        let next = last.halved();
        levels.push(next);
    }
    let mut out = vec![b'I', b'I', 42, 0, 8, 0, 0, 0];
    let unpacked: usize = levels
        .iter()
        .map(|one| one.tiles().0 * one.tiles().1 * TILE * TILE * 4 * one.values.len())
        .sum();
    if unpacked > 3 << 30 {
        return Err(odd(
            format!("{} by {} cells", raster.wide, raster.high),
            "fewer: a classic TIFF holds less than 4 GB; make the cells larger",
        ));
    }
    // packing in memory does not fail
    let full = |_: std::io::Error| odd("no memory to pack into".to_owned(), "more memory");
    // directories first, one after another, then the tiles
    let mut packed: Vec<Vec<Vec<u8>>> = Vec::new();
    for level in &levels {
        let (across, down) = level.tiles();
        let mut tiles = Vec::with_capacity(across * down);
        for y in 0..down {
            for x in 0..across {
                tiles.push(level.tile(x, y).map_err(full)?);
            }
        }
        packed.push(tiles);
    }
    let directory = |nth: usize, offsets: &[u32]| {
        let level = &levels[nth];
        let counts: Vec<u32> = packed[nth].iter().map(|tile| tile.len() as u32).collect();
        entries(raster, level, nth > 0, offsets, &counts)
    };
    let mut ends = vec![8_usize];
    for (nth, tiles) in packed.iter().enumerate() {
        let length = directory(nth, &vec![0; tiles.len()]).length();
        ends.push(ends[nth] + length);
    }
    let mut at = ends[packed.len()];
    let mut offsets: Vec<Vec<u32>> = Vec::new();
    for tiles in &packed {
        let mut of = Vec::with_capacity(tiles.len());
        for tile in tiles {
            of.push(at as u32);
            at += tile.len() + tile.len() % 2;
        }
        offsets.push(of);
    }
    for (nth, of) in offsets.iter().enumerate() {
        let next = if nth + 1 < packed.len() {
            ends[nth + 1] as u32
        } else {
            0
        };
        out.extend(directory(nth, of).bytes(ends[nth] as u32, next));
    }
    for tile in packed.iter().flatten() {
        out.extend_from_slice(tile);
        if tile.len() % 2 == 1 {
            out.push(0);
        }
    }
    Ok(out)
}

fn check(raster: &Raster) -> Result<(), FormatError> {
    if raster.wide == 0 || raster.high == 0 || raster.bands.is_empty() {
        return Err(odd("a map without cells".to_owned(), "at least one"));
    }
    if let Some(band) = raster
        .bands
        .iter()
        .find(|band| band.values.len() != raster.wide * raster.high)
    {
        return Err(odd(
            format!("{} values of {}", band.values.len(), band.name),
            "one a cell",
        ));
    }
    if !(raster.side_m > 0.0 && raster.side_m.is_finite()) {
        return Err(odd(format!("cells of {} m", raster.side_m), "above 0 m"));
    }
    Ok(())
}

/// The tags of one resolution (TIFF 6.0; GeoTIFF keys by OGC 19-008r4).
fn entries(
    raster: &Raster,
    level: &Level,
    overview: bool,
    offsets: &[u32],
    counts: &[u32],
) -> Directory {
    let bands = raster.bands.len();
    let mut out = Directory(Vec::new());
    out.longs(254, &[u32::from(overview)]);
    out.longs(256, &[level.wide as u32]);
    out.longs(257, &[level.high as u32]);
    out.shorts(258, &vec![32; bands]);
    out.shorts(259, &[8]);
    out.shorts(262, &[1]);
    out.shorts(277, &[bands as u16]);
    out.shorts(284, &[1]);
    out.shorts(322, &[TILE as u16]);
    out.shorts(323, &[TILE as u16]);
    out.longs(324, offsets);
    out.longs(325, counts);
    if bands > 1 {
        out.shorts(338, &vec![0; bands - 1]);
    }
    out.shorts(339, &vec![3; bands]);
    out.text(42113, "nan");
    if overview {
        return out;
    }
    out.doubles(33550, &[raster.side_m, raster.side_m, 0.0]);
    let north = raster.corner.1 + raster.high as f64 * raster.side_m;
    out.doubles(33922, &[0.0, 0.0, 0.0, raster.corner.0, north, 0.0]);
    let doubles = [raster.origin.0, raster.origin.1, 0.0, 0.0, 1.0];
    let mut keys: Vec<u16> = vec![1, 1, 0, 0];
    let mut count = 0;
    let mut key = |all: [u16; 4]| {
        keys.extend_from_slice(&all);
        count += 1;
    };
    key([1024, 0, 1, 1]); // projected
    key([1025, 0, 1, 1]); // a cell is an area
    key([1026, 34737, NAME.len() as u16, 0]);
    key([2048, 0, 1, 4326]); // WGS 84
    key([2054, 0, 1, 9102]); // degrees
    key([3072, 0, 1, 32767]); // projected, defined here:
    key([3074, 0, 1, 32767]);
    key([3075, 0, 1, 1]); // transverse Mercator
    key([3076, 0, 1, 9001]); // meters
    key([3080, 34736, 1, 0]); // longitude and latitude of the origin
    key([3081, 34736, 1, 1]);
    key([3082, 34736, 1, 2]); // no false easting and northing
    key([3083, 34736, 1, 3]);
    key([3092, 34736, 1, 4]); // scale
    keys[3] = count;
    out.shorts(34735, &keys);
    out.doubles(34736, &doubles);
    out.text(34737, NAME);
    let safe = |text: &str| text.replace('&', "&amp;").replace('<', "&lt;");
    let mut told = String::from("<GDALMetadata>");
    for (nth, band) in raster.bands.iter().enumerate() {
        let _ = write!(
            told,
            "<Item name=\"DESCRIPTION\" sample=\"{nth}\" role=\"description\">{}</Item><Item name=\"UNITTYPE\" sample=\"{nth}\" role=\"unittype\">{}</Item>",
            safe(&band.name),
            safe(&band.unit)
        );
    }
    told.push_str("</GDALMetadata>");
    out.text(42112, &told);
    out
}

/// A PNG (ISO/IEC 15948) of pixels: red, green, blue and how solid, rows from the north.
///
/// # Errors
/// Not one pixel a place, or no pixel.
pub fn png(wide: usize, high: usize, pixels: &[[u8; 4]]) -> Result<Vec<u8>, FormatError> {
    if wide == 0 || high == 0 || pixels.len() != wide * high || wide.max(high) > 100_000 {
        return Err(odd(
            format!("{} pixels for {wide} by {high}", pixels.len()),
            "one a place, at most 100,000 across",
        ));
    }
    let mut rows = Vec::with_capacity(high * (1 + 4 * wide));
    for row in pixels.chunks_exact(wide) {
        rows.push(0);
        rows.extend(row.iter().flatten());
    }
    let packed =
        deflated(&rows).map_err(|_| odd("no memory to pack into".to_owned(), "more memory"))?;
    let mut out = vec![0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n'];
    let mut head = Vec::new();
    head.extend_from_slice(&(wide as u32).to_be_bytes());
    head.extend_from_slice(&(high as u32).to_be_bytes());
    // 8 bits, color with alpha, deflate, no filter, no interlace
    head.extend_from_slice(&[8, 6, 0, 0, 0]);
    for (name, bytes) in [
        (b"IHDR", head.as_slice()),
        (b"IDAT", packed.as_slice()),
        (b"IEND", &[]),
    ] {
        let mut crc = flate2::Crc::new();
        crc.update(name);
        crc.update(bytes);
        out.extend_from_slice(&(bytes.len() as u32).to_be_bytes());
        out.extend_from_slice(name);
        out.extend_from_slice(bytes);
        out.extend_from_slice(&crc.sum().to_be_bytes());
    }
    Ok(out)
}
