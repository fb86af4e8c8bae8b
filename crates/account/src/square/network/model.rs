//! Unknowns, exact balances and measurements: the network before it is solved.

use crate::square::SquareError;

/// A sparse row: (unknown, coefficient).
pub type Row = Vec<(usize, f64)>;

/// One unknown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unknown {
    /// Where the first linearisation stands; matters only for factors and for masses by a factor.
    pub start: f64,
    /// Cannot be below 0 (a mass); held at 0 when the fit would make it negative.
    pub non_negative: bool,
}

/// An exact balance: the terms add up to the total.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Unknowns with their coefficients.
    pub terms: Row,
    /// What they add up to.
    pub total: f64,
}

/// What a measurement says of the unknowns.
#[derive(Debug, Clone, PartialEq)]
pub enum Model {
    /// `value = terms + error`.
    Linear {
        /// Unknowns with their coefficients.
        terms: Row,
        /// As measured.
        value: f64,
    },
    /// `reading = mass / factor + terms + error`, the error being `relative` times the mean of the
    /// squared mass over the factor and the reading (held between 0.8 and 1.4 of the reading).
    ///
    /// The mean, because a per cent of the reading alone believes low readings more than high ones.
    Quotient {
        /// Which unknown is the mass.
        mass: usize,
        /// Which unknown is the factor; `None` for a guess or a bin measure, which has none.
        factor: Option<usize>,
        /// Further unknowns (a meter's offset) with their coefficients.
        terms: Row,
        /// As read.
        reading: f64,
        /// Relative standard error.
        relative: f64,
    },
    /// `0 = reading x factor - mass + error`, the error being `relative` times the reading.
    Product {
        /// Which unknown is the mass.
        mass: usize,
        /// Which unknown is the factor.
        factor: usize,
        /// As read.
        reading: f64,
        /// Relative standard error.
        relative: f64,
    },
}

/// One measurement.
#[derive(Debug, Clone, PartialEq)]
pub struct Measurement {
    /// What it says.
    pub model: Model,
    /// Standard error of the part of its error that is not relative (0 where all of it is).
    pub sd: f64,
    /// Whether it is put to the test; a prior is not.
    pub tested: bool,
}

impl Measurement {
    /// A linear measurement that is tested.
    pub fn linear(terms: Row, value: f64, sd: f64) -> Self {
        Self {
            model: Model::Linear { terms, value },
            sd,
            tested: true,
        }
    }

    /// What is believed of one unknown beforehand.
    pub fn prior(unknown: usize, value: f64, sd: f64) -> Self {
        Self {
            model: Model::Linear {
                terms: vec![(unknown, 1.0)],
                value,
            },
            sd,
            tested: false,
        }
    }
}

/// The mass that a relative error is a share of: the mean of fitted and read, but never far from what
/// was read, or a fit that is led astray by another slip's mistake would change how far this one is
/// believed.
fn believed(fitted: f64, reading: f64) -> f64 {
    let reading = reading.abs();
    (0.5 * (fitted.max(0.0) + reading)).clamp(0.8 * reading, 1.4 * reading)
}

/// A measurement linearised at a point: `rest = row . (x - point) + error`.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Linearised {
    pub(super) row: Row,
    pub(super) rest: f64,
    pub(super) variance: f64,
}

