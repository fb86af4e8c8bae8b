//! Linear solves, distributions and seeded streams: the only door to the linear-algebra and random crates.
