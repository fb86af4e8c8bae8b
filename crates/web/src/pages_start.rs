//! A new book led through its first pages, entries written and corrected on pages, sheets to print.

use crate::door::{Door, Role, Who};
use crate::house::House;
use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::header::LOCATION;
use axum::http::{Request, StatusCode};
use book::{Book, Device};
use desk::Clock;
use std::collections::BTreeSet;
use tower::ServiceExt;

/// October 6, 2026, in the afternoon, in Chicago.
const NOW_MS: i64 = 1_791_300_000_000;

struct Going(i64);
impl Clock for Going {
    fn now_ms(&mut self) -> i64 {
        self.0 += 1;
        self.0
    }
    fn chance(&mut self) -> [u8; 10] {
        let mut out = [0; 10];
        out[..8].copy_from_slice(&self.0.to_le_bytes());
        out
    }
}

struct Tried {
    rooms: Router,
    house: House,
    _folder: tempfile::TempDir,
}

/// A book with nothing in it, as `stook serve` makes it.
fn new_book() -> Tried {
    let folder = tempfile::tempdir().unwrap();
    let device = Device::new("kitchen", "kitchen").unwrap();
    let book = Book::create(folder.path().join("farm.stook"), &device, NOW_MS).unwrap();
    let house = House::new(book, Box::new(Going(NOW_MS)), Door::default()).unwrap();
    Tried {
        rooms: crate::rooms(house.clone()),
        house,
        _folder: folder,
    }
}

fn who(role: Role) -> Who {
    Who {
        person: "Ada".to_owned(),
        role,
        device: "laptop".to_owned(),
        session: "s".to_owned(),
        language: None,
        fields: BTreeSet::new(),
        reading: true,
    }
}

/// The status, where it leads, and the page.
async fn ask(tried: &Tried, who: Who, mut request: Request<Body>) -> (StatusCode, String, String) {
    request.extensions_mut().insert(who);
    let answer = tried.rooms.clone().oneshot(request).await.unwrap();
    let status = answer.status();
    let to = answer.headers().get(LOCATION);
    let to = to.map_or_else(String::new, |to| to.to_str().unwrap().to_owned());
    let bytes = to_bytes(answer.into_body(), 8 << 20).await.unwrap();
    (status, to, String::from_utf8_lossy(&bytes).into_owned())
}

async fn get(tried: &Tried, path: &str) -> (StatusCode, String, String) {
    let request = Request::get(path).body(Body::empty()).unwrap();
    ask(tried, who(Role::Owner), request).await
}

fn encoded(pairs: &[(&str, &str)]) -> String {
    use std::fmt::Write as _;
    let mut out = String::new();
    for (name, text) in pairs {
        for (part, end) in [(name, '='), (text, '&')] {
            for byte in part.bytes() {
                let _ = write!(out, "%{byte:02X}");
            }
            out.push(end);
        }
    }
    out
}

async fn post_as(
    tried: &Tried,
    who: Who,
    path: &str,
    pairs: &[(&str, &str)],
) -> (StatusCode, String, String) {
    let request = Request::post(path)
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from(encoded(pairs)))
        .unwrap();
    ask(tried, who, request).await
}

async fn post(tried: &Tried, path: &str, pairs: &[(&str, &str)]) -> (StatusCode, String, String) {
    post_as(tried, who(Role::Owner), path, pairs).await
}

/// A farm with two fields, a combine, two wagons, a pit and a buyer, all written on the first pages.
async fn begun() -> Tried {
    let tried = new_book();
    let steps: [(&str, &[(&str, &str)]); 5] = [
        (
            "/start/farm",
            &[("name", "Quiet Creek"), ("zone", "America/Chicago")],
        ),
        (
            "/start/fields",
            &[
                ("field1.name", "Willow Bench"),
                ("field1.planted", "41.5"),
                ("field1.planted~unit", "ac"),
                ("field1.unit", "0001-0001"),
                ("planting1.crop", "soybean"),
                ("planting1.share", "owner=2/3"),
                ("planting1.share", "landlord=1/3"),
                ("field2.name", "Long Eighty"),
                ("corners2", "0,0 1320,0 1320,2640 0,2640"),
                ("corner-unit", "ft"),
                ("latitude", "43.9242"),
                ("longitude", "-93.9758"),
                ("planting2.crop", "corn"),
                ("field3.planted", ""),
                ("field3.planted~unit", "ac"),
            ],
        ),
        (
            "/start/machines",
            &[
                ("machine1.name", "combine"),
                ("machine1.monitor", "wet"),
                ("meter2.kind", "hand"),
                ("meter3.name", ""),
                ("meter3.kind", "buyer"),
            ],
        ),
        (
            "/start/places",
            &[
                ("place1.name", "Gravity 1"),
                ("place1.kind", "wagon"),
                ("place1.capacity", "22,400"),
                ("place1.capacity~unit", "lb"),
                ("place2.name", "Gravity 2"),
                ("place2.kind", "wagon"),
                ("place5.name", "Mill pit"),
                ("place5.kind", "pit"),
            ],
        ),
        ("/start/buyer", &[("buyer1.name", "Mill")]),
    ];
    for (path, pairs) in steps {
        let (status, to, page) = post(&tried, path, pairs).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{path}: {page}");
        assert!(to.starts_with("/start"), "{path}: {to}");
    }
    tried
}

