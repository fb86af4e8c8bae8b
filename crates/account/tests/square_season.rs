//! Properties and hazards of squaring a season.

use account::slip::{
    EyeKind, MoistureReading, Place, PlaceId, PlaceKind, ScaleClass, Slip, SlipId, Stock, Weight,
};
use account::square::{
    MeterKind, MistakeKind, MoistureSource, Season, Settings, SquareError, Squared, Weighing,
    square,
};
use numeric::stream::Stream;
use proptest::prelude::*;
use quantity::{Mass, MassUnit, Moisture};

fn lb(pounds: f64) -> Mass {
    Mass::from_lb(pounds).expect("in range")
}

fn moisture(percent: f64, meter: &str) -> MoistureReading {
    MoistureReading {
        value: Moisture::from_percent(percent).expect("in range"),
        meter: meter.into(),
    }
}

fn slip(id: &str, hour: i64, from: &str, to: &str, weight: Weight) -> Slip {
    Slip {
        id: id.into(),
        at_ms: hour * 3_600_000,
        from: vec![from.into()],
        to: to.into(),
        crop: "corn".into(),
        weight,
        moisture: None,
        empties: false,
        number: None,
    }
}

fn monitor(pounds: f64) -> Weight {
    Weight::Monitor {
        machine: "combine".into(),
        reading: lb(pounds),
        unit: MassUnit::Lb,
    }
}

fn ticket(gross: f64, tare: f64) -> Weight {
    Weight::Scale {
        gross: Some(lb(gross)),
        tare: Some(lb(tare)),
        shared_tare: None,
        net: lb(gross - tare),
        step: lb(1.0),
        unit: MassUnit::Lb,
        class: ScaleClass::Certified,
    }
}

fn place(id: &str, kind: PlaceKind) -> Place {
    Place {
        id: id.into(),
        kind,
        capacity_lb: None,
    }
}

fn places() -> Vec<Place> {
    vec![
        place("field", PlaceKind::Standing),
        place("other field", PlaceKind::Standing),
        place("wagon", PlaceKind::Wagon),
        place("cart", PlaceKind::Wagon),
        place("bin", PlaceKind::Bin),
        place("dryer", PlaceKind::Dryer),
        place("pit", PlaceKind::Pit),
    ]
}

/// `trips` wagons of two tanks by a monitor that reads 4 % low, each weighed at 15 % moisture.
fn season(seed: u64, trips: u32, noise: f64) -> Season {
    let mut s = Stream::new(seed, "season", 0);
    let mut slips = Vec::new();
    for trip in 0..trips {
        let hour = 10 * i64::from(trip);
        let mut dry = 0.0;
        for tank in 0..2 {
            let true_dry = s.between(8_000.0, 11_000.0);
            dry += true_dry;
            let read = true_dry / 1.04 * (1.0 + noise * 0.02 * s.normal());
            let id = format!("{trip:02} tank {tank}");
            slips.push(slip(&id, hour + tank, "field", "wagon", monitor(read)));
        }
        let wet = (dry / 0.85 + noise * 20.0 * s.normal()).round();
        let mut weighed = slip(
            &format!("{trip:02} ticket"),
            hour + 4,
            "wagon",
            "pit",
            ticket(wet + 9_000.0, 9_000.0),
        );
        weighed.moisture = Some(moisture(15.0, "bench"));
        weighed.empties = true;
        slips.push(weighed);
    }
    Season {
        places: places(),
        slips,
        meters: [("bench".into(), MeterKind::Buyer)].into(),
        ..Season::default()
    }
}

fn squared(season: &Season) -> Squared {
    square(season, &Settings::default()).expect("the season is sound")
}

fn found<'a>(answer: &'a Squared, id: &str) -> &'a account::square::SquaredSlip {
    answer
        .slips
        .iter()
        .find(|s| s.slip.0 == id)
        .expect("the slip is in the answer")
}

