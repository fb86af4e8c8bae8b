//! The best speed from counts of the book that carry a speed.

use crate::farm::Yard;
use desk::speed::{Counted, SpeedAsked, counted, speed};

const MPH: f64 = 0.447_04;
const FT2: f64 = 0.092_903_04;

/// One count in the beans: one seed standing and nine behind the head in each of three frames, and these behind the
/// machine; `more` goes before what is usual.
fn count(yard: &mut Yard, when: &str, speed: &str, behind: [&str; 4], more: &[(&str, &str)]) {
    let mut figures = more.to_vec();
    for usual in [
        ("field", "Bench"),
        ("machine", "combine"),
        ("frame", "1 ft2"),
        ("cut-width", "20 ft"),
        ("tail", "spread"),
    ] {
        if more.iter().all(|(name, _)| *name != usual.0) {
            figures.push(usual);
        }
    }
    figures.extend([("standing", "1"); 3]);
    figures.extend([("behind-head", "9"); 3]);
    figures.extend(behind.map(|seeds| ("behind-machine", seeds)));
    if !speed.is_empty() {
        figures.push(("speed", speed));
    }
    yard.write(when, "count", &figures);
}

/// A day of counts at 3 and 4 mph.
fn day(more: &[(&str, &str)]) -> Yard {
    let mut yard = Yard::planted();
    count(
        &mut yard,
        "2026-10-06 14:00",
        "3 mph",
        ["12", "11", "13", "12"],
        more,
    );
    count(
        &mut yard,
        "2026-10-06 15:00",
        "4 mph",
        ["16", "19", "14", "17"],
        more,
    );
    yard
}

fn of(yard: &Yard, crop: Option<&str>) -> Counted {
    counted(&yard.farm(), crop).unwrap().unwrap()
}

fn near(found: f64, wanted: f64) {
    assert!(
        (found - wanted).abs() < 1e-9 * wanted.abs().max(1.0),
        "{found}, not {wanted}"
    );
}

fn asked() -> SpeedAsked {
    SpeedAsked {
        crop: "soybeans".into(),
        price: "$11".into(),
        hour: "$180".into(),
        now: "4 mph".into(),
        ..SpeedAsked::default()
    }
}

/// Head: 9 - 1 seeds a square foot of 156.2 g a thousand are 8 x 1.562 / .0929 = 134.5 kg/ha.
#[test]
fn a_days_counts_are_pooled_by_speed() {
    let mut yard = day(&[]);
    // the day before, and one that carries no speed
    count(
        &mut yard,
        "2026-10-04 15:00",
        "5 mph",
        ["30", "30", "30", "30"],
        &[],
    );
    count(
        &mut yard,
        "2026-10-06 15:30",
        "",
        ["30", "30", "30", "30"],
        &[],
    );
    let found = of(&yard, None);
    assert_eq!(found.crop, "soybean");
    assert_eq!(found.speeds_m_s.len(), 2);
    near(found.speeds_m_s[0], 3.0 * MPH);
    near(found.speeds_m_s[1], 4.0 * MPH);
    assert_eq!(found.pooling.frames.len(), 2);
    assert_eq!(found.pooling.frames[0].seeds, [16, 19, 14, 17]);
    near(found.pooling.frames[0].frame_m2, FT2);
    near(found.pooling.head_per_m2, 9.0 / FT2);
    near(found.pooling.head_se_per_m2, 0.0);
    near(found.pooling.concentration, 1.0);
    near(found.pooling.at_m_s, 3.5 * MPH);
    near(found.pooling.kg_per_ha_of_one_seed, 1.562);
    near(found.head.kg_per_ha, 8.0 / FT2 * 1.562);
    near(found.cut_m.unwrap(), 20.0 * 0.304_8);
    assert_eq!((found.entries.len(), found.left_out.len()), (2, 0));
    assert!(found.seeds_are_default);
}

