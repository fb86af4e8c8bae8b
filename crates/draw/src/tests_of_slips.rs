//! Every slip's test against the line that alarms.

use crate::svg::{Anchor, Svg, at, short};

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

/// The words around the tests on a page, translated.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SlipTestWords {
    /// For those who do not see it: how many slips, which look wrong.
    pub desc: String,
    /// What is drawn: how far each slip is from what all others say, in standard errors.
    pub shows: String,
    /// What the marks mean: diamond, ring, tick.
    pub key: String,
    /// At the line, e.g. "alarms above 3.16".
    pub alarms: String,
    /// At the left foot: "first".
    pub first: String,
    /// At the right foot: "last".
    pub last: String,
}

const LEFT: f64 = 40.0;
const SOFT: &str = "fill:var(--soft);font-size:13px";
const SHOWS: &str = "how far each slip is from what all others say, in standard errors";
const KEY: &str =
    "diamond: looks wrong; ring: fits once those are set aside; tick: nothing checks it";

/// Marks by |z|, the square root of it up the page so that both 1 and 40 can be seen; suspects are
/// solid diamonds with their names, the rest small rings, slips that nothing checks are ticks on
/// the foot line.
///
/// ```
/// use draw::{SlipMark, SlipTests, slip_tests};
/// let mark = |name: &str, z, suspect| SlipMark { name: name.into(), z, suspect };
/// let drawn = slip_tests(&SlipTests {
///     marks: vec![mark("dump 5", Some(0.4), false), mark("ticket 6", Some(21.6), true)],
///     critical: 3.16,
///     finding: "Ticket 6 looks wrong.".into(),
/// });
/// assert!(drawn.contains("ticket 6</text>") && !drawn.contains("dump 5</text>"));
/// ```
pub fn slip_tests(tests: &SlipTests) -> String {
    let words = english(tests);
    let mut svg = Svg::new(760.0, 0.0, &tests.finding, &words.desc);
    let top = svg.heading(&tests.finding, SHOWS);
    marks(&mut svg, tests, &words, 760.0, top);
    svg.finish()
}

/// The marks alone for a page of a width, which has the finding above them.
pub(crate) fn tests_inside(tests: &SlipTests, wide: f64, class: &str) -> String {
    captioned(tests, &english(tests), wide).finish_inside(class)
}

/// What is drawn in words, and the marks below.
fn captioned(tests: &SlipTests, words: &SlipTestWords, wide: f64) -> Svg {
    let mut svg = Svg::new(wide, 0.0, &tests.finding, &words.desc);
    let most = ((wide - 16.0) / 7.6) as usize;
    let top = svg.lines((8.0, 14.0), 17.0, most, SOFT, &words.shows);
    marks(&mut svg, tests, words, wide, top - 10.0);
    svg
}

/// The marks for a page that allows no style of its own, in words of the caller's.
pub fn slip_tests_page(tests: &SlipTests, words: &SlipTestWords, width: crate::Width) -> String {
    let wide = match width {
        crate::Width::Phone => 340.0,
        crate::Width::Page => 800.0,
    };
    captioned(tests, words, wide).finish_page(width)
}

/// The words of the picture that stands alone.
fn english(tests: &SlipTests) -> SlipTestWords {
    let named: Vec<&str> = tests
        .marks
        .iter()
        .filter(|mark| mark.suspect)
        .map(|mark| mark.name.as_str())
        .collect();
    let unchecked = tests.marks.iter().filter(|mark| mark.z.is_none()).count();
    let desc = format!(
        "{} slips in order of time; the line stands at {:.2}; looking wrong: {}; nothing checks {unchecked}.",
        tests.marks.len(),
        tests.critical,
        if named.is_empty() {
            "none".to_owned()
        } else {
            named.join(", ")
        }
    );
    SlipTestWords {
        desc,
        shows: SHOWS.to_owned(),
        key: KEY.to_owned(),
        alarms: format!("alarms above {:.2}", tests.critical),
        first: "first".to_owned(),
        last: "last".to_owned(),
    }
}

