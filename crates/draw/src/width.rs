//! Two layouts of one picture, and which of them a page shows.

/// The layout that a picture is drawn for. Lengths across are shares of the room there is, so each
/// layout serves a span of widths with its letters at one size; the page shows one of the two by
/// the classes `only-page` and `only-phone` of [`crate::PAGE_CSS`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Width {
    /// Windows under 900 px and letter paper; drawn with a window of 360 px in mind.
    Phone,
    /// Windows from 900 px; drawn with 1,152 px of room in mind.
    Page,
}

impl Width {
    /// The class by which the page shows this layout.
    pub(crate) fn class(self) -> &'static str {
        match self {
            Self::Phone => "only-phone",
            Self::Page => "only-page",
        }
    }
}

/// A picture in both layouts, of which a page shows the one that fits.
///
/// ```
/// let drawn = draw::both(|width| format!("{width:?} "));
/// assert_eq!(drawn, "Page Phone ");
/// ```
pub fn both(picture: impl Fn(Width) -> String) -> String {
    picture(Width::Page) + &picture(Width::Phone)
}

/// A place on an axis, with its text ready to show.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    /// Where, in the unit of the axis.
    pub at: f64,
    /// What it says; empty for a tick without text.
    pub text: String,
}

/// What a picture says to those who see it and to those who do not.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Finding {
    /// The finding in one sentence.
    pub title: String,
    /// What is drawn, with its figures.
    pub desc: String,
}
