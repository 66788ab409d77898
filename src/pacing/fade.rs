//! The fade: a runner slows down as the hours and the work add up.

use crate::time::S_PER_HOUR;

/// The law by which moving gets slower during a race.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fade {
    /// A stretch entered `t` hours into the race takes `(1 + t / 3 h)^q` times as long as at the
    /// start; `q` depends on how fast the runner is, see [`slowing_exponent`].
    Slowing {
        /// 0 is even effort, 1 the usual fade of so fast a runner, more is more.
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
/// The exponent of a runner at [`MIDDLE_MPS`].
const MIDDLE: f64 = 0.19;
/// Level metres per second, stops included, of a runner in the middle between those who hold
/// their pace and those who do not.
const MIDDLE_MPS: f64 = 2.7;
/// The rise of the exponent for every metre per second less.
const PER_MPS: f64 = 0.144;
/// The exponent differs from [`MIDDLE`] by no more than this: from 3.3 m/s (11.8 km/h) on it is
/// 0.105, up to 2.1 m/s (7.6 km/h) it is 0.275.
const MOST: f64 = 0.085;
/// Speed counts for less on courses of more effort than this, metres, in proportion: longer ones
/// were not measured, and no step may get quicker when the target gets slower.
const MEASURED_M: f64 = 250e3;

/// The exponent `q` of the slowing, by how fast the runner is: `effort_m` level metres in
/// `finish_s` seconds, stops included.
///
/// `0.19 + 0.144 (2.7 m/s − speed)`, within 0.105 and 0.275; beyond 250 km of effort the 0.144 falls
/// as their inverse. `strength` multiplies the 0.19; the further it is from 1, the less is told by
/// the speed, since a runner's own fade is then known.
///
/// Fitted together to 25 public recordings of 21 to 170 km and 2 to 37 h from 6 sources and to 647
/// finishers of three editions of a level 100-mile race in 13 to 31 h, one source or edition left
/// out at a time. Who is slow for the ground that they cover fades more: within 100-km world
/// championships the fastest stayed within 15 % of their first speed and slower ones faded earlier
/// and more (Lambert 2004, J Sports Sci Med 3:167), and on 170 km of mountains a steadier pace goes
/// with faster times (Suter 2020, IJERPH 17:7074). Hills count through the effort alone: neither
/// metres climbed nor a fade of their own on descents made left-out races any better.
///
/// ```
/// use sutler::pacing::slowing_exponent;
/// let hundred_miles_m = 161e3;
/// let in_hours = |hours: f64| slowing_exponent(hundred_miles_m, hours * 3600.0, 1.0);
/// assert!(in_hours(13.0) < in_hours(18.0) && in_hours(18.0) < in_hours(28.0));
/// ```
#[must_use]
pub fn slowing_exponent(effort_m: f64, finish_s: f64, strength: f64) -> f64 {
    let per_mps = PER_MPS * (MEASURED_M / effort_m).min(1.0);
    let by_speed = (per_mps * (MIDDLE_MPS - effort_m / finish_s)).clamp(-MOST, MOST);
    // 0 is even effort at any speed
    let told = if strength > 1.0 {
        strength.recip()
    } else {
        strength
    };
    strength * MIDDLE + told * by_speed
}

/// Time at `hours` into the race over time for the same stretch at the start:
/// `(1 + hours / 3 h)^exponent`.
///
/// Pace as a power of elapsed time is the within-race twin of the endurance law (Riegel 1981;
/// Péronnet & Thibault 1989; Emig & Peltonen 2020).
///
/// ```
/// use sutler::pacing::slowing;
/// assert_eq!(slowing(0.0, 0.17), 1.0);
/// assert_eq!(slowing(9.0, 0.5), 2.0);
/// ```
#[must_use]
pub fn slowing(hours: f64, exponent: f64) -> f64 {
    (exponent * (hours.max(0.0) / BEND_H).ln_1p()).exp()
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
    /// Turns efforts of strides in course order, level metres, into shares of the moving time, which
    /// add up to 1. `exponent` is [`Fade::exponent`], `finish_h` the whole race.
    pub(super) fn time_shares(self, strides: &mut [f64], finish_h: f64, exponent: f64) {
        let total_m: f64 = strides.iter().sum();
        let mut done = 0.0;
        match self {
            Fade::Power { .. } => {
                let mut spent = 0.0;
                for stride in strides {
                    done += *stride / total_m;
                    let spent_after = share_of_time(done, exponent);
                    *stride = spent_after - spent;
                    spent = spent_after;
                }
            }
            Fade::Slowing { .. } => {
                let mut sum = 0.0;
                for stride in &mut *strides {
                    let share = *stride / total_m;
                    // the share of the effort stands for the share of the time: solving for the
                    // time itself changes no split by more than the fit's own error
                    let hours = (done + 0.5 * share) * finish_h;
                    done += share;
                    *stride = share * slowing(hours, exponent);
                    sum += *stride;
                }
                for share in strides {
                    *share /= sum;
                }
            }
        }
    }

    /// The exponent of a race of `effort_m` level metres in `finish_h` hours.
    pub(super) fn exponent(self, effort_m: f64, finish_h: f64) -> f64 {
        match self {
            Fade::Power { exponent } => exponent,
            Fade::Slowing { strength } => {
                slowing_exponent(effort_m, finish_h * S_PER_HOUR, strength)
            }
        }
    }
}

/// Hours of a finish in seconds.
pub(super) fn hours(finish_s: f64) -> f64 {
    finish_s / S_PER_HOUR
}
