//! What somebody typed into a form, kept exactly so that it can be shown again.

use desk::written::{Figures, Form, Given};

/// Between a figure's name and what says its unit: no figure's name has it.
pub(super) const UNIT: &str = "~unit";

/// Names and texts, in the order in which the browser sent them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Typed(Vec<(String, String)>);

impl Typed {
    /// From what a form sends.
    pub(crate) fn of(pairs: Vec<(String, String)>) -> Self {
        Self(pairs)
    }

    /// Adds one text.
    pub(crate) fn add(&mut self, name: &str, text: impl Into<String>) {
        self.0.push((name.to_owned(), text.into()));
    }

    /// Every text of a name, empty ones too.
    pub(crate) fn many<'t>(&'t self, name: &str) -> Vec<&'t str> {
        self.0
            .iter()
            .filter(|(known, _)| known == name)
            .map(|(_, text)| text.as_str())
            .collect()
    }

    /// The first text of a name that says anything.
    pub(crate) fn one<'t>(&'t self, name: &str) -> Option<&'t str> {
        self.0
            .iter()
            .filter(|(known, _)| known == name)
            .map(|(_, text)| text.trim())
            .find(|text| !text.is_empty())
    }

    /// Whether a name was sent at all.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.0.iter().any(|(known, _)| known == name)
    }

    /// The figures of a kind, as the desk reads them: a bare number takes the unit that stands
    /// beside its blank. `before` goes before every name (rows of one page).
    pub(crate) fn figures(&self, form: &Form, before: &str) -> Figures {
        let mut out = Figures::default();
        for figure in form.figures {
            let name = format!("{before}{}", figure.name);
            if figure.given == Given::Flag {
                if self.one(&name).is_some() {
                    out.add(figure.name, "yes");
                }
                continue;
            }
            let unit = self.one(&format!("{name}{UNIT}"));
            for text in self.many(&name) {
                out.add(figure.name, with_unit(text, unit));
            }
        }
        out
    }
}

/// A bare number with its unit; anything that has letters or signs of its own stays as typed.
fn with_unit(text: &str, unit: Option<&str>) -> String {
    let text = text.trim();
    let bare = text.chars().any(|c| c.is_ascii_digit())
        && text
            .chars()
            .all(|c| c.is_ascii_digit() || ".,-+ \u{a0}".contains(c));
    match unit {
        Some("$/bu") if bare => format!("${text}/bu"),
        Some(unit) if bare => format!("{text} {unit}"),
        _ => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_number_takes_the_unit_beside_its_blank() {
        assert_eq!(with_unit(" 52,220 ", Some("lb")), "52,220 lb");
        assert_eq!(with_unit("52,220 kg", Some("lb")), "52,220 kg");
        assert_eq!(with_unit("30' 6\"", Some("ft")), "30' 6\"");
        assert_eq!(with_unit("14.3", Some("%")), "14.3 %");
        assert_eq!(with_unit("4.15", Some("$/bu")), "$4.15/bu");
        assert_eq!(with_unit("", Some("lb")), "");
        assert_eq!(with_unit("3/4", None), "3/4");
    }

    #[test]
    fn what_is_typed_becomes_the_figures_of_its_kind_only() {
        let typed = Typed::of(vec![
            ("gross".into(), "52,220".into()),
            ("gross~unit".into(), "lb".into()),
            ("from".into(), "Gravity 1".into()),
            ("from".into(), "Gravity 2".into()),
            ("tare".into(), "  ".into()),
            ("not-emptied".into(), "yes".into()),
            ("nonsense".into(), "x".into()),
        ]);
        let form = desk::written::form("weighed").unwrap();
        let figures = typed.figures(form, "");
        assert_eq!(figures.one("gross"), Some("52,220 lb"));
        assert_eq!(figures.many("from").len(), 2);
        assert!(figures.flag("not-emptied"));
        assert_eq!(figures.iter().count(), 3);
    }
}
