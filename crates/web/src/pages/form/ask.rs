//! Each figure of an entry as a question: which blank it has, what there is to choose.

use super::choices::{blank, offers, options};
use super::typed::{Typed, UNIT};
use crate::Look;
use desk::Farm;
use desk::written::{Figure, Form, Given, Shape};

/// Up to so many choices stand open; more fold into a list.
const OPEN: usize = 6;
/// Blanks of a figure that may be given again, where nothing is typed yet.
const BLANKS: usize = 2;
/// Figures that few entries need.
const SELDOM: [&str; 20] = [
    "season",
    "step",
    "shared-tare",
    "scale",
    "doubt",
    "packing",
    "split",
    "not-emptied",
    "known-by",
    "practice",
    "farm-number",
    "tract",
    "field-number",
    "reported",
    "measured",
    "cut",
    "boundary",
    "takes",
    "schedule",
    "monitor-basis",
];

/// Something to choose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Opt {
    /// What is sent.
    pub(crate) value: String,
    /// What is read.
    pub(crate) label: String,
    /// Whether it is chosen.
    pub(crate) on: bool,
}

/// The blank of a question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Control {
    /// One line, or one line each time it is given.
    Line {
        /// Which keyboard a phone shows.
        mode: &'static str,
        /// What stands in it.
        texts: Vec<String>,
        /// The units to choose from.
        units: Vec<Opt>,
        /// Names that are offered while typing.
        offers: Vec<Opt>,
        /// Whether another line may be added.
        again: bool,
    },
    /// Several lines.
    Lines {
        /// What stands in it.
        text: String,
        /// Whether a file may be read into it.
        file: bool,
    },
    /// Choices that stand open, one of them.
    One(Vec<Opt>),
    /// Choices that stand open, any of them.
    Any(Vec<Opt>),
    /// Choices in a list.
    List(Vec<Opt>),
    /// Yes, or not.
    Flag(bool),
    /// Nothing to fill in: what the address said, if it did.
    Hidden(String),
}

/// One question of a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Question {
    /// The name that is sent.
    pub(crate) name: String,
    /// An id for the page.
    pub(crate) id: String,
    /// What is asked.
    pub(crate) label: String,
    /// What it is, with an example.
    pub(crate) help: String,
    /// What is wrong with what was typed.
    pub(crate) wrong: Option<String>,
    /// Whether it must be given.
    pub(crate) must: bool,
    /// Whether few need it.
    pub(crate) seldom: bool,
    /// Its blank.
    pub(crate) control: Control,
}

impl Question {
    /// Whether it is open choices, which need a group around them.
    pub(crate) fn grouped(&self) -> bool {
        matches!(self.control, Control::One(_) | Control::Any(_))
    }

    /// Whether anything is typed or wrong here.
    pub(crate) fn touched(&self) -> bool {
        let typed = match &self.control {
            Control::Line { texts, .. } => texts.iter().any(|text| !text.trim().is_empty()),
            Control::Lines { text, .. } => !text.trim().is_empty(),
            Control::One(options) | Control::Any(options) | Control::List(options) => options
                .iter()
                .any(|option| option.on && !option.value.is_empty()),
            Control::Flag(on) => *on,
            Control::Hidden(_) => false,
        };
        typed || self.wrong.is_some()
    }

    /// The ids of what describes the blank.
    pub(crate) fn described(&self) -> String {
        match self.wrong {
            Some(_) => format!("h-{0} e-{0}", self.id),
            None => format!("h-{}", self.id),
        }
    }
}

/// What a form asks about.
pub(crate) struct Ask<'a> {
    /// The farm, for names to choose.
    pub(crate) farm: &'a Farm,
    /// How it is read.
    pub(crate) look: Look,
    /// What was typed, or is prefilled.
    pub(crate) typed: &'a Typed,
    /// The figure that is wrong, and the sentence.
    pub(crate) wrong: Option<(&'a str, &'a str)>,
    /// Before every name: rows of one page.
    pub(crate) before: &'a str,
    /// Whether a correction is asked for: nothing must be given, and what is left blank stays.
    pub(crate) mending: bool,
}

