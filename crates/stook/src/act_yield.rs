//! `stook pass clean`, `map`, `edge`, `zones` and `explain`.

use crate::args::Typed;
use crate::args_yield::{CleanTyped, EdgeTyped, ExplainTyped, LogTyped, MapTyped, ZonesTyped};
use crate::page;
use crate::print::{Out, say};
use crate::progress::Progress;
use anyhow::{Context, Result, bail};
use desk::passes::{Asked, Source};
use desk::yields::{Also, Beside, CleanAnswer, EdgeAsked, MapAnswer, OfBook, Worked, YieldAsked};
use desk::{Farm, Ranged, reader};
use quantity::Length;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

/// Says what long work is at, when a person is looking.
fn at_work(what: &str) {
    if std::io::stderr().is_terminal() {
        say(what);
    }
}

fn beside(path: Option<&PathBuf>) -> Result<Option<Beside>> {
    path.map(|path| {
        let file = path.display().to_string();
        let bytes = std::fs::read(path).with_context(|| file.clone())?;
        Ok(Beside { file, bytes })
    })
    .transpose()
}

fn work(of: &LogTyped, typed: &Typed) -> Result<Worked> {
    let book = of
        .field
        .as_ref()
        .map(|field| -> Result<_> {
            let book = desk::books::open(&typed.book)?;
            let farm = Farm::read(&book)?;
            let year = crate::act::season(&farm, of.season)?.year;
            let known = OfBook::field(&farm, field, year)?;
            Ok((book, known))
        })
        .transpose()?;
    let known = book.as_ref().map(|(_, known)| known);
    let asked = YieldAsked {
        file: Asked {
            swath: of
                .swath
                .clone()
                .or_else(|| known.and_then(|one| one.swath.clone())),
            crop: match (&of.crop, known) {
                (Some(crop), _) => crop.clone(),
                (None, Some(one)) => one.crop.clone(),
                (None, None) => bail!(
                    "no crop; say which with --crop corn, or which field of the book with --field"
                ),
            },
            base: of.base.clone(),
            columns: of.columns.clone(),
            strict: of.strict,
            log: of.log.clone(),
            test_weight: of.test_weight.clone(),
        },
        rows: of.rows,
        boundary: of
            .boundary
            .as_ref()
            .map(|path| desk::yields::polygons(path))
            .transpose()?,
        weighings: beside(of.weighings.as_ref())?,
        antenna: of.antenna.clone(),
        delay_s: of.delay,
        seed: of.seed,
    };
    if let Some(path) = &of.file {
        let name = path.display().to_string();
        let input = Source::at(path, Progress::new)?;
        at_work("reading and cleaning the log …");
        return Ok(desk::yields::work(input, &name, &asked, known)?);
    }
    let Some((book, known)) = &book else {
        bail!("no file; give one, or a field of the book that has one with --field");
    };
    let Some((name, key)) = &known.points else {
        bail!(
            "{} has no file of points in the book; give one, or drop it on the field's page of stook serve",
            known.field
        );
    };
    let bytes = book.attachment(*key)?.with_context(|| {
        format!("{name} is not among the book's attachments; give the file itself")
    })?;
    at_work("reading and cleaning the log …");
    Ok(desk::yields::work(
        Source::from(bytes.as_slice()),
        name,
        &asked,
        Some(known),
    )?)
}

/// What cleaning does to a log.
pub(crate) fn clean(asked: &CleanTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let worked = work(&asked.of, typed)?;
    let answer = worked.clean_answer();
    if let Some(path) = &asked.out {
        desk::yields::write_records(&worked, path)?;
    }
    if out.json {
        out.json(&answer)?;
        return Ok(0);
    }
    cleaned(&answer, out);
    out.whys(&answer.why);
    Ok(0)
}

fn cleaned(answer: &CleanAnswer, out: &mut Out) {
    for one in &answer.says {
        out.line(one);
    }
    out.line("");
    let grain = reader::bushels(&answer.crop, Ranged::of(1.0, 0.0), out.units);
    let area = reader::acres(Ranged::of(1.0, 0.0), out.units);
    let rows: Vec<Vec<String>> = answer
        .by_cause
        .iter()
        .chain([&answer.all])
        .map(|one| {
            vec![
                one.words.to_owned(),
                one.records.to_string(),
                format!("{:.1}", one.dry_bu * grain.figure.value),
                format!("{:.2}", one.area_ac * area.figure.value),
            ]
        })
        .collect();
    out.table(
        &["records by cause", "records", grain.unit, area.unit],
        &[1, 2, 3],
        &rows,
    );
    if !answer.loads.is_empty() {
        out.line("");
        let rows: Vec<Vec<String>> = answer
            .loads
            .iter()
            .map(|one| {
                vec![
                    one.loads.join("+"),
                    pounds(one.scale_lb, out),
                    pounds(one.monitor_lb, out),
                    format!("{:.4}", one.ratio),
                    format!("{:.4} ± {:.4}", one.gain, Ranged::half(one.gain_se)),
                    if one.used { "" } else { "not used: gaps" }.to_owned(),
                ]
            })
            .collect();
        out.table(
            &["loads", "scale", "monitor", "ratio", "own gain", ""],
            &[1, 2, 3, 4],
            &rows,
        );
    }
    notes(&answer.left_out, &answer.told, &answer.assumed, out);
}

fn pounds(lb: f64, out: &Out) -> String {
    let read = reader::pounds(Ranged::of(lb, 0.0), out.units);
    format!("{:.0} {}", read.figure.value, read.unit)
}

