//! Tests of schedule.
