//! Questions and answers that the phone's own arithmetic must reproduce to 1e-9 (relative to the answer, or to 1
//! where that is smaller). `UPDATE_GOLDEN=1` writes the file anew; without it the test says whether it is up to date.

use machine::change::{self, Grain, Side};
use machine::frame::{Concentration, Frame, M2_PER_FT2, Tail, concentration};
use machine::loss::{
    Class, Counts, Ears, Money, Prior, Relative, Seed, Settings, Stakes, lost, settle,
};
use numeric::distribution::{t_cdf, t_quantile};
use serde_json::{Value, json};
use std::path::Path;

fn class(found: &[f64]) -> Class {
    Class::new(M2_PER_FT2, found.to_vec()).expect("a class")
}

fn counts(p: &[f64], h: &[f64], b: &[f64]) -> Counts {
    let some = |found: &[f64]| (!found.is_empty()).then(|| class(found));
    Counts {
        standing: some(p),
        behind_head: some(h),
        behind_machine: some(b),
    }
}

fn soybeans() -> Settings {
    Settings {
        confidence: 0.8,
        concentration: 6.0,
        concentration_doubt: Relative::guess(0.05),
        prior: Prior::default(),
        seed: Seed {
            thousand_g: 156.2,
            doubt: Relative::guess(0.08),
            frames_weighed: false,
        },
        harvested_kg_per_ha: Some(2_690.0),
        money: Some(Money {
            per_kg: 11.0 / 27.215_542_2,
            ha_per_h: Some(2.4),
        }),
    }
}

/// Quantile and distribution of Student's t, at whole, broken, few and many degrees of freedom.
fn student() -> Value {
    let dofs = [
        0.5, 1.0, 1.3, 2.0, 2.5, 2.656_8, 3.0, 3.5, 3.921_28, 4.138_35, 5.5, 8.0, 11.25, 29.9,
        120.0, 999.0, 1_000.0,
    ];
    let quantiles: Vec<Value> = dofs
        .iter()
        .flat_map(|df| {
            [0.55, 0.8, 0.9, 0.95, 0.975, 0.999]
                .map(|p| json!({ "p": p, "df": df, "t": t_quantile(p, *df) }))
        })
        .collect();
    let below: Vec<Value> = dofs
        .iter()
        .flat_map(|df| {
            [-40.0, -3.7, -1.0, -0.01, 0.0, 0.3, 1.5, 2.680_421, 12.0]
                .map(|t| json!({ "t": t, "df": df, "p": t_cdf(t, *df) }))
        })
        .collect();
    json!({ "quantiles": quantiles, "below": below })
}

