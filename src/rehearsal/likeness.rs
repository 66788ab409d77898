//! The likeness of one ground to another: the steepness on which effort is spent.

use crate::course::Course;
use crate::pacing::{EffortLine, PacingSettings, Pitch};

/// Names and upper ends (rise over run) of the bands that slopes are told apart by, downhill first.
pub const BANDS: [(&str, f64); 5] = [
    ("steep down", -0.10),
    ("down", -0.03),
    ("level", 0.03),
    ("up", 0.10),
    ("steep up", f64::INFINITY),
];
/// Stretches of the course are tried from every so many metres on.
const TRY_EVERY_M: f64 = 500.0;

/// The ground of a route, or a part of one, as the legs feel it.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Ground {
    /// Length, metres.
    pub length_m: f64,
    /// Effort, level metres that take as long.
    pub effort_m: f64,
    /// Metres climbed per kilometre.
    pub climb_m_per_km: f64,
    /// Metres descended per kilometre.
    pub descent_m_per_km: f64,
    /// Shares of the effort in each of the [`BANDS`].
    pub shares: [f64; BANDS.len()],
    /// Gradient and effort of its pitches, the steepest descent first.
    slopes: Vec<(f64, f64)>,
}

/// The part of a course that a route is most like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LikeStretch {
    /// Its beginning, metres along the course.
    pub from_m: f64,
    /// Its end.
    pub to_m: f64,
    /// The difference, see [`slope_difference`].
    pub difference: f64,
}

impl Ground {
    /// The ground of a course and the line of its effort.
    #[must_use]
    pub fn of(
        course: &Course,
        settings: &PacingSettings,
        level_speed_mps: f64,
    ) -> (Ground, EffortLine) {
        let line = EffortLine::of(course, settings, level_speed_mps);
        let climbs_m = course.climb_and_descent_m();
        let ground = Ground::over(line.pitches(), course.profile.length_m(), climbs_m);
        (ground, line)
    }

    /// The ground of some pitches of a length, with its climb and descent, metres.
    #[must_use]
    pub fn over(pitches: &[Pitch], length_m: f64, climb_and_descent_m: (f64, f64)) -> Ground {
        let mut slopes: Vec<(f64, f64)> =
            pitches.iter().map(|p| (p.gradient, p.effort_m)).collect();
        slopes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let effort_m: f64 = slopes.iter().map(|slope| slope.1).sum();
        let mut shares = [0.0; BANDS.len()];
        for (gradient, effort) in &slopes {
            let band = BANDS.iter().position(|(_, up_to)| gradient <= up_to);
            shares[band.unwrap_or(0)] += effort / effort_m;
        }
        let per_km = |metres: f64| 1000.0 * metres / length_m;
        Ground {
            length_m,
            effort_m,
            climb_m_per_km: per_km(climb_and_descent_m.0),
            descent_m_per_km: per_km(climb_and_descent_m.1),
            shares,
            slopes,
        }
    }

    /// The difference to the slopes of another ground; see [`slope_difference`].
    #[must_use]
    pub fn difference(&self, other: &Ground) -> f64 {
        slope_difference(&self.slopes, &other.slopes)
    }

    /// The share of its effort that lies in bands as the other has them: the smaller share of each
    /// band, added up. 1 is the same mix, 0 has no band in common.
    #[must_use]
    pub fn shared(&self, other: &Ground) -> f64 {
        let pairs = self.shares.iter().zip(&other.shares);
        pairs.map(|(a, b)| a.min(*b)).sum()
    }

    /// The stretch of a line, of this ground's effort, that it is most like; all of a line that
    /// takes less.
    #[must_use]
    pub fn most_like(&self, line: &EffortLine) -> LikeStretch {
        let length_m = line.distance_at_m(f64::INFINITY);
        let last_m = line.distance_at_m(line.total_m() - self.effort_m);
        let tries = (last_m / TRY_EVERY_M).floor() as usize;
        (0..=tries)
            .map(|i| {
                let from_m = i as f64 * TRY_EVERY_M;
                let to_m = line.distance_at_m(line.done_at_m(from_m) + self.effort_m);
                let part = between(line, from_m, to_m.min(length_m));
                let slopes = Ground::over(part, to_m - from_m, (0.0, 0.0)).slopes;
                LikeStretch {
                    from_m,
                    to_m,
                    difference: slope_difference(&self.slopes, &slopes),
                }
            })
            .min_by(|a, b| a.difference.total_cmp(&b.difference))
            .unwrap_or(LikeStretch {
                from_m: 0.0,
                to_m: length_m,
                difference: f64::INFINITY,
            })
    }
}

/// The pitches of a line that end within a stretch of it.
pub(super) fn between(line: &EffortLine, from_m: f64, to_m: f64) -> &[Pitch] {
    let end = |m: f64| {
        line.pitches()
            .partition_point(|pitch| pitch.end_m <= m + 1e-6)
    };
    &line.pitches()[end(from_m)..end(to_m)]
}

/// The earth mover's distance between two mixes of slopes, each a gradient with its weight and
/// sorted by the gradient: by how much, on average, slopes must be made steeper or gentler to turn
/// one mix into the other. Rise over run.
///
/// Also called the first Wasserstein distance; in one dimension it is the area between the two
/// cumulated mixes (Vallender 1974, Theory Probab. Appl. 18:784, from memory). Chosen over a
/// difference of bands because it knows that 9 % is closer to 11 % than to level ground. Infinite
/// where a mix is empty.
///
/// ```
/// use sutler::rehearsal::slope_difference;
/// let (level, rolling) = ([(0.0, 5.0)], [(-0.08, 1.0), (0.08, 1.0)]);
/// assert!((slope_difference(&level, &rolling) - 0.08).abs() < 1e-12);
/// ```
#[must_use]
pub fn slope_difference(a: &[(f64, f64)], b: &[(f64, f64)]) -> f64 {
    let total = |mix: &[(f64, f64)]| mix.iter().map(|slope| slope.1).sum::<f64>();
    let (all_a, all_b) = (total(a), total(b));
    if all_a <= 0.0 || all_b <= 0.0 {
        return f64::INFINITY;
    }
    let (mut i, mut j, mut area) = (0, 0, 0.0);
    let (mut done_a, mut done_b) = (0.0, 0.0);
    let mut at = f64::NEG_INFINITY;
    while i < a.len() || j < b.len() {
        let next_a = a.get(i).map_or(f64::INFINITY, |slope| slope.0);
        let next_b = b.get(j).map_or(f64::INFINITY, |slope| slope.0);
        let next = next_a.min(next_b);
        if at.is_finite() {
            area += (done_a / all_a - done_b / all_b).abs() * (next - at);
        }
        at = next;
        if next_a <= next_b {
            done_a += a[i].1;
            i += 1;
        } else {
            done_b += b[j].1;
            j += 1;
        }
    }
    area
}
