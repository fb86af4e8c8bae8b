//! Every picture for pages in three lights: `cargo run -p stook-draw --example pages -- FOLDER`.
//! The style of the page, with the custom properties, is FOLDER/look.css.

#[path = "../tests/invented/mod.rs"]
mod invented;

use draw::{HourState, Texture, both};
use std::fmt::Write as _;
use std::path::PathBuf;

fn section(body: &mut String, head: &str, drawn: &str) {
    let _ = write!(
        body,
        "<section class=\"rule\"><h2>{head}</h2>{drawn}</section>"
    );
}

fn page() -> String {
    let mut body = String::new();
    section(
        &mut body,
        "Hours fit today",
        &both(|width| draw::hours(&invented::forecast(), width)),
    );
    let mut key = String::new();
    for (state, word) in [
        (HourState::Wet, "wet"),
        (HourState::Tough, "tough"),
        (HourState::Fit, "fit"),
        (HourState::TooDry, "too dry"),
        (HourState::Stopped, "stopped"),
    ] {
        let _ = write!(key, "<span>{}{word}</span>", draw::state_swatch(state));
    }
    let _ = write!(
        key,
        "<span>{}the change falls in here, 8 days in 10</span>",
        draw::bracket_swatch()
    );
    let _ = write!(body, "<p class=\"legend\">{key}</p>");
    section(
        &mut body,
        "The day as it went",
        &both(|width| draw::hours(&invented::past(), width)),
    );
    let account = both(|width| draw::account(&invented::account(), width));
    let mut table = String::from("<table>");
    for (texture, word) in [
        (Texture::Plain, "Came off 30.1 acres"),
        (Texture::Solid, "Sold, 2 tickets"),
        (Texture::Dots, "On claim"),
        (Texture::Hatch, "On wheels"),
        (Texture::Gap, "Short"),
    ] {
        let _ = write!(
            table,
            "<tr><td class=\"t\">{}{word}</td></tr>",
            draw::swatch(texture)
        );
    }
    table.push_str("</table>");
    section(
        &mut body,
        "The account of Willow Bench",
        &(account + &table),
    );
    section(
        &mut body,
        "More went out than came off",
        &both(|width| draw::account(&invented::account_over(), width)),
    );
    let mut rows = String::from("<table>");
    for (one, odds) in invented::whiskers().iter().zip([8, 1, 0, 1]) {
        let _ = write!(
            rows,
            "<tr><td class=\"t\">{}</td><td>{}</td><td>{}{odds} in 10</td></tr>",
            draw::escape(&one.title),
            draw::whisker(one),
            draw::tally(odds, &format!("{odds} in 10"))
        );
    }
    for one in &invented::calls() {
        let _ = write!(
            rows,
            "<tr><td class=\"t\">{}</td><td>{}</td></tr>",
            draw::escape(&one.title),
            draw::call_at(one)
        );
    }
    rows.push_str("</table><p>");
    for one in &invented::wagons() {
        rows.push_str(&draw::wagon(one));
    }
    let _ = write!(
        rows,
        "</p><p>{}3 wait for the book.</p>",
        draw::waiting(2, 3, "3 wait")
    );
    section(&mut body, "In a row", &rows);
    let maps = |width| draw::field_map(&invented::field(11.0), width);
    let pair = format!(
        "<div class=\"two\"><figure>{}</figure><figure>{}</figure></div>",
        both(|width| maps(width).values),
        both(|width| maps(width).doubt)
    );
    section(&mut body, "Willow Bench", &pair);
    let days = both(|width| draw::days(&invented::samples(), width));
    section(
        &mut body,
        "Samples",
        &format!("<div class=\"two\"><figure>{days}</figure></div>"),
    );
    let (tests, words) = invented::tests();
    let drawn = both(|width| draw::slip_tests_page(&tests, &words, width));
    section(&mut body, "Every slip against the others", &drawn);
    let (plan, words) = invented::plan();
    let drawn = both(|width| draw::points_plan_page(&plan, &words, width));
    section(&mut body, "Points", &drawn);
    let drawn = both(|width| draw::settlement_steps_page(&invented::steps(), width));
    section(&mut body, "A ticket", &drawn);
    body
}

fn main() -> std::io::Result<()> {
    let folder = PathBuf::from(
        std::env::args_os()
            .nth(1)
            .unwrap_or_else(|| "gallery".into()),
    );
    std::fs::create_dir_all(&folder)?;
    std::fs::write(folder.join("draw.css"), draw::PAGE_CSS)?;
    let body = page();
    for theme in ["light", "dark", "sun"] {
        let whole = format!(
            "<!doctype html><html lang=\"en-US\" data-theme=\"{theme}\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width,initial-scale=1\"><meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'self' file:\"><title>pictures</title><link rel=\"stylesheet\" href=\"look.css\"><link rel=\"stylesheet\" href=\"draw.css\"></head><body><div class=\"sheet\">{body}</div></body></html>"
        );
        std::fs::write(folder.join(format!("{theme}.html")), whole)?;
    }
    let pad = draw::load_pad(&invented::pad());
    let whole = format!(
        "<!doctype html><html lang=\"en-US\"><head><meta charset=\"utf-8\"><title>pad</title><link rel=\"stylesheet\" href=\"look.css\"><link rel=\"stylesheet\" href=\"draw.css\"></head><body>{pad}</body></html>"
    );
    std::fs::write(folder.join("pad.html"), whole)
}
