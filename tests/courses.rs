//! Tests of courses.
