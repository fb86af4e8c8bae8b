//! Do the intervals of what edges take hold the truth, and is a loss seldom claimed where there is none?
//!
//! `cargo xtask study edge [--fields 20] [--from 4001]`: for each preset, fields whose trees take a share and reach drawn
//! anew (0.3 to 0.8 at the trunk, 0.3 to 0.9 heights of 15 m) and which lose nothing else, and as many that lose nothing
//! at all. Truth is what the simulator took of the ground nearest to each side, in bushels. The trees stand along the
//! west, where passes run along them, and the north, where they end; the fence cuts point rows, over soil that falls
//! toward it; the road lies where passes end.

use super::chain::{known, track_of};
use super::{Request, Verdict};
use numeric::stream::Stream;
use rayon::prelude::*;
use std::fmt::Write as _;
use track::clean::clean;
use track::edge::{Class, EdgeFound, EdgeLine, EdgeSettings, Meets, Verdict as Told, edges};
use worlds::harvest::{Edges, Options, Preset, Trees, degrees, simulate};

/// One edge of one field: bushels told with interval, and true.
struct Seen {
    trees: bool,
    off: f64,
    wide: f64,
    held: bool,
    told: Told,
    true_bu: f64,
}

pub(crate) fn run(request: &Request) -> anyhow::Result<Verdict> {
    const FIRST: u64 = 4_001;
    let fields = request
        .number("--fields")?
        .unwrap_or_else(|| request.size(20, 2));
    let first = request.number("--from")?.unwrap_or(FIRST);
    let mut out = format!(
        "{fields} fields with and {fields} without a loss a preset, seeds from {first}\n\n\
         | preset | trees: true bu | off, mean (RMS) | half interval | 90 % hold | told to lose | no loss: half interval | 90 % hold | claimed to lose |\n\
         | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n"
    );
    let (mut held, mut trees, mut claimed, mut edges_without) = (0, 0, 0, 0);
    let presets: &[Preset] = if request.sample {
        &[Preset::Default]
    } else {
        &Preset::ALL
    };
    for preset in presets {
        let all = |loses: bool| -> anyhow::Result<Vec<Seen>> {
            let each: Vec<Vec<Seen>> = (first..first + fields)
                .into_par_iter()
                .map(|seed| field(*preset, seed, loses))
                .collect::<anyhow::Result<_>>()?;
            Ok(each.into_iter().flatten().collect())
        };
        let (with, without) = (all(true)?, all(false)?);
        let with: Vec<&Seen> = with.iter().filter(|one| one.trees).collect();
        let without: Vec<&Seen> = without.iter().collect();
        let count =
            |of: &[&Seen], is: &dyn Fn(&Seen) -> bool| of.iter().filter(|one| is(one)).count();
        let mean = |of: &[&Seen], what: &dyn Fn(&Seen) -> f64| {
            of.iter().map(|one| what(one)).sum::<f64>() / of.len() as f64
        };
        let (held_with, held_without) = (
            count(&with, &|one| one.held),
            count(&without, &|one| one.held),
        );
        let lost = |of: &[&Seen]| count(of, &|one| one.told == Told::Loses);
        writeln!(
            out,
            "| {} | {:.0} | {:+.1} ({:.1}) | {:.0} | {held_with} of {} | {} | {:.0} | {held_without} of {} | {} |",
            preset.name(),
            mean(&with, &|one| one.true_bu),
            mean(&with, &|one| one.off),
            mean(&with, &|one| one.off * one.off).sqrt(),
            mean(&with, &|one| one.wide),
            with.len(),
            lost(&with),
            mean(&without, &|one| one.wide),
            without.len(),
            lost(&without),
        )?;
        held += held_with;
        trees += with.len();
        claimed += lost(&without);
        edges_without += without.len();
    }
    println!("{out}");
    let share = 100.0 * held as f64 / trees.max(1) as f64;
    let claims = 100.0 * claimed as f64 / edges_without.max(1) as f64;
    let seen = format!(
        "{held} of {trees} intervals hold the trees' loss; {claimed} of {edges_without} edges without a loss are told to lose"
    );
    let few = request.sample;
    let fine = (few && held + 1 >= trees || (85.0..=98.0).contains(&share))
        && (claims <= 10.0 || few && claimed <= 1);
    Ok(if fine {
        Verdict::Holds(seen)
    } else {
        Verdict::Fails(format!(
            "{seen}; wanted from 85 to 98 in 100, and at most 10 in 100"
        ))
    })
}

fn field(preset: Preset, seed: u64, loses: bool) -> anyhow::Result<Vec<Seen>> {
    let mut stream = Stream::new(seed, "study of edges", 0);
    let usual = Options::of(preset, seed);
    let options = Options {
        trees: Trees {
            depth: if loses { stream.between(0.3, 0.8) } else { 0.0 },
            reach: stream.between(0.3, 0.9),
            gain: 0.0,
            ..usual.trees
        },
        edges: Edges::NONE,
        ..usual
    };
    let harvest = simulate(&options);
    let known = known(&harvest, seed);
    let cleaned = clean(&track_of(&harvest), &known)?;
    let class = |kind: &str| match kind {
        "trees" => Class::Trees,
        "fence" => Class::Fence,
        "road" => Class::Road,
        _ => Class::Waterway,
    };
    let lines: Vec<EdgeLine> = harvest
        .sides
        .iter()
        .map(|side| EdgeLine {
            class: class(side.kind),
            tree_height_m: Some(options.trees.height_m),
            places: side.points.iter().map(|p| degrees(*p).into()).collect(),
        })
        .collect();
    let settings = EdgeSettings {
        lb_per_bu: harvest.lb_per_bu,
        seed,
        ..EdgeSettings::default()
    };
    let found = edges(&cleaned, &known, &lines, &settings);
    let told = found.each.iter().filter_map(|edge| {
        let EdgeFound::Curve(curve) = &edge.found else {
            return None;
        };
        // sides in the simulator's order: west, north, fence, road, waterway
        let side = match (edge.class, edge.meets) {
            (Class::Trees, Meets::Along) => 0,
            (Class::Trees, Meets::Ending) => 1,
            (Class::Fence, _) => 2,
            (Class::Road, _) => 3,
            _ => 4,
        };
        let true_bu = harvest.truth.taken[side].lost_bu;
        let lost = curve.lost_bu;
        Some(Seen {
            trees: edge.class == Class::Trees,
            off: lost.value - true_bu,
            wide: 0.5 * (lost.high - lost.low),
            held: (lost.low..=lost.high).contains(&true_bu),
            told: curve.verdict,
            true_bu,
        })
    });
    Ok(told.collect())
}
