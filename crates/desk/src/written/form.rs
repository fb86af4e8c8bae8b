//! What a form is made of: figures, how each is given and how a page or phone may ask for it.

/// How a figure is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Given {
    /// Once, and it must be.
    Must,
    /// Once or more, and it must be.
    MustMany,
    /// At most once.
    May,
    /// Any number of times.
    Many,
    /// Yes or no.
    Flag,
    /// At most once; a face may hand over a file's text.
    File,
    /// Any number of times; a face may hand over a file's text.
    Files,
}

/// What a figure's text is, so that a page or a phone can choose how to ask for it. The text is
/// read the same way whatever asked for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// One line of any form; the help says which.
    Text,
    /// Several lines.
    LongText,
    /// A name of up to 80 characters that need not be in the book.
    Name,
    /// A weight with its unit.
    Mass,
    /// A moisture in per cent, wet basis.
    Moisture,
    /// A per cent or a part: `40%`, `2/3`.
    Percent,
    /// How full: `1/4`, `80%`, `full`, `heap`.
    Full,
    /// An area with its unit.
    Area,
    /// A length with its unit.
    Length,
    /// A speed with its unit.
    Speed,
    /// Degrees with their scale.
    Temperature,
    /// A test weight with its unit.
    TestWeight,
    /// An amount of money.
    Money,
    /// Money a bushel.
    Price,
    /// A number without a unit.
    Number,
    /// A day: `2026-10-06`.
    Date,
    /// The year of a harvest.
    Season,
    /// A crop's key.
    Crop,
    /// One of these words.
    OneOf(&'static [&'static str]),
    /// Yes or no.
    YesNo,
    /// A name in the book, of this kind: field, machine, place, meter, buyer or person; or several
    /// kinds with commas between.
    Of(&'static str),
    /// `PERSON=SHARE`.
    Share,
    /// The SHA-256 of something attached, 64 hexadecimal digits.
    Sha,
    /// An entry's id.
    Entry,
}

/// One figure of a form.
#[derive(Debug, Clone, Copy)]
pub struct Figure {
    /// Its name: a flag, a column, a figure of a correction.
    pub name: &'static str,
    /// What it is, with an example.
    pub help: &'static str,
    /// How it is given.
    pub given: Given,
    /// What its text is.
    pub shape: Shape,
    /// What a page calls it, in English.
    pub label: &'static str,
}

/// One kind of entry that people write.
#[derive(Debug, Clone, Copy)]
pub struct Form {
    /// The kind.
    pub kind: &'static str,
    /// What it is for.
    pub help: &'static str,
    /// Its figures.
    pub figures: &'static [Figure],
}

/// A table of words for a choice, and the same words as a list for [`Shape::OneOf`].
macro_rules! words {
    ($table:ident, $list:ident: $type:ty { $($word:literal => $value:expr),* $(,)? }) => {
        pub(super) const $table: &[(&str, $type)] = &[$(($word, $value)),*];
        pub(super) const $list: &[&str] = &[$($word),*];
    };
}
pub(super) use words;
