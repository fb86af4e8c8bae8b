//! One row to one point, or to a finding.

use super::columns::Layout;
use super::fields::{Fields, needed, numeric, sensible};
use super::number;
use super::split::{self, Dialect, OpenQuote};
use super::units::Role;
use crate::limits::{MOST_KG, MOST_KG_S, MOST_M, MOST_MOISTURE, MOST_S, MOST_WIDTH_M};
use track::{Done, Finding, FindingKind, RawPoint};

/// How to turn rows of one file into points.
#[derive(Debug)]
pub(super) struct RowReader {
    dialect: Dialect,
    /// Per column: what it is and its factor to SI.
    actions: Vec<Option<(Role, f64)>>,
    names: Vec<String>,
    /// Roles that a row must have, with their columns, in the order of the file.
    needed: Vec<(Role, usize)>,
    interval_s: Option<f64>,
}

/// What became of one row.
pub(super) enum Row<'a> {
    /// A point, the name of its load if any, and what was odd about it.
    Point(RawPoint, Option<&'a [u8]>, Option<Finding>),
    Bad(Finding),
}

/// Where a row is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub(super) row: u64,
    /// `None` for rows of a table that is not text.
    pub(super) byte: Option<u64>,
}

impl Place {
    /// Goes on by so many bytes.
    pub(super) fn pass(&mut self, bytes: u64) {
        if let Some(byte) = &mut self.byte {
            *byte += bytes;
        }
    }

    pub(super) fn set_aside(
        self,
        kind: FindingKind,
        what: String,
        mass_kg: Option<f64>,
    ) -> Finding {
        Finding {
            row: Some(self.row),
            byte: self.byte,
            kind,
            what,
            done: Done::SetAside,
            mass_kg,
        }
    }

    fn kept(self, kind: FindingKind, what: String) -> Finding {
        Finding {
            row: Some(self.row),
            byte: self.byte,
            kind,
            what,
            done: Done::Kept,
            mass_kg: None,
        }
    }
}

/// Buffers reused from row to row.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    quoted: Vec<u8>,
    load: Vec<u8>,
}

impl RowReader {
    pub(super) fn new(layout: &Layout, dialect: Dialect, interval_s: Option<f64>) -> Self {
        let actions: Vec<_> = layout
            .actions
            .iter()
            .map(|a| a.map(|a| (a.role, a.to_si)))
            .collect();
        let needed = actions
            .iter()
            .enumerate()
            .filter_map(|(column, action)| action.map(|(role, _)| (role, column)))
            .filter(|(role, _)| needed(*role))
            .collect();
        let names = layout.readings.iter().map(|r| r.column.clone()).collect();
        Self {
            dialect,
            actions,
            names,
            needed,
            interval_s,
        }
    }

