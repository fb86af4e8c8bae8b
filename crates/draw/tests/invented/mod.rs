//! Invented inputs for pictures inside pages: for goldens, and for a person to look at.

mod charts;

pub(crate) use charts::{plan, steps, tests};
use draw::{
    Account, BarPart, CallAt, DaySample, Days, FieldMap, Finding, HourFigures, HourMark, HourRow,
    HourSpan, HourState, HourTick, Hours, LoadPad, MapCell, PadBlank, PadColumn, RowFigure,
    Texture, Tick, Wagon, Whisker,
};

pub(crate) fn finding(title: &str, desc: &str) -> Finding {
    Finding {
        title: title.to_owned(),
        desc: desc.to_owned(),
    }
}

pub(crate) fn tick(at: f64, text: &str) -> Tick {
    Tick {
        at,
        text: text.to_owned(),
    }
}

fn ruler() -> Vec<Tick> {
    let words = ["6 am", "8", "10", "noon", "2", "4", "6", "8", "10 pm"];
    (0_u8..)
        .zip(words)
        .map(|(at, word)| tick(f64::from(6 + 2 * at), word))
        .collect()
}

fn span(from: f64, to: f64, state: HourState, word: &str) -> HourSpan {
    HourSpan {
        from,
        to,
        state,
        word: word.to_owned(),
        hand: String::new(),
    }
}

fn figure(figure: &str, range: &str) -> RowFigure {
    RowFigure {
        figure: figure.to_owned(),
        unit: "%".into(),
        range: range.to_owned(),
    }
}

/// What will be fit.
pub(crate) fn forecast() -> Hours {
    use HourState::{Fit, NotBefore, TooDry, Tough, Wet};
    let weather = |label: &str, all: [&str; 9]| HourFigures {
        label: label.to_owned(),
        figures: (0_u8..)
            .zip(all)
            .map(|(at, text)| tick(f64::from(6 + 2 * at), text))
            .collect(),
    };
    let row = |name: &str, detail: &str| HourRow {
        name: name.to_owned(),
        detail: detail.to_owned(),
        ..HourRow::default()
    };
    let mut mill = span(6.0, 22.0, NotBefore, "not before");
    mill.hand = "Thursday, October 8".into();
    Hours {
        finding: finding(
            "Willow Bench is fit from about 12:40, Long Eighty from 2:10.",
            "Willow Bench: wet to 9:20, tough to 12:40, fit to 4:30, too dry to 6:10, fit to 7:20.",
        ),
        span: draw::DAY,
        marks: ruler(),
        figures: vec![
            weather(
                "Temperature, °F",
                ["44", "43", "49", "60", "68", "71", "69", "61", "55"],
            ),
            weather(
                "Humidity, %",
                ["96", "97", "81", "58", "44", "38", "43", "62", "78"],
            ),
            weather(
                "Wind, mph",
                ["2", "3", "6", "9", "12", "14", "11", "6", "4"],
            ),
        ],
        corner: "Sun up 7:08, down 6:47".into(),
        right: "moisture at noon".into(),
        rows: vec![
            HourRow {
                spans: vec![
                    span(6.0, 9.3, Wet, "wet"),
                    span(9.3, 12.67, Tough, "tough"),
                    span(12.67, 16.5, Fit, "fit 12:40"),
                    span(16.5, 18.2, TooDry, "too dry"),
                    span(18.2, 19.3, Fit, ""),
                    span(19.3, 20.5, Tough, ""),
                    span(20.5, 22.0, Wet, "wet"),
                ],
                changes: vec![(11.83, 13.5), (18.7, 19.75)],
                reasons: vec![
                    tick(6.0, "heavy dew, off about 10"),
                    tick(16.5, "pods shatter"),
                ],
                figure: Some(figure("12.9", "±0.7")),
                ..row("Willow Bench", "soybeans, 21 ac standing")
            },
            HourRow {
                spans: vec![
                    span(6.0, 10.0, Wet, "wet"),
                    span(10.0, 14.17, Tough, "tough"),
                    span(14.17, 19.83, Fit, "fit 2:10"),
                    span(19.83, 22.0, Tough, "tough"),
                ],
                changes: vec![(13.0, 15.6), (19.1, 20.6)],
                reasons: vec![
                    tick(6.0, "low ground soft until noon"),
                    tick(14.17, "to the dryer, under 18 %"),
                ],
                figure: Some(figure("17.1", "±0.8")),
                ..row("Long Eighty", "grain sorghum, 78 ac standing")
            },
            HourRow {
                spans: vec![
                    span(6.0, 10.5, Tough, "tough"),
                    span(10.5, 22.0, Fit, "fit 10:30"),
                ],
                changes: vec![(9.2, 11.6)],
                reasons: vec![tick(10.5, "to the dryer, under 24 %")],
                figure: Some(figure("23.4", "±1.2")),
                ..row("Orchard Strip", "corn, 14 ac standing")
            },
            HourRow {
                spans: vec![mill],
                reasons: vec![tick(7.5, "you set this date on September 19")],
                figure: Some(figure("13.8", "±1.0")),
                ..row("Mill Corner", "soybeans, 22 ac standing")
            },
        ],
        now: Some(tick(7.17, "now 7:10")),
    }
}

