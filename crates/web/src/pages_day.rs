//! The pages of the day over the demo farm: what they say against what the desk says, hostile names,
//! roles, and what a strict page may not hold.

use crate::door::{Door, Role, Who};
use crate::house::House;
use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode};
use book::{Book, Device};
use desk::night::{Evening, EveningSays};
use desk::written::Figures;
use desk::{Clock, Farm, Pen, Ranged};
use std::collections::BTreeSet;
use tower::ServiceExt;

/// October 15, 2025, 7:30 pm in Chicago: after the last load of the demo's season.
const NOW_MS: i64 = 1_760_574_600_000;

struct Stopped(u8);
impl Clock for Stopped {
    fn now_ms(&mut self) -> i64 {
        NOW_MS
    }
    fn chance(&mut self) -> [u8; 10] {
        self.0 = self.0.wrapping_add(1);
        [self.0; 10]
    }
}

struct Tried {
    rooms: Router,
    house: House,
    _folder: tempfile::TempDir,
}

fn tried(make: impl FnOnce(&std::path::Path) -> Book) -> Tried {
    let folder = tempfile::tempdir().unwrap();
    let book = make(&folder.path().join("farm.stook"));
    let house = House::new(book, Box::new(Stopped(0)), Door::default()).unwrap();
    Tried {
        rooms: crate::rooms(house.clone()),
        house,
        _folder: folder,
    }
}

/// The demo's season as it was typed, mistakes and all.
fn typed() -> Tried {
    tried(|path| desk::demo::seasons(path, 1, 1).unwrap())
}

/// The demo played through: squared, with its photographs and points.
fn squared() -> Tried {
    let folder = tempfile::tempdir().unwrap();
    let made = desk::demo::run(&folder.path().join("demo"), 1).unwrap();
    let book = Book::open(std::path::Path::new(&made.book)).unwrap();
    let house = House::new(book, Box::new(Stopped(0)), Door::default()).unwrap();
    Tried {
        rooms: crate::rooms(house.clone()),
        house,
        _folder: folder,
    }
}

fn empty(name: &str) -> Tried {
    tried(|path| {
        let device = Device::new("kitchen", "kitchen").unwrap();
        desk::books::create(
            path,
            name,
            "America/Chicago",
            "Ada",
            &device,
            &mut Stopped(9),
        )
        .unwrap()
        .0
    })
}

fn who(role: Role, fields: &[&str]) -> Who {
    Who {
        person: "Ada".to_owned(),
        role,
        device: "laptop".to_owned(),
        session: "s".to_owned(),
        language: None,
        fields: fields
            .iter()
            .map(ToString::to_string)
            .collect::<BTreeSet<_>>(),
        reading: true,
    }
}

async fn ask(tried: &Tried, who: Who, mut request: Request<Body>) -> (StatusCode, String) {
    request.extensions_mut().insert(who);
    let answer = tried.rooms.clone().oneshot(request).await.unwrap();
    let status = answer.status();
    let bytes = to_bytes(answer.into_body(), 8 << 20).await.unwrap();
    (status, String::from_utf8_lossy(&bytes).into_owned())
}

async fn get(tried: &Tried, path: &str) -> (StatusCode, String) {
    let request = Request::get(path).body(Body::empty()).unwrap();
    ask(tried, who(Role::Owner, &[]), request).await
}

/// The text of the first element that begins so.
fn element<'p>(page: &'p str, begins: &str, ends: &str) -> &'p str {
    let from = page.find(begins).unwrap_or_else(|| panic!("no {begins}"));
    let rest = &page[from..];
    &rest[..rest.find(ends).expect("an end")]
}

fn evening(tried: &Tried, day: Option<&str>) -> Evening {
    let now = tried.house.now().unwrap();
    desk::night::evening(&now.farm, NOW_MS, day).unwrap()
}

