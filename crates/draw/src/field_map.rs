//! A field's map and how sure it is, for paper and for pages without scripts.

use crate::ramp::ramp;
use crate::strip::framed;
use crate::svg::{Anchor, Svg, at, escape};
use crate::{Finding, PAGE_CSS, Tick, Width};

mod clip;

use clip::{clipped, inside};
use std::fmt::Write as _;

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

/// The values as cells of the ramp, and beside them the doubt as a halftone, where a larger dot is
/// less sure. Cells are cut at the field's edge; each map has a scale bar, north and its key.
///
/// A value that is no number leaves its cell open. Maps are planar: metres in, no projection here.
pub fn field_map(map: &FieldMap, width: Width) -> FieldMaps {
    let cells: Vec<MapCell> = map
        .cells
        .iter()
        .copied()
        .filter(|cell| cell.east_m.is_finite() && cell.north_m.is_finite())
        .collect();
    let frame = Frame::new(map, &cells, width);
    FieldMaps {
        values: values(map, &cells, &frame, width),
        doubt: doubt(map, &cells, &frame, width),
    }
}

/// Both maps side by side as one picture that stands alone, with what it says over them and where it comes from under.
pub fn field_map_alone(map: &FieldMap, source: &str) -> String {
    const GAP: f64 = 30.0;
    let cells = &map.cells;
    let frame = Frame::new(map, cells, Width::Page);
    let (wide, high) = (frame.wide, frame.foot + FOOT);
    let mut head = Svg::new(2.0 * wide + GAP, 0.0, &map.finding.title, &map.finding.desc);
    let top = head.heading(&map.finding.title, "") + 16.0;
    head.text(
        (wide + GAP + EDGE, 20.0),
        Anchor::Start,
        "fill:var(--ink);font-size:15px;font-weight:650",
        &map.doubt_finding.title,
    );
    let drawn = field_map(map, Width::Page);
    for (nth, one) in [drawn.values, drawn.doubt].iter().enumerate() {
        let at_x = nth as f64 * (wide + GAP);
        let size = format!(
            "<svg x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" class=\"draw map",
            at(at_x),
            at(top),
            at(wide),
            at(high)
        );
        // it hides in no window here, however narrow it is shown
        let name = format!("<svg class=\"draw map {}", Width::Page.class());
        head.raw(&one.replacen(&name, &size, 1));
    }
    let foot = head.lines(
        (EDGE, top + high + 20.0),
        17.0,
        ((2.0 * wide) / 7.6) as usize,
        "fill:var(--soft);font-size:13px",
        source,
    );
    head.set_high(foot);
    head.finish()
        .replacen("</style>", &format!("{PAGE_CSS}</style>"), 1)
}

/// Colors told apart on the map; more would only swell the page.
const SHADES: usize = 64;

