//! Everything that was written, newest first, in pages.

use super::form::kind_title;
use crate::door::{Role, Who};
use crate::shell::page;
use crate::text::Text;
use crate::{Frame, House, Look, Refusal, Tab};
use askama::Template;
use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use desk::written::FORMS;
use desk::{Shown, Wanted};
use serde::Deserialize;

/// Entries on one page.
const PAGE: usize = 60;
/// Letters of one figure in a list.
const LETTERS: usize = 160;

/// One figure as shown.
pub(super) struct Said {
    /// What it is called.
    pub(super) label: String,
    /// What it says.
    pub(super) texts: Vec<String>,
    /// Whether it is a photograph's key.
    pub(super) photograph: bool,
}

/// One entry as shown.
pub(super) struct Row {
    /// Its id.
    pub(super) id: String,
    /// What kind it is.
    pub(super) title: String,
    /// When it happened.
    pub(super) happened: String,
    /// Who wrote it, on which device.
    pub(super) author: String,
    /// How it stands.
    pub(super) state: String,
    /// Whether it stands.
    pub(super) stands: bool,
    /// Its figures.
    pub(super) figures: Vec<Said>,
    /// Why, of a correction or a striking out.
    pub(super) reason: Option<String>,
}

/// Kinds that say money: the owner's to see.
const MONEY_KINDS: [&str; 3] = ["contract", "arranged", "buyer"];
/// Figures that say money.
const MONEY: [&str; 4] = ["price", "contract", "bushels", "account"];

/// Whether somebody may see a kind of entry.
pub(super) fn may_see(who: &Who, kind: &str) -> bool {
    who.role == Role::Owner || !MONEY_KINDS.contains(&kind)
}

/// An entry for its reader; a long text is cut short where `whole` does not ask for all of it.
pub(super) fn row(text: Text, who: &Who, shown: Shown, whole: bool) -> Row {
    let label = |name: &str| {
        FORMS
            .iter()
            .filter(|form| form.kind == shown.kind)
            .chain(FORMS)
            .flat_map(|form| form.figures)
            .find(|figure| figure.name == name)
            .map_or_else(
                || name.replace('-', " "),
                |figure| text.say(figure.label).into_owned(),
            )
    };
    let short = |said: String| {
        if whole || said.chars().count() <= LETTERS {
            return said;
        }
        let cut: String = said.chars().take(LETTERS).collect();
        format!("{cut}…")
    };
    let figures = shown
        .figures
        .iter()
        .filter(|(name, _)| who.role == Role::Owner || !MONEY.contains(&name.as_str()))
        .map(|(name, texts)| Said {
            label: label(name),
            photograph: matches!(name.as_str(), "paper" | "sha256"),
            texts: texts.iter().cloned().map(short).collect(),
        })
        .collect();
    Row {
        title: kind_title(text, &shown.kind),
        figures,
        stands: shown.state == "stands",
        state: text.say(&shown.state).into_owned(),
        id: shown.id,
        happened: shown.happened,
        author: shown.author,
        reason: shown.reason,
    }
}

#[derive(Deserialize)]
struct Asked {
    kind: Option<String>,
    from: Option<usize>,
    all: Option<String>,
}

struct Choice {
    link: String,
    title: String,
    here: bool,
}

#[derive(Template)]
#[template(path = "entries.html")]
struct List {
    frame: Frame,
    lede: String,
    kinds: Vec<Choice>,
    rows: Vec<Row>,
    newer: Option<String>,
    older: Option<String>,
    all: bool,
    all_link: String,
}

/// An address of this list.
fn address(kind: Option<&str>, all: bool, from: usize) -> String {
    let mut parts = Vec::new();
    if let Some(kind) = kind {
        parts.push(format!("kind={kind}"));
    }
    if all {
        parts.push("all=yes".to_owned());
    }
    if from > 0 {
        parts.push(format!("from={from}"));
    }
    format!("/entries?{}", parts.join("&"))
}

async fn list(
    State(house): State<House>,
    look: Look,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refusal> {
    let text = look.text;
    let all = asked.all.is_some();
    let plain = |kind: &String| kind.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
    let kind = asked.kind.filter(|kind| !kind.is_empty()).filter(plain);
    let without = MONEY_KINDS
        .iter()
        .filter(|kind| !may_see(&who, kind))
        .map(|kind| (*kind).to_owned())
        .collect();
    let wanted = Wanted {
        kind: kind.clone(),
        without,
        all,
        skip: asked.from.unwrap_or(0),
        take: PAGE,
    };
    let listing = house
        .run(move |house| {
            house.with_book(|book, now, _| Ok(desk::listing(book, &now.farm, &wanted)?))
        })
        .await?;
    let kind = kind.as_deref();
    let mut kinds = vec![Choice {
        link: address(None, all, 0),
        title: text.say("everything").into_owned(),
        here: kind.is_none(),
    }];
    kinds.extend(listing.kinds.iter().map(|one| Choice {
        link: address(Some(one), all, 0),
        title: kind_title(text, one),
        here: kind == Some(one),
    }));
    let lede = match listing.count {
        0 => text
            .say("Nothing of this kind is written yet.")
            .into_owned(),
        1 => text.say("One entry, as it was written.").into_owned(),
        count => text.fill("{0} entries, the newest first.", &[&count]),
    };
    page(&List {
        frame: Frame::new(look, &who, Tab::Other, text.say("Entries")),
        lede,
        kinds,
        rows: listing
            .entries
            .into_iter()
            .map(|shown| row(text, &who, shown, false))
            .collect(),
        newer: listing.newer.map(|from| address(kind, all, from)),
        older: listing.older.map(|from| address(kind, all, from)),
        all,
        all_link: address(kind, !all, 0),
    })
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/entries", get(list))
}
