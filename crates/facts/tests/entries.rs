//! Every entry of every data file has a source, a tag, a unit and a sane range, and every lookup
//! finds what it should.

use facts::{Act, Crop, Fact, LimitSide, LostAt, Provenance};

fn sound(id: &str, fact: &Fact) {
    assert!(fact.source.len() > 8, "{id} has no source");
    assert!(!fact.unit.is_empty(), "{id} has no unit");
    assert!(fact.value.is_finite(), "{id} is not a number");
    assert!(
        fact.low.is_none_or(|low| low <= fact.value),
        "{id} below its range"
    );
    assert!(
        fact.high.is_none_or(|high| fact.value <= high),
        "{id} above its range"
    );
    if fact.source.contains("from memory") {
        assert_eq!(
            fact.tag,
            Provenance::Mem,
            "{id} is from memory and must say so"
        );
    }
}

#[test]
fn every_constant_is_sourced() {
    assert!(facts::constants().count() >= 15);
    for (id, fact) in facts::constants() {
        sound(id, fact);
        assert_eq!(facts::constant(id), Some(fact));
    }
    assert_eq!(facts::constant("bushels of hope"), None);
    assert!(facts::all_machinery().count() >= 40);
    for (id, fact) in facts::all_machinery() {
        sound(id, fact);
        assert_eq!(facts::machinery(id), Some(fact));
    }
    assert_eq!(facts::machinery("horse"), None);
}

#[test]
fn every_sign_has_a_try_and_every_try_says_where_it_comes_from() {
    let all = facts::tries(None);
    for (sign, name) in facts::Sign::ALL {
        assert!(all.iter().any(|one| one.sign == *sign), "{name}");
        assert_eq!(sign.name(), *name);
    }
    for one in &all {
        assert!(!one.source.is_empty() && !one.es.is_empty(), "{one:?}");
        assert_eq!(one.what.is_some(), one.way.is_some(), "{one:?}");
        assert_eq!(
            one.tag == Provenance::Practice,
            one.source.starts_with("common practice, no source"),
            "{one:?}"
        );
        assert_eq!(facts::try_in_spanish(&one.text), Some(one.es.as_str()));
        let known = ["any", "corn", "beans", "small_grain", "small_seed"];
        assert!(one.groups.iter().all(|of| known.contains(&of.as_str())));
    }
    for crop in Crop::ALL {
        assert!(facts::tries(Some(*crop)).len() >= 9, "{crop:?}");
        for at in [LostAt::Standing, LostAt::Head, LostAt::Machine] {
            let some = facts::tries_at(*crop, at).len();
            assert!((1..=3).contains(&some), "{crop:?} {at:?}: {some}");
        }
    }
    for line in facts::starter_lines() {
        assert_eq!(line.reading.is_some(), line.unit.is_some(), "{line:?}");
        assert!(["daily", "once"].contains(&line.often.as_str()));
    }
}

#[test]
fn every_crop_is_whole() {
    for &crop in Crop::ALL {
        let key = crop.key();
        assert_eq!(key.parse::<Crop>(), Ok(crop));
        assert_eq!(crop.name().parse::<Crop>(), Ok(crop));
        assert_eq!(
            facts::legal_bushel(crop).is_none(),
            crop.is_sunflower(),
            "{key}"
        );
        assert!(
            !facts::customary_bases(crop).is_empty(),
            "{key} has no base"
        );
        assert!(facts::dockage_source(crop).len() > 8, "{key}");
        for fact in facts::legal_bushel(crop)
            .into_iter()
            .chain(facts::repose(crop))
            .chain(facts::peak_share(crop))
            .chain(facts::customary_bases(crop).iter().map(|base| &base.base))
        {
            sound(key, fact);
        }
        if let Some(rule) = facts::insurance_rule(crop) {
            for fact in [Some(&rule.base), Some(&rule.per_tenth)]
                .into_iter()
                .chain([rule.steep_from.as_ref(), rule.steep_per_tenth.as_ref()])
                .flatten()
            {
                sound(key, fact);
            }
        }
    }
    assert!(
        "wheat".parse::<Crop>().is_err(),
        "a bare wheat has no grade table"
    );
    assert_eq!("milo".parse(), Ok(Crop::Sorghum));
}

