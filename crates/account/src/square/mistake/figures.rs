//! Hypotheses about one slip's own figures: each gives another dry mass, scored by how well that
//! fits what everything else predicts, and by the farm's habits.

use super::digits;
use super::habit::{Habits, Usual};
use super::kind::{Field, MistakeKind};
use crate::slip::{ScaleClass, Slip, Weight};
use crate::square::season::build::Layout;
use quantity::{Mass, MassUnit};

/// What everything but this slip's own figure says of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Predicted {
    /// Written less predicted, in the measurement's own scale, kg.
    pub(super) off: f64,
    /// Variance of what everything else says.
    pub(super) others: f64,
    /// Variance of the slip's own error, at the figure as written.
    pub(super) own: f64,
    /// Whether that error grows with the figure.
    pub(super) relative: bool,
    /// Log density of the figure if it were a blunder of no kind that has a name.
    pub(super) ln_blunder: f64,
    /// Dry kg for one unit of the measurement.
    pub(super) scale: f64,
}

/// A candidate with its score: log prior and log likelihood against a blunder of no named kind.
#[derive(Debug, Clone)]
pub(super) struct Scored {
    pub(super) kind: MistakeKind,
    pub(super) slip: usize,
    pub(super) field: Field,
    pub(super) written: String,
    pub(super) perhaps: String,
    pub(super) other: Option<usize>,
    pub(super) change_kg: f64,
    pub(super) ln_score: f64,
}

/// Prior that one slip suffers one kind of mistake. Guesses (common practice, no source): about one
/// slip in 25 has a mistake, shared among a dozen kinds.
pub(super) const PRIOR: f64 = 0.003;
/// A tare may stray from the wagon's habit without any mistake (mud, a box of tools): its share, and
/// over how many kg.
const STRAY: (f64, f64) = (0.02, 3_000.0);

/// Least spread of what a tank is emptied at, as a share of the usual (common practice, no source).
const TANK_SPREAD: f64 = 0.15;

pub(super) fn ln_normal(off: f64, variance: f64) -> f64 {
    -0.5 * (off * off / variance + (std::f64::consts::TAU * variance).ln())
}

/// The state of a slip while one of its figures is being changed.
struct Desk<'a> {
    layout: &'a Layout<'a>,
    habits: &'a Habits,
    index: usize,
    slip: &'a Slip,
    predicted: Predicted,
    made: Vec<Scored>,
}

/// Every hypothesis about one slip's own figures.
pub(super) fn of_slip(
    layout: &Layout<'_>,
    habits: &Habits,
    index: usize,
    predicted: Predicted,
) -> Vec<Scored> {
    let mut desk = Desk {
        layout,
        habits,
        index,
        slip: layout.slips[index],
        predicted,
        made: Vec::new(),
    };
    desk.digits();
    desk.tares();
    desk.unit();
    desk.moisture();
    desk.gap();
    desk.made
}

