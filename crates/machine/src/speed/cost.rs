//! What a hectare costs at a speed.

use crate::MachineError;
use crate::error::above_zero;
use serde::{Deserialize, Serialize};

/// Hectares an hour that one meter of cut makes at one meter a second.
pub(crate) const HA_PER_H: f64 = 0.36;

/// One belief of how machine loss grows with speed, and how much of the belief it holds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Curve {
    /// Its share of the belief.
    pub weight: f64,
    /// Loss at the curve's own speed, kilograms a hectare.
    pub kg_per_ha: f64,
    /// Power of speed with which it grows.
    pub exponent: f64,
}

/// Machine loss: m(v) = m0 (v/v0)^b, or a mixture of such curves where they are in doubt.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MachineLoss {
    /// Speed v0 at which each curve's loss is given, meters a second.
    pub at_m_s: f64,
    /// The curves; their weights add up to 1.
    pub curves: Vec<Curve>,
}

impl MachineLoss {
    /// A loss that is known.
    pub fn known(at_m_s: f64, kg_per_ha: f64, exponent: f64) -> Self {
        let curves = vec![Curve {
            weight: 1.0,
            kg_per_ha,
            exponent,
        }];
        Self { at_m_s, curves }
    }
    /// The power law through two losses counted at two speeds: b = ln(m2/m1) / ln(v2/v1).
    ///
    /// ```
    /// // one bushel at 3 and three at 4 (Gregg 2016) grow with the power 3.82
    /// let two = machine::speed::MachineLoss::through((3.0, 1.0), (4.0, 3.0))?;
    /// assert!((two.curves[0].exponent - 3.81884).abs() < 1e-5);
    /// # Ok::<(), machine::MachineError>(())
    /// ```
    ///
    /// # Errors
    /// Speeds or losses that are not above 0, or a loss that does not grow with speed.
    pub fn through(slow: (f64, f64), fast: (f64, f64)) -> Result<Self, MachineError> {
        for (speed, loss) in [slow, fast] {
            above_zero("speed", speed, "m/s")?;
            above_zero("loss", loss, "kg/ha")?;
        }
        let exponent = (fast.1 / slow.1).ln() / (fast.0 / slow.0).ln();
        if !(exponent.is_finite() && exponent > 0.0) {
            return Err(MachineError::Refused(
                "the faster pass lost no more than the slower, so these two say nothing of a best speed; count more frames at each, or at speeds further apart".into(),
            ));
        }
        Ok(Self::known(slow.0, slow.1, exponent))
    }
    /// Mean loss over the curves at a speed, kilograms a hectare.
    pub fn kg_per_ha(&self, speed_m_s: f64) -> f64 {
        let log = (speed_m_s / self.at_m_s).ln();
        self.curves
            .iter()
            .map(|one| one.weight * one.kg_per_ha * (one.exponent * log).exp())
            .sum()
    }
    /// Speed times the slope of the loss at that speed: sum of weight x b x m(v).
    pub(crate) fn grows(&self, speed_m_s: f64) -> f64 {
        let log = (speed_m_s / self.at_m_s).ln();
        self.curves
            .iter()
            .map(|one| one.weight * one.exponent * one.kg_per_ha * (one.exponent * log).exp())
            .sum()
    }
}

/// Head loss: h(v) = h0 exp(g (v - v0)).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct HeadLoss {
    /// Speed v0 at which it was counted, meters a second.
    pub at_m_s: f64,
    /// Loss there, kilograms a hectare.
    pub kg_per_ha: f64,
    /// Growth g, a share for each meter a second; 0 where head loss does not care.
    pub per_m_s: f64,
}

impl HeadLoss {
    /// No head loss.
    pub const NONE: Self = Self {
        at_m_s: 1.0,
        kg_per_ha: 0.0,
        per_m_s: 0.0,
    };
    /// Loss at a speed, kilograms a hectare.
    pub fn kg_per_ha(self, speed_m_s: f64) -> f64 {
        self.kg_per_ha * (self.per_m_s * (speed_m_s - self.at_m_s)).exp()
    }
}

/// What time costs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Time {
    /// Width that is really cut, meters.
    pub cut_m: f64,
    /// Cost of an hour of the machine and its people.
    pub money_per_h: f64,
    /// Value of an hour finished sooner, from the plan of the days that are left; 0 where none was worked out.
    pub sooner_money_per_h: f64,
    /// Hours a hectare of turning, unloading and waiting.
    pub standing_h_per_ha: f64,
}

impl Time {
    /// Cost and value of an hour together.
    pub fn hour(self) -> f64 {
        self.money_per_h + self.sooner_money_per_h
    }
    /// Hectares an hour at a speed, turning and unloading included.
    pub fn ha_per_h(self, speed_m_s: f64) -> f64 {
        1.0 / (1.0 / (HA_PER_H * self.cut_m * speed_m_s) + self.standing_h_per_ha)
    }
}

