//! What stood a machine still: a bar of hours a cause, the longest first, and how much of it all that is.

use crate::strip::Strip;
use crate::{Finding, Width};

/// One cause.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseBar {
    /// Why.
    pub name: String,
    /// Hours.
    pub hours: f64,
    /// In words: hours, stops, the share of all up to and with it.
    pub says: String,
}

/// The picture: the longest is solid, the others are outlines; all begin at nothing on one scale.
pub fn causes(bars: &[CauseBar], finding: &Finding, width: Width) -> String {
    const ROW: f64 = 66.0;
    let most = bars.iter().map(|one| one.hours).fold(0.0, f64::max);
    let mut strip = Strip::new();
    for (nth, one) in bars.iter().enumerate() {
        let top = nth as f64 * ROW;
        strip.text((0.0, top + 15.0), 0.0, "t15", &one.name);
        strip.text((0.0, top + 51.0), 0.0, "t13 soft", &one.says);
        let share = if most > 0.0 {
            100.0 * one.hours / most
        } else {
            0.0
        };
        let class = if nth == 0 { "ink" } else { "edge" };
        strip.rect((0.0, top + 21.0), (share, 14.0), class);
    }
    strip.line((0.0, 0.0), (0.0, bars.len() as f64 * ROW - 10.0), "rule");
    strip.finish("chart", bars.len() as f64 * ROW, finding, width)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_as_long_as_their_hours() {
        let bar = |name: &str, hours| CauseBar {
            name: name.to_owned(),
            hours,
            says: format!("{hours} h"),
        };
        let finding = Finding {
            title: "Breakdowns took most".to_owned(),
            desc: String::new(),
        };
        let picture = causes(
            &[bar("broke < down", 4.0), bar("plugged", 1.0)],
            &finding,
            Width::Page,
        );
        assert!(
            picture.contains("width=\"100%\" height=\"14\"")
                && picture.contains("width=\"25%\" height=\"14\""),
            "{picture}"
        );
        assert!(
            picture.contains("broke &lt; down") && picture.contains("<title>Breakdowns"),
            "{picture}"
        );
        let none = causes(&[], &finding, Width::Phone);
        assert!(!none.contains("NaN"), "{none}");
    }
}
