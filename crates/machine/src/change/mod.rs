//! Whether a change was real: counts before and after, with thresholds that tighten by look.
//!
//! Two questions, two answers. *Is it real?* is judged by Student's t on log(found + 1/2), which
//! holds its error where counts are few and scatter much. *What is it worth?* is the plain difference of
//! means with the interval of [`crate::loss`], in kilograms and money. Every look at the same change is
//! another chance to be fooled: five looks at 10 % claim something false 27 times in 100. So the
//! threshold tightens with each ([`level`]), and looks are counted, not promised.
//!
//! * [`judge`]: one class before and after (the frames behind the machine, or behind the head).
//! * [`judge_machine`]: what the machine lost where the head's loss moved too: all four classes.
//! * [`saved`]: what the change saves, in kilograms and money.
//! * [`shrunk`]: the best of several settings, less what luck gave it.
//! * [`adjusted`]: a setting's effect beside feed rate or moisture, from eight frames on.
//! * [`alternation`]: the order of settings that an afternoon's drift cannot fool.
//!
//! Limitations: nothing found anywhere in either class gives no verdict. A verdict is of the two sets of
//! frames: where all of one were counted before all of the other, the hour changed too. With no effect and losses
//! that rise by half through the afternoon, such a comparison of six and six claims something 16 times in 100; taken
//! in turn, 9.

mod adjust;
mod log_t;
mod looks;
mod saved;
mod turns;

pub use adjust::{Adjusted, Look, adjusted};
pub use log_t::{Says, Side, Verdict, judge, judge_machine};
pub use looks::{MOST_LOOKS, level};
pub use saved::{Grain, Saved, Weighing, saved, shrunk};
pub use turns::{Setting, alternation, in_turn};
