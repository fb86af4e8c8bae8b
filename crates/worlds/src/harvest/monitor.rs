//! What the monitor writes: noise, gains, a drifting receiver, gaps, and what an exporter did.

use super::drive::{Driven, STEP_S};
use super::flow::{Arrived, taken_out_s};
use super::{Behind, Crop, KG_PER_LB, Logged, M2_PER_AC, Options, Preset, degrees};
use numeric::stream::Stream;

struct Settings {
    every: usize,
    gps_sd_m: f64,
    noise: f64,
    gain_sd: f64,
    flagged: bool,
}

fn settings(preset: Preset) -> Settings {
    let usual = Settings {
        every: 1,
        gps_sd_m: 0.5,
        noise: 0.045,
        gain_sd: 0.02,
        flagged: true,
    };
    match preset {
        Preset::Easy => Settings {
            gps_sd_m: 0.1,
            noise: 0.02,
            gain_sd: 0.005,
            ..usual
        },
        Preset::Default | Preset::Drilled => usual,
        Preset::Export => Settings {
            flagged: false,
            ..usual
        },
        Preset::Hard => Settings {
            every: 3,
            gps_sd_m: 1.2,
            noise: 0.08,
            flagged: false,
            ..usual
        },
    }
}

pub(super) fn antenna_behind_m(preset: Preset) -> f64 {
    if preset == Preset::Hard { 4.0 } else { 0.0 }
}

const PER_S: usize = 10;

/// Seconds of the log before anything is left out.
struct Second {
    antenna: [f64; 2],
    moved: f64,
    wet_kg: f64,
    moisture: f64,
    believed: f64,
    down: bool,
    load: u32,
    behind: Behind,
}

pub(super) fn write(
    options: &Options,
    crop: &Crop,
    driven: &Driven,
    arrived: &Arrived,
    stream: &mut Stream,
) -> (Vec<Logged>, Vec<Behind>) {
    let settings = settings(options.preset);
    let mut seconds = seconds(options, crop, driven, arrived, &settings, stream);
    // the exporter moves mass and moisture, and keeps records with the head down
    let out = taken_out_s(options.preset) as usize;
    if out > 0 {
        for i in 0..seconds.len() {
            let (wet, moisture, load) = seconds
                .get(i + out)
                .map_or((0.0, seconds[i].moisture, seconds[i].load), |one| {
                    (one.wet_kg, one.moisture, one.load)
                });
            (seconds[i].wet_kg, seconds[i].moisture, seconds[i].load) = (wet, moisture, load);
        }
    }
    let rough = options.preset != Preset::Easy;
    let gap = if rough {
        let from = seconds.len() / 5 + stream.below(seconds.len() * 3 / 5);
        from..from + stream.whole(15, 40) as usize
    } else {
        0..0
    };
    let mut points = Vec::new();
    let mut behind = Vec::new();
    let every = settings.every;
    for (nth, chunk) in seconds.chunks(every).enumerate() {
        let at = nth * every;
        let Some(last) = chunk.last() else { continue };
        if gap.contains(&at) || (!settings.flagged && !last.down) {
            continue;
        }
        let [longitude_deg, latitude_deg] = degrees(last.antenna);
        let one = Logged {
            longitude_deg: (longitude_deg * 1e8).round() / 1e8,
            latitude_deg: (latitude_deg * 1e8).round() / 1e8,
            time_s: (at + chunk.len()) as f64,
            interval_s: chunk.len() as f64,
            distance_m: chunk.iter().map(|one| one.moved).sum(),
            wet_kg: chunk.iter().map(|one| one.wet_kg).sum(),
            moisture: Some(chunk.iter().map(|one| one.moisture).sum::<f64>() / chunk.len() as f64),
            width_m: last.believed,
            head_down: settings.flagged.then_some(last.down),
            load: last.load,
        };
        points.push(one);
        behind.push(chunk[chunk.len() / 2].behind);
    }
    if rough {
        for _ in 0..5 {
            let at = stream.below(points.len());
            points.insert(at, points[at]);
            behind.insert(at, behind[at]);
        }
    }
    (points, behind)
}

