//! Before the first pass: a list to print, ticked where the book already knows.

use super::start::year;
use crate::door::Who;
use crate::shell::page;
use crate::text::Text;
use crate::{Frame, House, Look, Refusal, Tab, dates};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use desk::setup::{BeforeKind, BeforeLine, BeforeState, setup};

struct Line {
    done: bool,
    what: String,
    detail: Vec<String>,
    link: Option<&'static str>,
}

#[derive(Template)]
#[template(path = "first_pass.html")]
struct Page {
    frame: Frame,
    lede: String,
    lines: Vec<Line>,
    cautions: Vec<String>,
    printed: String,
    blanks: [(); 4],
}

fn what(text: Text, kind: BeforeKind) -> (String, Option<&'static str>) {
    let (what, link) = match kind {
        BeforeKind::TareWagons => (text.say("Weigh each wagon and truck empty on the buyer's scale, with whoever usually sits on it."), Some("/entries?kind=place")),
        BeforeKind::CheckMeter => (text.say("Check the hand meter against the buyer's: one pail of grain, both meters, written down."), Some("/write/sample")),
        BeforeKind::CarryOverBins => (text.say("Measure and mark bins with grain of before, from the hatch, never stepping in. Ask the agent before new crop goes on it."), Some("/write/measure")),
        BeforeKind::Schedules => (text.say("Get this year's schedule of discounts from the buyer, for each crop."), Some("/entries?kind=buyer")),
        BeforeKind::Contracts => (text.say("Get the contracts: number, bushels, price, last day."), Some("/write/contract")),
        BeforeKind::Splits => (text.say("Agree how each ticket is split with the landlord, and under which account names."), Some("/write/arranged")),
        BeforeKind::UnitNumbers => (text.say("Get the insured unit of each field; records of two units are kept apart."), Some("/units")),
        BeforeKind::CallAt => (text.say("Ask the agent at which yield of each unit to call, and by which day."), Some("/units")),
        BeforeKind::Extinguishers => (text.say("Hang the extinguishers, check their needles, and show everybody where they are."), None),
        BeforeKind::PractiseLoads => (text.say("Practice one load per person: dump, wagon, scale, ticket, entry."), None),
    };
    (what.into_owned(), link)
}

fn line(text: Text, line: &BeforeLine) -> Line {
    let (what, link) = what(text, line.what);
    let mut detail = Vec::new();
    if line.state == BeforeState::Partly || line.state == BeforeState::Settled {
        detail.push(text.fill("In the book: {0}.", &[&line.settled.join(", ")]));
    }
    if !line.open.is_empty() {
        detail.push(text.fill("Still open: {0}.", &[&line.open.join(", ")]));
    }
    Line {
        done: line.state == BeforeState::Settled,
        what,
        detail,
        link,
    }
}

async fn show(State(house): State<House>, look: Look, who: Who) -> Result<Response, Refusal> {
    house
        .run(move |house| {
            let text = look.text;
            let now = house.now()?;
            let year = year(house, &now.farm)?;
            let lines: Vec<Line> = setup(&now.farm, year)
                .before
                .iter()
                .map(|one| line(text, one))
                .collect();
            let open = lines.iter().filter(|line| !line.done).count();
            let lede = match open {
                0 => text.say("Everything on the list is settled.").into_owned(),
                1 => text
                    .say("One thing is left before the first pass.")
                    .into_owned(),
                open => text.fill("{0} things are left before the first pass.", &[&open]),
            };
            let cautions = [
                facts::Act::BinMeasure,
                facts::Act::WagonFlow,
                facts::Act::Fire,
            ];
            let day = dates::local(&now.farm.zone, now.now_ms).date();
            page(&Page {
                frame: Frame::new(look, &who, Tab::Other, text.say("Before the first pass"))
                    .dated(text.fill("{0}, season of {1}", &[&now.farm.name, &year])),
                lede,
                lines,
                cautions: cautions
                    .iter()
                    .map(|act| text.say(&facts::caution(*act).text).into_owned())
                    .collect(),
                printed: text.fill("Printed {0}", &[&dates::long(text, day)]),
                blanks: [(); 4],
            })
        })
        .await
}

pub(super) fn routes() -> Router<House> {
    Router::new().route("/first-pass", get(show))
}
