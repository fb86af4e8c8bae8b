//! Each command: a typed request, a call to the desk, a printed result.

use crate::args::{Act, DemoTyped, Typed};
use crate::args_account::{
    AuditTyped, MendTyped, NightTyped, PassTyped, SquareTyped, StrikeTyped, SummaryTyped,
    TanksTyped,
};
use crate::args_write::{WriteTyped, Written};
use crate::clock::MachineClock;
use crate::print::{Out, say};
use crate::progress::Progress;
use crate::{
    act_book, act_calc, act_field, act_ready, act_serve, act_speed, act_stop, act_yield, clock,
    page, print_night,
};
use anyhow::{Context, Result, bail};
use clap::{CommandFactory, Parser};
use desk::written::Figures;
use desk::{Farm, Pen};
use std::io::BufRead;
use std::path::Path;

/// Does what was typed; the exit code.
pub(crate) fn act(typed: &Typed, out: &mut Out) -> Result<u8> {
    match &typed.act {
        None => next(typed, out),
        Some(Act::Demo(demo)) => demo_farm(demo, out),
        Some(Act::Calc(calc)) => act_calc::calc(calc, out),
        Some(Act::Book(book)) => act_book::book(book, typed, out),
        Some(Act::Write(write)) => written(write, typed, out),
        Some(Act::Mend(mend)) => mended(mend, typed, out),
        Some(Act::Strike(strike)) => struck(strike, typed, out),
        Some(Act::Square(square)) => squared(square, typed, out),
        Some(Act::Audit(audit)) => audited(audit, typed, out),
        Some(Act::Night(night)) => tonight(night, typed, out),
        Some(Act::Speed(speed)) => act_speed::speed(speed, typed, out),
        Some(Act::Pass(PassTyped::Summary(summary))) => passes(summary, out),
        Some(Act::Pass(PassTyped::Tanks(asked))) => tanks(asked, typed, out),
        Some(Act::Pass(PassTyped::Clean(asked))) => act_yield::clean(asked, typed, out),
        Some(Act::Pass(PassTyped::Map(asked))) => act_yield::map(asked, typed, out),
        Some(Act::Pass(PassTyped::Edge(asked))) => act_yield::edge(asked, typed, out),
        Some(Act::Pass(PassTyped::Zones(asked))) => act_yield::zones(asked, typed, out),
        Some(Act::Pass(PassTyped::Explain(asked))) => act_yield::explain(asked, typed, out),
        Some(Act::Stop(asked)) => act_stop::stop(asked, typed, out),
        Some(Act::Wagons(asked)) => act_speed::wagons(asked, typed, out),
        Some(Act::Count(asked)) => act_field::count(asked, typed, out),
        Some(Act::Ready(asked)) => act_ready::lists(asked, typed, out),
        Some(Act::Settings(asked)) => act_ready::log(asked, typed, out),
        Some(Act::Serve(asked)) => act_serve::serve(asked, typed, out),
        Some(Act::Completions { shell }) => {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut Typed::command(), "stook", &mut script);
            out.line(String::from_utf8_lossy(&script));
            Ok(0)
        }
        Some(Act::Man { folder }) => {
            std::fs::create_dir_all(folder).with_context(|| folder.display().to_string())?;
            clap_mangen::generate_to(Typed::command(), folder)
                .with_context(|| folder.display().to_string())?;
            out.line(format!("man pages are in {}", folder.display()));
            Ok(0)
        }
    }
}

/// With no arguments: the day in the browser where a book is at hand, else five lines, what to do next.
fn next(typed: &Typed, out: &mut Out) -> Result<u8> {
    let here = typed.book.exists();
    if here && !out.json {
        // the flags of `stook serve` as they are when none is typed
        let serve = Typed::try_parse_from(["stook", "serve"])?;
        if let Some(Act::Serve(asked)) = &serve.act {
            return act_serve::serve(asked, typed, out);
        }
    }
    let lines = if here {
        let book = desk::books::open(&typed.book)?;
        let farm = Farm::read(&book)?;
        let slips = farm.dumps.len() + farm.tickets.len() + farm.moves.len();
        [
            format!("{}: {slips} slips in {}.", farm.name, typed.book.display()),
            "Write the next one:       stook write dump, stook write weighed (stook write --help lists the rest)".to_owned(),
            "Is the account square?    stook square".to_owned(),
            "The day sheet:            stook night".to_owned(),
            "Copy the book somewhere:  stook book backup PATH".to_owned(),
        ]
    } else {
        [
            "stook accounts for every bushel of a small harvest, from standing crop to settled sheet.".to_owned(),
            "See it work on an invented farm:  stook demo".to_owned(),
            "Start your own book:              stook book new --farm \"NAME\" --zone America/Chicago".to_owned(),
            "Arithmetic with no book:          stook calc --help".to_owned(),
            "Add up a combine file:            stook pass summary FILE --swath 30ft --crop corn".to_owned(),
        ]
    };
    if out.json {
        out.json(&lines)?;
    } else {
        for line in lines {
            out.line(line);
        }
    }
    Ok(0)
}

