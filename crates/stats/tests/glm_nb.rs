//! Negative binomial fits against `glm.nb` of R's MASS; numbers and script in `reference/counts`.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

use serde::Deserialize;
use std::path::Path;
use std::process::Command;

#[derive(Deserialize)]
struct Reference {
    fits: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    name: String,
    #[serde(flatten)]
    told: Option<Told>,
    glm_nb: Made,
}

#[derive(Deserialize)]
struct Told {
    counts: Vec<u32>,
    rows: Vec<Vec<f64>>,
    #[serde(default)]
    offset: Vec<f64>,
}

#[derive(Deserialize)]
struct Made {
    coefficients: Vec<f64>,
    theta: f64,
    two_log_likelihood: f64,
    se: Vec<f64>,
}

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../reference/counts")
}

fn reference() -> Vec<Case> {
    let text = std::fs::read_to_string(folder().join("expected.json")).unwrap();
    serde_json::from_str::<Reference>(&text).unwrap().fits
}

fn agrees(name: &str, told: &Told, made: &Made) {
    let ours = stats::negbin::fit(&told.counts, &told.rows, &told.offset).unwrap();
    assert_eq!(ours.coefficients.len(), made.coefficients.len(), "{name}");
    for (at, theirs) in made.coefficients.iter().enumerate() {
        let (coefficient, se) = (ours.coefficients[at], ours.se(at));
        assert!(
            (coefficient - theirs).abs() < 1e-4,
            "{name}: {coefficient} {theirs}"
        );
        assert!(
            (se / made.se[at] - 1.0).abs() < 1e-3,
            "{name}: {se} {}",
            made.se[at]
        );
    }
    let theta = ours.theta.unwrap();
    assert!(
        (theta / made.theta - 1.0).abs() < 1e-3,
        "{name}: {theta} {}",
        made.theta
    );
    let likelihood = ours.two_log_likelihood;
    assert!(
        (likelihood / made.two_log_likelihood - 1.0).abs() < 1e-4,
        "{name}: {likelihood}"
    );
}

#[test]
fn frames_are_fitted_as_r_fits_them() {
    let mut told = 0;
    for case in reference() {
        if let Some(counts) = &case.told {
            agrees(&case.name, counts, &case.glm_nb);
            told += 1;
        }
    }
    assert_eq!(told, 3);
}

/// A data set that is R's own: read from R, never kept here.
#[test]
fn a_larger_set_with_aliased_columns_left_out_is_fitted_too() {
    let printed = Command::new("Rscript")
        .arg(folder().join("quine.R"))
        .output();
    let Some(printed) = printed.ok().filter(|output| output.status.success()) else {
        println!(
            "skipped: quine is R's own data, and R with MASS is not installed (Debian: r-base-core r-cran-mass)"
        );
        return;
    };
    let told: Told = serde_json::from_slice(&printed.stdout).unwrap();
    assert_eq!(told.counts.len(), 146);
    let case = reference();
    let case = case.iter().find(|case| case.name == "quine").unwrap();
    agrees("quine", &told, &case.glm_nb);
}
