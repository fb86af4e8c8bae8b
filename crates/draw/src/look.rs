//! The look: two inks on paper, in three lights.

/// Colors of one light, as `#rrggbb`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    /// Paper.
    pub paper: &'static str,
    /// Printed or worked out.
    pub ink: &'static str,
    /// Ranges and labels.
    pub soft: &'static str,
    /// Rules.
    pub rule: &'static str,
    /// Decoration only.
    pub hair: &'static str,
    /// What a hand wrote or may write; always with a rule or italics.
    pub pencil: &'static str,
}

/// Day and lamp.
pub const LIGHT: Theme = Theme {
    paper: "#f4f3ee",
    ink: "#1c1a20",
    soft: "#504c57",
    rule: "#7d7884",
    hair: "#cbc8c6",
    pencil: "#5a2a84",
};
/// Night.
pub const DARK: Theme = Theme {
    paper: "#131216",
    ink: "#e8e5de",
    soft: "#b4afba",
    rule: "#807a88",
    hair: "#3a3740",
    pencil: "#cdaef3",
};
/// Sun on the glass: no tints, no gray.
pub const SUN: Theme = Theme {
    paper: "#ffffff",
    ink: "#000000",
    soft: "#000000",
    rule: "#000000",
    hair: "#000000",
    pencil: "#38086b",
};

/// Faces without web fonts, all with lining figures.
pub(crate) const SERIF: &str = "Charter,'Bitstream Charter','Charis SIL','Sitka Text',Cambria,'Noto Serif','DejaVu Serif',serif";
/// Faces for figures, tables and axes.
pub(crate) const SANS: &str =
    "system-ui,-apple-system,'Segoe UI',Roboto,'Noto Sans','DejaVu Sans',sans-serif";

fn variables(theme: Theme) -> String {
    format!(
        "--paper:{};--ink:{};--soft:{};--rule:{};--hair:{};--pencil:{}",
        theme.paper, theme.ink, theme.soft, theme.rule, theme.hair, theme.pencil
    )
}

/// The variables for a page: light, dark by the reader's wish, either or sun by `data-theme`.
pub(crate) fn page_variables() -> String {
    format!(
        ":root{{--serif:{SERIF};--sans:{SANS}}}:root{{{light}}}@media (prefers-color-scheme:dark){{:root:not([data-theme]){{{dark}}}}}[data-theme=dark]{{{dark}}}[data-theme=sun]{{{sun}}}",
        light = variables(LIGHT),
        dark = variables(DARK),
        sun = variables(SUN)
    )
}

/// The style of a picture that stands alone.
pub(crate) fn picture_style() -> String {
    format!(
        "svg{{{light};font-family:{SANS};font-variant-numeric:lining-nums tabular-nums}}@media (prefers-color-scheme:dark){{svg{{{dark}}}}}",
        light = variables(LIGHT),
        dark = variables(DARK)
    )
}

/// Contrast of two `#rrggbb` colors by the web accessibility guidelines (WCAG 2.2), 1 to 21.
///
/// ```
/// assert!((draw::contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
/// ```
pub fn contrast(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn luminance(color: &str) -> f64 {
    let channel = |at: usize| {
        let part = color.get(at..at + 2).unwrap_or("00");
        let value = f64::from(u8::from_str_radix(part, 16).unwrap_or(0)) / 255.0;
        if value <= 0.040_45 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_readable_in_every_light() {
        for theme in [LIGHT, DARK, SUN] {
            for text in [theme.ink, theme.soft, theme.pencil] {
                // body text wants 4.5 (WCAG 2.2, 1.4.3); ours wants 7, for sun and tired eyes
                assert!(
                    contrast(text, theme.paper) >= 7.0,
                    "{text} on {}",
                    theme.paper
                );
            }
            assert!(
                contrast(theme.rule, theme.paper) >= 3.0,
                "{} on {}",
                theme.rule,
                theme.paper
            );
        }
    }
}
