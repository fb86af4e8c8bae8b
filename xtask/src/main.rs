//! The workshop: tidy, studies, benchmarks and generated documents.
fn main() {}
