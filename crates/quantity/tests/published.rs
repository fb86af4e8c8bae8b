//! Unit arithmetic against printed numbers, each with where it was read.
//!
//! A number marked "secondary" was read on a page that restates another source; "arithmetic" follows
//! from the definitions alone.

#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use quantity::{
    AcreSource, Area, AreaUnit, BushelKind, BushelWeight, Bushels, CUBIC_FEET_PER_BUSHEL, DryMass,
    HECTOLITERS_PER_BUSHEL, Length, Mass, MassUnit, Moisture, TestWeight, Units, Yield,
};
use rust_decimal::Decimal;

#[track_caller]
fn close(found: f64, printed: f64, tolerance: f64) {
    assert!(
        (found - printed).abs() <= tolerance,
        "found {found}, printed {printed}"
    );
}

fn bushel(pounds: u32) -> BushelWeight {
    BushelWeight::pounds(pounds).unwrap()
}

/// Definition of the US bushel, 2150.42 cubic inches; 1.244456 ft3 also on the US Grains Council's
/// corn harvest quality reports.
#[test]
fn a_01_the_us_bushel() {
    close(CUBIC_FEET_PER_BUSHEL, 1.244_456, 1e-6);
    close(1.0 / CUBIC_FEET_PER_BUSHEL, 0.803_564, 1e-6);
    close(
        HECTOLITERS_PER_BUSHEL,
        2_150.42 * 2.54_f64.powi(3) / 1e5,
        1e-15,
    );
}

/// A round-bin page (secondary): the imperial bushel is 1.284349 ft3, 3.2 % larger.
#[test]
fn a_02_the_imperial_bushel_is_another() {
    close(1.284_349 / CUBIC_FEET_PER_BUSHEL, 1.032_06, 1e-4);
}

/// Trade weights of a bushel, from an encyclopedia's table of USDA weights (secondary); canola's 50 lb
/// from the Canola Council's arithmetic.
#[test]
fn a_03_trade_weights_are_accepted_and_stored_exactly() {
    for pounds in [60, 56, 48, 32, 45, 50] {
        assert_eq!(bushel(pounds).canonical(), format!("{pounds} lb/bu"));
        assert_eq!(
            bushel(pounds).mass(),
            Mass::parse(&format!("{pounds} lb")).unwrap()
        );
    }
}

/// Sunflower has no one bushel weight; 24 to 32 lb are met (secondary), so the weight is the caller's.
#[test]
fn a_04_sunflower_bushels_need_their_weight() {
    let load = Mass::parse("28,000 lb").unwrap();
    close(Bushels::as_weighed(load, bushel(28)).float(), 1_000.0, 1e-9);
    let light = Bushels::as_weighed(load, bushel(24));
    assert!(
        light
            .checked_add(Bushels::as_weighed(load, bushel(28)))
            .is_err()
    );
}

/// Oats: 34 lb is the Canadian trade bushel, 32 lb the US one (a trade conversion row, secondary).
#[test]
fn a_05_oats_in_two_countries() {
    close(bushel(34).bushels_per_tonne(), 64.842, 1e-3);
    close(bushel(32).bushels_per_tonne(), 68.894, 1e-3);
}

/// Definitions: the international pound and acre, the short ton.
#[test]
fn a_06_pound_acre_and_short_ton() {
    assert_eq!(Mass::parse("1 lb").unwrap().canonical(), "0.45359237 kg");
    assert_eq!(Mass::parse("1 short ton"), Mass::parse("2,000 lb"));
    assert_eq!(Area::parse("1 ac").unwrap().canonical(), "4046.8564224 m2");
    close(Area::parse("1 ac").unwrap().ha(), 0.404_685_642_24, 1e-16);
    close(Area::parse("43,560 sq ft").unwrap().ac(), 1.0, 1e-12);
}

/// US Grains Council: 39.368 and 45.9296 bushels a tonne; the rest is arithmetic.
#[test]
fn a_07_bushels_in_a_tonne() {
    let tonne = Mass::parse("1 t").unwrap();
    for (pounds, printed) in [(56, 39.368), (60, 36.7437), (48, 45.9296), (50, 44.0925)] {
        close(bushel(pounds).bushels_per_tonne(), printed, 1e-3);
        close(
            Bushels::as_weighed(tonne, bushel(pounds)).float(),
            printed,
            1e-3,
        );
    }
}

/// A trade conversion table (secondary): tonnes in a bushel.
#[test]
fn a_08_tonnes_in_a_bushel() {
    for (pounds, printed) in [
        (56, 0.025_401_2),
        (60, 0.027_215_5),
        (48, 0.021_772_4),
        (32, 0.014_515_0),
    ] {
        close(bushel(pounds).mass().to(MassUnit::Tonne), printed, 1e-7);
    }
    let soy = bushel(60).mass_of(Decimal::from(1_000)).unwrap();
    close(soy.to(MassUnit::Tonne), 27.215_5, 1e-3);
}

