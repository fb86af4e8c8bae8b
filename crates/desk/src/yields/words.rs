//! Words for what the chain found.

use track::clean::Flag;

/// A cause in a few words.
pub(super) fn cause(flag: Option<Flag>) -> &'static str {
    match flag {
        None => "mapped",
        Some(Flag::Repeated) => "written twice",
        Some(Flag::Jump) => "the receiver jumped",
        Some(Flag::HeadUp) => "head up",
        Some(Flag::Stop) => "standing or plugged",
        Some(Flag::Speed) => "odd speed",
        Some(Flag::OldGround) => "ground cut before",
        Some(Flag::Start) => "filling, start of pass",
        Some(Flag::End) => "emptying, end of pass",
        Some(Flag::Unlogged) => "its grain not logged",
        Some(Flag::ShortPass) => "too short a run",
        Some(Flag::Beyond) => "no crop yields that",
        Some(Flag::Alone) => "unlike all around it",
    }
}

/// Why such a record is not mapped, in a sentence.
pub(super) fn because(flag: Flag) -> &'static str {
    match flag {
        Flag::Repeated => {
            "It has the time and the place of the record before: the log wrote it twice."
        }
        Flag::Jump => "The receiver jumped here, so its place is not known.",
        Flag::HeadUp => "The head was up: grain may still have arrived, but no ground was cut.",
        Flag::Stop => "The machine stood, was plugged, or was within seconds of that.",
        Flag::Speed => {
            "Its speed is unlike its pass, or changed at once: flow and ground do not belong together then."
        }
        Flag::OldGround => "Most of its width had been cut before or lies outside the field.",
        Flag::Start => "The machine was still filling at the start of a pass.",
        Flag::End => "The machine was emptying at the end of a pass.",
        Flag::Unlogged => "The log does not reach the time when its grain came over the sensor.",
        Flag::ShortPass => "Its run has too few usable records to tell anything.",
        Flag::Beyond => {
            "Its yield is under 3 or over 220 parts in 100 of the field's middle record."
        }
        Flag::Alone => {
            "Its yield is unlike what lies around it, and neither its neighbors nor its pass bear it out."
        }
    }
}
