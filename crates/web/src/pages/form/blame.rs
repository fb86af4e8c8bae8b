//! Which figure a refusal is about, so that its sentence stands there.

use desk::DeskError;
use desk::written::{Figures, Form};

/// The figure of a form that an error is about, if it is about one.
pub(crate) fn blamed(why: &DeskError, form: &Form, figures: &Figures) -> Option<&'static str> {
    let known = |name: &str| {
        let name = name.replace('_', "-");
        form.figures
            .iter()
            .map(|figure| figure.name)
            .find(|figure| *figure == name)
    };
    match why {
        DeskError::Figure { figure, .. } | DeskError::NoSuchFigure { figure, .. } => known(figure),
        DeskError::Missing { figure, .. } => known(figure).or_else(|| {
            // "gross and tare, or net": the first of them
            figure.split([' ', ',']).find_map(known)
        }),
        // a name that is not in the book: whichever figure says it
        DeskError::NotInBook { found, .. } => figures
            .iter()
            .find(|(_, texts)| texts.iter().any(|text| text.trim() == found))
            .and_then(|(name, _)| known(name)),
        DeskError::Book(book::BookError::Field { field, .. }) => {
            known(field).or_else(|| field.split(['_', ' ', '.']).find_map(known))
        }
        _ => None,
    }
}
