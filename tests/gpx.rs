//! Tests of gpx.
