//! Arrivals against laws whose quantiles are known, against hand-made conditioning and a long plain
//! simulation, and against published paces.

use crate::ability::Spread;
use crate::course::Course;
use crate::course::tests::slopes;
use crate::diagnostics::Notes;
use crate::inputs::Inputs;
use crate::inputs::surfaces_csv::Surface;
use crate::pacing::{Fade, Goal, PacingSettings, solve};

use super::count::quantile;
use super::*;

mod seen;

/// Races where quantiles are compared with known ones.
const MANY: usize = 20_000;
/// The 90 % quantile of the standard normal, in any table.
const Z_90: f64 = 1.281_552;

/// A course and its plan.
struct Planned {
    course: Course,
    conditions: Conditions,
    pacing: Pacing,
}

impl Planned {
    fn with(course: Course, fade: Fade, finish_s: f64, stops_s: Vec<f64>) -> Planned {
        let inputs = Inputs::default();
        let conditions = Conditions::over(&course, &inputs, None, finish_s, &mut Notes::new());
        let settings = PacingSettings {
            fade,
            ..PacingSettings::default()
        };
        let goal = Goal { finish_s, stops_s };
        let pacing = solve(&course, &conditions, &settings, &goal).expect("it can be run");
        Planned {
            course,
            conditions,
            pacing,
        }
    }

    fn arrivals(&self, figures: &Straying, limits: &[Option<Limit>], trials: &Trials) -> Arrivals {
        simulate_with(figures, &self.conditions, &self.pacing, limits, trials)
    }

    fn races(&self, figures: &Straying, trials: &Trials) -> count::Races {
        let finishes = Finishes::of_target(&self.pacing);
        Population::new(figures, &finishes).races(self.pacing.finish_s, trials)
    }
}

/// A level course of twenty equal segments at even effort: a twentieth of the time each.
fn level(finish_s: f64, stop_s: f64) -> Planned {
    let course = slopes(&[(5_000.0, 0.0); 20], Surface::Paved);
    let mut stops_s = vec![stop_s; 21];
    (stops_s[0], stops_s[20]) = (0.0, 0.0);
    Planned::with(course, Fade::Slowing { strength: 0.0 }, finish_s, stops_s)
}

/// No chance at all but what is then added.
fn nothing() -> Straying {
    Straying {
        drift: 0.0,
        drift_power: 1.0,
        start: 0.0,
        stretches: 0.0,
        by_speed: 0.0,
        stopped: 0.0,
        planned_spread: 0.0,
        ..Straying::default()
    }
}

fn many(finish: Option<Spread>) -> Trials {
    Trials {
        races: MANY,
        finish,
        ..Trials::default()
    }
}

fn limit(hours: f64, on: CutoffOn) -> Option<Limit> {
    Some(Limit {
        elapsed: Elapsed::from_s(hours * 3600.0),
        on,
    })
}

#[track_caller]
fn near(what: &str, ours: f64, known: f64, tolerance: f64) {
    assert!(
        (ours - known).abs() <= tolerance,
        "{what}: {ours}, not {known}"
    );
}

/// Of a Brownian drift B of the pace, a race that is tied at its finish is off by
/// `∫B from 0 to 1/2 - 1/2 ∫B from 0 to 1` at half way, whose variance is 1/24 + 1/12 - 5/48 = 1/48.
#[test]
fn drift_alone_is_the_integral_of_a_walk() {
    let planned = level(36_000.0, 0.0);
    let figures = Straying {
        drift: 0.02,
        ..nothing()
    };
    let arrivals = planned.arrivals(&figures, &[], &many(None));
    let half = arrivals.stations[10];
    let width_s = 36_000.0 * 0.02 / 48.0_f64.sqrt() * Z_90;
    near("likely", half.likely_s, 18_000.0, 5.0);
    near("early", half.early_s, 18_000.0 - width_s, 0.04 * width_s);
    near("late", half.late_s, 18_000.0 + width_s, 0.04 * width_s);
}

/// Independent pieces are a walk tied at both ends: variance x (1 - x) of the whole.
#[test]
fn stretches_alone_are_a_bridge() {
    let planned = level(36_000.0, 0.0);
    let figures = Straying {
        stretches: 0.004,
        ..nothing()
    };
    let arrivals = planned.arrivals(&figures, &[], &many(None));
    for (station, share) in [(4, 0.2_f64), (10, 0.5), (18, 0.9)] {
        let width_s = 36_000.0 * 0.004 * (share * (1.0 - share)).sqrt() * Z_90;
        let arrival = arrivals.stations[station];
        let middle_s = 36_000.0 * share;
        near("early", arrival.early_s, middle_s - width_s, 0.06 * width_s);
        near("late", arrival.late_s, middle_s + width_s, 0.06 * width_s);
    }
}

