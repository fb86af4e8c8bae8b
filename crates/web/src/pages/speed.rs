//! How fast to drive: a few typed values, one sentence, the cost of an acre against speed.

use crate::door::Who;
use crate::shell::page;
use crate::text::{Markup, Text};
use crate::{Frame, House, Look, Refusal, Tab, figures};
use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use desk::speed::{
    CapKind, Cost, Counted, GrowthFrom, SpeedAnswer, SpeedAsked, counted, money_in, show_money,
    show_speed, speed_in,
};
use draw::{SpeedCost, SpeedCostWords, SpeedPoint};
use serde::Deserialize;

/// What the form asks; all of it text, nothing invented.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct Asked {
    crop: String,
    loss: String,
    loss2: String,
    price: String,
    width: String,
    hour: String,
    sooner: String,
    efficiency: String,
    now: String,
    cap: String,
}

struct Row {
    what: String,
    best: String,
    now: String,
}

struct Shown {
    standfirst: String,
    picture: Markup,
    rows: Vec<Row>,
    at_best: String,
    at_now: Option<String>,
    notes: Vec<String>,
    whys: Markup,
}

#[derive(Template)]
#[template(path = "speed.html")]
struct Page {
    frame: Frame,
    lede: String,
    asked: Asked,
    crops: Vec<(String, bool)>,
    counted: Option<String>,
    wrong: Option<String>,
    shown: Option<Shown>,
    caution: String,
}

fn cap_name(text: Text, kind: CapKind) -> String {
    match kind {
        CapKind::RoughGround => text.say("rough ground"),
        CapKind::Head => text.say("the head"),
        CapKind::Power => text.say("power"),
        CapKind::Walkers => text.say("straw walkers or rotor"),
        CapKind::Operator => text.say("the operator"),
        CapKind::Haul => text.say("hauling"),
        CapKind::Counted => text.say("no count near it"),
    }
    .into_owned()
}

fn lede(look: Look, answer: &SpeedAnswer) -> String {
    let (text, units) = (look.text, look.system());
    let band = answer.best.within_2_pct;
    let (low, high) = (
        show_speed(band.low_m_s, units),
        show_speed(band.high_m_s, units),
    );
    let low = low.split(' ').next().unwrap_or_default();
    match answer.best.present {
        None => text.fill("Drive {0} to {1}.", &[&low, &high]),
        Some(now) => {
            let speed = show_speed(now.cost.speed_m_s, units);
            if (band.low_m_s..=band.high_m_s).contains(&now.cost.speed_m_s) {
                return text.fill(
                    "Drive {0} to {1}; {2} is among them.",
                    &[&low, &high, &speed],
                );
            }
            let more = show_money(now.more_money_per_ha, units);
            let more = more.split('/').next().unwrap_or_default();
            if look.metric() {
                text.fill(
                    "Drive {0} to {1}: at {2} a hectare costs {3} more.",
                    &[&low, &high, &speed, &more],
                )
            } else {
                text.fill(
                    "Drive {0} to {1}: at {2} an acre costs {3} more.",
                    &[&low, &high, &speed, &more],
                )
            }
        }
    }
}

fn picture(look: Look, answer: &SpeedAnswer, finding: &str) -> Markup {
    let (text, units) = (look.text, look.system());
    let (speed_of, money_of) = (|m_s| speed_in(m_s, units), |per_ha| money_in(per_ha, units));
    let best = &answer.best;
    let range = answer.least_cost_m_s;
    let range_words = if answer.taken_as_exact {
        text.say("losses taken as exact: no range").into_owned()
    } else {
        text.fill(
            "least cost, 8 in 10: {0} to {1}",
            &[
                &show_speed(answer.least_cost_m_s.low, units),
                &show_speed(answer.least_cost_m_s.high, units),
            ],
        )
    };
    let cost = SpeedCost {
        finding: finding.to_owned(),
        desc: text.fill(
            "Money of loss rises with speed, money of time falls; least together at {0}.",
            &[&show_speed(best.free_m_s, units)],
        ),
        points: answer
            .curve
            .iter()
            .map(|one| SpeedPoint {
                speed: speed_of(one.speed_m_s),
                loss: money_of(one.loss_money_per_ha),
                time: money_of(one.moving_money_per_ha + one.standing_money_per_ha),
            })
            .collect(),
        band: (
            speed_of(best.within_2_pct.low_m_s),
            speed_of(best.within_2_pct.high_m_s),
        ),
        range: (
            speed_of(range.low),
            speed_of(range.value),
            speed_of(range.high),
        ),
        now: best.present.map(|now| {
            let speed = show_speed(now.cost.speed_m_s, units);
            (
                speed_of(now.cost.speed_m_s),
                text.fill("now {0}", &[&speed]),
            )
        }),
        cap: best
            .binds
            .map(|cap| (speed_of(cap.speed_m_s), cap_name(text, cap.kind))),
    };
    let words = SpeedCostWords {
        money: if look.metric() {
            text.say("$ a hectare")
        } else {
            text.say("$ an acre")
        }
        .into_owned(),
        speed: if look.metric() { "km/h" } else { "mph" }.to_owned(),
        loss: text.say("left on the ground").into_owned(),
        time: text.say("time").into_owned(),
        both: text.say("together").into_owned(),
        band: text.say("within 2 % of the least").into_owned(),
        range: range_words,
    };
    Markup(draw::both(|width| draw::speed_cost(&cost, &words, width)))
}

