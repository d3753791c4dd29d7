//! evenfall: arguments in, exit code out.

fn main() {}
