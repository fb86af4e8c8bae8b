//! What TASKDATA.XML says besides its logs: tasks, machines, fields, names.

use super::element::Element;
use super::log::Log;
use std::collections::BTreeMap;

/// A transfer: everything that was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TaskData {
    /// Version of the form: 3 or 4.
    pub version: u32,
    /// Tasks, in the order of the file.
    pub tasks: Vec<Task>,
    /// Machines.
    pub devices: Vec<Device>,
    /// Fields with their outlines.
    pub partfields: Vec<Partfield>,
    /// Products by id, with their names.
    pub products: Vec<Named>,
    /// Crops by id, with their names.
    pub crops: Vec<Named>,
    /// Parts that are missing or could not be read, one sentence each; the rest was read.
    pub problems: Vec<String>,
}

/// An id and the name that people know it by.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Named {
    /// Id in the file (`PDT1`).
    pub id: String,
    /// Name.
    pub name: String,
}

/// One task: work in one field.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Task {
    /// Id (`TSK1`).
    pub id: String,
    /// Its name, empty when it has none.
    pub name: String,
    /// Id of its field.
    pub partfield: Option<String>,
    /// 1 planned, 2 running, 3 paused, 4 completed, 5 template, 6 canceled.
    pub status: Option<u8>,
    /// Its logs, decoded.
    pub logs: Vec<Log>,
    /// Totals that the machine itself kept.
    pub totals: Vec<Total>,
}

impl Task {
    /// Its name, or its id where it has none.
    pub fn called(&self) -> &str {
        if self.name.is_empty() {
            &self.id
        } else {
            &self.name
        }
    }
}

/// A total of a task, raw, as the machine summed it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Total {
    /// When it begins, as written.
    pub start: Option<String>,
    /// When it ends, as written.
    pub stop: Option<String>,
    /// Seconds, where written.
    pub duration_s: Option<u64>,
    /// Kind of time: 1 planned, 2 preliminary, 4 effective, 5 ineffective, 6 repair, 7 clearing, 8 powered down.
    pub kind: Option<u8>,
    /// Data dictionary entry.
    pub ddi: u16,
    /// Raw value in the unit of the entry.
    pub value: i64,
    /// Device element.
    pub element: String,
}

/// A machine.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Device {
    /// Id (`DVC-1`).
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its elements, in the order of the file.
    pub elements: Vec<DeviceElement>,
    /// How raw values are shown, by entry.
    pub shown: Vec<Shown>,
}

/// A part of a machine.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DeviceElement {
    /// Id (`DET-1`).
    pub id: String,
    /// 1 device, 2 function, 3 bin, 4 section, 5 unit, 6 connector, 7 navigation reference.
    pub kind: Option<u8>,
    /// Its name.
    pub name: String,
    /// Its own number.
    pub number: Option<u32>,
    /// Number of the object that it is part of.
    pub parent: Option<u32>,
    /// Number as an object, by which others name it.
    pub object: Option<u32>,
    /// Fixed properties: entry and raw value.
    pub properties: Vec<(u16, i32)>,
    /// Entries that it can log.
    pub logged: Vec<u16>,
}

/// How a raw value is shown: `(raw + offset) x scale`, with a unit.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Shown {
    /// Data dictionary entry.
    pub ddi: u16,
    /// Added before scaling.
    pub offset: i64,
    /// Scale, as written.
    pub scale: String,
    /// Digits after the point.
    pub decimals: Option<u8>,
    /// Unit shown.
    pub unit: String,
}

/// A field.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Partfield {
    /// Id (`PFD1`).
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its area as written, m2.
    pub area_m2: Option<f64>,
    /// Name of its crop.
    pub crop: Option<String>,
    /// Its outline: polygons, each with its holes.
    pub boundary: Vec<Polygon>,
}

/// Corners of a ring, longitude and latitude in degrees; not closed by a repeated first corner
/// unless the file repeats it.
pub type Ring = Vec<(f64, f64)>;

/// One ring of ground and the holes in it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Polygon {
    /// Outer ring.
    pub outer: Ring,
    /// Holes.
    pub holes: Vec<Ring>,
}

/// Everything of the root but the logs, which are read by their names.
pub(super) fn parts(root: &Element, problems: &mut Vec<String>) -> TaskData {
    let crops: Vec<Named> = root.all("CTP").map(named).collect();
    TaskData {
        version: root.number("VersionMajor").unwrap_or_default(),
        tasks: root.all("TSK").map(task).collect(),
        devices: root.all("DVC").map(device).collect(),
        partfields: root
            .all("PFD")
            .map(|field| partfield(field, &crops, problems))
            .collect(),
        products: root.all("PDT").map(named).collect(),
        crops,
        problems: Vec::new(),
    }
}

fn text(element: &Element, name: &str) -> String {
    element.said(name).unwrap_or_default().to_owned()
}

