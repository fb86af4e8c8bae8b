//! Schedules of many shapes, with invented figures: reading, order, rounding, averaging, refusal,
//! audit and division.

use facts::Crop;
use grain::{
    Charge, Factor, Kind, Line, Outcome, Printed, PrintedLine, Schedule, SettleFinding, Settlement,
    Share, Ticket, When, audit, divide, settle, settle_many,
};
use proptest::prelude::*;
use quantity::{Mass, Money, MoneyRounding, Price, SplitRule};
use rust_decimal::Decimal;

/// A corn schedule with this much more; the figures are invented.
fn corn(more: &str) -> Schedule {
    toml::from_str(&format!(
        "name = 'invented'\nbuyer = 'river pit'\ncontract = 'cash'\ncrop = 'corn'\nbase_moisture_pct = 15\nunit_lb = 56\n{more}"
    ))
    .unwrap()
}

fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn load(lb: f64, factors: &[(&str, &str)]) -> Ticket {
    let ticket = Ticket::of_net(Crop::Corn, Mass::from_lb(lb).unwrap());
    factors.iter().fold(ticket, |ticket, (factor, value)| {
        ticket.with(Factor::from(*factor), d(value))
    })
}

fn at(price: &str) -> Option<Price> {
    Some(Price(d(price)))
}

fn money(text: &str) -> Money {
    Money::parse(text).unwrap()
}

const FULL: &str = r#"
[[line]]
name = "foreign material over 1 %"
factor = "foreign_material"
when = "above"
from = 1
kind = "percent_of_gross_weight"
charge = "whole_excess"
[[line]]
name = "shrink"
factor = "moisture"
when = "above"
from = 15
kind = "percent_of_remaining_weight"
charge = { water_shrink = { handling_pct = 0.5 } }
[[line]]
name = "drying"
factor = "moisture"
when = "above"
from = 15
step = 0.5
excess = "step_up"
kind = "cents_per_gross_bushel"
charge = { per_step = 2.5 }
reject_past = 26
[[line]]
name = "storage"
factor = "storage_days"
when = "above"
step = 30
excess = "step_up"
kind = "cents_per_net_bushel"
charge = { per_step = 4 }
[[line]]
name = "musty"
factor = "musty"
when = "flagged"
kind = "cents_per_net_bushel"
charge = { flat = 10 }
[[line]]
factor = "live_insects"
when = "flagged"
kind = "flat_cents"
charge = "none"
reject_past = 0
[[assessment]]
name = "checkoff"
base = "net_value"
rate = 0.5
[[assessment]]
name = "state fund"
base = "per_net_bushel"
rate = 0.3
"#;

#[test]
fn a_full_sheet_by_hand() {
    let ticket = load(
        56_000.0,
        &[
            ("moisture", "17.2"),
            ("foreign_material", "1.4"),
            ("storage_days", "31"),
        ],
    )
    .flagged("musty".into());
    let settled = settle(&ticket, &corn(FULL), at("4.00")).unwrap();
    let line = |name: &str| settled.lines.iter().find(|line| line.name == name).unwrap();
    assert_eq!(settled.gross_units, d("1000"));
    assert_eq!(line("foreign material over 1 %").units, d("-4.00"));
    // 100 x 2.2 / 85 + 0.5 = 3.088235 % of the 996 left = 30.7588
    assert_eq!(line("shrink").units, d("-30.76"));
    assert_eq!(settled.net_units, d("965.24"));
    assert_eq!(settled.gross_value, Some(money("$3,860.96")));
    // 2.2 points are five begun half points, on the 1,000 wet bushels
    assert_eq!(line("drying").money, d("-125.00"));
    // a day into the second month counts two, on the 965.24 net bushels: 77.2192
    assert_eq!(line("storage").money, d("-77.22"));
    assert_eq!(line("musty").money, d("-96.52"));
    // 0.5 % of 3,860.96 - 298.74 = 3,562.22
    assert_eq!(line("checkoff").money, d("-17.81"));
    assert_eq!(line("state fund").money, d("-2.90"));
    assert_eq!(settled.net, Some(money("$3,541.51")));
    assert_eq!(settled.outcome, Outcome::Settled);
    assert!(line("drying").rule.contains("a begun step counts whole"));
    sums_up(&settled);
}

