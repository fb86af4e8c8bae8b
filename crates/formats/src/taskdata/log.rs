//! A time log: the header that says what is recorded, and the binary records.

use super::element::{self, Element};

/// Days from 1970-01-01 to 1980-01-01, from which logs count.
const EPOCH_DAYS: i64 = 3_652;
/// The value that stands for no value in a position.
const NOT_AVAILABLE: i32 = 0x7FFF_FFFF;

/// Records of one log; at one a second that is 46 days.
const MOST_RECORDS: usize = 4_000_000;

/// A position field or a value, as the header says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Stored<T> {
    /// Not recorded.
    #[default]
    Absent,
    /// The same for every record.
    Constant(T),
    /// In each binary record.
    InRecord,
}

/// One data log value of the header: what is measured, where on the machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Channel {
    /// Data dictionary entry (87 is mass a time); carried as it is when it means nothing here.
    pub ddi: u16,
    /// Device element that measures, as written (`DET-2`); empty when the header names none.
    pub element: String,
    /// The value of every record, where the header gives one.
    pub constant: Option<i32>,
    /// Parameter group of the bus that the value was taken from (dictionary entry DFFE); such a
    /// value is part of a message, not a quantity.
    pub parameter_group: Option<u32>,
}

/// Where the receiver said the machine was, raw. A field is `None` when it is not recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Position {
    /// Degrees north x 10,000,000.
    pub north_e7: Option<i32>,
    /// Degrees east x 10,000,000.
    pub east_e7: Option<i32>,
    /// Millimeters above the ellipsoid.
    pub up_mm: Option<i32>,
    /// 0 none, 1 GNSS, 2 differential, 3 precise, 4 RTK fixed, 5 RTK float, 6 dead reckoning,
    /// 7 by hand, 8 simulated, 14 error, 15 not available.
    pub status: Option<u8>,
    /// Position dilution of precision x 10.
    pub pdop_tenths: Option<u16>,
    /// Horizontal dilution of precision x 10.
    pub hdop_tenths: Option<u16>,
    /// Satellites used.
    pub satellites: Option<u8>,
    /// Receiver's own time, ms since midnight UTC.
    pub utc_ms: Option<u32>,
    /// Receiver's own date, days since 1980-01-01.
    pub utc_days: Option<u16>,
}

impl Position {
    /// Degrees north and east; `None` without a fix: 0 0, a coordinate not available or not
    /// recorded, or a status that says so.
    pub fn fix(&self) -> Option<(f64, f64)> {
        let (north, east) = (self.north_e7?, self.east_e7?);
        let none = (north == 0 && east == 0)
            || north == NOT_AVAILABLE
            || east == NOT_AVAILABLE
            || matches!(self.status, Some(0 | 14));
        (!none).then(|| (f64::from(north) / 1e7, f64::from(east) / 1e7))
    }
}

/// One binary record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Record {
    /// Byte of the log where it starts.
    pub byte: u64,
    /// Milliseconds since midnight, on the farm's own clock.
    pub time_ms: u32,
    /// Days since 1980-01-01, on the farm's own calendar.
    pub days: u16,
    /// Where it was; `None` when the header records no position.
    pub position: Option<Position>,
    first: u32,
    count: u8,
}

impl Record {
    /// Seconds since 1970-01-01 00:00 of the farm's own clock, no zone applied.
    pub fn local_s(&self) -> f64 {
        let days = EPOCH_DAYS + i64::from(self.days);
        days as f64 * 86_400.0 + f64::from(self.time_ms) / 1_000.0
    }
}

/// A decoded log: every value of every record, as stored.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Log {
    /// Name of its files, without ending (`TLG00001`).
    pub name: String,
    /// What is recorded, in the order of the header; records refer to it by place.
    pub channels: Vec<Channel>,
    /// The records, in the order of the file.
    pub records: Vec<Record>,
    /// Why the log could not be read to its end, if it could not.
    pub cut_short: Option<CutShort>,
    values: Vec<(u8, i32)>,
}

/// Where a log could not be followed further.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutShort {
    /// Byte where the record starts that could not be read.
    pub byte: u64,
    /// Bytes from there to the end.
    pub left: u64,
    /// What was found.
    pub why: String,
}

