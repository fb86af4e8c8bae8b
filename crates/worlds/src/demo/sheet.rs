//! The slips as a farmer might type them into a table.

use crate::paper::{Record, Weight};
use std::fmt::Write as _;

/// A CSV of a record's slips and stocks, times on a clock so many hours behind UTC.
///
/// One row a slip; a weight's column says what it is (gross, tare, net, monitor, guess), its unit is
/// beside it. Several sources are joined by " + ".
pub fn slips_csv(record: &Record, hours_behind: i64) -> String {
    let mut text = String::from(
        "slip,date,time,from,to,crop,gross,tare,net,monitor,guess,unit,scale,moisture %,meter,test weight lb/bu,number,emptied,other\n",
    );
    for slip in &record.slips {
        let (date, time) = clock(slip.at_ms - hours_behind * 3_600_000);
        let some = |value: Option<i64>| value.map(|v| v.to_string()).unwrap_or_default();
        let weights = match &slip.weight {
            Weight::Scale {
                gross,
                tare,
                net,
                unit,
                scale,
                ..
            } => {
                let worked = gross.zip(*tare).is_some();
                let net = if worked {
                    String::new()
                } else {
                    net.to_string()
                };
                format!(
                    "{},{},{net},,,{},{scale:?}",
                    some(*gross),
                    some(*tare),
                    unit.symbol()
                )
            }
            Weight::Monitor { reading, unit, .. } => format!(",,,{reading},,{},", unit.symbol()),
            Weight::Eye { lb, .. } => format!(",,,,{lb},lb,"),
            Weight::Unknown => ",,,,,,".to_owned(),
        };
        let (moisture, meter) = slip.moisture.as_ref().map_or_else(
            || (String::new(), ""),
            |reading| (reading.percent.to_string(), reading.meter.as_str()),
        );
        let other: Vec<String> = slip
            .factors
            .iter()
            .map(|(name, value)| format!("{name} {value}"))
            .collect();
        let _ = writeln!(
            text,
            "{},{date},{time},{},{},{},{weights},{moisture},{meter},{},{},{},{}",
            slip.id,
            slip.from.join(" + "),
            slip.to,
            slip.crop,
            slip.test_weight_lb_bu
                .map(|v| v.to_string())
                .unwrap_or_default(),
            slip.number.as_deref().unwrap_or_default(),
            if slip.empties { "yes" } else { "" },
            other.join("; "),
        );
    }
    text
}

/// Date and minute of milliseconds since 1970, by counting days in 400-year cycles from March.
fn clock(ms: i64) -> (String, String) {
    let days = ms.div_euclid(86_400_000) + 719_468;
    let minute = ms.rem_euclid(86_400_000) / 60_000;
    let cycle = days.div_euclid(146_097);
    let day = days.rem_euclid(146_097);
    let year = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
    let of_year = day - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let of_month = of_year - (153 * month + 2) / 5 + 1;
    let month = if month < 10 { month + 3 } else { month - 9 };
    let year = year + 400 * cycle + i64::from(month <= 2);
    (
        format!("{year:04}-{month:02}-{of_month:02}"),
        format!("{:02}:{:02}", minute / 60, minute % 60),
    )
}

#[cfg(test)]
mod tests {
    use super::clock;

    /// Dates by `date -u -d @N`.
    #[test]
    fn dates_as_the_system_has_them() {
        assert_eq!(clock(0), ("1970-01-01".to_owned(), "00:00".to_owned()));
        assert_eq!(clock(1_753_160_400_000).0, "2025-07-22");
        assert_eq!(clock(951_782_400_000).0, "2000-02-29");
        assert_eq!(
            clock(1_735_689_540_000),
            ("2024-12-31".to_owned(), "23:59".to_owned())
        );
    }
}