/// All that the cost of a hectare depends on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Costs {
    /// Price of a kilogram.
    pub price_per_kg: f64,
    /// What the machine loses.
    pub machine: MachineLoss,
    /// What the head loses.
    pub head: HeadLoss,
    /// What time costs.
    pub time: Time,
}

impl Costs {
    /// Checks every figure.
    ///
    /// # Errors
    /// A figure that cannot be meant.
    pub fn check(&self) -> Result<(), MachineError> {
        above_zero("price", self.price_per_kg, "a kg")?;
        above_zero("width of cut", self.time.cut_m, "m")?;
        above_zero("cost of an hour", self.time.hour(), "an hour")?;
        above_zero("speed of the loss", self.machine.at_m_s, "m/s")?;
        for one in &self.machine.curves {
            above_zero("machine loss", one.kg_per_ha, "kg/ha")?;
            above_zero("exponent of speed", one.exponent, "")?;
        }
        if self.machine.curves.is_empty() {
            return Err(MachineError::odd(
                "machine loss",
                "none",
                "one curve or more",
            ));
        }
        for (what, value) in [
            ("head loss", self.head.kg_per_ha),
            ("growth of the head loss", self.head.per_m_s),
            ("hours of turning", self.time.standing_h_per_ha),
            (
                "value of an hour finished sooner",
                self.time.sooner_money_per_h,
            ),
        ] {
            if !(value.is_finite() && value >= 0.0) {
                return Err(MachineError::odd(what, value, "a number of 0 or more"));
            }
        }
        Ok(())
    }
    /// Money a hectare at a speed.
    pub(crate) fn money_per_ha(&self, speed_m_s: f64) -> f64 {
        at(self, speed_m_s).money_per_ha
    }
    /// v^2 times the slope of the cost, which rises with v: its one root is the best speed.
    pub(crate) fn tilt(&self, v: f64) -> f64 {
        let head = self.head.kg_per_ha(v) * self.head.per_m_s * v * v;
        self.price_per_kg * (head + self.machine.grows(v) * v)
            - self.time.hour() / (HA_PER_H * self.time.cut_m)
    }
}

/// The cost of a hectare at a speed, part by part.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Cost {
    /// Speed, meters a second.
    pub speed_m_s: f64,
    /// Machine loss, kilograms a hectare.
    pub machine_kg_per_ha: f64,
    /// Head loss, kilograms a hectare.
    pub head_kg_per_ha: f64,
    /// What both losses would have been sold for.
    pub loss_money_per_ha: f64,
    /// Time on the move.
    pub moving_money_per_ha: f64,
    /// Time turning, unloading and waiting.
    pub standing_money_per_ha: f64,
    /// All of it.
    pub money_per_ha: f64,
    /// The part that speed changes: without standing time, and without head loss where that does not grow.
    pub depends_money_per_ha: f64,
    /// Hectares an hour.
    pub ha_per_h: f64,
    /// Share of the time in the field that the machine cuts.
    pub efficiency: f64,
}

/// The cost of a hectare at a speed.
pub fn at(costs: &Costs, speed_m_s: f64) -> Cost {
    let machine = costs.machine.kg_per_ha(speed_m_s);
    let head = costs.head.kg_per_ha(speed_m_s);
    let hour = costs.time.hour();
    let loss = costs.price_per_kg * (machine + head);
    let moving = hour / (HA_PER_H * costs.time.cut_m * speed_m_s);
    let standing = hour * costs.time.standing_h_per_ha;
    let flat_head = if costs.head.per_m_s > 0.0 { 0.0 } else { head };
    Cost {
        speed_m_s,
        machine_kg_per_ha: machine,
        head_kg_per_ha: head,
        loss_money_per_ha: loss,
        moving_money_per_ha: moving,
        standing_money_per_ha: standing,
        money_per_ha: loss + moving + standing,
        depends_money_per_ha: loss + moving - costs.price_per_kg * flat_head,
        ha_per_h: costs.time.ha_per_h(speed_m_s),
        efficiency: moving / (moving + standing),
    }
}

/// The best speed of one curve whose head loss does not grow:
/// v* = v0 \[(K + V) / (c v0 p b m0)\]^(1/(b+1)).
pub fn closed_form(at_m_s: f64, curve: Curve, price_per_kg: f64, time: Time) -> f64 {
    let moving = HA_PER_H * time.cut_m * at_m_s * price_per_kg * curve.exponent * curve.kg_per_ha;
    at_m_s * (time.hour() / moving).powf(1.0 / (curve.exponent + 1.0))
}