fn seconds(
    options: &Options,
    crop: &Crop,
    driven: &Driven,
    arrived: &Arrived,
    settings: &Settings,
    stream: &mut Stream,
) -> Vec<Second> {
    let n = driven.steps.len() / PER_S;
    let loads = arrived.load.last().map_or(1, |last| last + 1);
    let gains: Vec<f64> = (0..loads)
        .map(|load| {
            1.03 * (1.0 - 0.0015 * f64::from(load)) * (1.0 + settings.gain_sd * stream.normal())
        })
        .collect();
    let cutting: f64 = driven.steps.iter().filter(|one| one.wet_kg > 0.0).count() as f64 * STEP_S;
    let usual = driven.steps.iter().map(|one| one.wet_kg).sum::<f64>() / cutting.max(1.0);
    let mut drift = [
        settings.gps_sd_m * stream.normal(),
        settings.gps_sd_m * stream.normal(),
    ];
    let keep = (-1.0_f64 / 400.0).exp();
    let fresh = settings.gps_sd_m * (1.0 - keep * keep).sqrt();
    let mut jumps: Vec<(usize, [f64; 2])> = Vec::new();
    if options.preset != Preset::Easy {
        for _ in 0..2 {
            let (sin, cos) = (std::f64::consts::TAU * stream.uniform()).sin_cos();
            let far = stream.between(15.0, 40.0);
            jumps.push((stream.below(n), [far * cos, far * sin]));
        }
    }
    let back = antenna_behind_m(options.preset);
    let slow = (-1.0_f64 / 8.0).exp();
    let mut wetness = 0.0;
    let mut water: Vec<f64> = Vec::with_capacity(n);
    let mut out = Vec::with_capacity(n);
    for i in 0..n {
        let steps = &driven.steps[i * PER_S..(i + 1) * PER_S];
        let span = i * PER_S..(i + 1) * PER_S;
        let sum = |of: &[f64]| of[span.clone()].iter().sum::<f64>();
        let (wet, in_water) = (sum(&arrived.wet_kg), sum(&arrived.water_kg));
        let last = steps[PER_S - 1];
        for axis in &mut drift {
            *axis = keep * *axis + fresh * stream.normal();
        }
        let jump = jumps
            .iter()
            .find(|one| (one.0..one.0 + 5).contains(&i))
            .map_or([0.0; 2], |one| one.1);
        let antenna = [0, 1].map(|k| {
            last.at[k]
                + (0.5 * last.moved_m - back) * last.ahead[k]
                + drift[k]
                + 0.03 * stream.normal()
                + jump[k]
        });
        // the sensor: gain of the load, bent by flow, noise in shares and in lb/s
        let bend = 1.06 - 0.10 * (wet / usual / 1.67).min(1.0);
        let gain = gains[arrived.load[i * PER_S] as usize];
        let noise = settings.noise * wet * stream.normal() + 0.4 * KG_PER_LB * stream.normal();
        let read = (gain * bend * wet + if wet > 0.05 { noise } else { 0.0 }).max(0.0);
        // moisture: of what passed ten seconds ago, through a cell that fills in eight
        water.push(if wet > 0.01 { in_water / wet } else { f64::NAN });
        let fresh_water = i
            .checked_sub(10)
            .map(|at| water[at])
            .filter(|w| w.is_finite());
        if let Some(fresh) = fresh_water {
            wetness = if wetness == 0.0 {
                fresh
            } else {
                slow * wetness + (1.0 - slow) * fresh
            };
        }
        let moisture = if wetness > 0.0 {
            wetness + 0.005 + 0.0015 * stream.normal()
        } else {
            0.0
        };
        let cut: f64 = steps.iter().map(|one| one.cut_m2).sum();
        let dry: f64 = steps.iter().map(|one| one.dry_kg).sum();
        out.push(Second {
            antenna,
            moved: steps.iter().map(|one| one.moved_m).sum::<f64>()
                * (1.0 + 0.005 * stream.normal()),
            wet_kg: read,
            moisture,
            believed: last.believed_m,
            down: last.down,
            load: arrived.load[i * PER_S],
            behind: Behind {
                at: steps[PER_S / 2].at,
                width_m: steps.iter().map(|one| one.width_m).sum::<f64>() / PER_S as f64,
                dry_bu_ac: if cut > 0.0 {
                    dry / cut * M2_PER_AC / (crop.lb_per_bu * KG_PER_LB)
                } else {
                    0.0
                },
            },
        });
    }
    out
}
