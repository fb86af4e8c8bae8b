//! The day as it went, on the hour ruler.

use super::says::slip_name;
use crate::dates;
use crate::look::Look;
use crate::text::{Markup, Text};
use desk::night::{Did, Evening, Ruler, Span, Tick, TickState};
use draw::{Finding, HourMark, HourRow, HourSpan, HourState, HourTick, Hours};

/// One line of the table behind the picture.
pub(super) struct Line {
    /// When, in words.
    pub(super) when: String,
    /// What.
    pub(super) what: String,
}

/// The picture and its table.
pub(super) struct View {
    /// The ruler.
    pub(super) picture: Markup,
    /// The same in words.
    pub(super) lines: Vec<Line>,
}

/// Why a combine stood, in words.
pub(in crate::pages) fn stop_word(text: Text, why: &str) -> String {
    match why {
        "wagon" => text.say("waited on a wagon"),
        "plug" => text.say("plugged"),
        "breakdown" => text.say("broke down"),
        "moving" => text.say("moved"),
        "fuel_grease" => text.say("fuel and grease"),
        "weather" => text.say("weather"),
        "setting" => text.say("setting"),
        "rest" => text.say("rest"),
        _ => text.say("something else"),
    }
    .into_owned()
}

/// None where nothing happened.
pub(super) fn view(look: Look, evening: &Evening) -> Option<View> {
    let text = look.text;
    let ruler = &evening.ruler;
    if ruler.spans.is_empty() && ruler.dumps.is_empty() && ruler.tickets.is_empty() {
        return None;
    }
    let mut rows = machines(text, ruler);
    if !ruler.dumps.is_empty() {
        rows.push(HourRow {
            name: text.say("Loads dumped").into_owned(),
            detail: text.fill("{0}, each by its number", &[&ruler.dumps.len()]),
            ticks: ruler.dumps.iter().map(|tick| mark(text, tick)).collect(),
            ..HourRow::default()
        });
    }
    if !ruler.tickets.is_empty() {
        let waits = ruler
            .tickets
            .iter()
            .filter(|tick| tick.state == TickState::Untyped)
            .count();
        let typed = ruler
            .tickets
            .iter()
            .filter(|tick| tick.state != TickState::Untyped);
        rows.push(HourRow {
            name: text.say("Tickets").into_owned(),
            detail: match waits {
                0 => text.fill("{0} typed", &[&typed.count()]),
                1 => text.fill("{0} typed, 1 waits", &[&typed.count()]),
                waits => text.fill("{0} typed, {1} wait", &[&typed.count(), &waits]),
            },
            ticks: ruler.tickets.iter().map(|tick| mark(text, tick)).collect(),
            ..HourRow::default()
        });
    }
    let title = text.fill(
        "{0} cutting, {1} stopped, {2} loads, {3} tickets.",
        &[
            &dates::lasted(text, ruler.cutting_minutes),
            &dates::lasted(text, ruler.stopped_minutes),
            &ruler.dumps.len(),
            &ruler.tickets.len(),
        ],
    );
    let hours = Hours {
        finding: Finding {
            title,
            desc: String::new(),
        },
        span: (ruler.from_h, ruler.to_h),
        marks: dates::hour_marks(text),
        figures: Vec::new(),
        corner: String::new(),
        right: String::new(),
        rows,
        now: None,
    };
    Some(View {
        picture: Markup(draw::both(|width| draw::hours(&hours, width))),
        lines: lines(text, evening),
    })
}