/// With nothing else left to chance a finish is as spread as was asked for, and every station with
/// it, whose share of the time is known at even effort.
#[test]
fn the_finish_is_spread_as_asked() {
    let planned = level(36_000.0, 0.0);
    let spread = Spread::between(38_000.0, 0.10, 0.20);
    let arrivals = planned.arrivals(&nothing(), &[], &many(Some(spread)));
    for (station, share) in [(20, 1.0), (5, 0.25)] {
        let arrival = arrivals.stations[station];
        let known = |log: f64| 38_000.0 * share * f64::exp(log);
        near("early", arrival.early_s, known(-0.10), 30.0);
        near("likely", arrival.likely_s, known(0.0), 30.0);
        near("late", arrival.late_s, known(0.20), 30.0);
    }
}

/// Stops that come by a Poisson law on either half of a race tied at both ends: the time at half
/// way has a quarter of the variance that all stops have, their number times the mean square of
/// their length.
#[test]
fn unplanned_stops_spread_as_a_compound_poisson_law() {
    let finish_s = 35.0 * 3600.0;
    let planned = level(finish_s, 0.0);
    let figures = Straying {
        stopped: 0.11,
        ..nothing()
    };
    let half = planned.arrivals(&figures, &[], &many(None)).stations[10];
    let number = figures.unplanned_s(finish_s, 0.0) / figures.mean_stop_s();
    let mean_square = (figures.stop_s * (figures.stop_spread * figures.stop_spread).exp()).powi(2);
    let deviation_s = (0.25 * number * mean_square).sqrt();
    // a little narrower than the bell of this deviation, as the lengths have a long tail
    let of_bell = (half.late_s - half.early_s) / (2.0 * Z_90 * deviation_s);
    assert!((0.88..1.01).contains(&of_bell), "{of_bell}");
}

#[test]
fn the_same_seed_gives_the_same_arrivals_on_any_number_of_threads() {
    let planned = level(72_000.0, 300.0);
    let limits: Vec<Option<Limit>> = (0..21)
        .map(|station| limit(1.05 * f64::from(station) + 0.5, CutoffOn::Arrival))
        .collect();
    let on = |threads: usize, trials: Trials| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("threads can be started");
        pool.install(|| planned.arrivals(&Straying::default(), &limits, &trials))
    };
    for finish in [None, Some(Spread::between(75_000.0, 0.2, 0.2))] {
        let trials = Trials {
            finish,
            ..Trials::default()
        };
        let one = on(1, trials);
        assert_eq!(one, on(2, trials));
        assert_eq!(one, on(5, trials));
        let other_seed = Trials { seed: 7, ..trials };
        assert_ne!(one, on(2, other_seed));
    }
}

#[test]
fn every_race_goes_forward_and_those_on_target_end_there() {
    let hills = [
        (400.0, 0.0),
        (9000.0, 0.12),
        (7000.0, -0.2),
        (14_000.0, 0.01),
    ];
    for finish_s in [12_000.0, 80_000.0] {
        let course = slopes(&hills, Surface::Rocky);
        let stops_s = vec![0.0, 0.0, 900.0, 60.0, 0.0];
        let planned = Planned::with(course, Fade::default(), finish_s, stops_s);
        let figures = Straying::default();
        for finish in [None, Some(Spread::between(1.1 * finish_s, 0.2, 0.3))] {
            for row in planned.races(&figures, &many(finish)).rows() {
                assert!(row.windows(2).all(|pair| pair[0] < pair[1]), "{row:?}");
                if finish.is_none() {
                    near("finish", row[4], finish_s, 1e-6 * finish_s);
                }
            }
            let arrivals = planned.arrivals(&figures, &[], &many(finish));
            for pair in arrivals.stations.windows(2) {
                assert!(pair[0].early_s < pair[1].early_s);
                assert!(pair[0].late_s < pair[1].late_s);
                assert!(pair[1].early_s <= pair[1].likely_s);
                assert!(pair[1].likely_s <= pair[1].late_s);
            }
        }
    }
}