fn at(season: &Season, id: &str) -> usize {
    season
        .slips
        .iter()
        .position(|s| s.id.0 == id)
        .expect("the slip is in the season")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_slips_does_not_matter(seed in 0_u64..10_000) {
        let straight = season(seed, 6, 1.0);
        let mut mixed = straight.clone();
        Stream::new(seed, "shuffle", 0).shuffle(&mut mixed.slips);
        let (a, b) = (squared(&straight), squared(&mixed));
        for one in &a.slips {
            prop_assert_eq!(one, found(&b, &one.slip.0));
        }
        prop_assert_eq!(a.chi_square, b.chi_square);
        prop_assert_eq!(a.suspects, b.suspects);
    }

    #[test]
    fn exact_data_leave_nothing_over(seed in 0_u64..10_000) {
        let mut season = season(seed, 6, 0.0);
        // tickets to the unit, not the pound, so that nothing was rounded
        for trip in 0..6 {
            let dry: f64 = (0..2)
                .map(|tank| {
                    let at = at(&season, &format!("{trip:02} tank {tank}"));
                    match &season.slips[at].weight {
                        Weight::Monitor { reading, .. } => reading.lb(),
                        _ => 0.0,
                    }
                })
                .sum();
            let at = at(&season, &format!("{trip:02} ticket"));
            season.slips[at].weight = ticket(dry / 0.85 + 9_000.0, 9_000.0);
        }
        let answer = squared(&season);
        prop_assert!(answer.square);
        prop_assert!(answer.chi_square < 1e-6, "{}", answer.chi_square);
        for slip in &answer.slips {
            let (record, value) = (slip.record_dry_kg.unwrap(), slip.squared_dry_kg.unwrap());
            prop_assert!((record - value).abs() < 1e-3, "{} {}", record, value);
        }
    }

    #[test]
    fn balances_hold_to_rounding(seed in 0_u64..10_000) {
        let answer = squared(&season(seed, 8, 1.0));
        for trip in 0..8 {
            let part = |name: &str| {
                found(&answer, &format!("{trip:02} {name}")).squared_dry_kg.unwrap()
            };
            let rest = part("tank 0") + part("tank 1") - part("ticket");
            prop_assert!(rest.abs() < 1e-6, "{}", rest);
        }
    }

    /// A season written in kilograms is the same season.
    #[test]
    fn the_unit_of_the_digits_changes_no_mass(seed in 0_u64..10_000) {
        let straight = season(seed, 5, 1.0);
        let mut other = straight.clone();
        for slip in &mut other.slips {
            if let Weight::Scale { unit, .. } | Weight::Monitor { unit, .. } = &mut slip.weight {
                *unit = MassUnit::Kg;
            }
        }
        let (a, b) = (squared(&straight), squared(&other));
        for (one, two) in a.slips.iter().zip(&b.slips) {
            prop_assert_eq!(one, two);
        }
    }
}

#[test]
fn a_clean_season_is_square_and_the_factor_is_found() {
    let answer = squared(&season(3, 12, 1.0));
    assert!(answer.square, "{:?}", answer.suspects);
    let factor = &answer.factors[0];
    assert!((factor.factor - 1.04).abs() < 3.0 * factor.se);
    assert_eq!(factor.weighed_loads, 12);
    assert!(answer.unchecked.is_empty());
}

#[test]
fn swapped_digits_on_a_ticket_are_named() {
    let mut season = season(5, 12, 1.0);
    // a ticket such as 32,110 that becomes 31,210 is too near; one such as 35,120 becomes 31,520
    let (index, text) = season
        .slips
        .iter()
        .enumerate()
        // four weighed loads set the monitor; before, a tank is only good to 7 %
        .skip(15)
        .find_map(|(index, slip)| {
            let Weight::Scale {
                gross: Some(gross), ..
            } = slip.weight
            else {
                return None;
            };
            let text = format!("{:.0}", gross.lb());
            (text.as_bytes()[1] >= text.as_bytes()[2] + 3).then_some((index, text))
        })
        .expect("one ticket of twelve");
    let swapped: String = [&text[0..1], &text[2..3], &text[1..2], &text[3..]].concat();
    let id = season.slips[index].id.clone();
    season.slips[index].weight = ticket(swapped.parse().unwrap(), 9_000.0);
    let answer = squared(&season);
    assert!(!answer.square);
    let suspect = &answer.suspects[0];
    assert!(suspect.set.contains(&id), "{suspect:?}");
    let best = &suspect.hypotheses[0];
    assert_eq!(best.kind, MistakeKind::DigitsSwapped);
    assert!(best.perhaps.replace(',', "").starts_with(&text), "{best:?}");
}

