//! What stands on wheels and in bins tonight, and what must move first.

use crate::dates;
use crate::figures::{self, Set};
use crate::look::Look;
use crate::text::{Markup, Text};
use desk::night::{Evening, HeldTonight};
use desk::{Held, MoveWhy};

/// One row.
pub(crate) struct Row {
    /// Where.
    pub(crate) place: String,
    /// What.
    pub(crate) what: String,
    /// Whether it must move before the others.
    pub(crate) first: bool,
    /// Why it should move.
    pub(crate) why: String,
    /// How much; none while nobody weighed it.
    pub(crate) amount: Option<Set>,
    /// Its moisture.
    pub(crate) moisture: Option<Set>,
    /// Filled when, covered or not, and how full.
    pub(crate) since: String,
    /// Its picture: how full, covered or not.
    pub(crate) wagon: Markup,
}

/// A crop's name in the reader's language.
pub(crate) fn crop(text: Text, name: &str) -> String {
    text.say(name).into_owned()
}

/// Why grain should move, in words.
pub(crate) fn move_why(text: Text, all: &[MoveWhy]) -> String {
    let words: Vec<String> = all
        .iter()
        .map(|why| match why {
            MoveWhy::Wet {
                moisture_pct,
                base_pct,
            } => text.fill(
                "{0} % is over its base of {1} %",
                &[
                    &figures::number(*moisture_pct, 1),
                    &figures::number(*base_pct, 1),
                ],
            ),
            MoveWhy::LongFilled { hours } => {
                text.fill("it has stood for {0} h", &[&figures::number(*hours, 0)])
            }
            MoveWhy::Open {} => text.say("it stands open").into_owned(),
        })
        .collect();
    words.join(", ")
}

/// When it was filled and how it is covered.
pub(crate) fn since(text: Text, zone: &str, held: &Held, hours: Option<f64>) -> String {
    const RECENT_H: f64 = 36.0;
    let mut parts = Vec::new();
    match (hours, held.last_ms) {
        (Some(hours), _) if (0.0..RECENT_H).contains(&hours) => {
            parts.push(text.fill("{0} h ago", &[&figures::number(hours, 0)]));
        }
        (_, Some(at_ms)) => {
            parts.push(dates::short(text, dates::local(zone, at_ms).date()));
        }
        _ => {}
    }
    if let Some(year) = held.carried_from {
        parts.push(text.fill("carried over from {0}", &[&year]));
    }
    match held.covered {
        Some(true) => parts.push(text.say("covered").into_owned()),
        Some(false) => parts.push(text.say("open").into_owned()),
        None if held.on_wheels => parts.push(text.say("cover not known").into_owned()),
        None => {}
    }
    parts.join(", ")
}

/// How full it is, drawn.
pub(crate) fn wagon(text: Text, held: &Held) -> Markup {
    if !held.on_wheels {
        return Markup::default();
    }
    let name = crop(text, &held.crop_name);
    let title = match held.full_percent {
        Some(percent) => text.fill(
            "{0}, {1} % full of {2}",
            &[&held.place, &figures::number(percent, 0), &name],
        ),
        None => text.fill("{0}, {1}, level not known", &[&held.place, &name]),
    };
    Markup(draw::wagon(&draw::Wagon {
        title,
        level: held.full_percent.map(desk::reader::level),
        covered: held.covered,
    }))
}

/// What it holds: crop, whose and from where.
pub(crate) fn what(text: Text, held: &Held) -> String {
    let mut out = crop(text, &held.crop_name);
    let mut from = held.fields.clone();
    if held.unknown_field {
        from.push(text.say("a field not written").into_owned());
    }
    if !from.is_empty() {
        out = text.fill("{0} off {1}", &[&out, &from.join(", ")]);
    }
    if held.unweighed > 0 {
        out = text.fill("{0}; {1} loads not weighed", &[&out, &held.unweighed]);
    }
    out
}

fn row(look: Look, zone: &str, one: &HeldTonight) -> Row {
    let text = look.text;
    let held = &one.held;
    let amount = match (one.dry_bu, held.dry_lb) {
        (Some(bu), _) => Some(figures::grain(look, &held.crop, true, bu)),
        (None, Some(lb)) => Some(figures::pounds(look, figures::exact(lb))),
        (None, None) => None,
    };
    Row {
        place: held.place.clone(),
        what: what(text, held),
        first: one.move_first,
        why: move_why(text, &one.why),
        amount,
        moisture: held.moisture_pct.map(figures::percent),
        since: since(text, zone, held, one.hours),
        wagon: wagon(text, held),
    }
}

pub(super) fn rows(look: Look, evening: &Evening) -> Vec<Row> {
    evening
        .held
        .iter()
        .map(|one| row(look, &evening.zone, one))
        .collect()
}
