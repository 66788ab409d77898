//! The endurance law: how much longer a longer effort takes.

use crate::time::S_PER_HOUR;

/// Between these times races were found to follow [`riegel_s`], seconds (Riegel 1981): 3.5 and
/// 230 minutes.
pub const RIEGEL_RANGE_S: (f64, f64) = (210.0, 13_800.0);

/// `T2 = T1 (D2 / D1)^b`: the time for so many times the distance.
///
/// Riegel 1981, "Athletic records and human endurance", American Scientist 69:285-290: b is
/// 1.07732 for men, 1.08283 for women, 1.05 to 1.06 for older men. Valid for 3.5 to 230 minutes;
/// beyond, it promises too much.
///
/// ```
/// use sutler::finish::riegel_s;
/// let marathon_s = 3.5 * 3600.0;
/// let hours = riegel_s(marathon_s, 100.0 / 42.195, 1.06) / 3600.0;
/// assert!((hours - 8.736).abs() < 1e-3);
/// ```
#[must_use]
pub fn riegel_s(time_s: f64, distance_ratio: f64, exponent: f64) -> f64 {
    time_s * distance_ratio.powf(exponent)
}

/// The power that can be held for a time, as a share of the most that the body takes up oxygen
/// for: `1 + E ln(t / 420 s)`, all of it up to 7 minutes.
///
/// Péronnet & Thibault 1989, J Appl Physiol 67:453-465. E is -0.04 to -0.08 for runners of
/// shorter races (from memory); races of 7 h, at 58 to 60 % (Myles 1979, Br J Sports Med 13:12),
/// need about -0.10, and 24 h on a treadmill, at 39.4 % of the speed that takes all of it (Millet
/// 2011, Scand J Med Sci Sports, doi 10.1111/j.1600-0838.2009.01001.x), -0.114. The same law was
/// fitted to the recordings of 14,000 runners (Emig & Peltonen 2020, Nat Commun 11:4936).
#[must_use]
pub fn sustainable_share(time_s: f64, drop_per_ln: f64) -> f64 {
    const FULL_S: f64 = 420.0;
    1.0 + drop_per_ln * (time_s / FULL_S).max(1.0).ln()
}

/// Both laws as one: the first within its range, the second from there on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Law {
    /// Riegel's b, up to 230 minutes.
    pub exponent: f64,
    /// Péronnet and Thibault's E, beyond.
    pub drop_per_ln: f64,
}

/// The likely law: b between that of men and of women, E of races of 7 h.
pub const LIKELY: Law = Law {
    exponent: 1.08,
    drop_per_ln: -0.10,
};
/// For runners who lose little: the popular b, E at the far end of what was reported for shorter
/// races.
pub const EARLY: Law = Law {
    exponent: 1.06,
    drop_per_ln: -0.08,
};
/// For those who lose much: b of women, E of a day on a treadmill.
pub const LATE: Law = Law {
    exponent: 1.083,
    drop_per_ln: -0.114,
};

/// No result is carried further than this, seconds: the law's share would reach nothing.
const LONGEST_S: f64 = 600.0 * S_PER_HOUR;
/// Nor to less than this.
const SHORTEST_S: f64 = 10.0;

impl Law {
    /// The time for so many times the effort of a past result, seconds.
    #[must_use]
    pub fn time_s(&self, past_s: f64, effort_ratio: f64) -> f64 {
        let wanted = self.distance(past_s) * effort_ratio;
        let (mut short_s, mut long_s) = (SHORTEST_S, LONGEST_S);
        // distance grows with time all along; halving in the logarithm reaches any digit there is
        for _ in 0..80 {
            let middle_s = (short_s * long_s).sqrt();
            if self.distance(middle_s) < wanted {
                short_s = middle_s;
            } else {
                long_s = middle_s;
            }
        }
        (short_s * long_s).sqrt()
    }

    /// The reach of a time, in units of that of [`RIEGEL_RANGE_S`].
    fn distance(&self, time_s: f64) -> f64 {
        let (_, end_s) = RIEGEL_RANGE_S;
        if time_s <= end_s {
            return (time_s / end_s).powf(1.0 / self.exponent);
        }
        let share = |time_s: f64| sustainable_share(time_s, self.drop_per_ln);
        time_s / end_s * share(time_s) / share(end_s)
    }
}

/// The exponent that a law comes to between two times for so many times the effort.
#[must_use]
pub fn exponent_between(past_s: f64, time_s: f64, effort_ratio: f64) -> Option<f64> {
    let more = effort_ratio.ln();
    (more.abs() > 0.01).then(|| (time_s / past_s).ln() / more)
}