/// The questions of a form; `keep` says which figures are asked for.
pub(crate) fn questions(form: &Form, ask: &Ask<'_>, keep: impl Fn(&str) -> bool) -> Vec<Question> {
    form.figures
        .iter()
        .filter(|figure| keep(figure.name))
        .map(|figure| question(form, figure, ask))
        .collect()
}

fn question(form: &Form, figure: &Figure, ask: &Ask<'_>) -> Question {
    let text = ask.look.text;
    let name = format!("{}{}", ask.before, figure.name);
    let many = matches!(figure.given, Given::MustMany | Given::Many | Given::Files);
    let must = !ask.mending && matches!(figure.given, Given::Must | Given::MustMany);
    Question {
        id: name.replace([' ', '.'], "-"),
        label: text.say(figure.label).into_owned(),
        help: text.say(figure.help).into_owned(),
        wrong: ask
            .wrong
            .filter(|(at, _)| *at == figure.name)
            .map(|(_, why)| text.say(why).into_owned()),
        must,
        seldom: !must && SELDOM.contains(&figure.name) && !ask.mending,
        control: control(form, figure, ask, &name, (must, many)),
        name,
    }
}

fn control(
    form: &Form,
    figure: &Figure,
    ask: &Ask<'_>,
    name: &str,
    (must, many): (bool, bool),
) -> Control {
    let typed = ask.typed;
    let one = || typed.one(name).unwrap_or_default().to_owned();
    if figure.given == Given::Flag {
        return Control::Flag(typed.one(name).is_some());
    }
    if figure.shape == Shape::Sha {
        return Control::Hidden(one());
    }
    if figure.shape == Shape::LongText {
        return Control::Lines {
            text: one(),
            file: matches!(figure.given, Given::File | Given::Files),
        };
    }
    let all = options(figure, ask.farm, form.kind, ask.look.text);
    if all.is_empty() {
        return line(figure, ask, name, many);
    }
    choice(all, &typed.many(name), ask, (must, many))
}

fn line(figure: &Figure, ask: &Ask<'_>, name: &str, many: bool) -> Control {
    let typed = ask.typed;
    let (mode, units) = blank(figure.shape, ask.look.metric());
    let unit = typed.one(&format!("{name}{UNIT}"));
    let mut texts: Vec<String> = typed.many(name).into_iter().map(str::to_owned).collect();
    texts.resize(
        texts.len().max(if many { BLANKS } else { 1 }),
        String::new(),
    );
    if !many {
        texts.truncate(1);
    }
    let as_is = |word: &&str| Opt {
        value: (*word).to_owned(),
        label: (*word).to_owned(),
        on: unit == Some(*word),
    };
    Control::Line {
        mode,
        texts,
        units: units.iter().map(as_is).collect(),
        offers: offers(figure.shape).iter().map(as_is).collect(),
        again: many,
    }
}

fn choice(
    mut all: Vec<Opt>,
    chosen: &[&str],
    ask: &Ask<'_>,
    (must, many): (bool, bool),
) -> Control {
    for option in &mut all {
        option.on = chosen.iter().any(|text| text.trim() == option.value);
    }
    // what was typed and is no choice (any more) still stands there to be seen
    for text in chosen {
        let text = text.trim();
        if !text.is_empty() && all.iter().all(|option| option.value != text) {
            all.push(Opt {
                value: text.to_owned(),
                label: text.to_owned(),
                on: true,
            });
        }
    }
    if many {
        return Control::Any(all);
    }
    let none = all.iter().all(|option| !option.on);
    let list = all.len() > OPEN;
    if !must || list {
        let label = if ask.mending {
            ask.look.text.say("as it is")
        } else {
            ask.look.text.say("not said")
        };
        all.insert(
            0,
            Opt {
                value: String::new(),
                label: label.into_owned(),
                on: none,
            },
        );
    }
    if list {
        Control::List(all)
    } else {
        Control::One(all)
    }
}
