//! What a form begins with: the choices of the last slip, never a weight, a moisture or a number.

use super::choices::chosen;
use super::typed::Typed;
use desk::Farm;
use desk::written::Form;

/// Kinds whose choices follow the last slip.
const FOLLOW: [&str; 9] = [
    "dump", "weighed", "move", "sample", "count", "setting", "stop", "go", "cover",
];

/// The only one of a list.
fn only<'f>(mut names: impl Iterator<Item = &'f book::kinds::Name>) -> Option<String> {
    let first = names.next()?;
    names.next().is_none().then(|| first.to_string())
}

/// The choices that a form begins with; `asked` (an address) may choose too, among the book's names.
pub(crate) fn prefilled(form: &Form, farm: &Farm, asked: &Typed) -> Typed {
    let mut out = Typed::default();
    let dump = farm.dumps.iter().max_by_key(|dump| dump.happened.at_ms());
    let ticket = farm.tickets.iter().max_by_key(|one| one.happened.at_ms());
    for figure in form.figures {
        // an insured unit is a name of the book's fields, if not one of its own kinds
        if !chosen(figure.shape) && figure.name != "unit" {
            continue;
        }
        if asked.has(figure.name) {
            for text in asked.many(figure.name) {
                out.add(figure.name, text);
            }
            continue;
        }
        if !FOLLOW.contains(&form.kind) {
            continue;
        }
        let last = match (form.kind, figure.name) {
            (_, "machine") => dump
                .map(|dump| dump.says.machine.to_string())
                .or_else(|| only(farm.machines.keys())),
            ("dump" | "count" | "setting" | "stop", "field") | ("sample", "of") => dump
                .map(|dump| dump.says.field.to_string())
                .or_else(|| only(farm.fields.keys())),
            ("dump", "to") | ("weighed", "from") | ("cover", "place") => {
                dump.map(|dump| dump.says.into.to_string())
            }
            ("weighed", "to") => ticket.map(|ticket| ticket.says.to.to_string()),
            ("weighed", "buyer") => ticket
                .and_then(|ticket| ticket.says.buyer.as_ref())
                .map(ToString::to_string)
                .or_else(|| only(farm.buyers.keys())),
            (_, "crop") => dump.map(|dump| dump.says.crop.to_string()).or_else(|| {
                let mut planted: Vec<_> = farm.plantings.iter().map(|one| &one.says.crop).collect();
                planted.sort_unstable();
                planted.dedup();
                only(planted.into_iter())
            }),
            _ => None,
        };
        if let Some(text) = last {
            out.add(figure.name, text);
        }
    }
    out
}
