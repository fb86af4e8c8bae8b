//! Printed numbers of seed loss against our own functions, each with where it was printed.
//!
//! READ: the number was read in a stored copy of the source; CALC: arithmetic from definitions or from numbers
//! that were read. The tolerance is half of the last printed digit, unless a source rounds harder, which its row
//! then says. A row with a misprint must give the right value and differ from the printed one.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

use machine::frame::{
    Concentration, FT2_PER_AC, Frame, G_PER_LB, M2_PER_AC, M2_PER_FT2, Tail, concentration,
    kg_per_ha_of_one_bu_per_ac, length_across_head_m, row_length_m, seeds_per_ft2_of_one_bu,
    seeds_per_lb, thousand_seeds_g,
};
use machine::loss::{Class, Counts, Ears, Loss, Part, Prior, Relative, Seed, Settings, lost};

const FT: f64 = 0.3048;
const READ: &str = "READ";
const CALC: &str = "CALC";

struct Row {
    what: &'static str,
    ours: f64,
    printed: f64,
    tolerance: f64,
    tag: &'static str,
    source: &'static str,
}

fn row(
    what: &'static str,
    ours: f64,
    (printed, tolerance): (f64, f64),
    (tag, source): (&'static str, &'static str),
) -> Row {
    Row {
        what,
        ours,
        printed,
        tolerance,
        tag,
        source,
    }
}

fn one_bu(bushel_lb: f64, per_lb: f64) -> f64 {
    seeds_per_ft2_of_one_bu(bushel_lb, thousand_seeds_g(per_lb).unwrap()).unwrap()
}

fn factor(cut_ft: f64, windrow_ft: f64) -> f64 {
    let tail = Tail::Windrow {
        width_m: windrow_ft * FT,
        cut_m: cut_ft * FT,
    };
    match concentration(
        tail,
        Frame::Area {
            area_m2: M2_PER_FT2,
        },
    )
    .unwrap()
    {
        Concentration::Yes { factor } => factor,
        Concentration::No { .. } => f64::NAN,
    }
}

fn class(found: &[f64]) -> Option<Class> {
    Class::new(M2_PER_FT2, found.to_vec()).ok()
}

fn settings(thousand_g: f64, concentration: f64) -> Settings {
    Settings {
        confidence: 0.9,
        concentration,
        concentration_doubt: Relative::NONE,
        prior: Prior::default(),
        seed: Seed {
            thousand_g,
            doubt: Relative::NONE,
            frames_weighed: false,
        },
        harvested_kg_per_ha: None,
        money: None,
    }
}

fn bu(part: Option<&Part>, bushel_lb: f64) -> f64 {
    part.unwrap().kg_per_ha.value / kg_per_ha_of_one_bu_per_ac(bushel_lb)
}

/// Soybeans, four to the square foot: 2 standing, 10 behind the head, 28 in a windrow of a sixth of the cut.
fn beans(harvested_kg_per_ha: Option<f64>) -> Loss {
    let counts = Counts {
        standing: class(&[2.0; 4]),
        behind_head: class(&[10.0; 4]),
        behind_machine: class(&[28.0; 4]),
    };
    let mut how = settings(thousand_seeds_g(2_904.0).unwrap(), 6.0);
    how.harvested_kg_per_ha = harvested_kg_per_ha;
    lost(Some(&counts), None, &how).unwrap()
}

/// Wheat, twenty to the square foot: 20 behind the head, 140 in a windrow 5 ft wide of a 30 ft cut.
fn wheat() -> Loss {
    let counts = Counts {
        standing: None,
        behind_head: class(&[20.0; 4]),
        behind_machine: class(&[140.0; 4]),
    };
    let how = settings(thousand_seeds_g(14_520.0).unwrap(), factor(30.0, 5.0));
    lost(Some(&counts), None, &how).unwrap()
}

