//! Every form, one line a figure: name, how it is given, its shape, what a page calls it, and help.

mod care;
mod land;
mod people;
mod slips;
mod stock;
mod trade;
mod work;

use super::form::Form;

/// One form: `"name" Given Shape "Label": "help";`, a figure a line.
macro_rules! form {
    ($form:ident = $kind:literal, $about:literal;
     $($name:literal $given:ident $shape:ident $(($of:expr))? $label:literal: $help:literal;)*) => {
        pub(super) const $form: crate::written::Form = crate::written::Form {
            kind: $kind,
            help: $about,
            figures: &[$(crate::written::Figure {
                name: $name,
                help: $help,
                given: crate::written::Given::$given,
                shape: crate::written::Shape::$shape $(($of))?,
                label: $label,
            }),*],
        };
    };
}
use form;

/// Every kind of entry that people write, in the order of a season.
pub const FORMS: &[Form] = &[
    land::FIELD,
    land::PLANTING,
    land::SEASON,
    people::MACHINE,
    people::METER,
    people::PLACE,
    people::BUYER,
    people::PERSON,
    trade::CALL_AT,
    trade::CONTRACT,
    trade::ARRANGED,
    stock::OPENING,
    slips::DUMP,
    slips::WEIGHED,
    slips::MOVE,
    stock::MEASURE,
    stock::SAMPLE,
    work::COUNT,
    work::SETTING,
    work::STOP,
    work::GO,
    stock::NOTE,
    stock::FILE,
    care::COVER,
    care::READY,
    care::TICKED,
    care::COPIED,
];
