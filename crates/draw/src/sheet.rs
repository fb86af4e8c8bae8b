//! The day sheet as one self-contained page, for the screen and for letter paper.

use crate::look::{SANS, SERIF, page_variables};
use crate::{AccountBars, SlipTests, account_bars, escape, slip_tests};
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
    /// Tables in order: on wheels and in bins, fields, units, shares, claims, slips of the day.
    pub tables: Vec<SheetTable>,
    /// What else to look at.
    pub look_at: Vec<String>,
    /// Cautions: each a bold first clause up to a colon or full stop, then plain.
    pub cautions: Vec<String>,
    /// The foot: who made it from what.
    pub foot: String,
}

/// The page.
pub fn day_sheet(sheet: &DaySheet) -> String {
    let mut body = String::new();
    let _ = write!(
        body,
        "<header><span class=\"mark\">stook</span><span>{}, {}</span><b>Night</b></header><h1>{}</h1><p class=\"stand\">{}</p>",
        escape(&sheet.farm),
        escape(&sheet.day),
        escape(&sheet.lede),
        escape(&sheet.standfirst)
    );
    if !sheet.suspects.is_empty() {
        suspects(&mut body, &sheet.suspects);
    }
    for account in &sheet.accounts {
        let _ = write!(
            body,
            "<section><h2>the account of {}, in {}</h2><p class=\"cap\">{}</p><div class=\"pic\">{}</div></section>",
            escape(&account.crop),
            escape(&account.unit),
            escape(&account.finding),
            inner(&account_bars(account))
        );
    }
    for table in sheet.tables.iter().filter(|table| !table.rows.is_empty()) {
        table_of(&mut body, table);
    }
    let _ = write!(
        body,
        "<section><h2>every slip against the others</h2><div class=\"pic\">{}</div></section>",
        inner(&slip_tests(&sheet.tests))
    );
    if !sheet.look_at.is_empty() {
        body.push_str("<section><h2>look at</h2><ul>");
        for one in &sheet.look_at {
            let _ = write!(body, "<li>{}</li>", escape(one));
        }
        body.push_str("</ul></section>");
    }
    for caution in &sheet.cautions {
        let at = caution.find([':', '.']).map_or(caution.len(), |at| at + 1);
        let (bold, plain) = caution.split_at(at);
        let _ = write!(
            body,
            "<div class=\"caution\"><b>{}</b>{}</div>",
            escape(bold),
            escape(plain)
        );
    }
    let _ = write!(body, "<footer>{}</footer>", escape(&sheet.foot));
    format!(
        "<!doctype html>\n<html lang=\"en-US\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width,initial-scale=1\"><meta name=\"color-scheme\" content=\"light dark\"><title>{} {}</title><style>{}{}</style></head><body><main>{body}</main></body></html>\n",
        escape(&sheet.farm),
        escape(&sheet.day),
        page_variables(),
        style()
    )
}

/// A picture inside the page takes the page's colors, so its own style is left out.
fn inner(svg: &str) -> String {
    match (svg.find("<style>"), svg.find("</style>")) {
        (Some(from), Some(to)) => format!("{}{}", &svg[..from], &svg[to + "</style>".len()..]),
        _ => svg.to_owned(),
    }
}

fn suspects(body: &mut String, suspects: &[SheetSuspect]) {
    body.push_str("<section><h2>look these up on paper</h2><p class=\"cap\">Nothing is filled in for you: the correction is typed from the ticket, and with no paper it stays an open question.</p>");
    for one in suspects {
        let _ = write!(
            body,
            "<article><h3>{}</h3><p><span class=\"typed\">{}</span></p><p>Off by <b>{}</b>.</p>",
            escape(&one.name),
            escape(&one.written),
            escape(&one.off_by)
        );
        if !one.or.is_empty() {
            let _ = write!(
                body,
                "<p>No test tells it from {}.</p>",
                escape(&one.or.join(", "))
            );
        }
        body.push_str("<ul>");
        for sentence in &one.perhaps {
            let _ = write!(body, "<li>{}</li>", escape(sentence));
        }
        body.push_str("</ul><p class=\"blank\">as the paper shows it</p></article>");
    }
    body.push_str("</section>");
}