/// Canola weighed in the frame: 3 grams a square foot behind a machine that gathers six-fold, none behind its head.
fn canola() -> f64 {
    let counts = Counts {
        standing: None,
        behind_head: class(&[0.0; 4]),
        behind_machine: class(&[3.0; 4]),
    };
    let mut how = settings(3.5, 6.0);
    how.seed.frames_weighed = true;
    bu(
        lost(Some(&counts), None, &how)
            .unwrap()
            .parts
            .total
            .as_ref(),
        50.0,
    )
}

/// The farm page's own count: harvested strip 10, 9, 11, 11; standing 2, 1, 2, 2.
fn extension_count() -> f64 {
    let counts = Counts {
        standing: class(&[2.0, 1.0, 2.0, 2.0]),
        behind_head: class(&[10.0, 9.0, 11.0, 11.0]),
        behind_machine: None,
    };
    let how = settings(thousand_seeds_g(2_904.0).unwrap(), 1.0);
    bu(
        lost(Some(&counts), None, &how).unwrap().parts.head.as_ref(),
        60.0,
    )
}

/// Three ears of so many pounds on a hundredth of an acre.
fn ears(ear_lb: f64) -> f64 {
    let plot = |found: f64| Some(Class::new(M2_PER_AC / 100.0, vec![found; 3]).unwrap());
    let dropped = Ears {
        counts: Counts {
            standing: None,
            behind_head: None,
            behind_machine: plot(3.0),
        },
        grain_kg: ear_lb * 56.0 / 70.0 * G_PER_LB / 1_000.0,
        doubt: Relative::NONE,
    };
    bu(
        lost(None, Some(&dropped), &settings(291.4, 1.0))
            .unwrap()
            .parts
            .total
            .as_ref(),
        56.0,
    )
}

