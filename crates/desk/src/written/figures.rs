//! Figures as people type them: names and texts, not yet read.

use crate::DeskError;
use std::collections::BTreeMap;

/// Figures as typed: names, and one or more texts each.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Figures(BTreeMap<String, Vec<String>>);

impl<'n, T: Into<String>> FromIterator<(&'n str, T)> for Figures {
    fn from_iter<I: IntoIterator<Item = (&'n str, T)>>(pairs: I) -> Self {
        let mut out = Self::default();
        for (name, text) in pairs {
            out.add(name, text);
        }
        out
    }
}

impl Figures {
    /// Adds one text; an empty one counts as not given.
    pub fn add(&mut self, name: &str, text: impl Into<String>) {
        let text = text.into();
        if !text.trim().is_empty() {
            self.0.entry(name.to_owned()).or_default().push(text);
        }
    }
    /// Replaces whatever a figure said.
    pub fn set(&mut self, name: &str, texts: Vec<String>) {
        if texts.iter().all(|text| text.trim().is_empty()) {
            self.0.remove(name);
        } else {
            self.0.insert(name.to_owned(), texts);
        }
    }
    /// Replaces whatever a figure said, an empty text too: a correction may take a figure away.
    pub fn set_given(&mut self, name: &str, texts: Vec<String>) {
        self.0.insert(name.to_owned(), texts);
    }
    /// All figures by name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &[String])> {
        self.0
            .iter()
            .map(|(name, texts)| (name.as_str(), texts.as_slice()))
    }
    /// The first text of a figure.
    pub fn one(&self, name: &str) -> Option<&str> {
        self.0.get(name)?.first().map(String::as_str)
    }
    /// All texts of a figure.
    pub fn many(&self, name: &str) -> &[String] {
        self.0.get(name).map_or(&[], Vec::as_slice)
    }
    /// Whether a yes-or-no figure says yes.
    pub fn flag(&self, name: &str) -> bool {
        self.one(name)
            .is_some_and(|text| matches!(text.trim(), "yes" | "true" | "1" | "x"))
    }
    /// A figure read by a parser; its error names the figure.
    ///
    /// # Errors
    /// Whatever the parser says.
    pub fn parsed<T, E: std::fmt::Display>(
        &self,
        name: &str,
        parse: impl Fn(&str) -> Result<T, E>,
    ) -> Result<Option<T>, DeskError> {
        self.one(name)
            .map(|text| parse(text).map_err(|why| DeskError::figure(name, why)))
            .transpose()
    }
    pub(super) fn must(&self, name: &str) -> &str {
        self.one(name)
            .expect("required figures are checked before they are read")
    }
}
