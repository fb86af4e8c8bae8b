//! Several things of a kind on one page: a row of blanks each, made from the book's own forms.

use super::steps::Step;
use super::{Again, draw};
use crate::pages::form::{Ask, Control, Question, Typed, blamed, questions};
use crate::text::{Markup, Text};
use crate::{Look, Refusal};
use askama::Template;
use desk::written::form;
use desk::{DeskError, Farm, ToWrite};

/// The blanks that a row has of one kind of entry.
struct Part {
    kind: &'static str,
    figures: &'static [&'static str],
    /// What is chosen before anybody chose.
    given: &'static [(&'static str, &'static str)],
}

const FIELD: Part = Part {
    kind: "field",
    figures: &["name", "planted", "unit"],
    given: &[],
};
const PLANTING: Part = Part {
    kind: "planting",
    figures: &["crop", "share"],
    given: &[],
};
const MACHINE: Part = Part {
    kind: "machine",
    figures: &["name", "tank", "monitor"],
    given: &[],
};
const HAND_METER: Part = Part {
    kind: "meter",
    figures: &["name", "kind"],
    given: &[("kind", "hand")],
};
const BUYERS_METER: Part = Part {
    kind: "meter",
    figures: &["name", "kind"],
    given: &[("kind", "buyer")],
};
const BUYER: Part = Part {
    kind: "buyer",
    figures: &["name", "location"],
    given: &[],
};
const fn place(given: &'static [(&'static str, &'static str)]) -> Part {
    Part {
        kind: "place",
        figures: &["name", "kind", "capacity", "tare"],
        given,
    }
}

/// In which order the blanks of a row stand.
const ORDER: [&str; 10] = [
    "name", "kind", "planted", "crop", "unit", "share", "tank", "monitor", "capacity", "tare",
];

/// The rows of a step: the parts of each.
fn parts(step: Step) -> Vec<Vec<Part>> {
    match step {
        Step::Farm => Vec::new(),
        Step::Fields => (0..4).map(|_| vec![FIELD, PLANTING]).collect(),
        Step::Machines => vec![vec![MACHINE], vec![HAND_METER], vec![BUYERS_METER]],
        Step::Places => vec![
            vec![place(&[("kind", "wagon")])],
            vec![place(&[("kind", "wagon")])],
            vec![place(&[("kind", "truck")])],
            vec![place(&[("kind", "bin")])],
            vec![place(&[("kind", "pit")])],
            vec![place(&[("kind", "pit")])],
        ],
        Step::Buyer => vec![vec![BUYER], vec![BUYER]],
    }
}

/// What stands before the names of a part's blanks.
fn before(row: usize, part: &Part) -> String {
    format!("{}{}.", part.kind, row + 1)
}

/// One row as shown.
pub(super) struct Row {
    /// Its heading.
    pub(super) title: String,
    /// Its blanks.
    pub(super) questions: Vec<Question>,
    /// What is wrong with it as a whole.
    pub(super) wrong: Option<String>,
    /// Whether what is wrong is said in this row.
    pub(super) placed: bool,
    /// The corners drawn for it, of a field.
    pub(super) corners: Option<String>,
    /// Which row it is, from 1.
    pub(super) number: usize,
}

fn title(text: Text, kind: &str, number: usize) -> String {
    match kind {
        "field" => text.fill("Field {0}", &[&number]),
        "machine" => text.say("Combine").into_owned(),
        "meter" => text.say("Moisture meter").into_owned(),
        "place" => text.fill("Place {0}", &[&number]),
        _ => text.fill("Buyer {0}", &[&number]),
    }
}