impl Desk<'_> {
    fn written_kg(&self) -> f64 {
        self.layout.record_kg[self.index].unwrap_or(0.0)
    }

    fn dryness(&self) -> f64 {
        1.0 - self.layout.wetness[self.index].fraction
    }

    /// Log likelihood of a changed measurement against a blunder; `more` is variance that the change
    /// adds.
    fn fits(&self, dry_kg: f64, more: f64) -> f64 {
        let p = self.predicted;
        let ratio = (dry_kg / self.written_kg().max(1.0)).abs();
        // a relative error goes with the figure
        let own = if p.relative {
            p.own * ratio * ratio
        } else {
            p.own
        };
        ln_normal(p.off + dry_kg - self.written_kg(), p.others + own + more) - p.ln_blunder
    }

    fn add(
        &mut self,
        kind: MistakeKind,
        field: Field,
        texts: (String, String),
        dry_kg: f64,
        ln_score: f64,
    ) {
        if ln_score.is_finite() {
            self.made.push(Scored {
                kind,
                slip: self.index,
                field,
                written: texts.0,
                perhaps: texts.1,
                other: None,
                change_kg: (dry_kg - self.written_kg()) * self.predicted.scale,
                ln_score,
            });
        }
    }

    /// How well a tare fits this wagon's habit.
    fn ln_tare(&self, tare_kg: f64) -> f64 {
        self.habits
            .tare(&self.slip.from)
            .map_or(0.0, |usual| usual.ln_density(tare_kg, STRAY.0, STRAY.1))
    }

    fn digits(&mut self) {
        let (unit, step, parts): (MassUnit, Mass, Vec<(Field, Mass)>) = match &self.slip.weight {
            Weight::Scale {
                gross,
                tare,
                net,
                unit,
                step,
                ..
            } => {
                let mut parts: Vec<(Field, Mass)> = Vec::new();
                parts.extend(gross.map(|g| (Field::Gross, g)));
                parts.extend(tare.map(|t| (Field::Tare, t)));
                let whole = gross.zip(*tare).is_some_and(|(g, t)| g - t == *net);
                if !whole {
                    parts.push((Field::Net, *net));
                }
                (*unit, *step, parts)
            }
            Weight::Monitor { reading, unit, .. } => {
                (*unit, Mass::ZERO, vec![(Field::Reading, *reading)])
            }
            Weight::Eye { mass, .. } => (MassUnit::Lb, Mass::ZERO, vec![(Field::Net, *mass)]),
            Weight::Unknown => return,
        };
        let fields = parts.len() as f64;
        for (field, mass) in parts {
            let written = mass.to(unit).round();
            if (written - mass.to(unit)).abs() > 1e-6 || written.abs() > 9e9 || written < 1.0 {
                // not a whole number of the unit: its digits are not known
                continue;
            }
            let written = written as i64;
            let swapped = digits::swapped(written);
            let one_off = digits::one_off(written);
            let lists = [
                (MistakeKind::DigitsSwapped, swapped),
                (MistakeKind::DigitOff, one_off),
            ];
            for (kind, list) in lists {
                let each = (PRIOR / (fields * list.len().max(1) as f64)).ln();
                for other in list {
                    let after = Mass::from_units(other.saturating_mul(unit.per()));
                    if let Some((dry_kg, habit)) = self.with(field, mass, after, step) {
                        let score = each + habit + self.fits(dry_kg, 0.0);
                        let texts = (show(mass, unit), show(after, unit));
                        self.add(kind, field, texts, dry_kg, score);
                    }
                }
            }
        }
    }

    /// The dry mass with another figure in one field, and what habits say of the change.
    fn with(&self, field: Field, before: Mass, after: Mass, step: Mass) -> Option<(f64, f64)> {
        let mut habit = 0.0;
        let off_step = |mass: Mass| step.units() > 0 && mass.units() % step.units() != 0;
        match (off_step(before), off_step(after)) {
            // a scale does not print between its steps
            (true, false) => habit += 4.0,
            (_, true) => habit -= 4.0,
            _ => {}
        }
        let wet_kg = match &self.slip.weight {
            Weight::Scale {
                gross, tare, net, ..
            } => {
                let (mut gross, mut tare, mut net) = (*gross, *tare, *net);
                let whole = gross.zip(tare).is_some_and(|(g, t)| g - t == net);
                match field {
                    Field::Gross => gross = Some(after),
                    Field::Tare => tare = Some(after),
                    _ => net = after,
                }
                if let (Some(g), Some(t)) = (gross, tare) {
                    if whole {
                        net = g - t;
                    } else if g - t == net {
                        // the figures did not add up before, and now they do
                        habit += 9.0;
                    }
                }
                if field == Field::Tare {
                    habit += self.ln_tare(after.kg()) - self.ln_tare(before.kg());
                }
                net.kg()
            }
            _ => after.kg(),
        };
        let bare = self.layout.slips[self.index].moisture.is_none()
            && matches!(self.slip.weight, Weight::Monitor { .. });
        let dryness = if bare { 1.0 } else { self.dryness() };
        (wet_kg > 0.0).then_some((wet_kg * dryness, habit))
    }

    fn tares(&mut self) {
        let Weight::Scale {
            gross,
            tare,
            net,
            unit,
            class,
            ..
        } = self.slip.weight.clone()
        else {
            return;
        };
        let Some(usual) = self.habits.tare(&self.slip.from) else {
            return;
        };
        let dryness = self.dryness();
        let more = (dryness * usual.sd).powi(2);
        let without = |mass: Mass| (mass.kg() - usual.value) * dryness;
        let empty = Mass::from_kg(usual.value).map_or_else(|_| String::new(), |m| show(m, unit));
        match (gross, tare) {
            (Some(gross), None) if gross == net => {
                let dry_kg = without(gross);
                // a gross with no tare that is also the net: the form itself says so
                let score = 0.15_f64.ln() + self.fits(dry_kg, more);
                let texts = ("none".to_owned(), format!("about {empty}"));
                self.add(MistakeKind::TareNotTaken, Field::Tare, texts, dry_kg, score);
            }
            (None, _) => {
                let dry_kg = without(net);
                // a cart that weighs grain alone shows no gross
                let prior = if class == ScaleClass::Certified {
                    3.0
                } else {
                    0.1
                } * PRIOR;
                let score = prior.ln() + self.fits(dry_kg, more);
                let perhaps = Mass::from_kg(net.kg() - usual.value)
                    .map_or_else(|_| String::new(), |m| format!("about {}", show(m, unit)));
                let texts = (show(net, unit), perhaps);
                self.add(MistakeKind::GrossAsNet, Field::Net, texts, dry_kg, score);
            }
            (Some(gross), Some(tare)) => {
                if gross == net {
                    let dry_kg = (gross - tare).kg() * dryness;
                    let score = 0.3_f64.ln() + self.fits(dry_kg, 0.0);
                    let texts = (show(net, unit), show(gross - tare, unit));
                    self.add(MistakeKind::GrossAsNet, Field::Net, texts, dry_kg, score);
                }
                self.other_tare(gross, tare, usual, unit);
            }
            _ => {}
        }
    }

    fn other_tare(&mut self, gross: Mass, tare: Mass, usual: Usual, unit: MassUnit) {
        let others = self.habits.other_tares(&self.slip.from);
        let near = others
            .iter()
            .filter(|(_, kg)| (kg - tare.kg()).abs() <= 25.0)
            .min_by(|a, b| (a.1 - tare.kg()).abs().total_cmp(&(b.1 - tare.kg()).abs()));
        let Some((whose, _)) = near.cloned() else {
            return;
        };
        let dryness = self.dryness();
        let dry_kg = (gross.kg() - usual.value) * dryness;
        // the tare typed is just what the other wagon weighs: spread over the few kg that "just" means
        let exact = (1.0 / (others.len() as f64 * 25.0)).ln();
        let score = PRIOR.ln() + exact - self.ln_tare(tare.kg())
            + self.fits(dry_kg, (dryness * usual.sd).powi(2));
        let perhaps = Mass::from_kg(usual.value).map_or_else(
            |_| String::new(),
            |m| format!("about {} (this one is {whose}'s)", show(m, unit)),
        );
        let texts = (show(tare, unit), perhaps);
        self.add(MistakeKind::OtherTare, Field::Tare, texts, dry_kg, score);
    }

    fn unit(&mut self) {
        let (unit, tare) = match &self.slip.weight {
            Weight::Scale { unit, tare, .. } => (*unit, *tare),
            Weight::Monitor { unit, .. } => (*unit, None),
            _ => return,
        };
        let Some((ratio, other)) = other_unit(unit) else {
            return;
        };
        let dry_kg = self.written_kg() * ratio;
        let mut score =
            PRIOR.ln() + self.habits.other_unit(self.layout, self.index) + self.fits(dry_kg, 0.0);
        if let Some(tare) = tare {
            score += self.ln_tare(tare.kg() * ratio) - self.ln_tare(tare.kg());
        }
        let texts = (sign(unit).to_owned(), sign(other).to_owned());
        self.add(
            MistakeKind::PoundsForKilograms,
            Field::Unit,
            texts,
            dry_kg,
            score,
        );
    }

    fn moisture(&mut self) {
        let Some(reading) = &self.slip.moisture else {
            return;
        };
        let Some(usual) = self.habits.moisture(&self.slip.crop) else {
            return;
        };
        if self.dryness() <= 0.0 {
            return;
        }
        let written = reading.value.fraction();
        let wet_kg = self.written_kg() / self.dryness();
        let habit = |m: f64| usual.ln_density(m, 0.001, 0.6);
        let percent = |m: f64| format!("{:.1} %", 100.0 * m);
        for other in [written * 10.0, written / 10.0] {
            if (0.04..=0.45).contains(&other) {
                let dry_kg = wet_kg * (1.0 - other);
                // ten times the figure has a tenth of its density
                let jacobian = (other / written).ln();
                let score =
                    PRIOR.ln() + habit(other) - habit(written) + jacobian + self.fits(dry_kg, 0.0);
                let texts = (percent(written), percent(other));
                self.add(
                    MistakeKind::MoistureTenfold,
                    Field::Moisture,
                    texts,
                    dry_kg,
                    score,
                );
            }
        }
        let printed = self.layout.season.test_weights_lb_bu.get(&self.slip.id);
        let exact = printed.is_some_and(|t| (t - 100.0 * written).abs() < 0.051);
        if exact || (0.26..=0.68).contains(&written) {
            let dry_kg = wet_kg * (1.0 - usual.value);
            // which figure was typed is known when the test weight is on the slip; else it is one of
            // a few tens of points
            let figure = if exact { 1.0 / 0.001 } else { 1.0 / 0.1 };
            let score = PRIOR.ln() + f64::ln(figure) - habit(written)
                + self.fits(dry_kg, (wet_kg * usual.sd).powi(2));
            let texts = (percent(written), format!("about {}", percent(usual.value)));
            self.add(
                MistakeKind::TestWeightAsMoisture,
                Field::Moisture,
                texts,
                dry_kg,
                score,
            );
        }
    }

    /// The monitor saw between a fifth and nearly all of the tank.
    fn gap(&mut self) {
        let Weight::Monitor { unit, .. } = self.slip.weight else {
            return;
        };
        let p = self.predicted;
        let read = self.written_kg();
        let whole = read - p.off;
        if p.off >= 0.0 || read <= 0.0 {
            return;
        }
        let (low, high, steps) = (0.2, 0.95, 60);
        let width = (high - low) / f64::from(steps);
        let after = p.others + p.own * (whole / read).powi(2);
        let mut sum = 0.0;
        for step in 0..steps {
            let seen = low + (f64::from(step) + 0.5) * width;
            sum += ln_normal(read / seen - whole, after).exp() / seen * width;
        }
        // no gap hides more than a tank holds
        let over = self.habits.tank(&self.slip.crop).map_or(0.0, |tank| {
            let spread = tank.sd.max(TANK_SPREAD * tank.value);
            ((whole - tank.value) / spread).max(0.0)
        });
        let score = PRIOR.ln() + (sum / (high - low)).ln() - p.ln_blunder - 0.5 * over * over;
        let dryness = if self.slip.moisture.is_some() {
            self.dryness()
        } else {
            1.0
        };
        let text = |dry: f64| {
            Mass::from_kg(dry / dryness).map_or_else(|_| String::new(), |m| show(m, unit))
        };
        let texts = (text(read), format!("about {}", text(whole)));
        self.add(MistakeKind::MonitorGap, Field::Reading, texts, whole, score);
    }
}

