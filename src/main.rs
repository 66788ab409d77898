//! The `sutler` command.

fn main() {}
