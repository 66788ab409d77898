//! Answers of a replan, station by station, for a page without the engine: what the last passage
//! alone says, and how far passages before it move that.
//!
//! Late by the same share everywhere says another thing of the rest than late by as much of a
//! sudden. So there are days on which the lateness grows or shrinks evenly. What a day strays from
//! those says little more, and the logarithm of the time that the rest takes is nearly linear in it,
//! so that a slope for each earlier station says it.

use rayon::prelude::*;

use crate::arrivals::{Kind, Passage, Trials};
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
    /// Latenesses of the last passage on the days that [`Earlier::days`] has, ascending, seconds.
    pub days_late_s: Vec<i64>,
    /// Trends of these days, ascending: the logarithm of how much later for its planned time than
    /// the last passage the start was, had it gone on like this; evenly less from there to here.
    pub trends: Vec<f64>,
    /// Early, likely and late at each station ahead, seconds after the start: by trend, lateness,
    /// station ahead.
    pub days: Vec<Vec<Vec<[f64; 3]>>>,
    /// The logarithm of how much longer the rest takes on some of these days where the ends of the
    /// stops before were seen, too, and were as planned, early, likely and late: by every other
    /// trend, lateness of [`Earlier::slopes_late_s`], station ahead.
    pub ends: Vec<Vec<Vec<[f64; 3]>>>,
    /// The part of that for the end of the stop at each of [`Earlier::stations`] alone.
    pub end_shares: Vec<f64>,
    /// The same as [`Earlier::ends`] for the end of the stop here.
    pub own_end: Vec<Vec<Vec<[f64; 3]>>>,
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

/// Latenesses of the days, as shares of the planned time.
const DAY_SHARES: [f64; 7] = [-0.10, -0.05, 0.0, 0.06, 0.12, 0.20, 0.35];
/// Trends of the days.
const TRENDS: [f64; 5] = [-0.16, -0.08, 0.0, 0.08, 0.16];
/// Latenesses that the slopes are taken at, some of those of the days.
const SLOPE_SHARES: [f64; 3] = [-0.05, 0.06, 0.20];
/// The day on which ends of stops are compared, an even one: its places among the trends and the
/// latenesses.
const MIDDLE: (usize, usize) = (2, 3);
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
    let asked = Answerer::of(race, plan, &Trials::default());
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
    let (planned_s, stops_s) = (&asked.plan.pacing.arrival_s, &asked.race.stops_s);
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
    // each station before so much later for its time than the last one
    let windows = |share: f64, has_end: &dyn Fn(usize) -> bool, off: &dyn Fn(usize) -> f64| {
        let mut passages = Vec::new();
        for at in stations.iter().copied().chain([station]) {
            let came = passage(at, planned_s[at] * (1.0 + share) * off(at).exp());
            passages.push(came);
            if has_end(at) && stops_s[at] > 0.0 {
                passages.push(Passage {
                    kind: Kind::Departure,
                    at_s: came.at_s + stops_s[at],
                    ..came
                });
            }
        }
        asked.windows(&passages).split_off(station + 1)
    };
    let day = |trend: f64, share: f64, has_end: &dyn Fn(usize) -> bool| {
        let along = |at: usize| trend * (1.0 - planned_s[at] / planned_s[station]);
        windows(share, has_end, &along)
    };
    let longer = |share: f64, rest: &[[f64; 3]], than: &[[f64; 3]]| -> Vec<[f64; 3]> {
        let here_s = planned_s[station] * (1.0 + share);
        let rest_s = |at_s: f64| (at_s - here_s).max(1.0);
        let pairs = rest.iter().zip(than);
        pairs
            .map(|(rest, than)| std::array::from_fn(|i| (rest_s(rest[i]) / rest_s(than[i])).ln()))
            .collect()
    };
    let slope = |share: f64, moved: usize| -> Vec<[f64; 3]> {
        let [up, down] = [STEP, -STEP].map(|step| {
            windows(share, &|_| false, &|at| {
                if at == moved { step } else { 0.0 }
            })
        });
        let of = |logs: [f64; 3]| logs.map(|log| log / (2.0 * STEP));
        longer(share, &up, &down).into_iter().map(of).collect()
    };
    let days = TRENDS.map(|trend| DAY_SHARES.map(|share| day(trend, share, &|_| false)));
    let with_ends = |trend: usize, has_end: &dyn Fn(usize) -> bool| -> Vec<Vec<[f64; 3]>> {
        let told = DAY_SHARES.iter().zip(&days[trend]);
        told.filter(|(share, _)| SLOPE_SHARES.contains(share))
            .map(|(share, came)| longer(*share, &day(TRENDS[trend], *share, has_end), came))
            .collect()
    };
    let each = |has_end: &dyn Fn(usize) -> bool| -> Vec<Vec<Vec<[f64; 3]>>> {
        let trends = (0..TRENDS.len()).step_by(2);
        trends.map(|trend| with_ends(trend, has_end)).collect()
    };
    // of the whole rest, how much nearer early and late are
    let narrower = |end: usize| {
        let (trend, share) = (TRENDS[MIDDLE.0], DAY_SHARES[MIDDLE.1]);
        let known = day(trend, share, &|at| at == end);
        let logs = longer(share, &known, &days[MIDDLE.0][MIDDLE.1]);
        logs.last()
            .map_or(0.0, |[early, _, late]| early.abs() + late.abs())
    };
    let parts: Vec<f64> = stations.iter().map(|end| narrower(*end)).collect();
    let all = parts.iter().sum::<f64>().max(f64::MIN_POSITIVE);
    let ends = match stations.iter().any(|at| stops_s[*at] > 0.0) {
        true => each(&|at| at < station),
        false => Vec::new(),
    };
    let own_end = match stops_s[station] > 0.0 {
        true => each(&|at| at == station),
        false => Vec::new(),
    };
    Earlier {
        days_late_s: DAY_SHARES.map(late_s).to_vec(),
        trends: TRENDS.to_vec(),
        ends,
        end_shares: parts.iter().map(|part| part / all).collect(),
        own_end,
        days: days.map(Vec::from).to_vec(),
        slopes_late_s,
        slopes: (SLOPE_SHARES.iter())
            .map(|share| stations.iter().map(|at| slope(*share, *at)).collect())
            .collect(),
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
