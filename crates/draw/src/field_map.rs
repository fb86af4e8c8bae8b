//! A field's map and how sure it is, for paper and for pages without scripts.

use crate::{Finding, Tick, Width};

/// One cell of a map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapCell {
    /// Metres east of anywhere, to the middle of the cell.
    pub east_m: f64,
    /// Metres north.
    pub north_m: f64,
    /// The figure, in the unit of the map.
    pub value: f64,
    /// Half of its range, 8 in 10, in the same unit.
    pub doubt: f64,
}

/// A map with its doubt.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldMap {
    /// What the map of values says.
    pub finding: Finding,
    /// What the map of doubt says.
    pub doubt_finding: Finding,
    /// The cells.
    pub cells: Vec<MapCell>,
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// The field's edge as rings of (east, north) metres; empty if not known.
    pub outline: Vec<Vec<(f64, f64)>>,
    /// Values at the ends of the ramp.
    pub range: (f64, f64),
    /// Values named under the ramp.
    pub ticks: Vec<Tick>,
    /// Doubts named under the dots, small to large; the last has the largest dot.
    pub doubt_ticks: Vec<Tick>,
    /// A spot ringed on both maps, (east, north) metres.
    pub ring: Option<(f64, f64)>,
    /// The scale bar: its length in metres and what it says, e.g. 152.4 and "500 ft".
    pub bar: Tick,
    /// The letter of north.
    pub north: String,
}

/// Both maps, each a picture for a caption of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldMaps {
    /// The values.
    pub values: String,
    /// The doubt.
    pub doubt: String,
}

/// Both maps.
pub fn field_map(map: &FieldMap, width: Width) -> FieldMaps {
    let _ = (map, width);
    FieldMaps {
        values: String::new(),
        doubt: String::new(),
    }
}
