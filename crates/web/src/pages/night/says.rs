//! The evening's sentence and the lines under it.

use crate::figures::{self, Set};
use crate::look::Look;
use crate::text::{Markup, Text};
use desk::night::{Evening, EveningSays, Likely};

/// What heads the page.
pub(super) struct Says {
    /// The answer as one sentence.
    pub(super) lede: String,
    /// The lines under it.
    pub(super) standfirst: Markup,
    /// Whether there is anything to account for.
    pub(super) empty: bool,
}

/// A slip's name in the reader's language: "ticket 48213", "load 6".
pub(crate) fn slip_name(text: Text, slip: &str) -> String {
    let word = |known: &'static str| match known {
        "ticket" => text.say("ticket").into_owned(),
        "dump" => text.say("load").into_owned(),
        "move" => text.say("move").into_owned(),
        "measure" => text.say("measure").into_owned(),
        "opening" => text.say("opening stock").into_owned(),
        _ => known.to_owned(),
    };
    for known in ["ticket", "dump", "move", "measure", "opening"] {
        if let Some(rest) = slip
            .strip_prefix(known)
            .filter(|rest| rest.starts_with(' '))
        {
            return format!("{}{rest}", word(known));
        }
    }
    slip.to_owned()
}

/// The same where a sentence or a heading begins with it.
pub(crate) fn begins(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Names in a row: "a, b and 3 more".
pub(super) fn names(text: Text, all: &[String]) -> String {
    const SHOWN: usize = 3;
    let shown: Vec<String> = all
        .iter()
        .take(SHOWN)
        .map(|one| slip_name(text, one))
        .collect();
    let rest = all.len().saturating_sub(SHOWN);
    if rest > 0 {
        text.fill("{0} and {1} more", &[&shown.join(", "), &rest])
    } else {
        shown.join(", ")
    }
}

/// An amount as a sentence names it: "166 bushels", "4.5 t".
fn amount(text: Text, set: &Set) -> String {
    if set.unit == text.say("bu") {
        text.fill("{0} bushels", &[&set.figure])
    } else {
        format!("{} {}", set.figure, set.unit)
    }
}

/// What may have happened, in words: never what should have been written.
pub(super) fn likely(text: Text, one: &Likely) -> String {
    let kind = text.say(one.kind.name());
    let field = one.field.name();
    if matches!(field, "gross" | "tare" | "net" | "reading" | "moisture") {
        text.fill("{0}, in the {1}", &[&kind, &text.say(field)])
    } else {
        kind.into_owned()
    }
}

pub(super) fn says(look: Look, evening: &Evening) -> Says {
    let text = look.text;
    let plain = |lede: String, standfirst: String| Says {
        lede,
        standfirst: Markup::plain(standfirst),
        empty: false,
    };
    match &evening.says {
        EveningSays::Empty {} => Says {
            lede: text.say("No slips yet.").into_owned(),
            standfirst: Markup::plain(text.say(
                "The account begins with the first load out of the combine, or the first weigh ticket.",
            )),
            empty: true,
        },
        EveningSays::Unchecked { slips: 1 } => plain(
            text.say("Nothing checks this slip.").into_owned(),
            unchecked(text),
        ),
        EveningSays::Unchecked { slips } => plain(
            text.fill("Nothing checks these {0} slips.", &[slips]),
            unchecked(text),
        ),
        EveningSays::Square { checked, slips, odd } => square(look, evening, (*checked, *slips), odd),
        EveningSays::Suspect { .. } => suspect(look, evening),
        EveningSays::NotSquare { worst, by_chance_in_100, .. } => plain(
            match worst {
                Some(worst) => text.fill(
                    "Not square, but no slip is blamed: {0} fits worst.",
                    &[&slip_name(text, worst)],
                ),
                None => text.say("Not square, but no slip is blamed.").into_owned(),
            },
            text.fill(
                "Chance alone does as much in {0} clean seasons of 100. Look at its paper first.",
                &[&figures::number(*by_chance_in_100, 0)],
            ),
        ),
    }
}

fn unchecked(text: Text) -> String {
    text.say(
        "Weigh a wagon, measure a bin or write what the monitor read: then they check each other.",
    )
    .into_owned()
}

fn square(look: Look, evening: &Evening, (checked, slips): (usize, usize), odd: &[String]) -> Says {
    let text = look.text;
    let mut standfirst = vec![text.mark(
        "{0} of {1} slips and measures check each other, and none is off by more than their errors allow.",
        &[figures::bold(checked), Markup::plain(slips)],
    )];
    if !odd.is_empty() {
        standfirst.push(text.mark(
            "Odd by themselves, though: {0}.",
            &[Markup::plain(names(text, odd))],
        ));
    }
    let crops: Vec<String> = evening
        .crops
        .iter()
        .map(|crop| text.say(&crop.crop_name).into_owned())
        .collect();
    Says {
        lede: match crops.as_slice() {
            [] => text.say("Square.").into_owned(),
            [one] => text.fill("Square: what came off in {0} is accounted for.", &[one]),
            several => text.fill(
                "Square: what came off in {0} is accounted for.",
                &[&several.join(", ")],
            ),
        },
        standfirst: joined(standfirst),
        empty: false,
    }
}

fn suspect(look: Look, evening: &Evening) -> Says {
    let text = look.text;
    let EveningSays::Suspect {
        short,
        off_by_dry_bu,
        off_by_dry_lb,
        crop,
        field,
        slip,
        likely: mistake,
        others,
    } = &evening.says
    else {
        return Says {
            lede: String::new(),
            standfirst: Markup::default(),
            empty: false,
        };
    };
    let off = figures::grain(
        look,
        crop,
        off_by_dry_bu.is_some(),
        off_by_dry_bu.unwrap_or(*off_by_dry_lb),
    );
    let account = evening.crops.iter().find(|one| one.crop == *crop);
    let crop_name = account.map_or(crop.as_str(), |one| one.crop_name.as_str());
    let (amount, name) = (amount(text, &off), slip_name(text, slip));
    let crop_name = text.say(crop_name);
    let gap = match (short, field) {
        (true, Some(field)) => text.fill("{0} are short on {1}", &[&amount, field]),
        (true, None) => text.fill("{0} of {1} are short", &[&amount, &crop_name]),
        (false, Some(field)) => text.fill("{0} too many on {1}", &[&amount, field]),
        (false, None) => text.fill("{0} of {1} too many", &[&amount, &crop_name]),
    };
    let lede = if others.is_empty() {
        text.fill("Not square: {0}, and {1} looks wrong.", &[&gap, &name])
    } else {
        text.fill("Not square: {0}; {1} looks wrong first.", &[&gap, &name])
    };
    let mut lines = Vec::new();
    if let Some(account) = account {
        let half = figures::exact(account.unexplained.half_width());
        let explained = figures::grain(look, crop, account.base_moisture_pct.is_some(), half);
        lines.push(text.mark(
            "Scales, wagons and monitors together explain {0} either way.",
            &[explained.markup()],
        ));
    }
    if let Some(mistake) = mistake {
        let change = figures::grain(
            look,
            crop,
            mistake.in_bushels,
            figures::exact(mistake.change.abs()),
        );
        lines.push(text.mark(
            "Likeliest on {0}: {1}; that alone makes {2}.",
            &[
                Markup::plain(&name),
                figures::bold(likely(text, mistake)),
                change.markup(),
            ],
        ));
    }
    if !others.is_empty() {
        lines.push(text.mark("Also odd: {0}.", &[Markup::plain(names(text, others))]));
    }
    let whys: Vec<&desk::Why> = evening
        .why
        .iter()
        .filter(|one| one.figure == "square")
        .collect();
    lines.push(figures::whys(text, &whys));
    Says {
        lede,
        standfirst: joined(lines),
        empty: false,
    }
}

/// Lines of markup as one run of text.
pub(super) fn joined(lines: Vec<Markup>) -> Markup {
    let texts: Vec<String> = lines
        .into_iter()
        .map(|line| line.0)
        .filter(|line| !line.is_empty())
        .collect();
    Markup(texts.join(" "))
}
