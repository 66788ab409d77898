//! factors
