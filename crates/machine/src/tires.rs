//! Tire pressures, held under what the tire and the rim are marked for.
//!
//! Nothing here knows a tire: the marks and the load table are what the user reads off the tire, the rim
//! and the maker's sheet. A tire that ran at 80 % of its pressure or less may be broken inside and is not
//! pumped up on the machine.
//!
//! Limitations: a warm tire reads high, so that only a cold reading is judged against the target; dual
//! tires, water ballast and road speed are the tire maker's to say.

use crate::MachineError;
use crate::error::above_zero;
use serde::{Deserialize, Serialize};

/// One line of a maker's load table: what the tire carries at a pressure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LoadAt {
    /// Cold pressure, kilopascals.
    pub kpa: f64,
    /// What one tire carries then, kilograms.
    pub load_kg: f64,
}

/// What is known of a tire.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tire {
    /// Most pressure marked on the tire, kilopascals.
    pub tire_most_kpa: f64,
    /// Most pressure marked on the rim, kilopascals.
    pub rim_most_kpa: f64,
    /// The pressure wanted, cold, kilopascals; else it is looked up for the load.
    pub wanted_kpa: Option<f64>,
    /// The load on the tire, kilograms.
    pub load_kg: Option<f64>,
    /// The maker's load table, as typed.
    pub table: Vec<LoadAt>,
    /// What the gauge shows, kilopascals.
    pub read_kpa: Option<f64>,
    /// Whether the tire is cold: not driven for some hours.
    pub cold: bool,
}

/// Which mark governs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Governs {
    /// The tire's.
    Tire,
    /// The rim's.
    Rim,
}

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TireSays {
    /// It ran at 80 % or less: leave the air out, have it taken off and looked at.
    TakeOff,
    /// What is wanted is above a mark: never; carry less, or fit other tires and rims.
    AboveMark,
    /// It reads above a mark now: stand aside, let it cool, let down to the target.
    OverNow,
    /// Read it cold before anything is changed.
    WaitCold,
    /// Pump up to the target.
    PumpUp,
    /// Let down to the target.
    LetDown,
    /// Leave it.
    Leave,
    /// No reading yet: the target and its limit only.
    NotRead,
}

/// The answer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TireAnswer {
    /// What to do.
    pub says: TireSays,
    /// The lower of both marks, kilopascals: never above it.
    pub most_kpa: f64,
    /// Whose mark that is.
    pub governs: Governs,
    /// The pressure wanted, cold, kilopascals.
    pub target_kpa: f64,
    /// The reading as a share of the target.
    pub share: Option<f64>,
    /// What the tire carries at the limit by the table, kilograms; `None` where the table does not reach it.
    pub load_at_most_kg: Option<f64>,
}

/// Within so much of the target a tire is left alone: what two gauges differ by (a guess).
const NEAR: f64 = 0.03;

/// The pressure that a load wants by the maker's table: between its lines in proportion, at least the
/// lowest line's, never past its end.
///
/// ```
/// use machine::tires::{LoadAt, pressure_for};
/// let table = [LoadAt { kpa: 200.0, load_kg: 1_000.0 }, LoadAt { kpa: 300.0, load_kg: 1_400.0 }];
/// assert_eq!(pressure_for(&table, 1_200.0)?, 250.0);
/// assert!(pressure_for(&table, 1_500.0).is_err());
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// A table whose loads do not rise with pressure, a load above its end.
pub fn pressure_for(table: &[LoadAt], load_kg: f64) -> Result<f64, MachineError> {
    let rows = sorted(table)?;
    let load = above_zero("load on the tire", load_kg, "kg")?;
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
        return Err(MachineError::Refused(
            "the tire's load table is empty; type the maker's lines, pressure and load".to_owned(),
        ));
    };
    if load <= first.load_kg {
        return Ok(first.kpa);
    }
    if load > last.load_kg {
        return Err(MachineError::Refused(format!(
            "the load is {load:.0} kg ({:.0} lb) a tire and the table ends at {:.0} kg ({:.0} lb); carry less, or fit tires that carry it",
            load / 0.453_592_37,
            last.load_kg,
            last.load_kg / 0.453_592_37
        )));
    }
    Ok(between(&rows, load, |row| (row.load_kg, row.kpa)).unwrap_or(last.kpa))
}

fn sorted(table: &[LoadAt]) -> Result<Vec<LoadAt>, MachineError> {
    let mut rows = table.to_vec();
    for row in &rows {
        above_zero("pressure in the load table", row.kpa, "kPa")?;
        above_zero("load in the load table", row.load_kg, "kg")?;
    }
    rows.sort_by(|a, b| a.kpa.total_cmp(&b.kpa));
    if rows
        .windows(2)
        .any(|pair| pair[1].kpa <= pair[0].kpa || pair[1].load_kg <= pair[0].load_kg)
    {
        return Err(MachineError::Refused(
            "the load table does not carry more at more pressure; type its lines again".to_owned(),
        ));
    }
    Ok(rows)
}

/// A value between two rows, in proportion; `None` outside.
fn between(rows: &[LoadAt], at: f64, of: impl Fn(&LoadAt) -> (f64, f64)) -> Option<f64> {
    rows.windows(2).find_map(|pair| {
        let ((x0, y0), (x1, y1)) = (of(&pair[0]), of(&pair[1]));
        (x0..=x1)
            .contains(&at)
            .then(|| y0 + (y1 - y0) * (at - x0) / (x1 - x0))
    })
}

