//! Straying of races on the way, with the source of the figures.
//!
//! Fitted to what is left between true and predicted passages where the finish is given: public
//! recordings of 21 to 170 km and 2 to 37 h, and public race results with 28 passages each of a
//! level 100-mile race. `cargo bench --bench races`
//! and `--bench windows` print what the windows hold.

use crate::time::S_PER_HOUR;

/// Straying of races. Shares of the moving time unless said otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Straying {
    /// Drift of the pace: the logarithm of what a piece takes, against the plan, walks at random;
    /// the standard deviation between start and end of a race. Who fades more than planned, less,
    /// or all at once, drifts.
    pub drift: f64,
    /// The drift's variance grows as this power of the moving time that has passed: above 1, races
    /// part most towards the end.
    pub drift_power: f64,
    /// Spread of going out fast or slow for one's ability: the standard deviation of the logarithm of
    /// the pace after the start against that of the race.
    pub start: f64,
    /// Share of the moving time in which the pace of the start gives way to that of the race.
    pub start_over: f64,
    /// Slow and fast stretches that do not last: the standard deviation of the logarithm of the
    /// whole race if there were nothing else; of a hundredth of it ten times as much.
    pub stretches: f64,
    /// The same from ground that takes more or less than the cost model says: for a course whose
    /// effort is twice its length. Early stations stray most by it, as no other ground makes up.
    pub ground: f64,
    /// Runners who are slow for the ground stray more: by the speed on level ground to this power,
    /// against [`MIDDLE_MPS`].
    pub by_speed: f64,
    /// Share of the race spent standing in the longest races, planned or not; see
    /// [`Straying::stopped_share`].
    pub stopped: f64,
    /// The middle length of an unplanned stop, seconds.
    pub stop_s: f64,
    /// Spread of the logarithm of their lengths.
    pub stop_spread: f64,
    /// Spread of the logarithm of a planned stop's true length. Common practice, no source: two
    /// stops in three are between two thirds and one and a half of what was planned.
    pub planned_spread: f64,
}

impl Default for Straying {
    fn default() -> Self {
        Straying {
            drift: 0.19,
            drift_power: 1.8,
            start: 0.18,
            start_over: 0.035,
            stretches: 0.013,
            ground: 0.05,
            by_speed: 0.5,
            stopped: 0.11,
            stop_s: 150.0,
            stop_spread: 0.9,
            planned_spread: 0.4,
        }
    }
}

/// The middle of the field on level ground, stops included, metres per second.
pub const MIDDLE_MPS: f64 = 1.9;
/// Hours in which the share of standing time gets most of the way to its most.
const STOPPED_H: f64 = 10.0;
/// Share of the usual standing time that comes unplanned even where stops are planned in plenty.
const ALWAYS_UNPLANNED: f64 = 0.15;

impl Straying {
    /// Straying over that in the middle of the field of a runner whose moving time makes this
    /// speed on level ground, between half and twice.
    #[must_use]
    pub fn unsteadiness(&self, level_mps: f64) -> f64 {
        (MIDDLE_MPS / level_mps).powf(self.by_speed).clamp(0.5, 2.0)
    }

    /// [`Straying::stretches`] with what the ground adds, where the course takes `effort` times its
    /// length.
    #[must_use]
    pub fn stretches_on(&self, effort: f64) -> f64 {
        self.stretches.hypot(self.ground * (effort - 1.0).max(0.0))
    }

    /// The variance that the drift has after a share of the moving time. Only differences count,
    /// as the whole is held: what parts races in the first hours is how they were begun.
    #[must_use]
    pub fn drifted(&self, share: f64) -> f64 {
        let begun = 1.0 - (-share / self.start_over).exp();
        self.drift.powi(2) * share.powf(self.drift_power) + self.start.powi(2) * begun
    }

    /// Frequency of unplanned stops over the average at a share of the moving time: three times
    /// as often at the end as at the start.
    #[must_use]
    pub fn stop_rate(&self, share: f64) -> f64 {
        0.5 + share
    }

    /// Share of a race spent standing for more than a minute, planned or not:
    /// `0.11 (1 − e^(−h / 10))`, which misses the recordings by 3 points on average.
    #[must_use]
    pub fn stopped_share(&self, finish_h: f64) -> f64 {
        self.stopped * (1.0 - (-finish_h / STOPPED_H).exp())
    }

    /// Seconds of unplanned stops to expect: what is usual and not planned.
    #[must_use]
    pub fn unplanned_s(&self, finish_s: f64, planned_s: f64) -> f64 {
        let usual_s = finish_s * self.stopped_share(finish_s / S_PER_HOUR);
        (usual_s - planned_s).max(ALWAYS_UNPLANNED * usual_s)
    }

    /// The mean length of a planned stop over what was planned, by the log-normal law.
    #[must_use]
    pub fn planned_mean(&self) -> f64 {
        (0.5 * self.planned_spread * self.planned_spread).exp()
    }

    /// The mean length of an unplanned stop, seconds, by the log-normal law.
    #[must_use]
    pub fn mean_stop_s(&self) -> f64 {
        self.stop_s * (0.5 * self.stop_spread * self.stop_spread).exp()
    }

    /// The mean square of their lengths, square seconds.
    #[must_use]
    pub fn mean_square_stop_s2(&self) -> f64 {
        (self.stop_s * (self.stop_spread * self.stop_spread).exp()).powi(2)
    }
}
