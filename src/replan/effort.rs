//! The runner's effort so far, and that of the rest.

use crate::arrivals::{Kind, Passage};
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::{Resumed, Stretch};
use crate::plan::{Plan, Race};
use crate::time::S_PER_HOUR;

/// The effort shown so far, and what it says of the rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// Planned moving time of the stretches seen, hours.
    pub hours: f64,
    /// Moving time seen over planned, stops left out: above 1 is slower than planned.
    pub time_ratio: f64,
    /// Level-ground speed over the plan's that takes the rest to the likely finish.
    pub speed_ratio: f64,
}

/// The place where the runner was last seen, and the race up to there.
#[derive(Clone, Debug)]
pub(super) struct SoFar {
    /// Stops as they were, and as planned ahead; the plan's effort ahead.
    pub(super) resumed: Resumed,
    /// The station where the runner was last seen.
    pub(super) station: usize,
    /// The departure from it, done or to come, seconds after the start.
    pub(super) leave_s: f64,
    /// True where it was seen leaving.
    pub(super) has_left: bool,
    /// The effort of it.
    pub(super) shown: Shown,
}

/// The cutoff on leaving where the runner was last seen coming, as a departure, where it cuts the
/// planned stop.
pub(super) fn out_by(race: &Race, last: Passage) -> Option<Passage> {
    let limit = race.limits[last.station].filter(|limit| limit.on == CutoffOn::Departure)?;
    let by_s = limit.elapsed.as_s();
    let is_cut = by_s >= last.at_s && by_s < last.at_s + race.stops_s[last.station];
    (last.kind == Kind::Arrival && is_cut).then_some(Passage {
        kind: Kind::Departure,
        at_s: by_s,
        ..last
    })
}

/// Lays the events over the plan. Stops that nobody saw the end of are as planned; where that
/// leaves no time to move in, they are cut in proportion.
pub(super) fn so_far(race: &Race, plan: &Plan, events: &[Passage]) -> SoFar {
    let count = race.course.stations.len();
    let mut laid = Laid {
        race,
        plan,
        resumed: Resumed {
            leave_s: 0.0,
            stops_s: race.stops_s.clone(),
            speed_ratios: vec![1.0; count - 1],
            seen_s: vec![None; count],
        },
        planned_s: 0.0,
        seen_s: 0.0,
    };
    let mut last = Passage {
        station: 0,
        kind: Kind::Departure,
        at_s: 0.0,
    };
    for event in events {
        laid.stretch(&last, event);
        last = *event;
    }
    let mut resumed = laid.resumed;
    if let Some(by) = out_by(race, last) {
        resumed.stops_s[last.station] = by.at_s - last.at_s;
    }
    let leave_s = match last.kind {
        Kind::Departure => last.at_s,
        Kind::Arrival => last.at_s + resumed.stops_s[last.station],
    };
    if last.station == 0 {
        resumed.leave_s = leave_s;
    }
    SoFar {
        resumed,
        station: last.station,
        leave_s,
        has_left: last.kind == Kind::Departure,
        shown: shown(laid.planned_s, laid.seen_s),
    }
}

fn shown(planned_s: f64, seen_s: f64) -> Shown {
    Shown {
        hours: planned_s / S_PER_HOUR,
        time_ratio: if planned_s > 0.0 {
            seen_s / planned_s
        } else {
            1.0
        },
        speed_ratio: 1.0,
    }
}

/// Events being laid over the plan.
struct Laid<'a> {
    race: &'a Race,
    plan: &'a Plan,
    resumed: Resumed,
    planned_s: f64,
    seen_s: f64,
}