/// What a mass would be if its digits were in the other unit, and which unit that is.
pub(super) fn other_unit(unit: MassUnit) -> Option<(f64, MassUnit)> {
    let per = |unit: MassUnit| unit.per() as f64;
    match unit {
        MassUnit::Lb => Some((per(MassUnit::Kg) / per(MassUnit::Lb), MassUnit::Kg)),
        MassUnit::Kg => Some((per(MassUnit::Lb) / per(MassUnit::Kg), MassUnit::Lb)),
        _ => None,
    }
}

/// The sign of a unit.
pub(super) fn sign(unit: MassUnit) -> &'static str {
    match unit {
        MassUnit::Lb => "lb",
        MassUnit::Kg => "kg",
        MassUnit::Tonne => "t",
        MassUnit::ShortTon => "ton",
        MassUnit::Cwt => "cwt",
    }
}

/// Whole figures with thousands apart, in the unit that was written.
pub(super) fn show(mass: Mass, unit: MassUnit) -> String {
    let figure = mass.to(unit);
    let whole = figure.round() as i64;
    if matches!(unit, MassUnit::Lb | MassUnit::Kg) {
        let mut text = whole.unsigned_abs().to_string();
        let mut at = text.len();
        while at > 3 {
            at -= 3;
            text.insert(at, ',');
        }
        let minus = if whole < 0 { "-" } else { "" };
        format!("{minus}{text} {}", sign(unit))
    } else {
        format!("{figure:.2} {}", sign(unit))
    }
}
