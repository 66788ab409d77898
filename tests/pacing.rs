//! Tests of pacing.
