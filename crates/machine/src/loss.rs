//! Loss from counts: standing, head and machine, each with its doubt.
