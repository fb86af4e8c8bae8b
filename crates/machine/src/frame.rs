//! Frames and row lengths, seeds to bushels, and what the tail does to a count.
