//! The speed of least cost, its bands, and the cap that binds.

use super::cost::{Cost, Costs, HA_PER_H, Time, at};
use crate::MachineError;
use crate::error::above_zero;
use serde::{Deserialize, Serialize};

/// What may keep the machine slower than the best speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CapKind {
    /// Rough ground or slopes.
    RoughGround,
    /// The head feeds no more.
    Head,
    /// The engine pulls no more.
    Power,
    /// The straw walkers or the rotor pass no more.
    Walkers,
    /// The operator wants no more.
    Operator,
    /// The wagons take no more away.
    Haul,
    /// Nobody counted losses near that speed.
    Counted,
}

/// A speed that is not to be passed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Cap {
    /// What it is.
    pub kind: CapKind,
    /// The speed, meters a second.
    pub speed_m_s: f64,
}

/// Speeds between which the cost stays within an allowance of the least.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// Slow end, meters a second.
    pub low_m_s: f64,
    /// Fast end, not past any cap, meters a second.
    pub high_m_s: f64,
}

/// What driving at another speed costs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Present {
    /// The cost there.
    pub cost: Cost,
    /// More than at the best speed, money a hectare.
    pub more_money_per_ha: f64,
    /// The same by the hour, at the hectares an hour of the speed driven now.
    pub more_money_per_h: f64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Best {
    /// The speed to drive: of least cost under the caps.
    pub cost: Cost,
    /// The speed of least cost were there no cap, meters a second.
    pub free_m_s: f64,
    /// The cap that binds.
    pub binds: Option<Cap>,
    /// Within 2 % of the part of the cost that speed changes.
    pub within_2_pct: Band,
    /// Within the asked money a hectare.
    pub within_money: Band,
    /// The speed driven now, where it is known.
    pub present: Option<Present>,
}

/// The root of a rising function between two ends that enclose it, by halving.
fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..200 {
        let middle = low.midpoint(high);
        if middle <= low || middle >= high {
            break;
        }
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low.midpoint(high)
}

/// The speed of least cost with no cap: where the slope is nothing. v^2 J'(v) rises with v, so there is one.
pub(crate) fn free(costs: &Costs) -> f64 {
    let (mut low, mut high) = (costs.machine.at_m_s, costs.machine.at_m_s);
    while costs.tilt(low) > 0.0 && low > 1e-9 {
        low /= 2.0;
    }
    while costs.tilt(high) < 0.0 && high < 1e9 {
        high *= 2.0;
    }
    root(low, high, |v| costs.tilt(v))
}

fn band(costs: &Costs, best: f64, free: f64, cap: f64, allowed: f64) -> Band {
    let most = costs.money_per_ha(best) + allowed;
    let over = |v: f64| costs.money_per_ha(v) - most;
    let mut slow = best;
    while over(slow) < 0.0 && slow > 1e-9 {
        slow /= 2.0;
    }
    let mut fast = free.max(best);
    while over(fast) < 0.0 && fast < 1e9 {
        fast *= 2.0;
    }
    Band {
        low_m_s: root(slow, best, |v| -over(v)),
        high_m_s: root(free.max(best), fast, over).min(cap),
    }
}

/// The speed of least cost under caps, and how flat it is.
///
/// `allowed_per_ha` is the money a hectare within which two speeds are as good as one another;
/// `present_m_s` the speed driven now.
///
/// # Errors
/// Figures that cannot be meant.
pub fn best(
    costs: &Costs,
    caps: &[Cap],
    allowed_per_ha: f64,
    present_m_s: Option<f64>,
) -> Result<Best, MachineError> {
    costs.check()?;
    above_zero("money within which speeds are alike", allowed_per_ha, "")?;
    for cap in caps {
        above_zero("speed that is not to be passed", cap.speed_m_s, "m/s")?;
    }
    let free_m_s = free(costs);
    let lowest = caps
        .iter()
        .copied()
        .min_by(|a, b| a.speed_m_s.total_cmp(&b.speed_m_s));
    let binds = lowest.filter(|cap| cap.speed_m_s < free_m_s);
    let drive = binds.map_or(free_m_s, |cap| cap.speed_m_s);
    let cap = lowest.map_or(f64::INFINITY, |cap| cap.speed_m_s);
    let cost = at(costs, drive);
    let present = match present_m_s {
        None => None,
        Some(speed) => {
            let now = at(costs, above_zero("speed driven now", speed, "m/s")?);
            let more = now.money_per_ha - cost.money_per_ha;
            Some(Present {
                cost: now,
                more_money_per_ha: more,
                more_money_per_h: more * now.ha_per_h,
            })
        }
    };
    Ok(Best {
        cost,
        free_m_s,
        binds,
        within_2_pct: band(
            costs,
            drive,
            free_m_s,
            cap,
            0.02 * cost.depends_money_per_ha,
        ),
        within_money: band(costs, drive, free_m_s, cap, allowed_per_ha),
        present,
    })
}

/// The speed at which the machine makes what the wagons take, meters a second: 1/(c (1/R - tau)).
/// Faster only adds waiting. `None` where they take more than any speed can make.
///
/// # Errors
/// Figures that cannot be meant.
pub fn haul_cap(time: Time, wagons_ha_per_h: f64) -> Result<Option<Cap>, MachineError> {
    let hours =
        1.0 / above_zero("what the wagons take", wagons_ha_per_h, "ha/h")? - time.standing_h_per_ha;
    let cut = above_zero("width of cut", time.cut_m, "m")?;
    Ok((hours > 0.0).then(|| Cap {
        kind: CapKind::Haul,
        speed_m_s: 1.0 / (HA_PER_H * cut * hours),
    }))
}

/// The speed of most money per hour.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct HourLimited {
    /// The speed and its cost a hectare, with the lost hours' value in it.
    pub cost: Cost,
    /// The best net money an hour, G*: what an hour is worth when uncut acres are lost.
    pub net_money_per_h: f64,
}

/// The speed of most money per hour. **Right only where uncut acres will truly be lost**: it drives faster
/// and leaves more grain. It is the fixed-acre speed once an hour finished sooner is worth G*, and is found
/// that way (Dinkelbach's steps), whatever value of an hour was given.
///
/// # Errors
/// Figures that cannot be meant, or a yield that no speed brings home.
pub fn hour_limited(costs: &Costs, yield_kg_per_ha: f64) -> Result<HourLimited, MachineError> {
    costs.check()?;
    above_zero("yield", yield_kg_per_ha, "kg/ha")?;
    let mut costs = costs.clone();
    let mut worth = 0.0_f64;
    for _ in 0..200 {
        costs.time.sooner_money_per_h = worth;
        let speed = free(&costs);
        let cost = at(&costs, speed);
        let kept = yield_kg_per_ha - cost.machine_kg_per_ha - cost.head_kg_per_ha;
        let net = cost.ha_per_h * costs.price_per_kg * kept - costs.time.money_per_h;
        if !(net.is_finite() && net > 0.0) {
            return Err(MachineError::Refused(
                "at no speed does an hour bring in more than it costs; check price, yield and cost of an hour".into(),
            ));
        }
        if (net - worth).abs() <= 1e-12 * net {
            return Ok(HourLimited {
                cost,
                net_money_per_h: net,
            });
        }
        worth = net;
    }
    Ok(HourLimited {
        cost: at(&costs, free(&costs)),
        net_money_per_h: worth,
    })
}
