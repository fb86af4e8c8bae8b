//! What entries say: round trips, samples of every version that ever was, and what is refused.
#![expect(clippy::unwrap_used, reason = "a failure in a test is to be loud")]

mod common;

use book::kinds::{
    CallAt, Count, Day, Found, Frame, FrameAt, GrainContract, Often, Payload, Reading, Ready,
    ReadyReading, SampleHow, Setting, Stop, StopWhy, Tail, TankSeen, Ticked, Unread, Weighed,
};
use book::{BookError, Entry};
use common::each::{all, count, dec, lb, ticket};
use common::{any::a_payload, entry, id, name, new};
use proptest::prelude::*;
use std::path::PathBuf;

fn sample(kind: &str, version: u32) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("samples/{kind}.v{version}.json"))
}

fn known(kind: &str, version: u32, text: &str) -> Payload {
    match Payload::read(kind, version, text) {
        Ok(Reading::Known(payload)) => payload,
        other => panic!("{kind} v{version}: {other:?}"),
    }
}

#[test]
fn every_version_that_ever_was_still_reads() {
    for (kind, current) in Payload::KINDS {
        for version in 1..=*current {
            let text = std::fs::read_to_string(sample(kind, version)).unwrap();
            let payload = known(kind, version, text.trim_end());
            assert_eq!(payload.kind(), *kind);
            if version == *current {
                assert_eq!(
                    payload.text(),
                    text.trim_end(),
                    "the stored form of {kind} has changed"
                );
            }
        }
    }
}

#[test]
fn samples_are_what_is_written_today() {
    let payloads = all();
    assert_eq!(payloads.len(), Payload::KINDS.len(), "one of every kind");
    for payload in payloads {
        let text = std::fs::read_to_string(sample(payload.kind(), payload.version())).unwrap();
        assert_eq!(payload.text(), text.trim_end());
    }
}

