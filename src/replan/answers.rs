//! Tables of what a replan says, for a reader without the engine: seen at a station so much later
//! than planned, when will the runner be where.
//!
//! A reader goes smoothly from row to row.
//! For a runner who was seen before, too, [`super::Earlier`] says how far that moves the answer.

use rayon::prelude::*;

use crate::ability::Spread;
use crate::arrivals::{Draws, Kind, Onward, Passage, Paths, Seen, Trials};
use crate::pacing::{Resumed, Stretch};
use crate::plan::{Plan, Race};
use crate::time::Elapsed;

/// One lateness.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Answer {
    /// Time seen less time planned, seconds.
    pub late_s: i64,
    /// The chance of making every cutoff; `None` on a course without any.
    pub chance: Option<f64>,
    /// The latest departure from here that still meets every later cutoff at the effort ahead.
    pub latest_departure: Option<Elapsed>,
    /// Level-ground speed over the plan's that leads to the likely finish.
    pub speed_ratio: f64,
    /// The speed that makes every cutoff ahead without a stop; `None` where none is missed as it
    /// goes, or nobody runs that fast.
    pub speed_to_stay: Option<f64>,
    /// The stations ahead, in course order.
    pub ahead: Vec<Ahead>,
}

/// One station ahead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ahead {
    /// Index of the station.
    pub station: usize,
    /// One race in ten is here before this.
    pub early: Elapsed,
    /// Half are here before this.
    pub likely: Elapsed,
    /// One in ten is here only after this.
    pub late: Elapsed,
    /// The chance of being here before the cutoff.
    pub cutoff_chance: Option<f64>,
    /// The latest departure that still meets every later cutoff at that effort.
    pub latest_departure: Option<Elapsed>,
}

/// Latenesses looked at, as shares of the planned time: close together near the plan.
const SHARES: [f64; 19] = [
    -0.20, -0.16, -0.12, -0.09, -0.06, -0.03, 0.0, 0.03, 0.06, 0.09, 0.12, 0.16, 0.20, 0.25, 0.31,
    0.38, 0.47, 0.58, 0.70,
];

/// The answer where the runner was seen coming to a station, and nowhere else, so many seconds
/// later than planned.
///
/// # Panics
/// Where the course has no such station, or it is the start.
#[must_use]
pub fn answer(race: &Race, plan: &Plan, station: usize, late_s: f64) -> Answer {
    let at_s = plan.pacing.arrival_s[station] + late_s;
    let kind = Kind::Arrival;
    let passage = Passage {
        station,
        kind,
        at_s,
    };
    Answerer::of(race, plan, &Trials::default()).answer(passage, late_s)
}

/// A plan being asked.
pub(super) struct Answerer<'a> {
    pub(super) race: &'a Race,
    pub(super) plan: &'a Plan,
    paths: Paths,
    pub(super) draws: Draws,
    spread: Spread,
}

impl<'a> Answerer<'a> {
    pub(super) fn of(race: &'a Race, plan: &'a Plan, trials: &Trials) -> Answerer<'a> {
        Answerer {
            race,
            plan,
            paths: Paths::of(&race.conditions, &plan.pacing),
            draws: Draws::of(trials, race.course.stations.len()),
            spread: race.finish(plan.pacing.finish_s),
        }
    }

    pub(super) fn seen(&self, passages: &[Passage]) -> Seen {
        Seen::among(&self.paths, &self.plan.pacing, Some(&self.spread), passages)
    }

    pub(super) fn onward(&self) -> Onward {
        Onward {
            passed_s: self.plan.pacing.arrival_s.clone(),
            stops_s: self.race.stops_s.clone(),
        }
    }

    /// Early, likely and late at every station after these passages, seconds.
    pub(super) fn windows(&self, passages: &[Passage]) -> Vec<[f64; 3]> {
        let limits = vec![None; self.race.course.stations.len()];
        let rest = (self.seen(passages)).rest(&limits, &self.draws, &self.onward());
        let stations = rest.stations.iter();
        stations
            .map(|at| [at.early_s, at.likely_s, at.late_s])
            .collect()
    }

    /// By lateness, ascending.
    pub(super) fn rows(&self, station: usize, kind: Kind) -> Vec<Answer> {
        let pacing = &self.plan.pacing;
        let planned_s = match kind {
            Kind::Arrival => pacing.arrival_s[station],
            Kind::Departure => pacing.departure_s[station],
        };
        let row = |share: &f64| {
            let late_s = (share * pacing.arrival_s[station] / 60.0).round() * 60.0;
            let at_s = planned_s + late_s;
            self.answer(
                Passage {
                    station,
                    kind,
                    at_s,
                },
                late_s,
            )
        };
        SHARES.par_iter().map(row).collect()
    }

    fn answer(&self, passage: Passage, late_s: f64) -> Answer {
        let (race, plan, station) = (self.race, self.plan, passage.station);
        let (pacing, conditions) = (&plan.pacing, &race.conditions);
        let mut onward = self.onward();
        let (came_s, leave_s) = match passage.kind {
            Kind::Arrival => (passage.at_s, passage.at_s + race.stops_s[station]),
            Kind::Departure => (passage.at_s - race.stops_s[station], passage.at_s),
        };
        let seen = self.seen(&[passage]);
        let share = came_s / pacing.arrival_s[station];
        for passed_s in &mut onward.passed_s[..=station] {
            *passed_s *= share;
        }
        let arrivals = seen.rest(&race.limits, &self.draws, &onward);
        let finish_s = arrivals.stations.last().map_or(came_s, |at| at.likely_s);
        let last = race.course.stations.len() - 1;
        let speed_to = |leave_s: f64, stops_s: &[f64], to: usize, by_s: f64| {
            let stretch = Stretch {
                from: station,
                leave_s,
                to,
                stops_s,
            };
            pacing.speed_ratio(conditions, &stretch, by_s)
        };
        let speed_ratio =
            speed_to(leave_s, &race.stops_s, last, finish_s).unwrap_or_else(|| pacing.most_ratio());
        let mut resumed = Resumed {
            leave_s: 0.0,
            stops_s: race.stops_s.clone(),
            speed_ratios: vec![1.0; last],
            seen_s: vec![None; last + 1],
        };
        resumed.speed_ratios[station..].fill(speed_ratio);
        resumed.seen_s[station] = Some(came_s);
        super::expect(&mut resumed, &arrivals, station);
        let schedule = race.scheduled(&pacing.resumed(conditions, &resumed), &arrivals);
        let (here, ahead) = (&schedule.splits[station], &schedule.splits[station + 1..]);
        let no_stops_s = vec![0.0; last + 1];
        let lost = ahead.iter().filter_map(|split| {
            let limit = split
                .cutoff
                .filter(|_| split.margin < Some(Elapsed::ZERO))?;
            let by_s = limit.elapsed.as_s();
            Some(speed_to(passage.at_s, &no_stops_s, split.station, by_s))
        });
        let speed_to_stay = lost.collect::<Option<Vec<f64>>>();
        Answer {
            late_s: late_s as i64,
            chance: arrivals.chance,
            latest_departure: here.latest_departure,
            speed_ratio,
            speed_to_stay: speed_to_stay.and_then(|all| all.into_iter().reduce(f64::max)),
            ahead: (ahead.iter())
                .map(|split| Ahead {
                    station: split.station,
                    early: split.early,
                    likely: split.likely,
                    late: split.late,
                    cutoff_chance: split.cutoff_chance,
                    latest_departure: split.latest_departure,
                })
                .collect(),
        }
    }
}
