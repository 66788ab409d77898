//! How a runner slows down as the hours and the work add up.

use crate::time::S_PER_HOUR;

/// The law by which moving gets slower during a race.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fade {
    /// A stretch entered `t` hours into the race takes `(1 + t / 3 h)^q` times as long as at the
    /// start; see [`slowing_exponent`]. The strength multiplies `q`: 1 as recorded, 0 even effort.
    Slowing {
        /// 0 is even effort, 1 the fade of the recordings, more is more.
        strength: f64,
    },
    /// Moving time grows with the share of the effort done to this power; see [`share_of_time`].
    Power {
        /// 1 is even effort.
        exponent: f64,
    },
}

impl Default for Fade {
    fn default() -> Self {
        Fade::Slowing { strength: 1.0 }
    }
}

/// Hours after which the slowing bends from linear to a power of time. Fixed: short runs cannot
/// tell it from the exponent.
const BEND_H: f64 = 3.0;
/// On descents the legs fade this much more than on the level.
const DESCENT_MORE: f64 = 0.4;
/// The gradient from which a descent fades in full.
const DESCENT_FULL: f64 = -0.05;

/// The exponent `q` of the slowing on level ground and climbs: `0.10 + 0.022 g`, at most 0.30,
/// with `g` the metres climbed per 100 m of course.
///
/// Fitted to 25 public recordings of 21 to 170 km and 2 to 37 h, one source left out at a time.
/// Pace as a power of elapsed time is the within-race twin of the endurance law (Riegel 1981;
/// Péronnet & Thibault 1989; Emig & Peltonen 2020). Hilly courses fade more and descents most:
/// downhill speed falls through the whole race (Genitrini 2022, J Funct Morphol Kinesiol 7:103).
#[must_use]
pub fn slowing_exponent(climb_per_100m: f64) -> f64 {
    (0.10 + 0.022 * climb_per_100m).min(0.30)
}

/// Time at `hours` into the race over time for the same stretch at the start.
///
/// ```
/// use sutler::pacing::slowing;
/// assert_eq!(slowing(0.0, 0.17, 0.0), 1.0);
/// assert!(slowing(12.0, 0.17, -0.10) > slowing(12.0, 0.17, 0.0));
/// ```
#[must_use]
pub fn slowing(hours: f64, exponent: f64, gradient: f64) -> f64 {
    let descent = (gradient / DESCENT_FULL).clamp(0.0, 1.0);
    (exponent * (1.0 + DESCENT_MORE * descent) * (hours.max(0.0) / BEND_H).ln_1p()).exp()
}

/// Share of the moving time spent when a share of the effort is done: `share^exponent`.
///
/// 1 is even effort; above it the start is faster than the end. Moving time in the top ten of
/// 100-km races fits 1.058 (Knechtle 2015, doi 10.2147/OAJSM.S79568); open splits of a 98-km
/// mountain race, stops included, 1.13 to 1.15.
#[must_use]
pub fn share_of_time(share_of_effort: f64, exponent: f64) -> f64 {
    share_of_effort.clamp(0.0, 1.0).powf(exponent)
}

impl Fade {
    /// Turns efforts, in level metres, into shares of the moving time, which add up to 1.
    ///
    /// Each item is a step's effort and gradient, in course order. `finish_h` is the whole race,
    /// `climb_per_100m` how hilly it is.
    pub(super) fn time_shares(self, steps: &mut [(f64, f64)], finish_h: f64, climb_per_100m: f64) {
        let total_m: f64 = steps.iter().map(|(effort_m, _)| effort_m).sum();
        let mut done = 0.0;
        match self {
            Fade::Power { exponent } => {
                let mut spent = 0.0;
                for (effort_m, _) in steps {
                    done += *effort_m / total_m;
                    let spent_after = share_of_time(done, exponent);
                    *effort_m = spent_after - spent;
                    spent = spent_after;
                }
            }
            Fade::Slowing { strength } => {
                let exponent = strength * slowing_exponent(climb_per_100m);
                let mut sum = 0.0;
                for (effort_m, gradient) in &mut *steps {
                    let share = *effort_m / total_m;
                    // the share of the effort stands for the share of the time: solving for the
                    // time itself changes no split by more than the fit's own error
                    let hours = (done + 0.5 * share) * finish_h;
                    done += share;
                    *effort_m = share * slowing(hours, exponent, *gradient);
                    sum += *effort_m;
                }
                for (share, _) in steps {
                    *share /= sum;
                }
            }
        }
    }
}

/// Hours of a finish in seconds.
pub(super) fn hours(finish_s: f64) -> f64 {
    finish_s / S_PER_HOUR
}
