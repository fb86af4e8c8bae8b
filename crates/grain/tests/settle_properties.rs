//! What holds for every settlement, whatever the numbers.
#![expect(clippy::unwrap_used, reason = "a test helper may fail its test")]

mod sheets;

use facts::Crop;
use grain::{
    Charge, Factor, Kind, Line, Printed, Share, Ticket, When, audit, divide, settle, settle_many,
};
use proptest::prelude::*;
use quantity::{Mass, Money, MoneyRounding, Price, SplitRule};
use rust_decimal::Decimal;
use sheets::{FULL, at, corn, load, sums_up};

fn any_decimal() -> impl Strategy<Value = Decimal> {
    prop_oneof![
        (any::<i64>(), 0_u32..28).prop_map(|(units, scale)| Decimal::new(units, scale)),
        (-1_000_000_i64..1_000_000, 0_u32..6).prop_map(|(units, scale)| Decimal::new(units, scale)),
        Just(Decimal::MAX),
        Just(Decimal::MIN),
        Just(Decimal::new(1, 28)),
    ]
}

proptest! {
    #[test]
    fn a_dearer_schedule_never_pays_more(lb in 1_000..90_000_u32, tenths in 100_i64..300, low in 0_i64..80, more in 0_i64..80, cents in 0_i64..60) {
        let schedule = |rate: i64, cents: i64| {
            let mut schedule = corn(FULL);
            schedule.lines.truncate(3);
            schedule.lines[1].charge = Charge::PerStep(Decimal::new(rate, 2));
            schedule.lines[2].charge = Charge::PerStep(Decimal::new(cents, 1));
            schedule.lines[2].reject_past = None;
            schedule
        };
        let ticket = load(f64::from(lb), &[("foreign_material", "1.2")]).with(Factor::Moisture, Decimal::new(tenths, 1));
        let net = |rate, cents| settle(&ticket, &schedule(rate, cents), at("4.15")).unwrap();
        let (cheap, dear) = (net(low, cents), net(low + more, cents + more));
        prop_assert!(dear.net <= cheap.net);
        prop_assert!(dear.net_units <= cheap.net_units);
        sums_up(&dear);
        // and a wetter load is never paid more than a drier one of the same weight
        let wetter = ticket.clone().with(Factor::Moisture, Decimal::new(tenths + 7, 1));
        let wetter = settle(&wetter, &schedule(low, cents), at("4.15")).unwrap();
        prop_assert!(wetter.net <= cheap.net);
    }

    #[test]
    fn parts_sum_to_the_whole(lb in 1_000..90_000_u32, shares in prop::collection::vec(1_u32..1_000, 1..6), last in any::<bool>()) {
        let ticket = load(f64::from(lb), &[("moisture", "17.3"), ("foreign_material", "2")]);
        let settled = settle(&ticket, &corn(FULL), at("4.1525")).unwrap();
        let shares: Vec<Share> = shares.iter().enumerate()
            .map(|(at, parts)| Share { person: format!("person {at}"), parts: Decimal::from(*parts) }).collect();
        let rule = if last {
            SplitRule::RemainderTo { party: shares.len() - 1, rule: MoneyRounding::Down }
        } else {
            SplitRule::LargestRemainder
        };
        let parts = divide(&settled, ticket.net, &shares, rule).unwrap();
        prop_assert_eq!(parts.iter().map(|part| part.net.unwrap()).sum::<Money>(), settled.net.unwrap());
        prop_assert_eq!(parts.iter().map(|part| part.gross_value.unwrap()).sum::<Money>(), settled.gross_value.unwrap());
        prop_assert_eq!(parts.iter().map(|part| part.wet).sum::<Mass>(), ticket.net);
    }

    #[test]
    fn no_numbers_make_it_panic(
        numbers in prop::collection::vec(any_decimal(), 12),
        units in any::<i64>(),
        kind in 0_usize..6, when in 0_usize..3, shape in 0_usize..7, reading in 0_usize..4,
    ) {
        let kinds = [Kind::CentsPerGrossBushel, Kind::CentsPerNetBushel, Kind::PercentOfGrossWeight,
            Kind::PercentOfRemainingWeight, Kind::PercentOfPrice, Kind::FlatCents];
        let readings = [grain::Reading::WholeShortfall, grain::Reading::Marginal,
            grain::Reading::BandValue, grain::Reading::BandValuesSummed];
        let n = |at: usize| numbers[at];
        let charge = match shape {
            0 => Charge::None,
            1 => Charge::Flat(n(0)),
            2 => Charge::PerStep(n(0)),
            3 => Charge::WholeExcess,
            4 => Charge::WaterShrink { handling_pct: n(0) },
            5 => Charge::Piecewise(vec![(n(1), n(2)), (n(3), n(4))]),
            _ => Charge::Banded { reading: readings[reading], bands: vec![
                grain::Band { to: Some(n(1)), rate: n(2) }, grain::Band { to: None, rate: n(3) }] },
        };
        let line = Line {
            name: String::new(), factor: Factor::Moisture, when: [When::Above, When::Below, When::Flagged][when],
            from: n(5), to: Some(n(6)).filter(|to| to.scale() % 2 == 0), step: n(7), excess: grain::ExcessRounding::Exact,
            kind: kinds[kind], charge, reject_past: Some(n(8)).filter(|limit| limit.scale() % 3 == 0),
        };
        let _ = grain::charge(&line, n(9));
        let mut schedule = corn("[[average]]\nfactor = 'moisture'");
        schedule.lines = vec![line.clone(), line];
        schedule.unit_lb = if units % 2 == 0 { n(10) } else { Decimal::from(56) };
        let ticket = Ticket::of_net(Crop::Corn, Mass::from_units(units)).with(Factor::Moisture, n(9));
        let price = Some(Price(n(11)));
        if let Ok(settled) = settle(&ticket, &schedule, price) {
            let _ = audit(&settled, &Printed { net_units: Some(n(0)), ..Default::default() });
        }
        let _ = settle_many(&[ticket.clone(), ticket], &schedule, price);
    }
}
