//! From a header to what each column means: by flag, by name, by profile, by custom.

use super::ProfileUsed;
use super::profile::{self, Profile};
use super::units::{Dimension, Role, Unit, unit};
use crate::FormatError;
use serde::Serialize;

/// What the caller says about one column, over anything its name or a profile says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColumnOverride {
    /// Name in the header; case and surrounding spaces do not matter.
    pub column: String,
    /// What it is, when its name does not say.
    pub role: Option<Role>,
    /// Its unit, such as `ft`.
    pub unit: Option<String>,
}

impl ColumnOverride {
    /// Reads `NAME=UNIT`, `NAME=ROLE`, `NAME=ROLE UNIT` or `NAME=ignore`.
    ///
    /// ```
    /// use formats::delimited::{ColumnOverride, Role};
    /// let said = ColumnOverride::parse("Rate=flow kg/s")?;
    /// assert_eq!((said.role, said.unit.as_deref()), (Some(Role::Flow), Some("kg/s")));
    /// assert!(ColumnOverride::parse("dist=parsecs").is_err());
    /// # Ok::<(), formats::FormatError>(())
    /// ```
    ///
    /// # Errors
    /// A text without `=`, or with words that are neither a role nor a unit.
    pub fn parse(text: &str) -> Result<Self, FormatError> {
        let wrong = || FormatError::Override {
            found: text.chars().take(80).collect(),
            expected: "NAME=UNIT, NAME=ROLE or NAME=ROLE UNIT, such as dist=ft or rate=flow lb/s"
                .into(),
        };
        let (column, meaning) = text.rsplit_once('=').ok_or_else(wrong)?;
        let meaning = meaning.trim().to_lowercase();
        let (first, rest) = meaning.split_once([' ', ':']).unwrap_or((&meaning, ""));
        let (role, said) = match Role::named(first) {
            Some(role) => (Some(role), rest.trim()),
            None => (None, meaning.as_str()),
        };
        if column.trim().is_empty() || (role.is_none() && said.is_empty()) {
            return Err(wrong());
        }
        if !said.is_empty() {
            let known = unit(said).ok_or_else(wrong)?;
            if role.is_some_and(|role| role.dimension() != known.dimension) {
                return Err(wrong());
            }
        }
        Ok(Self {
            column: column.trim().to_string(),
            role,
            unit: (!said.is_empty()).then(|| said.to_string()),
        })
    }
}

/// Who said what a column's unit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Said {
    /// The caller.
    Flag,
    /// The column's own name.
    Name,
    /// A reader profile that knows this header: an assumption, to be shown.
    Profile,
    /// Nobody; the only usual unit was taken: an assumption, to be shown.
    Usual,
    /// It needs none (or is not read).
    NotNeeded,
}

/// How one column was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ColumnReading {
    /// Name in the file.
    pub column: String,
    /// What it was taken for; `None` when it is not read.
    pub role: Option<Role>,
    /// Its unit.
    pub unit: Option<String>,
    /// Who said so.
    pub said: Said,
}

/// One column to read: where, what, and its factor to SI.
#[derive(Debug, Clone, Copy)]
pub(super) struct Action {
    pub(super) role: Role,
    pub(super) to_si: f64,
}

/// How to read every row.
#[derive(Debug)]
pub(super) struct Layout {
    /// One per column; `None` is skipped.
    pub(super) actions: Vec<Option<Action>>,
    pub(super) readings: Vec<ColumnReading>,
    pub(super) profile: Option<&'static Profile>,
}

impl Layout {
    pub(super) fn has(&self, role: Role) -> bool {
        self.readings.iter().any(|r| r.role == Some(role))
    }
}

