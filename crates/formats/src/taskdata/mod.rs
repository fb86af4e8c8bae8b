//! Task data as machines hand it over (ISO 11783-10): TASKDATA.XML with its linked parts, and the time
//! logs beside it, each a header in XML and binary records.
//!
//! [`read`] gives everything that is in the files: tasks with their logs decoded to every value of
//! every record ([`Log`]), machines, outlines of fields, names, totals. [`points`] turns logs into a
//! [`track::Track`] of points and says what it assumed, and what the file itself says of latency and
//! offsets ([`Settled`]), so that nothing is taken out twice.
//!
//! Limitations: grids and treatment zones are not read (they are for applying, not for harvest). Times
//! are the farm's own clock; version 3 has no zone, and none is applied to version 4 either.
//!
//! ```
//! use formats::taskdata::{self, Files, PointsOptions};
//! let main = r#"<ISO11783_TaskData VersionMajor="4"><TSK A="TSK1" B="North corn" G="4">
//!   <TLG A="TLG00001" C="1"/></TSK></ISO11783_TaskData>"#;
//! let header = r#"<TIM A="" D="4"><PTN A="" B=""/><DLV A="0057" B="" C="DET-2"/></TIM>"#;
//! let mut records = Vec::new();
//! for second in 0..3_i32 {
//!     records.extend((43_200_000 + 1_000 * second).to_le_bytes()); // noon and on, ms
//!     records.extend(16_344_u16.to_le_bytes()); // 2024-09-30
//!     records.extend((439_000_000 + 180 * second).to_le_bytes()); // 43.9 deg north, 2 m a second
//!     records.extend((-939_000_000_i32).to_le_bytes());
//!     records.extend([1, 0]); // one value, the first of the header
//!     records.extend(10_000_000_i32.to_le_bytes()); // 10 kg/s in mg/s
//! }
//! let files = Files::of([
//!     ("TASKDATA.XML".into(), main.into()),
//!     ("TLG00001.xml".into(), header.into()),
//!     ("TLG00001.bin".into(), records),
//! ]);
//! let data = taskdata::read(&files, "TASKDATA")?;
//! let read = taskdata::points(&data, "TASKDATA", &PointsOptions::default())?;
//! let kg: f64 = read.track.points.iter().map(|point| point.mass_kg).sum();
//! assert_eq!((read.track.points.len(), kg), (3, 30.0));
//! # Ok::<(), formats::FormatError>(())
//! ```

mod element;
mod entries;
mod files;
mod log;
mod maker;
mod parts;
mod points;
mod roles;
mod settled;

pub use crate::archive::Limits;
pub use files::Files;
pub use log::{Channel, CutShort, Filled, Log, Position, Record, decode};
pub use parts::{
    Device, DeviceElement, Named, Partfield, Polygon, Ring, Shown, Task, TaskData, Total,
};
pub use points::{LogUsed, PointsOptions, TaskPoints, points};
pub use settled::{ElementOffset, Settled};

use crate::FormatError;

/// What the first bytes of a file say it could be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A zip archive, which may hold task data; [`Files::from_zip`] tells.
    Zip,
    /// TASKDATA.XML itself, whose logs lie beside it.
    Main,
}

/// Tells task data by its first bytes (a few hundred will do), never by a name.
///
/// ```
/// use formats::taskdata::{Form, told_by};
/// assert_eq!(told_by(b"<?xml version=\"1.0\"?>\n<ISO11783_TaskData VersionMajor=\"3\""), Some(Form::Main));
/// assert_eq!(told_by(b"PK\x03\x04"), Some(Form::Zip));
/// assert_eq!(told_by(b"long,lat,mass\n"), None);
/// ```
pub fn told_by(head: &[u8]) -> Option<Form> {
    if head.starts_with(b"PK\x03\x04") || head.starts_with(b"PK\x05\x06") {
        return Some(Form::Zip);
    }
    // in UTF-16 every other byte is 0; comments may come first, but not many
    let plain: Vec<u8> = head
        .iter()
        .copied()
        .filter(|byte| *byte != 0)
        .take(4_096)
        .collect();
    let text = String::from_utf8_lossy(&plain);
    let text =
        text.trim_start_matches(|c: char| c == '\u{feff}' || c == '\u{fffd}' || c.is_whitespace());
    (text.starts_with('<') && text.contains(&format!("<{ROOT}"))).then_some(Form::Main)
}

/// Name of the root element.
const ROOT: &str = "ISO11783_TaskData";

/// Reads a transfer; `file` is its name for messages. Parts that are missing or cannot be read are in
/// [`TaskData::problems`], and the rest is read.
///
/// # Errors
/// No TASKDATA.XML; one that is not well made, not task data, or of a version other than 3 or 4.
pub fn read(files: &Files, file: &str) -> Result<TaskData, FormatError> {
    let refuse = |found: String, expected: &str| FormatError::NotThis {
        file: file.to_owned(),
        found,
        expected: expected.to_owned(),
    };
    let main = files
        .get("TASKDATA.XML")
        .ok_or_else(|| refuse("no TASKDATA.XML".to_owned(), files::WANTED))?;
    let mut root = element::parse(main)
        .map_err(|why| refuse(format!("TASKDATA.XML with {why}"), files::WANTED))?;
    if root.name != ROOT {
        return Err(refuse(
            format!(
                "TASKDATA.XML whose root is {}",
                root.name.chars().take(40).collect::<String>()
            ),
            "ISO11783_TaskData",
        ));
    }
    let version = root.said("VersionMajor").unwrap_or("none").to_owned();
    if !matches!(version.as_str(), "3" | "4") {
        return Err(refuse(
            format!(
                "task data of version {}",
                version.chars().take(20).collect::<String>()
            ),
            "version 3 or 4; export in one of them",
        ));
    }
    let mut problems = Vec::new();
    link(&mut root, files, &mut problems);
    let mut data = parts::parts(&root, &mut problems);
    for (task, element) in data.tasks.iter_mut().zip(root.all("TSK")) {
        for named in element.all("TLG") {
            let Some(name) = named.said("A") else {
                problems.push(format!("task {}: a log without a name", task.called()));
                continue;
            };
            match log(files, name) {
                Ok(log) => task.logs.push(log),
                Err(why) => problems.push(format!("task {}: log {name} {why}", task.called())),
            }
        }
    }
    data.problems = problems;
    Ok(data)
}

/// Puts the elements of linked files (`XFR`) where they are named. A linked file links no further.
fn link(root: &mut element::Element, files: &Files, problems: &mut Vec<String>) {
    let mut inside = Vec::new();
    let mut linked: std::collections::BTreeSet<String> = std::collections::BTreeSet::new();
    for one in std::mem::take(&mut root.inside) {
        if one.name != "XFR" {
            inside.push(one);
            continue;
        }
        let name = format!("{}.XML", one.said("A").unwrap_or_default());
        if !linked.insert(name.to_ascii_uppercase()) {
            continue;
        }
        match files.get(&name) {
            None => problems.push(format!("the linked file {name} is not there")),
            Some(bytes) => match element::parse(bytes) {
                Ok(part) => inside.extend(part.inside),
                Err(why) => problems.push(format!("the linked file {name} holds {why}")),
            },
        }
    }
    root.inside = inside;
}

fn log(files: &Files, name: &str) -> Result<Log, String> {
    let header = files
        .get(&format!("{name}.xml"))
        .ok_or("has no header: its .xml file is not there")?;
    let records = files
        .get(&format!("{name}.bin"))
        .ok_or("has no records: its .bin file is not there")?;
    decode(name, header, records).map_err(|why| format!("has {why}"))
}
