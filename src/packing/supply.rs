//! supply