impl Measurement {
    pub(super) fn at(&self, x: &[f64]) -> Linearised {
        let dot = |terms: &Row| terms.iter().map(|&(j, a)| a * x[j]).sum::<f64>();
        match &self.model {
            Model::Linear { terms, value } => Linearised {
                row: terms.clone(),
                rest: value - dot(terms),
                variance: self.sd * self.sd,
            },
            Model::Quotient {
                mass,
                factor,
                terms,
                reading,
                relative,
            } => {
                let k = factor.map_or(1.0, |f| x[f].max(0.05));
                let shown = x[*mass] / k;
                let own = relative * believed(shown, *reading);
                let mut row = vec![(*mass, 1.0 / k)];
                row.extend(factor.map(|f| (f, -shown / k)));
                row.extend_from_slice(terms);
                Linearised {
                    rest: reading - shown - dot(terms),
                    variance: own * own + self.sd * self.sd,
                    row,
                }
            }
            Model::Product {
                mass,
                factor,
                reading,
                relative,
            } => {
                let own = relative * reading;
                Linearised {
                    // reading x k - x stands on the right, so its negative is what is left
                    rest: -(reading * x[*factor] - x[*mass]),
                    row: vec![(*factor, *reading), (*mass, -1.0)],
                    variance: own * own + self.sd * self.sd,
                }
            }
        }
    }

    /// What the measurement would read for a mass of nothing is not more than this; `None` where it does
    /// not measure one mass.
    pub(super) fn written(&self, unknowns: &[Unknown]) -> Option<f64> {
        match &self.model {
            Model::Linear { terms, value } => terms
                .iter()
                .any(|&(j, a)| a == 1.0 && unknowns[j].non_negative)
                .then_some(*value),
            Model::Quotient { reading, .. } | Model::Product { reading, .. } => Some(*reading),
        }
    }

    fn unknowns(&self) -> Row {
        match &self.model {
            Model::Linear { terms, .. } => terms.clone(),
            Model::Quotient {
                mass,
                factor,
                terms,
                ..
            } => {
                let mut all = terms.clone();
                all.push((*mass, 1.0));
                all.extend(factor.map(|f| (f, 1.0)));
                all
            }
            Model::Product { mass, factor, .. } => vec![(*mass, 1.0), (*factor, 1.0)],
        }
    }
}

/// A network to be squared.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Network {
    /// The unknowns; rows name them by index.
    pub unknowns: Vec<Unknown>,
    /// The exact balances.
    pub balances: Vec<Balance>,
    /// The measurements and priors.
    pub measurements: Vec<Measurement>,
}

impl Network {
    /// Adds an unknown mass and returns its index.
    pub fn mass(&mut self, start: f64) -> usize {
        self.unknowns.push(Unknown {
            start,
            non_negative: true,
        });
        self.unknowns.len() - 1
    }

    /// Adds an unknown that may have either sign (an offset, an error), or a factor.
    pub fn nuisance(&mut self, start: f64) -> usize {
        self.unknowns.push(Unknown {
            start,
            non_negative: false,
        });
        self.unknowns.len() - 1
    }

    /// Adds a balance.
    pub fn balance(&mut self, terms: Row, total: f64) {
        self.balances.push(Balance { terms, total });
    }

    /// Adds a measurement and returns its index.
    pub fn measure(&mut self, measurement: Measurement) -> usize {
        self.measurements.push(measurement);
        self.measurements.len() - 1
    }

    /// Checks what the arithmetic relies on.
    pub(super) fn check(&self) -> Result<(), SquareError> {
        let unknowns = self.unknowns.len();
        let rows = self
            .balances
            .iter()
            .map(|b| b.terms.clone())
            .chain(self.measurements.iter().map(Measurement::unknowns));
        for row in rows {
            if let Some(&(found, _)) = row.iter().find(|t| t.0 >= unknowns) {
                return Err(SquareError::UnknownOutOfRange { found, unknowns });
            }
        }
        for (index, measurement) in self.measurements.iter().enumerate() {
            let relative = match &measurement.model {
                Model::Linear { .. } => 0.0,
                Model::Quotient { relative, .. } => *relative,
                Model::Product {
                    relative, reading, ..
                } => relative * reading.abs(),
            };
            let found = measurement.sd.max(relative);
            if !(found > 0.0 && found.is_finite() && measurement.sd >= 0.0) {
                return Err(SquareError::BadStandardError {
                    what: format!("measurement {index}"),
                    found,
                });
            }
        }
        Ok(())
    }
}
