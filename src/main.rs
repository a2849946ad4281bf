//! The `liftsheet` program.

fn main() {}