fn values(map: &FieldMap, cells: &[MapCell], frame: &Frame, width: Width) -> String {
    // one path a shade; half a pixel over, so that no seam shows between cells
    let mut shades: Vec<String> = vec![String::new(); SHADES];
    let half = map.cell_m.max(0.0) / 2.0;
    for cell in cells.iter().filter(|cell| cell.value.is_finite()) {
        let shade = (share(cell.value, map.range) * (SHADES - 1) as f64).round() as usize;
        let path = &mut shades[shade.min(SHADES - 1)];
        let (east, north) = (cell.east_m, cell.north_m);
        let sides = [east - half, north - half, east + half, north + half];
        if map.outline.is_empty() {
            let (x, y) = frame.place((east - half, north + half));
            let side = at(frame.scale * map.cell_m.max(0.0) + 0.3);
            let _ = write!(path, "M{} {}h{side}v{side}h-{side}z", at(x), at(y));
        } else {
            for ring in &map.outline {
                outline(path, &clipped(ring, sides), frame);
            }
        }
    }
    let mut body = String::new();
    for (shade, path) in shades.iter().enumerate() {
        if !path.is_empty() {
            let color = ramp(shade as f64 / (SHADES - 1) as f64);
            let _ = write!(
                body,
                "<path fill=\"{color}\" fill-rule=\"evenodd\" stroke=\"{color}\" stroke-width=\".9\" d=\"{path}\"/>"
            );
        }
    }
    furniture(&mut body, map, frame);
    if let Some((x, y)) = map.ring.map(|ring| frame.place(ring)) {
        let (x, y) = (at(x), at(y));
        let _ = write!(
            body,
            "<circle class=\"ring-under\" cx=\"{x}\" cy=\"{y}\" r=\"9\"/><circle class=\"ring-over\" cx=\"{x}\" cy=\"{y}\" r=\"9\"/>"
        );
    }
    let across = frame.wide - 2.0 * EDGE;
    let top = frame.key();
    for step in 0..SHADES {
        let color = ramp(step as f64 / (SHADES - 1) as f64);
        let wide = across / SHADES as f64;
        let _ = write!(
            body,
            "<rect fill=\"{color}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"16\"/>",
            at(EDGE + step as f64 * wide),
            at(top),
            at(wide + if step + 1 < SHADES { 0.6 } else { 0.0 })
        );
    }
    for tick in &map.ticks {
        let along = share(tick.at, map.range);
        let x = EDGE + along * across;
        let _ = write!(
            body,
            "<path class=\"line\" d=\"M{} {}v5\"/>",
            at(x),
            at(top + 16.0)
        );
        frame.text(&mut body, (x, top + 37.0), anchored(along), &tick.text);
    }
    frame.finish(&map.finding, &body, width)
}

/// The class that keeps a text inside at either end.
fn anchored(x: f64) -> &'static str {
    match x {
        x if x < 0.04 => "",
        x if x > 0.96 => "end",
        _ => "mid",
    }
}

fn doubt(map: &FieldMap, cells: &[MapCell], frame: &Frame, width: Width) -> String {
    let most = map.doubt_ticks.last().map_or(1.0, |tick| tick.at);
    let cell = map.cell_m.max(0.0) * frame.scale;
    // the largest dot just meets its neighbor
    let radius = |doubt: f64| (share(doubt, (0.0, most)) * cell * 0.5).max(0.4);
    let mut body = String::from("<g class=\"ink\">");
    for one in cells.iter().filter(|one| one.doubt.is_finite()) {
        if map.outline.is_empty() || inside(&map.outline, (one.east_m, one.north_m)) {
            let (x, y) = frame.place((one.east_m, one.north_m));
            let _ = write!(
                body,
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
                at(x),
                at(y),
                at(radius(one.doubt))
            );
        }
    }
    body.push_str("</g>");
    furniture(&mut body, map, frame);
    if let Some((x, y)) = map.ring.map(|ring| frame.place(ring)) {
        let _ = write!(
            body,
            "<circle class=\"ring-paper\" cx=\"{x}\" cy=\"{y}\" r=\"10\"/><circle class=\"ring-ink\" cx=\"{x}\" cy=\"{y}\" r=\"10\"/>",
            x = at(x),
            y = at(y)
        );
    }
    let step = (frame.wide - 2.0 * EDGE) / map.doubt_ticks.len().max(1) as f64;
    let top = frame.key();
    for (index, tick) in map.doubt_ticks.iter().enumerate() {
        let x = EDGE + (index as f64 + 0.5) * step;
        let _ = write!(
            body,
            "<circle class=\"ink\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            at(x),
            at(top + 9.0),
            at(radius(tick.at))
        );
        frame.text(&mut body, (x, top + 37.0), "mid", &tick.text);
    }
    frame.finish(&map.doubt_finding, &body, width)
}

/// The field's edge, scale bar and north.
fn furniture(body: &mut String, map: &FieldMap, frame: &Frame) {
    let mut edge = String::new();
    for ring in &map.outline {
        outline(&mut edge, ring, frame);
    }
    if !edge.is_empty() {
        let _ = write!(body, "<path class=\"map-edge\" d=\"{edge}\"/>");
    }
    let y = frame.foot + 30.0;
    let long = (map.bar.at * frame.scale).clamp(0.0, frame.wide);
    if long.is_finite() {
        let _ = write!(
            body,
            "<path class=\"line\" d=\"M{} {}v7h{}v-7\"/>",
            at(EDGE),
            at(y - 4.0),
            at(long)
        );
        frame.text(body, (EDGE + long + 8.0, y + 5.0), "", &map.bar.text);
    }
    let x = frame.wide - EDGE - 6.0;
    frame.text(body, (x - 10.0, y + 5.0), "b end", &map.north);
    let _ = write!(
        body,
        "<path class=\"line\" d=\"M{} {}v-26m-5 7l5 -8l5 8\"/>",
        at(x),
        at(y + 5.0)
    );
}

