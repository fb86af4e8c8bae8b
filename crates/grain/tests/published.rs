//! Printed numbers of the trade against our own functions; the table and its sources stand in
//! `reference/published`.
#![expect(clippy::unwrap_used, reason = "a test helper may fail its test")]

mod calls;

use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    value: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    call: String,
    #[serde(default)]
    inputs: toml::Table,
    expected: f64,
    tolerance: f64,
    tag: String,
    source: String,
    #[serde(default)]
    kind: Option<String>,
    printed: Option<f64>,
    #[serde(default)]
    note: Option<String>,
}

fn rows() -> Vec<Row> {
    let text = include_str!("../../../reference/published/values.toml");
    toml::from_str::<Table>(text).unwrap().value
}

#[test]
fn printed_numbers_are_reproduced() {
    let mut counts: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut seen = std::collections::BTreeSet::new();
    let mut wrong = Vec::new();
    for row in rows() {
        assert!(seen.insert(row.id.clone()), "{} stands twice", row.id);
        assert!(row.source.len() > 8, "{} has no source", row.id);
        assert!(row.note.is_none_or(|note| !note.is_empty()));
        let ours = calls::call(&row.call, &row.inputs);
        // a hair for values that lie on the edge of their own last digit in binary
        let room = row.tolerance + 1e-12 * row.expected.abs();
        if (ours - row.expected).abs() > room || ours.is_nan() {
            wrong.push(format!("{}: printed {}, ours {ours}", row.id, row.expected));
        }
        let kind = row.kind.unwrap_or_else(|| "arithmetic".to_owned());
        assert_eq!(kind == "misprint", row.printed.is_some(), "{}", row.id);
        if let Some(printed) = row.printed {
            assert!(
                (ours - printed).abs() > room,
                "{}: our answer must differ from the misprint {printed}",
                row.id
            );
        }
        *counts.entry((kind, row.tag)).or_default() += 1;
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for ((kind, tag), count) in &counts {
        println!("{kind:>10} {tag:>6} {count:>4}");
    }
    let of = |kind: &str, tag: &str| {
        counts
            .get(&(kind.to_owned(), tag.to_owned()))
            .copied()
            .unwrap_or(0)
    };
    let strong = of("arithmetic", "READ") + of("arithmetic", "CALC");
    println!("{strong} printed or calculated numbers reproduced");
    assert!(strong >= 60, "only {strong} READ and CALC rows");
    assert!(of("misprint", "CALC") >= 4);
}