/// Opens the book; the pen that writes takes this device once everything was found good.
fn open(path: &Path) -> Result<book::Book> {
    Ok(desk::books::open(path)?)
}

fn written(write: &WriteTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let mut book = open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let mut clock = MachineClock;
    let mut pen = Pen::new(&write.by, write.at.as_deref(), &farm.zone, &mut clock)?
        .on(clock::device(&typed.book)?);
    match &write.what {
        Written::Entry { kind, figures } => {
            let entry = desk::write(&mut book, &farm, &mut pen, kind, figures)?;
            print_entry(&entry, out)?;
            if !out.json {
                out.cautions(&desk::written::cautions_of([entry.kind.as_str()]));
            }
        }
        Written::Sheet { file, strict } => {
            let bytes = std::fs::read(file).with_context(|| file.display().to_string())?;
            let name = file.display().to_string();
            let read = desk::read_sheet(&mut book, &farm, &mut pen, &name, &bytes, *strict)?;
            if out.json {
                out.json(&read)?;
            } else {
                out.line(format!(
                    "{} rows read, {} entries written, {} set aside",
                    read.rows,
                    read.written,
                    read.set_aside.len()
                ));
                for why in &read.set_aside {
                    out.line(format!("  {why}"));
                }
                out.cautions(&read.cautions);
            }
        }
        Written::Lines { one_by_one } => lines(&mut book, farm, write, *one_by_one, out)?,
    }
    Ok(0)
}

/// Entries as JSON lines: one by one with an id printed as soon as each is on disk, or all or none.
fn lines(
    book: &mut book::Book,
    mut farm: Farm,
    write: &WriteTyped,
    one_by_one: bool,
    out: &mut Out,
) -> Result<()> {
    let device = clock::device(book.path())?;
    let mut clock = MachineClock;
    let mut batch = Vec::new();
    let mut kinds = std::collections::BTreeSet::new();
    for (number, line) in std::io::stdin().lock().lines().enumerate() {
        let here = || format!("line {}", number + 1);
        let line = line.with_context(here)?;
        if line.trim().is_empty() {
            continue;
        }
        let row: Row = serde_json::from_str(&line).with_context(here)?;
        let figures = row.figures().with_context(here)?;
        let at = row.at.as_deref().or(write.at.as_deref());
        let by = row.by.as_deref().unwrap_or(&write.by);
        let mut pen = Pen::new(by, at, &farm.zone, &mut clock)
            .with_context(here)?
            .on(device.clone());
        let year = desk::year_of(&mut pen, &farm).with_context(here)?;
        let payload = desk::read_new(&row.kind, &figures, &farm, year).with_context(here)?;
        let entry = pen.entry(payload.clone(), Vec::new()).with_context(here)?;
        kinds.insert(entry.payload.kind());
        // later lines may name what this one makes known
        farm.learn(entry.id, &entry.happened, false, payload);
        if one_by_one {
            pen.ready(book)?;
            let written = book.append(&entry, desk::Clock::now_ms(&mut MachineClock))?;
            out.line(written.id.to_string());
            out.flush();
        } else {
            batch.push(entry);
        }
    }
    if !one_by_one {
        let zone = farm.zone.clone();
        Pen::new(&write.by, None, &zone, &mut clock)?
            .on(device)
            .ready(book)?;
        let written = book.append_all(&batch, desk::Clock::now_ms(&mut MachineClock))?;
        for entry in &written {
            out.line(entry.id.to_string());
        }
    }
    // the answer is ids, one a line, for a program to read: what is said to people goes beside it
    for caution in desk::written::cautions_of(kinds) {
        crate::print::say(format!("Caution: {caution}"));
    }
    Ok(())
}