/// One row a combine; what nobody named stands in a row of its own.
fn machines(text: Text, ruler: &Ruler) -> Vec<HourRow> {
    let mut names: Vec<Option<&str>> = Vec::new();
    for span in &ruler.spans {
        let name = span.machine.as_deref();
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let several = names.len() > 1;
    names
        .into_iter()
        .map(|name| {
            let spans: Vec<&Span> = ruler
                .spans
                .iter()
                .filter(|span| span.machine.as_deref() == name)
                .collect();
            let mut fields: Vec<&str> = Vec::new();
            for span in &spans {
                if let Did::Cut { field, .. } = &span.did
                    && !fields.contains(&field.as_str())
                {
                    fields.push(field);
                }
            }
            let worked = text.fill(
                "{0} cutting, {1} not",
                &[
                    &dates::lasted(text, ruler.cutting_minutes),
                    &dates::lasted(text, ruler.stopped_minutes),
                ],
            );
            let mut detail = fields.join(", ");
            if !several {
                if !detail.is_empty() {
                    detail.push_str("; ");
                }
                detail.push_str(&worked);
            }
            HourRow {
                name: name.map_or_else(|| text.say("Combine").into_owned(), str::to_owned),
                detail,
                spans: spans.iter().map(|span| bar(span)).collect(),
                reasons: spans.iter().filter_map(|span| reason(text, span)).collect(),
                ..HourRow::default()
            }
        })
        .collect()
}

fn bar(span: &Span) -> HourSpan {
    let (state, word) = match &span.did {
        Did::Cut { field, .. } => (HourState::Cutting, field.clone()),
        Did::Stood { .. } | Did::Moved { .. } => (HourState::Stopped, String::new()),
    };
    HourSpan {
        from: span.from_h,
        to: span.to_h,
        state,
        word,
        hand: String::new(),
    }
}

fn reason(text: Text, span: &Span) -> Option<draw::Tick> {
    let says = match &span.did {
        Did::Cut { .. } => return None,
        Did::Stood { why, .. } => format!(
            "{} {}",
            stop_word(text, why),
            dates::lasted(text, span.minutes)
        ),
        Did::Moved { .. } => text.say("move").into_owned(),
    };
    Some(draw::Tick {
        at: span.from_h,
        text: says,
    })
}

fn mark(text: Text, tick: &Tick) -> HourTick {
    let number = tick.number.clone().unwrap_or_default();
    let (mark, word) = match tick.state {
        TickState::Typed => (HourMark::Plain, number),
        TickState::Untyped => (HourMark::Untyped, text.say("untyped").into_owned()),
        TickState::Suspect => (HourMark::Odd, format!("{number}?")),
    };
    HourTick {
        at: tick.at_h,
        text: word,
        mark,
    }
}

fn lines(text: Text, evening: &Evening) -> Vec<Line> {
    let zone = &evening.zone;
    let mut dated: Vec<(i64, String)> = Vec::new();
    for tick in &evening.ruler.dumps {
        let what = text.fill(
            "load {0}",
            &[&tick
                .number
                .clone()
                .unwrap_or_else(|| text.say("without a number").into_owned())],
        );
        dated.push((tick.at_ms, what));
    }
    for tick in &evening.ruler.tickets {
        let what = match (tick.state, &tick.number) {
            (TickState::Untyped, _) => text.say("ticket photographed, not typed").into_owned(),
            (_, Some(number)) => slip_name(text, &format!("ticket {number}")),
            (_, None) => text.say("ticket without a number").into_owned(),
        };
        let odd = if tick.state == TickState::Suspect {
            format!(" ({})", text.say("looks wrong"))
        } else {
            String::new()
        };
        dated.push((tick.at_ms, what + &odd));
    }
    dated.sort();
    let mut out: Vec<Line> = dated
        .into_iter()
        .map(|(at_ms, what)| Line {
            when: dates::clock(zone, at_ms),
            what,
        })
        .collect();
    for span in &evening.ruler.spans {
        let what = match &span.did {
            Did::Cut { field, .. } => text.fill("cut {0}", &[field]),
            Did::Stood { why, running: true } => text.fill("{0}, still", &[&stop_word(text, why)]),
            Did::Stood { why, .. } => stop_word(text, why),
            Did::Moved { to } => text.fill("moved to {0}", &[to]),
        };
        out.push(Line {
            when: dates::lasted(text, span.minutes),
            what,
        });
    }
    out
}
