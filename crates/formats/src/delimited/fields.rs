//! What the fields of one row say, field by field.

use super::clock;
use super::number::number;
use super::units::Role;
use track::{FindingKind, Head};

/// Numeric slots: the roles up to `Time`, by their order in [`Role`].
const SLOTS: usize = Role::Time as usize + 1;

/// Something wrong with a field: which column, what kind.
#[derive(Debug, Clone)]
pub(super) struct Fault {
    pub(super) column: usize,
    pub(super) kind: FindingKind,
    pub(super) text: String,
}

/// What the fields of one row say.
#[derive(Debug, Default)]
pub(super) struct Fields {
    pub(super) values: [f64; SLOTS],
    pub(super) seen: u32,
    pub(super) head: Head,
    pub(super) pass: Option<u32>,
    pub(super) has_load: bool,
    pub(super) columns: usize,
    pub(super) fatal: Option<Fault>,
    pub(super) odd: Option<Fault>,
}

/// A role whose value is a number when plainly written.
pub(super) fn numeric(role: Role) -> bool {
    needed(role) || matches!(role, Role::Time | Role::Elevation)
}

/// Whether an optional number can be what it says.
pub(super) fn sensible(role: Role, value: f64) -> bool {
    match role {
        Role::Time => value.abs() < 1e14,
        Role::Elevation => (-500.0..=9_000.0).contains(&value),
        _ => true,
    }
}

/// A role that a row must have when its file has it.
pub(super) fn needed(role: Role) -> bool {
    !matches!(
        role,
        Role::Elevation | Role::Time | Role::Head | Role::Load | Role::Pass | Role::Ignore
    )
}

impl Fields {
    /// A value, when it was there.
    pub(super) fn get(&self, role: Role) -> Option<f64> {
        (self.seen & (1 << role as u32) != 0).then(|| self.values[role as usize])
    }

    /// Takes a value in SI.
    pub(super) fn put(&mut self, role: Role, value: f64) {
        self.values[role as usize] = value;
        self.seen |= 1 << role as u32;
    }

    /// Takes the text of a field.
    pub(super) fn take(
        &mut self,
        column: usize,
        role: Role,
        to_si: f64,
        text: &[u8],
        decimal_comma: bool,
        load: &mut Vec<u8>,
    ) {
        let text = text.trim_ascii();
        let value = match role {
            Role::Load => {
                load.clear();
                load.extend_from_slice(text);
                self.has_load = !text.is_empty();
                return;
            }
            Role::Head => {
                match head(text) {
                    Some(head) => self.head = head,
                    None => self.oddly(column, text),
                }
                return;
            }
            Role::Pass => {
                match number(text, decimal_comma).filter(|v| (0.0..4e9).contains(v)) {
                    Some(pass) => self.pass = Some(pass as u32),
                    None => self.oddly(column, text),
                }
                return;
            }
            Role::Time => clock::seconds(text, to_si, decimal_comma).filter(|v| sensible(role, *v)),
            Role::Elevation => number(text, decimal_comma)
                .map(|v| v * to_si)
                .filter(|v| sensible(role, *v)),
            _ => number(text, decimal_comma)
                .map(|v| v * to_si)
                .filter(|v| v.is_finite()),
        };
        match value {
            Some(value) => {
                self.put(role, value);
            }
            None if needed(role) => {
                if self.fatal.is_none() {
                    let kind = match text {
                        [] => FindingKind::Empty,
                        _ if std::str::from_utf8(text).is_err() => FindingKind::NotUtf8,
                        _ => FindingKind::NotANumber,
                    };
                    self.fatal = Some(Fault {
                        column,
                        kind,
                        text: shown(text),
                    });
                }
            }
            None => self.oddly(column, text),
        }
    }

    /// Notes an optional field that cannot be read.
    #[cold]
    pub(super) fn oddly(&mut self, column: usize, text: &[u8]) {
        // an empty optional field is simply not there
        if self.odd.is_none() && !text.is_empty() {
            self.odd = Some(Fault {
                column,
                kind: FindingKind::OptionalField,
                text: shown(text),
            });
        }
    }
}

fn head(text: &[u8]) -> Option<Head> {
    const DOWN: [&[u8]; 6] = [b"down", b"d", b"1", b"true", b"on", b"yes"];
    const UP: [&[u8]; 6] = [b"up", b"u", b"0", b"false", b"off", b"no"];
    let is = |words: &[&[u8]]| words.iter().any(|w| text.eq_ignore_ascii_case(w));
    if is(&DOWN) {
        Some(Head::Down)
    } else {
        is(&UP).then_some(Head::Up)
    }
}

/// A field for a message: at most 24 characters, control characters made visible.
fn shown(text: &[u8]) -> String {
    String::from_utf8_lossy(&text[..text.len().min(96)])
        .chars()
        .take(24)
        .flat_map(char::escape_debug)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_taken_by_their_role() {
        let (mut fields, mut load) = (Fields::default(), Vec::new());
        let mut take = |fields: &mut Fields, role, text: &str| {
            fields.take(0, role, 0.5, text.as_bytes(), false, &mut load);
        };
        take(&mut fields, Role::Distance, " 12.5 ");
        take(&mut fields, Role::Elevation, "sky");
        take(&mut fields, Role::Time, "");
        take(&mut fields, Role::Head, "UP");
        take(&mut fields, Role::Pass, "-3");
        assert_eq!(
            (fields.get(Role::Distance), fields.get(Role::Elevation)),
            (Some(6.25), None)
        );
        assert_eq!(
            (fields.head, fields.pass, fields.fatal.is_none()),
            (Head::Up, None, true)
        );
        assert_eq!(
            fields.odd.as_ref().map(|fault| fault.text.as_str()),
            Some("sky")
        );
        take(&mut fields, Role::Mass, "");
        assert_eq!(
            fields.fatal.map(|fault| fault.kind),
            Some(FindingKind::Empty)
        );
    }
}
