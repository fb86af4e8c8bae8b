//! Seeded seasons with known truth and planted mistakes, for the demo, tests and studies.