/// 55.1 is what the ticket prints as test weight: no balance is needed to see that.
#[test]
fn a_test_weight_typed_as_moisture_shows_even_where_nothing_checks_the_slip() {
    let mut season = season(23, 10, 1.0);
    let id = SlipId::from("06 ticket");
    for tank in 0..2 {
        let index = at(&season, &format!("06 tank {tank}"));
        season.slips[index].weight = Weight::Unknown;
    }
    let index = at(&season, &id.0);
    season.slips[index].moisture = Some(moisture(55.1, "bench"));
    season.test_weights_lb_bu.insert(id.clone(), 55.1);
    let answer = squared(&season);
    assert!(answer.unchecked.contains(&id));
    let suspect = answer
        .suspects
        .iter()
        .find(|s| s.slip == id)
        .expect("it is odd by itself");
    assert_eq!(
        suspect.hypotheses[0].kind,
        MistakeKind::TestWeightAsMoisture
    );
}

#[test]
fn what_was_entered_twice_is_named_with_its_first() {
    let mut season = season(6, 12, 1.0);
    let mut again = season.slips[at(&season, "04 tank 1")].clone();
    again.id = "04 tank 1 again".into();
    again.at_ms += 5 * 60_000;
    season.slips.push(again);
    let answer = squared(&season);
    let best = &answer.suspects[0].hypotheses[0];
    assert_eq!(best.kind, MistakeKind::EnteredTwice);
    assert_eq!(best.other, Some("04 tank 1".into()));
}

#[test]
fn one_factor_for_two_crops_would_be_wrong_so_each_has_its_own() {
    let mut two = season(7, 6, 1.0);
    let mut oats = season(8, 6, 1.0);
    for slip in &mut oats.slips {
        slip.id = SlipId(format!("oats {}", slip.id));
        slip.crop = "oats".into();
        slip.at_ms += 100 * 3_600_000;
        if let Weight::Monitor { reading, .. } = &mut slip.weight {
            // in oats the monitor reads a tenth too high
            *reading = lb(reading.lb() * 1.04 * 1.10);
        }
    }
    two.slips.extend(oats.slips);
    let answer = squared(&two);
    assert!(answer.square, "{:?}", answer.suspects);
    assert_eq!(answer.factors.len(), 2);
    assert!((answer.factors[0].factor - 1.04).abs() < 0.03);
    assert!((answer.factors[1].factor - 1.0 / 1.1).abs() < 0.03);
}

#[test]
fn a_monitor_set_anew_starts_a_new_factor() {
    let mut season = season(9, 16, 1.0);
    let anew = 80 * 3_600_000;
    for slip in &mut season.slips {
        if let (Weight::Monitor { reading, .. }, true) = (&mut slip.weight, slip.at_ms >= anew) {
            *reading = lb(reading.lb() * 1.15);
        }
    }
    assert!(!squared(&season).square);
    season.recalibrations.push(("combine".into(), anew));
    let answer = squared(&season);
    assert!(answer.square, "{:?}", answer.suspects);
    assert_eq!(answer.factors.len(), 2);
}

/// A tare weighed once and 200 lb wrong: counted as independent it would average out over many loads.
#[test]
fn a_shared_tare_carries_one_error_into_all_its_slips() {
    let mut own = season(10, 12, 1.0);
    let mut shared = own.clone();
    for slip in &mut shared.slips {
        if let Weight::Scale { shared_tare, .. } = &mut slip.weight {
            *shared_tare = Some("wagon, weighed once".into());
        }
    }
    own.slips
        .iter_mut()
        .for_each(|s| s.empties |= matches!(s.weight, Weight::Scale { .. }));
    let (own, shared) = (squared(&own), squared(&shared));
    assert_eq!(shared.tares.len(), 1);
    let total = |answer: &Squared| {
        let se = |id: &str| found(answer, id).se_kg.unwrap();
        (se("00 ticket"), answer.factors[0].se)
    };
    // the factor rests on all tickets at once: a common error does not average out
    assert!(total(&shared).1 > total(&own).1);
}

#[test]
fn a_meter_that_reads_high_is_an_offset_not_lost_grain() {
    let mut season = season(11, 10, 1.0);
    // every second load goes through a second buyer's meter that reads 1.2 points high
    for trip in (1..10).step_by(2) {
        let index = at(&season, &format!("{trip:02} ticket"));
        season.slips[index].moisture = Some(moisture(16.2, "second bench"));
    }
    season
        .meters
        .insert("second bench".into(), MeterKind::Buyer);
    season.reference_meter = Some("bench".into());
    let answer = squared(&season);
    assert!(answer.square, "{:?}", answer.suspects);
    let offset = &answer.offsets[0];
    assert!(
        offset.points > 0.0 && (offset.points - 1.2).abs() < 3.0 * offset.se_points,
        "{offset:?}"
    );
}

