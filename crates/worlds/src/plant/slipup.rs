//! One mistake with one slip: what would have been typed.

use super::{Change, Typist, WEIGHT_PARTS};
use crate::mistake::{Filling, MistakeKind, Part};
use crate::paper::{PlaceKind, Slip, Weight};
use numeric::stream::Stream;
use quantity::MassUnit;

/// A mistake before it is written into the record.
#[derive(Debug, Clone)]
pub(crate) struct Slipup {
    pub(crate) change: Change,
    pub(crate) part: Part,
    pub(crate) typed: String,
    pub(crate) right: String,
    pub(crate) change_dry_lb: f64,
    /// Fillings concerned beside the slip's own.
    pub(crate) also: Vec<Filling>,
}

/// What would have been typed, or `None` when this slip cannot have such a mistake.
pub(crate) fn make(
    kind: MistakeKind,
    slip: &Slip,
    typist: &Typist<'_>,
    stream: &mut Stream,
) -> Option<Slipup> {
    match kind {
        MistakeKind::Swapped => digits(slip, typist, stream, swapped),
        MistakeKind::Digit => digits(slip, typist, stream, one_off),
        MistakeKind::TareNotTaken => tare_not_taken(slip, typist),
        MistakeKind::GrossAsNet => gross_as_net(slip, typist),
        MistakeKind::OtherTare => other_tare(slip, typist, stream),
        MistakeKind::WrongUnit => wrong_unit(slip, typist),
        MistakeKind::MoistureTenfold => moisture(slip, typist, tenfold(slip)?),
        MistakeKind::TestWeightAsMoisture => moisture(slip, typist, slip.test_weight_lb_bu?),
        MistakeKind::Twice => twice(slip, typist, stream),
        MistakeKind::Missing => missing(slip, typist),
        MistakeKind::WrongWagon => wrong_wagon(slip, typist, stream),
        MistakeKind::WrongField => wrong_field(slip, typist, stream),
        MistakeKind::MonitorGap => monitor_gap(slip, typist, stream),
    }
}

/// Dry mass as a slip's digits have it, lb; a monitor's times its true factor.
fn written_dry_lb(slip: &Slip, typist: &Typist<'_>) -> Option<f64> {
    let in_lb =
        |digits: i64, unit: MassUnit| digits as f64 * unit.per() as f64 / MassUnit::Lb.per() as f64;
    let dry = |wet: f64| {
        slip.moisture
            .as_ref()
            .map(|m| wet * (1.0 - m.percent / 100.0))
    };
    match &slip.weight {
        Weight::Scale { net, unit, .. } => dry(in_lb(*net, *unit)),
        Weight::Monitor {
            machine,
            reading,
            unit,
        } => {
            let k = typist
                .truth
                .factors
                .iter()
                .find(|f| f.machine == *machine && f.crop == slip.crop)
                .map_or(1.0, |f| f.k);
            let read = in_lb(*reading, *unit);
            Some(k * dry(read).unwrap_or(read))
        }
        Weight::Eye { lb, .. } => dry(*lb as f64),
        Weight::Unknown => None,
    }
}

fn instead(
    typed: Slip,
    slip: &Slip,
    typist: &Typist<'_>,
    part: Part,
    texts: (String, String),
) -> Option<Slipup> {
    let change_dry_lb = written_dry_lb(&typed, typist)? - written_dry_lb(slip, typist)?;
    Some(Slipup {
        change: Change::Instead(Box::new(typed)),
        part,
        typed: texts.0,
        right: texts.1,
        change_dry_lb,
        also: Vec::new(),
    })
}

/// The digits in one part of a weight.
fn part_of(weight: &Weight, part: Part) -> Option<i64> {
    match (weight, part) {
        (Weight::Scale { gross, .. }, Part::Gross) => *gross,
        (Weight::Scale { tare, .. }, Part::Tare) => *tare,
        (Weight::Scale { gross, net, .. }, Part::Net) if gross.is_none() => Some(*net),
        (Weight::Monitor { reading, .. }, Part::Reading) => Some(*reading),
        _ => None,
    }
}