fn loss_cases() -> Vec<Value> {
    let beans = soybeans();
    let bare = Settings {
        harvested_kg_per_ha: None,
        money: None,
        ..beans
    };
    let ninety = Settings {
        confidence: 0.9,
        concentration_doubt: Relative::NONE,
        seed: Seed {
            doubt: Relative::NONE,
            ..beans.seed
        },
        ..bare
    };
    let spread = Settings {
        concentration: 1.0,
        concentration_doubt: Relative::NONE,
        ..beans
    };
    let weighed_seed = Settings {
        seed: Seed {
            thousand_g: 143.0,
            doubt: Relative {
                cv: 0.021,
                df: Some(2.0),
            },
            frames_weighed: false,
        },
        ..beans
    };
    let canola = Settings {
        seed: Seed {
            thousand_g: 3.2,
            doubt: Relative::guess(0.08),
            frames_weighed: true,
        },
        ..bare
    };
    let corn = Settings {
        seed: Seed {
            thousand_g: 291.5,
            ..beans.seed
        },
        ..spread
    };
    let ears = Ears {
        counts: Counts {
            standing: Some(Class::new(40.468_564_224, vec![0.0, 1.0, 0.0]).expect("a class")),
            behind_head: None,
            behind_machine: Some(
                Class::new(40.468_564_224, vec![3.0, 2.0, 5.0, 1.0]).expect("a class"),
            ),
        },
        grain_kg: 0.75 * 0.453_592_37 * 0.8,
        doubt: Relative::guess(0.2),
    };
    let full = counts(
        &[2.0, 1.0, 2.0, 2.0],
        &[10.0, 9.0, 11.0, 11.0],
        &[28.0, 19.0, 41.0, 24.0],
    );
    let cases: Vec<(&str, Option<Counts>, Option<Ears>, Settings)> = vec![
        (
            "windrow, everything counted",
            Some(full.clone()),
            None,
            beans,
        ),
        (
            "windrow, nine in ten, nothing else in doubt",
            Some(full.clone()),
            None,
            ninety,
        ),
        ("spread over the cut", Some(full.clone()), None, spread),
        (
            "seed weighed three times",
            Some(full.clone()),
            None,
            weighed_seed,
        ),
        (
            "nobody counted in the standing crop",
            Some(counts(
                &[],
                &[10.0, 9.0, 11.0, 11.0],
                &[28.0, 19.0, 41.0, 24.0],
            )),
            None,
            beans,
        ),
        (
            "head only",
            Some(counts(&[2.0, 1.0, 2.0, 2.0], &[10.0, 9.0, 11.0, 11.0], &[])),
            None,
            ninety,
        ),
        (
            "nothing at all found",
            Some(counts(&[0.0; 3], &[0.0; 3], &[0.0; 3])),
            None,
            beans,
        ),
        (
            "nothing standing, three frames",
            Some(counts(&[0.0; 3], &[1.0, 0.0, 2.0], &[])),
            None,
            ninety,
        ),
        (
            "less behind the machine than behind the head",
            Some(counts(
                &[3.0, 2.0, 4.0],
                &[12.0, 15.0, 9.0],
                &[8.0, 11.0, 7.0],
            )),
            None,
            beans,
        ),
        (
            "two frames",
            Some(counts(&[1.0, 2.0, 0.0], &[7.0, 3.0], &[30.0, 12.0, 25.0])),
            None,
            beans,
        ),
        (
            "spread, nobody behind the head",
            Some(counts(&[1.0, 2.0, 0.0], &[], &[9.0, 14.0, 6.0, 11.0])),
            None,
            spread,
        ),
        (
            "canola, grams in each frame",
            Some(counts(&[], &[0.4, 0.9, 0.6], &[3.0, 4.4, 2.1, 5.0])),
            None,
            canola,
        ),
        (
            "corn, kernels and ears",
            Some(counts(
                &[0.0, 1.0, 0.0],
                &[2.0, 5.0, 1.0],
                &[4.0, 3.0, 6.0, 2.0],
            )),
            Some(ears.clone()),
            corn,
        ),
        ("corn, ears only", None, Some(ears), corn),
        (
            "many frames",
            Some(counts(
                &[1.0, 0.0, 3.0, 2.0, 1.0, 0.0, 2.0, 1.0, 4.0, 1.0],
                &[6.0, 14.0, 3.0, 9.0, 22.0, 5.0, 8.0, 11.0, 4.0, 7.0],
                &[40.0, 71.0, 16.0, 25.0, 33.0, 58.0, 12.0, 44.0, 29.0, 37.0],
            )),
            None,
            beans,
        ),
    ];
    let stakes = Stakes {
        worth: 67.25,
        minutes_a_frame: 3.0,
        money_per_h: Some(180.0),
        money_per_unit: Some(11.0 / 27.215_542_2 * 30.0),
    };
    cases
        .iter()
        .map(|(name, counts, ears, settings)| {
            let loss = lost(counts.as_ref(), ears.as_ref(), settings).expect(name);
            let more = settle(&loss, &stakes).expect(name);
            json!({
                "name": name, "counts": counts, "ears": ears, "settings": settings, "stakes": stakes,
                "loss": loss, "more": more,
            })
        })
        .collect()
}

fn change_cases() -> Vec<Value> {
    let cases: [(&str, &[f64], &[f64], usize); 6] = [
        (
            "real",
            &[31.0, 22.0, 48.0, 17.0, 27.0],
            &[14.0, 19.0, 9.0, 22.0, 12.0],
            1,
        ),
        (
            "the same at the fifth look",
            &[31.0, 22.0, 48.0, 17.0, 27.0],
            &[14.0, 19.0, 9.0, 22.0, 12.0],
            5,
        ),
        ("luck", &[6.0, 9.0, 4.0], &[5.0, 8.0, 2.0], 2),
        ("worse", &[3.0, 5.0, 2.0, 4.0], &[9.0, 14.0, 8.0], 1),
        ("two frames", &[3.0, 5.0], &[1.0, 0.0, 2.0], 1),
        ("alike everywhere", &[4.0; 3], &[4.0; 4], 1),
    ];
    let settings = soybeans();
    let grain = Grain {
        seed: settings.seed,
        money: settings.money,
    };
    cases
        .iter()
        .map(|(name, before, after, looks)| {
            let (before, after) = (class(before), class(after));
            let verdict = change::judge(&before, &after, *looks).expect(name);
            let saved = change::saved(
                &[(1.0 / 6.0, &before)],
                &[(1.0 / 6.0, &after)],
                grain,
                settings.prior,
                settings.confidence,
            )
            .expect(name);
            json!({
                "name": name, "before": before, "after": after, "looks": looks,
                "weight": 1.0 / 6.0, "grain": grain, "prior": settings.prior, "confidence": settings.confidence,
                "verdict": verdict, "saved": saved,
            })
        })
        .collect()
}

