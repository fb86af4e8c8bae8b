//! The fields this morning.
