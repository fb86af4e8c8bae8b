//! Forms of paper: each figure of an entry as a question with a blank, made from the desk's one
//! definition ([`desk::written::FORMS`]), with the book's own names to choose from.
//!
//! What was typed stays as typed, also when it is refused: the sentence then stands at the figure
//! that it is about. Weights, moisture and ticket numbers are never filled in.

mod ask;
mod blame;
mod choices;
mod prefill;
mod typed;
mod words;

pub(crate) use ask::{Ask, Control, Question, questions};
pub(crate) use blame::blamed;
pub(crate) use prefill::prefilled;
pub(crate) use typed::Typed;
pub(crate) use words::{When, kind_title, kind_when};

use crate::text::{Markup, Text};
use askama::Template;

#[derive(Template)]
#[template(path = "form/questions.html")]
struct Questions<'q> {
    text: Text,
    questions: &'q [Question],
}

#[derive(Template)]
#[template(path = "form/seldom.html")]
struct Seldom {
    text: Text,
    open: bool,
    inside: Markup,
}

/// The questions as markup; seldom ones lie folded at the end, open where something was typed.
pub(crate) fn markup(text: Text, questions: Vec<Question>) -> Result<Markup, crate::Refusal> {
    let broken = |_| crate::Refusal::broken();
    let (seldom, usual): (Vec<_>, Vec<_>) = questions.into_iter().partition(|q| q.seldom);
    let mut out = Questions {
        text,
        questions: &usual,
    }
    .render()
    .map_err(broken)?;
    if !seldom.is_empty() {
        let open = seldom.iter().any(Question::touched);
        let inside = Markup(
            Questions {
                text,
                questions: &seldom,
            }
            .render()
            .map_err(broken)?,
        );
        out.push_str(&Seldom { text, open, inside }.render().map_err(broken)?);
    }
    Ok(Markup(out))
}
