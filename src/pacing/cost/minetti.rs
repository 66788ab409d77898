//! Metabolic cost of running and walking on slopes, measured on a treadmill.
//!
//! Minetti, Moia, Roi, Susta, Ferretti 2002, J Appl Physiol 93:1039-1046,
//! doi 10.1152/japplphysiol.01177.2001; ten mountain runners, gradients -0.45 to 0.45.

/// Gradients beyond this were not measured.
const STEEPEST: f64 = 0.45;

/// Energy to run a metre along the ground, J per kg of body mass, by the paper's polynomial.
///
/// Gradients beyond ±0.45 count as ±0.45.
///
/// ```
/// use sutler::pacing::cost::run_cost_j_per_kg_m;
/// assert!((run_cost_j_per_kg_m(0.0) - 3.6).abs() < 1e-12);
/// assert!((run_cost_j_per_kg_m(0.10) - 5.9682).abs() < 1e-4);
/// ```
#[must_use]
pub fn run_cost_j_per_kg_m(gradient: f64) -> f64 {
    let i = gradient.clamp(-STEEPEST, STEEPEST);
    ((((155.4 * i - 30.4) * i - 43.3) * i + 46.3) * i + 19.5) * i + 3.6
}

/// Energy to walk a metre at each gradient's most economical speed, J per kg of body mass.
///
/// The polynomial is 52 % above the measured cost on the level: do not use it there.
#[must_use]
pub fn walk_cost_j_per_kg_m(gradient: f64) -> f64 {
    let i = gradient.clamp(-STEEPEST, STEEPEST);
    ((((280.5 * i - 58.7) * i - 76.8) * i + 51.9) * i + 19.6) * i + 2.5
}
