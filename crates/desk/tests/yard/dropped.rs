//! Files dropped on a page.

use crate::farm::{Yard, at};
use crate::phone::Handset;
use desk::dropped::{By, Dropped, Kind, take_file};

fn drop(yard: &mut Yard, file: &str, bytes: &[u8]) -> Result<Dropped, desk::DeskError> {
    let farm = yard.farm();
    let by = By {
        person: "owner",
        field: None,
    };
    take_file(&mut yard.book, &farm, by, file, bytes, &mut yard.clock)
}

fn outbox(sent_ms: i64, entries: &[desk::sync::Written]) -> String {
    let mut lines = vec![
        serde_json::json!({"stook": "outbox", "device": "cab-1", "name": "cab", "person": "helper", "sent_ms": sent_ms}),
    ];
    lines.extend(entries.iter().map(|one| serde_json::to_value(one).unwrap()));
    let lines: Vec<String> = lines.iter().map(ToString::to_string).collect();
    lines.join("\n")
}

#[test]
fn an_outbox_that_travelled_for_days_is_no_wrong_clock() {
    let mut yard = Yard::planted();
    let mut phone = Handset::new("cab-1", "2026-10-06 14:00");
    let text = outbox(at("2026-10-06 15:00"), &[phone.dump("1"), phone.dump("2")]);
    yard.clock.now_ms = at("2026-10-11 09:00");
    let done = drop(&mut yard, "outbox.jsonl", text.as_bytes()).unwrap();
    assert_eq!((done.kind, done.found, done.kept), (Kind::Outbox, 2, 2));
    let farm = yard.farm();
    assert_eq!((farm.dumps.len(), farm.notes.len()), (2, 0));
    let author = |at: usize| {
        farm.effective
            .entries
            .iter()
            .find(|one| one.id == farm.dumps[at].id)
            .unwrap()
            .author
            .to_string()
    };
    assert_eq!(author(0), "helper", "the file says who wrote it");
    let again = drop(&mut yard, "outbox (1).jsonl", text.as_bytes()).unwrap();
    assert_eq!((again.kept, again.known), (0, 2));
}

#[test]
fn a_file_strikes_out_no_more_than_its_phone_may() {
    let mut yard = Yard::planted();
    let ticket = yard.ticket(
        "2026-10-06 14:00",
        "48213",
        "Gravity 1",
        "soybean",
        ("52,220 lb", "17,910 lb"),
        "13.2%",
    );
    yard.clock.now_ms = at("2026-10-06 16:00");
    let mut phone = Handset::new("cab-1", "2026-10-06 14:30");
    let strike = phone.write("strike", &[("reason", "gone")], &[&ticket.to_string()]);
    let text = outbox(phone.now_ms, &[strike]);
    let done = drop(&mut yard, "outbox.jsonl", text.as_bytes()).unwrap();
    assert_eq!((done.kept, done.set_aside.len()), (0, 1));
    assert_eq!(yard.farm().tickets.len(), 1);
}

#[test]
fn points_without_moisture_are_points_all_the_same() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-11-20 09:00");
    let file = "longitude,latitude,flow (lb/s),interval (s),distance (ft)\n-90.85,44.04,10,1,6\n-90.8499,44.04,10,1,6\n";
    let done = drop(&mut yard, "Bench 2026.csv", file.as_bytes()).unwrap();
    assert_eq!((done.kind, done.found, done.kept), (Kind::Points, 2, 2));
    assert_eq!(done.field.as_deref(), Some("Bench"));
    let lines = desk::winter::season(&yard.farm(), 2026).unwrap();
    let bench = lines.iter().find(|one| one.field == "Bench").unwrap();
    assert_eq!(bench.points, 1);
    let before = yard.book.entries().unwrap().len();
    assert!(drop(&mut yard, "letter.txt", b"Dear sir,\n").is_err());
    assert!(drop(&mut yard, "what.bin", &[0, 159, 146, 150]).is_err());
    assert_eq!(yard.book.entries().unwrap().len(), before);
}

#[test]
fn the_entries_of_an_export_are_entries_and_no_sheet_of_slips() {
    let mut yard = Yard::planted();
    yard.ticket(
        "2026-10-06 14:00",
        "48213",
        "Gravity 1",
        "soybean",
        ("52,220 lb", "17,910 lb"),
        "13.2%",
    );
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let exported = desk::books::export(&yard.book, &out).unwrap();
    let bytes = std::fs::read(out.join("entries.csv")).unwrap();
    let mut other = Yard::planted();
    let before = other.farm().tickets.len();
    let done = drop(&mut other, "entries.csv", &bytes).unwrap();
    assert_eq!(
        (done.kind, done.found),
        (Kind::Entries, exported.entries),
        "{done:?}"
    );
    assert_eq!(done.found, done.kept + done.known);
    assert!(done.set_aside.is_empty() && other.farm().tickets.len() == before + 1);
    let again = drop(&mut other, "entries.csv", &bytes).unwrap();
    assert_eq!((again.kept, again.known), (0, exported.entries));
    // one row that is none, and nothing of it is taken
    let mut third = Yard::planted();
    let broken = [bytes.as_slice(), b"no,entry\n"].concat();
    assert!(drop(&mut third, "entries.csv", &broken).is_err());
    assert_eq!(third.farm().tickets.len(), before);
}