/// What a page under a strict policy may not hold.
fn strict(page: &str) {
    assert!(
        !page.contains(" style=\"") && !page.contains("<style"),
        "a style of its own"
    );
    for (at, _) in page.match_indices("<script") {
        let tag = &page[at..at + page[at..].find('>').expect("a tag ends")];
        assert!(tag.contains(" src=\""), "an inline script: {tag}");
    }
    for on in [" onclick=", " onload=", " onerror=", "javascript:"] {
        assert!(!page.contains(on), "{on}");
    }
}

#[tokio::test]
async fn night_says_what_the_desk_says() {
    let tried = typed();
    let (status, page) = get(&tried, "/night").await;
    assert_eq!(status, StatusCode::OK);
    strict(&page);
    let evening = evening(&tried, None);
    let EveningSays::Suspect {
        off_by_dry_bu: Some(off),
        slip,
        short,
        ..
    } = &evening.says
    else {
        panic!("the typed demo has mistakes: {:?}", evening.says);
    };
    let lede = element(&page, "<h1 class=\"lede\">", "</h1>");
    assert!(lede.contains("Not square"), "{lede}");
    assert!(
        lede.contains(&crate::figures::number(off.value, 0)),
        "{lede}"
    );
    assert_eq!(lede.contains("short"), *short, "{lede}");
    let number = slip.rsplit(' ').next().unwrap();
    assert!(lede.contains(number), "{lede} {slip}");
    // every crop's gap stands on the page with its own range
    for crop in &evening.crops {
        let gap = crate::figures::number(crop.unexplained.value.abs(), 0);
        let half = crate::figures::number(crop.unexplained.half_width(), 0);
        assert!(
            page.contains(&format!("<td class=\"n\">{gap}</td>")),
            "{gap}"
        );
        assert!(page.contains(&format!("\u{b1}{half}")), "{half}");
    }
}

#[tokio::test]
async fn a_correction_is_never_filled_in() {
    let tried = typed();
    let (_, page) = get(&tried, "/night").await;
    let form = element(&page, "<form class=\"paper form\"", "</form>");
    assert!(form.contains("name=\"reason\""));
    for input in form.split("<input").skip(1) {
        let tag = input.split('>').next().unwrap();
        if tag.contains("hidden") || tag.contains("radio") || tag.contains("checkbox") {
            continue;
        }
        let filled = tag.contains("value=\"") && !tag.contains("value=\"\"");
        assert!(!filled, "{tag}");
    }
    // nothing is chosen either, but that nothing is said
    for input in form.split("<input").filter(|tag| tag.contains(" checked")) {
        assert!(input.contains("value=\"\" checked"), "{input}");
    }
}

#[tokio::test]
async fn a_slip_without_paper_stays_an_open_question() {
    let tried = typed();
    let entry = evening(&tried, None).suspects[0].entry.clone().unwrap();
    let (status, page) = get(&tried, &format!("/night/slip/{entry}")).await;
    assert_eq!(status, StatusCode::OK);
    strict(&page);
    assert!(page.contains("leave it open") && !page.contains("open question already"));
    let request = Request::post(format!("/night/slip/{entry}/open"))
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from("name=ticket+1"))
        .unwrap();
    let (status, _) = ask(&tried, who(Role::Owner, &[]), request).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let (_, page) = get(&tried, &format!("/night/slip/{entry}")).await;
    assert!(page.contains("open question already") && !page.contains("leave it open"));
    // nothing of the slip itself was changed
    assert_eq!(
        evening(&tried, None).suspects[0].entry.as_deref(),
        Some(entry.as_str())
    );
}

#[tokio::test]
async fn a_squared_season_says_so_and_every_page_is_strict() {
    let tried = squared();
    let (_, page) = get(&tried, "/night?season=2025").await;
    let lede = element(&page, "<h1 class=\"lede\">", "</h1>");
    assert!(lede.contains("Square:"), "{lede}");
    assert!(!page.contains("id=\"suspect\""));
    for path in [
        "/night?season=2025&whole=yes",
        "/night?day=2025-07-23",
        "/winter?season=2025",
        "/winter/tickets?season=2025",
        "/winter/loads?season=2025",
        "/morning",
    ] {
        let (status, page) = get(&tried, path).await;
        assert_eq!(status, StatusCode::OK, "{path}");
        assert!(page.len() < 300_000, "{path}: {} bytes", page.len());
        strict(&page);
    }
}