fn notes(left_out: &[String], told: &[String], assumed: &[String], out: &mut Out) {
    for one in left_out {
        out.line(format!("Left out: {one}."));
    }
    for one in told {
        out.line(format!("The file says: {one}; nothing of it was applied."));
    }
    for one in assumed {
        out.line(format!("Assumed: {one}."));
    }
}

fn mapping(of: &LogTyped, cell: &str, typed: &Typed) -> Result<(Worked, desk::yields::Map)> {
    let side = Length::parse(cell).map_err(|why| anyhow::anyhow!("--cell: {why}"))?;
    let worked = work(of, typed)?;
    at_work("mapping what was kept …");
    let made = worked.map(side.m())?;
    Ok((worked, made))
}

/// The map of a log.
pub(crate) fn map(asked: &MapTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let (worked, made) = mapping(&asked.of, &asked.cell, typed)?;
    let answer = worked.map_answer(&made);
    if let Some(path) = &asked.picture {
        page::write(path, &desk::yields::picture(&worked, &made, out.units))?;
    }
    for path in &asked.out {
        desk::yields::write_map(&worked, &made, path)?;
    }
    if let Some(path) = &asked.sheet {
        page::write(
            path,
            &desk::yields::evidence(&worked, &made, Also::default(), out.units),
        )?;
    }
    if out.json {
        out.json(&answer)?;
        return Ok(0);
    }
    mapped(&answer, asked.sheet.as_deref(), out);
    let clean = worked.clean_answer();
    notes(&clean.left_out, &clean.told, &clean.assumed, out);
    out.whys(&answer.why);
    Ok(0)
}

fn mapped(answer: &MapAnswer, path: Option<&Path>, out: &mut Out) {
    for one in &answer.says {
        out.line(one);
    }
    sheet(path, out);
}

/// What edges cost.
pub(crate) fn edge(asked: &EdgeTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let along = &asked.along;
    let question = EdgeAsked {
        lines: beside(along.edges.as_ref())?,
        sides: along.sides.clone(),
        price: along
            .price
            .as_deref()
            .map(desk::yields::price)
            .transpose()?,
    };
    let worked = work(&asked.of, typed)?;
    at_work("fitting the edges …");
    let (answer, found) = desk::yields::edges(&worked, &question)?;
    if let Some(path) = &asked.sheet {
        let made = worked.map(SHEET_CELL_M)?;
        let also = Also {
            edges: Some((&answer, &found)),
            zones: None,
        };
        page::write(
            path,
            &desk::yields::evidence(&worked, &made, also, out.units),
        )?;
    }
    if out.json {
        out.json(&answer)?;
        return Ok(0);
    }
    for one in &answer.says {
        out.line(one);
    }
    out.line("");
    for one in &answer.each {
        out.line(&one.says);
    }
    sheet(asked.sheet.as_deref(), out);
    let clean = worked.clean_answer();
    notes(&clean.left_out, &clean.told, &clean.assumed, out);
    out.whys(&answer.why);
    Ok(0)
}

/// Side of a cell of a sheet whose command has no map of its own, m.
const SHEET_CELL_M: f64 = 10.0;

fn sheet(path: Option<&Path>, out: &mut Out) {
    if let Some(path) = path {
        out.line(format!("The map and what it rests on: {}", path.display()));
    }
}

/// Yields of zones.
pub(crate) fn zones(asked: &ZonesTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let layer = desk::yields::polygons(&asked.zones)?;
    let (worked, made) = mapping(&asked.of, &asked.cell, typed)?;
    let answer = desk::yields::zones(&worked, &made, &layer, asked.by.as_deref())?;
    if let Some(path) = &asked.sheet {
        let also = Also {
            edges: None,
            zones: Some(&answer),
        };
        page::write(
            path,
            &desk::yields::evidence(&worked, &made, also, out.units),
        )?;
    }
    if out.json {
        out.json(&answer)?;
        return Ok(0);
    }
    for one in &answer.says {
        out.line(one);
    }
    out.line("");
    let unit = reader::per_acre(&answer.crop, Ranged::of(1.0, 0.0), out.units);
    let area = reader::acres(Ranged::of(1.0, 0.0), out.units);
    let rows: Vec<Vec<String>> = answer
        .each
        .iter()
        .map(|one| {
            let yields = one.bu_per_ac.times(unit.figure.value);
            let places = unit.places;
            vec![
                one.name.clone(),
                format!("{:.2}", one.area_ac * area.figure.value),
                one.records.to_string(),
                format!("{:.places$}", yields.value),
                format!("{:.places$} to {:.places$}", yields.low, yields.high),
            ]
        })
        .collect();
    out.table(
        &["zone", area.unit, "records", unit.unit, "8 in 10"],
        &[1, 2, 3],
        &rows,
    );
    sheet(asked.sheet.as_deref(), out);
    let clean = worked.clean_answer();
    notes(&clean.left_out, &clean.told, &clean.assumed, out);
    out.whys(&answer.why);
    Ok(0)
}

/// One record, and every step that it went through.
pub(crate) fn explain(asked: &ExplainTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let worked = work(&asked.of, typed)?;
    let answer = desk::yields::explain(&worked, asked.row)?;
    if out.json {
        out.json(&answer)?;
        return Ok(0);
    }
    out.line(&answer.says);
    out.line("");
    let pairs: Vec<(String, String)> = answer
        .steps
        .iter()
        .map(|one| (one.step.to_owned(), one.found.clone()))
        .collect();
    out.pairs(&pairs);
    Ok(0)
}