/// The axis, the line and the marks from `top` down.
fn marks(svg: &mut Svg, tests: &SlipTests, words: &SlipTestWords, wide: f64, top: f64) {
    let worst = tests
        .marks
        .iter()
        .filter_map(|mark| mark.z)
        .fold(tests.critical, f64::max)
        * 1.1;
    let (high, foot) = (top + 30.0, top + 250.0);
    let up = |z: f64| foot - (z.max(0.0) / worst.max(1e-9)).sqrt() * (foot - high);
    let count = tests.marks.len().max(1) as f64;
    let across = |index: usize| LEFT + (index as f64 + 0.5) / count * (wide - LEFT - 12.0);
    for z in [0.0, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0]
        .into_iter()
        .filter(|z| *z < worst)
    {
        let (from, to) = ((LEFT, up(z)), (wide - 8.0, up(z)));
        svg.line(from, to, "stroke:var(--hair);stroke-width:1");
        let figure = format!("{z:.0}");
        svg.text((LEFT - 8.0, up(z) + 4.0), Anchor::End, SOFT, &figure);
    }
    let (from, to) = ((LEFT, foot), (wide - 8.0, foot));
    svg.line(from, to, "stroke:var(--rule);stroke-width:1");
    // every mark is in the way of every name, so names are set once all marks stand
    let mut taken: Vec<Taken> = Vec::new();
    for (index, mark) in tests.marks.iter().enumerate() {
        let x = across(index);
        match (mark.z, mark.suspect) {
            (None, _) => {
                let style = "stroke:var(--ink);stroke-width:1.5";
                svg.line((x, foot), (x, foot + 7.0), style);
            }
            (Some(z), false) => {
                let style = "fill:none;stroke:var(--ink);stroke-width:1.2";
                svg.disc((x, up(z)), 2.6, style);
                taken.push(Taken::new((x, up(z)), 3.0, 3.0));
            }
            (Some(z), true) => {
                let d = format!("M{} {}l6 6l-6 6l-6 -6z", at(x), at(up(z) - 6.0));
                svg.path(&d, "fill:var(--ink)");
                taken.push(Taken::new((x, up(z)), 7.0, 7.0));
            }
        }
    }
    alarm_line(svg, &mut taken, &words.alarms, up(tests.critical), wide);
    let room = Room {
        wide,
        high: top + 8.0,
        foot,
    };
    let mut names = Vec::new();
    for (index, mark) in tests.marks.iter().enumerate() {
        if let (Some(z), true) = (mark.z, mark.suspect) {
            names.extend(name(
                svg,
                &mut taken,
                &room,
                (across(index), up(z)),
                &mark.name,
            ));
        }
    }
    // after all lines to marks, so that none crosses a name
    let style =
        "fill:var(--ink);font-size:13px;paint-order:stroke;stroke:var(--paper);stroke-width:3px";
    for (place, text) in names {
        svg.text(place, Anchor::Middle, style, &text);
    }
    svg.text((LEFT, foot + 24.0), Anchor::Start, SOFT, &words.first);
    svg.text((wide - 8.0, foot + 24.0), Anchor::End, SOFT, &words.last);
    let most = ((wide - 16.0) / 7.4) as usize;
    let end = svg.lines((8.0, foot + 46.0), 17.0, most, SOFT, &words.key);
    svg.set_high(end - 6.0);
}

/// The dashed line that alarms, its words where no mark stands if there is such a place.
fn alarm_line(svg: &mut Svg, taken: &mut Vec<Taken>, words: &str, y: f64, wide: f64) {
    svg.line(
        (LEFT, y),
        (wide - 8.0, y),
        "stroke:var(--ink);stroke-width:2;stroke-dasharray:8 4",
    );
    let half = 4.1 * words.chars().count() as f64;
    let spots =
        [wide - 8.0 - half, LEFT + half, wide / 2.0].map(|x| Taken::new((x, y - 11.0), half, 8.0));
    let [right, left, middle] = spots;
    let spot = [left, middle]
        .into_iter()
        .fold((right.free(taken), right), |(free, best), other| {
            if free {
                (true, best)
            } else {
                (other.free(taken), other)
            }
        })
        .1;
    let style = "fill:var(--ink);font-size:13px;font-weight:650;paint-order:stroke;stroke:var(--paper);stroke-width:3px";
    svg.text((spot.x, y - 6.0), Anchor::Middle, style, words);
    taken.push(spot);
}

/// Where names may stand.
struct Room {
    wide: f64,
    high: f64,
    foot: f64,
}

/// Room on the picture that a mark or a name has taken: its middle, half width and half height.
#[derive(Clone, Copy)]
struct Taken {
    x: f64,
    y: f64,
    half: f64,
    tall: f64,
}

impl Taken {
    fn new((x, y): (f64, f64), half: f64, tall: f64) -> Self {
        Self { x, y, half, tall }
    }
    fn free(&self, taken: &[Taken]) -> bool {
        taken.iter().all(|t| {
            (t.x - self.x).abs() >= t.half + self.half || (t.y - self.y).abs() >= t.tall + self.tall
        })
    }
}

/// A name beside its mark: above, below, right or left of it, then farther off with a thin line to
/// the mark, the first of these that meets nothing already drawn; returns where the text goes.
fn name(
    svg: &mut Svg,
    taken: &mut Vec<Taken>,
    room: &Room,
    (x, y): (f64, f64),
    text: &str,
) -> Option<((f64, f64), String)> {
    let text = short(text, 24);
    let (half, tall) = (3.7 * text.chars().count() as f64 + 2.0, 8.0);
    let beside = half + 10.0;
    let mut spots = vec![(0.0, -17.0), (beside, 0.0), (-beside, 0.0), (0.0, 17.0)];
    for step in 1..14 {
        let off = 17.0 * f64::from(step);
        spots.extend([
            (beside, -off),
            (-beside, -off),
            (beside, off),
            (-beside, off),
        ]);
    }
    let free = |&(dx, dy): &(f64, f64)| {
        let spot = Taken::new((x + dx, y + dy), half, tall);
        spot.x - half >= LEFT
            && spot.x + half <= room.wide - 8.0
            && spot.y - tall >= room.high
            && spot.y + tall <= room.foot
            && spot.free(taken)
    };
    // where everything is full a name is left out: the table beside the picture has it
    let &(dx, dy) = spots.iter().find(|spot| free(spot))?;
    let (mx, my) = (x + dx, y + dy);
    if dy.abs() > 17.0 {
        let near = if dx > 0.0 { mx - half } else { mx + half };
        svg.line((x, y), (near, my), "stroke:var(--rule);stroke-width:1");
    }
    taken.push(Taken::new((mx, my), half, tall));
    Some(((mx, my + 4.5), text))
}
