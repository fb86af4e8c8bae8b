//! What stands in the margin of the evening: still to write, counts, stops, copies, what else to look at.

use super::ruler::stop_word;
use super::says::slip_name;
use crate::dates;
use crate::figures;
use crate::look::Look;
use crate::text::{Markup, Text, escape};
use desk::night::{Evening, LookAt};

/// One photograph that nobody typed.
pub(super) struct Untyped {
    /// Where it is typed.
    pub(super) href: String,
    /// When and by whom.
    pub(super) says: String,
    /// The photograph itself; none where its bytes have not come yet.
    pub(super) sha256: Option<String>,
}

/// Photographs to type from, the oldest first.
pub(super) fn untyped(look: Look, evening: &Evening) -> Vec<Untyped> {
    let text = look.text;
    evening
        .untyped
        .iter()
        .map(|one| Untyped {
            href: format!("/night/ticket/{}", one.sha256),
            says: text.fill(
                "{0}, {1}",
                &[&dates::moment(text, &evening.zone, one.at_ms), &one.author],
            ),
            sha256: (one.there != Some(false)).then(|| one.sha256.clone()),
        })
        .collect()
}

/// Load cards missing from their pads.
pub(super) fn cards(text: Text, evening: &Evening) -> Vec<Markup> {
    evening
        .missing_cards
        .iter()
        .map(|one| {
            let numbers = figures::bold(one.numbers.join(", "));
            let machine = Markup::plain(&one.machine);
            if one.numbers.len() == 1 {
                text.mark(
                    "Load card {0} is missing from the pad of {1}.",
                    &[numbers, machine],
                )
            } else {
                text.mark(
                    "Load cards {0} are missing from the pad of {1}.",
                    &[numbers, machine],
                )
            }
        })
        .collect()
}

/// What phones wrote and could not be read.
pub(super) fn unread(text: Text, evening: &Evening) -> Vec<Markup> {
    evening
        .unread
        .iter()
        .map(|one| {
            let words: Vec<String> = one
                .figures
                .iter()
                .map(|(name, texts)| format!("{name} {}", texts.join(", ")))
                .collect();
            text.mark(
                "{0} wrote at {1}: {2}. It could not be read: {3}. {4}",
                &[
                    Markup::plain(&one.author),
                    Markup::plain(dates::moment(text, &evening.zone, one.at_ms)),
                    figures::hand(words.join("; ")),
                    Markup::plain(text.say(&one.why)),
                    Markup(format!(
                        "<a href=\"/entry/{}\">{}</a>",
                        escape(&one.entry),
                        escape(&text.say("Write it anew"))
                    )),
                ],
            )
        })
        .collect()
}

/// The stops of the day in a sentence; none where the machine did not stand.
pub(super) fn stops(text: Text, evening: &Evening) -> Option<Markup> {
    let stops = &evening.stops;
    if stops.by_why.is_empty() && stops.running.is_none() {
        return None;
    }
    let causes: Vec<String> = stops
        .by_why
        .iter()
        .map(|one| {
            format!(
                "{} {}",
                stop_word(text, one.why),
                dates::lasted(text, one.minutes)
            )
        })
        .collect();
    let mut lines = vec![text.mark(
        "{0}: {1}.",
        &[
            figures::bold(dates::lasted(text, stops.minutes)),
            Markup::plain(causes.join(", ")),
        ],
    )];
    if let (Some(hour), Some(worth)) = (&stops.hour, &stops.broke_worth) {
        lines.push(text.mark(
            "Broken or plugged {0}: {1} at {2} an hour.",
            &[
                Markup::plain(dates::lasted(text, stops.broke_minutes)),
                figures::bold(worth),
                figures::hand(hour),
            ],
        ));
    }
    if let Some(cost) = &stops.cost {
        lines.push(text.mark("Parts and labor {0}.", &[figures::hand(cost)]));
    }
    if let Some(since) = stops.running_since_ms {
        lines.push(text.mark(
            "One still runs, since {0}.",
            &[Markup::plain(dates::moment(text, &evening.zone, since))],
        ));
    }
    Some(super::says::joined(lines))
}

