//! Tests of conditions.
