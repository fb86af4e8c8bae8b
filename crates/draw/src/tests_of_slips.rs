//! Every slip's test against the line that alarms.

use crate::svg::{Anchor, Svg};

/// One slip.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipMark {
    /// Its name.
    pub name: String,
    /// |z| of its measurement test; `None` where nothing checks it.
    pub z: Option<f64>,
    /// Whether it looks wrong.
    pub suspect: bool,
}

/// A season's tests, in order of time.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipTests {
    /// The slips.
    pub marks: Vec<SlipMark>,
    /// The |z| that alarms.
    pub critical: f64,
    /// The finding in one sentence.
    pub finding: String,
}

const WIDE: f64 = 760.0;
const HIGH: f64 = 340.0;
const LEFT: f64 = 52.0;
const TOP: f64 = 64.0;
const FOOT: f64 = 296.0;

/// Marks by |z|, the square root of it up the page so that both 1 and 40 can be seen; suspects are
/// solid diamonds with their names, the rest small rings, slips that nothing checks are ticks on
/// the foot line.
pub fn slip_tests(tests: &SlipTests) -> String {
    let worst = tests
        .marks
        .iter()
        .filter_map(|mark| mark.z)
        .fold(tests.critical, f64::max)
        * 1.1;
    let up = |z: f64| FOOT - (z.max(0.0) / worst.max(1e-9)).sqrt() * (FOOT - TOP);
    let count = tests.marks.len().max(1) as f64;
    let across = |index: usize| LEFT + (index as f64 + 0.5) / count * (WIDE - LEFT - 12.0);
    let named: Vec<&str> = tests
        .marks
        .iter()
        .filter(|mark| mark.suspect)
        .map(|mark| mark.name.as_str())
        .collect();
    let unchecked = tests.marks.iter().filter(|mark| mark.z.is_none()).count();
    let desc = format!(
        "{} slips in order of time; the line stands at {:.2}; over it and looking wrong: {}; nothing checks {unchecked}.",
        tests.marks.len(),
        tests.critical,
        if named.is_empty() {
            "none".to_owned()
        } else {
            named.join(", ")
        }
    );
    let mut svg = Svg::new(WIDE, HIGH, &tests.finding, &desc);
    let soft = "fill:var(--soft);font-size:13px";
    svg.text(
        (8.0, 20.0),
        Anchor::Start,
        "fill:var(--ink);font-size:15px;font-weight:650",
        &tests.finding,
    );
    svg.text(
        (8.0, 42.0),
        Anchor::Start,
        soft,
        "how far each slip is from what all others say, in standard errors",
    );
    for z in [0.0, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
        .into_iter()
        .filter(|z| *z < worst)
    {
        svg.line(
            (LEFT, up(z)),
            (WIDE - 8.0, up(z)),
            "stroke:var(--hair);stroke-width:1",
        );
        svg.text(
            (LEFT - 8.0, up(z) + 4.0),
            Anchor::End,
            soft,
            &format!("{z:.0}"),
        );
    }
    svg.line(
        (LEFT, FOOT),
        (WIDE - 8.0, FOOT),
        "stroke:var(--rule);stroke-width:1",
    );
    let line = up(tests.critical);
    svg.line(
        (LEFT, line),
        (WIDE - 8.0, line),
        "stroke:var(--ink);stroke-width:2;stroke-dasharray:8 4",
    );
    svg.text(
        (WIDE - 8.0, line - 6.0),
        Anchor::End,
        "fill:var(--ink);font-size:13px;font-weight:650",
        &format!("alarms above {:.2}", tests.critical),
    );
    let mut labels: Vec<(f64, f64)> = Vec::new();
    for (index, mark) in tests.marks.iter().enumerate() {
        let x = across(index);
        match (mark.z, mark.suspect) {
            (None, _) => svg.line(
                (x, FOOT),
                (x, FOOT + 7.0),
                "stroke:var(--ink);stroke-width:1.5",
            ),
            (Some(z), false) => svg.disc(
                (x, up(z)),
                2.6,
                "fill:none;stroke:var(--ink);stroke-width:1.2",
            ),
            (Some(z), true) => {
                let y = up(z);
                let d = format!("M{:.1} {:.1}l6 6l-6 6l-6 -6z", x, y - 6.0);
                svg.path(&d, "fill:var(--ink)");
                name(&mut svg, &mut labels, (x, y), &mark.name);
            }
        }
    }
    svg.text((LEFT, FOOT + 26.0), Anchor::Start, soft, "first");
    svg.text((WIDE - 8.0, FOOT + 26.0), Anchor::End, soft, "last");
    svg.text(
        (WIDE / 2.0, FOOT + 26.0),
        Anchor::Middle,
        soft,
        "diamond: looks wrong; ring: fits once those are set aside; tick: nothing checks it",
    );
    svg.finish()
}

/// A name beside its mark, moved up until it meets no other name.
fn name(svg: &mut Svg, labels: &mut Vec<(f64, f64)>, (x, y): (f64, f64), text: &str) {
    let half = 3.6 * text.chars().count().min(24) as f64 + 6.0;
    let middle = x.clamp(LEFT + half, WIDE - 8.0 - half);
    let mut at = y - 12.0;
    let mut tries = 0;
    while tries < 12
        && labels
            .iter()
            .any(|(lx, ly)| (lx - middle).abs() < 2.0 * half && (ly - at).abs() < 14.0)
    {
        at += if at - 14.0 > 56.0 && tries < 6 {
            -14.0
        } else {
            14.0
        };
        tries += 1;
    }
    labels.push((middle, at));
    let short: String = if text.chars().count() > 24 {
        text.chars().take(23).chain(['\u{2026}']).collect()
    } else {
        text.to_owned()
    };
    svg.text(
        (middle, at),
        Anchor::Middle,
        "fill:var(--ink);font-size:12px;paint-order:stroke;stroke:var(--paper);stroke-width:3px",
        &short,
    );
}
