//! Answers of a replan, station by station, for a page without the engine: what the last passage
//! alone says, and how far passages before it move that.
//!
//! Late by the same share everywhere says another thing of the rest than late by as much of a
//! sudden. The logarithm of the time that the rest takes is nearly linear in the logarithms of the
//! times at which earlier stations were passed, so that a slope for each says it.

use rayon::prelude::*;

use crate::arrivals::{Kind, Passage};
use crate::plan::{Plan, Race};

use super::answers::{Answer, Answerer};

/// The answers of one station.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct AnswerTable {
    /// Index of the station.
    pub station: usize,
    /// Seen coming and nowhere else, by lateness, ascending.
    pub came: Vec<Answer>,
    /// Seen leaving and nowhere else, by lateness, ascending; empty where nobody waits or the
    /// runner runs through.
    pub left: Vec<Answer>,
    /// Changes by passages before this one.
    pub earlier: Earlier,
}

/// Moves of the answer by passages before the last one.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Earlier {
    /// Stations whose passages count, all before this one, in course order.
    pub stations: Vec<usize>,
    /// By lateness of the last passage, ascending.
    pub even: Vec<Even>,
    /// Latenesses of the last passage that the slopes are of, ascending, seconds.
    pub slopes_late_s: Vec<i64>,
    /// Weights by which the logarithm of the time from here to each station ahead follows that at
    /// each of [`Earlier::stations`]: by lateness, station, station ahead, for early, likely and
    /// late.
    pub slopes: Vec<Vec<Vec<[f64; 3]>>>,
    /// Seconds by which early, likely and late at each station ahead are later for every second
    /// that was stood longer than planned, by lateness: less than one, as long stops are part of
    /// a finish. Empty where no stop is planned so far.
    pub stood: Vec<Vec<[f64; 3]>>,
}

/// All of the stations before passed, each as late in proportion as this one.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Even {
    /// Time seen less time planned, seconds.
    pub late_s: i64,
    /// Early, likely and late at each station ahead, seconds after the start.
    pub ahead: Vec<[f64; 3]>,
}

/// Latenesses of an even day, as shares of the planned time.
const EVEN_SHARES: [f64; 7] = [-0.10, -0.05, 0.0, 0.06, 0.12, 0.20, 0.35];
/// Latenesses that the slopes are taken at.
const SLOPE_SHARES: [f64; 3] = [-0.05, 0.06, 0.20];
/// The distance that an earlier passage is moved for its slope.
const STEP: f64 = 0.05;
/// Longer than planned stood for its slope, seconds.
const STOOD_S: f64 = 600.0;
/// Between two stations that count lies no more of the race than this, where stations allow it.
const WIDEST: f64 = 0.45;

/// The tables of every station but start and finish, in course order; at `watched` stations
/// somebody waits for the runner.
#[must_use]
pub fn tables(race: &Race, plan: &Plan, watched: &[usize]) -> Vec<AnswerTable> {
    let asked = Answerer::of(race, plan);
    (1..race.course.stations.len().saturating_sub(1))
        .into_par_iter()
        .map(|station| {
            let is_left = watched.contains(&station) && race.stops_s[station] > 0.0;
            AnswerTable {
                station,
                came: asked.rows(station, Kind::Arrival),
                left: if is_left {
                    asked.rows(station, Kind::Departure)
                } else {
                    Vec::new()
                },
                earlier: earlier(&asked, station, watched),
            }
        })
        .collect()
}

fn earlier(asked: &Answerer<'_>, station: usize, watched: &[usize]) -> Earlier {
    let planned_s = &asked.plan.pacing.arrival_s;
    let late_s = |share: f64| (share * planned_s[station]).round() as i64;
    let stations = counted(planned_s, station, watched);
    let slopes_late_s = SLOPE_SHARES.map(late_s).to_vec();
    let stood = stood(asked, station, &stations);
    if stations.is_empty() {
        return Earlier {
            slopes_late_s,
            stood,
            ..Earlier::default()
        };
    }
    let windows = |share: f64, moved: Option<(usize, f64)>| {
        let before = stations.iter().map(|at| {
            let off = moved
                .filter(|(which, _)| which == at)
                .map_or(0.0, |(_, off)| off);
            passage(*at, planned_s[*at] * (1.0 + share) * off.exp())
        });
        let last = passage(station, planned_s[station] * (1.0 + share));
        let passages: Vec<Passage> = before.chain([last]).collect();
        asked.windows(&passages).split_off(station + 1)
    };
    let even = EVEN_SHARES.map(|share| Even {
        late_s: late_s(share),
        ahead: windows(share, None),
    });
    let slope = |share: f64, at: usize| -> Vec<[f64; 3]> {
        let here_s = planned_s[station] * (1.0 + share);
        let rest_s = |at_s: f64| (at_s - here_s).max(1.0);
        let [up, down] = [STEP, -STEP].map(|step| windows(share, Some((at, step))));
        let pairs = up.iter().zip(&down);
        pairs
            .map(|(up, down)| {
                let by = |which: usize| rest_s(up[which]) / rest_s(down[which]);
                std::array::from_fn(|which| by(which).ln() / (2.0 * STEP))
            })
            .collect()
    };
    let slopes = SLOPE_SHARES.map(|share| stations.iter().map(|at| slope(share, *at)).collect());
    Earlier {
        even: even.to_vec(),
        slopes_late_s,
        slopes: slopes.to_vec(),
        stood,
        stations,
    }
}

/// [`Earlier::stood`]: wherever it was stood makes no difference.
fn stood(asked: &Answerer<'_>, station: usize, before: &[usize]) -> Vec<Vec<[f64; 3]>> {
    let (planned_s, stops_s) = (&asked.plan.pacing.arrival_s, &asked.race.stops_s);
    let Some(at) = (1..=station).rfind(|at| stops_s[*at] > 0.0) else {
        return Vec::new();
    };
    let mut stations: Vec<usize> = before.iter().copied().chain([at, station]).collect();
    stations.sort_unstable();
    stations.dedup();
    let windows = |share: f64, more_s: f64| {
        let mut passages = Vec::new();
        for which in &stations {
            let since_s = if *which > at { more_s } else { 0.0 };
            let came = passage(*which, planned_s[*which] * (1.0 + share) + since_s);
            passages.push(came);
            if *which == at {
                passages.push(Passage {
                    kind: Kind::Departure,
                    at_s: came.at_s + stops_s[at] + more_s,
                    ..came
                });
            }
        }
        asked.windows(&passages).split_off(station + 1)
    };
    let slopes = SLOPE_SHARES.map(|share| {
        let [more, none] = [STOOD_S, 0.0].map(|more_s| windows(share, more_s));
        let pairs = more.iter().zip(&none);
        pairs
            .map(|(more, none)| std::array::from_fn(|at| (more[at] - none[at]) / STOOD_S))
            .collect()
    });
    slopes.to_vec()
}

fn passage(station: usize, at_s: f64) -> Passage {
    Passage {
        station,
        kind: Kind::Arrival,
        at_s,
    }
}

/// The watched stations before one, and others where these lie far apart.
fn counted(planned_s: &[f64], station: usize, watched: &[usize]) -> Vec<usize> {
    let widest_s = WIDEST * planned_s.last().copied().unwrap_or_default();
    let mut found: Vec<usize> = Vec::new();
    let mut last_s = 0.0;
    for at in 1..station {
        let next_s = planned_s[at + 1];
        if watched.contains(&at) || next_s - last_s > widest_s {
            found.push(at);
            last_s = planned_s[at];
        }
    }
    found
}