fn outline(path: &mut String, ring: &[(f64, f64)], frame: &Frame) {
    let mut letter = 'M';
    for &corner in ring.iter().filter(|c| c.0.is_finite() && c.1.is_finite()) {
        let (x, y) = frame.place(corner);
        let _ = write!(path, "{letter}{} {}", at(x), at(y));
        letter = 'L';
    }
    if letter == 'L' {
        path.push('z');
    }
}

/// Room left of, right of and above the field.
const EDGE: f64 = 8.0;
/// Room below it for the scale bar and the key.
const FOOT: f64 = 94.0;

/// How metres become pixels.
struct Frame {
    west: f64,
    north: f64,
    scale: f64,
    wide: f64,
    /// Where the field ends below.
    foot: f64,
    /// Class of its texts: a map is made to fit, and its letters with it.
    letters: &'static str,
}

impl Frame {
    fn new(map: &FieldMap, cells: &[MapCell], width: Width) -> Self {
        let (wide, letters) = match width {
            Width::Phone => (360.0, "t15"),
            Width::Page => (500.0, "t16"),
        };
        let half = map.cell_m.max(0.0) / 2.0;
        let corners = map.outline.iter().flatten().copied();
        let mut west = f64::INFINITY;
        let mut east = f64::NEG_INFINITY;
        let mut south = f64::INFINITY;
        let mut north = f64::NEG_INFINITY;
        let mut hold = |(x, y): (f64, f64), by: f64| {
            if x.is_finite() && y.is_finite() {
                (west, east) = (west.min(x - by), east.max(x + by));
                (south, north) = (south.min(y - by), north.max(y + by));
            }
        };
        if map.outline.iter().all(Vec::is_empty) {
            for cell in cells {
                hold((cell.east_m, cell.north_m), half);
            }
        } else {
            corners.for_each(|corner| hold(corner, 0.0));
        }
        let (wide_m, high_m) = ((east - west).max(1.0), (north - south).max(1.0));
        // a field that is long from north to south is no higher than a map that is as high as wide
        let scale = ((wide - 2.0 * EDGE) / wide_m).min((wide - 2.0 * EDGE) / high_m);
        let scale = if scale.is_finite() { scale } else { 1.0 };
        Self {
            west: if west.is_finite() { west } else { 0.0 },
            north: if north.is_finite() { north } else { 0.0 },
            scale,
            wide,
            foot: (high_m * scale).clamp(0.0, wide) + EDGE,
            letters,
        }
    }
    fn place(&self, (east, north): (f64, f64)) -> (f64, f64) {
        (
            EDGE + (east - self.west) * self.scale,
            EDGE + (self.north - north) * self.scale,
        )
    }
    /// Where the key begins.
    fn key(&self) -> f64 {
        self.foot + 52.0
    }
    fn text(&self, body: &mut String, (x, y): (f64, f64), class: &str, text: &str) {
        let _ = write!(
            body,
            "<text class=\"{} {class}\" x=\"{}\" y=\"{}\">{}</text>",
            self.letters,
            at(x),
            at(y),
            escape(text)
        );
    }
    fn finish(&self, finding: &Finding, body: &str, width: Width) -> String {
        let class = format!("map {}", width.class());
        let size = format!("viewBox=\"0 0 {} {}\"", at(self.wide), at(self.foot + FOOT));
        framed(&class, &size, finding, body)
    }
}

/// Where a value stands between two, 0 to 1.
fn share(value: f64, (first, last): (f64, f64)) -> f64 {
    let share = (value - first) / (last - first);
    if share.is_finite() {
        share.clamp(0.0, 1.0)
    } else {
        0.0
    }
}
