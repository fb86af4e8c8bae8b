//! Properties that hold for every quantity and every text.

#![expect(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use proptest::prelude::*;
use quantity::{
    AcreSource, Acres, Area, BushelKind, BushelWeight, Bushels, DryBasis, DryMass, Length, Mass,
    MassFlow, MassStep, MassUnit, Moisture, Money, MoneyRounding, Price, Speed, SplitRule, Step,
    TestWeight, Units, When, Yield, Zone, parse_clock, parse_date, split_dry, split_mass,
    split_money,
};
use rust_decimal::Decimal;

/// 100,000 t in units of 10 micrograms.
const MOST: i64 = 10_000_000_000_000_000;

fn rules() -> impl Strategy<Value = MoneyRounding> {
    prop_oneof![
        Just(MoneyRounding::HalfUp),
        Just(MoneyRounding::HalfEven),
        Just(MoneyRounding::Down),
        Just(MoneyRounding::Up),
    ]
}

/// Texts that look like quantities, and texts that do not.
fn texts() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[-−+$]{0,2}[0-9,. \u{a0}]{0,30} ?(lb|kg|t|#|%|ft|in|'|\"|ac|ha|mph|/bu|lb/bu|¢|bu|e)?[0-9.]{0,4}",
        "[0-9]{1,4}[-/ ][0-9A-Za-z]{1,9}[-/ ,T]{1,2}[0-9]{1,4}[ T][0-9:]{0,8} ?(am|pm|Z)?(\\[[A-Za-z/_]{0,20}\\]?)?",
    ]
}

/// Reads a text with every parser; where one reads, its canonical text must read to the same.
fn read_all(text: &str) -> Result<(), TestCaseError> {
    macro_rules! round_trip {
        ($($name:ident),*) => {$(
            if let Ok(value) = $name::parse(text) {
                prop_assert_eq!(value.canonical().parse::<$name>(), Ok(value));
            }
        )*};
    }
    round_trip!(
        Length,
        Area,
        Speed,
        MassFlow,
        Mass,
        DryMass,
        Moisture,
        BushelWeight,
        TestWeight,
        Bushels,
        Yield,
        Price
    );
    let _ = (
        Money::parse(text),
        Zone::parse(text),
        parse_date(text),
        parse_clock(text),
    );
    let zone = Zone::parse("America/Chicago").unwrap();
    if let Ok(when) = When::parse(text, &zone) {
        prop_assert_eq!(when.canonical().parse::<When>(), Ok(when));
    }
    Ok(())
}

