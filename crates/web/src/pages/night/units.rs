//! Fields by acres and bushels; insured units beside the yield at which the agent is called.

use super::held::crop;
use crate::dates;
use crate::figures::{self, Set};
use crate::look::Look;
use crate::text::{Markup, Text, escape};
use desk::night::{Against, Counted, Evening, FieldTonight, UnitTonight};

/// One field.
pub(super) struct FieldRow {
    /// Its name.
    pub(super) field: String,
    /// Its crop.
    pub(super) crop: String,
    /// Acres cut of planted, in words.
    pub(super) acres: String,
    /// Came off today.
    pub(super) today: Option<Set>,
    /// Came off this season.
    pub(super) season: Option<Set>,
    /// At rest: at buyers, in bins, fed.
    pub(super) rest: Option<Set>,
    /// What is not known of it.
    pub(super) lacks: String,
    /// Whether any tank came off it today.
    pub(super) worked: bool,
}

/// One insured unit.
pub(super) struct UnitRow {
    /// Its name and crop.
    pub(super) name: String,
    /// Under the name: acres.
    pub(super) acres: String,
    /// Its yield so far.
    pub(super) made: Option<Set>,
    /// The call-at yield as the agent gave it.
    pub(super) call_at: Option<String>,
    /// The picture.
    pub(super) picture: Markup,
}

/// "Call your agent": what stands where grain may be under its call-at yield.
pub(super) struct Caution {
    /// The bold clause.
    pub(super) head: String,
    /// The rest, with telephone and date.
    pub(super) rest: Markup,
}

/// What a contract is still owed.
pub(super) struct Owed {
    /// In a sentence.
    pub(super) says: Markup,
}

pub(super) fn fields(look: Look, evening: &Evening) -> Vec<FieldRow> {
    evening.fields.iter().map(|one| field(look, one)).collect()
}

fn field(look: Look, one: &FieldTonight) -> FieldRow {
    let text = look.text;
    let in_bushels = one.base_moisture_pct.is_some();
    let set = |value: Option<f64>| {
        value.map(|value| figures::grain(look, &one.crop, in_bushels, figures::exact(value)))
    };
    let area = |value: f64| figures::acres(look, value).figure;
    let acres = match (one.cut_ac, one.planted_ac) {
        (Some(cut), Some(planted)) => text.fill("{0} of {1}", &[&area(cut), &area(planted)]),
        (Some(cut), None) => area(cut),
        (None, Some(planted)) => text.fill("cut not known; {0} planted", &[&area(planted)]),
        (None, None) => text.say("not known").into_owned(),
    };
    FieldRow {
        field: one.field.clone(),
        crop: crop(text, &one.crop_name),
        acres,
        today: set(one.came_off_today_dry_bu.filter(|_| one.dumps_today > 0)),
        season: set(one.came_off_dry_bu),
        rest: set(one.at_rest_dry_bu),
        lacks: match one.unweighed {
            0 => String::new(),
            1 => text.say("1 load not weighed").into_owned(),
            loads => text.fill("{0} loads not weighed", &[&loads]),
        },
        worked: one.dumps_today > 0,
    }
}

fn unit_name(text: Text, one: &UnitTonight) -> String {
    match &one.unit {
        // many write the word with the number
        Some(unit) if unit.to_lowercase().starts_with("unit") => {
            text.fill("{0}, {1}", &[unit, &crop(text, &one.crop_name)])
        }
        Some(unit) => text.fill("Unit {0}, {1}", &[unit, &crop(text, &one.crop_name)]),
        None => text.fill(
            "{0} that no unit is written for",
            &[&crop(text, &one.crop_name)],
        ),
    }
}

/// The axis that all units share, around what they made and are called at, bushels an acre.
pub(super) fn axis(evening: &Evening) -> Option<(f64, f64)> {
    desk::reader::axis(evening.units.iter().flat_map(|one| {
        let made = one.bu_per_ac.map(|made| [made.low, made.high]);
        made.into_iter().flatten().chain(one.call_at_bu_per_ac)
    }))
}