fn shown(look: Look, answer: &SpeedAnswer, finding: &str) -> Shown {
    let (text, units) = (look.text, look.system());
    let now = answer.best.present;
    let row = |what: &str, of: &dyn Fn(&Cost) -> f64| Row {
        what: text.say(what).into_owned(),
        best: show_money(of(&answer.best.cost), units),
        now: now.map_or_else(String::new, |now| show_money(of(&now.cost), units)),
    };
    let mut notes = Vec::new();
    if answer.growth_from == GrowthFrom::Guess {
        let next = answer
            .count_next_at_m_s
            .map_or_else(String::new, |v| show_speed(v, units));
        notes.push(text.fill(
            "Only one speed was counted, so how fast loss grows with speed is our default, a guess. Count at {0} too.",
            &[&next],
        ));
    }
    if let Some(cap) = answer.best.binds {
        notes.push(if cap.kind == CapKind::Counted {
            text.say("The least cost lies past 1.3 times the fastest speed counted, where losses are not known: count at a faster speed before driving it.").into_owned()
        } else {
            text.fill("What binds: {0}, at {1}.", &[&cap_name(text, cap.kind), &show_speed(cap.speed_m_s, units)])
        });
    }
    let band = answer.best.within_money;
    let whys: Vec<&desk::Why> = answer.why.iter().collect();
    Shown {
        standfirst: text.fill(
            "Between {0} and {1} the cost differs by less than 50 cents an acre.",
            &[
                &show_speed(band.low_m_s, units),
                &show_speed(band.high_m_s, units),
            ],
        ),
        picture: picture(look, answer, finding),
        rows: vec![
            row("left on the ground", &|one| one.loss_money_per_ha),
            row("time on the move", &|one| one.moving_money_per_ha),
            row("turning and unloading", &|one| one.standing_money_per_ha),
            row("together", &|one| one.money_per_ha),
        ],
        at_best: show_speed(answer.best.cost.speed_m_s, units),
        at_now: now.map(|now| show_speed(now.cost.speed_m_s, units)),
        notes,
        whys: figures::whys(text, &whys),
    }
}

fn to_desk(asked: &Asked) -> SpeedAsked {
    SpeedAsked {
        loss: vec![asked.loss.clone(), asked.loss2.clone()],
        crop: asked.crop.clone(),
        price: asked.price.clone(),
        width: asked.width.clone(),
        hour: asked.hour.clone(),
        sooner: asked.sooner.clone(),
        efficiency: asked.efficiency.clone(),
        now: asked.now.clone(),
        caps: vec![asked.cap.clone()],
        ..SpeedAsked::default()
    }
}

fn says_counted(look: Look, counted: &Counted) -> String {
    let speeds: Vec<String> = counted
        .speeds_m_s
        .iter()
        .map(|v| show_speed(*v, look.system()))
        .collect();
    look.text.fill(
        "The book has counts of {0} at {1}; leave the losses empty to use them.",
        &[&look.text.say(&counted.crop), &speeds.join(", ")],
    )
}

async fn show(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(mut asked): Query<Asked>,
) -> Result<Response, Refusal> {
    house
        .run(move |house| {
            let text = look.text;
            let now = house.now()?;
            let (counts, unusable) = match counted(&now.farm, Some(&asked.crop)) {
                Ok(counts) => (counts, None),
                Err(why) => (None, Some(why.to_string())),
            };
            if let (true, Some(counts)) = (asked.crop.is_empty(), &counts) {
                asked.crop.clone_from(&counts.crop);
            }
            let typed = !(asked.price.is_empty() && asked.hour.is_empty() && asked.loss.is_empty());
            let (mut answer, mut wrong) = (None, None);
            if typed {
                match desk::speed::speed(&to_desk(&asked), counts.as_ref()) {
                    Ok(found) => answer = Some(found),
                    // counts that cannot serve say more than that no loss was typed
                    Err(why) => {
                        let typed_none = asked.loss.trim().is_empty();
                        let why = unusable.filter(|_| typed_none).unwrap_or(why.to_string());
                        wrong = Some(text.say(&why).into_owned());
                    }
                }
            }
            let lede = answer.as_ref().map_or_else(
                || {
                    text.say("How fast to drive: what an acre costs in grain and in time.")
                        .into_owned()
                },
                |answer| lede(look, answer),
            );
            let mut crops: Vec<String> = now
                .farm
                .plantings
                .iter()
                .map(|one| one.says.crop.to_string())
                .collect();
            if crops.is_empty() {
                crops = ["corn", "soybean", "wheat-hrw"].map(str::to_owned).to_vec();
            }
            crops.extend((!asked.crop.is_empty()).then(|| asked.crop.clone()));
            crops.sort();
            crops.dedup();
            page(&Page {
                frame: Frame::new(look, &who, Tab::Other, text.say("How fast to drive")),
                shown: answer.as_ref().map(|answer| shown(look, answer, &lede)),
                lede,
                crops: crops
                    .into_iter()
                    .map(|crop| {
                        let chosen = crop == asked.crop;
                        (crop, chosen)
                    })
                    .collect(),
                counted: counts.as_ref().map(|one| says_counted(look, one)),
                wrong,
                asked,
                caution: [facts::Act::Speed, facts::Act::LossCount]
                    .map(|act| text.say(&facts::caution(act).text))
                    .join(" "),
            })
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/speed", get(show))
}