/// Decides what each column is.
pub(super) fn resolve(
    file: &str,
    header: &[String],
    overrides: &[ColumnOverride],
    interval_s: Option<f64>,
) -> Result<Layout, FormatError> {
    let refuse = |what: String| FormatError::Columns {
        file: file.to_string(),
        what,
    };
    for said in overrides {
        if !header.iter().any(|name| same(name, &said.column)) {
            return Err(refuse(format!(
                "found no column '{}', expected one of: {}",
                said.column,
                listed(header)
            )));
        }
    }
    let profile = profile::matching(header);
    let mut layout = Layout {
        actions: Vec::new(),
        readings: Vec::new(),
        profile: None,
    };
    for name in header {
        let said = overrides.iter().rfind(|o| same(name, &o.column));
        let (role, unit, by) = meaning(name, said, profile).map_err(&refuse)?;
        if by == Said::Profile {
            layout.profile = profile;
        }
        let read = role.filter(|r| *r != Role::Ignore);
        layout.actions.push(read.map(|role| Action {
            role,
            to_si: unit.map_or(1.0, |u| u.to_si),
        }));
        layout.readings.push(ColumnReading {
            column: name.clone(),
            role: read,
            unit: unit.map(|u| u.symbol.to_string()),
            said: by,
        });
    }
    drop_elevation_without_unit(&mut layout);
    complete(&layout, interval_s)
        .map_err(|what| refuse(format!("{what}; its columns are: {}", listed(header))))?;
    Ok(layout)
}

type Meaning = (Option<Role>, Option<Unit>, Said);

fn meaning(
    name: &str,
    said: Option<&ColumnOverride>,
    profile: Option<&'static Profile>,
) -> Result<Meaning, String> {
    let (named_role, named_unit) = by_name(name);
    let from_profile = profile.and_then(|p| p.column(name));
    let flag_unit = match said.and_then(|s| s.unit.as_deref()) {
        Some(text) => {
            Some(unit(text).ok_or_else(|| format!("column '{name}': no unit '{text}' is known"))?)
        }
        None => None,
    };
    let mut role = said
        .and_then(|s| s.role)
        .or(if named_unit.is_some() {
            named_role
        } else {
            None
        })
        .or(from_profile.map(|c| c.role))
        .or(named_role);
    // a mass with a unit of flow is a flow, and the other way round
    if let (Some(Role::Mass | Role::Flow), Some(unit)) = (role, flag_unit.or(named_unit))
        && said.is_none_or(|s| s.role.is_none())
    {
        role = match unit.dimension {
            Dimension::Flow => Some(Role::Flow),
            Dimension::Mass => Some(Role::Mass),
            _ => role,
        };
    }
    let Some(what) = role else {
        return match flag_unit {
            Some(_) => Err(format!(
                "column '{name}': its name does not say what it is; say both, such as {name}=flow lb/s"
            )),
            None => Ok((None, None, Said::NotNeeded)),
        };
    };
    if what.dimension() == Dimension::Plain {
        return Ok((role, None, Said::NotNeeded));
    }
    let profile_unit = from_profile
        .filter(|c| c.role == what)
        .and_then(|c| unit(&c.unit));
    let (chosen, by) = match (flag_unit, named_unit, profile_unit, what.usual()) {
        (Some(unit), ..) => (unit, Said::Flag),
        (_, Some(unit), ..) => (unit, Said::Name),
        (_, _, Some(unit), _) => (unit, Said::Profile),
        (.., Some(unit)) => (unit, Said::Usual),
        (None, None, None, None) => return Ok((role, None, Said::NotNeeded)),
    };
    if chosen.dimension != what.dimension() {
        return Err(format!(
            "column '{name}': {} is no unit of {}",
            chosen.symbol,
            what.word()
        ));
    }
    Ok((role, Some(chosen), by))
}

/// What a name says: `dist_in`, `Distance(ft)`, `mass lb/s`, `moist %`, `seconds`.
fn by_name(name: &str) -> (Option<Role>, Option<Unit>) {
    let lower = name.trim().to_lowercase();
    if let Some((base, rest)) = lower.split_once(['(', '[', '{']) {
        let inside = rest.trim_end_matches([')', ']', '}', ' ']);
        let role = Role::of_name(&spaced(base));
        return (role, role.and_then(|r| fitting(r, inside)));
    }
    let bare = spaced(&lower);
    if let Some(role) = Role::of_name(&bare) {
        let own = matches!(bare.as_str(), "seconds" | "secs")
            .then(|| unit("s"))
            .flatten();
        return (Some(role), own);
    }
    let words: Vec<&str> = bare.split(' ').collect();
    for unit_words in (1..=3).rev().filter(|k| *k < words.len()) {
        let (base, last) = words.split_at(words.len() - unit_words);
        if let Some(role) = Role::of_name(&base.join(" "))
            && let Some(unit) = fitting(role, &last.join(" "))
        {
            return (Some(role), Some(unit));
        }
    }
    (None, None)
}