impl Laid<'_> {
    /// The race between two events that follow each other.
    fn stretch(&mut self, from: &Passage, to: &Passage) {
        if from.station == to.station {
            if from.kind == Kind::Arrival && to.kind == Kind::Departure {
                self.resumed.stops_s[to.station] = to.at_s - from.at_s;
            } else if to.station == 0 {
                self.resumed.leave_s = to.at_s;
            }
            return;
        }
        // the stops in between whose ends nobody saw
        let first = match from.kind {
            Kind::Arrival => from.station,
            Kind::Departure => from.station + 1,
        };
        let last = match to.kind {
            Kind::Arrival => to.station,
            Kind::Departure => to.station + 1,
        };
        let planned_s: f64 = self.plan.pacing.segments[from.station..to.station]
            .iter()
            .map(|segment| segment.moving_s)
            .sum();
        let interval_s = to.at_s - from.at_s;
        self.fit_stops(first..last, planned_s, interval_s);
        let stops_s = &self.resumed.stops_s;
        let stopped_s: f64 = stops_s[first..last].iter().sum();
        let stop_s = |event: &Passage, kind: Kind| {
            if event.kind == kind {
                stops_s[event.station]
            } else {
                0.0
            }
        };
        let leave_s = from.at_s + stop_s(from, Kind::Arrival);
        let arrive_s = to.at_s - stop_s(to, Kind::Departure);
        let stretch = Stretch {
            from: from.station,
            leave_s,
            to: to.station,
            stops_s,
        };
        let pacing = &self.plan.pacing;
        let on_plan =
            (pacing.reach_s(&self.race.conditions, &stretch, 1.0) - arrive_s).abs() < 1e-3;
        // on the plan to the millisecond is on the plan
        let ratio = if on_plan {
            1.0
        } else {
            pacing
                .speed_ratio(&self.race.conditions, &stretch, arrive_s)
                .unwrap_or_else(|| pacing.most_ratio())
        };
        self.resumed.speed_ratios[from.station..to.station].fill(ratio);
        self.resumed.seen_s[to.station] = Some(arrive_s);
        self.planned_s += planned_s;
        self.seen_s += interval_s - stopped_s;
    }

    /// Cuts stops where they would leave less than half of the planned time to move in.
    fn fit_stops(&mut self, stations: std::ops::Range<usize>, planned_s: f64, interval_s: f64) {
        let stops_s = &mut self.resumed.stops_s[stations];
        let stopped_s: f64 = stops_s.iter().sum();
        if interval_s - stopped_s < 0.5 * planned_s {
            let share = (interval_s / (stopped_s + planned_s)).min(1.0);
            stops_s.iter_mut().for_each(|stop_s| *stop_s *= share);
        }
    }
}

/// True where the rest can be run as hard as the original finish asks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Needed {
    /// Level-ground speed for the rest over the plan's; `None` where nobody runs that fast.
    pub speed_ratio: Option<f64>,
    /// The chance of the original finish and every cutoff, as the race goes.
    pub chance: f64,
}

/// In words, what a needed effort means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Realism {
    /// The plan's effort or less is enough.
    Easier,
    /// One race in three or more like this one gets there.
    Realistic,
    /// Fewer do.
    Doubtful,
    /// Faster than anyone runs, or than one race in a hundred gets there.
    Impossible,
}

impl Needed {
    /// Its meaning.
    #[must_use]
    pub fn realism(&self) -> Realism {
        /// Differences below the tenth of a percent that is printed are none.
        const SAME: f64 = 5e-4;
        const ONE_IN_THREE: f64 = 1.0 / 3.0;
        const ONE_IN_A_HUNDRED: f64 = 0.01;
        match self.speed_ratio {
            None => Realism::Impossible,
            Some(ratio) if ratio <= 1.0 + SAME => Realism::Easier,
            Some(_) if self.chance < ONE_IN_A_HUNDRED => Realism::Impossible,
            Some(_) if self.chance >= ONE_IN_THREE => Realism::Realistic,
            Some(_) => Realism::Doubtful,
        }
    }
}

impl SoFar {
    /// Level-ground speed over the plan's for a rest that reaches the finish then; `None` where
    /// nobody runs that fast.
    pub(super) fn speed_to(&self, race: &Race, plan: &Plan, finish_s: f64) -> Option<f64> {
        let stretch = Stretch {
            from: self.station,
            leave_s: self.leave_s,
            to: race.course.stations.len() - 1,
            stops_s: &self.resumed.stops_s,
        };
        plan.pacing
            .speed_ratio(&race.conditions, &stretch, finish_s)
    }
}