/// The slip with other digits in one part, and its net worked out again.
fn with_part(slip: &Slip, part: Part, value: i64) -> Option<Slip> {
    let mut typed = slip.clone();
    match &mut typed.weight {
        Weight::Scale {
            gross,
            tare,
            net,
            shared_tare,
            ..
        } => {
            match part {
                Part::Gross => *gross = Some(value),
                Part::Tare => {
                    *tare = Some(value);
                    *shared_tare = None;
                }
                _ => *net = value,
            }
            if let (Some(gross), Some(tare)) = (*gross, *tare) {
                *net = gross - tare;
            }
            (*net > 0).then_some(typed)
        }
        Weight::Monitor { reading, .. } => {
            *reading = value;
            (value > 0).then_some(typed)
        }
        _ => None,
    }
}

fn digits(
    slip: &Slip,
    typist: &Typist<'_>,
    stream: &mut Stream,
    spoil: fn(i64, &mut Stream) -> Option<i64>,
) -> Option<Slipup> {
    let parts: Vec<Part> = WEIGHT_PARTS
        .into_iter()
        .filter(|part| part_of(&slip.weight, *part).is_some())
        .collect();
    let part = *stream.choice(&parts)?;
    let right = part_of(&slip.weight, part)?;
    let wrong = spoil(right, stream).filter(|wrong| *wrong != right)?;
    let typed = with_part(slip, part, wrong)?;
    instead(
        typed,
        slip,
        typist,
        part,
        (wrong.to_string(), right.to_string()),
    )
}

/// Two neighboring digits swapped.
fn swapped(value: i64, stream: &mut Stream) -> Option<i64> {
    let mut text = value.to_string().into_bytes();
    if text.len() < 2 {
        return None;
    }
    let at = stream.below(text.len() - 1);
    text.swap(at, at + 1);
    read(&text)
}

/// One digit, any but the last, typed as another.
fn one_off(value: i64, stream: &mut Stream) -> Option<i64> {
    let mut text = value.to_string().into_bytes();
    if text.len() < 2 {
        return None;
    }
    let at = stream.below(text.len() - 1);
    text[at] = b'0' + stream.below(10) as u8;
    read(&text)
}

fn read(text: &[u8]) -> Option<i64> {
    std::str::from_utf8(text)
        .ok()?
        .parse()
        .ok()
        .filter(|value| *value > 0 && text[0] != b'0')
}

fn tare_not_taken(slip: &Slip, typist: &Typist<'_>) -> Option<Slipup> {
    let mut typed = slip.clone();
    let Weight::Scale {
        gross: Some(gross),
        tare,
        net,
        shared_tare,
        ..
    } = &mut typed.weight
    else {
        return None;
    };
    let right = (*tare)?;
    *tare = None;
    *shared_tare = None;
    *net = *gross;
    instead(
        typed,
        slip,
        typist,
        Part::Tare,
        ("none".to_owned(), right.to_string()),
    )
}

fn gross_as_net(slip: &Slip, typist: &Typist<'_>) -> Option<Slipup> {
    let gross = *typist.truth.paper_gross.get(&slip.id)?;
    let right = part_of(&slip.weight, Part::Net)?;
    let typed = with_part(slip, Part::Net, gross)?;
    instead(
        typed,
        slip,
        typist,
        Part::Net,
        (gross.to_string(), right.to_string()),
    )
}

fn other_tare(slip: &Slip, typist: &Typist<'_>, stream: &mut Stream) -> Option<Slipup> {
    let Weight::Scale {
        gross: Some(_),
        tare: Some(right),
        unit,
        step,
        ..
    } = slip.weight
    else {
        return None;
    };
    let [from] = slip.from.as_slice() else {
        return None;
    };
    let others: Vec<i64> = typist
        .paper
        .places
        .iter()
        .filter(|p| p.id != *from && p.kind == PlaceKind::Wagon)
        .filter_map(|p| p.tare_lb)
        .map(|lb| crate::scribe::digits(lb as f64, unit, step))
        .filter(|tare| (tare - right).abs() >= 10 * step)
        .collect();
    let wrong = *stream.choice(&others)?;
    let typed = with_part(slip, Part::Tare, wrong)?;
    instead(
        typed,
        slip,
        typist,
        Part::Tare,
        (wrong.to_string(), right.to_string()),
    )
}

