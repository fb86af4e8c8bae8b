//! Squaring any network of measured flows, given as JSON.

use crate::{DeskError, Why};
use account::square::network::{Measurement, Model, Network, judge};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A network as written: streams by name, exact balances and measurements.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    /// Chance of a false alarm; 0.05 if left out.
    #[serde(default)]
    level: Option<f64>,
    /// Each balance: stream name to coefficient; `total` is 0 if left out.
    balances: Vec<AskedBalance>,
    /// Measurements, any number a stream.
    measurements: Vec<AskedMeasurement>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct AskedBalance {
    terms: BTreeMap<String, f64>,
    #[serde(default)]
    total: f64,
}

/// A measurement of one stream, by itself or through a factor (`value` is then a reading that is
/// true / factor); `prior` names one that is believed and not tested.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct AskedMeasurement {
    #[serde(default)]
    name: Option<String>,
    of: String,
    value: f64,
    #[serde(default)]
    sd: f64,
    #[serde(default)]
    relative_sd: f64,
    #[serde(default)]
    factor: Option<String>,
    #[serde(default)]
    factor_form: FactorForm,
    #[serde(default)]
    prior: bool,
}

/// How a reading meets its factor.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(rename_all = "snake_case")]
enum FactorForm {
    /// reading = mass / factor, error relative to the mean of both sides.
    #[default]
    Quotient,
    /// 0 = reading x factor - mass, error relative to the reading.
    Product,
}

/// The squared network.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NetworkAnswer {
    /// Whether no test alarms.
    pub square: bool,
    /// Sum of squared residuals over their standard errors.
    pub chi_square: f64,
    /// Degrees of freedom.
    pub dof: usize,
    /// The |z| that alarms.
    pub critical_z: f64,
    /// Each stream: squared value and standard error (null where nothing determines it).
    pub streams: Vec<Stream>,
    /// Each measurement: as measured, residual and test.
    pub measurements: Vec<Tested>,
    /// What was set aside, in order, each with the measurements that no test can tell from it.
    pub set_aside: Vec<SetAside>,
    /// Where the figures came from.
    pub why: Vec<Why>,
}

/// One stream.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stream {
    /// Its name.
    pub name: String,
    /// Squared value.
    pub squared: f64,
    /// Standard error.
    pub se: Option<f64>,
}

/// One measurement.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tested {
    /// Its name.
    pub name: String,
    /// As measured.
    pub value: f64,
    /// Residual at the fit.
    pub residual: f64,
    /// Residual over its standard error; null where nothing checks it.
    pub z: Option<f64>,
}

/// One measurement set aside.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetAside {
    /// Its name.
    pub name: String,
    /// Its test when it was set aside.
    pub z: f64,
    /// Measurements that no test can tell from it.
    pub alike: Vec<String>,
}

/// Squares a network given as JSON.
///
/// # Errors
/// Text that is not such a network, a standard error that is not positive, balances that cannot hold.
pub fn network(text: &str) -> Result<NetworkAnswer, DeskError> {
    let asked: Asked =
        serde_json::from_str(text).map_err(|why| DeskError::figure("network", why))?;
    let level = asked.level.unwrap_or(0.05);
    if !(0.0005..=0.5).contains(&level) {
        return Err(DeskError::figure(
            "level",
            format!("found {level}, expected 0.0005 to 0.5"),
        ));
    }
    let mut network = Network::default();
    let mut names: BTreeMap<String, usize> = BTreeMap::new();
    let mut order: Vec<String> = Vec::new();
    let factors: Vec<&String> = asked
        .measurements
        .iter()
        .filter_map(|m| m.factor.as_ref())
        .collect();
    let mut unknown = |network: &mut Network, name: &String, start: f64| -> usize {
        *names.entry(name.clone()).or_insert_with(|| {
            order.push(name.clone());
            if factors.contains(&name) {
                network.nuisance(1.0)
            } else {
                network.nuisance(start)
            }
        })
    };
    for measurement in &asked.measurements {
        unknown(&mut network, &measurement.of, measurement.value);
        if let Some(factor) = &measurement.factor {
            unknown(&mut network, factor, 1.0);
        }
    }
    for balance in &asked.balances {
        let terms = balance
            .terms
            .iter()
            .map(|(name, by)| (unknown(&mut network, name, 0.0), *by))
            .collect();
        network.balance(terms, balance.total);
    }
    for one in &asked.measurements {
        let of = unknown(&mut network, &one.of, one.value);
        let factor = one
            .factor
            .as_ref()
            .map(|name| unknown(&mut network, name, 1.0));
        let model = match (factor, one.factor_form) {
            (Some(factor), FactorForm::Product) => Model::Product {
                mass: of,
                factor,
                reading: one.value,
                relative: one.relative_sd,
            },
            (None, _) if one.relative_sd == 0.0 => Model::Linear {
                terms: vec![(of, 1.0)],
                value: one.value,
            },
            (factor, _) => Model::Quotient {
                mass: of,
                factor,
                terms: Vec::new(),
                reading: one.value,
                relative: one.relative_sd,
            },
        };
        network.measure(Measurement {
            model,
            sd: one.sd,
            tested: !one.prior,
        });
    }
    let verdict = judge(&network, level).map_err(|why| DeskError::Refused(why.to_string()))?;
    let name_of = |index: usize| {
        let one = &asked.measurements[index];
        one.name
            .clone()
            .unwrap_or_else(|| format!("{} ({})", one.of, index + 1))
    };
    let first = &verdict.first;
    let errors = first.errors();
    Ok(NetworkAnswer {
        square: verdict.aside.is_empty(),
        chi_square: first.chi_square,
        dof: first.dof,
        critical_z: verdict.critical,
        streams: order
            .iter()
            .enumerate()
            .map(|(index, name)| Stream {
                name: name.clone(),
                squared: first.values[index],
                se: errors[index],
            })
            .collect(),
        measurements: asked
            .measurements
            .iter()
            .enumerate()
            .map(|(index, one)| Tested {
                name: name_of(index),
                value: one.value,
                residual: first.residuals[index],
                z: verdict.tests.z[index],
            })
            .collect(),
        set_aside: verdict
            .aside
            .iter()
            .map(|aside| SetAside {
                name: name_of(aside.measurement),
                z: aside.z,
                alike: aside
                    .alike
                    .iter()
                    .map(|(index, _)| name_of(*index))
                    .collect(),
            })
            .collect(),
        why: vec![Why::new(
            "squared values",
            format!("chi-square {:.4} on {}", first.chi_square, first.dof),
            "least squares of the measurements, weights 1/sd^2, under balances that hold exactly",
            "Kuehn and Davidson 1961; Mah, Stanley and Downing 1976; Mah and Tamhane 1982 (from memory)",
        )],
    })
}
