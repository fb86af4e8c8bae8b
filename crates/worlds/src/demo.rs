//! The demo farm: a small invented farm on a creek bench, its season's slips with eight mistakes,
//! and the paper that shows what each should have been.
//!
//! Six small fields, three wagons, one older combine with a monitor that nobody ever set for oats, a
//! bin, a borrowed truck, and one mill that buys everything. The land, the people and the figures
//! are ours; no real farm was looked at.
//!
//! ```
//! let farm = worlds::demo::demo(1);
//! assert_eq!(farm.truth.mistakes.len(), 8);
//! assert_eq!(farm.fields.len(), 6);
//! ```

mod ground;
mod harvest;
mod mistakes;
mod points;
mod sheet;

pub use sheet::slips_csv;

use crate::mistake::Truth;
use crate::paper::Record;
use crate::scribe::{Scribe, Sureness};
use numeric::stream::Stream;
use quantity::MassUnit;
use serde::{Deserialize, Serialize};

/// A point on the ground, degrees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Corner {
    /// East, degrees (negative in the west).
    pub lon: f64,
    /// North, degrees.
    pub lat: f64,
}

/// One field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoField {
    /// Its name; also the standing-crop place of its slips.
    pub id: String,
    /// Outer ring, not closed, counter-clockwise.
    pub boundary: Vec<Corner>,
    /// Acres inside the boundary.
    pub measured_ac: f64,
    /// Acres reported to the insurer.
    pub reported_ac: f64,
    /// Acres planted.
    pub planted_ac: f64,
    /// Farm, tract and field numbers, invented.
    pub farm_tract_field: (u32, u32, u32),
    /// Insured unit.
    pub unit: String,
    /// Which crop stands on it.
    pub crop: String,
    /// The person other than the owner who has a share, and the share in per cent.
    pub share: Option<(String, f64)>,
}

/// One person, by role.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoPerson {
    /// Names the person.
    pub id: String,
    /// What the person does here.
    pub role: String,
}

/// A contract or claim under which loads are sold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoContract {
    /// Names it.
    pub id: String,
    /// Which crop.
    pub crop: String,
    /// Dollars a bushel; `None` is priced later.
    pub price_per_bu: Option<String>,
    /// Loads (slip ids) under it.
    pub slips: Vec<String>,
}

/// A bin, as a tape sees it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoBin {
    /// Its place.
    pub id: String,
    /// Inside, ft.
    pub diameter_ft: f64,
    /// Wall, ft.
    pub eave_ft: f64,
}

/// A bin measured by tape: its stock in `Record::stocks` follows from this.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoBinMeasure {
    /// The stock that it gives.
    pub stock: String,
    /// Grain against the wall, ft.
    pub depth_ft: f64,
    /// Peak above that, ft (negative for a cone drawn down).
    pub peak_ft: f64,
    /// Test weight, lb/bu.
    pub test_weight_lb_bu: f64,
    /// Packing, per cent by which the bin holds more than volume times test weight.
    pub packing_pct: f64,
}

/// The demo farm, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DemoFarm {
    /// The seed it came from.
    pub seed: u64,
    /// The farm's name.
    pub name: String,
    /// IANA name of its time zone.
    pub zone: String,
    /// Harvest year.
    pub year: i16,
    /// Unit of the farm's own weights.
    pub unit: MassUnit,
    /// Fields.
    pub fields: Vec<DemoField>,
    /// People by role.
    pub people: Vec<DemoPerson>,
    /// Crops, in the order they are cut.
    pub crops: Vec<String>,
    /// The bin.
    pub bins: Vec<DemoBin>,
    /// Its measures.
    pub bin_measures: Vec<DemoBinMeasure>,
    /// Who buys; the pit's place id.
    pub buyer: String,
    /// The buyer's schedules, one text a crop: (crop, TOML).
    pub schedules: Vec<(String, String)>,
    /// Contracts and the price-later claim.
    pub contracts: Vec<DemoContract>,
    /// As typed, with eight mistakes.
    pub typed: Record,
    /// As the paper tickets show.
    pub paper: Record,
    /// What really happened, and the mistakes.
    pub truth: Truth,
    /// Name and text of the raw combine points of one field.
    pub points: (String, String),
}

