//! Tests of problems.
