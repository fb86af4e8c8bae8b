//! Stops: what their ends tell, what the bill counts, what Morning and Night say of them.

use crate::farm::{Yard, at, tonight};
use desk::morning::morning;
use desk::stops::{StopLine, StopsAsked, StopsReport, report};

fn season(yard: &Yard, hour_usd: Option<f64>) -> StopsReport {
    let asked = StopsAsked {
        season: 2026,
        hour_usd,
        ..StopsAsked::default()
    };
    report(&yard.farm(), &asked, at("2026-10-06 21:00")).unwrap()
}

/// A stop of twenty minutes and its end.
fn ended(yard: &mut Yard, begun: &[(&str, &str)], end: &[(&str, &str)]) -> StopLine {
    let stop = yard.write("2026-10-06 14:00", "stop", begun).to_string();
    let mut figures = vec![("stop", stop.as_str())];
    figures.extend_from_slice(end);
    yard.write("2026-10-06 14:20", "go", &figures);
    let told = season(yard, None);
    told.stops
        .into_iter()
        .find(|one| one.entry == stop)
        .unwrap()
}

#[test]
fn an_end_tells_what_the_beginning_left_out() {
    let mut yard = Yard::planted();
    let one = ended(
        &mut yard,
        &[("why", "other")],
        &[
            ("why", "breakdown"),
            ("part", "feeder chain"),
            ("cost", "$420"),
            ("remark", "new chain"),
        ],
    );
    assert_eq!((one.why, one.minutes), ("breakdown", Some(20)));
    assert_eq!(one.part.as_deref(), Some("feeder chain"));
    assert_eq!(one.cost_usd, Some(420.0));
    assert_eq!(one.done, ["new chain"]);
    assert!(one.otherwise_whys.is_empty() && one.otherwise_costs_usd.is_empty());
    // and it counts as a breakdown where that matters
    let told = season(&yard, None);
    assert_eq!((told.broke_hours, told.cost_usd), (20.0 / 60.0, 420.0));
    assert_eq!(
        tonight(&yard, "2026-10-06 21:00").stops.by_why[0].why,
        "breakdown"
    );
}

#[test]
fn where_both_said_something_both_are_shown_and_the_first_counts() {
    let mut yard = Yard::planted();
    let one = ended(
        &mut yard,
        &[("why", "plug"), ("part", "belt"), ("cost", "$20")],
        &[("why", "breakdown"), ("part", "shaft"), ("cost", "$600")],
    );
    assert_eq!(
        (one.why, one.part.as_deref(), one.cost_usd),
        ("plug", Some("belt"), Some(20.0))
    );
    assert_eq!(one.otherwise_whys, ["breakdown"]);
    assert_eq!(one.otherwise_parts, ["shaft"]);
    assert_eq!(one.otherwise_costs_usd, [600.0]);
    let told = season(&yard, None);
    assert_eq!(
        told.cost_usd, 20.0,
        "two tellings of one cost are not added"
    );
    let note = told.notes.iter().find(|one| one.contains("its end says"));
    let note = note.expect("both are said");
    for word in [
        "breakdown, not plug",
        "shaft, not belt",
        "$600.00, not $20.00",
        "stook mend",
    ] {
        assert!(note.contains(word), "{note}");
    }
    // the same said twice is said once
    let same = ended(
        &mut yard,
        &[("why", "plug"), ("part", "belt")],
        &[("why", "plug"), ("part", "belt")],
    );
    assert!(same.otherwise_whys.is_empty() && same.otherwise_parts.is_empty());
}

/// 60 minutes broken and 30 plugged, 15 of them at once: 75 minutes at $180 are $225, and $50 of parts;
/// 45 minutes of wagons and 30 of rest are no repair, nor is what grease cost.
#[test]
fn the_bill_counts_what_broke_or_plugged() {
    let mut yard = Yard::planted();
    for (when, why, minutes, cost) in [
        ("2026-10-06 10:00", "breakdown", "60", "$50"),
        ("2026-10-06 10:45", "plug", "30", ""),
        ("2026-10-06 12:00", "wagon", "45", ""),
        ("2026-10-06 13:00", "rest", "30", ""),
        ("2026-10-06 14:00", "fuel-grease", "10", "$12"),
    ] {
        let figures = [("why", why), ("minutes", minutes), ("cost", cost)];
        yard.write(when, "stop", &figures);
    }
    let told = season(&yard, Some(180.0));
    assert_eq!((told.broke_hours, told.bill_usd), (1.25, Some(275.0)));
    assert!(
        (told.other_hours - 85.0 / 60.0).abs() < 1e-12,
        "{}",
        told.other_hours
    );
    assert_eq!((told.cost_usd, told.other_cost_usd), (50.0, 12.0));
    assert!(
        told.sentence
            .contains("broken or plugged 1.2 hours and $275, other standing 1.4 hours"),
        "{}",
        told.sentence
    );
    assert!(
        told.notes
            .iter()
            .any(|one| one.contains("$12.00 written with other stops")),
        "{:?}",
        told.notes
    );
}