/// The same table's quintals a hectare (secondary): 0.6277, 0.6725, 0.5380, 0.3587 for a bushel an acre.
#[test]
fn a_09_bushels_an_acre_in_kilograms_a_hectare() {
    for (pounds, printed) in [
        (56, 62.77),
        (60, 67.25),
        (48, 53.80),
        (32, 35.87),
        (50, 56.04),
    ] {
        close(bushel(pounds).kg_per_ha(), printed, 0.01);
    }
    let made = |bu, pounds| {
        Yield::from_bu_per_ac(
            bu,
            BushelKind::AsWeighed,
            bushel(pounds),
            AcreSource::Planted,
        )
        .unwrap()
    };
    close(made(200.0, 56).kg_per_ha(), 12_553.5, 1.0);
    close(made(60.0, 60).kg_per_ha(), 4_035.1, 1.0);
}

/// US Grains Council, sorghum harvest quality 2015-16: test weight pairs, lb/bu and kg/hL.
///
/// The factor printed elsewhere, 1.28717, is not what the definitions give (1.287186, which rounds to 1.28719).
#[test]
fn a_10_test_weight_in_both_units() {
    for (pounds, printed) in [("57", 73.4), ("55", 70.8), ("57.9", 74.5)] {
        let weight = TestWeight::parse(&format!("{pounds} lb/bu")).unwrap();
        close(weight.kg_per_hl(), printed, 0.05);
        assert_eq!(weight.show(Units::Metric), format!("{printed} kg/hL"));
    }
    close(
        TestWeight::from_lb_per_bu(100.0).unwrap().kg_per_hl() / 100.0,
        1.287_17,
        2e-5,
    );
}

/// University of Nebraska crop letter of 2009 and a press column: 52.2 lb of dry matter in a standard
/// bushel of soybeans, 47.3 lb in one of corn.
#[test]
fn a_20_dry_matter_in_a_standard_bushel() {
    for (pounds, base, printed) in [(60, "13 %", "52.2 lb"), (56, "15.5 %", "47.32 lb")] {
        let base = Moisture::parse(base).unwrap();
        let dry = DryMass::of(bushel(pounds).mass(), base);
        assert_eq!(dry, DryMass::parse(printed).unwrap());
        let again = Bushels::dry_at(dry, base, bushel(pounds));
        close(again.float(), 1.0, 1e-9);
    }
}

/// The same letter's method; the number is arithmetic: 52.2 / 0.89.
#[test]
fn a_21_pounds_of_dry_beans_that_carry_a_standard_bushel() {
    let at_11 = DryMass::parse("52.2 lb")
        .unwrap()
        .at(Moisture::parse("11 %").unwrap());
    close(at_11.lb(), 58.652, 0.01);
}

/// Penn State Extension's ticket arithmetic: net pounds over the legal weight.
#[test]
fn a_51_gross_bushels_of_a_ticket() {
    let net = Mass::parse("78,460 lb").unwrap() - Mass::parse("26,240 lb").unwrap();
    let gross = Bushels::as_weighed(net, bushel(56));
    assert_eq!(gross.count, "932.5".parse::<Decimal>().unwrap());
    assert_eq!(gross.show_places(3), "932.500 bu as weighed (56 lb)");
}

/// Misprints on a trade conversion page: barley 0.21772 t a bushel (ten-fold), 2.240622 lb a kilogram (digits swapped).
#[test]
fn i_06_the_misprints_are_not_reproduced() {
    let barley = bushel(48).mass().to(MassUnit::Tonne);
    assert!((barley - 0.217_72).abs() > 0.1);
    close(barley, 0.021_772, 1e-6);
    let pounds = Mass::parse("1 kg").unwrap().lb();
    assert!((pounds - 2.240_622).abs() > 0.03);
    close(pounds, 2.204_622, 1e-6);
}

/// Misprint in a machinery article: a hundredth of an acre is 435.6 square feet, not 435.
#[test]
fn i_07_a_hundredth_of_an_acre() {
    let hundredth = Area::from_ac(0.01).unwrap();
    assert!((hundredth.to(AreaUnit::Ft2) - 435.0).abs() > 0.5);
    close(hundredth.to(AreaUnit::Ft2), 435.6, 1e-9);
    let plot = Area::of_rectangle(
        Length::from_ft(30.0).unwrap(),
        Length::from_ft(14.52).unwrap(),
    );
    close(plot.unwrap().ac(), 0.01, 1e-12);
}
