//! Schedules of many shapes, with invented figures: reading, order, rounding, averaging, refusal,
//! audit and division.
#![expect(clippy::unwrap_used, reason = "a test helper may fail its test")]

mod sheets;

use facts::Crop;
use grain::{
    Factor, Outcome, Printed, PrintedLine, Schedule, SettleFinding, Settlement, Ticket, audit,
    settle, settle_many,
};
use quantity::{Mass, Money, MoneyRounding};
use rust_decimal::Decimal;
use sheets::{FULL, at, corn, d, load, sums_up};

fn money(text: &str) -> Money {
    Money::parse(text).unwrap()
}

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