/// What to do with a tire.
///
/// # Errors
/// A mark or a reading that cannot be meant, neither a wanted pressure nor a load with its table, a
/// load past the table's end.
pub fn tire(asked: &Tire) -> Result<TireAnswer, MachineError> {
    let of_tire = above_zero("mark on the tire", asked.tire_most_kpa, "kPa")?;
    let of_rim = above_zero("mark on the rim", asked.rim_most_kpa, "kPa")?;
    let (most_kpa, governs) = if of_rim < of_tire {
        (of_rim, Governs::Rim)
    } else {
        (of_tire, Governs::Tire)
    };
    let target_kpa = match (asked.wanted_kpa, asked.load_kg) {
        (Some(wanted), _) => above_zero("pressure wanted", wanted, "kPa")?,
        (None, Some(load)) => pressure_for(&asked.table, load)?,
        (None, None) => {
            return Err(MachineError::Refused(
                "a tire needs the pressure wanted, or the load on it and the maker's load table"
                    .to_owned(),
            ));
        }
    };
    let read = asked
        .read_kpa
        .map(|read| {
            if read.is_finite() && read >= 0.0 {
                Ok(read)
            } else {
                Err(MachineError::odd(
                    "reading",
                    format!("{read} kPa"),
                    "0 or more",
                ))
            }
        })
        .transpose()?;
    let low = facts::machinery("tire_run_low").map_or(0.8, |fact| fact.value);
    let says = match read {
        // damage comes before pressure: a warm tire that reads low is worse still
        Some(read) if read <= low * target_kpa * (1.0 + 1e-12) => TireSays::TakeOff,
        Some(read) if read > most_kpa => TireSays::OverNow,
        _ if target_kpa > most_kpa => TireSays::AboveMark,
        None => TireSays::NotRead,
        Some(_) if !asked.cold => TireSays::WaitCold,
        Some(read) if read < target_kpa * (1.0 - NEAR) => TireSays::PumpUp,
        Some(read) if read > target_kpa * (1.0 + NEAR) => TireSays::LetDown,
        Some(_) => TireSays::Leave,
    };
    let rows = sorted(&asked.table)?;
    Ok(TireAnswer {
        says,
        most_kpa,
        governs,
        target_kpa,
        share: read.map(|read| read / target_kpa),
        load_at_most_kg: between(&rows, most_kpa, |row| (row.kpa, row.load_kg)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const PSI: f64 = 6.894_757;

    fn asked(read_psi: f64) -> Tire {
        Tire {
            tire_most_kpa: 90.0 * PSI,
            rim_most_kpa: 75.0 * PSI,
            wanted_kpa: Some(70.0 * PSI),
            load_kg: None,
            table: vec![],
            read_kpa: Some(read_psi * PSI),
            cold: true,
        }
    }

    #[test]
    fn the_lower_mark_governs() {
        let out = tire(&asked(70.0)).unwrap();
        assert_eq!((out.governs, out.says), (Governs::Rim, TireSays::Leave));
        assert!((out.most_kpa / PSI - 75.0).abs() < 1e-9);
        let out = tire(&Tire {
            wanted_kpa: Some(85.0 * PSI),
            ..asked(74.0)
        })
        .unwrap();
        assert_eq!(
            out.says,
            TireSays::AboveMark,
            "the tire would bear it, the rim does not"
        );
        let other = tire(&Tire {
            rim_most_kpa: 100.0 * PSI,
            wanted_kpa: Some(85.0 * PSI),
            ..asked(84.0)
        });
        assert_eq!(other.unwrap().governs, Governs::Tire);
    }

    #[test]
    fn a_tire_that_ran_at_four_fifths_is_taken_off() {
        for (read, says) in [
            (0.0, TireSays::TakeOff),
            (56.0, TireSays::TakeOff),
            (56.1, TireSays::PumpUp),
            (67.8, TireSays::PumpUp),
            (68.5, TireSays::Leave),
            (73.0, TireSays::LetDown),
            (75.5, TireSays::OverNow),
        ] {
            assert_eq!(tire(&asked(read)).unwrap().says, says, "{read}");
        }
    }

    #[test]
    fn a_warm_tire_is_neither_let_down_nor_pumped() {
        for (read, says) in [
            (56.0, TireSays::TakeOff),
            (60.0, TireSays::WaitCold),
            (74.0, TireSays::WaitCold),
            (76.0, TireSays::OverNow),
        ] {
            let out = tire(&Tire {
                cold: false,
                ..asked(read)
            });
            assert_eq!(out.unwrap().says, says, "{read}");
        }
    }

    #[test]
    fn the_table_is_read_between_its_lines_only() {
        let row = |psi: f64, lb: f64| LoadAt {
            kpa: psi * PSI,
            load_kg: lb * 0.453_592_37,
        };
        let by_load = |lb: f64| Tire {
            wanted_kpa: None,
            load_kg: Some(lb * 0.453_592_37),
            table: vec![row(40.0, 4_000.0), row(80.0, 6_000.0)],
            ..asked(60.0)
        };
        let out = tire(&by_load(5_000.0)).unwrap();
        assert!((out.target_kpa / PSI - 60.0).abs() < 1e-9);
        assert!((out.load_at_most_kg.unwrap() / 0.453_592_37 - 5_750.0).abs() < 1e-6);
        assert!(
            tire(&by_load(6_100.0))
                .unwrap_err()
                .to_string()
                .contains("carry less")
        );
        let mut twisted = by_load(5_000.0);
        twisted.table.push(row(90.0, 5_000.0));
        assert!(tire(&twisted).is_err());
        assert!(
            tire(&Tire {
                table: vec![],
                ..by_load(10.0)
            })
            .is_err()
        );
        assert!(
            tire(&Tire {
                rim_most_kpa: 0.0,
                ..asked(60.0)
            })
            .is_err()
        );
    }
}
