//! Worked numbers of the squaring, to the printed digits.
//!
//! Splitter and bypass: a textbook example of process-data reconciliation (from memory, reproduced by
//! an independent dense solver). Four trips: made for this program, worked out by the same solver.

use account::square::network::{Measurement, Model, Network, Verdict, critical, judge};

fn near(found: f64, printed: f64, digits: i32) {
    let half = 0.5 * 10_f64.powi(-digits) + 1e-9;
    assert!(
        (found - printed).abs() <= half,
        "found {found}, printed {printed}"
    );
}

#[test]
fn splitter_and_bypass() {
    let mut network = Network::default();
    let s: Vec<usize> = (0..6).map(|_| network.mass(0.0)).collect();
    network.balance(vec![(s[0], 1.0), (s[1], -1.0), (s[2], -1.0)], 0.0);
    network.balance(vec![(s[1], 1.0), (s[3], -1.0)], 0.0);
    network.balance(vec![(s[2], 1.0), (s[4], -1.0)], 0.0);
    network.balance(vec![(s[3], 1.0), (s[4], 1.0), (s[5], -1.0)], 0.0);
    let measured = [101.91, 64.45, 34.65, 64.20, 36.44, 98.88];
    for (unknown, value) in s.iter().zip(measured) {
        network.measure(Measurement::linear(vec![(*unknown, 1.0)], value, 1.0));
    }
    let verdict = judge(&network, 0.05).unwrap();
    let fit = &verdict.first;
    for (unknown, printed) in s.iter().zip([100.22, 64.50, 35.72, 64.50, 35.72, 100.22]) {
        near(fit.values[*unknown], printed, 2);
    }
    near(fit.chi_square, 6.4075, 4);
    assert_eq!(fit.dof, 4);
    let printed = [2.0698, -0.0612, -1.3105, -0.3674, 0.8818, -1.6412];
    for (z, printed) in verdict.tests.z.iter().zip(printed) {
        near(z.unwrap(), printed, 4);
    }
    assert!(verdict.aside.is_empty());
}

struct FourTrips {
    network: Network,
    k: usize,
    tanks: [usize; 5],
    tickets: [usize; 3],
    monitors: [usize; 5],
    scales: [usize; 3],
}

fn four_trips(t3: f64) -> FourTrips {
    let mut network = Network::default();
    let readings = [13_610.0, 14_950.0, 17_020.0, 12_260.0, 16_110.0];
    let k = network.nuisance(1.0);
    let tanks = readings.map(|reading| network.mass(reading));
    let weighed = [29_340.0, t3, 16_480.0];
    let tickets = weighed.map(|weight| network.mass(weight));
    network.balance(
        vec![(tanks[0], 1.0), (tanks[1], 1.0), (tickets[0], -1.0)],
        0.0,
    );
    network.balance(vec![(tanks[3], 1.0), (tickets[1], -1.0)], 0.0);
    network.balance(vec![(tanks[4], 1.0), (tickets[2], -1.0)], 0.0);
    let mut monitors = [0; 5];
    for ((monitor, mass), reading) in monitors.iter_mut().zip(tanks).zip(readings) {
        *monitor = network.measure(Measurement {
            model: Model::Product {
                mass,
                factor: k,
                reading,
                relative: 0.025,
            },
            sd: 0.0,
            tested: true,
        });
    }
    let mut scales = [0; 3];
    for ((scale, mass), weight) in scales.iter_mut().zip(tickets).zip(weighed) {
        *scale = network.measure(Measurement::linear(vec![(mass, 1.0)], weight, 60.0));
    }
    network.measure(Measurement::linear(
        vec![(tanks[2], 1.0)],
        17_200.0,
        0.03 * 17_200.0,
    ));
    network.measure(Measurement::prior(k, 1.0, 0.1));
    FourTrips {
        network,
        k,
        tanks,
        tickets,
        monitors,
        scales,
    }
}

#[test]
fn four_trips_square() {
    let trips = four_trips(12_620.0);
    let verdict = judge(&trips.network, 0.05).unwrap();
    let fit = &verdict.first;
    let errors = fit.errors();
    near(fit.values[trips.k], 1.025, 3);
    near(errors[trips.k].unwrap(), 0.012, 3);
    near(fit.values[trips.tanks[0]], 13_979.621, 3);
    near(errors[trips.tanks[0]].unwrap(), 253.25, 2);
    near(fit.values[trips.tanks[1]], 15_359.404, 3);
    near(fit.values[trips.tanks[2]], 17_344.653, 3);
    near(errors[trips.tanks[2]].unwrap(), 349.9, 1);
    near(fit.values[trips.tickets[0]], 29_339.025, 3);
    near(errors[trips.tickets[0]].unwrap(), 59.77, 2);
    near(fit.values[trips.tickets[1]], 12_617.959, 3);
    near(errors[trips.tickets[1]].unwrap(), 59.13, 2);
    near(fit.chi_square, 0.249_718, 6);
    assert_eq!(fit.dof, 4);
    assert!(verdict.aside.is_empty());
}

#[test]
fn four_trips_with_digits_swapped() {
    let trips = four_trips(16_220.0);
    let Verdict {
        first,
        tests,
        aside,
        ..
    } = judge(&trips.network, 0.05).unwrap();
    near(first.chi_square, 107.958_147, 6);
    let (monitor, scale) = (trips.monitors[3], trips.scales[1]);
    near(tests.z[monitor].unwrap().abs(), 10.3802, 4);
    near(tests.z[scale].unwrap().abs(), 10.3802, 4);
    assert!(tests.alike[monitor].iter().any(|a| a.0 == scale));
    assert_eq!(aside.len(), 1);
    let named: Vec<usize> = std::iter::once(aside[0].measurement)
        .chain(aside[0].alike.iter().map(|a| a.0))
        .collect();
    assert_eq!(named.len(), 2);
    assert!(named.contains(&monitor) && named.contains(&scale));
}

#[test]
fn sidak_level_of_ten_tests() {
    near(critical(0.05, 10), 2.7996, 4);
}