/// One line of JSON.
#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    kind: String,
    #[serde(default)]
    at: Option<String>,
    #[serde(default)]
    by: Option<String>,
    figures: std::collections::BTreeMap<String, serde_json::Value>,
}

impl Row {
    fn figures(&self) -> Result<Figures> {
        let mut figures = Figures::default();
        for (name, value) in &self.figures {
            match value {
                serde_json::Value::String(text) => figures.add(name, text.as_str()),
                serde_json::Value::Bool(true) => figures.add(name, "yes"),
                serde_json::Value::Bool(false) | serde_json::Value::Null => {}
                serde_json::Value::Number(number) => figures.add(name, number.to_string()),
                serde_json::Value::Array(texts) => {
                    for text in texts {
                        let text = text
                            .as_str()
                            .with_context(|| format!("{name}: found {text}, expected text"))?;
                        figures.add(name, text);
                    }
                }
                serde_json::Value::Object(_) => figures.add(name, value.to_string()),
            }
        }
        Ok(figures)
    }
}

pub(crate) fn print_entry(entry: &book::Entry, out: &mut Out) -> Result<()> {
    if out.json {
        return out.json(entry);
    }
    out.line(format!("written: {} {}", entry.kind, entry.id));
    Ok(())
}

fn mended(mend: &MendTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let mut book = open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let id = desk::find(&book, &farm, &mend.entry)?;
    let mut set = Figures::default();
    for text in &mend.set {
        let Some((name, value)) = text.split_once('=') else {
            bail!("--set: found '{text}', expected FIGURE=VALUE, e.g. --set \"gross=52,220 lb\"");
        };
        let name = name.trim();
        let mut texts = set.many(name).to_vec();
        let value = value.trim();
        let text = match name {
            // a file's text stands for it, as when it was first written
            "schedule" | "boundary" => {
                std::fs::read_to_string(value).unwrap_or_else(|_| value.to_owned())
            }
            _ => value.to_owned(),
        };
        texts.push(text);
        set.set_given(name, texts);
    }
    let mut clock = MachineClock;
    let mut pen = Pen::new(
        &mend.signed.by,
        mend.signed.at.as_deref(),
        &farm.zone,
        &mut clock,
    )?
    .on(clock::device(&typed.book)?);
    let entry = desk::mend(&mut book, &farm, &mut pen, id, &set, &mend.reason)?;
    print_entry(&entry, out)?;
    Ok(0)
}

fn struck(strike: &StrikeTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let mut book = open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let id = desk::find(&book, &farm, &strike.entry)?;
    let mut clock = MachineClock;
    let mut pen = Pen::new(
        &strike.signed.by,
        strike.signed.at.as_deref(),
        &farm.zone,
        &mut clock,
    )?
    .on(clock::device(&typed.book)?);
    let entry = desk::strike(&mut book, &farm, &mut pen, id, &strike.reason)?;
    print_entry(&entry, out)?;
    Ok(0)
}

/// The season asked for, or the last one that has a slip.
pub(crate) fn season(farm: &Farm, asked: Option<i16>) -> Result<desk::Season> {
    let year = match asked {
        Some(year) => u16::try_from(year)
            .ok()
            .with_context(|| format!("--season: found {year}, expected a year like 2026"))?,
        None => farm.latest_season().context(
            "the book has no slip yet; write one with stook write dump or stook write weighed",
        )?,
    };
    Ok(desk::season(farm, year)?)
}

fn squared(asked: &SquareTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let book = desk::books::open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let squaring = desk::square(&season(&farm, asked.season)?, asked.level)?;
    if let Some(path) = &asked.picture {
        page::write(path, &desk::pictures::tests(&squaring))?;
    }
    if out.json {
        out.json(&squaring)?;
    } else {
        print_night::squaring(&squaring, asked.all, out);
        out.whys(&squaring.why);
    }
    Ok(u8::from(!squaring.squared.square))
}

