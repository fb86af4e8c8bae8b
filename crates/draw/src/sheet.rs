//! The day sheet as one self-contained page, for the screen and for letter paper.

use crate::bars::{BRACKET, bars_inside, key};
use crate::look::page_variables;
use crate::svg::{PATTERNS, hold};
use crate::tests_of_slips::tests_inside;
use crate::{AccountBars, SlipTests, escape};
use std::fmt::Write as _;

/// A table with heads; cells are texts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SheetTable {
    /// Its head, lower case.
    pub title: String,
    /// One sentence under it; empty for none.
    pub note: String,
    /// Column heads.
    pub heads: Vec<String>,
    /// Which columns are set flush right.
    pub right: Vec<usize>,
    /// Rows.
    pub rows: Vec<Vec<String>>,
}

/// A slip that looks wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetSuspect {
    /// The slip.
    pub name: String,
    /// What is written on it.
    pub written: String,
    /// How far off, with its range.
    pub off_by: String,
    /// What may have happened, each in a sentence that claims nothing.
    pub perhaps: Vec<String>,
    /// Slips that no test can tell from it.
    pub or: Vec<String>,
}

/// Everything on the sheet, formatted.
#[derive(Debug, Clone, PartialEq)]
pub struct DaySheet {
    /// The farm.
    pub farm: String,
    /// The day or season.
    pub day: String,
    /// Square or not, in a sentence.
    pub lede: String,
    /// What that rests on, in a sentence or two.
    pub standfirst: String,
    /// The account, a crop each.
    pub accounts: Vec<AccountBars>,
    /// The test of every slip.
    pub tests: SlipTests,
    /// What looks wrong.
    pub suspects: Vec<SheetSuspect>,
    /// Tables in order: on wheels and in bins, fields, units, shares, claims, slips of the day. Those
    /// of more than 12 rows are set last, after the cautions, so that nobody turns leaves to those.
    pub tables: Vec<SheetTable>,
    /// What else to look at.
    pub look_at: Vec<String>,
    /// Cautions: each a bold first clause up to a colon or full stop, then plain.
    pub cautions: Vec<String>,
    /// The foot: who made it from what.
    pub foot: String,
}

/// Widths at which charts stand on a page and on a phone; each is drawn, neither shrunk.
const PAGE: f64 = 800.0;
const PHONE: f64 = 340.0;

/// Rows of a table that stays on one leaf; longer ones come last, after what must be read.
const SHORT: usize = 12;

/// One file with its own style, for any screen in three lights (`data-theme` on `html` chooses dark
/// or sun) and for letter paper. Each chart stands with its table.
pub fn day_sheet(sheet: &DaySheet) -> String {
    let mut body = String::new();
    let _ = write!(
        body,
        "<header><span class=\"mark\">stook</span><span>{}, {}</span><b>Night</b></header><h1>{}</h1><p class=\"stand\">{}</p>",
        words(&sheet.farm),
        words(&sheet.day),
        words(&sheet.lede),
        words(&sheet.standfirst)
    );
    for (at, account) in sheet.accounts.iter().enumerate() {
        account_of(&mut body, account);
        if at + 1 == sheet.accounts.len() {
            let _ = write!(body, "<p class=\"note\">{BRACKET}</p>");
        }
    }
    if !sheet.suspects.is_empty() {
        suspects(&mut body, &sheet.suspects);
    }
    tests_of(&mut body, &sheet.tests);
    let (short, long): (Vec<&SheetTable>, Vec<&SheetTable>) = sheet
        .tables
        .iter()
        .filter(|table| !table.rows.is_empty())
        .partition(|table| table.rows.len() <= SHORT);
    for table in short {
        table_of(&mut body, table);
    }
    if !sheet.look_at.is_empty() {
        body.push_str("<section class=\"whole\"><h2>look at</h2><ul>");
        for one in &sheet.look_at {
            let _ = write!(body, "<li>{}</li>", words(one));
        }
        body.push_str("</ul></section>");
    }
    for caution in &sheet.cautions {
        let _ = write!(body, "<div class=\"caution\">{}</div>", lead(caution));
    }
    for table in long {
        table_of(&mut body, table);
    }
    let _ = write!(body, "<footer>{}</footer>", words(&sheet.foot));
    page(
        &format!("{} {}", sheet.farm, sheet.day),
        &format!("{}\n{}", page_variables(), include_str!("sheet.css")),
        PATTERNS,
        &body,
    )
}

/// A self-contained page.
pub(crate) fn page(title: &str, style: &str, patterns: &str, body: &str) -> String {
    format!(
        "<!doctype html>\n<html lang=\"en-US\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width,initial-scale=1\"><meta name=\"color-scheme\" content=\"light dark\"><title>{}</title><style>\n{style}</style></head>\n<body><svg width=\"0\" height=\"0\" style=\"position:absolute;width:0;height:0\" aria-hidden=\"true\"><defs>{patterns}</defs></svg><main>{body}</main></body></html>\n",
        words(title)
    )
}

pub(crate) fn words(text: &str) -> String {
    escape(&hold(text))
}

