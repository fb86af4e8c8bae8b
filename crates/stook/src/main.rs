//! The command line: arguments to a typed request, a call, a printed result.
fn main() {}
