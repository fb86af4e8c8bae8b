//! From the name of a call in the table of printed numbers to our own functions.

use facts::Crop;
use grain::{BushelVolume, Factor, RoundBin, RoundTop, Schedule, Settlement, Ticket};
use quantity::{
    Area, BushelKind, BushelWeight, Bushels, Length, Mass, MassUnit, Moisture, MoneyRounding,
    Price, TestWeight,
};
use rust_decimal::Decimal;
use std::collections::{BTreeMap, BTreeSet};
use toml::Table;

pub(crate) fn call(name: &str, inputs: &Table) -> f64 {
    let n = |key: &str| number(inputs, key);
    let pct = |key: &str| Moisture::from_percent(number(inputs, key)).unwrap();
    match name {
        "ft3_per_bushel" => facts::ft3_per_bu(),
        "bu_per_ft3" => volume(inputs).bu_per_ft3(),
        "imperial_over_winchester" => {
            facts::constant("imperial_bushel_ft3").unwrap().value / facts::ft3_per_bu()
        }
        "iowa_over_exact_pct" => {
            (BushelVolume::Iowa.bu_per_ft3() / BushelVolume::Exact.bu_per_ft3() - 1.0) * 100.0
        }
        "legal_lb_per_bu" => legal(inputs).lb(),
        "bu_per_tonne" => bushel(inputs).bushels_per_tonne(),
        "bu_per_tonne_of" => legal(inputs).bushels_per_tonne(),
        "tonnes_of_bu" => mass_of(legal(inputs), n("bu")).to(MassUnit::Tonne),
        "kg_of_bu" => mass_of(bushel(inputs), n("bu")).kg(),
        "kg_of_lb" => Mass::from_lb(n("lb")).unwrap().kg(),
        "lb_of_kg" => Mass::from_kg(n("kg")).unwrap().lb(),
        "lb_of_short_ton" => as_f64(
            Mass::from_decimal(exact(n("ton")), MassUnit::ShortTon)
                .unwrap()
                .decimal(MassUnit::Lb),
        ),
        "ha_of_ac" => Area::from_ac(n("ac")).unwrap().ha(),
        "ft2_of_ac" => Area::from_ac(n("ac")).unwrap().ft2(),
        "kg_per_ha" => n("bu_per_ac") * legal(inputs).kg_per_ha(),
        "kg_per_hl" => {
            let kettle = TestWeight::from_lb_per_bu(n("lb_per_bu")).unwrap();
            grain::printed_kg_per_hl(crop(inputs), kettle).0
        }
        "point_factor" => grain::point_factor(pct("base")),
        "water_shrink_pct" => grain::water_shrink_pct(pct("from"), pct("to")),
        "water_factor" => 1.0 - grain::water_shrink_pct(pct("at"), pct("base")) / 100.0,
        "flat_shrink_pct" => grain::flat_shrink_pct(pct("from"), pct("base"), n("rate")),
        "flat_factor" => 1.0 - grain::flat_shrink_pct(pct("at"), pct("base"), n("rate")) / 100.0,
        "hidden_in_flat_shrink_pct" => {
            grain::hidden_in_flat_shrink_pct(pct("from"), pct("base"), n("rate"))
        }
        "shrink_with_handling_pct" => {
            let wet = Mass::from_lb(10_000.0).unwrap();
            let left = grain::dried(wet, pct("from"), pct("to"), n("handling")).unwrap();
            (1.0 - left.kg() / wet.kg()) * 100.0
        }
        "dried_lb" => dried(inputs).lb(),
        "dried_bu" => as_f64(bushel(inputs).bushels(dried(inputs))),
        "handling_fact" => {
            let fact = facts::constant("handling_loss").unwrap();
            match text(inputs, "which") {
                "low" => fact.low.unwrap(),
                "high" => fact.high.unwrap(),
                _ => fact.value,
            }
        }
        "dry_lb_in_bushel" => grain::dry_in_bushel(bushel(inputs), pct("base")).lb(),
        "water_lb_in_bushel" => {
            bushel(inputs).lb() - grain::dry_in_bushel(bushel(inputs), pct("base")).lb()
        }
        "lb_of_a_dry_bushel" => {
            grain::weight_of_a_dry_bushel(bushel(inputs), pct("base"), pct("at")).lb()
        }
        "over_dry_loss_pct" => grain::over_dry_loss_pct(pct("base"), pct("at")),
        "give_away_bu" => as_f64(given_away(inputs).lost.count),
        "give_away_money" => as_f64(given_away(inputs).lost_money.decimal()),
        "beans_wet_bu" => as_f64(beans(n("at")).gross_units),
        "beans_paid_bu" => as_f64(beans(n("at")).net_units),
        "beans_net" => beans_net(n("at")),
        "beans_loss_per_ac" => beans_net(13.0) - beans_net(n("at")),
        "beans_loss_per_bu" => (beans_net(13.0) - beans_net(n("at"))) / 60.0,
        "grade_at_limit" => grade_number(inputs, &[(text(inputs, "factor"), n("value"))]),
        "corn_grade" => {
            let measured: Vec<(&str, f64)> = inputs
                .iter()
                .map(|(key, _)| (key.as_str(), n(key)))
                .collect();
            grade_number(
                &Table::from_iter([("crop".to_owned(), "corn".into())]),
                &measured,
            )
        }
        "test_weight_cents" => test_weight_cents(inputs),
        "ticket_net_lb" => as_f64(worked_ticket().wet_lb),
        "ticket_gross_bu" => as_f64(worked_ticket().gross_units),
        "ticket_shrink_pct" => as_f64(worked_ticket().lines[0].rate),
        "ticket_shrink_bu" => as_f64(-worked_ticket().lines[0].units),
        "ticket_net_bu" => as_f64(worked_ticket().net_units),
        "bin_bu" => bin_bu(inputs, RoundTop::Level),
        "bin_peak_bu" => {
            bin_bu(inputs, RoundTop::Peak(feet(n("peak_ft")))) - bin_bu(inputs, RoundTop::Level)
        }
        "bin_peak_unmeasured_bu" => {
            let top = RoundTop::PeakUnmeasured(crop(inputs));
            bin_bu(inputs, top) - bin_bu(inputs, RoundTop::Level)
        }
        "bin_dip_bu" => bin_bu(inputs, RoundTop::InvertedCone(feet(n("dip_ft")))),
        "cone_ft3" => grain::cone_pile(feet(n("diameter_ft")), feet(n("height_ft")))
            .unwrap()
            .ft3(),
        "tan_repose" => grain::angle_of(crop(inputs)).unwrap().to_radians().tan(),
        "pile_factor" => grain::pile_factor(grain::angle_of(crop(inputs)).unwrap()).unwrap(),
        "pile_diameter_ft" => {
            let angle = grain::angle_of(crop(inputs)).unwrap();
            grain::pile_diameter(n("bu"), angle).unwrap().ft()
        }
        "insurance_factor" => {
            as_f64(grain::insurance_moisture_factor(crop(inputs), pct("at")).unwrap())
        }
        "insurance_base" => facts::insurance_rule(crop(inputs)).unwrap().base.value,
        other => {
            panic!("the table of printed numbers asks for '{other}', which is not a call here")
        }
    }
}