fn rows() -> Vec<Row> {
    let small_grains = (
        READ,
        "small grains loss page of NDSU and the University of Minnesota",
    );
    let missouri = (READ, "MU Extension G1280, table 1 (1993)");
    let georgia = (
        READ,
        "University of Georgia, corn loss by row length (2021)",
    );
    let canola_table = (
        READ,
        "Canola Council of Canada, seeds by weight of 1,000 (2012)",
    );
    let arithmetic = (CALC, "definitions: 43,560 ft2 an acre, 453.592 g a pound");
    let frame_in =
        |head_ft: f64| length_across_head_m(10.0 * M2_PER_FT2, head_ft * FT).unwrap() / FT * 12.0;
    let row_ft = |share: f64, rows: u32, spacing_in: f64| {
        row_length_m(share, rows, spacing_in / 12.0 * FT).unwrap() / FT
    };
    let mut out = vec![
        row(
            "soybeans, 2,904 a pound",
            one_bu(60.0, 2_904.0),
            (4.0, 0.005),
            arithmetic,
        ),
        row(
            "wheat, 14,520 a pound",
            one_bu(60.0, 14_520.0),
            (20.0, 0.005),
            arithmetic,
        ),
        row(
            "corn, 1,556 a pound",
            one_bu(56.0, 1_556.0),
            (2.0, 0.005),
            arithmetic,
        ),
        row(
            "gathered from 30 ft into 5",
            factor(30.0, 5.0),
            (6.0, 1e-9),
            (READ, "NDSU loss arithmetic (2021)"),
        ),
        row(
            "wheat: total",
            bu(wheat().parts.total.as_ref(), 60.0),
            (2.0, 0.001),
            small_grains,
        ),
        row(
            "wheat: machine",
            bu(wheat().parts.machine.as_ref(), 60.0),
            (1.0, 0.001),
            small_grains,
        ),
        row(
            "soybeans: head",
            bu(beans(None).parts.head.as_ref(), 60.0),
            (2.0, 0.001),
            (READ, "MU Extension G1280; Michigan State University"),
        ),
        row(
            "soybeans: machine",
            bu(beans(None).parts.machine.as_ref(), 60.0),
            (0.75, 0.001),
            (CALC, "the same method, 18 seeds in a six-fold windrow"),
        ),
        row(
            "soybeans: standing",
            bu(beans(None).parts.standing.as_ref(), 60.0),
            (0.5, 0.001),
            (READ, "MU Extension G1280; Michigan State University"),
        ),
        row(
            "3 bu lost of 60, per cent",
            three_of_sixty(),
            (5.0, 0.001),
            small_grains,
        ),
        row(
            "soybeans on 1 ft2, MU rule",
            one_bu(60.0, seeds_per_lb(156.2).unwrap()),
            (4.0, 0.005),
            (
                READ,
                "MU Extension G1280; Michigan State University; Ohio State University (2019)",
            ),
        ),
        row(
            "soybeans of 180 g a thousand",
            seeds_per_ft2_of_one_bu(60.0, 180.0).unwrap(),
            (3.4710, 5e-5),
            arithmetic,
        ),
        row(
            "four soybeans on 1 ft2, g a thousand",
            thousand_seeds_g(4.0 * FT2_PER_AC / 60.0).unwrap(),
            (156.20, 5e-3),
            arithmetic,
        ),
        row(
            "canola weighed, 3 g/ft2 behind",
            canola(),
            (0.960, 0.002),
            (CALC, "Canola Council quiz inputs (2017), its arithmetic"),
        ),
        row(
            "confection sunflower, 10 seeds/ft2 in lb/ac",
            10.0 * FT2_PER_AC / 4_356.0,
            (100.0, 0.5),
            (READ, "NDSU rule (2021), which implies 4,356 seeds a pound"),
        ),
        row(
            "oil sunflower, lb/ac of one seed/ft2",
            FT2_PER_AC / seeds_per_lb(55.0).unwrap(),
            (5.28, 0.02),
            (
                CALC,
                "55 g a thousand: the rule above overstates oil types two-fold",
            ),
        ),
        row(
            "1 bu of ears, ears of 3/4 lb",
            ears(0.75) / 3.0,
            (75.0 / 70.0, 0.001),
            (CALC, "70 lb of ear corn a bushel"),
        ),
        row(
            "half-size ears count half",
            ears(0.375),
            (ears(0.75) / 2.0, 1e-9),
            (READ, "University of Georgia and Iowa State University rule"),
        ),
        row(
            "a hundredth of an acre, ft2",
            M2_PER_AC / 100.0 / M2_PER_FT2,
            (435.6, 0.05),
            (CALC, "43,560 ft2 an acre"),
        ),
    ];
    for (head_ft, inches, half) in [
        (8.0, 15.0, 0.05),
        (10.0, 12.0, 0.05),
        (12.0, 10.0, 0.05),
        // printed to a quarter and to a fifth of an inch: 9 1/4, 8.6
        (13.0, 9.25, 0.05),
        (14.0, 8.6, 0.05),
        (15.0, 8.0, 0.05),
        (16.0, 7.5, 0.05),
        (20.0, 6.0, 0.05),
        (22.0, 5.45, 0.05),
        (24.0, 5.0, 0.05),
    ] {
        out.push(row(
            "10 ft2 frame across the head, inches",
            frame_in(head_ft),
            (inches, half),
            missouri,
        ));
    }
    for (rows, feet) in [(6, 29.0), (8, 21.8), (12, 14.5)] {
        out.push(row(
            "1/100 acre, 30 in rows, ft",
            row_ft(0.01, rows, 30.0),
            (feet, 0.05),
            georgia,
        ));
    }
    out.push(row(
        "1/100 acre, one 30 in row, ft",
        row_ft(0.01, 1, 30.0),
        (174.2, 0.05),
        (CALC, "435.6 ft2 over 2.5 ft"),
    ));
    for (inches, feet) in [(20.0, 261.4), (22.0, 237.6), (36.0, 145.2), (38.0, 137.6)] {
        out.push(row(
            "1/100 acre, one row, ft",
            row_ft(0.01, 1, inches),
            (feet, 0.05),
            (READ, "a seed firm's row table, restated by a farm paper"),
        ));
    }
    for (inches, feet) in [
        (7.5, 69.70),
        (15.0, 34.85),
        (20.0, 26.14),
        (22.0, 23.76),
        (30.0, 17.42),
        (36.0, 14.52),
        (38.0, 13.76),
    ] {
        out.push(row(
            "1/1000 acre, one row, ft",
            row_ft(0.001, 1, inches),
            (feet, 0.0051),
            (CALC, "43.56 ft2 over the spacing"),
        ));
    }
    for (grams, seeds) in [
        (2.0, 261.0),
        (2.5, 208.0),
        (3.0, 174.0),
        (3.5, 149.0),
        (4.0, 130.0),
        (4.5, 116.0),
        (5.0, 104.0),
    ] {
        // the table is rounded by hand: 261 for 260.3
        out.push(row(
            "canola, 50 lb a bushel",
            seeds_per_ft2_of_one_bu(50.0, grams).unwrap(),
            (seeds, 1.0),
            canola_table,
        ));
    }
    out
}

