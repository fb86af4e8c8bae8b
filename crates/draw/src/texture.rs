//! Textures as geometry, so that a picture needs no names that a second picture could take.

use crate::strip::Strip;
use crate::svg::at;
use crate::{HourState, Texture};

/// Longer than any window; what is too long is cut off at the window's edge.
const LONG: &str = "2600";

/// Slant hatch for a window of a height: one wide dashed line, pushed aslant.
pub(crate) fn hatch(high: f64) -> String {
    format!(
        "<line class=\"hatch\" x1=\"0\" y1=\"{y}\" x2=\"{LONG}\" y2=\"{y}\" stroke-width=\"{}\" transform=\"skewX(-45)\"/>",
        at(high),
        y = at(high / 2.0)
    )
}

/// Upright lines for a window of a height.
pub(crate) fn upright(high: f64) -> String {
    format!(
        "<line class=\"upright\" x1=\"0\" y1=\"{y}\" x2=\"{LONG}\" y2=\"{y}\" stroke-width=\"{}\"/>",
        at(high),
        y = at(high / 2.0)
    )
}

/// Rows of dots for a window of a height.
pub(crate) fn dots(high: f64) -> String {
    let rows = (high / 5.0).round().clamp(1.0, 40.0) as usize;
    let mut path = String::from("<path class=\"dots\" d=\"");
    for row in 0..rows {
        path.push_str("M2.5 ");
        path.push_str(&at((row as f64 + 0.5) * high / rows as f64));
        path.push('H');
        path.push_str(LONG);
    }
    path + "\"/>"
}

/// A box of a texture: its left upper corner, wide in shares and high in pixels.
pub(crate) fn filled(strip: &mut Strip, corner: (f64, f64), size: (f64, f64), texture: Texture) {
    match texture {
        Texture::Solid => strip.rect(corner, size, "ink edge"),
        Texture::Hatch => {
            strip.window(corner, size, &hatch(size.1));
            strip.rect(corner, size, "edge");
        }
        Texture::Dots => {
            strip.window(corner, size, &dots(size.1));
            strip.rect(corner, size, "edge");
        }
        Texture::Plain => strip.rect(corner, size, "edge"),
        Texture::Gap => strip.rect(corner, size, "gap"),
    }
}

/// A stretch of hours in a state, standing on `foot`; wide in shares, high in pixels.
pub(crate) fn stretch(
    strip: &mut Strip,
    (x, foot): (f64, f64),
    (wide, high): (f64, f64),
    state: HourState,
) {
    let (corner, size) = ((x, foot - high), (wide, high));
    match state {
        HourState::Wet => {
            strip.rect(corner, size, "paper");
            strip.window(corner, size, &dots(high));
        }
        HourState::Tough => {
            strip.rect(corner, size, "paper");
            strip.window(corner, size, &hatch(high));
            strip.line((x, foot), (x + wide, foot), "line");
        }
        HourState::Fit | HourState::Cutting => strip.rect(corner, size, "ink"),
        HourState::TooDry => {
            strip.rect(corner, size, "paper edge");
            strip.window(corner, size, &upright(high));
        }
        HourState::NotBefore | HourState::Stopped => {
            strip.line((x, foot), (x + wide, foot), "line dashed");
        }
    }
}

/// How high a state stands.
pub(crate) fn height(state: HourState) -> f64 {
    match state {
        HourState::Wet => 10.0,
        HourState::Tough => 18.0,
        HourState::Fit | HourState::Cutting | HourState::TooDry => 34.0,
        HourState::NotBefore | HourState::Stopped => 0.0,
    }
}

/// A bracket from one share to another, its middle at `y`.
pub(crate) fn bracket(strip: &mut Strip, (low, high): (f64, f64), y: f64) {
    strip.line((low, y), (high, y), "line");
    strip.line((low, y - 4.0), (low, y + 4.0), "line");
    strip.line((high, y - 4.0), (high, y + 4.0), "line");
}

const SAMPLE: (f64, f64) = (34.0, 16.0);

/// A small sample of a texture for a key; its word stands beside it, so it has none of its own.
///
/// ```
/// use draw::{Texture, swatch};
/// assert!(swatch(Texture::Hatch).contains("class=\"hatch\""));
/// ```
pub fn swatch(texture: Texture) -> String {
    let mut strip = Strip::new();
    filled(&mut strip, (0.0, 1.0), (100.0, 14.0), texture);
    strip.finish_small("swatch", SAMPLE, "")
}

/// A small sample of a state of the hour ruler, for a key.
pub fn state_swatch(state: HourState) -> String {
    let mut strip = Strip::new();
    // lower than on the ruler, to stand in a line of text, but in the same order
    let high = match state {
        HourState::Tough => 13.0,
        other => height(other).min(16.0),
    };
    stretch(&mut strip, (0.0, 15.0), (100.0, high), state);
    strip.finish_small("swatch", SAMPLE, "")
}

/// A small bracket, for a key.
pub fn bracket_swatch() -> String {
    let mut strip = Strip::new();
    bracket(&mut strip, (0.0, 100.0), 8.0);
    strip.finish_small("swatch", SAMPLE, "")
}
