//! A crop's account: two bars at one scale, and the table that is their key.

use crate::figures::{self, Set};
use crate::look::Look;
use crate::text::Markup;
use desk::Ranged;
use desk::night::{CropAccount, Evening};
use draw::{Account, BarPart, Finding, Texture};

/// One row of the key.
pub(super) struct Row {
    /// A sample of its texture.
    pub(super) swatch: Markup,
    /// What it is.
    pub(super) name: String,
    /// How much.
    pub(super) set: Set,
    /// Where that is from.
    pub(super) from: String,
    /// Its explanation.
    pub(super) why: Markup,
}

/// One crop's account.
pub(super) struct View {
    /// The section's head.
    pub(super) title: String,
    /// The unit of the column.
    pub(super) unit: String,
    /// The bars.
    pub(super) bars: Markup,
    /// The key.
    pub(super) rows: Vec<Row>,
    /// The last row: what is unexplained.
    pub(super) gap: Row,
}

pub(super) fn view(look: Look, evening: &Evening, crop: &CropAccount) -> View {
    let text = look.text;
    let in_bushels = crop.base_moisture_pct.is_some();
    let set = |figure: Ranged| figures::grain(look, &crop.crop, in_bushels, figure);
    let name = text.say(&crop.crop_name);
    let title = match (crop.base_moisture_pct, look.metric()) {
        (Some(base), false) => text.fill(
            "The account of {0}, in dry bushels at {1} %",
            &[&name, &figures::number(base, 1)],
        ),
        (Some(base), true) => text.fill(
            "The account of {0}, in tonnes at {1} %",
            &[&name, &figures::number(base, 1)],
        ),
        (None, _) => text.fill("The account of {0}, in dry matter", &[&name]),
    };
    let why = |figure: &str| {
        let all: Vec<&desk::Why> = evening
            .why
            .iter()
            .filter(|one| one.figure == format!("{figure}, {}", crop.crop))
            .collect();
        figures::whys(text, &all)
    };
    let from_fields = match crop.fields.as_slice() {
        [] => text.say("no field on record").into_owned(),
        fields => fields.join(", "),
    };
    let monitor = match crop.weighed_loads {
        0 => text
            .say("as written; nothing weighed sets the monitor")
            .into_owned(),
        1 => text.say("monitor, set by 1 weighed load").into_owned(),
        loads => text.fill("monitor, set by {0} weighed loads", &[&loads]),
    };
    let sold = match crop.sold_tickets {
        1 => text.say("Sold, 1 ticket").into_owned(),
        tickets => text.fill("Sold, {0} tickets", &[&tickets]),
    };
    let mut rows = vec![Row {
        swatch: Markup(draw::swatch(Texture::Plain)),
        name: text.say("Came off").into_owned(),
        set: set(crop.came_off),
        from: format!("{from_fields}; {monitor}"),
        why: why("came off"),
    }];
    let mut more = |texture, name: String, figure: Ranged, from: &str, key: &str| {
        if figure.value.abs() > 0.0 || figure.half_width() > 0.0 {
            rows.push(Row {
                swatch: Markup(draw::swatch(texture)),
                name,
                set: set(figure),
                from: if from.is_empty() {
                    String::new()
                } else {
                    text.say(from).into_owned()
                },
                why: why(key),
            });
        }
    };
    more(
        Texture::Plain,
        text.say("There before").into_owned(),
        crop.opening,
        "opening stock",
        "opening",
    );
    more(Texture::Solid, sold, crop.sold, "over the scale", "sold");
    more(
        Texture::Dots,
        text.say("On claim at buyers").into_owned(),
        crop.on_claim,
        "over the scale, not sold",
        "on claim",
    );
    more(
        Texture::Hatch,
        text.say("On wheels").into_owned(),
        crop.on_wheels,
        "by the slips",
        "on wheels",
    );
    more(
        Texture::Hatch,
        text.say("In bins").into_owned(),
        crop.in_bins,
        "by the slips and measures",
        "in bins",
    );
    more(
        Texture::Plain,
        text.say("Fed, seed and spilt").into_owned(),
        crop.used,
        "by the slips",
        "used",
    );
    let over = crop.unexplained.value < 0.0;
    let gap = if over {
        crop.unexplained.times(-1.0)
    } else {
        crop.unexplained
    };
    View {
        bars: Markup(draw::both(|width| draw::account(&bars(look, crop), width))),
        title,
        unit: set(crop.came_off).unit,
        rows,
        gap: Row {
            swatch: Markup(draw::swatch(Texture::Gap)),
            name: if over {
                text.say("Over").into_owned()
            } else {
                text.say("Short").into_owned()
            },
            set: set(gap),
            from: text.say("zero would be square").into_owned(),
            why: why("unexplained"),
        },
    }
}

fn bars(look: Look, crop: &CropAccount) -> Account {
    let text = look.text;
    let in_bushels = crop.base_moisture_pct.is_some();
    let set = |figure: Ranged| figures::grain(look, &crop.crop, in_bushels, figure);
    let part = |label: &str, figure: Ranged, texture| BarPart {
        label: text.say(label).into_owned(),
        value: figure.value,
        texture,
    };
    let lower: Vec<BarPart> = [
        part("sold", crop.sold, Texture::Solid),
        part("on claim", crop.on_claim, Texture::Dots),
        part("on wheels", crop.on_wheels, Texture::Hatch),
        part("in bins", crop.in_bins, Texture::Hatch),
        part("used", crop.used, Texture::Plain),
    ]
    .into_iter()
    .filter(|part| part.value > 0.0)
    .collect();
    let upper: Vec<BarPart> = [
        part("came off", crop.came_off, Texture::Plain),
        part("there before", crop.opening, Texture::Plain),
    ]
    .into_iter()
    .filter(|part| part.value > 0.0)
    .collect();
    let short = set(crop.unexplained);
    Account {
        finding: Finding {
            title: text.fill(
                "Came off {0}; found {1}; unexplained {2}.",
                &[
                    &set(crop.came_off).plain(),
                    &lower
                        .iter()
                        .map(|part| format!("{} {}", part.label, figures::number(part.value, 0)))
                        .collect::<Vec<_>>()
                        .join(", "),
                    &short.plain(),
                ],
            ),
            desc: String::new(),
        },
        upper_word: text.say("Came off").into_owned(),
        upper,
        lower_word: text.say("Went to").into_owned(),
        lower,
        gap: crop.unexplained.value,
        gap_range: crop.unexplained.half_width(),
        gap_word: String::new(),
    }
}