/// A station that takes no time is no reason for another window elsewhere.
#[test]
fn cutting_a_segment_changes_no_other_window() {
    let whole = slopes(&[(20_000.0, 0.0), (30_000.0, 0.0)], Surface::Paved);
    let cut = slopes(
        &[
            (7000.0, 0.0),
            (13_000.0, 0.0),
            (1000.0, 0.0),
            (29_000.0, 0.0),
        ],
        Surface::Paved,
    );
    let spread = Some(Spread::between(32_000.0, 0.2, 0.2));
    let arrival = |course: &Course, station: usize, count: usize| {
        let stops_s = vec![0.0; count];
        let planned = Planned::with(course.clone(), Fade::default(), 30_000.0, stops_s);
        planned
            .arrivals(&Straying::default(), &[], &many(spread))
            .stations[station]
    };
    let (whole, cut) = (arrival(&whole, 1, 3), arrival(&cut, 2, 5));
    near("early", cut.early_s, whole.early_s, 0.5);
    near("likely", cut.likely_s, whole.likely_s, 0.5);
    near("late", cut.late_s, whole.late_s, 0.5);
}

/// Between the finishes that are solved, shares are as those of a solved one.
#[test]
fn between_solved_finishes_shares_are_solved_ones() {
    let hills = [(15_000.0, 0.04), (15_000.0, -0.04)].repeat(3);
    let course = slopes(&hills, Surface::Rocky);
    let planned = Planned::with(course, Fade::default(), 60_000.0, vec![0.0; 7]);
    let (course, conditions) = (&planned.course, &planned.conditions);
    let finishes = Finishes::over(conditions, &planned.pacing);
    let mut moved = Vec::new();
    for finish_s in [50_000.0, 60_000.0, 66_000.0, 75_000.0, 95_000.0] {
        finishes.moved(finish_s, &mut moved);
        let goal = Goal {
            finish_s,
            stops_s: vec![0.0; 7],
        };
        let settings = planned.pacing.settings;
        let solved = solve(course, conditions, &settings, &goal).expect("it can be run");
        for (share, arrival_s) in moved.iter().zip(&solved.arrival_s) {
            near("share", *share, arrival_s / finish_s, 0.001);
        }
    }
}

/// Nine races in ten are in before the late arrival, so it lies before a cutoff where, and only
/// where, the chance of that cutoff is nine in ten; and alike for early and likely.
#[test]
fn no_row_contradicts_itself() {
    let planned = level(72_000.0, 300.0);
    for finish in [None, Some(Spread::between(76_000.0, 0.2, 0.25))] {
        for tenth_h in 0..60 {
            let hours = |station: i32| 0.7 + 1.0 * f64::from(station) + 0.1 * f64::from(tenth_h);
            let limits: Vec<Option<Limit>> = (0..21)
                .map(|station| limit(hours(station), CutoffOn::Arrival))
                .collect();
            let trials = Trials {
                finish,
                ..Trials::default()
            };
            let arrivals = planned.arrivals(&Straying::default(), &limits, &trials);
            let mut before = 1.0;
            for (arrival, limit) in arrivals.stations.iter().zip(&limits) {
                let limit_s = limit.map_or(0.0, |limit| limit.elapsed.as_s());
                let chance = arrival.cutoff_chance.expect("it has a cutoff");
                let so_far = arrival.chance_so_far.expect("it has a cutoff");
                for (at_s, share) in [
                    (arrival.early_s, 0.1),
                    (arrival.likely_s, 0.5),
                    (arrival.late_s, 0.9),
                ] {
                    if at_s <= limit_s {
                        assert!(chance >= share - 0.001, "{at_s} {limit_s} {chance}");
                    } else {
                        assert!(chance <= share + 0.001, "{at_s} {limit_s} {chance}");
                    }
                }
                assert!(so_far <= chance && so_far <= before);
                before = so_far;
            }
            assert_eq!(arrivals.chance, Some(before));
        }
    }
}

#[test]
fn less_to_rest_on_is_a_wider_window_and_a_smaller_chance() {
    let planned = level(72_000.0, 300.0);
    let mut limits = vec![None; 21];
    limits[10] = limit(11.5, CutoffOn::Arrival);
    limits[20] = limit(23.0, CutoffOn::Arrival);
    let all = [0.05, 0.1, 0.2].map(|width| {
        let spread = Spread::between(72_000.0, width, width);
        planned.arrivals(&Straying::default(), &limits, &many(Some(spread)))
    });
    for pair in all.windows(2) {
        let width = |a: &Arrivals| a.stations[20].late_s - a.stations[20].early_s;
        assert!(width(&pair[0]) < width(&pair[1]));
        assert!(pair[0].chance > pair[1].chance);
    }
    assert_eq!(all[2].stations[5].cutoff_chance, None);
    assert!(all[2].weakest.is_some());
}