pub(super) fn units(look: Look, evening: &Evening) -> Vec<UnitRow> {
    let text = look.text;
    let axis = axis(evening);
    evening
        .units
        .iter()
        .map(|one| {
            let mut acres = match (one.acres, one.which_acres) {
                (Some(acres), Some("cut")) => {
                    text.fill("over {0} cut", &[&figures::acres(look, acres).plain()])
                }
                (Some(acres), _) => text.fill(
                    "over {0} planted; write the acres cut to know",
                    &[&figures::acres(look, acres).plain()],
                ),
                (None, _) => text.say("acres not known").into_owned(),
            };
            // a yield that leaves loads out is too low, and no acreage mends that
            if one.unconverted > 0 {
                acres = text.fill(
                    "{0} of {1} loads cannot be turned into insurance bushels here: ask the agent",
                    &[&one.unconverted, &one.loads],
                );
            }
            let made = one
                .bu_per_ac
                .map(|made| figures::per_acre(look, &one.crop, made));
            let call_at = one
                .call_at_bu_per_ac
                .map(|yields| figures::per_acre(look, &one.crop, figures::exact(yields)).figure);
            let title = text.fill(
                "{0}: {1}; call at {2}",
                &[
                    &unit_name(text, one),
                    &made
                        .as_ref()
                        .map_or_else(|| text.say("not known").into_owned(), Set::plain),
                    &call_at
                        .clone()
                        .unwrap_or_else(|| text.say("not written").into_owned()),
                ],
            );
            let picture = axis.map_or_else(Markup::default, |axis| {
                Markup(draw::call_at(&draw::CallAt {
                    title,
                    made: one.bu_per_ac.map(|made| (made.low, made.value, made.high)),
                    call_at: one.call_at_bu_per_ac,
                    axis,
                    ticks: Vec::new(),
                }))
            });
            UnitRow {
                name: unit_name(text, one),
                acres,
                made,
                call_at,
                picture,
            }
        })
        .collect()
}

/// Whom to call before what, where grain may be under its call-at yield. What is covered is never said.
pub(super) fn cautions(look: Look, evening: &Evening) -> Vec<Caution> {
    let text = look.text;
    evening
        .units
        .iter()
        .filter(|one| one.against == Some(Against::MayBeUnder))
        .map(|one| {
            let whom = match (&one.agent, &one.telephone) {
                (Some(agent), Some(telephone)) => Some(text.mark(
                    "{0}, {1}",
                    &[figures::hand(agent), figures::hand(telephone)],
                )),
                (None, Some(telephone)) => Some(figures::hand(telephone)),
                (Some(agent), None) => Some(figures::hand(agent)),
                (None, None) => None,
            };
            let by = one
                .notice_by
                .as_ref()
                .map(|day| figures::hand(dates::said(text, day)));
            let rest = match (whom, by) {
                (Some(whom), Some(by)) => text.mark(
                    "Call your agent before you finish, mix, feed or destroy anything here: {0}, notice by {1}.",
                    &[whom, by],
                ),
                (Some(whom), None) => text.mark(
                    "Call your agent before you finish, mix, feed or destroy anything here: {0}.",
                    &[whom],
                ),
                (None, Some(by)) => text.mark(
                    "Call your agent before you finish, mix, feed or destroy anything here; notice by {0}.",
                    &[by],
                ),
                (None, None) => Markup::plain(text.say(
                    "Call your agent before you finish, mix, feed or destroy anything here.",
                )),
            };
            Caution {
                head: text.fill(
                    "{0} may be under its call-at yield.",
                    &[&unit_name(text, one)],
                ),
                rest,
            }
        })
        .collect()
}

pub(super) fn owed(look: Look, evening: &Evening) -> Vec<Owed> {
    let text = look.text;
    evening
        .contracts
        .iter()
        .map(|one| {
            let name = crop(text, &one.crop_name);
            let who = match &one.number {
                Some(number) => text.fill("{0}, contract {1}", &[&one.buyer, number]),
                None => one.buyer.clone(),
            };
            let bushels = figures::grain(look, &one.crop, true, figures::exact(one.owed_bu));
            let by = one.deliver_by.as_ref().map_or_else(String::new, |day| {
                text.fill(" by {0}", &[&dates::said(text, day)])
            });
            let how = match one.counted {
                Counted::BuyersBushels => String::new(),
                Counted::AsWeighed => text.say("counted as weighed").into_owned(),
                Counted::NoNumber => text
                    .say("no contract number, so no ticket counts toward it")
                    .into_owned(),
            };
            let mut says = if one.owed_bu > 0.0 {
                text.mark(
                    "{0} of {1} still owed to {2}{3}.",
                    &[
                        bushels.markup(),
                        Markup::plain(name),
                        Markup::plain(who),
                        Markup::plain(by),
                    ],
                )
            } else {
                text.mark(
                    "{0}: the {1} is delivered in full.",
                    &[Markup::plain(who), Markup::plain(name)],
                )
            };
            if !how.is_empty() {
                let soft = format!(" <span class=\"soft\">({})</span>", escape(&how));
                says.0.push_str(&soft);
            }
            Owed { says }
        })
        .collect()
}