/// Every settlement is the sum of its lines.
fn sums_up(settled: &Settlement) {
    let units: Decimal = settled.lines.iter().map(|line| line.units).sum();
    assert!((settled.gross_units + units - settled.net_units).abs() <= d("0.005"));
    let Some(gross) = settled.gross_value else {
        return;
    };
    let taken: Decimal = settled.lines.iter().map(|line| line.money).sum();
    assert_eq!(
        Some((gross.decimal() + taken).normalize()),
        settled.net.map(|net| net.decimal().normalize())
    );
    assert_eq!(
        (settled.discounts + settled.assessments)
            .decimal()
            .normalize(),
        taken.normalize()
    );
}

#[test]
fn what_is_not_on_the_ticket_is_never_assumed() {
    let ticket = load(56_000.0, &[("moisture", "14"), ("foreign_material", "0.5")]);
    let settled = settle(&ticket, &corn(FULL), at("4.00")).unwrap();
    assert_eq!(settled.outcome, Outcome::Incomplete);
    assert_eq!(
        settled.findings,
        [SettleFinding::NotOnTicket {
            line: "storage".into(),
            factor: Factor::StorageDays
        }]
    );
    assert!(
        settled.findings[0]
            .to_string()
            .contains("nothing was assumed")
    );
}

#[test]
fn a_refused_load_has_its_reason_and_no_money() {
    let wet = load(56_000.0, &[("moisture", "26.1")]);
    let crawling = load(56_000.0, &[("moisture", "14")]).flagged("live_insects".into());
    for (ticket, reason) in [
        (wet, "moisture 26.1 % is above 26"),
        (crawling, "live insects noted"),
    ] {
        let settled = settle(&ticket, &corn(FULL), at("4.00")).unwrap();
        assert_eq!(
            settled.outcome,
            Outcome::Rejected {
                reasons: vec![reason.into()]
            }
        );
        assert_eq!(
            (settled.net, settled.gross_value, settled.net_units),
            (None, None, d("0"))
        );
        assert_eq!(settled.buyers_bushels(), None);
    }
    let edge = load(56_000.0, &[("moisture", "26.0")]);
    assert!(!matches!(
        settle(&edge, &corn(FULL), None).unwrap().outcome,
        Outcome::Rejected { .. }
    ));
}

#[test]
fn excess_is_counted_as_the_buyer_counts_it() {
    for (excess, cents) in [
        ("exact", "4.48"),
        ("tenth", "4.4"),
        ("step_up", "6"),
        ("step_nearest", "4"),
        ("step_down", "4"),
    ] {
        let schedule = corn(&format!(
            "[[line]]\nfactor = 'moisture'\nwhen = 'above'\nfrom = 15\nexcess = '{excess}'\nkind = 'cents_per_gross_bushel'\ncharge = {{ per_step = 2 }}"
        ));
        let settled = settle(
            &load(56_000.0, &[("moisture", "17.24")]),
            &schedule,
            at("4"),
        )
        .unwrap();
        assert_eq!(settled.lines[0].rate.normalize(), d(cents), "{excess}");
    }
}

#[test]
fn tiers_meet_without_overlap_and_tables_end() {
    // 1.5 % a half point from 13 to 18, 2 % above
    let schedule = corn(
        "[[line]]\nfactor = 'moisture'\nwhen = 'above'\nfrom = 13\nto = 18\nstep = 0.5\nkind = 'percent_of_gross_weight'\ncharge = { per_step = 1.5 }\n\
         [[line]]\nfactor = 'moisture'\nwhen = 'above'\nfrom = 18\nstep = 0.5\nkind = 'percent_of_gross_weight'\ncharge = { per_step = 2 }",
    );
    let settled = settle(&load(56_000.0, &[("moisture", "19")]), &schedule, None).unwrap();
    assert_eq!(settled.net_units, d("810.00"), "15 % and 4 % of 1,000");

    let table = corn(
        "[[line]]\nname = 'drying'\nfactor = 'moisture'\nwhen = 'above'\nfrom = 15\nkind = 'cents_per_gross_bushel'\ncharge = { piecewise = [[16, 4], [18, 11], [20, 20]] }",
    );
    for (moisture, cents) in [("15.5", "2"), ("16", "4"), ("17", "7.5"), ("20", "20")] {
        let settled = settle(&load(56_000.0, &[("moisture", moisture)]), &table, at("4")).unwrap();
        assert_eq!(settled.lines[0].rate.normalize(), d(cents), "{moisture}");
    }
    let past = settle(&load(56_000.0, &[("moisture", "20.1")]), &table, at("4")).unwrap();
    assert_eq!(past.outcome, Outcome::Incomplete);
    assert_eq!(
        past.findings,
        [SettleFinding::PastTable {
            line: "drying".into(),
            value: d("20.1"),
            last: d("20")
        }]
    );
}