/// The season's last count lost most behind the machine, so its tries are shown with the caution of setting;
/// a contract's price and no speed: money an acre and none an hour.
#[tokio::test]
async fn a_count_has_what_the_trade_tries_first_under_it() {
    let tried = squared();
    let (status, page) = get(&tried, "/counts").await;
    assert_eq!(status, StatusCode::OK);
    strict(&page);
    let section = element(&page, "<section class=\"rule\" id=\"tries\">", "</section>");
    assert_eq!(section.matches("<dt>").count(), 3, "{section}");
    assert!(section.contains("<dt>Clean grain over the sieves</dt>"));
    assert!(!section.contains("<dt>Shattered at the head</dt>"));
    assert!(section.contains("manual goes before all of this"));
    assert!(section.contains("Guards shut before anything turns"));
    assert!(!page.contains("an hour of cutting"), "nobody wrote a speed");
    let request = Request::get("/counts").header("cookie", "language=es");
    let request = request.body(Body::empty()).unwrap();
    let (_, page) = ask(&tried, who(Role::Owner, &[]), request).await;
    let section = element(&page, "<section class=\"rule\" id=\"tries\">", "</section>");
    assert!(section.contains("primero más despacio"), "{section}");
    assert!(section.contains("Protecciones cerradas antes"), "{section}");
    let (_, page) = get(&tried, "/settings").await;
    assert!(page.contains("fan 900 to 850 rpm"), "{page}");
    assert!(page.contains("Less is lost now"), "{page}");
}

/// Three frames of 9 seeds a square foot with 156.2 g a thousand are 2.2502 bu/ac of soybeans, $24.75 at $11; 4 mph and
/// 20 ft cut 9.697 ac/h, so $240 an hour.
#[tokio::test]
async fn a_count_with_speed_and_cut_says_money_an_hour() {
    let tried = empty("Creek Bench");
    let entries: [(&str, &[(&str, &str)]); 6] = [
        ("field", &[("name", "Bench"), ("planted", "20 ac")]),
        ("machine", &[("name", "combine")]),
        ("buyer", &[("name", "Mill")]),
        (
            "planting",
            &[("field", "Bench"), ("crop", "soybean"), ("season", "2025")],
        ),
        (
            "contract",
            &[
                ("number", "17"),
                ("buyer", "Mill"),
                ("crop", "soybean"),
                ("season", "2025"),
                ("bushels", "1,000"),
                ("price", "$11/bu"),
            ],
        ),
        (
            "count",
            &[
                ("field", "Bench"),
                ("season", "2025"),
                ("frame", "1 ft2"),
                ("tail", "spread"),
                ("cut-width", "20 ft"),
                ("speed", "4 mph"),
                ("behind-head", "9"),
                ("behind-head", "9"),
                ("behind-head", "9"),
                ("behind-machine", "9"),
                ("behind-machine", "9"),
                ("behind-machine", "9"),
            ],
        ),
    ];
    tried
        .house
        .with_book(|book, _, clock| {
            for (kind, figures) in entries {
                let farm = Farm::read(book).unwrap();
                let mut all = Figures::default();
                for (name, text) in figures {
                    all.add(name, *text);
                }
                let mut pen = Pen::new("Ada", None, &farm.zone, clock).unwrap();
                desk::write(book, &farm, &mut pen, kind, &all).unwrap();
            }
            Ok(())
        })
        .unwrap();
    let (_, page) = get(&tried, "/counts").await;
    assert!(page.contains("<td>$25 ("), "{page}");
    assert!(
        page.contains(", $240 (") && page.contains(") an hour of cutting."),
        "{page}"
    );
    assert!(page.contains("<dt>Shattered at the head</dt>"), "{page}");
}