fn table_of(body: &mut String, table: &SheetTable) {
    let _ = write!(body, "<section><h2>{}</h2>", escape(&table.title));
    if !table.note.is_empty() {
        let _ = write!(body, "<p class=\"cap\">{}</p>", escape(&table.note));
    }
    body.push_str("<div class=\"wide\"><table><thead><tr>");
    let class = |column: usize| {
        if table.right.contains(&column) {
            " class=\"r\""
        } else {
            ""
        }
    };
    for (column, head) in table.heads.iter().enumerate() {
        let _ = write!(
            body,
            "<th scope=\"col\"{}>{}</th>",
            class(column),
            escape(head)
        );
    }
    body.push_str("</tr></thead><tbody>");
    for row in &table.rows {
        body.push_str("<tr>");
        for (column, cell) in row.iter().enumerate() {
            let _ = write!(body, "<td{}>{}</td>", class(column), escape(cell));
        }
        body.push_str("</tr>");
    }
    body.push_str("</tbody></table></div></section>");
}

fn style() -> String {
    format!(
        "*{{box-sizing:border-box}}html{{background:var(--paper)}}body{{margin:0;background:var(--paper);color:var(--ink);font:17px/24px {SERIF};font-variant-numeric:lining-nums tabular-nums}}main{{max-width:1000px;margin:0 auto;padding:16px 20px 48px}}header{{display:flex;gap:20px;align-items:baseline;border-bottom:3px double var(--ink);padding-bottom:8px;font:15px/22px {SANS}}}header .mark{{font:700 19px/24px {SERIF}}}header b{{margin-left:auto;border-bottom:6px solid var(--ink);padding-bottom:2px;margin-bottom:-9px}}h1{{font:600 36px/44px {SERIF};margin:34px 0 8px;text-wrap:balance;max-width:28em}}.stand{{font-size:20px;line-height:30px;max-width:40em;margin:0}}section{{margin-top:40px;border-top:2px solid var(--ink);padding-top:10px}}h2{{font:650 20px/28px {SERIF};margin:0 0 4px}}h3{{font:650 17px/24px {SERIF};margin:0}}.cap{{color:var(--soft);margin:0 0 10px;max-width:44em}}.pic svg{{width:100%;height:auto;max-width:760px;display:block}}.pic svg text{{font-family:{SANS}}}article{{border-top:1px solid var(--rule);padding:12px 0 6px}}article p{{margin:4px 0}}.typed{{color:var(--pencil);border-bottom:1px solid var(--pencil)}}.blank{{color:var(--pencil);font-style:italic;border-bottom:1px solid var(--pencil);max-width:26em;padding-top:20px}}ul{{margin:6px 0;padding-left:20px;max-width:46em}}.wide{{overflow-x:auto}}table{{border-collapse:collapse;width:100%;font:15px/22px {SANS}}}th{{text-align:left;font-weight:600;color:var(--soft);border-bottom:1px solid var(--ink);padding:4px 16px 4px 0;vertical-align:bottom}}td{{border-bottom:1px solid var(--hair);padding:6px 16px 6px 0;vertical-align:top}}tbody tr:last-child td{{border-bottom:3px double var(--ink)}}.r{{text-align:right}}.caution{{margin-top:28px;border-bottom:1px solid var(--ink);padding:12px 0 8px;background:repeating-linear-gradient(135deg,var(--ink) 0 4px,transparent 4px 8px) top/100% 8px no-repeat;padding-top:16px}}footer{{margin-top:28px;color:var(--soft);font:13px/20px {SANS}}}[data-theme=sun] body{{font-size:18px;font-weight:550}}@media(max-width:600px){{h1{{font-size:29px;line-height:35px}}.stand{{font-size:18px;line-height:27px}}}}@media print{{@page{{size:letter;margin:.6in .6in .6in .9in}}:root,:root:not([data-theme]){{--paper:#fff;--ink:#000;--soft:#222;--rule:#000;--hair:#888;--pencil:#000}}body{{font-size:11pt;line-height:15pt}}main{{padding:0;max-width:none}}h1{{font-size:22pt;line-height:26pt}}section,article,.caution{{break-inside:avoid}}*{{print-color-adjust:exact;-webkit-print-color-adjust:exact}}}}"
    )
}
