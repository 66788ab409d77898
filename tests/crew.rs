//! Tests of crew.