fn wrong_unit(slip: &Slip, typist: &Typist<'_>) -> Option<Slipup> {
    let mut typed = slip.clone();
    let (Weight::Scale { unit, .. } | Weight::Monitor { unit, .. }) = &mut typed.weight else {
        return None;
    };
    let (wrong, texts) = match unit {
        MassUnit::Kg => (MassUnit::Lb, ("lb", "kg")),
        _ => (MassUnit::Kg, ("kg", "lb")),
    };
    *unit = wrong;
    let texts = (texts.0.to_owned(), texts.1.to_owned());
    instead(typed, slip, typist, Part::Unit, texts)
}

/// The decimal point one place to the left (to the right is past any moisture, and refused).
fn tenfold(slip: &Slip) -> Option<f64> {
    let percent = slip.moisture.as_ref()?.percent;
    Some((percent * 10.0).round() / 100.0)
}

fn moisture(slip: &Slip, typist: &Typist<'_>, percent: f64) -> Option<Slipup> {
    if matches!(slip.weight, Weight::Unknown) {
        return None;
    }
    let mut typed = slip.clone();
    let reading = typed.moisture.as_mut()?;
    let right = reading.percent;
    reading.percent = percent;
    instead(
        typed,
        slip,
        typist,
        Part::Moisture,
        (percent.to_string(), right.to_string()),
    )
}

/// A scale slip or a tank: the slips whose absence or doubling somebody would notice.
fn counts(slip: &Slip) -> bool {
    matches!(slip.weight, Weight::Scale { .. } | Weight::Monitor { .. })
}

fn whole(slip: &Slip, typist: &Typist<'_>, change: Change, sign: f64) -> Option<Slipup> {
    let dry = typist.truth.dry_lb.get(&slip.id)?;
    Some(Slipup {
        change,
        part: Part::Slip,
        typed: String::new(),
        right: String::new(),
        change_dry_lb: sign * dry,
        also: typist.next_fillings(slip),
    })
}

impl Typist<'_> {
    /// The next fillings of the wagons that a slip empties: where its error lands too.
    fn next_fillings(&self, slip: &Slip) -> Vec<Filling> {
        if !slip.empties {
            return Vec::new();
        }
        slip.from
            .iter()
            .filter_map(|place| self.filling_after(place, slip.at_ms))
            .collect()
    }
}

fn twice(slip: &Slip, typist: &Typist<'_>, stream: &mut Stream) -> Option<Slipup> {
    if !counts(slip) {
        return None;
    }
    let minutes = stream.whole(3, 25);
    let mut again = slip.clone();
    again.id.push('b');
    again.at_ms += minutes * 60_000 + 17;
    let on_wheels = [slip.from.as_slice(), std::slice::from_ref(&slip.to)].concat();
    for place in &on_wheels {
        if typist.kind_of(place) == Some(PlaceKind::Wagon) {
            // before the wagon's next slip, or it would not look like the same load
            if typist
                .next_at(place, slip.at_ms)
                .is_some_and(|next| next.at_ms <= again.at_ms)
            {
                return None;
            }
        }
    }
    let number: i64 = slip.number.as_ref()?.parse().ok()?;
    again.number = Some((number + stream.whole(1, 3)).to_string());
    let mut slipup = whole(slip, typist, Change::Beside(Box::new(again)), 1.0)?;
    "twice".clone_into(&mut slipup.typed);
    "once".clone_into(&mut slipup.right);
    Some(slipup)
}

