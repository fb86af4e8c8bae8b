//! `stook book ...`

use crate::args::{BookTyped, Typed};
use crate::clock::{self, MachineClock};
use crate::print::Out;
use anyhow::Result;
use desk::{Farm, Shown, books};

/// Does it; the exit code.
pub(crate) fn book(asked: &BookTyped, typed: &Typed, out: &mut Out) -> Result<u8> {
    match asked {
        BookTyped::New { farm, zone } => {
            let device = clock::device(&typed.book)?;
            let zone = zone.clone().unwrap_or_else(clock::zone);
            let (_, made) = books::create(
                &typed.book,
                farm,
                &zone,
                "owner",
                &device,
                &mut MachineClock,
            )?;
            if out.json {
                out.json(&made)?;
            } else {
                out.line(format!(
                    "{}: the book of {}, clock of {}",
                    made.book, made.farm, made.zone
                ));
                out.line(
                    "Next: stook write field, stook write place, stook write machine, then slips.",
                );
            }
            Ok(0)
        }
        BookTyped::Check => {
            let checked = books::check(&books::open(&typed.book)?)?;
            if out.json {
                out.json(&checked)?;
            } else {
                let report = &checked.report;
                out.line(format!(
                    "{} entries, {} attachments looked at",
                    report.entries, report.attachments
                ));
                if report.needs_newer > 0 {
                    out.line(format!(
                        "{} entries need a newer stook; they are kept",
                        report.needs_newer
                    ));
                }
                for finding in &report.findings {
                    out.line(format!("found: {}", finding.said));
                }
                if checked.clean {
                    out.line("clean");
                }
            }
            Ok(u8::from(!checked.clean))
        }
        BookTyped::Backup { to } => {
            let done = books::backup(&books::open(&typed.book)?, to)?;
            if out.json {
                out.json(&done)?;
            } else {
                out.line(format!(
                    "{}: {} entries copied and checked",
                    done.copy, done.entries
                ));
            }
            Ok(0)
        }
        BookTyped::Merge { from } => {
            let merged = books::merge(&mut books::open(&typed.book)?, from)?;
            print_merged(&merged, out)
        }
        BookTyped::Export { folder } => {
            let done = books::export(&books::open(&typed.book)?, folder)?;
            if out.json {
                out.json(&done)?;
            } else {
                out.line(format!(
                    "{}: {} entries, {} attachments, {} field outlines",
                    done.folder, done.entries, done.attachments, done.fields
                ));
            }
            Ok(0)
        }
        BookTyped::Import { folder } => {
            let device = clock::device(&typed.book)?;
            let made = !typed.book.exists();
            let mut book = books::open_or_make(&typed.book, &device, &mut MachineClock)?;
            match books::import(&mut book, folder) {
                Ok(merged) => print_merged(&merged, out),
                Err(why) => {
                    drop(book);
                    if made {
                        books::unmake(&typed.book);
                    }
                    Err(why.into())
                }
            }
        }
        BookTyped::Show { id, kind, all } => {
            let book = books::open(&typed.book)?;
            let farm = Farm::read(&book)?;
            let shown = match id {
                Some(id) => desk::history(&book, &farm, desk::find(&book, &farm, id)?)?,
                None => desk::show(&book, &farm, kind.as_deref(), *all)?,
            };
            if out.json {
                out.json(&shown)?;
            } else {
                for one in &shown {
                    print_shown(one, id.is_some(), out);
                }
                out.line(format!("{} entries", shown.len()));
            }
            Ok(0)
        }
    }
}

fn print_merged(merged: &book::Merged, out: &mut Out) -> Result<u8> {
    if out.json {
        out.json(merged)?;
    } else {
        out.line(format!(
            "{} entries read: {} new, {} already here; {} new attachments",
            merged.read, merged.added, merged.already, merged.attachments_added
        ));
        if merged.needs_newer > 0 {
            out.line(format!(
                "{} of the new ones need a newer stook; they are kept",
                merged.needs_newer
            ));
        }
    }
    Ok(0)
}

fn print_shown(one: &Shown, whole: bool, out: &mut Out) {
    let figures: Vec<String> = one
        .figures
        .iter()
        .filter(|(name, _)| whole || !matches!(name.as_str(), "boundary" | "schedule"))
        .map(|(name, texts)| format!("{name} {}", texts.join(" + ")))
        .collect();
    out.line(format!(
        "{}  {}  {} by {} ({})",
        one.happened, one.id, one.kind, one.author, one.state
    ));
    if let Some(reason) = &one.reason {
        out.line(format!("    because: {reason}"));
    }
    if !figures.is_empty() {
        out.line(format!("    {}", figures.join(", ")));
    }
    if whole && !one.replaces.is_empty() {
        out.line(format!("    replaces {}", one.replaces.join(", ")));
    }
}
