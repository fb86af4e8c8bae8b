//! Ground speed, and mass flow through the machine.

use crate::QuantityError;
use crate::real::real_quantity;
use crate::units::{Units, unit_names};

const SPEED: &str = "a speed with its unit, such as 4.1 mph or 6.5 km/h";
const FLOW: &str = "a mass flow with its unit, such as 12 lb/s, 5.4 kg/s or 20 t/h";

unit_names! {
    /// Units of speed.
    SpeedUnit ("a unit of speed, such as mph, km/h or m/s") {
        /// Meters a second.
        MPerS = "m/s" ["m/s", "mps", "meters per second"],
        /// Statute miles an hour.
        Mph = "mph" ["mph", "mi/h", "miles per hour"],
        /// Kilometers an hour.
        KmPerH = "km/h" ["km/h", "kmh", "kph", "km/hr", "kilometers per hour"],
        /// Feet a second.
        FtPerS = "ft/s" ["ft/s", "fps", "ft/sec", "feet per second"],
    }
}

real_quantity! {
    /// Ground speed in meters a second; never negative.
    ///
    /// ```
    /// use quantity::{Speed, Units};
    /// let speed = Speed::parse("4.1 mph")?;
    /// assert_eq!(speed.show(Units::Metric), "6.6 km/h");
    /// # Ok::<(), quantity::QuantityError>(())
    /// ```
    Speed, SpeedUnit, MPerS, SPEED;
    range 0.0..=90.0, "a speed", "0 mph", "200 mph";
    MPerS = 1.0 / 1.0, from_m_per_s, m_per_s;
    Mph = 44_704.0 / 100_000.0, from_mph, mph;
    KmPerH = 5.0 / 18.0, from_km_per_h, km_per_h;
    FtPerS = 3_048.0 / 10_000.0, from_ft_per_s, ft_per_s;
}

unit_names! {
    /// Units of mass flow.
    FlowUnit ("a unit of mass flow, such as lb/s, kg/s or t/h") {
        /// Kilograms a second.
        KgPerS = "kg/s" ["kg/s", "kg/sec"],
        /// Pounds a second.
        LbPerS = "lb/s" ["lb/s", "lb/sec", "lbs/s", "lbs/sec"],
        /// Tonnes an hour.
        TPerH = "t/h" ["t/h", "t/hr", "tonnes per hour"],
        /// Pounds a minute.
        LbPerMin = "lb/min" ["lb/min", "lbs/min"],
    }
}

real_quantity! {
    /// Mass flow of grain in kilograms a second; never negative.
    ///
    /// ```
    /// use quantity::{MassFlow, Units};
    /// let flow = MassFlow::parse("12 lb/s")?;
    /// assert_eq!(flow.show(Units::Metric), "5.44 kg/s");
    /// # Ok::<(), quantity::QuantityError>(())
    /// ```
    MassFlow, FlowUnit, KgPerS, FLOW;
    range 0.0..=500.0, "a mass flow", "0 lb/s", "1,100 lb/s";
    KgPerS = 1.0 / 1.0, from_kg_per_s, kg_per_s;
    LbPerS = 45_359_237.0 / 100_000_000.0, from_lb_per_s, lb_per_s;
    TPerH = 5.0 / 18.0, from_t_per_h, t_per_h;
    LbPerMin = 45_359_237.0 / 6_000_000_000.0, from_lb_per_min, lb_per_min;
}

impl Speed {
    fn read(text: &str, default: Option<SpeedUnit>) -> Result<Self, QuantityError> {
        Self::read_simple(text, default)
    }

    /// Shown in miles or kilometers an hour, to a tenth.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => self.show_in(SpeedUnit::Mph, 1),
            Units::Metric => self.show_in(SpeedUnit::KmPerH, 1),
        }
    }
}

impl MassFlow {
    fn read(text: &str, default: Option<FlowUnit>) -> Result<Self, QuantityError> {
        Self::read_simple(text, default)
    }

    /// Shown in pounds or kilograms a second, to a hundredth.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => self.show_in(FlowUnit::LbPerS, 2),
            Units::Metric => self.show_in(FlowUnit::KgPerS, 2),
        }
    }
}
