//! A slip that looks wrong: its figures as typed, beside what its wagon had before.

use super::says::{begins, likely, slip_name};
use crate::dates;
use crate::figures::{self, Set};
use crate::look::Look;
use crate::text::{Markup, Text};
use desk::night::{Evening, Suspicion};

/// One figure of the slip.
pub(crate) struct Row {
    /// What it is.
    pub(crate) label: String,
    /// As typed.
    pub(crate) typed: String,
    /// Whether it was worked out.
    pub(crate) worked_out: bool,
    /// Whether it is the odd one.
    pub(crate) odd: bool,
    /// What this wagon had before.
    pub(crate) habit: String,
    /// Whether the figure lies outside of that.
    pub(crate) outside: bool,
}

/// The slip, paper and entry.
pub(crate) struct View {
    /// The slip's name.
    pub(crate) name: String,
    /// The same where a sentence begins with it.
    pub(crate) begins: String,
    /// Its entry.
    pub(crate) entry: String,
    /// When it was written down, in words.
    pub(crate) when: String,
    /// Its photograph.
    pub(crate) photograph: Option<String>,
    /// Its figures that have a habit or look odd.
    pub(crate) rows: Vec<Row>,
    /// The rest of them, in one line.
    pub(crate) rest: Vec<Row>,
    /// How far it is off, in a sentence.
    pub(crate) off: Markup,
    /// What may have happened, the most likely first.
    pub(crate) perhaps: Vec<Markup>,
    /// Slips that no test tells from it.
    pub(crate) alike: String,
    /// A question about it that is open: its entry.
    pub(crate) question: Option<String>,
    /// The figure where the mistake likely sits.
    pub(crate) odd: Option<String>,
}

/// What a figure is called on a page.
pub(crate) fn label(text: Text, figure: &str) -> String {
    match figure {
        "gross" => text.say("Gross"),
        "tare" => text.say("Tare"),
        "net" => text.say("Net"),
        "monitor" => text.say("Monitor"),
        "moisture" => text.say("Moisture"),
        "test-weight" => text.say("Test weight"),
        "from" => text.say("From"),
        "to" => text.say("To"),
        "field" => text.say("Field"),
        "crop" => text.say("Crop"),
        "number" => text.say("Number"),
        "machine" => text.say("Combine"),
        "full" => text.say("How full"),
        "buyer" => text.say("Buyer"),
        "terms" => text.say("Terms"),
        "meter" => text.say("Meter"),
        "weight" => text.say("Weight"),
        other => {
            let mut word = other.replace(['-', '_'], " ");
            if let Some(first) = word.get_mut(..1) {
                first.make_ascii_uppercase();
            }
            return text.say(&word).into_owned();
        }
    }
    .into_owned()
}

/// Most ways in which a slip may be wrong that a page lists.
const PERHAPS: usize = 3;

/// Figures that say money: helpers see grain only.
const MONEY: [&str; 4] = ["terms", "contract", "price", "account"];

/// `money` says whether its terms and price are shown too.
pub(crate) fn view(look: Look, evening: &Evening, one: &Suspicion, money: bool) -> View {
    let text = look.text;
    let crop = one.crop.as_deref().unwrap_or("");
    let apart = if one.off_by.value < 0.0 {
        one.off_by.times(-1.0)
    } else {
        one.off_by
    };
    let off: Set = figures::grain(look, crop, one.in_bushels, apart);
    let (rows, rest): (Vec<Row>, Vec<Row>) = one
        .figures
        .iter()
        .filter(|figure| money || !MONEY.contains(&figure.figure.as_str()))
        .map(|figure| Row {
            label: if figure.worked_out {
                text.fill("{0}, worked out", &[&label(text, &figure.figure)])
            } else {
                label(text, &figure.figure)
            },
            typed: figure.typed.join(", "),
            worked_out: figure.worked_out,
            odd: figure.odd,
            habit: figure.habit.as_ref().map_or_else(String::new, |habit| {
                match (habit.slips, habit.lowest == habit.highest) {
                    (1, _) => text.fill("{0}, once", &[&habit.lowest]),
                    (slips, true) => text.fill("{0}, {1} times", &[&habit.lowest, &slips]),
                    (slips, false) => text.fill(
                        "{0} to {1}, {2} times",
                        &[&habit.lowest, &habit.highest, &slips],
                    ),
                }
            }),
            outside: figure.habit.as_ref().is_some_and(|habit| habit.outside),
        })
        .partition(|row| row.odd || !row.habit.is_empty());
    let perhaps = one
        .likely
        .iter()
        .take(PERHAPS)
        .map(|mistake| {
            let of_ten = desk::reader::of_ten(mistake.chance);
            let odds = match of_ten {
                0 => text.say("under 1 in 10").into_owned(),
                // nothing here is certain: what was not thought of is always left
                10 => text.say("over 9 in 10").into_owned(),
                some => text.fill("{0} in 10", &[&some]),
            };
            let change = figures::grain(
                look,
                crop,
                mistake.in_bushels,
                figures::exact(mistake.change.abs()),
            );
            text.mark(
                "{0} {1}: {2}; it would change {3}.",
                &[
                    Markup(draw::tally(of_ten, &odds)),
                    Markup::plain(&odds),
                    figures::bold(likely(text, mistake)),
                    change.markup(),
                ],
            )
        })
        .collect();
    View {
        begins: begins(&slip_name(text, &one.slip)),
        name: slip_name(text, &one.slip),
        entry: one.entry.clone().unwrap_or_default(),
        when: one.at_ms.map_or_else(String::new, |at_ms| {
            dates::moment(text, &evening.zone, at_ms)
        }),
        photograph: one.photograph.clone(),
        rows,
        off: if one.off_by.value < 0.0 {
            text.mark(
                "It says {0} less than everything else does.",
                &[off.markup()],
            )
        } else {
            text.mark(
                "It says {0} more than everything else does.",
                &[off.markup()],
            )
        },
        rest,
        perhaps,
        alike: one
            .alike
            .iter()
            .map(|slip| slip_name(text, slip))
            .collect::<Vec<_>>()
            .join(", "),
        question: one.question.clone(),
        odd: one
            .figures
            .iter()
            .find(|figure| figure.odd && !figure.worked_out)
            .map(|figure| figure.figure.clone()),
    }
}
