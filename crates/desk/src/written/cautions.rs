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

#[cfg(test)]
mod tests {
    use super::*;

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
