//! The answer in English, and where it came from.

use super::{LB, WagonsAnswer};
use crate::Why;
use crate::speed::AC;
use machine::capacity::Rest;

pub(super) fn sentence(answer: &WagonsAnswer, mass: &dyn Fn(f64) -> String, area: &str) -> String {
    let left = answer.left_lb;
    let stands = format!(
        "{}: about {} left on {area} ({} to {}, 8 times in 10).",
        answer.field,
        mass(left.value),
        mass(left.low),
        mass(left.high)
    );
    let Some(fits) = answer.fits else {
        return format!(
            "{stands} No wagon with room for it is known; room for {} holds it 9 times in 10.",
            mass(answer.room_for_9_in_10_lb)
        );
    };
    let with_room = answer.wagons.iter().filter(|one| one.room_lb > 0.0).count();
    let verdict = if fits >= 0.9 {
        "it fits".to_owned()
    } else if fits < 0.1 {
        "it does not fit".to_owned()
    } else {
        format!("it fits {:.0} times in 10", 10.0 * fits)
    };
    let more = if fits >= 0.9 {
        String::new()
    } else {
        format!(
            "; {} more would hold it 9 times in 10",
            mass((answer.room_for_9_in_10_lb - answer.room_lb).max(0.0))
        )
    };
    let wagons = if with_room == 1 {
        "wagon has"
    } else {
        "wagons have"
    };
    format!(
        "{stands} {with_room} {wagons} room for {}: {verdict}{more}.",
        mass(answer.room_lb)
    )
}

pub(super) fn notes(answer: &WagonsAnswer, said: bool) -> Vec<String> {
    let mut out = Vec::new();
    if !answer.room_not_known.is_empty() {
        out.push(format!(
            "Not counted, as nobody wrote what they hold: {}. Write it: stook write place --capacity.",
            answer.room_not_known.join(", ")
        ));
    }
    for one in answer.wagons.iter().filter(|one| one.other_crop) {
        out.push(format!("{} holds another crop.", one.place));
    }
    for one in answer.wagons.iter().filter(|one| one.unweighed > 0) {
        out.push(format!(
            "{} holds {} loads that nobody weighed or estimated: its room is short by those.",
            one.place, one.unweighed
        ));
    }
    if answer.tanks_set_aside > 0 {
        let (one, it) = if answer.tanks_set_aside == 1 {
            ("tank is", "it is real")
        } else {
            ("tanks are", "they are real")
        };
        out.push(format!(
            "{} {one} not counted, for squaring set aside what looks entered twice or does not fit (stook square); if {it}, more came off and more is left.",
            answer.tanks_set_aside
        ));
    }
    if !said && answer.tanks > 0 {
        out.push(
            "Acres left are planted less cut, by the book; say them with --left to know better."
                .to_owned(),
        );
    }
    out.push("Room is by volume, as written of each wagon; what wagon, tires and road may carry is for their plates and the law to say.".to_owned());
    out
}

pub(super) fn why(answer: &WagonsAnswer, expected: f64, rest: Rest, error: f64, seen: bool) -> Why {
    let bushels =
        |kg_per_ha: f64| format!("{:.1} bu/ac wet", kg_per_ha * AC / LB / answer.bushel_lb);
    let why = Why::new(
        "grain left",
        format!("{:.0} bu", answer.left_lb.value / answer.bushel_lb),
        "acres left x yield of what came off, drawn towards the yield expected by how little of the field is cut; log-normal",
        "kriging of one mean by another, covariance exponential in the order of cutting; scatter 20 % between fields, 12 % within over 3 ac, 5 % of the lesser of acres cut and left: our defaults, guesses",
    )
    .with("acres left", format!("{:.1}", answer.left_ac))
    .with("acres cut", format!("{:.1}", answer.cut_ac))
    .with("yield of the rest", bushels(rest.kg_per_ha))
    .with("scatter of the rest", format!("{:.0} %", 100.0 * rest.yield_cv));
    if seen {
        return why.with("doubt of what came off", format!("{:.1} %", 100.0 * error));
    }
    why.with("yield expected", bushels(expected))
}
