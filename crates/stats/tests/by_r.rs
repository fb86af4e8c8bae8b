//! Rates of rare events against R; numbers and script in `reference/stops`.
#![expect(clippy::unwrap_used, reason = "a failed step is a failed test")]

use serde::Deserialize;
use stats::rates::Rate;

#[derive(Deserialize)]
struct Case {
    shape0: f64,
    exposure0: f64,
    events: u64,
    exposure: f64,
    ahead: f64,
    rate_q: [f64; 3],
    cdf_at_mean: f64,
    pmf: [f64; 5],
    cdf: [f64; 5],
    count_q: [u64; 5],
}

#[derive(Deserialize)]
struct Pair {
    a: [f64; 2],
    b: [f64; 2],
    p: f64,
}

#[derive(Deserialize)]
struct Expected {
    rates: Vec<Case>,
    greater: Vec<Pair>,
}

fn expected() -> Expected {
    serde_json::from_str(include_str!("../../../reference/stops/expected.json")).unwrap()
}

fn near(ours: f64, r: f64) {
    assert!((ours / r - 1.0).abs() < 1e-9, "ours {ours}, R {r}");
}

#[test]
fn posterior_and_counts_ahead_are_those_of_r() {
    for case in expected().rates {
        let prior = Rate::new(case.shape0, case.exposure0).unwrap();
        let rate = prior.seen(case.events, case.exposure);
        for (p, r) in [0.05, 0.5, 0.95].into_iter().zip(case.rate_q) {
            near(rate.quantile(p), r);
        }
        near(rate.cdf(rate.mean()), case.cdf_at_mean);
        let ahead = rate.ahead(case.ahead);
        for count in 0..5_u64 {
            near(ahead.pmf(count), case.pmf[count as usize]);
            near(ahead.cdf(count), case.cdf[count as usize]);
            near(1.0 - ahead.at_least(count + 1), case.cdf[count as usize]);
        }
        near(ahead.p_none(), case.pmf[0]);
        let counts = [0.05, 0.1, 0.5, 0.9, 0.95].map(|p| ahead.quantile(p).unwrap());
        assert_eq!(counts, case.count_q);
    }
}

#[test]
fn greater_of_two_rates_is_the_integral_of_r() {
    for pair in expected().greater {
        let [a, b] = [pair.a, pair.b].map(|[shape, rate]| Rate::new(shape, rate).unwrap());
        near(a.exceeds(b), pair.p);
    }
}