/// 57 bu in the bin and 3 on the ground: the share is of all 60.
fn three_of_sixty() -> f64 {
    let bushel = kg_per_ha_of_one_bu_per_ac(60.0);
    let counts = Counts {
        standing: None,
        behind_head: class(&[12.0; 4]),
        behind_machine: class(&[12.0; 4]),
    };
    let mut how = settings(thousand_seeds_g(2_904.0).unwrap(), 1.0);
    how.harvested_kg_per_ha = Some(57.0 * bushel);
    let loss = lost(Some(&counts), None, &how).unwrap();
    loss.parts.total.unwrap().pct_of_total_yield.unwrap().value
}

#[test]
fn printed_numbers_are_reproduced() {
    let rows = rows();
    let wrong: Vec<String> = rows
        .iter()
        .filter(|row| row.ours.is_nan() || (row.ours - row.printed).abs() > row.tolerance + 1e-12)
        .map(|row| {
            format!(
                "{}: printed {}, ours {} ({})",
                row.what, row.printed, row.ours, row.source
            )
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let of = |tag: &str| rows.iter().filter(|row| row.tag == tag).count();
    println!("{} READ, {} CALC", of(READ), of(CALC));
    assert_eq!(of(READ) + of(CALC), rows.len());
    assert!(rows.len() >= 40, "{}", rows.len());
}

/// What was printed wrong, and what it should have been.
#[test]
fn misprints_are_not_reproduced() {
    let acre = M2_PER_AC / M2_PER_FT2;
    for (what, ours, right, printed, tolerance) in [
        // a farm paper's 8.5 beans a square foot (2012)
        (
            "8.5 beans/ft2 in bu/ac",
            extension_count(),
            2.125,
            2.2,
            0.001,
        ),
        // a canola page's factor at 4.4 g (2012): bushels an acre of one seed a square foot
        (
            "canola at 4.4 g",
            1.0 / seeds_per_ft2_of_one_bu(50.0, 4.4).unwrap(),
            0.0084,
            0.00084,
            0.00006,
        ),
        // a seed firm's five small beans a square foot in kg an acre (2023): it took bushels a tonne for kilograms
        (
            "five small beans/ft2, kg/ac",
            kg_per_ha_of_one_bu_per_ac(60.0) * M2_PER_AC / 10_000.0,
            27.216,
            36.744,
            0.001,
        ),
        // a forum's hundredth of an acre
        ("1/100 ac in ft2", acre / 100.0, 435.6, 435.0, 0.001),
    ] {
        assert!(
            (ours - right).abs() <= tolerance,
            "{what}: {ours}, should be {right}"
        );
        assert!(
            (ours - printed).abs() > tolerance,
            "{what}: {ours} is the misprint"
        );
    }
    // dividing a spread sample by the windrow's factor, or not dividing a windrow's, is a six-fold error
    let spread = 18.0;
    assert!((spread / (spread / factor(30.0, 5.0)) - 6.0).abs() < 1e-9);
}
