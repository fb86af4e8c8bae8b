//! The report in English: its sentence, what else to know, where its figures came from.

use super::report::{StopLine, StopsReport};
use crate::Why;

pub(super) fn sentence(report: &StopsReport) -> String {
    if report.stops.is_empty() {
        return "No stop is written for this season; that is not to say that it never stood."
            .to_owned();
    }
    let bill = report
        .bill_usd
        .map_or_else(String::new, |usd| format!(" and ${usd:.0}"));
    let first = report
        .causes
        .first()
        .filter(|_| !report.too_few)
        .map_or_else(String::new, |cause| {
            format!(
                "; longest in all: {} ({:.1} h)",
                cause.why.replace('_', " and "),
                cause.hours
            )
        });
    format!(
        "{} took {:.1} hours: broken or plugged {:.1} hours{bill}, other standing {:.1} hours{first}.",
        match report.stops.len() {
            1 => "One stop".to_owned(),
            some => format!("{some} stops"),
        },
        report.hours,
        report.broke_hours,
        report.other_hours
    )
}

pub(super) fn notes(report: &StopsReport) -> Vec<String> {
    let mut out = Vec::new();
    for one in report.stops.iter().filter(|one| one.asks) {
        out.push(format!(
            "The stop of {} ({}) has no end on its own day, and the night is not counted: when did it end? Write its minutes: stook mend {} --set minutes=45 --reason WHY",
            one.at, one.why.replace('_', "-"), one.entry
        ));
    }
    for one in report.stops.iter().filter(|one| one.ends > 1) {
        out.push(format!(
            "The stop of {} was ended {} times; the earliest end stands, and all are kept.",
            one.at, one.ends
        ));
    }
    for one in &report.stops {
        out.extend(otherwise(one));
    }
    if report.too_few && !report.stops.is_empty() {
        out.push("Fewer than five stops: too few to say which cause is worst.".to_owned());
    }
    if !report.spares.is_empty() {
        out.push("A spare that is used costs nothing: it would have been bought anyway. One that is not used costs 20 % of its price a season unless you say otherwise, our default, a guess.".to_owned());
    }
    if report.bill_usd.is_none() && !report.stops.is_empty() {
        out.push(
            "Give what an hour of the machine and its crew costs, --an-hour 180, for money; stook write season --season YEAR --hour 180 keeps it for Night and this page."
                .to_owned(),
        );
    }
    if report.bill_usd.is_some() {
        out.push("The bill counts what broke or plugged, hours and parts; waiting for wagons, moving, weather, care, setting and rest are hours, not repairs.".to_owned());
    }
    if report.other_cost_usd > 0.0 {
        out.push(format!(
            "${:.2} written with other stops is not in that bill.",
            report.other_cost_usd
        ));
    }
    if let Some(one) = &report.breakdowns {
        if let Some(said) = stands_in(&one.starts_from, &one.stands_in_for) {
            out.push(format!("{said}."));
        }
        if one.acres_are_planted {
            out.push("Acres cut are taken to be the planted acres of the fields that were begun; write the acres cut to know better.".to_owned());
        }
        out.push("The rate starts from a published one, from memory, worth one and a half stops; repair times from our default, a guess. Ranges hold 8 cases in 10.".to_owned());
    }
    out
}

/// What an end of a stop told otherwise than its beginning, and what counts meanwhile.
fn otherwise(one: &StopLine) -> Option<String> {
    let mut said: Vec<String> = Vec::new();
    for why in &one.otherwise_whys {
        let (end, began) = (why.replace('_', "-"), one.why.replace('_', "-"));
        said.push(format!("it stood for {end}, not {began}"));
    }
    let part = one.part.as_deref().unwrap_or_default();
    for other in &one.otherwise_parts {
        said.push(format!("the part was {other}, not {part}"));
    }
    for other in &one.otherwise_costs_usd {
        let began = one.cost_usd.unwrap_or_default();
        said.push(format!("it cost ${other:.2}, not ${began:.2}"));
    }
    (!said.is_empty()).then(|| {
        format!(
            "The stop of {}: its end says that {}; what was written first counts until somebody corrects it: stook mend {} --set FIGURE=VALUE --reason WHY",
            one.at,
            said.join(" and that "),
            one.entry
        )
    })
}

/// For which crops a published rate stands in, if for any.
fn stands_in(from: &str, others: &[String]) -> Option<String> {
    (!others.is_empty()).then(|| {
        format!(
            "The published rate is that of {from} and stands in for {} too: only corn and soybeans have one, and the crop of most loads decides",
            others.join(", ")
        )
    })
}

pub(super) fn whys(report: &StopsReport) -> Vec<Why> {
    let Some(one) = &report.breakdowns else {
        return Vec::new();
    };
    let mut why = Why::new(
        "breakdowns on 100 acres",
        format!("{:.2}", one.on_100_ac.value),
        "(prior stops + breakdowns written) / (prior acres + acres cut) x 100",
        "gamma posterior of a Poisson rate; prior, worth 1.5 stops, from ASABE D497 reliability (from memory), which is of corn and soybeans only: the crop of most loads decides",
    )
    .with("breakdowns written", one.seen.to_string())
    .with("acres cut", format!("{:.0}", one.acres_cut))
    .with("prior of", one.starts_from.clone());
    if !one.stands_in_for.is_empty() {
        why = why.with("which stands in for", one.stands_in_for.join(", "));
    }
    vec![why]
}