/// With nothing left to chance a cutoff is made or it is not; on departure it is the arrival that
/// counts.
#[test]
fn without_chance_cutoffs_are_made_or_missed() {
    let planned = level(36_000.0, 600.0);
    let arrival_h = planned.pacing.arrival_s[8] / 3600.0;
    let made = |by_h: f64, on: CutoffOn| {
        let mut limits = vec![None; 21];
        limits[8] = limit(arrival_h + by_h, on);
        limits[14] = limit(30.0, CutoffOn::Arrival);
        let arrivals = planned.arrivals(&nothing(), &limits, &Trials::default());
        (arrivals.stations[8].cutoff_chance, arrivals.chance)
    };
    assert_eq!(made(0.02, CutoffOn::Arrival), (Some(1.0), Some(1.0)));
    assert_eq!(made(0.02, CutoffOn::Departure), (Some(1.0), Some(1.0)));
    assert_eq!(made(-0.02, CutoffOn::Arrival), (Some(0.0), Some(0.0)));
    let free = planned.arrivals(&nothing(), &[None; 21], &Trials::default());
    assert_eq!((free.chance, free.weakest), (None, None));
}

/// Band of the speed over each later quarter against the first, in races on target.
fn quarter_bands(course: &Course, finish_s: f64) -> [(f64, f64); 3] {
    let count = course.stations.len();
    let planned = Planned::with(course.clone(), Fade::default(), finish_s, vec![0.0; count]);
    let races = planned.races(&Straying::default(), &many(None));
    let length = |quarter: usize| {
        course.stations[quarter + 1].distance_m - course.stations[quarter].distance_m
    };
    [1, 2, 3].map(|quarter| {
        let mut ratios: Vec<f64> = races
            .rows()
            .map(|row| {
                let first = length(0) / row[1];
                length(quarter) / (row[quarter + 1] - row[quarter]) / first
            })
            .collect();
        (quantile(&mut ratios, 0.1), quantile(&mut ratios, 0.9))
    })
}

#[track_caller]
fn inside(what: &str, value: f64, (low, high): (f64, f64)) {
    assert!(
        (low..=high).contains(&value),
        "{what}: {value} in {low} to {high}"
    );
}

/// Speed by quarters of the effort against the first, stops included, in two editions of a
/// mountain race of 98 km with 3.1 km of climb: 980 and 876 finishers with all splits (open data
/// of T. Ferenci, repositories K100Statisztika and K100Statisztika-2023, GPL-3): medians, and the
/// quartiles of the last quarter. The middle half of finishers lies inside the middle 80 % of ours.
#[test]
fn quarters_of_a_mountain_race_lie_inside() {
    // 24.5 km with 775 m up and down in each quarter
    let hill = [(12_250.0, 0.0633), (12_250.0, -0.0633)];
    let course = slopes(&hill.repeat(4), Surface::SmoothTrail);
    let mut quarters = course.clone();
    quarters.stations.retain(|s| s.place % 2 == 0);
    quarters.segments.truncate(4);
    for (from, segment) in quarters.segments.iter_mut().enumerate() {
        (segment.from, segment.climb_m, segment.descent_m) = (from, 775.0, 775.0);
    }
    for hours in [16.0, 19.0, 22.0] {
        let [second, third, last] = quarter_bands(&quarters, hours * 3600.0);
        for (value, of_third) in [(0.797, 0.761), (0.828, 0.763)] {
            inside("second quarter", value, second);
            inside("third quarter", of_third, third);
        }
        for value in [0.704, 0.740, 0.661, 0.789] {
            inside("last quarter", value, last);
        }
    }
}

/// 100 km on the road: each sector of the best ten of ten years ran 98.0, 94.6 and 95.5 % as fast
/// as the one before (Knechtle 2015, doi 10.2147/OAJSM.S79568; sectors of 38, 18, 21 and 23 km); the fastest
/// of the world championship stayed within 15 % of their first speed (Lambert 2004, J
/// Sports Sci Med 3:167).
#[test]
fn the_best_on_the_road_lie_inside() {
    let course = slopes(
        &[
            (38_000.0, 0.0),
            (18_000.0, 0.0),
            (21_000.0, 0.0),
            (23_000.0, 0.0),
        ],
        Surface::Paved,
    );
    let [second, third, last] = quarter_bands(&course, 6.75 * 3600.0);
    inside("second sector", 0.980, second);
    inside("third sector", 0.980 * 0.946, third);
    inside("last sector", 0.980 * 0.946 * 0.955, last);
    assert!(last.1 > 0.85, "{last:?}");
}