#[test]
fn only_three_crops_have_an_insurance_rule_that_was_read() {
    let with: Vec<_> = Crop::ALL
        .iter()
        .filter(|crop| facts::insurance_rule(**crop).is_some())
        .collect();
    assert_eq!(with, [&Crop::Corn, &Crop::Soybean, &Crop::Sorghum]);
}

#[test]
fn grade_limits_never_tighten_down_the_grades() {
    let mut tables = 0;
    for &crop in Crop::ALL {
        let Some(table) = facts::grade_table(crop) else {
            continue;
        };
        tables += 1;
        assert!(table.source.len() > 8);
        for limits in &table.limits {
            assert_eq!(
                limits.values.len(),
                table.grades,
                "{crop} {}",
                limits.factor
            );
            for pair in limits.values.windows(2) {
                let loosens = match limits.side {
                    LimitSide::Min => pair[0] >= pair[1],
                    LimitSide::Max => pair[0] <= pair[1],
                };
                assert!(loosens, "{crop} {}", limits.factor);
            }
        }
        for reason in facts::sample_reasons(crop) {
            assert!(reason.source.len() > 8 && !reason.words.is_empty());
        }
    }
    assert_eq!(tables, Crop::ALL.len() - 1, "all but barley");
    assert_eq!(facts::sample_reasons(Crop::Corn).count(), 12);
}

#[test]
fn every_act_has_its_caution() {
    for &act in Act::ALL {
        let caution = facts::caution(act);
        assert!(
            caution.text.len() > 20 && caution.source.len() > 8,
            "{}",
            act.key()
        );
        // whole in Spanish too, and not the English line again
        assert!(
            caution.es.len() * 3 > caution.text.len() * 2 && caution.es != caution.text,
            "{}",
            act.key()
        );
        if act.key().starts_with("cab_") {
            assert!(caution.text.len() <= 90 && caution.es.chars().count() <= 110);
        }
        assert_eq!(act.key().parse::<Act>(), Ok(act));
    }
    assert!("dancing".parse::<Act>().is_err());
}

#[test]
fn every_fact_of_counts_is_sourced_and_every_guess_says_so() {
    for (id, fact) in facts::counting_facts() {
        sound(&id, fact);
    }
    for id in [
        "seed_weight_cv",
        "weighed_seed_cv",
        "tail_width_cv",
        "ear_weight_cv",
        "dispersion",
        "setting_log_sd",
        "speed_power",
        "speed_power_log_sd",
        "speed_loss_kg_per_ha",
        "speed_loss_log_sd",
        "speed_beyond",
        "speed_alike_usd_per_ac",
    ] {
        let fact = facts::counting(id).unwrap();
        assert!(fact.source.starts_with("our default, a guess"), "{id}");
        assert_eq!(fact.tag, Provenance::Practice, "{id}");
    }
    for &crop in Crop::ALL {
        let fact = facts::thousand_seeds_g(crop);
        let (low, high) = (fact.low.unwrap(), fact.high.unwrap());
        assert!(low < fact.value && fact.value < high, "{crop}");
        // the weight and the printed rule are the same thing said twice, to what the rule rounds
        let (Some(rule), Some(bushel)) =
            (facts::seeds_per_ft2_rule(crop), facts::legal_bushel(crop))
        else {
            continue;
        };
        let implied = bushel.value * 453_592.37 / fact.value / 43_560.0;
        assert!(
            (implied / rule.value - 1.0).abs() < 3e-3,
            "{crop} {implied}"
        );
    }
}

#[test]
fn a_fact_survives_json() {
    let fact = facts::constant("handling_loss").unwrap();
    let text = serde_json::to_string(fact).unwrap();
    assert!(text.contains("\"tag\":\"READ2\""));
    assert_eq!(&serde_json::from_str::<Fact>(&text).unwrap(), fact);
}
