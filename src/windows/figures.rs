//! How much of each kind of chance there is, and where that is known from.
//!
//! Fitted to 25 public recordings of 21 to 170 km and 2 to 37 h from 6 sources: what is left
//! between the true and the predicted time at every tenth of the distance when the finish is given
//! and no stops are. Two figures were free, [`Figures::fade_more`] and [`Figures::fade_less`]; the
//! rest was set beforehand from the stops in those recordings and from what is left when a
//! recording's own fade and stops are known. With one source left out at a time, the window from
//! early to late held 80 % of the true times and 89 % came after early. Below 42 km (5 recordings,
//! 3 of them from one unsteady source) it held half, and in the last third of the way 72 %: runners
//! who have something left speed up before the finish, and so were later there than planned.
//! `cargo bench --bench windows` prints the table.

use crate::inputs::plan_toml::Evidence;
use crate::time::S_PER_HOUR;

/// How far races stray. Shares of the finish time unless said otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figures {
    /// Slow and fast stretches: the standard deviation of the time at half way, when the finish is
    /// given, is half of this. The moving time is a gamma process tied at start and finish: always
    /// forward, and cutting a segment in two changes nothing.
    pub bridge: f64,
    /// Scale by which a race that fades more than planned is early at half way; the spread is
    /// Student's t with 4 degrees of freedom.
    pub fade_more: f64,
    /// Scale by which a race that fades less than planned is late at half way. It is the smaller:
    /// runners start too fast more often than too slowly.
    pub fade_less: f64,
    /// Share of the race spent standing in the longest races, planned or not; see
    /// [`Figures::stopped_share`].
    pub stopped: f64,
    /// The middle length of an unplanned stop, seconds.
    pub stop_s: f64,
    /// Spread of the logarithm of their lengths.
    pub stop_spread: f64,
    /// Spread of the logarithm of a planned stop's true length. Common practice, no source: two
    /// stops in three are between two thirds and one and a half of what was planned.
    pub planned_spread: f64,
}

impl Default for Figures {
    fn default() -> Self {
        Figures {
            bridge: 0.021,
            fade_more: 0.0325,
            fade_less: 0.0125,
            stopped: 0.11,
            stop_s: 150.0,
            stop_spread: 0.9,
            planned_spread: 0.4,
        }
    }
}

/// What chances of cutoffs reckon with where nobody said how well the target is known: on the
/// condition that the target is met they would say nothing.
pub const UNSAID: Evidence = Evidence::LongRuns;

/// Races longer than this are relatively steadier, by the fourth root.
const STEADY_H: f64 = 12.0;
/// Hours in which the share of standing time gets most of the way to its most.
const STOPPED_H: f64 = 10.0;
/// Share of the usual standing time that comes unplanned even where stops are planned in plenty.
const ALWAYS_UNPLANNED: f64 = 0.15;

/// How uncertain a finish is: the scale of its logarithm to either side of the target, spread by
/// Student's t with 4 degrees of freedom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Form {
    /// On good days.
    pub early: f64,
    /// On bad days.
    pub late: f64,
}

impl Figures {
    /// The form of the day for how well the target is known.
    ///
    /// The widths are assumptions; no source gives them. To compare with: one year's weather alone
    /// made the same 50 finishers of a 161-km race 7.9 % slower (Parise & Hoffman 2011, doi
    /// 10.1123/ijspp.6.2.243), and exponents of the endurance law from 1.05 to 1.08 (Riegel 1981)
    /// differ by 3.5 % from 50 km to 100 miles. Bad days count twice, and more for a hope: of those
    /// who start 161-km races in North America about 60 % finish (Hoffman 2010), and of those who
    /// do not 23 % missed a cutoff (Br J Sports Med 48:618, 2014).
    #[must_use]
    pub fn form(&self, evidence: Evidence) -> Form {
        let (early, late) = match evidence {
            Evidence::Race => (0.025, 0.05),
            Evidence::LongRuns => (0.05, 0.10),
            Evidence::Hope => (0.06, 0.20),
        };
        Form { early, late }
    }

    /// How much smaller the fade's scales are in a race of so many hours.
    #[must_use]
    pub fn steadiness(&self, finish_h: f64) -> f64 {
        (STEADY_H / finish_h).min(1.0).powf(0.25)
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

    /// The mean length of an unplanned stop, seconds, by the log-normal law.
    #[must_use]
    pub fn mean_stop_s(&self) -> f64 {
        self.stop_s * (0.5 * self.stop_spread * self.stop_spread).exp()
    }
}

/// How far a race of `finish_h` hours is early at half way for each 1 of exponent by which it
/// slows more, share of the finish time.
///
/// By the law of [`crate::pacing::slowing`]: the slope at 0 of
/// `((1 + h/6)^(1+q) − 1) / ((1 + h/3)^(1+q) − 1)`.
#[must_use]
pub fn early_per_exponent(finish_h: f64) -> f64 {
    let (half, whole) = (1.0 + finish_h / 6.0, 1.0 + finish_h / 3.0);
    let slope = half * half.ln() * (whole - 1.0) - (half - 1.0) * whole * whole.ln();
    -slope / ((whole - 1.0) * (whole - 1.0))
}
