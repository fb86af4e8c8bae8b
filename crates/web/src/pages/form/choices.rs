//! What there is to choose for a figure, out of the book's own names.

use super::ask::Opt;
use crate::text::Text;
use book::kinds::{Name, PlaceKind};
use desk::Farm;
use desk::written::{Figure, Shape};

/// Whether a figure is a choice, which may be prefilled; a figure that is typed never is.
pub(super) fn chosen(shape: Shape) -> bool {
    matches!(
        shape,
        Shape::Of(_) | Shape::OneOf(_) | Shape::Crop | Shape::Sha | Shape::Entry
    )
}

/// The keyboard and the units of a figure that is typed: US units first, or metric ones.
pub(super) fn blank(shape: Shape, metric: bool) -> (&'static str, &'static [&'static str]) {
    let units: &'static [&'static str] = match (shape, metric) {
        (Shape::Mass, false) => &["lb", "short ton", "bu", "kg", "t"],
        (Shape::Mass, true) => &["kg", "t", "lb"],
        (Shape::Moisture, _) => &["%"],
        (Shape::Area, false) => &["ac", "ha"],
        (Shape::Area, true) => &["ha", "ac"],
        (Shape::Length, false) => &["ft", "in", "m"],
        (Shape::Length, true) => &["m", "cm", "ft"],
        (Shape::Speed, false) => &["mph", "km/h"],
        (Shape::Speed, true) => &["km/h", "mph"],
        (Shape::Temperature, false) => &["F", "C"],
        (Shape::Temperature, true) => &["C", "F"],
        (Shape::TestWeight, false) => &["lb/bu", "kg/hL"],
        (Shape::TestWeight, true) => &["kg/hL", "lb/bu"],
        (Shape::Price, _) => &["$/bu"],
        (Shape::Money, _) => &["$"],
        _ => &[],
    };
    let mode = match shape {
        Shape::Season => "numeric",
        Shape::Number => "text",
        Shape::Date => "date",
        _ if !units.is_empty() => "decimal",
        _ => "text",
    };
    (mode, units)
}

/// What is offered while typing.
pub(super) fn offers(shape: Shape) -> &'static [&'static str] {
    match shape {
        Shape::Full => &["1/4", "1/2", "3/4", "full", "heap"],
        _ => &[],
    }
}

/// What there is to choose, in the reader's words; nothing chosen yet.
pub(super) fn options(figure: &Figure, farm: &Farm, kind: &str, text: Text) -> Vec<Opt> {
    // words are translated; the book's own names are nobody's to translate
    let said = |key: &str, label: &str| Opt {
        value: key.to_owned(),
        label: text.say(label).into_owned(),
        on: false,
    };
    let named = |name: &Name| Opt {
        value: name.to_string(),
        label: name.to_string(),
        on: false,
    };
    match figure.shape {
        Shape::OneOf(words) => words
            .iter()
            .map(|word| said(word, &word.replace('-', " ")))
            .collect(),
        Shape::YesNo => ["yes", "no"].iter().map(|word| said(word, word)).collect(),
        Shape::Crop => crops(farm)
            .iter()
            .map(|(key, name)| said(key, name))
            .collect(),
        Shape::Of(kinds) => kinds
            .split(',')
            .flat_map(|of| names(farm, of.trim(), kind))
            .map(named)
            .collect(),
        Shape::Entry if kind == "ticked" => farm
            .ready
            .iter()
            .map(|line| Opt {
                value: line.id.to_string(),
                label: line.says.text.clone(),
                on: false,
            })
            .collect(),
        _ => Vec::new(),
    }
}

fn names<'f>(farm: &'f Farm, of: &str, kind: &str) -> Vec<&'f Name> {
    match of {
        "field" => farm.fields.keys().collect(),
        "machine" => farm.machines.keys().collect(),
        "meter" => farm.meters.keys().collect(),
        "buyer" => farm.buyers.keys().collect(),
        "person" => farm.people.keys().collect(),
        _ => places(farm, kind),
    }
}

/// Places, those first that the kind of entry is usually about.
fn places<'f>(farm: &'f Farm, kind: &str) -> Vec<&'f Name> {
    let stands = |place| matches!(place, PlaceKind::Bin | PlaceKind::Pile | PlaceKind::Dryer);
    let ends = |place| {
        matches!(
            place,
            PlaceKind::Pit | PlaceKind::Feed | PlaceKind::Seed | PlaceKind::Spill
        )
    };
    let rank = |place| match kind {
        "measure" | "opening" => u8::from(!stands(place)),
        _ => u8::from(stands(place)) + 2 * u8::from(ends(place)),
    };
    let mut all: Vec<_> = farm
        .places
        .iter()
        .map(|(name, place)| (name, place.says.kind))
        .filter(|(_, place)| !(kind == "dump" && ends(*place)))
        .collect();
    all.sort_by_key(|(_, place)| rank(*place));
    all.into_iter().map(|(name, _)| name).collect()
}

/// Crops by key and name: those planted here first, then every other.
fn crops(farm: &Farm) -> Vec<(&'static str, &'static str)> {
    let planted = |key: &str| {
        farm.plantings
            .iter()
            .any(|planting| planting.says.crop.as_str() == key)
    };
    let mut all: Vec<_> = facts::Crop::ALL
        .iter()
        .map(|crop| (crop.key(), crop.name()))
        .collect();
    all.sort_by_key(|(key, _)| !planted(key));
    all
}