fn missing(slip: &Slip, typist: &Typist<'_>) -> Option<Slipup> {
    if !counts(slip) {
        return None;
    }
    let mut slipup = whole(slip, typist, Change::Gone, -1.0)?;
    "nothing".clone_into(&mut slipup.typed);
    slipup.right = format!("slip {}", slip.number.as_deref().unwrap_or("unnumbered"));
    Some(slipup)
}

fn wrong_wagon(slip: &Slip, typist: &Typist<'_>, stream: &mut Stream) -> Option<Slipup> {
    if !counts(slip) {
        return None;
    }
    let into = typist.kind_of(&slip.to) == Some(PlaceKind::Wagon);
    let out =
        matches!(slip.from.as_slice(), [from] if typist.kind_of(from) == Some(PlaceKind::Wagon));
    if into == out {
        return None;
    }
    let right = if into { &slip.to } else { &slip.from[0] };
    let others: Vec<&str> = typist
        .paper
        .places
        .iter()
        .filter(|p| p.kind == PlaceKind::Wagon && p.id != *right)
        .map(|p| p.id.as_str())
        .filter(|place| {
            // a wagon that goes on to carry the same crop, or the mistake would be plain to see
            typist
                .next_at(place, slip.at_ms)
                .is_some_and(|next| next.crop == slip.crop)
        })
        .collect();
    let wrong = (*stream.choice(&others)?).to_owned();
    let mut typed = slip.clone();
    let part = if into {
        typed.to.clone_from(&wrong);
        Part::To
    } else {
        typed.from = vec![wrong.clone()];
        Part::From
    };
    let mut slipup = whole(slip, typist, Change::Instead(Box::new(typed)), 1.0)?;
    if let Some(there) = typist.filling_after(&wrong, slip.at_ms) {
        slipup.also.push(there);
    }
    slipup.part = part;
    slipup.right.clone_from(right);
    slipup.typed = wrong;
    Some(slipup)
}

fn wrong_field(slip: &Slip, typist: &Typist<'_>, stream: &mut Stream) -> Option<Slipup> {
    let [right] = slip.from.as_slice() else {
        return None;
    };
    if !counts(slip) || typist.kind_of(right) != Some(PlaceKind::Standing) {
        return None;
    }
    let others: Vec<(String, String)> = typist
        .paper
        .slips
        .iter()
        .filter(|other| other.crop != slip.crop)
        .filter(|other| {
            other
                .from
                .first()
                .is_some_and(|f| typist.kind_of(f) == Some(PlaceKind::Standing))
        })
        .map(|other| (other.from[0].clone(), other.crop.clone()))
        .collect();
    let (field, crop) = stream.choice(&others)?.clone();
    let mut typed = slip.clone();
    typed.from = vec![field.clone()];
    typed.crop = crop;
    let mut slipup = whole(slip, typist, Change::Instead(Box::new(typed)), 1.0)?;
    slipup.part = Part::From;
    slipup.typed = field;
    slipup.right.clone_from(right);
    Some(slipup)
}

fn monitor_gap(slip: &Slip, typist: &Typist<'_>, stream: &mut Stream) -> Option<Slipup> {
    let reading = part_of(&slip.weight, Part::Reading)?;
    let seen = stream.between(0.3, 0.85);
    let wrong = (reading as f64 * seen / 10.0).round() as i64 * 10;
    let typed = with_part(slip, Part::Reading, wrong)?;
    instead(
        typed,
        slip,
        typist,
        Part::Reading,
        (wrong.to_string(), reading.to_string()),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_change_as_named() {
        let mut stream = Stream::new(1, "digits", 0);
        for _ in 0..200 {
            if let Some(value) = swapped(12_620, &mut stream) {
                let mut digits: Vec<u8> = value.to_string().into_bytes();
                digits.sort_unstable();
                assert_eq!(digits, b"01226");
            }
            if let Some(value) = one_off(12_620, &mut stream) {
                let off = value
                    .to_string()
                    .bytes()
                    .zip("12620".bytes())
                    .filter(|(a, b)| a != b)
                    .count();
                assert!(off <= 1);
            }
        }
    }
}