#[test]
fn one_list_is_read_four_ways() {
    for (reading, cents) in [
        ("whole_shortfall", "6"),
        ("marginal", "4"),
        ("band_value", "2"),
        ("band_values_summed", "3"),
    ] {
        let schedule = corn(&format!(
            "[[line]]\nfactor = 'test_weight'\nwhen = 'below'\nfrom = 54\nkind = 'cents_per_net_bushel'\n\
             charge.banded = {{ reading = '{reading}', bands = [{{ to = 52, rate = 1 }}, {{ to = 48, rate = 2 }}, {{ rate = 4 }}] }}"
        ));
        let settled = settle(
            &load(56_000.0, &[("test_weight", "51.0")]),
            &schedule,
            at("4"),
        )
        .unwrap();
        assert_eq!(settled.lines[0].rate.normalize(), d(cents), "{reading}");
        // 52.0 is still in the first band, 51.9 in the second
        let edge = |value| {
            settle(&load(56_000.0, &[("test_weight", value)]), &schedule, None)
                .unwrap()
                .lines[0]
                .rate
        };
        assert!(edge("52.0") < edge("51.9"), "{reading}");
    }
}

#[test]
fn averaging_keeps_wet_loads_apart() {
    let schedule = corn(
        "[[line]]\nfactor = 'moisture'\nwhen = 'above'\nfrom = 14\nkind = 'cents_per_gross_bushel'\ncharge = { per_step = 3 }\n\
         [[average]]\nfactor = 'moisture'\nmost = 15.0\n",
    );
    let loads = [
        load(56_000.0, &[("moisture", "13.0")]),
        load(28_000.0, &[("moisture", "15.0")]),
        load(56_000.0, &[("moisture", "15.1")]),
    ];
    let lot = settle_many(&loads, &schedule, at("4")).unwrap();
    let used: Vec<Decimal> = lot
        .loads
        .iter()
        .map(|load| load.lines[0].value.unwrap().round_dp(4))
        .collect();
    // (13 x 2 + 15 x 1) / 3
    assert_eq!(used, [d("13.6667"), d("13.6667"), d("15.1")]);
    assert_eq!(
        lot.loads[1].discounts,
        Money::ZERO,
        "the dry load pays for the damp one"
    );
    assert!(matches!(
        lot.loads[0].findings[0],
        SettleFinding::Averaged { loads: 2, .. }
    ));
    assert!(lot.loads[2].findings.is_empty());
    let alone: Vec<_> = loads
        .iter()
        .map(|load| settle(load, &schedule, at("4")).unwrap())
        .collect();
    assert!(lot.net.unwrap() > alone.iter().map(|load| load.net.unwrap()).sum());
}

#[test]
fn sunflower_settles_by_the_hundredweight() {
    let schedule: Schedule = toml::from_str(
        "name = 'oil'\nbuyer = 'crusher'\ncontract = 'cash'\ncrop = 'sunflower-oil'\nbase_moisture_pct = 10\nunit = 'cwt'\nunit_lb = 100",
    )
    .unwrap();
    let ticket = Ticket::of_net(Crop::SunflowerOil, Mass::from_lb(31_250.0).unwrap());
    let settled = settle(&ticket, &schedule, at("20.00")).unwrap();
    assert_eq!(
        (settled.net_units, settled.net),
        (d("312.50"), Some(money("$6,250.00")))
    );
    assert_eq!(
        settled.buyers_bushels(),
        None,
        "hundredweights are not bushels"
    );
}

