//! Tests of fueling.
