//! The usual air, where a forecast says nothing of it.

/// Relative humidity, percent.
pub(super) const USUAL_HUMIDITY_PCT: f64 = 50.0;
/// Wind at 10 m, km/h.
pub(super) const USUAL_WIND_KMH: f64 = 5.0;
