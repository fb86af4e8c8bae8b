//! Every picture, from invented numbers, into a folder: `cargo run -p stook-draw --example gallery -- FOLDER`.

use draw::{
    AccountBars, BarPart, DaySheet, PlanPoint, PointsPlan, SettlementSteps, SheetSuspect,
    SheetTable, SlipMark, SlipTests, Step, Texture, account_bars, day_sheet, points_plan,
    settlement_steps, slip_tests,
};
use std::path::PathBuf;

fn bars() -> AccountBars {
    let part = |label: &str, value, texture| BarPart {
        label: label.to_owned(),
        value,
        texture,
    };
    AccountBars {
        crop: "soybeans".into(),
        unit: "bushels dry at 13 %".into(),
        came_off: 1_245.0,
        went_to: vec![
            part("sold over the scale, 2 tickets", 876.0, Texture::Solid),
            part("on claim, price later", 60.0, Texture::Dots),
            part("on wheels", 103.0, Texture::Hatch),
            part("kept for seed", 40.0, Texture::Plain),
        ],
        gap: 166.0,
        gap_range: 26.0,
        finding: "166 bushels of soybeans are short; the weights explain 26 either way.".into(),
    }
}

fn tests() -> SlipTests {
    let wrong = [
        (7, "ticket 48207", 21.6),
        (8, "dump 8", 21.6),
        (9, "dump 9", 21.3),
        (10, "ticket 48209", 18.0),
        (31, "dump 30", 3.6),
        (52, "ticket 48240", 9.4),
        (53, "ticket 48241", 9.2),
        (79, "ticket 48260", 5.2),
    ];
    let marks = (0_u32..80)
        .map(|i| match wrong.iter().find(|w| w.0 == i) {
            Some(&(_, name, z)) => SlipMark {
                name: name.to_owned(),
                z: Some(z),
                suspect: true,
            },
            None => SlipMark {
                name: format!("dump {i}"),
                z: (i % 11 != 4).then(|| f64::from((i * 37) % 29) / 12.0),
                suspect: false,
            },
        })
        .collect();
    SlipTests {
        marks,
        critical: 3.21,
        finding: "Eight slips stand above the line, in four places.".into(),
    }
}

/// Passes up and down a field with a corner cut off and a wet spot.
fn plan() -> PointsPlan {
    let mut points = Vec::new();
    for pass in 0..62 {
        for along in 0..80 {
            let (x, y) = (f64::from(pass) * 9.1, f64::from(along) * 5.5);
            if x + y > 800.0 {
                continue;
            }
            let wet = (-((x - 380.0) / 70.0).powi(2) - ((y - 150.0) / 60.0).powi(2)).exp();
            let noise = f64::from((pass * 7_919 + along * 104_729) % 101) / 101.0;
            points.push(PlanPoint {
                east_m: x,
                north_m: y,
                value: 150.0 + 18.0 * (x / 90.0).sin() - 70.0 * wet + 16.0 * (noise - 0.5),
            });
        }
    }
    PointsPlan {
        points,
        shows: "yield as logged".into(),
        unit: "bu/ac dry at 15.5 %, acres cut".into(),
        finding: "One wet spot in the middle of the south side made under 100.".into(),
        source: "invented points; nothing cleaned, shifted or smoothed".into(),
    }
}

fn steps() -> SettlementSteps {
    let step = |label: &str, change: &str, left: &str, rule: &str, total| Step {
        label: label.to_owned(),
        change: change.to_owned(),
        left: left.to_owned(),
        rule: rule.to_owned(),
        total,
    };
    SettlementSteps {
        head: "ticket 48210, corn, cash".into(),
        finding: "The ticket pays $2,457.09.".into(),
        steps: vec![
            step(
                "as weighed",
                "",
                "612.68 bu",
                "34,310 lb at 56 lb/bu, to 0.01 bu, halves up",
                false,
            ),
            step(
                "moisture 17.2 %",
                "\u{2212}20.83 bu",
                "591.85 bu",
                "2.2 above 15, begun half points count: 2.5 points at 1.36 % of the gross bushels",
                false,
            ),
            step(
                "test weight 53",
                "\u{2212}$5.92",
                "$2,479.85",
                "1 lb under 54 at 1 cent a bushel on the net bushels",
                false,
            ),
            step(
                "checkoff",
                "\u{2212}$22.76",
                "$2,457.09",
                "one cent a bushel of the assessment on net value, half up to the cent",
                false,
            ),
            step("paid", "", "$2,457.09", "to the cent", true),
        ],
    }
}

