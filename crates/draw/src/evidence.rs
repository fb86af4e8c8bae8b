//! A field's map with everything it rests on, as one page for the screen and for letter paper.

use crate::look::page_variables;
use crate::sheet::{page, table_of, words};
use crate::svg::PATTERNS;
use crate::{PAGE_CSS, SheetTable};
use std::fmt::Write as _;

/// A part of the page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct EvidencePart {
    /// Its head.
    pub head: String,
    /// What it says, a paragraph each.
    pub says: Vec<String>,
    /// Pictures as [`crate::field_map`], [`crate::chart`] and [`crate::panels`] give them; two stand side by side.
    pub pictures: Vec<String>,
    /// Figures.
    pub table: Option<SheetTable>,
}

/// The page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Evidence {
    /// The field, or the file.
    pub of: String,
    /// Crop, season, units.
    pub what: String,
    /// What the map says, in a sentence.
    pub lede: String,
    /// What that rests on.
    pub standfirst: String,
    /// Its parts.
    pub parts: Vec<EvidencePart>,
    /// The foot: who made it from what.
    pub foot: String,
}

/// One file with its own style, needing no network.
pub fn evidence(all: &Evidence) -> String {
    let mut body = String::new();
    let _ = write!(
        body,
        "<header><span class=\"mark\">stook</span><span>{}, {}</span></header><h1>{}</h1><p class=\"stand\">{}</p>",
        words(&all.of),
        words(&all.what),
        words(&all.lede),
        words(&all.standfirst)
    );
    for part in &all.parts {
        let _ = write!(body, "<section><h2>{}</h2>", words(&part.head));
        for one in &part.says {
            let _ = write!(body, "<p class=\"find\">{}</p>", words(one));
        }
        let class = if part.pictures.len() > 1 {
            "two"
        } else {
            "one"
        };
        if !part.pictures.is_empty() {
            let _ = write!(body, "<div class=\"{class}\">");
            for picture in &part.pictures {
                let _ = write!(body, "<div>{picture}</div>");
            }
            body.push_str("</div>");
        }
        body.push_str("</section>");
        if let Some(table) = &part.table {
            table_of(&mut body, table);
        }
    }
    let _ = write!(body, "<footer>{}</footer>", words(&all.foot));
    let style = format!(
        "{}\n{}\n{PAGE_CSS}\n{}",
        page_variables(),
        include_str!("sheet.css"),
        include_str!("evidence.css")
    );
    page(&format!("{} {}", all.of, all.what), &style, PATTERNS, &body)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_stands_alone() {
        let made = evidence(&Evidence {
            of: "North <40>".to_owned(),
            lede: "It made 182 bu/ac.".to_owned(),
            parts: vec![EvidencePart {
                head: "delay".to_owned(),
                says: vec!["Grain came 12 s late.".to_owned()],
                pictures: vec!["<svg class=\"draw\"></svg>".to_owned()],
                table: Some(SheetTable {
                    title: "by cause".to_owned(),
                    heads: vec!["cause".to_owned()],
                    rows: vec![vec!["stopped".to_owned()]],
                    ..SheetTable::default()
                }),
            }],
            ..Evidence::default()
        });
        assert!(made.starts_with("<!doctype html>") && made.contains("North &lt;40&gt;"));
        assert!(!made.contains("http://") && !made.contains("https://"));
        assert!(made.contains("stopped") && made.contains("12 s late"));
    }
}