#[test]
fn night_has_money_only_where_the_owner_gave_a_value_of_an_hour() {
    let mut yard = Yard::planted();
    let broken = [("why", "breakdown"), ("minutes", "50")];
    yard.write("2026-10-06 10:00", "stop", &broken);
    yard.write(
        "2026-10-06 12:00",
        "stop",
        &[("why", "wagon"), ("minutes", "45")],
    );
    let stops = tonight(&yard, "2026-10-06 21:00").stops;
    assert_eq!((stops.minutes, stops.broke_minutes), (95, 50));
    assert_eq!((stops.hour, stops.broke_worth), (None, None));
    let hour = [("season", "2026"), ("hour", "$185"), ("day-begins", "5")];
    yard.write("2026-10-06 20:00", "season", &hour);
    let now = tonight(&yard, "2026-10-06 21:00");
    // 185 x 50 / 60 = 154.1666...
    assert_eq!(now.stops.hour.as_deref(), Some("$185.00"));
    assert_eq!(now.stops.broke_worth.as_deref(), Some("$154.17"));
    assert!(now.why.iter().any(|one| one.value == "$154.17"));
    // the season's report takes it too; what is asked for goes before it
    assert_eq!(season(&yard, None).hour_usd, Some(185.0));
    assert_eq!(season(&yard, Some(60.0)).bill_usd, Some(50.0));
    // written again for something else, the season keeps it
    yard.write(
        "2026-10-06 20:30",
        "season",
        &[("season", "2026"), ("day-begins", "3")],
    );
    let farm = yard.farm();
    assert_eq!(farm.day_begins(2026), 3);
    assert_eq!(season(&yard, None).hour_usd, Some(185.0));
    yard.write(
        "2026-10-06 20:40",
        "season",
        &[("season", "2026"), ("hour", "$190")],
    );
    assert_eq!(
        yard.farm().day_begins(2026),
        3,
        "setting one does not unset the other"
    );
}

#[test]
fn morning_says_a_stop_that_nobody_ended() {
    let mut yard = Yard::planted();
    let see = |yard: &Yard| {
        morning(&yard.farm(), at("2026-10-07 07:00"))
            .unwrap()
            .open_stops
    };
    assert!(see(&yard).is_empty());
    let late = yard.write(
        "2026-10-06 18:00",
        "stop",
        &[("machine", "combine"), ("why", "breakdown")],
    );
    let now = yard.write("2026-10-07 06:30", "stop", &[("why", "fuel-grease")]);
    let open = see(&yard);
    let told: Vec<_> = open
        .iter()
        .map(|one| (one.entry.as_str(), one.why, one.ended))
        .collect();
    assert_eq!(
        told,
        [
            (now.to_string().as_str(), "fuel_grease", false),
            (late.to_string().as_str(), "breakdown", false)
        ]
    );
    assert_eq!(open[1].machine.as_deref(), Some("combine"));
    assert_eq!(open[1].since_ms, at("2026-10-06 18:00"));
    // ended the next day it still asks how long it stood; ended on its own day it is done
    yard.write("2026-10-07 06:50", "go", &[("stop", &late.to_string())]);
    assert!(see(&yard)[1].ended);
    yard.write("2026-10-06 18:40", "go", &[("stop", &late.to_string())]);
    assert_eq!(see(&yard).len(), 1);
}

#[test]
fn morning_foretells_from_a_record_only() {
    let mut yard = Yard::planted();
    let see = |yard: &Yard| morning(&yard.farm(), at("2026-10-07 07:00")).unwrap();
    yard.dump("2026-10-06 13:00", "1", "Bench", "Gravity 1", "8,000 lb");
    assert_eq!(
        see(&yard).foretold,
        None,
        "no stop is written: nothing but a published rate"
    );
    yard.write(
        "2026-10-06 14:00",
        "stop",
        &[("why", "breakdown"), ("minutes", "90")],
    );
    let now = see(&yard);
    let line = now.foretold.unwrap();
    assert_eq!(
        (line.acres_left, line.acres_cut, line.seen),
        (78.0, 30.0, 1)
    );
    assert!(line.hours.low <= line.hours.value && line.hours.value < line.hours.high);
    // a negative binomial of 2.5 stops on 332.6 + 30 acres, none on 78 more
    let acres = 332.604_8 + 30.0;
    assert!((line.p_none - (acres / (acres + 78.0_f64)).powf(2.5)).abs() < 1e-4);
    assert!(
        now.why
            .iter()
            .any(|one| one.figure == "breakdowns on 100 acres")
    );
    // the harvest is over: nothing is foretold
    let later = morning(&yard.farm(), at("2026-12-07 07:00")).unwrap();
    assert_eq!(later.foretold, None);
}

/// The yard grows soybeans and sorghum: sorghum takes the soybean's rate, and the report says so.
#[test]
fn a_borrowed_rate_is_said() {
    let mut yard = Yard::planted();
    yard.dump("2026-10-06 13:00", "1", "Eighty", "Gravity 1", "8,000 lb");
    let told = season(&yard, None);
    let rate = told.breakdowns.as_ref().unwrap();
    assert_eq!(rate.starts_from, "soybeans");
    assert_eq!(rate.stands_in_for.len(), 1);
    let word = &rate.stands_in_for[0];
    let said = format!("The published rate is that of soybeans and stands in for {word} too");
    assert!(
        told.notes.iter().any(|one| one.starts_with(&said)),
        "{:?}",
        told.notes
    );
    let inputs = &told.why[0].inputs;
    for pair in [
        ("prior of", "soybeans"),
        ("which stands in for", word.as_str()),
    ] {
        assert!(
            inputs.contains(&(pair.0.to_owned(), pair.1.to_owned())),
            "{inputs:?}"
        );
    }
}