#[test]
fn outlines_become_fields_and_a_known_field_gets_its_outline() {
    let mut yard = Yard::planted();
    let square = |name: &str, west: f64| {
        format!(
            r#"{{"type":"Feature","properties":{{"name":"{name}"}},"geometry":{{"type":"Polygon","coordinates":[[[{west},43.995],[{east},43.995],[{east},44.005],[{west},44.005],[{west},43.995]]]}}}}"#,
            east = west + 0.01
        )
    };
    let known = yard.farm().fields.keys().next().unwrap().to_string();
    let point = r#"{"type":"Feature","properties":{"name":"Well"},"geometry":{"type":"Point","coordinates":[1,2]}}"#;
    let text = format!(
        r#"{{"type":"FeatureCollection","features":[{},{},{point}]}}"#,
        square("Far Corner", -93.98),
        square(&known, -93.95)
    );
    let fields = yard.farm().fields.len();
    let done = drop(&mut yard, "fields.geojson", text.as_bytes()).unwrap();
    assert_eq!(
        (done.kind, done.found, done.kept, done.set_aside.len()),
        (Kind::Outlines, 3, 2, 1),
        "{done:?}"
    );
    let farm = yard.farm();
    assert_eq!(farm.fields.len(), fields + 1);
    let known = farm.field(&known).unwrap();
    assert!(farm.fields[&known].says.boundary.is_some());
}

#[test]
fn what_is_none_of_these_changes_nothing() {
    let mut yard = Yard::planted();
    let before = yard.book.length().unwrap();
    let odd: [&[u8]; 6] = [
        b"",
        b"\0\xff\xfe\x01",
        b"{\"type\":\"FeatureCollection\",\"features\":[]}",
        b"kind,at\nnonsense,yesterday\n",
        b"a,b,c\n1,2,3\n",
        b"PK\x03\x04 a folder of something",
    ];
    for bytes in odd {
        assert!(drop(&mut yard, "odd", bytes).is_err(), "{bytes:?}");
    }
    assert_eq!(yard.book.length().unwrap(), before);
}

#[test]
fn task_data_are_points_told_by_their_content() {
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-11-20 09:00");
    let archive = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../reference/isoxml/every-value.zip"
    );
    let bytes = std::fs::read(archive).unwrap();
    // the name says something else
    let done = drop(&mut yard, "Bench 2026.csv", &bytes).unwrap();
    assert_eq!((done.kind, done.found, done.kept), (Kind::Points, 16, 16));
    assert_eq!(done.field.as_deref(), Some("Bench"));
    let again = drop(&mut yard, "Bench 2026.zip", &bytes).unwrap();
    assert_eq!((again.kept, again.known), (0, 16));
    let before = yard.book.entries().unwrap().len();
    for (bytes, says) in [
        (
            &b"PK\x03\x04 and no more"[..],
            "a zip archive that cannot be read",
        ),
        (
            b"<ISO11783_TaskData VersionMajor=\"4\"/>",
            "TASKDATA.XML alone, expected its logs beside it",
        ),
    ] {
        let why = drop(&mut yard, "Bench.zip", bytes).unwrap_err();
        assert!(why.to_string().contains(says), "{why}");
    }
    assert_eq!(yard.book.entries().unwrap().len(), before);
}

#[test]
fn layers_of_points_are_told_by_their_content() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../reference/gdal-vector/");
    for name in ["points.geojson", "points.gpkg", "points.fgb", "points.zip"] {
        let mut yard = Yard::planted();
        yard.clock.now_ms = at("2026-11-20 09:00");
        let bytes = std::fs::read(format!("{folder}{name}")).unwrap();
        // the name says something else
        let done = drop(&mut yard, "Bench 2026.csv", &bytes).unwrap();
        assert_eq!(
            (done.kind, done.found, done.kept),
            (Kind::Points, 60, 60),
            "{name}"
        );
        assert_eq!(done.field.as_deref(), Some("Bench"));
    }
    let mut yard = Yard::planted();
    yard.clock.now_ms = at("2026-11-20 09:00");
    let before = yard.book.entries().unwrap().len();
    for (name, says) in [
        ("points.shp", "a Shapefile without its attributes"),
        ("soil.gpkg", "found no column for the grain"),
    ] {
        let bytes = std::fs::read(format!("{folder}{name}")).unwrap();
        let why = drop(&mut yard, name, &bytes).unwrap_err();
        assert!(why.to_string().contains(says), "{why}");
    }
    assert_eq!(yard.book.entries().unwrap().len(), before);
    // outlines stay outlines
    let soil = std::fs::read(format!("{folder}soil.geojson")).unwrap();
    let done = drop(&mut yard, "soil.geojson", &soil).unwrap();
    assert_eq!(done.kind, Kind::Outlines);
}
