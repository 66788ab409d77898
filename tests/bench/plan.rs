//! Ratio of the whole plan to reading the track.
fn main() {}
