//! segment
