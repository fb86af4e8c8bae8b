//! A monitor's own file as evidence: each tank's total written onto the dump of the same load card.

use crate::passes::{self, Asked};
use crate::written::Figures;
use crate::{DeskError, Farm, Pen, mend};
use book::Book;
use book::kinds::{FileKept, FilePurpose, Name, Payload};
use quantity::{Mass, MassUnit};
use serde::Serialize;

/// What came of a file of tanks.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TanksRead {
    /// Tanks in the file.
    pub tanks: usize,
    /// Dumps that now carry the monitor's total: (dump number, lb wet, correcting entry).
    pub written: Vec<(String, f64, String)>,
    /// Tanks whose dump already says so.
    pub already: Vec<String>,
    /// Tanks without a dump of that number, each with what to do.
    pub unmatched: Vec<String>,
    /// The file's attachment.
    pub attachment: String,
}

/// Writes each tank's wet total and moisture onto the dump with the same load card number, field
/// and machine, as corrections that name the file; the file is kept as an attachment. A dump is
/// never invented: a tank without one is listed.
///
/// # Errors
/// A file that cannot be read or has no load column; names that the book does not know.
pub fn tanks(
    book: &mut Book,
    farm: &Farm,
    pen: &mut Pen<'_>,
    file: &str,
    bytes: &[u8],
    asked: &Asked,
    (field, machine, year): (&str, &str, u16),
) -> Result<TanksRead, DeskError> {
    let field = farm.field(field)?;
    let machine = farm.machine(machine)?.name.clone();
    let answer = passes::summary(bytes, file, asked)?;
    let tanks = &answer.summary.tanks;
    if tanks.is_empty() {
        return Err(DeskError::File {
            file: file.to_owned(),
            why: "it has no load column, so its tanks cannot be told apart; say which column with --column NAME=load".to_owned(),
        });
    }
    pen.ready(book)?;
    let sha256 = book.attach(bytes)?;
    let base = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let name = Name::new(base)?;
    let kept = FileKept {
        sha256,
        name: name.clone(),
        bytes: bytes.len() as u64,
        purpose: FilePurpose::CombinePoints,
        of: vec![field.clone(), machine.clone()],
    };
    pen.write(book, Payload::File(kept))?;
    let mut out = TanksRead {
        tanks: tanks.len(),
        written: Vec::new(),
        already: Vec::new(),
        unmatched: Vec::new(),
        attachment: sha256.to_string(),
    };
    for tank in tanks {
        let dump = farm.dumps.iter().find(|dump| {
            let says = &dump.says;
            says.field == field
                && says.machine == machine
                && says.season == year
                && says
                    .number
                    .as_ref()
                    .is_some_and(|number| number.as_str() == tank.tank)
        });
        let Some(dump) = dump else {
            out.unmatched.push(format!(
                "tank {} ({:.0} lb wet): no dump of {machine} in {field} has that load card number; write it, then read the file again",
                tank.tank, tank.monitor_wet_lb
            ));
            continue;
        };
        let mass = Mass::from_lb(tank.monitor_wet_lb.round())?;
        let mut set = Figures::default();
        set.add(
            "monitor",
            mass.decimal(MassUnit::Lb).normalize().to_string() + " lb",
        );
        if let (Some(percent), None) = (tank.monitor_moisture_pct, &dump.says.moisture) {
            set.add("moisture", format!("{percent:.2}%"));
        }
        if dump
            .says
            .monitor
            .as_ref()
            .is_some_and(|monitor| monitor.mass == mass)
        {
            out.already.push(tank.tank.clone());
            continue;
        }
        let reason = format!("the monitor's total of tank {} in {name}", tank.tank);
        let entry = mend(book, farm, pen, dump.id, &set, &reason)?;
        out.written
            .push((tank.tank.clone(), tank.monitor_wet_lb, entry.id.to_string()));
    }
    Ok(out)
}
