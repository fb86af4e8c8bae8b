//! Hectares an hour, and what takes from them.

use crate::MachineError;
use crate::error::above_zero;

const HA_PER_H: f64 = 0.36;

/// Hectares an hour: 0.36 x speed x width x efficiency, with meters a second and meters
/// (in acres: mph x ft x efficiency / 8.25, Iowa State University PM 696).
///
/// ```
/// // 3.5 mph, eight rows of 30 inches, 70 %: 5.94 acres an hour
/// let made = machine::capacity::ha_per_h(3.5 * 0.44704, 20.0 * 0.3048, 0.70)?;
/// assert!((made / 0.404_685_642_24 - 5.939).abs() < 0.001);
/// # Ok::<(), machine::MachineError>(())
/// ```
///
/// # Errors
/// Figures that cannot be meant.
pub fn ha_per_h(speed_m_s: f64, cut_m: f64, efficiency: f64) -> Result<f64, MachineError> {
    Ok(HA_PER_H
        * above_zero("speed", speed_m_s, "m/s")?
        * above_zero("width of cut", cut_m, "m")?
        * share(efficiency)?)
}

fn share(efficiency: f64) -> Result<f64, MachineError> {
    if efficiency > 0.0 && efficiency <= 1.0 {
        return Ok(efficiency);
    }
    Err(MachineError::odd(
        "field efficiency",
        format!("{} %", efficiency * 100.0),
        "more than 0 and at most 100 %",
    ))
}

/// Field efficiency at a speed: 1 / (1 + c v tau). It falls as speed rises, for turning and unloading
/// take as long as before.
///
/// # Errors
/// Figures that cannot be meant.
pub fn efficiency(speed_m_s: f64, cut_m: f64, standing_h_per_ha: f64) -> Result<f64, MachineError> {
    let made = ha_per_h(speed_m_s, cut_m, 1.0)?;
    if standing_h_per_ha.is_finite() && standing_h_per_ha >= 0.0 {
        return Ok(1.0 / (1.0 + made * standing_h_per_ha));
    }
    Err(MachineError::odd(
        "hours of turning",
        standing_h_per_ha,
        "a number of 0 or more",
    ))
}

/// Hours a hectare of turning, unloading and waiting in an efficiency stated at a speed: (1/e - 1)/(c v).
///
/// # Errors
/// Figures that cannot be meant.
pub fn standing_from_efficiency(
    speed_m_s: f64,
    cut_m: f64,
    efficiency: f64,
) -> Result<f64, MachineError> {
    Ok((1.0 / share(efficiency)? - 1.0) / ha_per_h(speed_m_s, cut_m, 1.0)?)
}

/// Hours a hectare of turning: a turn's seconds over what a pass of that length cuts.
///
/// # Errors
/// Figures that cannot be meant.
pub fn turning_h_per_ha(turn_s: f64, pass_m: f64, cut_m: f64) -> Result<f64, MachineError> {
    let cut_ha = above_zero("length of a pass", pass_m, "m")?
        * above_zero("width of cut", cut_m, "m")?
        / 10_000.0;
    Ok(above_zero("seconds of a turn", turn_s, "s")? / 3_600.0 / cut_ha)
}

/// Hours a hectare of unloading while standing: minutes a tank over the hectares that fill it.
///
/// # Errors
/// Figures that cannot be meant.
pub fn unloading_h_per_ha(
    unload_min: f64,
    yield_kg_per_ha: f64,
    tank_kg: f64,
) -> Result<f64, MachineError> {
    Ok(
        above_zero("minutes of an unload", unload_min, "min")? / 60.0
            * above_zero("yield", yield_kg_per_ha, "kg/ha")?
            / above_zero("grain tank", tank_kg, "kg")?,
    )
}

/// Width that is really cut, meters: hectares of the field over the length of all passes.
/// Usually 2 to 5 % under the head's own (our guess), for passes overlap.
///
/// # Errors
/// Figures that cannot be meant.
pub fn cut_m_by_area(field_ha: f64, passes_m: f64) -> Result<f64, MachineError> {
    Ok(above_zero("area of the field", field_ha, "ha")? * 10_000.0
        / above_zero("length of all passes", passes_m, "m")?)
}

/// Speed over a measured stretch, meters a second; 88 feet in 12 seconds is 5 mph (Iowa State AgDM A3-24).
///
/// # Errors
/// Figures that cannot be meant.
pub fn speed_by_stakes(apart_m: f64, seconds: f64) -> Result<f64, MachineError> {
    Ok(above_zero("distance between the stakes", apart_m, "m")?
        / above_zero("seconds between the stakes", seconds, "s")?)
}

/// Hours of cutting left.
///
/// # Errors
/// Figures that cannot be meant.
pub fn hours_left(left_ha: f64, ha_per_h: f64) -> Result<f64, MachineError> {
    Ok(above_zero("area left", left_ha, "ha")? / above_zero("hectares an hour", ha_per_h, "ha/h")?)
}

#[cfg(test)]
mod tests {
    use super::*;

    const MPH: f64 = 0.447_04;
    const FT: f64 = 0.304_8;
    const AC: f64 = 0.404_685_642_24;

    #[test]
    fn a_stated_efficiency_falls_with_speed() {
        let tau = standing_from_efficiency(3.5 * MPH, 20.0 * FT, 0.70).unwrap();
        assert!((tau * AC - 0.050_510_2).abs() < 1e-6, "{}", tau * AC);
        let at_five = efficiency(5.0 * MPH, 20.0 * FT, tau).unwrap();
        assert!((at_five - 0.620_253).abs() < 1e-6);
        let made = ha_per_h(5.0 * MPH, 20.0 * FT, at_five).unwrap() / AC;
        assert!((made - 7.518_22).abs() < 1e-4, "{made}");
        // keeping 70 % would promise almost an acre an hour more
        assert!((ha_per_h(5.0 * MPH, 20.0 * FT, 0.70).unwrap() / AC - 8.484_85).abs() < 1e-4);
    }

    #[test]
    fn width_comes_back_from_the_field() {
        // 40 passes of 400 m that cut 6 m: 9.6 ha
        assert!((cut_m_by_area(9.6, 16_000.0).unwrap() - 6.0).abs() < 1e-12);
        // a turn of 36 s after each 400 m x 6 m = 0.24 ha: 0.01 h / 0.24 ha
        assert!((turning_h_per_ha(36.0, 400.0, 6.0).unwrap() - 0.01 / 0.24).abs() < 1e-12);
        // 3 min a tank of 6,000 kg at 3,000 kg/ha: 2 ha a tank
        assert!((unloading_h_per_ha(3.0, 3_000.0, 6_000.0).unwrap() - 0.025).abs() < 1e-12);
    }

    #[test]
    fn impossible_figures_are_refused() {
        assert!(ha_per_h(1.0, 6.0, 1.2).is_err());
        assert!(ha_per_h(-1.0, 6.0, 0.7).is_err());
        assert!(hours_left(f64::NAN, 1.0).is_err());
        assert!(speed_by_stakes(26.8, 0.0).is_err());
    }
}
