//! A verdict in sentences: the same on the page, in the terminal and in print.

use super::{Judged, NoMoney, SettingLine, SettingLog, TankShown, Verdict, Waits};
use crate::Ranged;
use machine::change::Says;
use quantity::Units;

/// The changes of an entry in words, several joined: what a verdict names.
pub fn change_words(line: &SettingLine) -> String {
    line.changes.join(" + ")
}

/// What the counts say of an entry, one sentence each; the first is the answer.
pub fn sentences(line: &SettingLine, units: Units) -> Vec<String> {
    let mut out = Vec::new();
    if line.part_of.is_some() {
        out.push(
            "One of the two settings of an earlier trial; the verdict stands there.".to_owned(),
        );
    }
    if let Some(waits) = line.waits {
        out.push(
            match waits {
                Waits::NoField => "No verdict: the entry does not say in which field and crop.",
                Waits::NoBefore => "No verdict yet: nothing was counted in this field before the change.",
                Waits::NoAfter => "No verdict yet: count again with the same frame, three frames at least.",
                Waits::NoFrames => "No verdict: the counts have no frames behind the head or the machine on both sides.",
            }
            .to_owned(),
        );
    }
    if let Some(verdict) = &line.verdict {
        verdict_says(&mut out, verdict, line.changes.len(), units);
    }
    tank(&mut out, line.tank_before, line.tank_after);
    out
}

/// The order in which to count next, with the times, for the latest change that is not settled.
pub fn next_turns(log: &SettingLog) -> Option<String> {
    let mut verdicts = log.lines.iter().filter_map(|line| line.verdict.as_ref());
    let open = verdicts.find(|one| matches!(one.change.says, Says::NotSettled | Says::TooFew))?;
    let turns: Vec<String> = open
        .schedule
        .iter()
        .map(|turn| format!("{:?} {}", turn.setting, turn.at))
        .collect();
    Some(turns.join(", "))
}

/// How many times in 100.
fn in_hundred(better: f64) -> String {
    format!("{:.0}", (better * 100.0).clamp(1.0, 99.0))
}

fn verdict_says(out: &mut Vec<String>, verdict: &Verdict, changes: usize, units: Units) {
    let said = &verdict.change;
    let (before, after) = said.frames;
    match (said.says, said.better) {
        (Says::TooFew, _) | (_, None) => out.push(format!(
            "Too few to say: {before} frames before and {after} after, three of each at least."
        )),
        (Says::Better, Some(better)) => out.push(format!(
            "Less is lost now: {} in 100 that the change is real.",
            in_hundred(better)
        )),
        (Says::Worse, Some(better)) => out.push(format!(
            "More is lost now: {} in 100 that the change did harm.",
            in_hundred(1.0 - better)
        )),
        (Says::NotSettled, Some(better)) => out.push(format!(
            "Not settled: {} in 100 that less is lost now; luck could have done it.",
            in_hundred(better)
        )),
    }
    money(out, verdict, units);
    if let Some(p) = said.p {
        out.push(format!(
            "Look {}: luck alone makes such a difference {:.1} times in 100; below {:.1} it counts as real.",
            said.looks,
            p * 100.0,
            said.level * 100.0
        ));
    }
    if changes > 1 {
        out.push(
            "Several changes in one entry: the verdict is of all of them together, and none is proved alone."
                .to_owned(),
        );
    }
    if verdict.judged == Judged::MachineByFour {
        out.push(
            "The head was touched, so the machine's loss is reckoned without what the head lost."
                .to_owned(),
        );
        if let Some(head) = &verdict.head
            && let Some(better) = head.better
        {
            out.push(format!(
                "Behind the head: {} in 100 that less is lost now.",
                in_hundred(better)
            ));
        }
    }
    if said.better.is_some() && !verdict.in_turn {
        out.push("Counted before and after only: losses that rise through the afternoon look like a change. Count in turn, A B B A A B B A.".to_owned());
    }
    if verdict.tried > 1 {
        out.push(format!(
            "{} changes were judged here: the best of several looks better than it is; count the winner again with fresh frames.",
            verdict.tried
        ));
    }
    if verdict.left_out > 0 {
        out.push(format!(
            "Counts left out: {} (another frame, tail or cut, another machine, or another change between).",
            verdict.left_out
        ));
    }
}

fn money(out: &mut Vec<String>, verdict: &Verdict, units: Units) {
    let dollars = |amount: f64| {
        let sign = if amount < 0.0 { "\u{2212}" } else { "" };
        format!("{sign}${:.2}", amount.abs())
    };
    let range = |one: &Ranged, show: &dyn Fn(f64) -> String| {
        (show(one.value), show(one.low), show(one.high))
    };
    let acre = match units {
        Units::Us => 1.0,
        Units::Metric => 2.471_053_814_671_653,
    };
    let per_area = if units == Units::Us {
        "an acre cut"
    } else {
        "a hectare cut"
    };
    if let Some(bu) = verdict.saved_bu_per_ac {
        let (value, low, high) = range(&bu.times(acre), &|v| format!("{v:.2}"));
        out.push(format!(
            "Saved: {value} ({low} to {high}) bushels {per_area}, 8 in 10."
        ));
    }
    if let Some(acre_money) = verdict.saved_per_ac {
        let (value, low, high) = range(&acre_money.times(acre), &dollars);
        match &verdict.saved_per_h {
            Some(hour) => {
                let (h, h_low, h_high) = range(hour, &dollars);
                out.push(format!(
                    "Worth {value} ({low} to {high}) {per_area} and {h} ({h_low} to {h_high}) an hour, 8 in 10."
                ));
            }
            None => out.push(format!(
                "Worth {value} ({low} to {high}) {per_area}, 8 in 10."
            )),
        }
    }
    match verdict.no_money {
        Some(NoMoney::Tail) => out.push("No bushels: the count does not say how wide the tail laid it and how wide the machine cut.".to_owned()),
        Some(NoMoney::Seed) => out.push("No bushels: the crop has no usual weight of a bushel; type what 1,000 seeds weigh.".to_owned()),
        Some(NoMoney::Price) => out.push("No money: type the price of a bushel.".to_owned()),
        Some(NoMoney::Frames) => out.push("No bushels: frames are missing on one side.".to_owned()),
        None => {}
    }
}

fn tank(out: &mut Vec<String>, before: TankShown, after: TankShown) {
    let share = |value: Option<f64>| value.map(|v| format!("{v:.1} %"));
    let pairs = [
        (
            "cracked",
            share(before.cracked_pct),
            share(after.cracked_pct),
        ),
        (
            "foreign matter",
            share(before.foreign_pct),
            share(after.foreign_pct),
        ),
        (
            "unthreshed",
            before.unthreshed.map(str::to_owned),
            after.unthreshed.map(str::to_owned),
        ),
        (
            "dirt",
            before.dirt.map(str::to_owned),
            after.dirt.map(str::to_owned),
        ),
    ];
    for (what, before, after) in pairs {
        match (before, after) {
            (Some(before), Some(after)) => {
                out.push(format!(
                    "In the tank, {what}: {before} before, {after} after."
                ));
            }
            (Some(before), None) => {
                out.push(format!(
                    "In the tank, {what}: {before} before, not looked at after."
                ));
            }
            (None, Some(after)) => {
                out.push(format!(
                    "In the tank, {what}: not looked at before, {after} after."
                ));
            }
            (None, None) => {}
        }
    }
}
