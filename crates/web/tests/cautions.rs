//! Every act of the cautions file is shown somewhere: the table says where, and the source of that place
//! names the act.
#![expect(clippy::unwrap_used, reason = "a failure in a test is to be loud")]

use facts::Act;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Act, the file that shows it, and how it is named there.
const SHOWN: &[(Act, &str, &str)] = &[
    (
        Act::LossCount,
        "desk/src/written/cautions.rs",
        "Act::LossCount",
    ),
    (Act::Unplug, "desk/src/written/cautions.rs", "Act::Unplug"),
    (Act::Speed, "web/src/pages/speed.rs", "Act::Speed"),
    (Act::Speed, "desk/src/speed/mod.rs", "Act::Speed"),
    (Act::Setting, "web/src/pages/settings.rs", "Act::Setting"),
    (Act::Setting, "stook/src/act_ready.rs", "Act::Setting"),
    (Act::WalkRound, "web/src/pages/ready.rs", "Act::WalkRound"),
    (Act::WalkRound, "stook/src/act_ready.rs", "Act::WalkRound"),
    (Act::Tires, "web/src/pages/cost.rs", "Act::Tires"),
    (Act::Tires, "desk/src/calc/running.rs", "Act::Tires"),
    (Act::Pto, "web/src/pages/ready.rs", "Act::Pto"),
    (Act::RoadMove, "web/src/pages/ready.rs", "Act::RoadMove"),
    (Act::Fire, "web/src/pages/ready.rs", "Act::Fire"),
    (Act::Fatigue, "web/src/pages/ready.rs", "Act::Fatigue"),
    (
        Act::BinMeasure,
        "desk/src/written/cautions.rs",
        "Act::BinMeasure",
    ),
    (
        Act::BinMeasure,
        "desk/src/calc/stores.rs",
        "Act::BinMeasure",
    ),
    (
        Act::WagonFlow,
        "desk/src/written/cautions.rs",
        "Act::WagonFlow",
    ),
    (Act::Auger, "desk/src/written/cautions.rs", "Act::Auger"),
    (
        Act::Bystanders,
        "desk/src/written/cautions.rs",
        "Act::Bystanders",
    ),
    (Act::Mold, "desk/src/written/cautions.rs", "Act::Mold"),
    (Act::Money, "web/src/pages/units.rs", "Act::Money"),
    (Act::Scale, "desk/src/written/cautions.rs", "Act::Scale"),
    (Act::CabLoad, "desk/src/cab/snapshot.rs", "Act::CabLoad"),
    (Act::CabCount, "desk/src/cab/snapshot.rs", "Act::CabCount"),
    (
        Act::CabSetting,
        "desk/src/cab/snapshot.rs",
        "Act::CabSetting",
    ),
    (Act::CabStop, "desk/src/cab/snapshot.rs", "Act::CabStop"),
    (Act::CabBin, "desk/src/cab/snapshot.rs", "Act::CabBin"),
];

fn source(place: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("..")
        .join(place);
    std::fs::read_to_string(path).unwrap()
}

#[test]
fn every_act_is_shown_somewhere() {
    for (act, place, named) in SHOWN {
        assert!(source(place).contains(named), "{act:?} is not in {place}");
    }
    let shown: BTreeSet<Act> = SHOWN.iter().map(|one| one.0).collect();
    for act in Act::ALL {
        assert!(shown.contains(act), "{act:?} is shown nowhere");
    }
    for (face, reads) in [
        ("web/src/pages/write.rs", "written::acts_of"),
        ("stook/src/act.rs", "written::cautions_of"),
    ] {
        assert!(source(face).contains(reads), "{face} leaves the table out");
    }
}