#[test]
fn a_counts_own_seed_weight_goes_before_the_crops() {
    let found = of(&day(&[("seed-weight", "200 g")]), None);
    assert_eq!(
        (found.thousand_seeds_g, found.seeds_are_default),
        (200.0, false)
    );
    near(found.pooling.kg_per_ha_of_one_seed, 2.0);
    near(found.head.kg_per_ha, 8.0 / FT2 * 2.0);
    let default = of(&day(&[]), None);
    let heavy = speed(&asked(), Some(&found)).unwrap();
    let usual = speed(&asked(), Some(&default)).unwrap();
    assert!(
        heavy.best.free_m_s < usual.best.free_m_s,
        "heavier seeds are dearer, so the best speed is slower"
    );
    let told = |notes: &[String]| notes.iter().any(|note| note.contains("156 g, our default"));
    assert!(told(&usual.notes) && !told(&heavy.notes));
    let why = |inputs: &[(String, String)]| inputs.iter().any(|one| one.1 == "200.0 g, as weighed");
    assert!(why(&heavy.why[0].inputs), "{:?}", heavy.why[0].inputs);
    // of two weighings the latest holds
    let mut yard = day(&[("seed-weight", "200 g")]);
    count(
        &mut yard,
        "2026-10-06 16:00",
        "4 mph",
        ["9", "9", "9", "9"],
        &[("seed-weight", "180 g")],
    );
    near(of(&yard, None).thousand_seeds_g, 180.0);
}

#[test]
fn a_crop_is_known_by_any_of_its_names() {
    let yard = day(&[]);
    for name in ["soybean", "soybeans", " Soybeans "] {
        assert_eq!(of(&yard, Some(name)).entries.len(), 2, "{name}");
    }
    assert_eq!(counted(&yard.farm(), Some("corn")).unwrap(), None);
    let why = counted(&yard.farm(), Some("hay")).unwrap_err().to_string();
    assert!(why.starts_with("crop") && why.contains("hay"), "{why}");
    assert_eq!(counted(&Yard::planted().farm(), None).unwrap(), None);
}

#[test]
fn what_cannot_serve_is_left_out_with_the_reason() {
    let mut yard = day(&[]);
    count(
        &mut yard,
        "2026-10-06 12:00",
        "2 mph",
        ["9", "9", "9", "9"],
        &[("tail", "unknown")],
    );
    count(
        &mut yard,
        "2026-10-06 13:00",
        "2 mph",
        ["40", "40", "40", "40"],
        &[("tail", "windrow"), ("tail-width", "5 ft")],
    );
    let found = of(&yard, None);
    assert_eq!(found.entries.len(), 2);
    assert_eq!(found.left_out.len(), 2, "{:?}", found.left_out);
    assert!(
        found
            .left_out
            .iter()
            .any(|why| why.contains("nobody wrote how wide"))
    );
    assert!(
        found
            .left_out
            .iter()
            .any(|why| why.contains("otherwise than the last one's"))
    );
    let notes = speed(&asked(), Some(&found)).unwrap().notes;
    assert!(found.left_out.iter().all(|why| notes.contains(why)));
}

#[test]
fn a_narrow_tail_is_thinned_by_cut_over_width() {
    let found = of(&day(&[("tail", "windrow"), ("tail-width", "5 ft")]), None);
    near(found.pooling.concentration, 4.0);
}

#[test]
fn without_frames_behind_the_head_it_says_what_to_count() {
    let mut yard = Yard::planted();
    yard.write(
        "2026-10-06 14:00",
        "count",
        &[
            ("field", "Bench"),
            ("frame", "1 ft2"),
            ("tail", "spread"),
            ("speed", "3 mph"),
            ("behind-machine", "5"),
        ],
    );
    let why = counted(&yard.farm(), None).unwrap_err().to_string();
    assert!(why.contains("no frames between head and machine"), "{why}");
}

#[test]
fn a_metric_reader_has_metric_notes() {
    let mut yard = Yard::planted();
    count(
        &mut yard,
        "2026-10-06 14:00",
        "3 mph",
        ["12", "11", "13", "12"],
        &[],
    );
    let mut asked = asked();
    asked.uncut_lost_yield = "40 bu/ac".into();
    let answer = speed(&asked, Some(&of(&yard, None))).unwrap();
    let (us, metric) = (answer.notes.join("\n"), answer.notes_metric.join("\n"));
    assert_eq!(answer.notes.len(), answer.notes_metric.len());
    assert!(us.contains(" mph; ") || us.contains(" mph too"), "{us}");
    assert!(
        us.contains("most money an hour at") && !us.contains("km/h"),
        "{us}"
    );
    assert!(
        metric.matches(" km/h").count() >= 2 && !metric.contains("mph"),
        "{metric}"
    );
}
