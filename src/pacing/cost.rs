//! cost