fn machine_cases() -> Vec<Value> {
    let before = counts(&[], &[10.0, 12.0, 9.0, 11.0], &[30.0, 26.0, 34.0, 28.0]);
    let after = counts(&[], &[20.0, 22.0, 19.0, 21.0], &[33.0, 31.0, 40.0]);
    [(6.0, 6.0, 1), (6.0, 1.0, 3)]
        .iter()
        .map(|(before_factor, after_factor, looks)| {
            let side = |counts, concentration| Side {
                counts,
                concentration,
            };
            let verdict = change::judge_machine(
                side(&before, *before_factor),
                side(&after, *after_factor),
                Prior::default(),
                *looks,
            )
            .expect("a verdict");
            json!({
                "before": before, "before_concentration": before_factor,
                "after": after, "after_concentration": after_factor,
                "looks": looks, "prior": Prior::default(), "verdict": verdict,
            })
        })
        .collect()
}

fn frame_cases() -> Vec<Value> {
    let (cut_m, narrow) = (30.0 * 0.3048, 5.0 * 0.3048);
    let tails = [
        (
            Tail::Spread,
            Frame::Area {
                area_m2: M2_PER_FT2,
            },
        ),
        (
            Tail::Windrow {
                width_m: narrow,
                cut_m,
            },
            Frame::Area {
                area_m2: M2_PER_FT2,
            },
        ),
        (
            Tail::Windrow {
                width_m: narrow,
                cut_m,
            },
            Frame::Hoop { across_m: 0.863_6 },
        ),
        // wider than the windrow: it gathers all of it
        (
            Tail::Windrow {
                width_m: narrow,
                cut_m,
            },
            Frame::Sides {
                long_m: 0.3,
                wide_m: 3.0,
            },
        ),
        (
            Tail::Windrow {
                width_m: narrow,
                cut_m,
            },
            Frame::Sides {
                long_m: 0.1016,
                wide_m: cut_m,
            },
        ),
        (
            Tail::SpreadOver {
                width_m: 6.0,
                cut_m,
            },
            Frame::Area { area_m2: 0.25 },
        ),
        (
            Tail::Unknown {
                cut_over_windrow: 6.0,
            },
            Frame::Area { area_m2: 0.25 },
        ),
    ];
    tails
        .iter()
        .map(|(tail, frame)| {
            let out: Concentration = concentration(*tail, *frame).expect("a factor");
            json!({
                "tail": tail, "frame": frame, "area_m2": frame.area_m2().expect("an area"), "concentration": out,
            })
        })
        .collect()
}

/// Hectares an hour of cutting, with no turns in it: speed and width of a count.
fn rate_cases() -> Vec<Value> {
    [
        (3.5 * 0.447_04, 20.0 * 0.304_8),
        (6.5 / 3.6, 9.0),
        (4.0 * 0.447_04, 30.0 * 0.304_8),
        (0.9, 4.572),
    ]
    .iter()
    .map(|(speed_m_s, cut_m)| {
        let made = machine::capacity::ha_per_h(*speed_m_s, *cut_m, 1.0).expect("a rate");
        json!({ "speed_m_s": speed_m_s, "cut_m": cut_m, "ha_per_h": made })
    })
    .collect()
}

#[test]
fn the_vectors_are_up_to_date() {
    let levels: Vec<f64> = (1..=change::MOST_LOOKS)
        .map(|looks| change::level(looks).expect("a level"))
        .collect();
    let made = json!({
        "tolerance": 1e-9,
        "student": student(),
        "levels": levels,
        "frames": frame_cases(),
        "rates": rate_cases(),
        "losses": loss_cases(),
        "changes": change_cases(),
        "machine_changes": machine_cases(),
    });
    let text = serde_json::to_string_pretty(&made).expect("plain values") + "\n";
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/counts.json");
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&path, &text).expect("the folder can be written");
    }
    let there = std::fs::read_to_string(&path).expect("the vectors are there");
    let there: Value = serde_json::from_str(&there).expect("the vectors are JSON");
    near("", &there, &made);
}

/// The same shape, words and numbers; numbers to 1e-11, since another platform's last bit may differ.
fn near(at: &str, there: &Value, made: &Value) {
    match (there, made) {
        (Value::Object(a), Value::Object(b)) => {
            let keys =
                |map: &serde_json::Map<String, Value>| map.keys().cloned().collect::<Vec<_>>();
            assert_eq!(keys(a), keys(b), "{at}: run with UPDATE_GOLDEN=1");
            for (key, one) in a {
                near(&format!("{at}.{key}"), one, &b[key]);
            }
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{at}: run with UPDATE_GOLDEN=1");
            for (index, (one, other)) in a.iter().zip(b).enumerate() {
                near(&format!("{at}[{index}]"), one, other);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (
                a.as_f64().unwrap_or(f64::NAN),
                b.as_f64().unwrap_or(f64::NAN),
            );
            assert!(
                (a - b).abs() <= 1e-11 * b.abs().max(1.0),
                "{at}: {a} there, {b} made; run with UPDATE_GOLDEN=1"
            );
        }
        (a, b) => assert_eq!(a, b, "{at}: run with UPDATE_GOLDEN=1"),
    }
}
