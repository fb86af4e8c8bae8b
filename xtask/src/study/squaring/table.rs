//! The acceptance table as markdown.

use super::Row;
use super::score::{Outcome, Tally, same};
use std::fmt::Write as _;
use worlds::mistake::MistakeKind;

/// A share in print.
pub(super) fn percent(hits: u64, of: u64) -> String {
    if of == 0 {
        "-".to_owned()
    } else {
        format!("{:.1} %", 100.0 * hits as f64 / of as f64)
    }
}

/// Bands of `d` that the table prints.
const BANDS: [(f64, f64, &str); 5] = [
    (0.0, 2.0, "below 2"),
    (2.0, 4.0, "2 to 4"),
    (4.0, 6.0, "4 to 6"),
    (6.0, 8.0, "6 to 8"),
    (8.0, f64::INFINITY, "8 and more"),
];

/// All tables of the study.
pub(super) fn markdown(rows: &[Row], seasons: u64, seed: u64) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{seasons} seasons a row (`cargo xtask study squaring --seasons {seasons} --seed {seed}`), 60 to 300 slips each.\n"
    );
    seasons_table(&mut text, rows);
    for row in rows.iter().filter(|row| !row.tally.outcomes.is_empty()) {
        let _ = writeln!(text, "\nMistakes {}:\n", row.title);
        bands_table(&mut text, &row.tally);
    }
    if let Some(usual) = rows.iter().find(|row| row.title.contains('%')) {
        let _ = writeln!(
            text,
            "\nBy kind, mistakes {} (d of 4 or more):\n",
            usual.title
        );
        kinds(&mut text, &usual.tally, 4.0);
    }
    text
}

fn seasons_table(text: &mut String, rows: &[Row]) {
    text.push_str("| mistakes | slips | nothing checks | unsquared | global test alarms | 90 % intervals hold | good slip blamed | blamed in no balance with a bad one | kind right |\n");
    text.push_str("| --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
    for row in rows {
        let t = &row.tally;
        let (right, found) = t.kind_right();
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} | {} | {} | {} | {} |",
            row.title,
            t.slips,
            percent(t.unchecked, t.slips),
            percent(t.alarms, t.seasons),
            percent(t.global_alarms, t.seasons),
            percent(t.covered, t.intervals),
            percent(t.blamed, t.seasons),
            percent(t.blamed_elsewhere, t.seasons),
            percent(right, found),
        );
    }
}

fn bands_table(text: &mut String, tally: &Tally) {
    text.push_str("| d | planted | found | theory | slip itself named | kind right of found |\n");
    text.push_str("| --- | --- | --- | --- | --- | --- |\n");
    let unfindable: Vec<&Outcome> = tally.outcomes.iter().filter(|o| o.d == 0.0).collect();
    let listed = unfindable.iter().filter(|o| o.listed).count();
    for (low, high, name) in BANDS {
        let band: Vec<&Outcome> = tally.between(low, high).filter(|o| o.d > 0.0).collect();
        let count = |f: fn(&Outcome) -> bool| band.iter().filter(|o| f(o)).count() as u64;
        let all = band.len() as u64;
        let found = count(|o| o.found);
        let theory = band.iter().map(|o| o.theory).sum::<f64>() / all.max(1) as f64;
        let _ = writeln!(
            text,
            "| {name} | {all} | {} | {:.1} % | {} | {} |",
            percent(found, all),
            100.0 * theory,
            percent(count(|o| o.itself), all),
            percent(count(|o| o.found && o.right()), found),
        );
    }
    let _ = writeln!(
        text,
        "\n{} more in slips that nothing checks, {listed} of them with every slip of the trip listed as such beforehand.",
        unfindable.len()
    );
}

/// Kinds planted and named, of mistakes from this `d` up.
pub(super) fn kinds(text: &mut String, tally: &Tally, least_d: f64) {
    text.push_str(
        "| planted | all | d >= 4 | found | kind right of found | named instead (first three) |\n",
    );
    text.push_str("| --- | --- | --- | --- | --- | --- |\n");
    for kind in MistakeKind::ALL {
        let every = tally.outcomes.iter().filter(|o| o.kind == kind).count();
        let large: Vec<&Outcome> = tally
            .outcomes
            .iter()
            .filter(|o| o.kind == kind && o.d >= least_d)
            .collect();
        let found: Vec<&&Outcome> = large.iter().filter(|o| o.found).collect();
        let right = found.iter().filter(|o| o.right()).count() as u64;
        let mut others: Vec<(usize, String)> = Vec::new();
        for outcome in found.iter().filter(|o| !o.right()) {
            let name = outcome.named.map_or_else(
                || "nothing".to_owned(),
                |named| {
                    MistakeKind::ALL
                        .into_iter()
                        .find(|kind| same(*kind) == named)
                        .map_or("nothing", MistakeKind::name)
                        .to_owned()
                },
            );
            match others.iter_mut().find(|(_, other)| *other == name) {
                Some((count, _)) => *count += 1,
                None => others.push((1, name)),
            }
        }
        others.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
        let instead: Vec<String> = others
            .iter()
            .take(3)
            .map(|(count, name)| format!("{name} {count}"))
            .collect();
        let _ = writeln!(
            text,
            "| {} | {every} | {} | {} | {} | {} |",
            kind.name(),
            large.len(),
            percent(found.len() as u64, large.len() as u64),
            percent(right, found.len() as u64),
            instead.join(", "),
        );
    }
}