fn fitting(role: Role, text: &str) -> Option<Unit> {
    unit(text).filter(|u| {
        u.dimension == role.dimension()
            || (matches!(role, Role::Mass | Role::Flow)
                && matches!(u.dimension, Dimension::Mass | Dimension::Flow))
    })
}

fn spaced(text: &str) -> String {
    text.split(|c: char| c.is_whitespace() || matches!(c, '_' | '-' | '.'))
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// The units that nobody said and that were assumed, in one sentence to print.
pub(crate) fn assumptions(
    columns: &[ColumnReading],
    profile: Option<&ProfileUsed>,
) -> Option<String> {
    let assumed: Vec<String> = columns
        .iter()
        .filter(|c| matches!(c.said, Said::Profile | Said::Usual))
        .map(|c| {
            let unit = c.unit.as_deref().unwrap_or("no unit");
            // the one word that decides the total: flow or mass
            match c.role {
                Some(role @ (Role::Flow | Role::Mass)) => {
                    format!("{} {unit} ({})", c.column, role.word())
                }
                _ => format!("{} {unit}", c.column),
            }
        })
        .collect();
    let by = profile.map_or_else(String::new, |p| format!("reader profile {} ", p.name));
    (!assumed.is_empty()).then(|| format!("{by}assumed: {}", assumed.join(", ")))
}

/// Whether a column's name says that it is a longitude or a latitude.
pub(crate) fn is_position(name: &str) -> bool {
    matches!(by_name(name).0, Some(Role::Longitude | Role::Latitude))
}

pub(super) fn same(a: &str, b: &str) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

/// Elevation is not in any total: without a unit it is left out rather than asked for.
fn drop_elevation_without_unit(layout: &mut Layout) {
    for (action, reading) in layout.actions.iter_mut().zip(&mut layout.readings) {
        if reading.role == Some(Role::Elevation) && reading.unit.is_none() {
            *action = None;
            reading.role = None;
        }
    }
}

/// Whether the columns are enough to add up points, each said once and with a unit.
fn complete(layout: &Layout, interval_s: Option<f64>) -> Result<(), String> {
    for (i, reading) in layout.readings.iter().enumerate() {
        let Some(role) = reading.role else { continue };
        if let Some(other) = layout.readings[..i].iter().find(|r| r.role == Some(role)) {
            return Err(format!(
                "columns '{}' and '{}' both say {}; set one to ignore, as in {}=ignore",
                other.column,
                reading.column,
                role.word(),
                reading.column
            ));
        }
        if role.dimension() != Dimension::Plain && reading.unit.is_none() {
            return Err(format!(
                "column '{}' is a {} without a unit; say it, as in {}={}",
                reading.column,
                role.word(),
                reading.column,
                example(role)
            ));
        }
    }
    let timed = layout.has(Role::Interval) || interval_s.is_some();
    for role in [Role::Longitude, Role::Latitude] {
        if !layout.has(role) {
            return Err(format!(
                "found no column for {}; name it, as in NAME={}",
                role.word(),
                role.word()
            ));
        }
    }
    if !layout.has(Role::Mass) && !layout.has(Role::Flow) {
        return Err("found no column for the grain, expected a mass or a flow; name it, as in NAME=flow lb/s".into());
    }
    if !layout.has(Role::Distance) && !layout.has(Role::Speed) {
        return Err(
            "found no column for distance or speed; name it, as in NAME=distance in".into(),
        );
    }
    if !timed && (!layout.has(Role::Mass) || !layout.has(Role::Distance)) {
        return Err(
            "a flow or a speed needs to know how long a record is: name that column, as in NAME=interval s, or give one interval for the whole file"
                .into(),
        );
    }
    Ok(())
}

fn example(role: Role) -> &'static str {
    match role {
        Role::Flow => "lb/s",
        Role::Mass => "lb",
        Role::Speed => "mph",
        Role::Interval => "s",
        _ => "ft",
    }
}

/// Names for a message: at most twelve, each shortened.
pub(super) fn listed(header: &[String]) -> String {
    let mut names: Vec<String> = header
        .iter()
        .take(12)
        .map(|name| name.chars().filter(|c| !c.is_control()).take(24).collect())
        .collect();
    if header.len() > 12 {
        names.push(format!("and {} more", header.len() - 12));
    }
    names.join(", ")
}