/// A buyer who rounds to 20 lb is less exact than the scale: the step widens the error.
#[test]
fn a_coarse_step_widens_the_error() {
    let mut coarse = season(12, 4, 1.0);
    for slip in &mut coarse.slips {
        if let Weight::Scale { step, .. } = &mut slip.weight {
            *step = lb(200.0);
        }
    }
    let fine = squared(&season(12, 4, 1.0));
    let coarse = squared(&coarse);
    let sd = |answer: &Squared| found(answer, "00 ticket").record_sd_kg.unwrap();
    assert!(sd(&coarse) > sd(&fine) + 5.0);
}

/// Grain left in the wagon from the last load makes two balances off by the same mass; once the wagon is
/// not said to be empty, the account is square.
#[test]
fn carry_over_is_followed_when_nobody_says_the_wagon_was_empty() {
    let mut season = season(13, 12, 1.0);
    let index = at(&season, "05 ticket");
    let Weight::Scale {
        gross: Some(gross), ..
    } = season.slips[index].weight
    else {
        panic!("a ticket has a gross");
    };
    season.slips[index].weight = ticket(gross.lb() - 4_000.0, 9_000.0);
    let next = at(&season, "06 ticket");
    let Weight::Scale {
        gross: Some(gross), ..
    } = season.slips[next].weight
    else {
        panic!("a ticket has a gross");
    };
    season.slips[next].weight = ticket(gross.lb() + 4_000.0, 9_000.0);
    assert!(!squared(&season).square);
    season.slips[index].empties = false;
    if let Weight::Scale { shared_tare, .. } = &mut season.slips[index].weight {
        // the tare came off the list: the wagon was not weighed empty
        *shared_tare = Some("list".into());
    }
    let answer = squared(&season);
    assert!(answer.square, "{:?}", answer.suspects);
}

#[test]
fn a_bin_packed_tighter_than_its_volume_stands_out_from_the_flows() {
    let mut season = season(14, 12, 1.0);
    let mut dry = 0.0;
    for trip in 0..12 {
        let index = at(&season, &format!("{trip:02} ticket"));
        season.slips[index].to = "bin".into();
        let Weight::Scale { net, .. } = season.slips[index].weight else {
            panic!("a ticket has a net");
        };
        dry += net.lb() * 0.85;
    }
    let measure = |share: f64| Stock {
        id: "measure".into(),
        at_ms: 1_000 * 3_600_000,
        place: "bin".into(),
        crop: "corn".into(),
        wet: lb(share * dry / 0.85),
        moisture: Some(moisture(15.0, "bench")),
        relative_sd: None,
    };
    season.stocks = vec![measure(1.0)];
    assert!(squared(&season).square);
    season.stocks = vec![measure(0.85)];
    let answer = squared(&season);
    assert!(!answer.square);
    assert_eq!(answer.suspects[0].slip.0, "measure");
}

#[test]
fn own_dryer_loses_a_little_and_that_is_no_mistake() {
    let mut season = season(15, 10, 1.0);
    for trip in 0..10 {
        let index = at(&season, &format!("{trip:02} ticket"));
        season.slips[index].to = "dryer".into();
        let hour = 10 * i64::from(trip) + 6;
        let Weight::Scale { net, .. } = season.slips[index].weight else {
            panic!("a ticket has a net");
        };
        // 15 % in, 13 % out, and 0.8 % of the dry matter blown away
        let out = net.lb() * 0.85 * 0.992 / 0.87;
        let mut dried = slip(
            &format!("{trip:02} dried"),
            hour,
            "dryer",
            "pit",
            ticket(out + 9_000.0, 9_000.0),
        );
        dried.moisture = Some(moisture(13.0, "bench"));
        season.slips.push(dried);
    }
    assert!(squared(&season).square);
}