/// Grows the demo farm of a seed: the same land and people, another season, other mistakes.
pub fn demo(seed: u64) -> DemoFarm {
    let mut scribe = Scribe::new(Stream::new(seed, "demo season", 0), Sureness::default());
    let fields = ground::fields();
    let combine = ground::furnish(&mut scribe, &fields);
    let mut told = harvest::run(&mut scribe, &combine);
    let measures = std::mem::take(&mut told.measures);
    let (paper, truth, names) = scribe.finish_named();
    let (typed, mistakes) =
        mistakes::plant(&paper, &truth, &mut Stream::new(seed, "demo mistakes", 0));
    let points = points::log(seed, &fields, &combine, &paper, &truth);
    DemoFarm {
        seed,
        name: "Heron Bench".to_owned(),
        zone: "America/Chicago".to_owned(),
        year: 2025,
        unit: MassUnit::Lb,
        fields,
        people: ground::people(),
        crops: ["barley", "oats", "corn"].map(str::to_owned).to_vec(),
        bins: vec![ground::bin()],
        bin_measures: measures,
        buyer: ground::BUYER.to_owned(),
        schedules: ground::schedules(),
        contracts: told.contracts(&names),
        typed,
        paper,
        truth: Truth { mistakes, ..truth },
        points,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mistake::MistakeKind;
    use crate::paper::Weight;
    use std::collections::BTreeSet;

    #[test]
    fn eight_mistakes_of_eight_kinds_in_every_seed() {
        let mut all = BTreeSet::new();
        for seed in 1..=100 {
            let farm = demo(seed);
            let kinds: BTreeSet<MistakeKind> = farm.truth.mistakes.iter().map(|m| m.kind).collect();
            assert_eq!(kinds.len(), 8, "seed {seed}: {kinds:?}");
            all.extend(kinds);
            assert!((55..=72).contains(&farm.typed.slips.len()));
            for contract in &farm.contracts {
                assert!(!contract.slips.is_empty(), "{}", contract.id);
                for slip in &contract.slips {
                    let slip = farm.paper.slip(slip).expect("a contract names paper slips");
                    assert_eq!((&slip.to, &slip.crop), (&farm.buyer, &contract.crop));
                }
            }
        }
        assert!(all.len() >= 11, "{all:?}");
    }

    #[test]
    fn one_wagon_mixed_two_fields_and_oats_have_no_monitor() {
        let farm = demo(3);
        let truth = &farm.truth;
        let mixed = farm.paper.slips.iter().any(|a| {
            farm.paper.slips.iter().any(|b| {
                a.to == b.to
                    && a.crop == b.crop
                    && a.from != b.from
                    && truth.trips[&a.id] == truth.trips[&b.id]
            })
        });
        assert!(mixed);
        for slip in farm.paper.slips.iter().filter(|s| s.crop == "oats") {
            assert!(!matches!(slip.weight, Weight::Monitor { .. }));
        }
    }

    /// Flow times interval over the good rows is what the field truly gave over the factor.
    #[test]
    fn points_conserve_mass() {
        let farm = demo(1);
        let kg: f64 = farm
            .points
            .1
            .lines()
            .skip(1)
            .filter_map(|row| {
                let cells: Vec<&str> = row.split(',').collect();
                let number: u32 = cells.first()?.parse().ok()?;
                (number > 0).then(|| cells[4].parse::<f64>().ok().map(|flow| 3.0 * flow))?
            })
            .sum();
        let k = farm
            .truth
            .factors
            .iter()
            .find(|f| f.crop == "corn")
            .expect("corn")
            .k;
        let wet_lb: f64 = farm
            .paper
            .slips
            .iter()
            .filter(|s| s.from == ["stile-piece"])
            .map(|s| farm.truth.dry_lb[&s.id] / (1.0 - farm.truth.moisture_pct[&s.id] / 100.0))
            .sum();
        let want = wet_lb * 0.453_592_37 / k;
        assert!((kg / want - 1.0).abs() < 1e-5, "{kg} {want}");
        let rows = farm.points.1.lines().count();
        assert!((1_400..2_000).contains(&rows), "{rows}");
    }

    #[test]
    fn fields_lie_counter_clockwise_and_yield_like_fields() {
        let farm = demo(2);
        for field in &farm.fields {
            assert!(
                (5.0..20.0).contains(&field.measured_ac),
                "{} {}",
                field.id,
                field.measured_ac
            );
            let wet_lb: f64 = farm
                .paper
                .slips
                .iter()
                .filter(|s| s.from[0] == field.id)
                .map(|s| farm.truth.dry_lb[&s.id])
                .sum();
            let per_acre = wet_lb / field.measured_ac;
            assert!(
                (1_500.0..9_000.0).contains(&per_acre),
                "{} {per_acre}",
                field.id
            );
        }
    }
}
