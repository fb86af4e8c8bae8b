//! Golden pictures, and markup that no text can break out of. `UPDATE_GOLDEN=1` writes the goldens anew.

use draw::{
    AccountBars, BarPart, DaySheet, PlanPoint, PointsPlan, SettlementSteps, SheetSuspect,
    SheetTable, SlipMark, SlipTests, Step, Texture, account_bars, day_sheet, points_plan,
    settlement_steps, slip_tests,
};
use proptest::prelude::*;
use std::path::Path;

fn bars(text: &str) -> AccountBars {
    AccountBars {
        crop: text.to_owned(),
        unit: "bushels dry at 13 %".into(),
        came_off: 1_245.0,
        went_to: vec![
            BarPart {
                label: text.to_owned(),
                value: 976.0,
                texture: Texture::Solid,
            },
            BarPart {
                label: "held".into(),
                value: 103.0,
                texture: Texture::Hatch,
            },
            BarPart {
                label: "on claim".into(),
                value: 90.0,
                texture: Texture::Dots,
            },
        ],
        gap: 76.0,
        gap_range: 26.0,
        finding: format!("76 bushels of {text} are short."),
    }
}

fn tests(text: &str) -> SlipTests {
    let mut marks: Vec<SlipMark> = (0..60)
        .map(|i| SlipMark {
            name: format!("dump {i}"),
            z: (i % 9 != 4).then(|| f64::from(i % 7) / 3.0),
            suspect: false,
        })
        .collect();
    for (at, z) in [(12, 21.6), (13, 21.0), (14, 5.2), (40, 9.4)] {
        marks[at] = SlipMark {
            name: format!("{text} {at}"),
            z: Some(z),
            suspect: true,
        };
    }
    SlipTests {
        marks,
        critical: 3.16,
        finding: "Four slips stand above the line.".into(),
    }
}

fn plan(text: &str) -> PointsPlan {
    let points = (0..400)
        .map(|i| {
            let i = f64::from(i);
            PlanPoint {
                east_m: (i / 20.0).floor() * 9.0,
                north_m: (i % 20.0) * 15.0,
                value: 90.0 + (i * 13.7) % 80.0,
            }
        })
        .collect();
    PointsPlan {
        points,
        shows: "yield as logged".into(),
        unit: "bu/ac dry at 15.5 %, acres cut".into(),
        finding: text.to_owned(),
        source: "invented points; nothing cleaned, shifted or smoothed".into(),
    }
}

fn steps(text: &str) -> SettlementSteps {
    let step = |label: &str, total| Step {
        label: label.to_owned(),
        change: "\u{2212}3.12 bu".into(),
        left: "308.88 bu".into(),
        rule: format!(
            "moisture 13.2 % is 0.2 above 13; 1 step of 0.5 (a begun step counts whole) at 1 = 1 % of the gross weight; {text}"
        ),
        total,
    };
    SettlementSteps {
        head: text.to_owned(),
        finding: "The ticket pays $3,196.29.".into(),
        steps: vec![
            step("as weighed", false),
            step(text, false),
            step("paid", true),
        ],
    }
}

fn sheet(text: &str) -> DaySheet {
    DaySheet {
        farm: text.to_owned(),
        day: "October 6, 2026".into(),
        lede: "Not square: ticket 48214 looks wrong.".into(),
        standfirst: text.to_owned(),
        accounts: vec![bars(text)],
        tests: tests("ticket"),
        suspects: vec![SheetSuspect {
            name: text.to_owned(),
            written: "gross 42,380 lb, tare 5,160 lb".into(),
            off_by: "15,705 lb dry \u{b1}521".into(),
            perhaps: vec!["The gross says 42,380 lb; the paper may say 24,380 lb.".into()],
            or: vec!["dump 9".into(), "dump 10".into()],
        }],
        tables: vec![SheetTable {
            title: "on wheels and in bins".into(),
            note: String::new(),
            heads: vec!["place".into(), "wet".into()],
            right: vec![1],
            rows: vec![vec![text.to_owned(), "14,530 lb".into()]],
        }],
        look_at: vec![text.to_owned()],
        cautions: vec!["Nobody in a wagon while grain flows. Children clear.".into()],
        foot: "made from the book farm.stook".into(),
    }
}

#[test]
fn pictures_are_as_they_were() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden");
    for (name, drawn) in [
        ("account.svg", account_bars(&bars("soybeans"))),
        ("tests.svg", slip_tests(&tests("ticket"))),
        ("plan.svg", points_plan(&plan("The east side made less."))),
        (
            "steps.svg",
            settlement_steps(&steps("ticket 48210, soybeans, cash")),
        ),
        ("sheet.html", day_sheet(&sheet("Creek Bench"))),
    ] {
        let path = folder.join(name);
        if std::env::var_os("UPDATE_GOLDEN").is_some() {
            std::fs::write(&path, &drawn).expect("the golden folder can be written");
        }
        let golden = std::fs::read_to_string(&path).expect("the golden picture is there");
        assert!(
            golden == drawn,
            "{name} is drawn differently; look at it, then UPDATE_GOLDEN=1"
        );
    }
}

