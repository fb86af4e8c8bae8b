//! Which channels of a log say what a point needs.

use super::entries::{
    DISTANCE_IN_WORK, DISTANCE_OUT_OF_WORK, HEADER_STATUS, LOAD, MASS_PER_AREA, MASS_PER_TIME,
    MOISTURE, SECTION_STATE_ENTRIES, SECTION_STATES, SPEED, TOTAL_MASS, TOTAL_VOLUME,
    VOLUME_PER_AREA, VOLUME_PER_TIME, WIDEST, WIDTH, WORK_STATE, name,
};
use super::log::Log;
use super::parts::Device;
use super::settled::{machine, upward};
use track::Head;

/// What the mass of a record is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Source {
    /// A flow times the interval, to kg or L by the factor.
    Flow,
    /// An amount an area times the ground cut.
    PerArea,
    /// The difference of a counter.
    Counter,
}

/// Entries that yield can come from, best first: how, and the factor to kg (or, for volume, L).
const YIELDS: [(u16, Source, f64, bool); 6] = [
    (MASS_PER_TIME, Source::Flow, 1e-6, false),
    (MASS_PER_AREA, Source::PerArea, 1e-6, false),
    (TOTAL_MASS, Source::Counter, 1.0, false),
    (VOLUME_PER_TIME, Source::Flow, 1e-3, true),
    (VOLUME_PER_AREA, Source::PerArea, 1e-3, true),
    (TOTAL_VOLUME, Source::Counter, 1.0, true),
];

/// Where the yield of a log is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Yield {
    pub(super) place: usize,
    pub(super) source: Source,
    /// To kg, or to L when it is a volume.
    pub(super) factor: f64,
    pub(super) volume: bool,
}

/// The places of a log's channels, by what they say.
#[derive(Debug, Default)]
pub(super) struct Roles {
    pub(super) moisture: Option<usize>,
    pub(super) width: Option<usize>,
    header: Option<usize>,
    work: Option<usize>,
    sections: Vec<usize>,
    pub(super) in_work: Option<usize>,
    pub(super) out_of_work: Option<usize>,
    pub(super) speed: Option<usize>,
    pub(super) load: Option<usize>,
}

/// The channels that ever have a value.
fn alive(log: &Log) -> Vec<bool> {
    let mut alive: Vec<bool> = log
        .channels
        .iter()
        .map(|channel| channel.constant.is_some())
        .collect();
    for record in &log.records {
        for (place, _) in log.stored(record) {
            alive[usize::from(*place)] = true;
        }
    }
    for (place, channel) in log.channels.iter().enumerate() {
        // part of a message, whatever its entry would say
        if channel.parameter_group.is_some() {
            alive[place] = false;
        }
    }
    alive
}

impl Roles {
    /// Finds the yield and the rest; what was chosen among several is said in `assumed`.
    pub(super) fn of(log: &Log, assumed: &mut Vec<String>) -> (Option<Yield>, Self) {
        let alive = alive(log);
        let places = |ddi: u16| {
            let all = log.channels.iter().zip(&alive).enumerate();
            all.filter(move |(_, (channel, alive))| **alive && channel.ddi == ddi)
                .map(|(place, _)| place)
        };
        // the first of a quantity; where several parts of the machine log it, that is said
        let mut first = |ddi: u16| {
            let place = places(ddi).next()?;
            let mut elements: Vec<&str> = Vec::new();
            for place in places(ddi) {
                let element = log.channels[place].element.as_str();
                if !elements.contains(&element) {
                    elements.push(element);
                }
            }
            if elements.len() > 1 {
                assumed.push(format!(
                    "{}: {} is logged by {}; {} is used",
                    log.name,
                    name(ddi).unwrap_or_default(),
                    elements[..elements.len().min(12)].join(", "),
                    elements[0]
                ));
            }
            Some(place)
        };
        let yielding = YIELDS.iter().find_map(|&(ddi, source, factor, volume)| {
            first(ddi).map(|place| Yield {
                place,
                source,
                factor,
                volume,
            })
        });
        let roles = Self {
            moisture: first(MOISTURE),
            width: first(WIDTH),
            header: first(HEADER_STATUS),
            work: first(WORK_STATE),
            sections: (SECTION_STATES..SECTION_STATES + SECTION_STATE_ENTRIES)
                .filter_map(&mut first)
                .collect(),
            in_work: first(DISTANCE_IN_WORK),
            out_of_work: first(DISTANCE_OUT_OF_WORK),
            speed: first(SPEED),
            load: first(LOAD),
        };
        (yielding, roles)
    }

    /// Whether the head was in the crop: by the header's own status, else the work state, else the
    /// sections.
    pub(super) fn head(&self, values: &[Option<i32>]) -> Head {
        if let Some(place) = self.header.or(self.work) {
            return match values[place] {
                Some(0) => Head::Up,
                Some(1) => Head::Down,
                _ => Head::Unsaid,
            };
        }
        match self.share_on(values) {
            Some(share) if share > 0.0 => Head::Down,
            Some(_) => Head::Up,
            None => Head::Unsaid,
        }
    }

    /// Which part of the sections works, 0 to 1; sections that are not there do not count.
    pub(super) fn share_on(&self, values: &[Option<i32>]) -> Option<f64> {
        let (mut on, mut all) = (0_u32, 0_u32);
        for word in self.sections.iter().filter_map(|place| values[*place]) {
            for section in 0..16 {
                match (word >> (2 * section)) & 3 {
                    0 => all += 1,
                    1 => {
                        on += 1;
                        all += 1;
                    }
                    _ => {}
                }
            }
        }
        (all > 0).then(|| f64::from(on) / f64::from(all))
    }
}

/// The working width that a machine describes itself with, m: of the element that measures yield, of
/// what that is part of, or the widest of all.
pub(super) fn described_width(devices: &[Device], element: &str) -> Option<f64> {
    let device = machine(devices, element)?;
    let own = |one: &super::parts::DeviceElement| {
        let mut all = one.properties.iter();
        let found = all.find(|(ddi, mm)| matches!(*ddi, WIDTH | WIDEST) && *mm > 0);
        found.map(|(_, mm)| f64::from(*mm) / 1_000.0)
    };
    upward(device, element).find_map(own).or_else(|| {
        let all = device.elements.iter().filter_map(own);
        all.max_by(f64::total_cmp)
    })
}

/// What a log records, for a message: the names of its entries, numbers where they have none.
pub(super) fn recorded(log: &Log) -> String {
    let mut names: Vec<String> = Vec::new();
    for channel in &log.channels {
        let own = name(channel.ddi).map_or_else(|| format!("entry {}", channel.ddi), str::to_owned);
        if !names.contains(&own) {
            names.push(own);
        }
        if names.len() == 12 {
            break;
        }
    }
    if names.is_empty() {
        "nothing but time and place".to_owned()
    } else {
        names.join(", ")
    }
}