/// The rows of a step, with what was typed in them.
pub(super) fn rows(
    step: Step,
    farm: &Farm,
    look: Look,
    again: &Again,
) -> Result<Vec<Row>, Refusal> {
    let text = look.text;
    let mut out = Vec::new();
    for (index, parts) in parts(step).into_iter().enumerate() {
        let mut row = Row {
            title: title(text, parts[0].kind, index + 1),
            questions: Vec::new(),
            wrong: None,
            placed: false,
            corners: None,
            number: index + 1,
        };
        for part in &parts {
            let form = form(part.kind)?;
            let before = before(index, part);
            let mut typed = again.typed.clone();
            for (name, text) in part.given {
                let name = format!("{before}{name}");
                if !typed.has(&name) {
                    typed.add(&name, *text);
                }
            }
            let wrong = again.wrong.as_ref().filter(|(at, _)| *at == before);
            let figures = typed.figures(form, &before);
            let sentence = wrong.map(|(_, why)| why.to_string());
            let blame = wrong.and_then(|(_, why)| blamed(why, form, &figures));
            let blame = blame.filter(|name| part.figures.contains(name));
            if let Some(sentence) = &sentence {
                row.placed = true;
                if blame.is_none() {
                    row.wrong = Some(text.say(sentence).into_owned());
                }
            }
            let ask = Ask {
                farm,
                look,
                typed: &typed,
                wrong: blame.zip(sentence.as_deref()),
                before: &before,
                mending: false,
            };
            let asked = questions(form, &ask, |name| part.figures.contains(&name));
            row.questions.extend(asked.into_iter().map(compact));
        }
        row.questions.sort_by_key(|question| {
            let figure = question.name.rsplit('.').next().unwrap_or_default();
            ORDER.iter().position(|known| *known == figure)
        });
        if step == Step::Fields {
            let name = draw::corners_name(index);
            row.corners = Some(again.typed.one(&name).unwrap_or_default().to_owned());
        }
        out.push(row);
    }
    Ok(out)
}

/// In a row choices fold into a list, and nothing must be given: a row without a name is none.
fn compact(mut question: Question) -> Question {
    question.must = false;
    question.seldom = false;
    question.control = match question.control {
        Control::One(options) => Control::List(options),
        other => other,
    };
    question
}

/// What the rows of a step say, as entries, each with what stands before its blanks. A row without
/// a name says nothing.
///
/// # Errors
/// Corners that are no outline, with their row.
pub(super) fn entries(
    step: Step,
    typed: &Typed,
    look: Look,
) -> Result<(Vec<String>, Vec<ToWrite>), (String, DeskError)> {
    let (mut places, mut out) = (Vec::new(), Vec::new());
    for (index, parts) in parts(step).into_iter().enumerate() {
        let first = before(index, &parts[0]);
        let name = typed.one(&format!("{first}name")).unwrap_or_default();
        let touched = parts.iter().any(|part| {
            part.figures
                .iter()
                .filter(|figure| part.given.iter().all(|(given, _)| given != *figure))
                .any(|figure| {
                    typed
                        .one(&format!("{}{figure}", before(index, part)))
                        .is_some()
                })
        });
        if !touched {
            continue;
        }
        for part in &parts {
            let before = before(index, part);
            let form = form(part.kind).map_err(|why| (before.clone(), why))?;
            let mut figures = typed.figures(form, &before);
            if part.kind == "planting" {
                // a field may stand without a crop yet, but not shares without one
                if figures.iter().next().is_none() {
                    continue;
                }
                figures.set("field", vec![name.to_owned()]);
            }
            if part.kind == "field" {
                draw::outlined(&mut figures, typed, index, look)
                    .map_err(|why| (before.clone(), why))?;
            }
            places.push(before);
            out.push(ToWrite {
                kind: part.kind.to_owned(),
                figures,
            });
        }
    }
    Ok((places, out))
}

#[derive(Template)]
#[template(path = "start_rows.html")]
struct Rows<'r> {
    text: Text,
    rows: &'r [Row],
}

/// The rows as markup.
pub(super) fn markup(text: Text, rows: &[Row]) -> Result<Markup, Refusal> {
    let made = Rows { text, rows }.render();
    made.map(Markup).map_err(|_| Refusal::broken())
}