impl Log {
    /// The values that a record stores itself: place of the channel, raw value.
    pub fn stored(&self, record: &Record) -> &[(u8, i32)] {
        let first = record.first as usize;
        &self.values[first..first + usize::from(record.count)]
    }

    /// All values of each record in turn, with those that did not change filled forward by quantity
    /// and element, and constants: one `Option` a channel, `None` before the first.
    ///
    /// Channels that name the same quantity and element share one value.
    pub fn filled(&self) -> Filled<'_> {
        let same =
            |one: &Channel, two: &Channel| (one.ddi, &one.element) == (two.ddi, &two.element);
        let slots = self.channels.iter().map(|channel| {
            let first = self.channels.iter().position(|other| same(other, channel));
            first.unwrap_or_default()
        });
        Filled {
            log: self,
            slots: slots.collect(),
            next: 0,
            values: self.channels.iter().map(|c| c.constant).collect(),
        }
    }
}

/// Walks a log with values filled forward; see [`Log::filled`].
#[derive(Debug)]
pub struct Filled<'a> {
    log: &'a Log,
    /// Per channel, the first channel of the same quantity and element.
    slots: Vec<usize>,
    next: usize,
    values: Vec<Option<i32>>,
}

impl<'a> Filled<'a> {
    /// The next record and the values that hold at it, one a channel.
    pub fn next_record(&mut self) -> Option<(&'a Record, &[Option<i32>])> {
        let record = self.log.records.get(self.next)?;
        self.next += 1;
        for (channel, value) in self.log.stored(record) {
            self.values[self.slots[usize::from(*channel)]] = Some(*value);
        }
        for (place, slot) in self.slots.iter().enumerate() {
            // the first of its kind comes before the others, so that it is already new
            self.values[place] = self.values[*slot];
        }
        Some((record, &self.values))
    }
}

/// What each record holds before its values.
#[derive(Debug, Clone, Copy, Default)]
struct Layout {
    located: bool,
    north: Stored<i32>,
    east: Stored<i32>,
    up: Stored<i32>,
    status: Stored<u8>,
    pdop: Stored<u16>,
    hdop: Stored<u16>,
    satellites: Stored<u8>,
    utc_ms: Stored<u32>,
    utc_days: Stored<u16>,
}

/// Decodes a log from the bytes of its header (XML) and of its records (binary).
///
/// The header is one `TIM`: an attribute that is present and empty is in each record, one with a value
/// is constant, one that is absent is not recorded. Records are little-endian without padding: time of
/// day u32 ms, date u16 days since 1980-01-01, the recorded fields of `PTN` in the order A to I, a count
/// u8, and for each value the place of its `DLV` in the header u8 and the value i32
/// (ISO 11783-10, annex D of the 2009 and 2015 editions as restated by open readers of it).
///
/// A record that the file ends in, or that names a value which the header does not have, ends the log:
/// records have no length of their own, so nothing behind it can be found again.
///
/// # Errors
/// A sentence about a header that cannot be followed.
pub fn decode(name: &str, header: &[u8], binary: &[u8]) -> Result<Log, String> {
    let root = element::parse(header)?;
    let time = if root.name == "TIM" {
        &root
    } else {
        // some writers put the TIM inside another element
        root.all("TIM").next().ok_or_else(|| {
            format!(
                "a header whose element is {}, expected TIM",
                root.name.chars().take(40).collect::<String>()
            )
        })?
    };
    if time.get("A").map(str::trim) != Some("") {
        return Err(
            "a header without a time in each record (TIM A must be there and empty)".to_owned(),
        );
    }
    for extra in ["B", "C"] {
        if time.get(extra) == Some("") {
            return Err(format!(
                "a header that records TIM {extra}, which no record has room for"
            ));
        }
    }
    let layout = match time.all("PTN").next() {
        Some(position) => layout(position)?,
        None => Layout::default(),
    };
    let channels = time
        .all("DLV")
        .map(channel)
        .collect::<Result<Vec<_>, _>>()?;
    if channels.len() > 256 {
        return Err(format!(
            "a header of {} values, expected at most 256",
            channels.len()
        ));
    }
    let mut log = Log {
        name: name.to_owned(),
        channels,
        ..Log::default()
    };
    let mut bytes = Bytes { all: binary, at: 0 };
    while bytes.at < binary.len() {
        let start = bytes.at;
        let kept = log.values.len();
        if log.records.len() >= MOST_RECORDS {
            log.cut_short = Some(CutShort {
                byte: start as u64,
                left: (binary.len() - start) as u64,
                why: format!("the log goes on after {MOST_RECORDS} records"),
            });
            break;
        }
        let read = record(&mut bytes, &layout, log.channels.len(), &mut log.values);
        match read {
            Ok((time_ms, days, position)) => log.records.push(Record {
                byte: start as u64,
                time_ms,
                days,
                position,
                first: u32::try_from(kept).map_err(|_| "more values than can be counted")?,
                count: u8::try_from(log.values.len() - kept).unwrap_or(u8::MAX),
            }),
            Err(why) => {
                log.values.truncate(kept);
                log.cut_short = Some(CutShort {
                    byte: start as u64,
                    left: (binary.len() - start) as u64,
                    why,
                });
                break;
            }
        }
    }
    Ok(log)
}

