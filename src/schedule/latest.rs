//! latest