/// A sentence with its first clause, up to a colon, semicolon or full stop, in bold. A point inside
/// a figure ends nothing.
fn lead(sentence: &str) -> String {
    let ends = |(at, c): &(usize, char)| {
        let after = sentence[at + c.len_utf8()..].chars().next();
        matches!(c, ':' | ';' | '.') && after.is_none_or(char::is_whitespace)
    };
    let at = sentence
        .char_indices()
        .find(ends)
        .map_or(sentence.len(), |(at, _)| at + 1);
    let (bold, plain) = sentence.split_at(at);
    format!("<b>{}</b>{}", words(bold), words(plain))
}

fn account_of(body: &mut String, account: &AccountBars) {
    let _ = write!(
        body,
        "<section class=\"whole\"><h2>the account of {}, in {}</h2><p class=\"find\">{}</p>{}{}<table class=\"account\"><thead><tr><th scope=\"col\"></th><th scope=\"col\" class=\"r\">{}</th><th scope=\"col\" class=\"pm\">8 in 10</th></tr></thead><tbody>",
        words(&account.crop),
        words(&account.unit),
        lead(&account.finding),
        bars_inside(account, PAGE, "page"),
        bars_inside(account, PHONE, "phone"),
        words(&account.unit)
    );
    for line in key(account) {
        let _ = write!(
            body,
            "<tr><td><svg class=\"key\" viewBox=\"0 0 28 13\" aria-hidden=\"true\"><rect x=\"1\" y=\"1\" width=\"26\" height=\"11\" style=\"{}\"/></svg>{}</td><td class=\"r\">{}</td><td class=\"pm\">{}</td></tr>",
            line.style,
            words(&line.label),
            words(&line.value),
            words(&line.range)
        );
    }
    body.push_str("</tbody></table></section>");
}

/// The tests as a chart, and those that alarm as a table.
fn tests_of(body: &mut String, tests: &SlipTests) {
    if tests.marks.is_empty() {
        return;
    }
    let _ = write!(
        body,
        "<section class=\"whole tests\"><h2>every slip against the others</h2><p class=\"find\">{}</p>{}{}",
        lead(&tests.finding),
        tests_inside(tests, PAGE, "page"),
        tests_inside(tests, PHONE, "phone")
    );
    let rows: Vec<Vec<String>> = tests
        .marks
        .iter()
        .filter(|mark| mark.suspect)
        .map(|mark| {
            let z = mark.z.map_or("not known".to_owned(), |z| format!("{z:.1}"));
            vec![mark.name.clone(), z]
        })
        .collect();
    if !rows.is_empty() {
        let heads = ["looks wrong", "standard errors off"].map(str::to_owned);
        table(body, &heads, &[1], &rows);
    }
    body.push_str("</section>");
}

fn suspects(body: &mut String, suspects: &[SheetSuspect]) {
    body.push_str("<section><h2>look these up on paper</h2><p class=\"cap\">Nothing is filled in for you: the correction is typed from the ticket, and with no paper it stays an open question.</p>");
    for one in suspects {
        let _ = write!(
            body,
            "<article><div><h3>{}</h3><p><span class=\"typed\">{}</span></p><p>Off by <b>{}</b>.",
            words(&one.name),
            words(&one.written),
            words(&one.off_by)
        );
        if !one.or.is_empty() {
            let _ = write!(
                body,
                " No test tells it from {}.",
                words(&one.or.join(", "))
            );
        }
        body.push_str("</p><ul>");
        for sentence in &one.perhaps {
            let _ = write!(body, "<li>{}</li>", words(sentence));
        }
        body.push_str(
            "</ul></div><div class=\"blank\">as the paper shows it<i></i></div></article>",
        );
    }
    body.push_str("</section>");
}

pub(crate) fn table_of(body: &mut String, one: &SheetTable) {
    // a short table stays on one leaf; a long one may break between its rows
    let whole = if one.rows.len() <= SHORT {
        " class=\"whole\""
    } else {
        ""
    };
    let _ = write!(body, "<section{whole}><h2>{}</h2>", words(&one.title));
    if !one.note.is_empty() {
        let _ = write!(body, "<p class=\"cap\">{}</p>", words(&one.note));
    }
    table(body, &one.heads, &one.right, &one.rows);
    body.push_str("</section>");
}

/// Heads and rows; a column headed "8 in 10" holds the range of the figure left of it.
fn table(body: &mut String, heads: &[String], right: &[usize], rows: &[Vec<String>]) {
    body.push_str("<div class=\"wide\"><table><thead><tr>");
    let class = |column: usize| {
        if right.contains(&column) {
            " class=\"r\""
        } else if heads.get(column).is_some_and(|head| head == "8 in 10") {
            " class=\"pm\""
        } else {
            ""
        }
    };
    for (column, head) in heads.iter().enumerate() {
        let _ = write!(
            body,
            "<th scope=\"col\"{}>{}</th>",
            class(column),
            words(head)
        );
    }
    body.push_str("</tr></thead><tbody>");
    for row in rows {
        body.push_str("<tr>");
        for (column, cell) in row.iter().enumerate() {
            let _ = write!(body, "<td{}>{}</td>", class(column), words(cell));
        }
        body.push_str("</tr>");
    }
    body.push_str("</tbody></table></div>");
}

#[cfg(test)]
mod tests {
    use super::lead;

    #[test]
    fn the_first_clause_is_bold() {
        assert_eq!(lead("Fire at 2.5: stop."), "<b>Fire at 2.5:</b> stop.");
        assert_eq!(lead("no end"), "<b>no end</b>");
        assert_eq!(lead(""), "<b></b>");
    }
}
