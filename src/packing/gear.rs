//! gear