/// How a day went.
pub(crate) fn past() -> Hours {
    use HourState::{Cutting, Stopped};
    let mark = |at, text: &str, mark| HourTick {
        at,
        text: text.to_owned(),
        mark,
    };
    let row = |name: &str, detail: &str| HourRow {
        name: name.to_owned(),
        detail: detail.to_owned(),
        ..HourRow::default()
    };
    Hours {
        finding: finding(
            "Six loads from 1 to 7; 64 minutes stood still.",
            "Cutting 12:55 to 1:40, 2:05 to 4:36 and 5:15 to 7:20.",
        ),
        span: draw::DAY,
        marks: ruler(),
        figures: Vec::new(),
        corner: String::new(),
        right: String::new(),
        rows: vec![
            HourRow {
                spans: vec![
                    span(12.92, 13.67, Cutting, ""),
                    span(13.67, 14.08, Stopped, ""),
                    span(14.08, 16.6, Cutting, "Willow Bench"),
                    span(16.6, 17.25, Stopped, ""),
                    span(17.25, 19.33, Cutting, "Long Eighty"),
                ],
                reasons: vec![tick(12.6, "waited 25 min on a wagon"), tick(16.6, "move")],
                ..row(
                    "Combine",
                    "Willow Bench, Long Eighty; 5 h 20 cutting, 64 min not",
                )
            },
            HourRow {
                ticks: [13.17, 14.33, 14.87, 16.5, 18.1, 19.2]
                    .into_iter()
                    .zip(["4", "5", "6", "7", "8", "9"])
                    .map(|(at, text)| mark(at, text, HourMark::Plain))
                    .collect(),
                ..row("Loads dumped", "6, each by its number")
            },
            HourRow {
                ticks: vec![
                    mark(16.7, "slip 6?", HourMark::Odd),
                    mark(18.4, "untyped", HourMark::Untyped),
                ],
                ..row("Tickets", "1 typed, 1 waits")
            },
            row("As it went", "draw it in"),
        ],
        now: None,
    }
}

pub(crate) fn account() -> Account {
    let part = |value, texture| BarPart {
        label: String::new(),
        value,
        texture,
    };
    Account {
        finding: finding(
            "166 bushels are short on Willow Bench.",
            "Came off 1,245; sold 976, on wheels 103, short 166 ±26.",
        ),
        upper_word: "Came off".into(),
        upper: vec![part(1_245.0, Texture::Plain)],
        lower_word: "Went to".into(),
        lower: vec![
            part(612.0, Texture::Solid),
            part(364.0, Texture::Solid),
            part(60.0, Texture::Dots),
            part(43.0, Texture::Hatch),
        ],
        gap: 166.0,
        gap_range: 26.0,
        gap_word: "166 ±26 short".into(),
    }
}

