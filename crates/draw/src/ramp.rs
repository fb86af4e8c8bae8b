//! The color ramp of maps: open, of even steps to the eye, lighter all the way.

/// The cividis ramp, every 17th of its 256 colors from dark to light, in bytes: Nunez, Anderton and
/// Renslow 2018, "Optimizing colormaps with consideration for color vision deficiency to enable
/// accurate interpretation of scientific data", PLoS ONE 13(7) (the table as two public copies give
/// it alike; the paper itself was not read).
const KEPT: [[u8; 3]; 16] = [
    [0, 34, 78],
    [0, 46, 108],
    [30, 58, 111],
    [53, 69, 108],
    [71, 81, 108],
    [87, 93, 109],
    [102, 105, 112],
    [117, 117, 117],
    [132, 130, 121],
    [148, 142, 119],
    [165, 156, 116],
    [183, 169, 110],
    [200, 184, 102],
    [219, 199, 90],
    [238, 214, 73],
    [254, 232, 56],
];

/// A color of the ramp, `#rrggbb`, for a share from 0 (least, dark) to 1 (most, light); anything
/// that is no number is least.
///
/// ```
/// assert_eq!(draw::ramp(0.0), "#00224e");
/// assert_eq!(draw::ramp(1.0), "#fee838");
/// ```
pub fn ramp(share: f64) -> String {
    let [r, g, b] = ramp_bytes(share);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// The same color as red, green and blue.
pub fn ramp_bytes(share: f64) -> [u8; 3] {
    let share = if share.is_finite() {
        share.clamp(0.0, 1.0)
    } else {
        0.0
    };
    let along = share * 15.0;
    let (index, part) = (
        (along.floor() as usize).min(14),
        along - along.floor().min(14.0),
    );
    [0, 1, 2].map(|c| {
        let (a, b) = (f64::from(KEPT[index][c]), f64::from(KEPT[index + 1][c]));
        (a + (b - a) * part).round() as u8
    })
}

/// The ramp in 256 steps, `#rrggbb` from dark to light, for a map that is drawn by a script.
///
/// ```
/// assert_eq!(draw::RAMP[0], draw::ramp(0.0));
/// assert_eq!(draw::RAMP[255], draw::ramp(1.0));
/// ```
pub const RAMP: [&str; 256] = named();

const LETTERS: [[u8; 7]; 256] = letters();

const fn letters() -> [[u8; 7]; 256] {
    let digits = b"0123456789abcdef";
    let mut out = [[b'#'; 7]; 256];
    let mut step = 0;
    while step < 256 {
        let (index, part) = if step == 255 {
            (14, 17)
        } else {
            (step / 17, step % 17)
        };
        let mut c = 0;
        while c < 3 {
            let (a, b) = (KEPT[index][c] as usize, KEPT[index + 1][c] as usize);
            // to the nearest, as `ramp` rounds
            let value = (2 * (a * (17 - part) + b * part) + 17) / 34;
            out[step][1 + 2 * c] = digits[value / 16];
            out[step][2 + 2 * c] = digits[value % 16];
            c += 1;
        }
        step += 1;
    }
    out
}

const fn named() -> [&'static str; 256] {
    let mut out = [""; 256];
    let mut step = 0;
    while step < 256 {
        if let Ok(text) = core::str::from_utf8(&LETTERS[step]) {
            out[step] = text;
        }
        step += 1;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lightness L* of CIE 1976 from the luminance that contrast rests on: contrast with black is
    /// (Y + 0.05) / 0.05.
    fn lightness(color: &str) -> f64 {
        let y = crate::contrast(color, "#000000") * 0.05 - 0.05;
        if y > 216.0 / 24_389.0 {
            116.0 * y.cbrt() - 16.0
        } else {
            24_389.0 / 27.0 * y
        }
    }

    #[test]
    fn the_lightness_is_that_of_the_standard() {
        // CIE 15: white is 100; middle gray 18.42 % is 50
        assert!((lightness("#ffffff") - 100.0).abs() < 1e-9);
        assert!((lightness("#777777") - 50.0).abs() < 0.5);
    }

    #[test]
    fn the_ramp_grows_lighter_all_the_way_in_even_steps() {
        let light: Vec<f64> = RAMP.iter().map(|color| lightness(color)).collect();
        // bytes are coarser than the eye: two neighbors may be one lightness, never a darker one
        assert!(light.windows(2).all(|pair| pair[1] >= pair[0]));
        assert!(light.windows(3).all(|three| three[2] > three[0]));
        // its makers evened it in another space than L*; in this one each eighth of it climbs as
        // much as any other to a fifth
        let mean = (light[255] - light[0]) / 255.0 * 32.0;
        for at in 0..223 {
            let climb = light[at + 32] - light[at];
            assert!((climb / mean - 1.0).abs() < 0.2, "{at}: {climb} of {mean}");
        }
    }

    #[test]
    fn colors_between_are_the_published_ones() {
        // numbers 63 and 191 of the 256, between the ones kept, to one step of a byte
        for (number, published) in [(63, [66, 78, 108]), (191, [187, 173, 109])] {
            let exact = ramp(f64::from(number) / 255.0);
            for color in [exact.as_str(), RAMP[number as usize]] {
                for (channel, expected) in published.into_iter().enumerate() {
                    let part = &color[1 + 2 * channel..3 + 2 * channel];
                    let found = i32::from_str_radix(part, 16).unwrap();
                    assert!((found - expected).abs() <= 1, "{number}: {color}");
                }
            }
        }
    }
}