    /// Reads one row (no line end); `quoted` says that quotes may be in it.
    pub(super) fn read<'a>(
        &self,
        record: &[u8],
        quoted: bool,
        place: Place,
        scratch: &'a mut Scratch,
    ) -> Row<'a> {
        let mut fields = Fields::default();
        let split = if quoted {
            self.split_quoted(record, &mut fields, scratch)
        } else {
            self.split_plain(record, &mut fields, scratch);
            Ok(())
        };
        if split.is_err() {
            let what = "a quoted field never closes, expected a second quote".to_string();
            return Row::Bad(place.set_aside(FindingKind::OpenQuote, what, None));
        }
        if let Err((kind, what)) = self.judge(&fields) {
            return Row::Bad(place.set_aside(kind, what, self.mass(&fields).ok()));
        }
        let mass_kg = self.mass(&fields).expect("judged just now");
        let interval = fields.get(Role::Interval).or(self.interval_s);
        let distance_m = fields
            .get(Role::Distance)
            .or_else(|| Some(fields.get(Role::Speed)? * interval?))
            .expect("judged just now");
        let point = RawPoint {
            row: place.row,
            longitude_deg: fields.values[Role::Longitude as usize],
            latitude_deg: fields.values[Role::Latitude as usize],
            mass_kg,
            interval_s: interval.unwrap_or(0.0),
            distance_m,
            moisture: fields.get(Role::Moisture),
            time_s: fields.get(Role::Time),
            width_m: fields.get(Role::Width).map(|w| w as f32),
            elevation_m: fields.get(Role::Elevation).map(|e| e as f32),
            head: fields.head,
            load: None,
            pass: fields.pass,
        };
        let odd = match &fields.odd {
            Some(fault) => Some(place.kept(
                FindingKind::OptionalField,
                format!(
                    "{} is '{}', which cannot be read; the record is kept without it",
                    self.names[fault.column], fault.text
                ),
            )),
            None if !record.is_ascii() && std::str::from_utf8(record).is_err() => Some(place.kept(
                FindingKind::NotUtf8,
                "bytes that are not UTF-8 in a column that is not needed".into(),
            )),
            None => None,
        };
        Row::Point(
            point,
            fields.has_load.then_some(scratch.load.as_slice()),
            odd,
        )
    }

    fn split_quoted(
        &self,
        record: &[u8],
        fields: &mut Fields,
        scratch: &mut Scratch,
    ) -> Result<(), OpenQuote> {
        let load = &mut scratch.load;
        split::fields(record, self.dialect, &mut scratch.quoted, |column, text| {
            fields.columns = column + 1;
            if let Some(Some((role, to_si))) = self.actions.get(column) {
                fields.take(
                    column,
                    *role,
                    *to_si,
                    text,
                    self.dialect.decimal_comma,
                    load,
                );
            }
        })
    }

    /// As [`Self::split_quoted`] for a row without quotes: most fields are split and read in one go.
    fn split_plain(&self, record: &[u8], fields: &mut Fields, scratch: &mut Scratch) {
        let Dialect {
            delimiter,
            decimal_comma,
            ..
        } = self.dialect;
        let mut rest = record;
        for (column, action) in self.actions.iter().enumerate() {
            fields.columns = column + 1;
            let end = match *action {
                Some((role, to_si)) if numeric(role) => {
                    match number::leading(rest, delimiter, decimal_comma) {
                        Some((value, end)) => {
                            let value = value * to_si;
                            if !needed(role) && !sensible(role, value) {
                                fields.oddly(column, &rest[..end]);
                            } else {
                                fields.put(role, value);
                            }
                            end
                        }
                        None => self.take_whole(rest, column, role, to_si, fields, scratch),
                    }
                }
                Some((role, to_si)) => self.take_whole(rest, column, role, to_si, fields, scratch),
                None => rest
                    .iter()
                    .position(|b| *b == delimiter)
                    .unwrap_or(rest.len()),
            };
            match rest.get(end + 1..) {
                Some(after) => rest = after,
                None => break,
            }
        }
    }

    fn take_whole(
        &self,
        rest: &[u8],
        column: usize,
        role: Role,
        to_si: f64,
        fields: &mut Fields,
        scratch: &mut Scratch,
    ) -> usize {
        let end = rest
            .iter()
            .position(|b| *b == self.dialect.delimiter)
            .unwrap_or(rest.len());
        fields.take(
            column,
            role,
            to_si,
            &rest[..end],
            self.dialect.decimal_comma,
            &mut scratch.load,
        );
        end
    }

    /// What is wrong with a row, if anything, in the order a reader would look.
    fn judge(&self, fields: &Fields) -> Result<(), (FindingKind, String)> {
        if let Some(&(_, column)) = self
            .needed
            .iter()
            .find(|(_, column)| *column >= fields.columns)
        {
            return Err((
                FindingKind::TooFewFields,
                format!(
                    "{} fields, expected at least {} (no {})",
                    fields.columns,
                    column + 1,
                    self.names[column]
                ),
            ));
        }
        if let Some(fault) = &fields.fatal {
            let name = &self.names[fault.column];
            let what = match fault.kind {
                FindingKind::Empty => format!("{name} is empty, expected a number"),
                FindingKind::NotUtf8 => {
                    format!("{name} holds bytes that are not UTF-8, expected a number")
                }
                _ => format!("{name} is '{}', expected a number", fault.text),
            };
            return Err((fault.kind, what));
        }
        let get = |role: Role| fields.values[role as usize];
        let (longitude, latitude) = (get(Role::Longitude), get(Role::Latitude));
        if longitude.abs() > 180.0 || latitude.abs() > 90.0 {
            return Err((
                FindingKind::OffEarth,
                format!(
                    "position {} {}, expected longitude -180 to 180 and latitude -90 to 90",
                    brief(longitude),
                    brief(latitude)
                ),
            ));
        }
        if longitude == 0.0 && latitude == 0.0 {
            return Err((
                FindingKind::NoFix,
                "position 0 0: the receiver had no fix".into(),
            ));
        }
        let limits = [
            (
                Role::Moisture,
                FindingKind::Moisture,
                0.0,
                MOST_MOISTURE,
                100.0,
                "%",
            ),
            (Role::Distance, FindingKind::Distance, 0.0, MOST_M, 1.0, "m"),
            (Role::Speed, FindingKind::Distance, 0.0, MOST_M, 1.0, "m/s"),
            (
                Role::Interval,
                FindingKind::Interval,
                f64::MIN_POSITIVE,
                MOST_S,
                1.0,
                "s",
            ),
            (Role::Width, FindingKind::Width, 0.0, MOST_WIDTH_M, 1.0, "m"),
        ];
        for (role, kind, low, high, shown, unit) in limits {
            if let Some(value) = fields.get(role)
                && !(low..=high).contains(&value)
            {
                let above = if low > 0.0 { "above 0" } else { "0" };
                return Err((
                    kind,
                    format!(
                        "{} {} {unit}, expected {above} to {} {unit}",
                        role.word(),
                        brief(value * shown),
                        high * shown
                    ),
                ));
            }
        }
        self.mass(fields)
            .map(|_| ())
            .map_err(|what| (FindingKind::Mass, what))
    }

    /// Mass of the record, kg, if it can be told.
    fn mass(&self, fields: &Fields) -> Result<f64, String> {
        if let Some(mass) = fields.get(Role::Mass) {
            return if (0.0..=MOST_KG).contains(&mass) {
                Ok(mass)
            } else {
                Err(format!(
                    "mass {} kg, expected 0 to {MOST_KG} kg in one record",
                    brief(mass)
                ))
            };
        }
        let flow = fields.get(Role::Flow).ok_or("no flow")?;
        if !(0.0..=MOST_KG_S).contains(&flow) {
            return Err(format!(
                "flow {} kg/s, expected 0 to {MOST_KG_S} kg/s",
                brief(flow)
            ));
        }
        let interval = fields
            .get(Role::Interval)
            .or(self.interval_s)
            .ok_or("no interval")?;
        if interval > 0.0 && interval <= MOST_S && flow * interval <= MOST_KG {
            Ok(flow * interval)
        } else {
            Err(format!(
                "{} kg/s for {} s, expected at most {MOST_KG} kg in one record",
                brief(flow),
                brief(interval)
            ))
        }
    }
}

/// A number for a message, short even when it is absurd.
fn brief(value: f64) -> String {
    if value == 0.0 || (1e-4..1e7).contains(&value.abs()) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}