/// How old the last copy off this machine is.
pub(super) fn copied(text: Text, evening: &Evening) -> Markup {
    match &evening.copy {
        None => Markup(format!(
            "<b>{}</b>",
            escape(&text.say("None was ever written down."))
        )),
        Some(copy) => {
            let age = match copy.days {
                0 => text.say("Today.").into_owned(),
                1 => text.say("1 day ago.").into_owned(),
                days => text.fill("{0} days ago.", &[&days]),
            };
            text.mark(
                "{0} {1}, {2} entries.",
                &[
                    figures::bold(age),
                    figures::hand(&copy.kept_at),
                    Markup::plain(figures::number(
                        f64::from(u32::try_from(copy.entries).unwrap_or(u32::MAX)),
                        0,
                    )),
                ],
            )
        }
    }
}

/// What else a person should look at.
pub(super) fn look_at(text: Text, evening: &Evening) -> Vec<Markup> {
    evening
        .look_at
        .iter()
        .map(|one| look_line(text, one))
        .collect()
}

fn link(id: &str, words: &str) -> Markup {
    Markup(format!(
        "<a href=\"/entry/{}\">{}</a>",
        escape(id),
        escape(words)
    ))
}

fn look_line(text: Text, one: &LookAt) -> Markup {
    let entry = text.say("entry");
    match one {
        LookAt::Conflict { entry: id, wordings } => text.mark(
            "{0} was corrected {1} times without knowing of each other; the last holds.",
            &[link(id, &text.say("An entry")), Markup::plain(wordings)],
        ),
        LookAt::NeedsNewer { entry: id, kind } => text.mark(
            "{0} ({1}) needs a newer stook; it is kept.",
            &[link(id, &text.say("An entry")), Markup::plain(kind)],
        ),
        LookAt::ClockOdd { entry: id, minutes } => text.mark(
            "The clock of {0} is off by {1} minutes.",
            &[
                link(id, &text.say("an entry")),
                Markup::plain(figures::number(*minutes, 0)),
            ],
        ),
        LookAt::ClockOff {
            device,
            minutes,
            entries,
        } => text.mark(
            "The clock of {0} was off by {1} minutes when it sent {2} entries; they keep what it said.",
            &[
                figures::bold(device),
                Markup::plain(minutes),
                Markup::plain(entries),
            ],
        ),
        LookAt::SetAside { slip, why } => text.mark(
            "{0} is not in the record: {1}.",
            &[
                figures::bold(slip_name(text, slip)),
                Markup::plain(text.say(why)),
            ],
        ),
        LookAt::NoWeight { slip, entry: id } => {
            let name = slip_name(text, slip);
            text.mark(
                "{0} has no weight, and nothing later weighed it.",
                &[match id {
                    Some(id) => link(id, &name),
                    None => figures::bold(name),
                }],
            )
        }
        LookAt::Slip { slip, what } => text.mark(
            "{0}: {1}.",
            &[
                figures::bold(slip_name(text, slip)),
                Markup::plain(text.say(what)),
            ],
        ),
        LookAt::TermsBlank { number, entry: id } => {
            let name = match number {
                Some(number) => text.fill("Ticket {0}", &[number]),
                None => text.say("A ticket without a number").into_owned(),
            };
            text.mark(
                "{0} does not say sell, store or price later: ask.",
                &[link(id, &name)],
            )
        }
        LookAt::NumberTwice {
            machine,
            number,
            entries,
        } => {
            let links: Vec<String> = entries.iter().map(|id| link(id, &entry).0).collect();
            text.mark(
                "Two load cards of {0} carry the number {1}: {2}.",
                &[
                    figures::bold(machine),
                    figures::bold(number),
                    Markup(links.join(" ")),
                ],
            )
        }
        LookAt::Assumed { what } => Markup::plain(text.say(what)),
    }
}