#[tokio::test]
async fn a_new_book_is_led_from_its_name_to_its_first_load() {
    let tried = new_book();
    assert_eq!(get(&tried, "/").await.1, "/start");
    let (_, _, page) = get(&tried, "/start").await;
    assert!(page.contains("name=\"zone\"") && page.contains("America/Chicago"));

    let tried = begun().await;
    assert_eq!(get(&tried, "/").await.1, "/morning");
    let farm = tried.house.now().unwrap().farm;
    assert_eq!(
        (farm.name.as_str(), farm.zone.as_str()),
        ("Quiet Creek", "America/Chicago")
    );
    assert_eq!((farm.fields.len(), farm.plantings.len()), (2, 2));
    assert_eq!((farm.places.len(), farm.machines.len()), (3, 1));
    // a row that says nothing but its kind is no meter
    assert_eq!((farm.buyers.len(), farm.meters.len()), (1, 0));
    // 1,320 by 2,640 feet are eighty acres exactly, and the sheet's place is known
    let drawn = &farm.field("Long Eighty").unwrap();
    let drawn = &farm.fields[drawn].says;
    assert_eq!(drawn.acres[0].area_ac.to_string(), "80");
    assert!(drawn.boundary.is_some());
    let shares: Vec<String> = farm.plantings[0]
        .says
        .shares
        .iter()
        .map(|share| format!("{} {}", share.person, share.percent))
        .collect();
    assert_eq!(shares, ["owner 66.66666667", "landlord 33.33333333"]);
    let (_, _, page) = get(&tried, "/start").await;
    assert!(page.contains("is ready for its first load"), "{page}");

    let (status, to, page) = post(
        &tried,
        "/write/dump",
        &[
            ("machine", "combine"),
            ("field", "Willow Bench"),
            ("to", "Gravity 1"),
            ("now-full", "3/4"),
        ],
    )
    .await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    assert!(to.starts_with("/entry/"), "{to}");
    let farm = tried.house.now().unwrap().farm;
    assert_eq!(farm.dumps[0].says.crop.as_str(), "soybean");
}

#[tokio::test]
async fn a_page_of_rows_is_written_whole_or_not_at_all() {
    let tried = new_book();
    post(
        &tried,
        "/start/farm",
        &[("name", "Quiet Creek"), ("zone", "America/Chicago")],
    )
    .await;
    let before = tried.house.now().unwrap().length;
    let (status, _, page) = post(
        &tried,
        "/start/fields",
        &[
            ("field1.name", "Willow Bench"),
            ("planting1.crop", "corn"),
            ("field2.name", "Long Eighty"),
            ("field2.planted", "some"),
            ("planting2.crop", "corn"),
        ],
    )
    .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(tried.house.now().unwrap().length, before);
    // what was typed is still there, and the sentence stands at its figure
    assert!(page.contains("value=\"Willow Bench\"") && page.contains("value=\"some\""));
    assert!(page.contains("id=\"e-field2-planted\""), "{page}");

    let (status, _, page) = post(
        &tried,
        "/start/farm",
        &[("name", "Another"), ("zone", "America/Chicago")],
    )
    .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("a second farm has a book of its own"));
    let odd = [("name", "Quiet Creek"), ("zone", "Mars/Base")];
    let fresh = new_book();
    let (status, _, page) = post(&fresh, "/start/farm", &odd).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("id=\"e-zone\"") && page.contains("value=\"Quiet Creek\""));
    assert_eq!(fresh.house.now().unwrap().length, 0);
}

#[tokio::test]
async fn an_area_is_worked_out_at_the_desk() {
    let tried = begun().await;
    let (_, _, said) = get(
        &tried,
        "/start/area?corners=0,0+660,0+660,660+0,660&unit=ft",
    )
    .await;
    assert!(
        said.contains("10.00 ac") && said.contains("\"known\":true"),
        "{said}"
    );
    let (_, _, said) = get(&tried, "/start/area?corners=0,0+660,0&unit=ft").await;
    assert!(said.contains("\"known\":false"), "{said}");
}

