//! march