fn record(
    bytes: &mut Bytes<'_>,
    layout: &Layout,
    channels: usize,
    values: &mut Vec<(u8, i32)>,
) -> Result<(u32, u16, Option<Position>), String> {
    let ends = "the file ends inside a record";
    let head = (|| {
        let time_ms = u32::from_le_bytes(bytes.take()?);
        let days = u16::from_le_bytes(bytes.take()?);
        let position = Position {
            north_e7: bytes.field(layout.north, i32::from_le_bytes)?,
            east_e7: bytes.field(layout.east, i32::from_le_bytes)?,
            up_mm: bytes.field(layout.up, i32::from_le_bytes)?,
            status: bytes.field(layout.status, u8::from_le_bytes)?,
            pdop_tenths: bytes.field(layout.pdop, u16::from_le_bytes)?,
            hdop_tenths: bytes.field(layout.hdop, u16::from_le_bytes)?,
            satellites: bytes.field(layout.satellites, u8::from_le_bytes)?,
            utc_ms: bytes.field(layout.utc_ms, u32::from_le_bytes)?,
            utc_days: bytes.field(layout.utc_days, u16::from_le_bytes)?,
        };
        Some((
            time_ms,
            days,
            layout.located.then_some(position),
            bytes.take::<1>()?[0],
        ))
    })();
    let (time_ms, days, position, count) = head.ok_or(ends)?;
    for _ in 0..count {
        let (place, value) = (|| {
            let [place] = bytes.take()?;
            Some((place, i32::from_le_bytes(bytes.take()?)))
        })()
        .ok_or(ends)?;
        if usize::from(place) >= channels {
            return Err(format!(
                "a record names value {place}, and the header has {channels}, counted from 0"
            ));
        }
        values.push((place, value));
    }
    Ok((time_ms, days, position))
}

/// Bytes not yet read.
struct Bytes<'a> {
    all: &'a [u8],
    at: usize,
}

impl Bytes<'_> {
    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let taken = self.all.get(self.at..self.at + N)?.try_into().ok()?;
        self.at += N;
        Some(taken)
    }

    /// A field as the header says: `None` only when the bytes end.
    #[expect(
        clippy::option_option,
        reason = "the file may end, and a field may not be recorded"
    )]
    fn field<T: Copy, const N: usize>(
        &mut self,
        stored: Stored<T>,
        read: fn([u8; N]) -> T,
    ) -> Option<Option<T>> {
        Some(match stored {
            Stored::Absent => None,
            Stored::Constant(value) => Some(value),
            Stored::InRecord => Some(read(self.take()?)),
        })
    }
}

fn layout(position: &Element) -> Result<Layout, String> {
    let degrees = |text: &str| scaled(text, 1e7).and_then(|v| i32::try_from(v).ok());
    let tenths = |text: &str| scaled(text, 10.0).and_then(|v| u16::try_from(v).ok());
    Ok(Layout {
        located: true,
        north: stored(position, "A", degrees)?,
        east: stored(position, "B", degrees)?,
        up: stored(position, "C", |text| text.parse().ok())?,
        status: stored(position, "D", |text| text.parse().ok())?,
        pdop: stored(position, "E", tenths)?,
        hdop: stored(position, "F", tenths)?,
        satellites: stored(position, "G", |text| text.parse().ok())?,
        utc_ms: stored(position, "H", |text| text.parse().ok())?,
        utc_days: stored(position, "I", |text| text.parse().ok())?,
    })
}

