//! Forecast rows interpolated in time and height.
