//! sweat
