//! Distances as diagnostics write them.

/// A distance in kilometres, such as `38.40 km`.
pub(super) fn km(distance_m: f64) -> String {
    format!("{:.2} km", distance_m / 1000.0)
}