fn named(element: &Element) -> Named {
    Named {
        id: text(element, "A"),
        name: text(element, "B"),
    }
}

fn task(element: &Element) -> Task {
    let mut totals = Vec::new();
    for time in element.all("TIM") {
        for value in time.all("DLV") {
            if let (Some(ddi), Some(raw)) = (value.ddi("A"), value.number("B")) {
                totals.push(Total {
                    start: time.said("A").map(str::to_owned),
                    stop: time.said("B").map(str::to_owned),
                    duration_s: time.number("C"),
                    kind: time.number("D"),
                    ddi,
                    value: raw,
                    element: text(value, "C"),
                });
            }
        }
    }
    Task {
        id: text(element, "A"),
        name: text(element, "B"),
        partfield: element.said("E").map(str::to_owned),
        status: element.number("G"),
        logs: Vec::new(),
        totals,
    }
}

fn device(element: &Element) -> Device {
    // properties, process data and presentations are objects of the device, named by number
    let mut objects: BTreeMap<(&str, u32), &Element> = BTreeMap::new();
    for one in &element.inside {
        if let Some(number) = one.number("A") {
            objects.entry((&one.name, number)).or_insert(one);
        }
    }
    let elements = element.all("DET").map(|part| {
        let mut out = DeviceElement {
            id: text(part, "A"),
            object: part.number("B"),
            kind: part.number("C"),
            name: text(part, "D"),
            number: part.number("E"),
            parent: part.number("F"),
            ..DeviceElement::default()
        };
        for reference in part.all("DOR").filter_map(|one| one.number("A")) {
            if let Some(property) = objects.get(&("DPT", reference))
                && let (Some(ddi), Some(value)) = (property.ddi("B"), property.number("C"))
            {
                out.properties.push((ddi, value));
            }
            if let Some(ddi) = objects
                .get(&("DPD", reference))
                .and_then(|data| data.ddi("B"))
            {
                out.logged.push(ddi);
            }
        }
        out
    });
    let mut shown: BTreeMap<u16, Shown> = BTreeMap::new();
    for (kind, presentation) in [("DPD", "F"), ("DPT", "E")] {
        for data in element.all(kind) {
            let how = data
                .number(presentation)
                .and_then(|object| objects.get(&("DVP", object)));
            if let (Some(ddi), Some(how)) = (data.ddi("B"), how) {
                shown.entry(ddi).or_insert_with(|| Shown {
                    ddi,
                    offset: how.number("B").unwrap_or_default(),
                    scale: text(how, "C"),
                    decimals: how.number("D"),
                    unit: text(how, "E"),
                });
            }
        }
    }
    Device {
        id: text(element, "A"),
        name: text(element, "B"),
        elements: elements.collect(),
        shown: shown.into_values().collect(),
    }
}

fn partfield(element: &Element, crops: &[Named], problems: &mut Vec<String>) -> Partfield {
    let mut out = Partfield {
        id: text(element, "A"),
        name: text(element, "C"),
        area_m2: element.number("D"),
        crop: element.said("G").and_then(|id| {
            let crop = crops.iter().find(|crop| crop.id == id)?;
            Some(crop.name.clone())
        }),
        boundary: Vec::new(),
    };
    let called = if out.name.is_empty() {
        &out.id
    } else {
        &out.name
    };
    let rings = element
        .all("PLN")
        .filter(|polygon| polygon.number("A") == Some(1_u8))
        .flat_map(|polygon| polygon.all("LSG"));
    for line in rings {
        let kind: Option<u8> = line.number("A");
        if !matches!(kind, Some(1 | 2)) {
            continue;
        }
        let ring = match ring(line) {
            Ok(ring) => ring,
            Err(why) => {
                problems.push(format!(
                    "field {called}: a ring of its outline {why}; it was left out"
                ));
                continue;
            }
        };
        match (kind, out.boundary.last_mut()) {
            (Some(2), Some(polygon)) => polygon.holes.push(ring),
            (Some(2), None) => problems.push(format!(
                "field {called}: a hole before any outer ring; it was left out"
            )),
            _ => out.boundary.push(Polygon {
                outer: ring,
                holes: Vec::new(),
            }),
        }
    }
    out
}

fn ring(line: &Element) -> Result<Ring, String> {
    let mut ring = Ring::new();
    for point in line.all("PNT") {
        let (north, east): (Option<f64>, Option<f64>) = (point.number("C"), point.number("D"));
        match (north, east) {
            (Some(north), Some(east)) if north.abs() <= 90.0 && east.abs() <= 180.0 => {
                ring.push((east, north));
            }
            _ => return Err(format!("has corner {} that is no position", ring.len() + 1)),
        }
    }
    if ring.len() < 3 {
        return Err(format!("has {} corners, expected at least 3", ring.len()));
    }
    Ok(ring)
}