#[test]
fn slips_that_nothing_checks_are_listed_with_the_weighing_that_would() {
    let mut season = season(16, 6, 1.0);
    let index = at(&season, "05 ticket");
    season.slips.remove(index);
    let answer = squared(&season);
    let unchecked: Vec<&str> = answer.unchecked.iter().map(|s| s.0.as_str()).collect();
    assert_eq!(unchecked, ["05 tank 0", "05 tank 1"]);
    assert!(answer.square);
    let advice = &answer.advice[0];
    assert_eq!(advice.weighing, Weighing::Tare(PlaceId("wagon".into())));
    assert_eq!(advice.checks.len(), 2);
}

#[test]
fn unmeasured_tanks_are_not_made_up() {
    let mut season = season(17, 6, 1.0);
    for tank in 0..2 {
        let index = at(&season, &format!("02 tank {tank}"));
        season.slips[index].weight = Weight::Unknown;
    }
    let answer = squared(&season);
    let tank = found(&answer, "02 tank 0");
    assert!(!tank.observable && tank.squared_dry_kg.is_none());
    // one alone follows from the ticket
    let index = at(&season, "02 tank 1");
    season.slips[index].weight = Weight::Eye {
        mass: lb(10_000.0),
        from: EyeKind::Full,
    };
    let answer = squared(&season);
    let tank = found(&answer, "02 tank 0");
    assert!(tank.observable && !tank.redundant);
    // the guess had no moisture: the ticket's was taken, and that is said
    assert_eq!(
        found(&answer, "02 tank 1").moisture,
        MoistureSource::Filling
    );
    assert!(
        answer.notes.iter().any(|n| n.contains("same filling")),
        "{:?}",
        answer.notes
    );
}

#[test]
fn two_wagons_over_one_ticket_are_one_flow_each() {
    let mut season = season(18, 6, 1.0);
    let index = at(&season, "03 tank 1");
    season.slips[index].to = "cart".into();
    let index = at(&season, "03 ticket");
    season.slips[index].from.push("cart".into());
    let answer = squared(&season);
    assert!(answer.square, "{:?}", answer.suspects);
    assert!(found(&answer, "03 ticket").redundant);
}

/// Two mistakes of the same size in one filling cancel: nothing can show them, and nothing pretends to.
#[test]
fn mistakes_that_cancel_are_not_seen() {
    let mut season = season(19, 8, 1.0);
    for (tank, change) in [(0, 3_000.0), (1, -3_000.0)] {
        let index = at(&season, &format!("04 tank {tank}"));
        if let Weight::Monitor { reading, .. } = &mut season.slips[index].weight {
            *reading = lb(reading.lb() + change);
        }
    }
    assert!(squared(&season).square);
}

/// The stamp may be after midnight: only the order counts, never the date.
#[test]
fn a_slip_after_midnight_stays_with_its_filling() {
    let mut season = season(20, 6, 1.0);
    let index = at(&season, "02 ticket");
    season.slips[index].at_ms = 26 * 3_600_000;
    assert!(squared(&season).square);
}

#[test]
fn bad_seasons_are_refused_in_a_sentence() {
    let mut bad = season(21, 2, 1.0);
    bad.slips[0].to = "nowhere".into();
    let error = square(&bad, &Settings::default()).expect_err("the place is not there");
    assert!(matches!(error, SquareError::UnknownPlace { .. }));
    assert!(error.to_string().contains("nowhere"));
    let mut bad = season(21, 2, 1.0);
    bad.slips[0].from.clear();
    assert!(matches!(
        square(&bad, &Settings::default()),
        Err(SquareError::NoSource { .. })
    ));
    let mut bad = season(21, 2, 1.0);
    bad.slips[1].id = bad.slips[0].id.clone();
    assert!(matches!(
        square(&bad, &Settings::default()),
        Err(SquareError::SameId { .. })
    ));
    let mut settings = Settings::default();
    settings
        .machine_relative_sd
        .insert("combine".into(), f64::NAN);
    let error = square(&season(21, 2, 1.0), &settings).expect_err("not a standard error");
    assert!(matches!(error, SquareError::BadStandardError { .. }));
}

#[test]
fn nothing_written_is_square() {
    let answer = squared(&Season::default());
    assert!(answer.square && answer.slips.is_empty() && answer.chi_square == 0.0);
}

#[test]
fn the_answer_survives_json() {
    let answer = squared(&season(22, 4, 1.0));
    let text = serde_json::to_string(&answer).unwrap();
    let back: Squared = serde_json::from_str(&text).unwrap();
    assert_eq!(back.slips.len(), answer.slips.len());
    assert!(text.contains("squared_dry_kg"));
}