#[test]
fn first_version_of_a_ticket_had_one_wagon() {
    let text = std::fs::read_to_string(sample("weighed", 1)).unwrap();
    let Payload::Weighed(raised) = known("weighed", 1, text.trim_end()) else {
        panic!()
    };
    assert_eq!(
        raised,
        Weighed {
            from: vec![name("red wagon")],
            ..ticket()
        }
    );
    assert!(Payload::read("weighed", 1, r#"{"from":["a","b"]}"#).is_err());
}

#[test]
fn first_versions_had_none_of_what_came_later() {
    let text = std::fs::read_to_string(sample("sample", 1)).unwrap();
    let Payload::Sample(raised) = known("sample", 1, text.trim_end()) else {
        panic!()
    };
    assert_eq!(raised.how, SampleHow::HandShelled);
    assert_eq!((raised.count, raised.temperature), (None, None));
    assert!(
        Payload::read("sample", 1, &text.replace("standing", "hand_shelled")).is_err(),
        "the first version had no such word"
    );
    assert!(Payload::read("sample", 2, &text).is_err());
    let added = [
        ("dump", "\"mixed\":true"),
        ("dump", "\"into_fill\":{\"percent\":\"75\"}"),
        ("note", "\"question\":true"),
        ("person", "\"language\":\"spanish\""),
        ("sample", "\"count\":3"),
        ("go", "\"why\":\"breakdown\""),
        ("go", "\"part\":\"feeder chain\""),
        ("go", "\"cost\":\"421.8500\""),
        ("season", "\"hour\":\"180.0000\""),
        ("ready", "\"every_engine_h\":\"50\""),
        ("ticked", "\"engine_h\":\"1843.6\""),
    ];
    for (kind, figure) in added {
        let text = std::fs::read_to_string(sample(kind, 1)).unwrap();
        let more = text.trim_end().replacen('{', &format!("{{{figure},"), 1);
        assert!(Payload::read(kind, 1, &more).is_err(), "{more}");
        if kind != "sample" {
            known(kind, 2, &more);
        }
    }
}

fn setting() -> Setting {
    let all = all().into_iter();
    let mut settings = all.filter_map(|one| match one {
        Payload::Setting(one) => Some(one),
        _ => None,
    });
    settings.next().unwrap()
}

/// A payload of some kind that cannot be meant, and what the refusal names.
#[test]
fn what_cannot_be_meant_is_refused() {
    let bad: [(Payload, &str); 13] = [
        (
            Count {
                frame: Frame::Hoop { across_m: dec("0") },
                ..count()
            }
            .into(),
            "across_m",
        ),
        (
            Count {
                frames: vec![],
                ..count()
            }
            .into(),
            "frames",
        ),
        (
            Count {
                frames: vec![Found {
                    at: FrameAt::Standing,
                    seeds: None,
                    ears: None,
                }],
                ..count()
            }
            .into(),
            "frames",
        ),
        (
            Count {
                tail: Tail::Windrow {
                    width_m: Some(dec("0")),
                },
                ..count()
            }
            .into(),
            "width_m",
        ),
        (
            Stop {
                machine: None,
                field: None,
                why: StopWhy::Rest,
                part: None,
                cost: Some(quantity::Money::from_units(-1)),
                minutes: None,
                remark: String::new(),
            }
            .into(),
            "cost",
        ),
        (
            CallAt {
                unit: name("1"),
                crop: name("corn"),
                season: 2026,
                insurance_bu_ac: dec("-1"),
                notice_by: None,
                agent: None,
                telephone: None,
                remark: String::new(),
            }
            .into(),
            "insurance_bu_ac",
        ),
        (
            GrainContract {
                number: None,
                buyer: name("river"),
                crop: name("corn"),
                season: 2026,
                buyers_bu: dec("0"),
                price_per_bu: None,
                deliver_by: None,
                remark: String::new(),
            }
            .into(),
            "buyers_bu",
        ),
        (
            Ready {
                text: " ".to_owned(),
                list: name("bring"),
                often: Often::Once,
                reading: None,
                every_engine_h: None,
            }
            .into(),
            "text",
        ),
        (
            Ready {
                text: "torque".to_owned(),
                list: name("bring"),
                often: Often::Once,
                reading: Some(ReadyReading {
                    what: name("torque"),
                    unit: name("lb ft"),
                    least: Some(dec("470")),
                    most: Some(dec("430")),
                }),
                every_engine_h: None,
            }
            .into(),
            "most",
        ),
        (
            Ticked {
                item: id(1),
                day: Day::new(2026, 10, 6).unwrap(),
                value: None,
                engine_h: Some(dec("-3")),
            }
            .into(),
            "engine_h",
        ),
        (
            Setting {
                changes: vec![],
                ..setting()
            }
            .into(),
            "changes",
        ),
        (
            Setting {
                tank_before: TankSeen {
                    cracked_pct: Some(dec("101")),
                    ..TankSeen::default()
                },
                ..setting()
            }
            .into(),
            "cracked_pct",
        ),
        (
            Unread {
                sent_as: "x".repeat(Unread::MOST + 1),
                figures: std::collections::BTreeMap::new(),
                why: "long".to_owned(),
                replaces_sent: vec![],
            }
            .into(),
            "figures",
        ),
    ];
    for (payload, field) in bad {
        let said = payload.check().unwrap_err().to_string();
        assert!(
            said.starts_with(&format!("{}: ", payload.kind())) && said.contains(field),
            "{said}"
        );
        assert!(said.contains("expected"), "{said}");
    }
}

#[test]
fn a_correction_carries_an_older_version_forward() {
    let old = std::fs::read_to_string(sample("weighed", 1)).unwrap();
    let text = format!(
        r#"{{"of":"{}","reason":"paper","kind":"weighed","version":1,"payload":{}}}"#,
        id(1),
        old.trim_end()
    );
    let Payload::Correction(correction) = known("correction", 1, &text) else {
        panic!()
    };
    assert_eq!(
        *correction.now,
        Weighed {
            from: vec![name("red wagon")],
            ..ticket()
        }
        .into()
    );
}

#[test]
fn what_a_later_program_wrote_is_not_an_error() {
    for (kind, version) in [("moonphase", 1), ("weighed", 3), ("void", 2)] {
        assert_eq!(
            Payload::read(kind, version, "{\"x\":1}").unwrap(),
            Reading::NeedsNewer
        );
    }
    let text = format!(
        r#"{{"of":"{}","reason":"paper","kind":"weighed","version":9,"payload":{{"x":1}}}}"#,
        id(1)
    );
    assert_eq!(
        Payload::read("correction", 1, &text).unwrap(),
        Reading::NeedsNewer
    );
}

#[test]
fn corrections_do_not_nest() {
    // as deep as a payload is long; reading it must not recurse
    let head = |kind: &str, version: u32| {
        format!(
            r#"{{"of":"{}","reason":"x","kind":"{kind}","version":{version},"payload":"#,
            id(1)
        )
    };
    let inner = head("weighed", 2) + &Payload::from(ticket()).text() + "}";
    let text = head("correction", 1).repeat(30_000) + &inner + &"}".repeat(30_000);
    assert!(text.len() > 3_000_000);
    assert!(matches!(
        Payload::read("correction", 1, &text),
        Err(BookError::Payload { .. })
    ));
}

/// One change that cannot be meant, and what the refusal names.
type Fault = (fn(&mut Weighed), &'static str);

#[test]
fn a_ticket_that_cannot_be_meant_is_refused_in_a_sentence() {
    let faults: [Fault; 8] = [
        (|t| t.weight.tare = Some(lb(78_460)), "tare"),
        (|t| t.weight.net = lb(0), "net"),
        (|t| t.weight.gross = Some(lb(500_000)), "gross"),
        (|t| t.from.clear(), "from"),
        (|t| t.from = vec![name("river pit")], "to"),
        (|t| t.season = 26, "season"),
        (|t| t.test_weight_lb_bu = Some(dec("565")), "test_weight"),
        (|t| t.split[0].percent = dec("66"), "split"),
    ];
    for (fault, field) in faults {
        let mut bad = ticket();
        fault(&mut bad);
        let said = Payload::from(bad).check().unwrap_err().to_string();
        assert!(
            said.starts_with("weighed: ") && said.contains(field),
            "{said}"
        );
        assert!(said.contains("expected"), "{said}");
    }
    let mut swapped = ticket();
    swapped.weight.net = lb(55_220);
    Payload::from(swapped.clone()).check().unwrap();
    assert_eq!(swapped.weight.net_off_by(), Some(lb(3_000)));
}

#[test]
fn unknown_fields_and_wrong_forms_are_refused() {
    let good = Payload::from(ticket()).text();
    for bad in [
        good.replace("\"season\"", "\"year\""),
        good.replacen('{', "{\"colour\":\"red\",", 1),
        good.replace(" kg\"", " lb\""),
        good.replace("18.2 %", "18.20 %"),
        good.replace("18.2 %", "79228162514264337593543950335 %"),
        good.replace("\"empties\":true", "\"empties\":1"),
    ] {
        assert_ne!(bad, good);
        assert!(Payload::read("weighed", 2, &bad).is_err(), "{bad}");
    }
}

#[test]
fn only_corrections_and_voids_replace() {
    let note = entry("a", 1, 1, &new(5, common::note("x"), &[id(1)]));
    assert!(note.check().unwrap_err().to_string().contains("replaces"));
    let void = book::kinds::Void {
        reason: "twice".into(),
    };
    assert!(entry("a", 1, 1, &new(5, void, &[])).check().is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn every_payload_comes_back_as_it_was(payload in a_payload()) {
        payload.check().unwrap();
        let text = payload.text();
        prop_assert_eq!(known(payload.kind(), payload.version(), &text), payload.clone());
        let replaces = match &payload {
            Payload::Correction(_) | Payload::Void(_) => vec![id(1)],
            _ => vec![],
        };
        let entry = entry("a", 1, 1, &new(2, payload, &replaces));
        entry.check().unwrap();
        let line = serde_json::to_string(&entry).unwrap();
        prop_assert!(!line.contains('\n'));
        prop_assert_eq!(&serde_json::from_str::<Entry>(&line).unwrap(), &entry);
        let record = entry.record();
        let row: Vec<&str> = record.iter().map(String::as_str).collect();
        prop_assert_eq!(Entry::from_record(&row).unwrap(), entry);
    }

    #[test]
    fn reading_any_text_never_panics(text in "\\PC{0,200}", n in 0usize..Payload::KINDS.len()) {
        let (kind, version) = Payload::KINDS[n];
        let _ = Payload::read(kind, version, &text);
        let _ = book::EntryId::parse(&text);
        let _ = book::kinds::Boundary::new(text);
    }
}
