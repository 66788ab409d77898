//! A race taken up again where it really is: the same course, the hours as they are now, and an
//! effort chosen anew.

use crate::conditions::Conditions;

use super::march::Hours;
use super::{FASTEST_LEVEL_MPS, Pacing};

/// A part of the course, from leaving one station to reaching another.
#[derive(Clone, Copy, Debug)]
pub struct Stretch<'a> {
    /// Index of the station it leaves.
    pub from: usize,
    /// The time, seconds after the start.
    pub leave_s: f64,
    /// Index of the station it ends at.
    pub to: usize,
    /// The stop at every station of the course, seconds; those strictly between count.
    pub stops_s: &'a [f64],
}

/// Parts of a race taken up again.
#[derive(Clone, Debug)]
pub struct Resumed {
    /// Race time on leaving the start; later than 0 for a runner who was held up there.
    pub leave_s: f64,
    /// The stop at every station, seconds.
    pub stops_s: Vec<f64>,
    /// Per segment, level-ground speed over the plan's.
    pub speed_ratios: Vec<f64>,
    /// Per station, the arrival that was seen, seconds after the start; it stands for the one
    /// that the speed comes to, from which it differs by the solver's last millisecond.
    pub seen_s: Vec<Option<f64>>,
}

impl Pacing {
    /// The arrival at a segment's last station after leaving its first at `leave_s`, with
    /// `speed_ratio` times the level-ground speed that the plan has there, and the light and
    /// warmth of that hour. Seconds after the start.
    ///
    /// The plan's own slowing over the race stays in it; at a ratio of 1 this is
    /// [`Pacing::arrive_s`]. A faster runner never arrives later.
    ///
    /// # Panics
    /// Where the course has no such segment.
    #[must_use]
    pub fn arrive_at_effort_s(
        &self,
        conditions: &Conditions,
        segment: usize,
        leave_s: f64,
        speed_ratio: f64,
    ) -> f64 {
        let hours = Hours::new(conditions, &self.settings);
        let strides = self.terrain.segment(segment);
        strides.fold(leave_s, |enter_s, index| {
            let day_s = self.day_at_s(index, speed_ratio);
            let stride = &self.terrain.strides[index];
            hours.leave_s(stride, day_s, enter_s).0
        })
    }

    /// The end of a stretch at a level-ground speed of `speed_ratio` times the plan's, seconds
    /// after the start.
    #[must_use]
    pub fn reach_s(&self, conditions: &Conditions, stretch: &Stretch<'_>, speed_ratio: f64) -> f64 {
        (stretch.from..stretch.to).fold(stretch.leave_s, |now_s, segment| {
            let stop_s = if segment > stretch.from {
                stretch.stops_s[segment]
            } else {
                0.0
            };
            self.arrive_at_effort_s(conditions, segment, now_s + stop_s, speed_ratio)
        })
    }

    /// Level-ground speed over the plan's that ends a stretch at `arrive_s`, to the millisecond.
    ///
    /// `None` where the stretch is empty, or would take more than [`FASTEST_LEVEL_MPS`] on level
    /// ground.
    #[must_use]
    pub fn speed_ratio(
        &self,
        conditions: &Conditions,
        stretch: &Stretch<'_>,
        arrive_s: f64,
    ) -> Option<f64> {
        const CLOSE_S: f64 = 1e-3;
        /// Standing still, all but for the arithmetic.
        const SLOWEST_RATIO: f64 = 1e-4;
        if stretch.from >= stretch.to {
            return None;
        }
        let reach_s = |ratio: f64| self.reach_s(conditions, stretch, ratio);
        // in times per level metre, for time is all but proportional to them
        let (mut least, mut most) = (self.most_ratio().recip(), SLOWEST_RATIO.recip());
        if reach_s(least.recip()) > arrive_s + CLOSE_S {
            return None;
        }
        let mut guess = 1.0_f64.max(least);
        for _ in 0..100 {
            let miss_s = reach_s(guess.recip()) - arrive_s;
            if miss_s.abs() < CLOSE_S {
                break;
            }
            if miss_s > 0.0 {
                most = guess;
            } else {
                least = guess;
            }
            let stopped_s: f64 = (stretch.from + 1..stretch.to)
                .map(|station| stretch.stops_s[station])
                .sum();
            let moving_s = arrive_s - stretch.leave_s - stopped_s;
            let scaled = guess * moving_s / (moving_s + miss_s);
            guess = if scaled > least && scaled < most {
                scaled
            } else {
                0.5 * (least + most)
            };
        }
        Some(guess.recip())
    }

    /// The ratio of the fastest level-ground speed that is accepted to the plan's.
    #[must_use]
    pub fn most_ratio(&self) -> f64 {
        FASTEST_LEVEL_MPS / self.level_speed_mps
    }

    /// The race with other stops, other efforts and, where they were seen, other arrivals.
    ///
    /// Its [`Pacing::level_speed_mps`] is that of the last segment.
    ///
    /// # Panics
    /// Where `resumed` is of another course (one stop and one seen arrival per station, one ratio
    /// per segment).
    #[must_use]
    pub fn resumed(&self, conditions: &Conditions, resumed: &Resumed) -> Pacing {
        let hours = Hours::new(conditions, &self.settings);
        let mut now = self.clone();
        now.arrival_s.truncate(1);
        now.departure_s = vec![resumed.leave_s];
        now.segments.clear();
        for (segment, ratio) in resumed.speed_ratios.iter().enumerate() {
            for index in self.terrain.segment(segment) {
                now.day_s[index] = self.day_at_s(index, *ratio);
            }
            now.level_speed_mps = self.level_speed_mps * ratio;
            let reached_s = now.pass(&hours, segment, now.level_speed_mps);
            let arrival_s = resumed.seen_s[segment + 1].unwrap_or(reached_s);
            now.arrival_s.push(arrival_s);
            now.departure_s
                .push(arrival_s + resumed.stops_s[segment + 1]);
        }
        now.finish_s = now.arrival_s.last().copied().unwrap_or(self.finish_s);
        now
    }

    /// The time of a stride by day in the cool at so much of the plan's level-ground speed, seconds:
    /// the inverse of it, and as much walking as that speed makes worthwhile.
    fn day_at_s(&self, index: usize, speed_ratio: f64) -> f64 {
        let stride = &self.terrain.strides[index];
        let effort_m = |ratio: f64| {
            let level_speed_mps = self.level_speed_mps * ratio;
            self.terrain.effort_m(stride, level_speed_mps)
        };
        self.day_s[index] / speed_ratio * effort_m(speed_ratio) / effort_m(1.0)
    }
}