fn audited(asked: &AuditTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let book = desk::books::open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let only = asked
        .ticket
        .as_deref()
        .map(|text| desk::find(&book, &farm, text))
        .transpose()?;
    let audit = desk::audit::audit(&farm, only, asked.price.as_deref(), asked.paid.as_deref())?;
    if let (Some(path), Some(one)) = (&asked.picture, audit.audited.first()) {
        page::write(path, &desk::pictures::steps(one))?;
    }
    if out.json {
        out.json(&audit)?;
    } else {
        for one in &audit.audited {
            act_calc::print_audited(one, out);
            out.whys(&one.why);
        }
        for one in &audit.not_audited {
            out.line(format!("{}: not settled: {}", one.ticket, one.why));
        }
    }
    let rejected = audit
        .audited
        .iter()
        .any(|one| desk::calc::rejected(&one.settlement));
    Ok(u8::from(!audit.agrees || rejected))
}

fn tonight(asked: &NightTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let book = desk::books::open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let night = desk::night::night(
        &farm,
        &season(&farm, asked.season)?,
        asked.day.as_deref(),
        0.05,
    )?;
    if let Some(path) = &asked.page {
        page::write(path, &desk::pictures::sheet(&night))?;
    }
    if let (Some(path), Some(picture)) = (&asked.picture, desk::pictures::account(&night)) {
        page::write(path, &picture)?;
    }
    if out.json {
        out.json(&night)?;
    } else {
        print_night::night(&night, out);
        out.whys(&night.why);
    }
    Ok(u8::from(!night.square))
}

fn passes(asked: &SummaryTyped, out: &mut Out) -> Result<u8> {
    let name = asked.file.display().to_string();
    let question = desk::passes::Asked {
        swath: asked.swath.clone(),
        crop: asked.crop.clone(),
        base: asked.base.clone(),
        columns: asked.columns.clone(),
        strict: asked.strict,
        log: asked.log.clone(),
        test_weight: asked.test_weight.clone(),
    };
    let input = desk::passes::Source::at(&asked.file, Progress::new)?;
    let answer = match &asked.picture {
        None => desk::passes::summary(input, &name, &question)?,
        Some(path) => {
            let (answer, points) = desk::passes::summary_with_points(input, &name, &question)?;
            page::write(path, &desk::pictures::points(&answer, &points))?;
            answer
        }
    };
    if out.json {
        out.json(&answer)?;
    } else {
        print_night::passes(&answer, out);
        out.whys(&answer.why);
    }
    Ok(0)
}

fn tanks(asked: &TanksTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    let mut book = open(&typed.book)?;
    let farm = Farm::read(&book)?;
    let year = season(&farm, asked.season)?.year;
    let bytes = std::fs::read(&asked.file).with_context(|| asked.file.display().to_string())?;
    let mut clock = MachineClock;
    let mut pen = Pen::new(
        &asked.signed.by,
        asked.signed.at.as_deref(),
        &farm.zone,
        &mut clock,
    )?
    .on(clock::device(&typed.book)?);
    let question = desk::passes::Asked {
        swath: asked.swath.clone(),
        crop: asked.crop.clone(),
        base: None,
        columns: asked.columns.clone(),
        ..desk::passes::Asked::default()
    };
    let name = asked.file.display().to_string();
    let names = (asked.field.as_str(), asked.machine.as_str(), year);
    let read = desk::tanks(&mut book, &farm, &mut pen, &name, &bytes, &question, names)?;
    if out.json {
        out.json(&read)?;
    } else {
        out.line(format!(
            "{} tanks: {} written onto their dumps, {} already there, {} without a dump",
            read.tanks,
            read.written.len(),
            read.already.len(),
            read.unmatched.len()
        ));
        for (number, wet_lb, _) in &read.written {
            out.line(format!("  dump {number}: {wet_lb:.0} lb wet"));
        }
        for why in &read.unmatched {
            out.line(format!("  {why}"));
        }
    }
    Ok(0)
}

fn demo_farm(asked: &DemoTyped, out: &mut Out) -> Result<u8> {
    let demo = desk::demo::run(&asked.folder, asked.seed)?;
    page::write(
        &asked.folder.join("day-sheet.html"),
        &desk::pictures::sheet(&demo.night),
    )?;
    page::write(
        &asked.folder.join("tests-before.svg"),
        &desk::pictures::tests(&demo.before),
    )?;
    page::write(
        &asked.folder.join("tests-after.svg"),
        &desk::pictures::tests(&demo.after),
    )?;
    if out.json {
        out.json(&demo)?;
    } else {
        print_night::demo(&demo, out);
        out.whys(&demo.after.why);
    }
    if !demo.after.squared.square {
        say("the demo season is still not square; the open questions are listed above");
    }
    Ok(u8::from(!demo.after.squared.square))
}
