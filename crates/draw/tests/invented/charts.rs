//! Invented tests, points and a ticket.

use draw::{
    PlanPoint, PlanWords, PointsPlan, SettlementSteps, SlipMark, SlipTestWords, SlipTests, Step,
};

pub(crate) fn tests() -> (SlipTests, SlipTestWords) {
    let wrong = [
        (7, "ticket 48207", 21.6),
        (8, "dump 8", 21.6),
        (52, "ticket 48240", 9.4),
    ];
    let marks = (0_u32..60)
        .map(|i| match wrong.iter().find(|one| one.0 == i) {
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
    let words = SlipTestWords {
        desc: "60 slips; three look wrong.".into(),
        shows: "how far each slip is from what all others say, in standard errors".into(),
        key: "diamond: looks wrong; ring: fits once those are set aside; tick: nothing checks it"
            .into(),
        alarms: "alarms above 3.21".into(),
        first: "first".into(),
        last: "last".into(),
    };
    let tests = SlipTests {
        marks,
        critical: 3.21,
        finding: "Three slips stand above the line.".into(),
    };
    (tests, words)
}

pub(crate) fn plan() -> (PointsPlan, PlanWords) {
    let points = (0_u32..600)
        .map(|i| {
            let (x, y) = (f64::from(i / 30) * 18.2, f64::from(i % 30) * 12.0);
            let wet = (-((x - 250.0) / 60.0).powi(2) - ((y - 120.0) / 50.0).powi(2)).exp();
            PlanPoint {
                east_m: x,
                north_m: y,
                value: 150.0 + 14.0 * (x / 90.0).sin() - 60.0 * wet + f64::from((i * 7_919) % 17),
            }
        })
        .collect();
    let plan = PointsPlan {
        points,
        shows: "yield as logged".into(),
        unit: "bu/ac dry at 15.5 %, acres cut".into(),
        finding: "One wet spot made under 100.".into(),
        source: "invented points; nothing cleaned, shifted or smoothed".into(),
    };
    let words = PlanWords {
        desc: "600 points.".into(),
        north: "N".into(),
        bar: "{feet} ft ({metres} m)".into(),
    };
    (plan, words)
}

pub(crate) fn steps() -> SettlementSteps {
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