/// A shown value reads back within half of its last printed digit.
fn near(value: f64, shown: f64, digit: f64) -> Result<(), TestCaseError> {
    prop_assert!(
        (value - shown).abs() <= 0.5001 * digit + 1e-9 * value.abs(),
        "{value} shown as {shown}"
    );
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_panics(text in texts()) {
        read_all(&text)?;
    }

    #[test]
    fn canonical_mass_is_exact(units in -MOST..=MOST) {
        let mass = Mass::from_units(units);
        prop_assert_eq!(Mass::parse(&mass.canonical()), Ok(mass));
        let dry = DryMass::from_units(units);
        prop_assert_eq!(DryMass::parse(&dry.canonical()), Ok(dry));
        prop_assert_eq!(Mass::from_decimal(mass.decimal(MassUnit::Lb), MassUnit::Lb), Ok(mass));
    }

    #[test]
    fn shown_mass_reads_back_within_its_digits(units in -MOST..=MOST, small in -20_000_000_000..20_000_000_000_i64) {
        for mass in [Mass::from_units(units), Mass::from_units(small)] {
            let us = Mass::parse(&mass.show(Units::Us)).unwrap();
            near(mass.lb(), us.lb(), if mass.lb().abs() < 100.0 { 0.1 } else { 1.0 })?;
            let metric = Mass::parse(&mass.show(Units::Metric)).unwrap();
            near(mass.kg(), metric.kg(), if mass.kg().abs() < 1_000.0 { 0.1 } else { 1.0 })?;
            let dry = DryMass::from_units(mass.units());
            prop_assert_eq!(DryMass::parse(&dry.show(Units::Us)).unwrap().units(), us.units());
        }
    }

    #[test]
    fn pounds_and_kilograms_sum_exactly(loads in prop::collection::vec((0..200_000_u32, any::<bool>()), 1..80)) {
        // the same in one integer, counted by hand: 45,359,237 a pound, 100,000,000 a kilogram
        let by_hand: i64 = loads.iter().map(|&(n, lb)| i64::from(n) * if lb { 45_359_237 } else { 100_000_000 }).sum();
        let read = |&(n, lb): &(u32, bool)| Mass::parse(&format!("{n} {}", if lb { "lb" } else { "kg" })).unwrap();
        let forth: Mass = loads.iter().map(read).sum();
        let back: Mass = loads.iter().rev().map(read).sum();
        prop_assert_eq!(forth.units(), by_hand);
        prop_assert_eq!(forth, back);
    }

    #[test]
    fn canonical_reals_keep_every_bit(m in -1e6..1e6_f64, ac in 0.0..2e6_f64, mph in 0.0..200.0_f64, flow in 0.0..500.0_f64) {
        let length = Length::from_m(m).unwrap();
        prop_assert_eq!(Length::parse(&length.canonical()), Ok(length));
        let area = Area::from_ac(ac).unwrap();
        prop_assert_eq!(Area::parse(&area.canonical()), Ok(area));
        let speed = Speed::from_mph(mph).unwrap();
        prop_assert_eq!(Speed::parse(&speed.canonical()), Ok(speed));
        let flow = MassFlow::from_kg_per_s(flow).unwrap();
        prop_assert_eq!(MassFlow::parse(&flow.canonical()), Ok(flow));
    }

    #[test]
    fn shown_reals_read_back_within_their_digits(ft in -5_000.0..5_000.0_f64, ac in 0.01..9_000.0_f64, mph in 0.0..60.0_f64, lb in 0.0..200.0_f64) {
        let length = Length::from_ft(ft).unwrap();
        near(length.ft(), Length::parse(&length.show(Units::Us)).unwrap().ft(), 0.1)?;
        near(length.m(), Length::parse(&length.show(Units::Metric)).unwrap().m(), if length.m().abs() < 1_000.0 { 0.01 } else { 1.0 })?;
        let area = Area::from_ac(ac).unwrap();
        near(area.ac(), Area::parse(&area.show(Units::Us)).unwrap().ac(), 0.01)?;
        near(area.ha(), Area::parse(&area.show(Units::Metric)).unwrap().ha(), 0.01)?;
        let speed = Speed::from_mph(mph).unwrap();
        near(speed.mph(), Speed::parse(&speed.show(Units::Us)).unwrap().mph(), 0.1)?;
        near(speed.km_per_h(), Speed::parse(&speed.show(Units::Metric)).unwrap().km_per_h(), 0.1)?;
        let flow = MassFlow::from_lb_per_s(lb).unwrap();
        near(flow.lb_per_s(), MassFlow::parse(&flow.show(Units::Us)).unwrap().lb_per_s(), 0.01)?;
        near(flow.kg_per_s(), MassFlow::parse(&flow.show(Units::Metric)).unwrap().kg_per_s(), 0.01)?;
    }

    #[test]
    fn moisture_goes_through_dry_basis_and_text(ppm in 0..=990_000_u32) {
        let wet = Moisture::from_ppm(ppm).unwrap();
        prop_assert_eq!(wet.dry_basis().wet_basis(), wet);
        prop_assert_eq!(DryBasis::from_percent(wet.dry_basis().percent()).unwrap().wet_basis(), wet);
        prop_assert_eq!(Moisture::parse(&wet.canonical()), Ok(wet));
        prop_assert_eq!(Moisture::parse(&wet.show()), Ok(wet));
    }

    #[test]
    fn wet_to_dry_and_back_is_within_a_unit_of_what_dry_can_hold(units in 0..MOST, ppm in 0..900_000_u32) {
        let (wet, moisture) = (Mass::from_units(units), Moisture::from_ppm(ppm).unwrap());
        let dry = DryMass::of(wet, moisture);
        prop_assert!(dry.units() >= 0 && dry.units() <= units);
        // half a unit of dry matter is at most half of 1/(1 - moisture) units of wet, and the last rounding a half
        let most = 0.5 / (1.0 - moisture.fraction()) + 0.5;
        let off = (dry.at(moisture).units() - units).abs();
        prop_assert!(off as f64 <= most, "{off} > {most}");
    }

    #[test]
    fn money_and_prices_keep_their_text(units in -10_000_000_000_000..=10_000_000_000_000_i64, price in -9_999_999..9_999_999_i64) {
        let money = Money::from_units(units);
        prop_assert_eq!(money.canonical().parse::<Money>().is_err(), true); // bare: only the store may
        prop_assert_eq!(Money::parse(&money.show()), Ok(money));
        let json = serde_json::to_string(&money).unwrap();
        prop_assert_eq!(serde_json::from_str::<Money>(&json).unwrap(), money);
        let price = Price(Decimal::new(price, 4));
        prop_assert_eq!(Price::parse(&price.show()), Ok(price));
        prop_assert_eq!(Price::parse(&price.canonical()), Ok(price));
    }

    #[test]
    fn bushels_and_yields_keep_their_text(units in 0..MOST, lb in 5..120_u32, base in 0..300_u32, ac in 1.0..5_000.0_f64) {
        let weight = BushelWeight::pounds(lb).unwrap();
        let base = Moisture::from_ppm(base * 1_000).unwrap();
        let net = Mass::from_units(units);
        let counts = [
            Bushels::as_weighed(net, weight),
            Bushels::dry_at(DryMass::of(net, base), base, weight),
            Bushels::buyers(Decimal::new(units, 9), weight),
            Bushels::insurance(Decimal::new(units, 12), weight),
        ];
        for count in counts {
            prop_assert_eq!(Bushels::parse(&count.canonical()), Ok(count));
            let acres = Acres { area: Area::from_ac(ac).unwrap(), source: AcreSource::Cut };
            if let Ok(made) = Yield::of(count, acres) {
                prop_assert_eq!(Yield::parse(&made.canonical()), Ok(made));
            }
        }
        prop_assert_eq!(counts[0].mass(), Ok(net));
        prop_assert!((counts[0].float() * f64::from(lb) - net.lb()).abs() <= 1e-9 * net.lb());
    }

    #[test]
    fn test_weight_keeps_its_text_and_its_kilograms(millionths in 5_000_000..120_000_000_i64) {
        let weight = TestWeight::from_decimal(Decimal::new(millionths, 6)).unwrap();
        prop_assert_eq!(TestWeight::parse(&weight.canonical()), Ok(weight));
        let metric = TestWeight::from_kg_per_hl(weight.kg_per_hl()).unwrap();
        prop_assert_eq!(metric, weight);
    }

    #[test]
    fn splits_sum_to_the_whole(
        whole in -MOST..=MOST,
        shares in prop::collection::vec(0..2_000_000_u32, 1..12),
        places in 0..7_u32,
        step in 1..100_000_i64,
        party in 0..12_usize,
        rule in rules(),
    ) {
        prop_assume!(shares.iter().any(|&s| s > 0));
        let total: f64 = shares.iter().map(|&s| f64::from(s)).sum();
        let weights: Vec<Decimal> = shares.iter().map(|&s| Decimal::new(i64::from(s), places)).collect();
        let party = party % shares.len();
        for how in [SplitRule::LargestRemainder, SplitRule::RemainderTo { party, rule }] {
            let parts = split_money(Money::from_units(whole), &weights, Money::from_units(step), how).unwrap();
            prop_assert_eq!(parts.iter().map(|p| p.units()).sum::<i64>(), whole);
            let parts = split_mass(Mass::from_units(whole), &weights, Mass::from_units(step), how).unwrap();
            prop_assert_eq!(parts.iter().map(|p| p.units()).sum::<i64>(), whole);
            for (at, part) in parts.iter().enumerate() {
                let fair = whole as f64 * f64::from(shares[at]) / total;
                let odd = if matches!(how, SplitRule::RemainderTo { .. }) && at == party { shares.len() } else { 2 };
                let off = (part.units() as f64 - fair).abs();
                prop_assert!(off <= (step as f64) * odd as f64 + 8.0, "{off} of {step}");
            }
            let parts = split_dry(DryMass::from_units(whole), &weights, how).unwrap();
            prop_assert_eq!(parts.into_iter().sum::<DryMass>().units(), whole);
        }
    }

    #[test]
    fn rounding_to_a_step_agrees_in_integers_and_decimals(value in -1_000_000_000_000..1_000_000_000_000_i64, step in 1..1_000_000_i64, rule in rules()) {
        let mass = MassStep { step: Mass::from_units(step), rule }.round(Mass::from_units(value)).unwrap();
        let decimal = Step { step: Decimal::new(step, 3), rule }.round(Decimal::new(value, 3)).unwrap();
        prop_assert_eq!(Decimal::new(mass.units(), 3), decimal);
        prop_assert!((mass.units() - value).abs() < step);
        prop_assert_eq!(mass.units() % step, 0);
    }

    #[test]
    fn kinds_of_bushels_never_mix(units in 0..MOST, ppm in 1..300_000_u32) {
        let weight = BushelWeight::pounds(56).unwrap();
        let (net, base) = (Mass::from_units(units), Moisture::from_ppm(ppm).unwrap());
        let weighed = Bushels::as_weighed(net, weight);
        let dry = Bushels::dry_at(DryMass::of(net, base), base, weight);
        prop_assert!(weighed.checked_add(dry).is_err());
        prop_assert_eq!(dry.kind, BushelKind::DryAt(base));
        prop_assert!(dry.checked_add(dry).is_ok());
    }
}
