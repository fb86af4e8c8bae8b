//! What kinds, figures and choices are called.

use crate::text::Text;

/// When in a year or a day a kind is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum When {
    /// In the morning.
    Morning,
    /// In the field.
    Field,
    /// At night.
    Night,
    /// Once, or when it changes.
    Once,
}

impl When {
    /// All, in the order of the day.
    pub(crate) const ALL: [Self; 4] = [Self::Morning, Self::Field, Self::Night, Self::Once];

    /// Its heading.
    pub(crate) fn title(self, text: Text) -> String {
        match self {
            Self::Morning => text.say("in the morning"),
            Self::Field => text.say("in the field and at the scale"),
            Self::Night => text.say("at night"),
            Self::Once => text.say("once, or when it changes"),
        }
        .into_owned()
    }
}

/// When a kind is written.
pub(crate) fn kind_when(kind: &str) -> When {
    match kind {
        "ready" | "ticked" | "arranged" => When::Morning,
        "dump" | "weighed" | "sample" | "count" | "setting" | "stop" | "go" | "note" | "cover"
        | "file" => When::Field,
        "move" | "measure" | "copied" => When::Night,
        _ => When::Once,
    }
}

/// What an entry of a kind is called; a kind that is not known here keeps its own word.
pub(crate) fn kind_title(text: Text, kind: &str) -> String {
    match kind {
        "farm" => text.say("The farm"),
        "field" => text.say("A field"),
        "planting" => text.say("What is planted"),
        "season" => text.say("Settings of a season"),
        "machine" => text.say("A combine"),
        "meter" => text.say("A moisture meter"),
        "place" => text.say("A wagon, a bin or another place"),
        "buyer" => text.say("A buyer"),
        "person" => text.say("A person"),
        "opening" => text.say("Grain that was there already"),
        "dump" => text.say("A load out of the combine"),
        "weighed" => text.say("A weigh ticket"),
        "move" => text.say("Grain moved"),
        "measure" => text.say("A bin measured"),
        "sample" => text.say("A sample"),
        "note" => text.say("A note"),
        "file" => text.say("A file or photograph"),
        "count" => text.say("A count on the ground"),
        "setting" => text.say("A setting changed"),
        "stop" => text.say("The combine stopped"),
        "go" => text.say("The combine went on"),
        "call_at" => text.say("A call-at yield"),
        "contract" => text.say("A contract"),
        "arranged" => text.say("How a delivery was arranged"),
        "ready" => text.say("A line of the ready list"),
        "ticked" => text.say("A line that is done"),
        "cover" => text.say("A tarp on or off"),
        "copied" => text.say("A copy of the book"),
        "unread" => text.say("What could not be read"),
        "correction" => text.say("A correction"),
        "void" => text.say("A striking out"),
        other => return other.replace('_', " "),
    }
    .into_owned()
}
