//! Growth of a long run.

use crate::rehearsal::practice::GROWTH_SHARE;

use super::GROWTH_MOST_M;

/// Shorter runs than this are rounded to 100 m, or a tenth of them would never add up.
const ROUNDED_FROM_M: f64 = 10_000.0;
/// And this is what shorter ones are rounded to.
const FINE_M: f64 = 100.0;

/// The growth allowed to the long run from one building week to the next: by whichever is less.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth {
    /// Share of its length.
    pub share: f64,
    /// And metres.
    pub most_m: f64,
}

impl Default for Growth {
    fn default() -> Self {
        Growth {
            share: GROWTH_SHARE,
            most_m: GROWTH_MOST_M,
        }
    }
}

/// The most that a run of this length may grow by, metres.
///
/// ```
/// use sutler::calendar::{Growth, step_m};
/// // a tenth of 20 km is less than two miles; two miles are less than a tenth of 40 km
/// assert_eq!(step_m(20_000.0, Growth::default()), 2000.0);
/// assert_eq!(step_m(40_000.0, Growth::default()), 2.0 * 1609.344);
/// ```
#[must_use]
pub fn step_m(length_m: f64, growth: Growth) -> f64 {
    (growth.share * length_m).min(growth.most_m)
}

/// Rounded down, so that no bound is broken by rounding.
pub(super) fn rounded_m(length_m: f64, grain_m: f64) -> f64 {
    let grain_m = if length_m < ROUNDED_FROM_M {
        FINE_M.min(grain_m)
    } else {
        grain_m
    };
    (length_m / grain_m + 1e-6).floor() * grain_m
}

/// The next length on the way to a peak with so many building weeks left, this one included: no
/// more growth than the time asks for, and never more than allowed.
pub(super) fn next_m(now_m: f64, peak_m: f64, left: usize, growth: Growth, grain_m: f64) -> f64 {
    let way = GrowthWay {
        peak_m,
        growth,
        grain_m,
    };
    way.grown(now_m, way.share_needed(now_m, left), left)
}

/// The length that a runner grows to, and the steps.
struct GrowthWay {
    peak_m: f64,
    growth: Growth,
    grain_m: f64,
}

impl GrowthWay {
    /// One week on, at a share of the allowed growth; the last step to the peak is as long as it
    /// may be.
    fn grown(&self, now_m: f64, share: f64, left: usize) -> f64 {
        let step_m = step_m(now_m, self.growth);
        if now_m >= self.peak_m || (left <= 1 && now_m + step_m >= self.peak_m) {
            return self.peak_m;
        }
        let next_m = rounded_m(now_m + share * step_m, self.grain_m);
        next_m.max(now_m).min(self.peak_m)
    }

    /// The least share of the allowed growth that reaches the peak in time; all of it where none
    /// does.
    fn share_needed(&self, now_m: f64, left: usize) -> f64 {
        let reaches = |share: f64| {
            let grown = (1..=left).rev();
            grown.fold(now_m, |m, left| self.grown(m, share, left)) >= self.peak_m
        };
        if !reaches(1.0) {
            return 1.0;
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..20 {
            let middle = 0.5 * (low + high);
            if reaches(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    }
}
