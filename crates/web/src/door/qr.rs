//! An address as a QR code (ISO/IEC 18004), drawn as SVG that stands under the content policy.

use fast_qr::qr::QRBuilder;
use std::fmt::Write as _;

/// The quiet zone around it that the standard asks for, in modules.
const QUIET: usize = 4;

/// The SVG, black on white whatever the page's light is, since cameras expect that; `name` is what a
/// screen reader says. None when the text is too long for a code.
pub fn svg(text: &str, name: &str) -> Option<String> {
    let code = QRBuilder::new(text).ecl(fast_qr::ECL::M).build().ok()?;
    let side = code.size + 2 * QUIET;
    let mut path = String::new();
    for row in 0..code.size {
        for column in 0..code.size {
            if code[row][column].value() {
                let _ = write!(path, "M{} {}h1v1h-1z", column + QUIET, row + QUIET);
            }
        }
    }
    let name = crate::text::escape(name);
    Some(format!(
        "<svg class=\"qr\" xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" width=\"{px}\" height=\"{px}\" role=\"img\" aria-label=\"{name}\" shape-rendering=\"crispEdges\"><rect width=\"{side}\" height=\"{side}\" fill=\"#fff\"/><path d=\"{path}\" fill=\"#000\"/></svg>",
        px = side * 6
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_picture_has_a_name_and_no_style() {
        let svg = svg("https://192.168.7.20:7469/pair?code=ABCDEFHJ", "a \"code\"").unwrap();
        assert!(svg.contains("aria-label=\"a &quot;code&quot;\""));
        assert!(!svg.contains("style") && !svg.contains("<script"));
        assert!(super::svg(&"x".repeat(8000), "").is_none());
    }
}