#[tokio::test]
async fn every_kind_has_a_form_with_every_figure_of_its_own() {
    let tried = begun().await;
    for form in desk::written::FORMS {
        let (status, _, page) = get(&tried, &format!("/write/{}", form.kind)).await;
        assert_eq!(status, StatusCode::OK, "{}", form.kind);
        for figure in form.figures {
            let hidden = figure.shape == desk::written::Shape::Sha;
            let there = page.contains(&format!("name=\"{}\"", figure.name));
            assert_eq!(there, !hidden, "{} {}", form.kind, figure.name);
        }
        let script =
            page.contains(" style=") || page.contains("<style") || page.contains("onclick");
        assert!(!script, "{}", form.kind);
    }
}

#[tokio::test]
async fn choices_are_filled_in_and_figures_never_are() {
    let tried = begun().await;
    let (status, _, page) = post(
        &tried,
        "/write/dump",
        &[
            ("machine", "combine"),
            ("field", "Willow Bench"),
            ("to", "Gravity 2"),
            ("monitor", "13577"),
            ("monitor~unit", "lb"),
            ("moisture", "13.7"),
            ("moisture~unit", "%"),
            ("number", "31"),
        ],
    )
    .await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let farm = tried.house.now().unwrap().farm;
    let monitor = farm.dumps[0].says.monitor.as_ref().unwrap();
    assert_eq!(monitor.mass, quantity::Mass::parse("13,577 lb").unwrap());
    for kind in ["dump", "weighed", "sample", "count"] {
        let (_, _, page) = get(&tried, &format!("/write/{kind}")).await;
        assert!(
            page.contains("checked") || page.contains("selected"),
            "{kind}"
        );
        for figure in ["13577", "13,577", "13.7", "\"31\""] {
            assert!(!page.contains(figure), "{kind} {figure}");
        }
    }
    let (_, _, page) = get(&tried, "/write/weighed").await;
    assert!(page.contains("value=\"Gravity 2\" checked"), "{page}");
    // an address may choose, but fills in no figure
    let asked = "/write/weighed?from=Gravity+1&gross=52220&number=7&moisture=13";
    let (_, _, page) = get(&tried, asked).await;
    assert!(page.contains("value=\"Gravity 1\" checked"));
    assert!(!page.contains("52220") && !page.contains("value=\"7\""));
}

#[tokio::test]
async fn a_refused_form_comes_back_whole_with_its_sentence_at_the_figure() {
    let tried = begun().await;
    let before = tried.house.now().unwrap().length;
    let typed = [
        ("from", "Gravity 1"),
        ("to", "Mill pit"),
        ("crop", "soybean"),
        ("gross", "17,910"),
        ("gross~unit", "lb"),
        ("tare", "52,220"),
        ("tare~unit", "lb"),
        ("number", "48213 <b>"),
        ("at", "2026-10-06T12:41"),
        ("next", "/night"),
    ];
    let (status, _, page) = post(&tried, "/write/weighed", &typed).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(tried.house.now().unwrap().length, before);
    let kept = [
        "value=\"17,910\"",
        "value=\"52,220\"",
        "value=\"48213 &#60;b&#62;\"",
        "value=\"2026-10-06T12:41\"",
        "value=\"Gravity 1\" checked",
        "value=\"/night\"",
        "id=\"e-tare\"",
        "h-tare e-tare",
    ];
    for one in kept {
        assert!(page.contains(one), "{one}");
    }
    let mut mended = typed;
    mended[3].1 = "52,220";
    mended[5].1 = "17,910";
    mended[7].1 = "48213";
    let (status, to, page) = post(&tried, "/write/weighed", &mended).await;
    assert_eq!(
        (status, to.as_str()),
        (StatusCode::SEE_OTHER, "/night"),
        "{page}"
    );
    // an address of somebody else's is no place to go on to
    mended[7].1 = "48214";
    mended[9].1 = "//elsewhere.example/";
    let (_, to, _) = post(&tried, "/write/weighed", &mended).await;
    assert!(to.starts_with("/entry/"), "{to}");
}