/// Every tag that opens closes, in order; returns the text outside tags.
fn balanced(markup: &str) -> bool {
    let mut open: Vec<String> = Vec::new();
    let mut rest = markup.strip_prefix("<!doctype html>\n").unwrap_or(markup);
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let Some(end) = rest.find('>') else {
            return false;
        };
        let tag = &rest[..end];
        rest = &rest[end + 1..];
        let name: String = tag
            .trim_start_matches('/')
            .chars()
            .take_while(char::is_ascii_alphanumeric)
            .collect();
        if name.is_empty() {
            return false;
        }
        if tag.starts_with('/') {
            if open.pop().as_deref() != Some(name.as_str()) {
                return false;
            }
        } else if !tag.ends_with('/') && name != "meta" {
            open.push(name);
        }
    }
    open.is_empty()
}

/// Every picture with a role says what it shows, in a title and a description.
#[test]
fn every_picture_has_words() {
    for drawn in [
        account_bars(&bars("soybeans")),
        slip_tests(&tests("ticket")),
        points_plan(&plan("x")),
        settlement_steps(&steps("x")),
        day_sheet(&sheet("x")),
    ] {
        let pictures: Vec<&str> = drawn.split("role=\"img\">").skip(1).collect();
        assert!(!pictures.is_empty());
        for picture in pictures {
            let (title, rest) = picture.split_once("</title><desc>").expect("both");
            assert!(title.starts_with("<title>") && title.len() > "<title>".len());
            assert!(!rest.starts_with("</desc>"));
        }
    }
}

/// The figures behind `name="` in the tags that hold `style`.
fn attributes(drawn: &str, style: &str, name: &str) -> Vec<f64> {
    drawn
        .split('<')
        .filter(|tag| tag.contains(style) && !tag.starts_with("rect") | style.contains("dash"))
        .filter_map(|tag| tag.split_once(&format!(" {name}=\""))?.1.split('"').next())
        .map(|text| text.parse().expect("a coordinate"))
        .collect()
}

#[test]
fn the_bracket_is_never_cut_and_stands_about_the_end() {
    for range in [1.0, 26.0, 300.0, 5_000.0] {
        let mut account = bars("soybeans");
        account.gap_range = range;
        let drawn = account_bars(&account);
        let ends = attributes(&drawn, "stroke:var(--ink);stroke-width:1.5\"", "x2");
        let (low, high) = (ends[0], ends[0].max(ends[2]));
        assert!(low >= 8.0 && high <= 752.0, "{range}: {ends:?}");
        // 1,169 of the parts went out; as long as the low end is above nothing it is symmetric
        if range < 1_169.0 {
            let scale = 744.0 / 1_245.0_f64.max(1_169.0 + range);
            let wide = 2.0 * range * scale;
            let drawn_wide = ends[0] - ends[1];
            assert!((drawn_wide - wide).abs() < 0.02, "{range}: {ends:?}");
        }
    }
}

#[test]
fn what_is_over_is_dashed_on_the_upper_bar() {
    let dashed = "stroke-width:2;stroke-dasharray";
    let mut account = bars("soybeans");
    let short = attributes(&account_bars(&account), dashed, "y");
    account.came_off = 1_100.0;
    account.gap = -69.0;
    let over = attributes(&account_bars(&account), dashed, "y");
    assert_eq!((short.len(), over.len()), (1, 1));
    assert!(over[0] < short[0], "{over:?} {short:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn no_text_breaks_out(text in "(\\PC|[<>&\"'/]|</svg>|<script>|\u{0}){0,40}") {
        for drawn in [account_bars(&bars(&text)), slip_tests(&tests(&text)), points_plan(&plan(&text)), settlement_steps(&steps(&text)), day_sheet(&sheet(&text))] {
            prop_assert!(balanced(&drawn));
            prop_assert!(!drawn.contains("<script"));
            let nul = char::from(0);
            prop_assert!(!drawn.contains(nul));
        }
    }

    #[test]
    fn no_number_makes_nonsense(value in any::<f64>(), range in any::<f64>()) {
        let mut account = bars("corn");
        (account.came_off, account.gap, account.gap_range) = (value, range, value);
        let mut all = tests("ticket");
        all.critical = range;
        all.marks[3].z = Some(value);
        let mut field = plan("x");
        field.points[7] = PlanPoint { east_m: value, north_m: range, value };
        for drawn in [account_bars(&account), slip_tests(&all), points_plan(&field)] {
            prop_assert!(!drawn.contains("=\"NaN") && !drawn.contains("=\"inf"));
            prop_assert!(balanced(&drawn));
        }
    }
}
