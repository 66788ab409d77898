//! Tests of course.