fn scaled(text: &str, by: f64) -> Option<i64> {
    let value = text.parse::<f64>().ok()? * by;
    (value.abs() < 1e15).then(|| value.round() as i64)
}

fn stored<T>(
    position: &Element,
    name: &str,
    read: impl Fn(&str) -> Option<T>,
) -> Result<Stored<T>, String> {
    match position.get(name).map(str::trim) {
        None => Ok(Stored::Absent),
        Some("") => Ok(Stored::InRecord),
        Some(text) => read(text).map(Stored::Constant).ok_or_else(|| {
            format!(
                "a header whose PTN {name} is '{}', expected empty or a number",
                text.chars().take(40).collect::<String>()
            )
        }),
    }
}

fn channel(value: &Element) -> Result<Channel, String> {
    let ddi = value.ddi("A").ok_or_else(|| {
        format!(
            "a header with a value whose dictionary entry is '{}', expected four hexadecimal digits",
            value.get("A").unwrap_or_default().chars().take(40).collect::<String>()
        )
    })?;
    Ok(Channel {
        ddi,
        element: value.said("C").unwrap_or_default().to_owned(),
        constant: value.number("B"),
        parameter_group: value.number("D"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_by_hand() {
        let header = br#"<TIM A="" D="4"><PTN A="" B="" D="1"/><DLV A="0057" B="" C="DET-2"/><DLV A="DFFE" B="" C="DET-1" D="65535" E="0" F="15"/><DLV A="0063" B="180000" C="DET-2"/></TIM>"#;
        let mut binary = Vec::new();
        binary.extend(43_200_000_u32.to_le_bytes());
        binary.extend(16_344_u16.to_le_bytes()); // 2024-09-30
        binary.extend(439_000_000_i32.to_le_bytes());
        binary.extend((-939_000_000_i32).to_le_bytes());
        binary.extend([2, 0]);
        binary.extend(10_000_000_i32.to_le_bytes());
        binary.push(1);
        binary.extend((-7_i32).to_le_bytes());
        let log = decode("TLG00001", header, &binary).unwrap();
        assert_eq!(binary.len(), 25, "14 + count + 2 values of 5");
        let record = &log.records[0];
        assert_eq!(record.position.unwrap().fix(), Some((43.9, -93.9)));
        assert_eq!(record.position.unwrap().status, Some(1));
        // 2024-09-30 12:00 is 1,727,697,600 s after 1970-01-01 on the same clock
        assert_eq!(record.local_s(), 1_727_697_600.0);
        assert_eq!(log.stored(record), [(0, 10_000_000), (1, -7)]);
        let mut filled = log.filled();
        let (_, values) = filled.next_record().unwrap();
        assert_eq!(values, [Some(10_000_000), Some(-7), Some(180_000)]);
        assert_eq!(log.channels[1].parameter_group, Some(65_535));
        // one byte less: the record is cut short, and said to be
        let cut = decode("TLG00001", header, &binary[..24]).unwrap();
        assert!(cut.records.is_empty() && cut.values.is_empty());
        assert_eq!(cut.cut_short.unwrap().left, 24);
    }

    #[test]
    fn a_value_that_the_header_lacks_ends_the_log() {
        let header = br#"<TIM A="" D="4"><DLV A="0057" B="" C="DET-2"/></TIM>"#;
        let mut binary = vec![0; 6];
        binary.extend([1, 3, 0, 0, 0, 0]);
        let log = decode("x", header, &binary).unwrap();
        assert_eq!(
            log.cut_short.unwrap().why,
            "a record names value 3, and the header has 1, counted from 0"
        );
    }

    #[test]
    fn headers_that_cannot_be_followed_are_sentences() {
        for (header, says) in [
            ("<ABC/>", "expected TIM"),
            (r#"<TIM D="4"/>"#, "TIM A must be there and empty"),
            (r#"<TIM A="" B=""/>"#, "records TIM B"),
            (r#"<TIM A=""><PTN A="x"/></TIM>"#, "PTN A is 'x'"),
            (
                r#"<TIM A=""><DLV A="zz"/></TIM>"#,
                "four hexadecimal digits",
            ),
        ] {
            let why = decode("x", header.as_bytes(), b"").unwrap_err();
            assert!(why.contains(says), "{why}");
        }
    }
}
