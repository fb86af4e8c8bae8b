//! Which cautions stand beside the writing of a kind of entry: one table for pages and command line.

use facts::Act;

/// The acts that go with a kind; none where only paper is handled.
#[must_use]
pub fn acts_of(kind: &str) -> &'static [Act] {
    match kind {
        "dump" | "cover" => &[Act::WagonFlow, Act::Bystanders],
        "weighed" => &[Act::WagonFlow, Act::Scale],
        "move" => &[Act::Auger, Act::WagonFlow, Act::Bystanders],
        "measure" | "opening" => &[Act::BinMeasure, Act::Mold],
        "count" => &[Act::LossCount],
        "setting" => &[Act::Setting],
        "stop" => &[Act::Unplug, Act::Fire],
        "ready" | "ticked" => &[Act::WalkRound],
        _ => &[],
    }
}

/// The cautions beside writing entries of several kinds, each once, in the order of the kinds.
pub fn cautions_of<'k>(kinds: impl IntoIterator<Item = &'k str>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for act in kinds.into_iter().flat_map(acts_of) {
        let text = &facts::caution(*act).text;
        if !out.contains(text) {
            out.push(text.clone());
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn several_kinds_say_each_caution_once() {
        let said = cautions_of(["dump", "count", "dump", "note", "move"]);
        let text = |act: Act| facts::caution(act).text.clone();
        let acts = [Act::WagonFlow, Act::Bystanders, Act::LossCount, Act::Auger];
        assert_eq!(said, acts.map(text));
        assert!(cautions_of(["note", "unheard-of"]).is_empty());
    }

    #[test]
    fn every_kind_named_here_can_be_written() {
        let beside: Vec<&str> = crate::written::FORMS
            .iter()
            .map(|form| form.kind)
            .filter(|kind| !acts_of(kind).is_empty())
            .collect();
        assert_eq!(beside.len(), 11, "{beside:?}");
    }
}