#[tokio::test]
async fn a_field_with_points_has_its_maps_and_their_cells() {
    let tried = squared();
    let farm: Farm = (*tried.house.now().unwrap().farm).clone();
    let sheets: Vec<_> = desk::winter::season(&farm, 2025).unwrap();
    let mapped = sheets
        .iter()
        .find(|line| line.points > 0)
        .expect("the demo has points");
    let name = mapped.field.replace(' ', "%20");
    let (status, page) = get(&tried, &format!("/winter/field/{name}?season=2025")).await;
    assert_eq!(status, StatusCode::OK);
    strict(&page);
    assert!(
        page.contains("class=\"still\"") && page.contains("<svg"),
        "a map without scripts"
    );
    let made = mapped.yields.unwrap();
    let lede = element(&page, "<h1 class=\"lede\">", "</h1>");
    assert!(
        lede.contains(&crate::figures::number(made.value, 1)),
        "{lede}"
    );
    let (status, json) = get(&tried, &format!("/api/field/{name}/cells?season=2025")).await;
    assert_eq!(status, StatusCode::OK);
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let cells = json["cells"]["column"].as_array().unwrap().len();
    assert!(cells > 50, "{cells}");
    for column in ["shade", "dot", "half"] {
        assert_eq!(json[column].as_array().unwrap().len(), cells, "{column}");
    }
    assert_eq!(json["ramp"].as_array().unwrap().len(), 256);
}

#[tokio::test]
async fn each_ticket_folds_its_settlement() {
    let tried = squared();
    let farm: Farm = (*tried.house.now().unwrap().farm).clone();
    let audited = desk::audit::season(&farm, 2025).unwrap().audited.len();
    assert!(audited > 0, "the demo has tickets that settle");
    let (_, page) = get(&tried, "/winter/tickets?season=2025").await;
    let folded = page.matches("<details><summary>").count();
    assert_eq!(folded, audited);
    // one picture for each width
    assert_eq!(page.matches("class=\"draw chart").count(), 2 * audited);
}