/// More went out than came off.
pub(crate) fn account_over() -> Account {
    let mut over = account();
    over.upper[0].value = 1_000.0;
    over.upper.push(BarPart {
        label: String::new(),
        value: 40.0,
        texture: Texture::Hatch,
    });
    over.gap = -39.0;
    over.gap_range = 52.0;
    over.gap_word = "39 ±52 over".into();
    over
}

pub(crate) fn whiskers() -> Vec<Whisker> {
    [
        ("best", 0.0, 0.0, 0.0),
        ("−310, −540 to −90", -540.0, -310.0, -90.0),
        ("−420, −700 to −130", -700.0, -420.0, -130.0),
        ("−505, −1,020 to +60", -1_020.0, -505.0, 60.0),
    ]
    .into_iter()
    .map(|(title, low, middle, high)| Whisker {
        title: title.to_owned(),
        low,
        middle,
        high,
        axis: (-1_100.0, 100.0),
        line: Some(0.0),
    })
    .collect()
}

pub(crate) fn calls() -> Vec<CallAt> {
    let ticks: Vec<Tick> = [25, 35, 45, 55, 65, 75]
        .into_iter()
        .map(|at| tick(f64::from(at), &at.to_string()))
        .collect();
    let bare = ticks.iter().map(|one| tick(one.at, "")).collect();
    vec![
        CallAt {
            title: "Unit A made 41.4 ±0.9; the agent is called at 34.".into(),
            made: Some((40.5, 41.4, 42.3)),
            call_at: Some(34.0),
            axis: (25.0, 75.0),
            ticks: bare,
        },
        CallAt {
            title: "Unit B made 58.5 ±4.1; the agent is called at 60.".into(),
            made: Some((54.4, 58.5, 62.6)),
            call_at: Some(60.0),
            axis: (25.0, 75.0),
            ticks,
        },
    ]
}

pub(crate) fn wagons() -> Vec<Wagon> {
    [
        ("empty", Some(0.0), Some(false)),
        ("a quarter full", Some(0.25), None),
        ("three quarters full, covered", Some(0.75), Some(true)),
        ("full", Some(1.0), Some(false)),
        ("heaped", Some(1.1), Some(false)),
        ("heaped, covered", Some(1.1), Some(true)),
        ("how full is not known", None, None),
    ]
    .into_iter()
    .map(|(title, level, covered)| Wagon {
        title: title.to_owned(),
        level,
        covered,
    })
    .collect()
}

/// A field in cells of a size, with a bent edge, a tree line in the north, a wet spot and a stretch
/// without signal.
pub(crate) fn field(cell_m: f64) -> FieldMap {
    let bump = |x: f64, y: f64, (cx, cy): (f64, f64), r: f64| {
        (-((x - cx).powi(2) + (y - cy).powi(2)) / (r * r)).exp()
    };
    let mut cells = Vec::new();
    for row in 0..(297.0 / cell_m) as u32 {
        for column in 0..(440.0 / cell_m) as u32 {
            let (x, y) = (f64::from(column) * cell_m, f64::from(row) * cell_m);
            let edge = (270.0 - y).max(0.0);
            let value = 41.0 - 18.0 * (-edge / 18.0).exp()
                + 7.0 * bump(x, y, (330.0, 200.0), 70.0)
                + 5.0 * bump(x, y, (50.0, 110.0), 80.0)
                - 13.0 * bump(x, y, (300.0, 110.0), 42.0)
                - 5.0 * bump(x, y, (200.0, 60.0), 50.0);
            let sides = (x - 215.0).abs() / 215.0;
            let doubt = 2.0
                + 6.0 * bump(x, y, (125.0, 185.0), 42.0)
                + 4.0 * sides.powi(10)
                + if edge < 20.0 { 4.0 } else { 0.0 };
            cells.push(MapCell {
                east_m: x,
                north_m: y,
                value,
                doubt,
            });
        }
    }
    FieldMap {
        finding: finding(
            "The north side and one wet spot made under 30.",
            "Values from 22 to 50 bushels an acre.",
        ),
        doubt_finding: finding("Least sure west of the middle.", "Doubt from 2 to 10."),
        cells,
        cell_m,
        outline: vec![vec![
            (5.0, 262.0),
            (135.0, 283.0),
            (310.0, 278.0),
            (425.0, 244.0),
            (434.0, 118.0),
            (395.0, 22.0),
            (235.0, 8.0),
            (182.0, 50.0),
            (52.0, 42.0),
            (14.0, 128.0),
        ]],
        range: (22.0, 50.0),
        ticks: ["22", "29", "36", "43", "50"]
            .into_iter()
            .map(|text| tick(text.parse().unwrap_or(0.0), text))
            .collect(),
        doubt_ticks: [2, 4, 6, 8, 10]
            .into_iter()
            .map(|at| tick(f64::from(at), &format!("±{at}")))
            .collect(),
        ring: Some((313.0, 107.0)),
        bar: tick(91.44, "300 ft"),
        north: "N".into(),
    }
}

