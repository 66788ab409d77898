//! Factors that make ground slower than level, smooth, low, cool ground by day: one small function each.

use crate::inputs::surfaces_csv::Surface;

/// Extra time high up: less oxygen, less power.
///
/// `1 / (1 − loss · (h − 300 m) / 1 km)` above 300 m. Loss of aerobic power is 6.3 % per 1000 m
/// between 300 and 2800 m (Wehrlin & Hallén 2006, Eur J Appl Physiol 96:404, doi
/// 10.1007/s00421-005-0081-9); loss of performance about 0.63 of that, so 0.040 by default.
/// Heights above 5000 m count as 5000 m.
///
/// ```
/// use sutler::pacing::factors::altitude;
/// assert!((altitude(1800.0, 0.040) - 1.0638).abs() < 1e-4);
/// ```
#[must_use]
pub fn altitude(elevation_m: f64, loss_per_km: f64) -> f64 {
    let above_km = (elevation_m.clamp(300.0, 5000.0) - 300.0) / 1000.0;
    1.0 / (1.0 - loss_per_km * above_km)
}

/// Extra time in warmth, as share per °C above 15 °C; cold is not modelled.
///
/// 0.008 by default for the middle of a field: all finishers of a large marathon lost 1:53 min
/// per °C (Nikolaidis 2019, IJERPH 16:614); the same 50 finishers of a 161-km trail race were
/// 7.9 % slower in a year 8 °C warmer (Parise & Hoffman 2011, doi 10.1123/ijspp.6.2.243).
#[must_use]
pub fn heat(temp_c: f64, share_per_c: f64) -> f64 {
    1.0 + share_per_c * (temp_c - 15.0).max(0.0)
}

/// Extra time for the ground.
///
/// Smooth trail: 5 % more cost on ±2.5 cm uneven ground (Voloshina & Ferris 2015, doi
/// 10.1242/jeb.106518). Track: between paved and the 1.1 of dirt road (Soule & Goldman 1972).
/// Rocky: preferred speed 1.24 to 1.07 m/s on boulders (J Exp Biol 222 jeb185447, 2019). Rough and
/// sand: within the walking-time factors 1.25-1.67 for stony and pathless ground and the energy
/// factor 2.1 of loose sand (Herzog 2020 after Pandolf), at their low ends since racers choose
/// their line.
#[must_use]
pub fn surface(ground: Surface) -> f64 {
    match ground {
        Surface::Paved => 1.00,
        Surface::Track | Surface::SmoothTrail => 1.05,
        Surface::Rocky => 1.16,
        Surface::Rough => 1.40,
        Surface::Sand => 1.60,
    }
}

/// Extra time in the dark, by the plan's factor; none on a paved road.
///
/// The default 1.05 is an assumption: walking blindfold costs 19 % (an upper bound) and a night
/// without sleep 5.25 % (Craven 2022, doi 10.1007/s40279-022-01706-y).
#[must_use]
pub fn night(ground: Surface, night_factor: f64) -> f64 {
    if ground == Surface::Paved {
        1.0
    } else {
        night_factor
    }
}

/// The speed at which a runner on this climb would change to walking, metres per second.
///
/// `2.0 − 0.04 θ`, θ in degrees: 2.0 m/s on the level (preferred transition; Baker, Long,
/// Srinivasan, arXiv 2501.00720) and 0.8 m/s at 30° (Ortiz et al. 2017, doi
/// 10.1007/s00421-017-3677-y).
#[must_use]
pub fn transition_speed_mps(gradient: f64) -> f64 {
    2.0 - 0.04 * gradient.max(0.0).atan().to_degrees()
}

/// The share of a climb that is walked at a speed: 0 runs, 1 walks, mixed within 25 % of the transition.
///
/// People mix gaits about the transition rather than switch; the ramp also keeps arrival times
/// continuous in the target.
#[must_use]
pub fn walk_weight(speed_mps: f64, gradient: f64) -> f64 {
    const BAND: f64 = 1.25;
    if gradient < 0.0 {
        return 0.0;
    }
    let over = (speed_mps / transition_speed_mps(gradient)).ln() / BAND.ln();
    (0.5 * (1.0 - over)).clamp(0.0, 1.0)
}

/// Blends a runner's own multiplier in: none on the level, all of it from this gradient on.
///
/// `full_at` is 0.10 for climbs and -0.05 for descents.
#[must_use]
pub fn own_multiplier(gradient: f64, full_at: f64, multiplier: f64) -> f64 {
    1.0 + (multiplier - 1.0) * (gradient / full_at).clamp(0.0, 1.0)
}