#[tokio::test]
async fn an_entry_is_corrected_with_a_reason_and_struck_out_with_a_reason() {
    let tried = begun().await;
    let ticket = [
        ("from", "Gravity 1"),
        ("to", "Mill pit"),
        ("crop", "soybean"),
        ("gross", "52,220 lb"),
        ("tare", "27,910 lb"),
        ("number", "48213"),
    ];
    let (_, to, _) = post(&tried, "/write/weighed", &ticket).await;
    let path = to.split('?').next().unwrap().to_owned();
    let (_, _, page) = get(&tried, &path).await;
    // what it says now is print beside the blank, never in it
    assert!(page.contains("Now 27910 lb"), "{page}");
    assert!(!page.contains("value=\"27910"));

    let mend = format!("{path}/mend");
    let set = ("tare", "17,910 lb");
    let (status, _, page) = post(&tried, &mend, &[set]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{page}");
    assert!(
        page.contains("value=\"17,910 lb\""),
        "typed and kept: {page}"
    );
    let why = ("reason", "the paper says 17,910");
    let (status, _, page) = post(&tried, &mend, &[set, why]).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let farm = tried.house.now().unwrap().farm;
    let net = farm.tickets[0].says.weight.net;
    assert_eq!(net, quantity::Mass::parse("34,310 lb").unwrap());
    let (_, _, page) = get(&tried, &path).await;
    assert!(page.contains("the paper says 17,910") && page.contains("27910 lb"));

    // somebody else's entry is not a helper's to take back
    let strike = format!("{path}/strike");
    let mut other = who(Role::Helper);
    other.person = "Ben".to_owned();
    let gone = [("reason", "never happened")];
    let (status, _, _) = post_as(&tried, other, &strike, &gone).await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    let (status, _, page) = post(&tried, &strike, &[]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{page}");
    let (status, _, page) = post(&tried, &strike, &gone).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    assert!(tried.house.now().unwrap().farm.tickets.is_empty());
    let (_, _, page) = get(&tried, "/entries?all=yes").await;
    assert!(page.contains("never happened"));
    let (_, _, page) = get(&tried, "/entries").await;
    assert!(!page.contains("48213"));
}

#[tokio::test]
async fn helpers_write_the_day_and_not_the_farm() {
    let tried = begun().await;
    let helper = || who(Role::Helper);
    let note = [("text", "low ground is soft")];
    let (status, _, _) = post_as(&tried, helper(), "/write/note", &note).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let field = [("name", "Theirs")];
    let (status, _, _) = post_as(&tried, helper(), "/write/field", &field).await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    let request = Request::get("/entries?kind=buyer")
        .body(Body::empty())
        .unwrap();
    let (_, _, page) = ask(&tried, helper(), request).await;
    assert!(!page.contains("Mill</"), "{page}");
}

#[tokio::test]
async fn lists_and_cards_print_what_the_book_knows_and_no_more() {
    let tried = begun().await;
    let (_, _, page) = get(&tried, "/first-pass").await;
    assert!(page.contains("Still open: Gravity 1, Gravity 2."), "{page}");
    assert!(page.contains("In the book: Willow Bench."), "{page}");
    let (_, _, page) = get(&tried, "/pad?from=31&count=20&field=Willow+Bench").await;
    // two leaves: fifteen cards and five
    assert_eq!(page.matches("<div class=\"leaf\">").count(), 2);
    for number in ["31", "45", "46", "50"] {
        assert!(page.contains(&format!(">{number}<")), "{number}");
    }
    assert!(!page.contains(">51<"));
    for odd in [
        "/pad?from=0&count=0",
        "/pad?from=4000000000&count=4000000000",
    ] {
        assert_eq!(get(&tried, odd).await.0, StatusCode::OK, "{odd}");
    }
    let (_, _, page) = get(&tried, "/units").await;
    assert!(page.contains("0001-0001") && page.contains("Long Eighty"));
    let (_, _, page) = get(&tried, "/write/call_at?unit=0001-0001&crop=soybean").await;
    assert!(page.contains("value=\"0001-0001\""));
    let (_, _, page) = get(&tried, "/api").await;
    assert!(page.contains("/api/photographs/{sha256}"));
    let (status, _, json) = get(&tried, "/api/fields?season=2026").await;
    assert_eq!(status, StatusCode::OK, "{json}");
    assert!(json.contains("Willow Bench"));
}

#[tokio::test]
async fn files_are_brought_in_and_each_is_told() {
    let tried = begun().await;
    let slips = "kind,machine,field,to\ndump,combine,Willow Bench,Gravity 1\ndump,combine,Nowhere,Gravity 1\n";
    let files = [("slips.csv", slips), ("odd <b>.bin", "nothing known")];
    let mut body = String::new();
    for (name, text) in files {
        use std::fmt::Write as _;
        let _ = write!(
            body,
            "--cut\r\ncontent-disposition: form-data; name=\"files\"; filename=\"{name}\"\r\n\r\n{text}\r\n"
        );
    }
    body.push_str("--cut--\r\n");
    let request = Request::post("/import")
        .header("content-type", "multipart/form-data; boundary=cut")
        .body(Body::from(body))
        .unwrap();
    let (status, _, page) = ask(&tried, who(Role::Owner), request).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert!(page.contains("2 files came."));
    assert!(
        page.contains("a sheet of slips: 1 of 2 rows are in the book now"),
        "{page}"
    );
    assert!(page.contains("Nowhere") && page.contains("nothing of it was taken"));
    assert!(!page.contains("<b>.bin"), "{page}");
    assert_eq!(tried.house.now().unwrap().farm.dumps.len(), 1);
}