pub(crate) fn samples() -> Days {
    let sample = |at, middle| DaySample {
        at,
        low: middle - 0.6,
        middle,
        high: middle + 0.6,
    };
    Days {
        finding: finding(
            "The beans came down to 12.2 % on Monday afternoon.",
            "Samples: Sunday 13.0, Monday 15.9 and 12.2.",
        ),
        span: (0.0, 4.0),
        days: (0_u8..)
            .zip(["Sun", "Mon", "Tue", "Wed"])
            .map(|(at, word)| tick(f64::from(at) + 0.5, word))
            .collect(),
        axis: (8.0, 18.0),
        ticks: [8, 10, 12, 14, 16, 18]
            .into_iter()
            .map(|at| tick(f64::from(at), &at.to_string()))
            .collect(),
        samples: vec![sample(0.58, 13.0), sample(1.1, 15.9), sample(1.6, 12.2)],
        line: Some(tick(13.0, "base 13")),
        now: Some(tick(2.3, "now")),
    }
}

pub(crate) fn pad() -> LoadPad {
    let column = |head: &str, kind, share| PadColumn {
        head: head.to_owned(),
        kind,
        share,
    };
    let levels = ["¼", "½", "¾", "full", "heap"].map(str::to_owned).to_vec();
    LoadPad {
        finding: finding("Load cards 31 to 45", ""),
        head: [
            "stook".into(),
            "Load log, page 3 of the pad".into(),
            "cards 31 to 45".into(),
        ],
        title: "Willow Bench, soybeans".into(),
        sub: "One line a load. Write what you see; leave blank what you did not. A crossed-out line stays, and the next line says why.".into(),
        blanks: ["Date", "Driver", "Combine", "Going to"].map(str::to_owned).to_vec(),
        number: "No.".into(),
        columns: vec![
            column("Time", PadBlank::Digits(4), 10.0),
            column("Wagon", PadBlank::Words, 14.0),
            column("How full, ring one", PadBlank::Ring(levels), 19.0),
            column("Ticket no.", PadBlank::Digits(6), 14.5),
            column("Gross, lb", PadBlank::Digits(5), 14.5),
            column("Tare, lb", PadBlank::Digits(5), 14.5),
            column("Moist. %", PadBlank::Digits(3), 8.0),
        ],
        first: 31,
        lines: 15,
        caution: (
            "Nobody in or on a wagon while grain flows.".into(),
            "Children clear. Look up for wires before the auger goes up. Stand still to write. The maker’s manual and local law come first.".into(),
        ),
        foot: [
            "Type these at Night, or photograph the page. A missing number is asked for.".into(),
            "Printed October 6, 6:52 am".into(),
        ],
    }
}
