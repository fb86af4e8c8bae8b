//! From a season's slips to a network, and from its verdict to an answer.
//!
//! One unknown is the dry matter of each slip; further ones are what each wagon brought to a shared
//! ticket, stocks, monitor factors, meter offsets, shared tares and dryers' losses. [`periods`] finds
//! where each place's balance closes, [`evidence`] says what each slip measures and how well,
//! [`build`] makes the network, [`report`] reads the verdict back.

pub(super) mod advice;
pub(super) mod build;
pub(super) mod evidence;
pub(super) mod periods;
pub(super) mod report;
