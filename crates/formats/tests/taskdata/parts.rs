//! What is in a transfer besides its logs.

use super::build::{Spec, Transfer, variants};
use super::read;
use formats::taskdata::{self, Files, Limits};

#[test]
fn tasks_machines_fields_and_names_are_read() {
    let data = read(&Transfer::one(Spec::usual("TLG00001", 4)).zip());
    assert_eq!(data.version, 4);
    assert!(data.problems.is_empty());
    let task = &data.tasks[0];
    assert_eq!(
        (task.called(), task.status, task.partfield.as_deref()),
        ("Task 1", Some(4), Some("PFD1"))
    );
    let total = &task.totals[0];
    assert_eq!(
        (total.ddi, total.value, total.kind, total.duration_s),
        (90, 160, Some(4), Some(600))
    );
    let field = &data.partfields[0];
    assert_eq!(
        (field.name.as_str(), field.crop.as_deref()),
        ("North & far", Some("Corn"))
    );
    assert_eq!(field.area_m2, Some(48_000.0));
    assert_eq!(field.boundary.len(), 2);
    assert_eq!(
        (field.boundary[0].outer.len(), field.boundary[0].holes.len()),
        (4, 1)
    );
    assert_eq!(field.boundary[0].outer[0], (-93.901, 43.899));
    let device = &data.devices[0];
    assert_eq!(device.elements.len(), 4);
    assert_eq!(
        device.elements[2].properties,
        [(70, 9_144), (134, 2_500), (135, 0)]
    );
    assert_eq!(device.elements[1].logged, [87]);
    assert_eq!(
        (device.shown[1].ddi, device.shown[1].unit.as_str()),
        (87, "kg/s")
    );
    assert_eq!(data.products[0].name, "Seed");
}

#[test]
fn a_linked_file_gives_the_same_as_one_file() {
    let (_, linked) = variants()
        .into_iter()
        .find(|(name, _)| *name == "several-linked")
        .unwrap();
    let plain = Transfer {
        linked: false,
        ..linked.clone()
    };
    assert_eq!(read(&linked.zip()), read(&plain.zip()));
}

#[test]
fn missing_parts_are_said_and_the_rest_is_read() {
    let (_, linked) = variants()
        .into_iter()
        .find(|(name, _)| *name == "several-linked")
        .unwrap();
    let mut files = linked.files();
    files.retain(|(name, _)| {
        !["PFD00001.XML", "TLG00002.bin", "TLG00003.xml"].contains(&name.as_str())
    });
    let data = taskdata::read(&Files::of(files), "x").unwrap();
    assert_eq!(
        data.problems,
        [
            "the linked file PFD00001.XML is not there",
            "task Task 1: log TLG00002 has no records: its .bin file is not there",
            "task Task 2: log TLG00003 has no header: its .xml file is not there",
        ]
    );
    assert_eq!((data.tasks[0].logs.len(), data.tasks[1].logs.len()), (1, 0));
}

#[test]
fn a_folder_and_the_file_in_it_give_the_same_as_the_archive() {
    let transfer = Transfer::one(Spec::usual("TLG00001", 6));
    let room = tempfile::tempdir().unwrap();
    let inner = room.path().join("TaskData");
    std::fs::create_dir(&inner).unwrap();
    for (name, bytes) in transfer.files() {
        std::fs::write(inner.join(name), bytes).unwrap();
    }
    std::fs::write(inner.join("notes.txt"), "not a part").unwrap();
    let expected = read(&transfer.zip());
    for path in [
        room.path().to_owned(),
        inner.clone(),
        inner.join("TASKDATA.XML"),
    ] {
        let files = Files::from_folder(&path, "x", &Limits::default()).unwrap();
        assert_eq!(taskdata::read(&files, "x").unwrap(), expected);
        assert_eq!(files.names().count(), 3);
    }
    let small = Limits {
        unpacked_bytes: 100,
        ..Limits::default()
    };
    assert!(Files::from_folder(&inner, "x", &small).is_err());
    let empty = tempfile::tempdir().unwrap();
    let why = Files::from_folder(empty.path(), "x", &Limits::default()).unwrap_err();
    assert!(
        why.to_string().contains("a folder without TASKDATA.XML"),
        "{why}"
    );
}

#[test]
fn what_is_not_task_data_is_refused_in_a_sentence() {
    for (main, says) in [
        ("<Other/>", "whose root is Other"),
        (
            "<ISO11783_TaskData VersionMajor=\"2\"/>",
            "task data of version 2",
        ),
        ("<ISO11783_TaskData/>", "task data of version none"),
        ("<ISO11783_TaskData VersionMajor=\"4\">", "ends before"),
        ("not xml", "no XML element"),
    ] {
        let files = Files::of([("taskdata.xml".to_owned(), main.into())]);
        let why = taskdata::read(&files, "x").unwrap_err().to_string();
        assert!(why.contains(says), "{why}");
    }
    let why = taskdata::read(&Files::default(), "x")
        .unwrap_err()
        .to_string();
    assert!(why.contains("no TASKDATA.XML"), "{why}");
}
