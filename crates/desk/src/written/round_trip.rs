//! From a payload to its figures and back: every kind, and every variant of what has variants.

use super::{Figures, figures_of, read as read_figures};
use crate::Farm;
use book::kinds::{Payload, Reading};
use book::{EntryId, Happened};

/// One payload of every kind, as the book stores it today.
fn samples() -> Vec<Payload> {
    let folder = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../book/samples");
    Payload::KINDS
        .iter()
        .map(|(kind, version)| {
            let file = folder.join(format!("{kind}.v{version}.json"));
            let text = std::fs::read_to_string(file).unwrap();
            match Payload::read(kind, *version, text.trim_end()).unwrap() {
                Reading::Known(payload) => payload,
                Reading::NeedsNewer => panic!("{kind}"),
            }
        })
        .collect()
}

/// A farm that knows every name of the samples.
fn farm() -> Farm {
    let mut farm = Farm::default();
    let at = Happened::new(1_790_000_000_000, "America/Chicago").unwrap();
    let id = EntryId::from_clock(1_790_000_000_000, [7; 10]).unwrap();
    let place = |name: &str| {
        let text = format!(r#"{{"name":"{name}","kind":"bin"}}"#);
        Payload::read("place", 1, &text).unwrap().known().unwrap()
    };
    let named = ["green wagon", "river pit", "north bin", "truck"].map(place);
    let meter = r#"{"name":"hand meter","kind":"hand"}"#;
    let meter = Payload::read("meter", 1, meter).unwrap().known();
    for payload in samples().into_iter().chain(named).chain(meter) {
        farm.learn(id, &at, false, payload);
    }
    farm
}

#[test]
fn every_kind_comes_back_from_its_figures() {
    let farm = farm();
    let mut without = Vec::new();
    for payload in samples() {
        let Some(figures) = figures_of(&payload) else {
            without.push(payload.kind());
            continue;
        };
        let again = |figures: &Figures| read_figures(payload.kind(), figures, &farm, 1999).unwrap();
        let back = again(&figures);
        if payload.kind() == "buyer" {
            // a schedule is read with its defaults written out; from then on it stays
            let figures = figures_of(&back).unwrap();
            assert_eq!(again(&figures), back);
            continue;
        }
        assert_eq!(back, payload, "{figures:?}");
    }
    assert_eq!(without, ["farm", "unread", "correction", "void"]);
}

/// Every way to lay a frame, to lay the tail, to sell and to say how full.
#[test]
fn every_variant_comes_back_from_its_figures() {
    let farm = farm();
    let base = |kind: &str| {
        let mut all = samples().into_iter();
        all.find(|payload| payload.kind() == kind).unwrap().text()
    };
    let count = base("count");
    let frame = r#"{"by":"sides","long_m":"5.3035","wide_m":"4.572"}"#;
    let tail = r#"{"as":"windrow","width_m":"1.8288"}"#;
    let terms = r#"{"terms":"sell","number":"C-7","price_per_bu":"4.15"}"#;
    let arranged = base("arranged");
    let sample = base("sample");
    let texts = [
        count.replace(frame, r#"{"by":"area","area_m2":"0.09290304"}"#),
        count.replace(frame, r#"{"by":"area","area_m2":"9999.12345678"}"#),
        count.replace(frame, r#"{"by":"hoop","across_m":"0.8636"}"#),
        count.replace(tail, r#"{"as":"windrow"}"#),
        count.replace(tail, r#"{"as":"spread"}"#),
        count.replace(tail, r#"{"as":"spread","width_m":"3.5"}"#),
        count.replace(tail, r#"{"as":"unknown"}"#),
        count.replace("1.34112", "2.000001"),
        arranged.replace(terms, r#"{"terms":"store"}"#),
        arranged.replace(terms, r#"{"terms":"price_later"}"#),
        arranged.replace(terms, r#"{"terms":"sell"}"#),
        sample.replacen("pit meter", "hand meter", 1),
        sample.replace(r#""scale":"F""#, r#""scale":"C""#),
        base("dump").replace(r#""covered":true"#, r#""covered":false"#),
        base("dump").replace(r#""basis":"wet""#, r#""basis":"dry""#),
        base("cover").replace("true", "false"),
        base("ready").replace("once", "daily"),
        base("ticked").replace(r#","value":"445""#, ""),
        base("setting").replace(r#""unthreshed":"none""#, r#""unthreshed":"much""#),
        base("stop").replace("421.8500", "0.0051"),
        base("measure").replace(r#"{"top":"peak","height_m":"1.8288"}"#, r#"{"top":"peak"}"#),
        base("measure").replace(
            r#"{"top":"peak","height_m":"1.8288"}"#,
            r#"{"top":"cone","depth_m":"0.5"}"#,
        ),
    ];
    let kinds = [
        "count", "arranged", "sample", "dump", "cover", "ready", "stop", "measure", "ticked",
        "setting",
    ];
    let mut read = 0;
    for text in texts {
        // each payload's form is its kind's alone
        let payload = kinds.iter().find_map(|kind| {
            let version = Payload::current_version(kind).unwrap();
            Payload::read(kind, version, &text).ok()?.known()
        });
        let payload = payload.unwrap_or_else(|| panic!("{text}"));
        assert_ne!(payload.text(), base(payload.kind()), "nothing was changed");
        let figures = figures_of(&payload).unwrap();
        let back = read_figures(payload.kind(), &figures, &farm, 1999);
        assert_eq!(back.unwrap(), payload, "{figures:?}");
        read += 1;
    }
    assert_eq!(read, 22);
}
