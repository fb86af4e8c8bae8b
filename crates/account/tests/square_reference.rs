//! Agreement with an independent dense solver on a random network of 40 slips.
//!
//! Numbers and the script that made them: `reference/square`.

use account::square::network::{Measurement, Model, Network, fit, tests};
use serde_json::Value;
use std::path::Path;

const TOLERANCE: f64 = 1e-8;

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number in the reference file")
}

fn index(value: &Value) -> usize {
    usize::try_from(value.as_u64().expect("an index in the reference file")).expect("small")
}

fn list(value: &Value) -> &Vec<Value> {
    value.as_array().expect("a list in the reference file")
}

fn row(value: &Value) -> Vec<(usize, f64)> {
    list(value)
        .iter()
        .map(|t| (index(&t[0]), number(&t[1])))
        .collect()
}

fn network(file: &Value) -> Network {
    let mut network = Network::default();
    for start in list(&file["unknowns"]) {
        network.nuisance(number(start));
    }
    for balance in list(&file["balances"]) {
        network.balance(row(&balance["terms"]), number(&balance["total"]));
    }
    for m in list(&file["measurements"]) {
        let model = if m["kind"] == "linear" {
            Model::Linear {
                terms: row(&m["terms"]),
                value: number(&m["value"]),
            }
        } else {
            Model::Quotient {
                mass: index(&m["mass"]),
                factor: Some(index(&m["factor"])),
                terms: Vec::new(),
                reading: number(&m["reading"]),
                relative: number(&m["relative"]),
            }
        };
        network.measure(Measurement {
            model,
            sd: number(&m["sd"]),
            tested: m["tested"].as_bool().expect("a flag"),
        });
    }
    network
}

#[test]
fn a_random_network_of_forty_slips_agrees_with_a_dense_solver() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../reference/square/random40.json");
    let text = std::fs::read_to_string(path).expect("the reference file is committed");
    let file: Value = serde_json::from_str(&text).expect("the reference file is JSON");
    let network = network(&file);
    let fit = fit(&network).expect("the network is sound");
    let near = |found: f64, wanted: f64, scale: f64, what: &str| {
        assert!(
            (found - wanted).abs() <= TOLERANCE * scale.abs().max(1.0),
            "{what}: found {found}, dense solver {wanted}"
        );
    };
    for (at, wanted) in list(&file["values"]).iter().enumerate() {
        near(fit.values[at], number(wanted), number(wanted), "value");
    }
    for (at, (found, wanted)) in fit.errors().iter().zip(list(&file["errors"])).enumerate() {
        let wanted = number(wanted);
        let found = found.expect("every unknown is determined");
        assert!(
            (found / wanted - 1.0).abs() <= TOLERANCE,
            "error {at}: {found} {wanted}"
        );
    }
    for (at, wanted) in list(&file["residuals"]).iter().enumerate() {
        near(
            fit.residuals[at],
            number(wanted),
            fit.variances[at].sqrt(),
            "residual",
        );
    }
    let tests = tests(&network, &fit);
    let mut tested = 0;
    for (found, wanted) in tests.z.iter().zip(list(&file["z"])) {
        assert_eq!(
            found.is_some(),
            !wanted.is_null(),
            "which measurements are checked"
        );
        if let Some(found) = found {
            near(*found, number(wanted), 1.0, "z");
            tested += 1;
        }
    }
    assert!(tested > 30);
    near(
        fit.chi_square,
        number(&file["chi_square"]),
        1.0,
        "chi-square",
    );
    assert_eq!(fit.dof, index(&file["dof"]));
}
