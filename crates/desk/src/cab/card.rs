//! The card at the scale.