#[test]
fn an_audit_names_the_line_that_differs() {
    let ticket = load(
        56_000.0,
        &[
            ("moisture", "17.2"),
            ("foreign_material", "1.4"),
            ("storage_days", "31"),
        ],
    );
    let settled = settle(&ticket, &corn(FULL), at("4.00")).unwrap();
    let as_printed = |line: &grain::SettledLine| PrintedLine {
        name: line.name.clone(),
        units: (!line.units.is_zero()).then_some(line.units),
        money: (!line.money.is_zero())
            .then(|| Money::from_decimal(line.money, MoneyRounding::HalfUp).unwrap()),
    };
    let mut printed = Printed {
        gross_units: Some(settled.gross_units),
        net_units: Some(settled.net_units),
        gross_value: settled.gross_value,
        net: settled.net,
        lines: settled.lines.iter().map(as_printed).collect(),
    };
    assert!(audit(&settled, &printed).agrees());
    // six half points charged for five
    let drying = printed
        .lines
        .iter_mut()
        .find(|line| line.name == "drying")
        .unwrap();
    drying.money = Some(money("-$150.00"));
    printed.net = Some(settled.net.unwrap() - money("$25.00"));
    let found = audit(&settled, &printed);
    assert_eq!(found.differences.len(), 2);
    assert_eq!(found.differences[0].line, "drying");
    assert_eq!(found.differences[0].factor, Some(Factor::Moisture));
    assert_eq!(found.differences[0].difference, d("-25"));
    assert_eq!(found.net_difference, Some(money("-$25.00")));
    printed.lines.retain(|line| line.name != "storage");
    printed.lines.push(PrintedLine {
        name: "weighing".into(),
        ..Default::default()
    });
    let found = audit(&settled, &printed);
    assert_eq!(
        (found.not_printed, found.not_in_schedule),
        (vec!["storage".to_owned()], vec!["weighing".to_owned()])
    );
}

#[test]
fn a_schedule_survives_json_and_toml() {
    let schedule = corn(FULL);
    let json = serde_json::to_string(&schedule).unwrap();
    assert_eq!(serde_json::from_str::<Schedule>(&json).unwrap(), schedule);
    let text = toml::to_string(&schedule).unwrap();
    assert_eq!(toml::from_str::<Schedule>(&text).unwrap(), schedule);
    let settled = settle(&load(56_000.0, &[("moisture", "16")]), &schedule, at("4")).unwrap();
    let json = serde_json::to_string(&settled).unwrap();
    assert_eq!(serde_json::from_str::<Settlement>(&json).unwrap(), settled);
}

#[test]
fn nonsense_is_refused_in_one_sentence() {
    let good = load(56_000.0, &[("moisture", "16")]);
    for (more, word) in [
        ("step = 0\ncharge = { per_step = 1 }", "step"),
        ("to = 14\ncharge = { per_step = 1 }", "free side"),
        (
            "charge = { banded = { reading = 'marginal', bands = [{ to = 17, rate = 1 }, { to = 16, rate = 2 }] } }",
            "band 2",
        ),
        ("charge = { piecewise = [] }", "empty table"),
        ("charge = 'whole_excess'", "weight"),
    ] {
        let schedule = corn(&format!(
            "[[line]]\nfactor = 'moisture'\nwhen = 'above'\nfrom = 15\nkind = 'flat_cents'\n{more}"
        ));
        let text = settle(&good, &schedule, None).unwrap_err().to_string();
        assert!(text.contains(word) && text.contains("'invented'"), "{text}");
    }
    let plain = corn("");
    assert!(settle(&load(0.0, &[]), &plain, None).is_err());
    assert!(settle(&load(1.0, &[("moisture", "143")]), &plain, None).is_err());
    assert!(settle(&good, &plain, at("-1")).is_err());
    let beans = Ticket::of_net(Crop::Soybean, Mass::from_lb(1.0).unwrap());
    assert!(
        settle(&beans, &plain, None)
            .unwrap_err()
            .to_string()
            .contains("soybean")
    );
}

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