fn number(inputs: &Table, key: &str) -> f64 {
    match &inputs[key] {
        toml::Value::Integer(whole) => *whole as f64,
        other => other.as_float().unwrap(),
    }
}

fn text<'a>(inputs: &'a Table, key: &str) -> &'a str {
    inputs[key].as_str().unwrap()
}

fn crop(inputs: &Table) -> Crop {
    text(inputs, "crop").parse().unwrap()
}

fn exact(value: f64) -> Decimal {
    Decimal::try_from(value).unwrap()
}

fn as_f64(value: Decimal) -> f64 {
    f64::try_from(value).unwrap()
}

fn feet(value: f64) -> Length {
    Length::from_ft(value).unwrap()
}

fn bushel(inputs: &Table) -> BushelWeight {
    BushelWeight::from_lb(number(inputs, "lb_per_bu")).unwrap()
}

fn legal(inputs: &Table) -> BushelWeight {
    grain::legal_bushel(crop(inputs)).unwrap()
}

fn mass_of(weight: BushelWeight, bu: f64) -> Mass {
    weight.mass_of(exact(bu)).unwrap()
}

fn dried(inputs: &Table) -> Mass {
    let pct = |key: &str| Moisture::from_percent(number(inputs, key)).unwrap();
    let wet = Mass::from_lb(number(inputs, "lb")).unwrap();
    grain::dried(wet, pct("from"), pct("to"), number(inputs, "handling")).unwrap()
}

fn given_away(inputs: &Table) -> grain::GiveAway {
    let pct = |key: &str| Moisture::from_percent(number(inputs, key)).unwrap();
    let crop = Bushels {
        count: exact(number(inputs, "bu")),
        kind: BushelKind::DryAt(pct("base")),
        weight: bushel(inputs),
    };
    let price = Price(exact(number(inputs, "price")));
    grain::give_away(crop, pct("at"), price, MoneyRounding::HalfUp).unwrap()
}

