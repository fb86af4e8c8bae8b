//! Where a figure came from: what every result carries so that any face can answer "why".

/// One figure, explained.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Why {
    /// The figure's name, as the face prints it.
    pub figure: String,
    /// Its value with unit.
    pub value: String,
    /// The formula in words or symbols.
    pub formula: String,
    /// Inputs by name, each with its unit.
    pub inputs: Vec<(String, String)>,
    /// Who says so: a publication, a schedule, a definition.
    pub source: String,
    /// Entries of the book that it rests on, by id.
    pub entries: Vec<String>,
}

impl Why {
    /// Starts an explanation; inputs and entries are added with `with` and `from_entry`.
    pub fn new(figure: &str, value: impl Into<String>, formula: &str, source: &str) -> Self {
        Self {
            figure: figure.to_owned(),
            value: value.into(),
            formula: formula.to_owned(),
            inputs: Vec::new(),
            source: source.to_owned(),
            entries: Vec::new(),
        }
    }
    /// Adds one input.
    #[must_use]
    pub fn with(mut self, name: &str, value: impl Into<String>) -> Self {
        self.inputs.push((name.to_owned(), value.into()));
        self
    }
    /// Adds one entry behind the figure.
    #[must_use]
    pub fn from_entry(mut self, id: impl Into<String>) -> Self {
        self.entries.push(id.into());
        self
    }
}