#[tokio::test]
async fn an_empty_book_has_pages_too() {
    let tried = empty("Quiet Creek");
    let (status, night) = get(&tried, "/night").await;
    assert_eq!(status, StatusCode::OK);
    assert!(night.contains("No slips yet"), "{night}");
    for path in ["/morning", "/winter", "/winter/loads", "/winter/tickets"] {
        let (status, page) = get(&tried, path).await;
        assert_eq!(status, StatusCode::OK, "{path}");
        strict(&page);
        assert!(!page.contains("NaN") && !page.contains("inf "), "{path}");
    }
    let (status, _) = get(&tried, "/winter/field/Nowhere").await;
    assert_eq!(status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn names_never_become_markup() {
    const EVIL: &str = "<script>alert(1)</script>\"'&";
    let tried = empty(EVIL);
    tried
        .house
        .with_book(|book, now, clock| {
            let mut farm = (*now.farm).clone();
            let mut write = |kind: &str, figures: &[(&str, &str)]| {
                let mut all = Figures::default();
                for (name, text) in figures {
                    all.add(name, *text);
                }
                let mut pen = Pen::new(EVIL, None, &farm.zone, clock).unwrap();
                desk::write(book, &farm, &mut pen, kind, &all).unwrap();
                farm = Farm::read(book).unwrap();
            };
            write(
                "field",
                &[("name", EVIL), ("planted", "20 ac"), ("unit", EVIL)],
            );
            write("machine", &[("name", EVIL)]);
            write("place", &[("name", EVIL), ("kind", "wagon")]);
            write("person", &[("name", EVIL), ("role", "driver")]);
            write(
                "planting",
                &[("field", EVIL), ("crop", "corn"), ("season", "2025")],
            );
            let dump = [
                ("machine", EVIL),
                ("field", EVIL),
                ("crop", "corn"),
                ("season", "2025"),
                ("to", EVIL),
                ("number", "<b>7</b>"),
                ("monitor", "9,000 lb"),
                ("moisture", "18%"),
            ];
            write("dump", &dump);
            write("note", &[("text", EVIL)]);
            write("ready", &[("text", EVIL), ("list", EVIL)]);
            Ok(())
        })
        .unwrap();
    let field = "%3Cscript%3Ealert(1)%3C%2Fscript%3E%22'%26";
    for path in [
        "/night".to_owned(),
        "/night?season=2025&whole=yes".to_owned(),
        "/morning".to_owned(),
        "/winter?season=2025".to_owned(),
        "/winter/loads?season=2025".to_owned(),
        format!("/winter/field/{field}?season=2025"),
    ] {
        let (status, page) = get(&tried, &path).await;
        assert_eq!(status, StatusCode::OK, "{path}: {page}");
        strict(&page);
        assert!(
            !page.contains("<script>alert") && !page.contains("<b>7</b>"),
            "{path}"
        );
        assert!(page.contains("alert(1)"), "{path} shows the name");
    }
}

#[tokio::test]
async fn helpers_see_no_money_and_readers_only_their_fields() {
    let tried = typed();
    let night = |role, fields: &[&str]| {
        let request = Request::get("/night").body(Body::empty()).unwrap();
        ask(&tried, who(role, fields), request)
    };
    let (_, owner) = night(Role::Owner, &[]).await;
    let (_, helper) = night(Role::Helper, &[]).await;
    let odd = element(&owner, "id=\"suspect\"", "</section>");
    let seen = element(&helper, "id=\"suspect\"", "</section>");
    let price = |part: &str| {
        part.split("<form")
            .next()
            .is_some_and(|said| said.contains('$'))
    };
    assert!(price(odd), "the odd ticket of the demo has a price");
    assert!(!price(seen), "a price");
    assert!(!helper.contains("<h3>Contracts</h3>"));
    let farm = tried.house.now().unwrap().farm.clone();
    let lines = desk::winter::season(&farm, 2025).unwrap();
    let (mine, other) = (lines[0].field.clone(), lines.last().unwrap().field.clone());
    assert_ne!(mine, other);
    for (field, expected) in [(&mine, StatusCode::OK), (&other, StatusCode::FORBIDDEN)] {
        let path = format!("/winter/field/{}?season=2025", field.replace(' ', "%20"));
        let request = Request::get(path).body(Body::empty()).unwrap();
        let (status, _) = ask(&tried, who(Role::Reader, &[&mine]), request).await;
        assert_eq!(status, expected, "{field}");
    }
    let request = Request::get("/winter?season=2025")
        .body(Body::empty())
        .unwrap();
    let (_, page) = ask(&tried, who(Role::Reader, &[&mine]), request).await;
    assert!(page.contains(&mine) && !page.contains(&format!(">{other}<")));
}

#[tokio::test]
async fn pages_speak_spanish_and_metric() {
    let tried = typed();
    let request = Request::get("/night")
        .header("cookie", "language=es; units=metric")
        .body(Body::empty())
        .unwrap();
    let (_, page) = ask(&tried, who(Role::Owner, &[]), request).await;
    let lede = element(&page, "<h1 class=\"lede\">", "</h1>");
    assert!(lede.contains("No cuadra") && lede.contains(" t "), "{lede}");
    // the corn's account in tonnes: 56 lb a bushel, 0.0254012 t
    let evening = evening(&tried, None);
    let corn = evening.crops.iter().find(|one| one.crop == "corn").unwrap();
    let tonnes = Ranged {
        value: corn.came_off.value * 0.025_401_2,
        ..corn.came_off
    };
    assert!(
        page.contains(&crate::figures::number(tonnes.value, 0)),
        "{}",
        tonnes.value
    );
    assert!(!page.contains(">bu<"), "no bushels are left");
}