/// An acre of soybeans, 60 bu dry at 13 %, cut at a moisture and settled: 1.4 % of weight a point,
/// 5 cents a point on wet bushels, $12.90, nothing rounded before the total.
fn beans(at: f64) -> Settlement {
    let schedule: Schedule = toml::from_str(
        r#"
        name = "wet beans"
        buyer = "example"
        contract = "cash"
        crop = "soybean"
        base_moisture_pct = 13
        unit_lb = 60
        [rounding]
        total_money = { places = 4, rule = "half_even" }
        [[line]]
        name = "shrink"
        factor = "moisture"
        when = "above"
        from = 13
        kind = "percent_of_gross_weight"
        charge = { per_step = 1.4 }
        [[line]]
        name = "drying"
        factor = "moisture"
        when = "above"
        from = 13
        kind = "cents_per_gross_bushel"
        charge = { per_step = 5 }
        "#,
    )
    .map(unrounded)
    .unwrap();
    let dry = quantity::DryMass::of(
        Mass::from_lb(3_600.0).unwrap(),
        Moisture::from_percent(13.0).unwrap(),
    );
    let wet = dry.at(Moisture::from_percent(at).unwrap());
    let ticket = Ticket::of_net(Crop::Soybean, wet).with(Factor::Moisture, exact(at));
    grain::settle(&ticket, &schedule, Some(Price(exact(12.9)))).unwrap()
}

fn beans_net(at: f64) -> f64 {
    as_f64(beans(at).net.unwrap().decimal())
}

fn unrounded(mut schedule: Schedule) -> Schedule {
    schedule.rounding.gross_units = None;
    schedule.rounding.line_units = None;
    schedule.rounding.net_units = None;
    schedule.rounding.line_money = None;
    schedule
}

/// 78,460 lb gross, 26,240 lb tare, corn at 18.2 %, base 15, 1.4 % a point, nothing rounded.
fn worked_ticket() -> Settlement {
    let schedule: Schedule = toml::from_str(
        r#"
        name = "worked"
        buyer = "example"
        contract = "cash"
        crop = "corn"
        base_moisture_pct = 15
        unit_lb = 56
        [[line]]
        factor = "moisture"
        when = "above"
        from = 15
        kind = "percent_of_gross_weight"
        charge = { per_step = 1.4 }
        "#,
    )
    .map(unrounded)
    .unwrap();
    let pounds = |lb| Mass::from_lb(lb).unwrap();
    let ticket = Ticket::of_gross_and_tare(Crop::Corn, pounds(78_460.0), pounds(26_240.0))
        .with(Factor::Moisture, exact(18.2));
    grain::settle(&ticket, &schedule, None).unwrap()
}

/// Cents a net bushel that a whole schedule takes for test weight, read back from its settlement.
fn test_weight_cents(inputs: &Table) -> f64 {
    let schedule: Schedule = toml::from_str(&format!(
        r#"
        name = "test weight"
        buyer = "example"
        contract = "cash"
        crop = "corn"
        base_moisture_pct = 15
        unit_lb = 56
        [[line]]
        factor = "test_weight"
        when = "below"
        from = 54
        kind = "cents_per_net_bushel"
        [line.charge.banded]
        reading = "{}"
        bands = [{{ to = 52, rate = 1 }}, {{ to = 48, rate = 2 }}, {{ rate = 4 }}]
        "#,
        text(inputs, "reading")
    ))
    .unwrap();
    let ticket = Ticket::of_net(Crop::Corn, Mass::from_lb(56_000.0).unwrap())
        .with(Factor::TestWeight, exact(number(inputs, "test_weight")));
    let settled = grain::settle(&ticket, &schedule, Some(Price(Decimal::from(4)))).unwrap();
    // 1,000 bu, so that dollars are tenths of a cent a bushel
    as_f64(-settled.discounts.decimal()) / 10.0
}

fn grade_number(inputs: &Table, measured: &[(&str, f64)]) -> f64 {
    let factors: BTreeMap<Factor, Decimal> = measured
        .iter()
        .map(|(key, value)| (Factor::from(*key), exact(*value)))
        .collect();
    let graded = grain::grade(crop(inputs), &factors, &BTreeSet::new()).unwrap();
    graded.number.map_or(f64::NAN, |number| number as f64)
}

fn volume(inputs: &Table) -> BushelVolume {
    match text(inputs, "volume") {
        "iowa" => BushelVolume::Iowa,
        "quick" => BushelVolume::Quick,
        _ => BushelVolume::Exact,
    }
}

fn bin_bu(inputs: &Table, top: RoundTop) -> f64 {
    let bin = RoundBin {
        diameter: feet(number(inputs, "diameter_ft")),
        wall_depth: feet(number(inputs, "depth_ft")),
        top,
        hopper: None,
    };
    grain::round_bin(&bin).unwrap().volume_bu(volume(inputs))
}
