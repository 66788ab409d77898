//! The only solver.
/// The target.
pub struct Goal {}
/// An impossible target.
pub struct Bound {}
/// Solve.
pub fn solve() {}
