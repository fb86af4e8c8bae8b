//! What a file itself says of delays and offsets, so that nothing is taken out twice.

use super::entries;
use super::log::Log;
use super::parts::{Device, DeviceElement};

/// Element kind of the navigation reference, the antenna.
const NAVIGATION: u8 = 7;
/// Elements of one machine that are looked at; a wide sprayer has some 300.
const MOST_ELEMENTS: usize = 1_000;

/// What the file says of how its values were measured. Nothing of it has been applied to the points.
#[derive(Debug, Clone, PartialEq, Default, serde::Serialize)]
pub struct Settled {
    /// Age of a value when it is logged, s (entry 143).
    pub latency_s: Option<f64>,
    /// Seconds that the machine leaves yield out at the start of a pass (entry 259).
    pub lag_ignore_s: Option<f64>,
    /// Seconds that it leaves yield out after the end of one (entry 260).
    pub lead_ignore_s: Option<f64>,
    /// Records whose yield the machine says it held from before (entry 239).
    pub yield_held_records: u64,
    /// From the antenna to the element that measures yield, or what that is part of, m: forward and
    /// to the right.
    pub antenna_to_head_m: Option<(f64, f64)>,
    /// Where elements are, as the machine describes itself.
    pub offsets: Vec<ElementOffset>,
}

/// Where an element is, from the machine's own reference point.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct ElementOffset {
    /// Id of the element.
    pub element: String,
    /// Its name.
    pub name: String,
    /// Forward, m.
    pub forward_m: f64,
    /// To the right, m.
    pub right_m: f64,
}

impl Settled {
    /// The same in sentences to print.
    pub fn sentences(&self) -> Vec<String> {
        let mut out = Vec::new();
        if let Some(s) = self.latency_s {
            out.push(format!("the log says its values are {s} s old when logged"));
        }
        if let Some(s) = self.lag_ignore_s {
            out.push(format!(
                "the machine leaves yield out for {s} s at the start of a pass"
            ));
        }
        if let Some(s) = self.lead_ignore_s {
            out.push(format!(
                "the machine leaves yield out for {s} s after the end of a pass"
            ));
        }
        if self.yield_held_records > 0 {
            out.push(format!(
                "{} records repeat an earlier yield, as the machine says itself",
                self.yield_held_records
            ));
        }
        if let Some((forward, right)) = self.antenna_to_head_m {
            out.push(format!(
                "the machine says its head is {forward} m ahead of the antenna and {right} m to the right"
            ));
        }
        out
    }

    /// Takes in what a log and the machine of its yield say.
    pub(super) fn see(&mut self, log: &Log, devices: &[Device], yielding: &str) {
        let mut held = None;
        for (place, channel) in log.channels.iter().enumerate() {
            let last = || {
                let stored = log.records.iter().rev().flat_map(|one| log.stored(one));
                let mut own = stored.filter(|(own, _)| usize::from(*own) == place);
                own.next().map(|(_, value)| *value).or(channel.constant)
            };
            match channel.ddi {
                entries::LATENCY => self.latency_s = seconds(last()).or(self.latency_s),
                entries::LAG_IGNORE => self.lag_ignore_s = seconds(last()).or(self.lag_ignore_s),
                entries::LEAD_IGNORE => self.lead_ignore_s = seconds(last()).or(self.lead_ignore_s),
                entries::YIELD_HOLD => held = held.or(Some(place)),
                _ => {}
            }
        }
        if let Some(place) = held {
            let mut filled = log.filled();
            while let Some((_, values)) = filled.next_record() {
                self.yield_held_records += u64::from(values[place] == Some(1));
            }
        }
        let Some(device) = machine(devices, yielding) else {
            return;
        };
        for element in device.elements.iter().take(MOST_ELEMENTS) {
            for (ddi, value) in &element.properties {
                match *ddi {
                    entries::LATENCY => self.latency_s = self.latency_s.or(seconds(Some(*value))),
                    entries::LAG_IGNORE => {
                        self.lag_ignore_s = self.lag_ignore_s.or(seconds(Some(*value)));
                    }
                    entries::LEAD_IGNORE => {
                        self.lead_ignore_s = self.lead_ignore_s.or(seconds(Some(*value)));
                    }
                    _ => {}
                }
            }
            let known = self.offsets.iter().any(|one| one.element == element.id);
            if let Some((forward_m, right_m)) = offset(element).filter(|_| !known) {
                self.offsets.push(ElementOffset {
                    element: element.id.clone(),
                    name: element.name.clone(),
                    forward_m,
                    right_m,
                });
            }
        }
        let antenna = device
            .elements
            .iter()
            .find(|one| one.kind == Some(NAVIGATION))
            .and_then(offset);
        let head = upward(device, yielding).find_map(offset);
        if let (None, Some(antenna), Some(head)) = (self.antenna_to_head_m, antenna, head) {
            self.antenna_to_head_m = Some((
                millimeters(head.0 - antenna.0),
                millimeters(head.1 - antenna.1),
            ));
        }
    }
}

/// The machine that has an element.
pub(super) fn machine<'a>(devices: &'a [Device], element: &str) -> Option<&'a Device> {
    devices
        .iter()
        .find(|device| device.elements.iter().any(|one| one.id == element))
}

/// An element, what it is part of, and so on up to the machine.
pub(super) fn upward<'a>(
    device: &'a Device,
    element: &str,
) -> impl Iterator<Item = &'a DeviceElement> {
    let first = device.elements.iter().find(|one| one.id == element);
    // as many steps as there are elements at most: a damaged file may name a circle
    std::iter::successors(first, |one| {
        let parent = one.parent?;
        device
            .elements
            .iter()
            .find(|other| other.object == Some(parent))
    })
    .take(device.elements.len().min(32))
}

fn offset(element: &DeviceElement) -> Option<(f64, f64)> {
    let find = |entry: u16| {
        let mut own = element.properties.iter();
        own.find(|(ddi, _)| *ddi == entry)
            .map(|(_, mm)| f64::from(*mm) / 1_000.0)
    };
    let forward = find(entries::OFFSET_X)?;
    Some((forward, find(entries::OFFSET_Y).unwrap_or(0.0)))
}

fn seconds(ms: Option<i32>) -> Option<f64> {
    ms.map(|ms| f64::from(ms) / 1_000.0)
}

/// To the millimeter in which it was written.
fn millimeters(m: f64) -> f64 {
    (m * 1_000.0).round() / 1_000.0
}
