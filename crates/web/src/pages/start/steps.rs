//! The steps of getting started, in words.

use crate::text::Text;
use desk::setup::{Setup, StepKind};

/// One page of getting started.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step {
    /// The farm and its time zone.
    Farm,
    /// Fields and what is planted.
    Fields,
    /// Combines and meters.
    Machines,
    /// Wagons, bins, the buyer's pit.
    Places,
    /// A buyer.
    Buyer,
}

/// Where one step stands.
pub(super) struct Progress {
    /// Its address.
    pub(super) word: &'static str,
    /// Its name.
    pub(super) name: String,
    /// How it stands, in words.
    pub(super) says: String,
    /// Whether it is this page.
    pub(super) here: bool,
}

impl Step {
    const ALL: [Self; 5] = [
        Self::Farm,
        Self::Fields,
        Self::Machines,
        Self::Places,
        Self::Buyer,
    ];

    /// As an address says it.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Farm => "farm",
            Self::Fields => "fields",
            Self::Machines => "machines",
            Self::Places => "places",
            Self::Buyer => "buyer",
        }
    }

    /// From an address.
    pub(super) fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|step| step.word() == word)
    }

    /// From what the desk says is next.
    pub(super) const fn of_kind(kind: StepKind) -> Self {
        match kind {
            StepKind::Farm => Self::Farm,
            StepKind::Fields => Self::Fields,
            StepKind::Machine => Self::Machines,
            StepKind::Places => Self::Places,
            StepKind::Buyer => Self::Buyer,
        }
    }

    const fn kind(self) -> StepKind {
        match self {
            Self::Farm => StepKind::Farm,
            Self::Fields => StepKind::Fields,
            Self::Machines => StepKind::Machine,
            Self::Places => StepKind::Places,
            Self::Buyer => StepKind::Buyer,
        }
    }

    /// The one after it.
    pub(super) const fn after(self) -> Option<Self> {
        match self {
            Self::Farm => Some(Self::Fields),
            Self::Fields => Some(Self::Machines),
            Self::Machines => Some(Self::Places),
            Self::Places => Some(Self::Buyer),
            Self::Buyer => None,
        }
    }

    /// Its heading.
    pub(super) fn title(self, text: Text) -> String {
        match self {
            Self::Farm => text.say("The farm"),
            Self::Fields => text.say("Fields, and what stands on them"),
            Self::Machines => text.say("The combine and the moisture meters"),
            Self::Places => text.say("What holds grain"),
            Self::Buyer => text.say("Who buys it"),
        }
        .into_owned()
    }

    /// What to put down.
    pub(super) fn help(self, text: Text) -> String {
        match self {
            Self::Farm => text.say("What people call it, and the clock that its day goes by."),
            Self::Fields => text.say("A name is enough. Acres may be typed or drawn; a file of outlines may be dropped on any page. Shares are written person=part, and nothing there means that all of it is yours."),
            Self::Machines => text.say("A hand meter and the buyer's meter are told apart, so that they can be checked against each other."),
            Self::Places => text.say("Wagons, carts and trucks, bins, and the buyer's pit where the grain goes. What a wagon holds may be left blank."),
            Self::Buyer => text.say("A name is enough to write tickets. A schedule of discounts can be added when the buyer hands it out."),
        }
        .into_owned()
    }
}

/// How every step stands, in words.
pub(super) fn progress(text: Text, setup: &Setup, here: Step) -> Vec<Progress> {
    Step::ALL
        .into_iter()
        .map(|step| {
            let stands = setup.steps.iter().find(|one| one.step == step.kind());
            let count = stands.map_or(0, |one| one.count);
            let lacking = stands.map_or(&[][..], |one| one.lacking.as_slice());
            let says = match (step, count) {
                (Step::Farm, 0) => text.say("not written yet").into_owned(),
                (Step::Farm, _) => text.say("written").into_owned(),
                (_, 0) => text.say("none yet").into_owned(),
                (Step::Fields, _) if !lacking.is_empty() => text.fill(
                    "{0} written; not planted yet: {1}",
                    &[&count, &lacking.join(", ")],
                ),
                (Step::Places, _) if lacking.iter().any(|one| one == "wagon") => {
                    text.fill("{0} written; no wagon, cart or truck yet", &[&count])
                }
                (Step::Places, _) if !lacking.is_empty() => {
                    text.fill("{0} written; no bin or pit yet", &[&count])
                }
                _ => text.fill("{0} written", &[&count]),
            };
            Progress {
                word: step.word(),
                name: step.title(text),
                says,
                here: step == here,
            }
        })
        .collect()
}