fn sheet() -> DaySheet {
    let row = |cells: &[&str]| cells.iter().map(|&c| c.to_owned()).collect();
    DaySheet {
        farm: "Creek Bench".into(),
        day: "Tuesday, October 6, 2026".into(),
        lede: "Not square: 166 bushels of soybeans are short, and ticket 48207 looks wrong.".into(),
        standfirst: "The scales, the wagons and the monitor together explain 26 bushels either way, 8 times in 10.".into(),
        accounts: vec![bars()],
        tests: tests(),
        suspects: vec![SheetSuspect {
            name: "ticket 48207, red wagon to the river".into(),
            written: "gross 52,220 lb, tare 27,910 lb, net 24,310 lb, 13.2 %".into(),
            off_by: "8,630 lb dry \u{b1}350".into(),
            perhaps: vec![
                "The tare is 10,000 lb over what this wagon weighed five times before; look at its first digit.".into(),
                "Or one digit of the gross is off.".into(),
            ],
            or: vec!["dump 8".into(), "dump 9".into()],
        }],
        tables: vec![
            SheetTable {
                title: "on wheels and in bins".into(),
                note: String::new(),
                heads: row(&["where", "what", "wet", "moisture", "from slips"]),
                right: vec![2, 3],
                rows: vec![
                    row(&["green wagon", "sorghum", "11,760 lb", "17.1 %", "dump 11, dump 12"]),
                    row(&["truck", "soybeans", "6,180 lb", "12.8 %", "dump 13"]),
                    row(&["bin 2", "soft wheat", "67,200 lb", "12.4 %", "6 slips since July 9"]),
                ],
            },
            SheetTable {
                title: "by field and unit".into(),
                note: "Dry bushels, at rest; grain on wheels is not in it.".into(),
                heads: row(&["field", "unit", "dry bu at 13 %", "acres", "bu/ac"]),
                right: vec![2, 4],
                rows: vec![row(&["Willow Bench", "0001-0001", "1,079", "30.1 cut", "35.8"])],
            },
        ],
        look_at: vec!["Load card 14 is missing from the pad.".into()],
        cautions: vec!["Nobody in or on a wagon while grain flows. The maker\u{2019}s manual and local law come first.".into()],
        foot: "made from invented numbers".into(),
    }
}

/// What the simple samples do not try: more gone than came off, doubt wider than the gap, long names.
fn bars_over() -> AccountBars {
    let mut over = bars();
    over.crop = "hard red winter wheat from the ground across the river".into();
    over.went_to[0].label =
        "sold over the certified scale of the buyer at the crossing, 14 tickets".into();
    (over.came_off, over.gap, over.gap_range) = (1_010.0, -69.0, 118.0);
    over.finding = "69 bushels more went out than came off, and the weights explain 118 either way: nothing here says that a slip is wrong, and one more weighing of the second bin would halve the doubt.".into();
    over
}

/// Sixty slips with long names, nine of them wrong and side by side.
fn tests_crowded() -> SlipTests {
    let mut all = tests();
    all.marks.truncate(60);
    for (at, mark) in all.marks.iter_mut().enumerate() {
        mark.name = format!("ticket {} of the long gravity wagon", 48_200 + at);
        mark.suspect = (20..29).contains(&at);
        if mark.suspect {
            mark.z = Some(7.0 + (at % 4) as f64 / 3.0);
        }
    }
    all.finding = "Not square: ticket 48220 of the long gravity wagon, ticket 48221 of the long gravity wagon, ticket 48222 of the long gravity wagon and 6 more look wrong.".into();
    all
}

/// Nothing wrong, and a field much longer than it is high.
fn tests_square() -> SlipTests {
    let mut all = tests();
    all.marks.retain(|mark| !mark.suspect);
    all.finding = "Square: 66 of 72 slips and measures check each other and none is off by more than their errors allow.".into();
    all
}

fn plan_long() -> PointsPlan {
    let mut long = plan();
    for point in &mut long.points {
        (point.north_m, point.value) = (point.north_m / 4.0, 13.0 + point.value / 100.0);
    }
    long.shows = "moisture at the elevator of the combine".into();
    long.unit = "%, wet basis".into();
    long
}

fn main() -> std::io::Result<()> {
    let folder = PathBuf::from(
        std::env::args_os()
            .nth(1)
            .unwrap_or_else(|| "gallery".into()),
    );
    std::fs::create_dir_all(&folder)?;
    for (name, drawn) in [
        ("account.svg", account_bars(&bars())),
        ("account-over.svg", account_bars(&bars_over())),
        ("tests.svg", slip_tests(&tests())),
        ("tests-crowded.svg", slip_tests(&tests_crowded())),
        ("tests-square.svg", slip_tests(&tests_square())),
        ("plan.svg", points_plan(&plan())),
        ("plan-long.svg", points_plan(&plan_long())),
        ("steps.svg", settlement_steps(&steps())),
        ("sheet.html", day_sheet(&sheet())),
    ] {
        std::fs::write(folder.join(name), drawn)?;
    }
    Ok(())
}
