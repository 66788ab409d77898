//! Distances and counts as diagnostics write them.

/// A distance in kilometres, such as `38.40 km`.
pub(super) fn km(distance_m: f64) -> String {
    format!("{:.2} km", distance_m / 1000.0)
}

/// A number with its noun, such as `1 point` or `2 points`.
pub(super) fn count(number: usize, noun: &str) -> String {
    if number == 1 {
        format!("1 {noun}")
    } else {
        format!("{number} {noun}s")
    }
}
