//! Windows against laws whose quantiles are known, and against published paces.

use crate::conditions::Conditions;
use crate::course::Course;
use crate::course::tests::slopes;
use crate::diagnostics::Notes;
use crate::inputs::Inputs;
use crate::inputs::surfaces_csv::Surface;
use crate::pacing::{Fade, Goal, Settings, solve};

use super::races::quantile;
use super::*;

/// Races where quantiles are compared with known ones.
const MANY: usize = 20_000;

fn dark_less(course: &Course, finish_s: f64) -> Conditions {
    Conditions::over(
        course,
        &Inputs::default(),
        None,
        finish_s,
        &mut Notes::new(),
    )
}

/// A level course of ten equal segments at even effort: a tenth of the time each.
fn level(finish_s: f64, stop_s: f64) -> (Conditions, Pacing) {
    let course = slopes(&[(10_000.0, 0.0); 10], Surface::Paved);
    let mut stops_s = vec![stop_s; 11];
    (stops_s[0], stops_s[10]) = (0.0, 0.0);
    run(&course, Fade::Slowing { strength: 0.0 }, finish_s, stops_s)
}

fn run(course: &Course, fade: Fade, finish_s: f64, stops_s: Vec<f64>) -> (Conditions, Pacing) {
    let conditions = dark_less(course, finish_s);
    let settings = Settings {
        fade,
        ..Settings::default()
    };
    let goal = Goal { finish_s, stops_s };
    let pacing = solve(course, &conditions, &settings, &goal).expect("it can be run");
    (conditions, pacing)
}

/// No chance at all but what is then added.
fn nothing() -> Figures {
    Figures {
        bridge: 1e-6,
        fade_more: 0.0,
        fade_less: 0.0,
        stopped: 0.0,
        ..Figures::default()
    }
}

fn many(evidence: Option<Evidence>) -> Trials {
    Trials {
        races: MANY,
        evidence,
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

/// A tied gamma process has beta shares: at `x` of the time they are Beta(400 x, 400 (1 - x)) for a
/// bridge of 1/20. Quantiles by scipy 1.17.1, `scipy.stats.beta.ppf`.
#[test]
fn slow_and_fast_stretches_are_the_known_bridge() {
    /// Five standard errors of a 10 % quantile of 20,000 draws.
    const ERRORS: f64 = 5.0 * 0.0021 / 0.175;
    let known = [
        (1, 0.081_265, 0.119_594),
        (5, 0.467_974, 0.532_026),
        (9, 0.880_406, 0.918_735),
    ];
    let (conditions, pacing) = level(36_000.0, 0.0);
    let figures = Figures {
        bridge: 0.05,
        ..nothing()
    };
    let windows = simulate_with(&figures, &conditions, &pacing, &[], &many(None));
    for (station, early, late) in known {
        let spread = (late - early) / 2.563;
        let window = windows.stations[station];
        near("early", window.early_s / 36_000.0, early, ERRORS * spread);
        near("late", window.late_s / 36_000.0, late, ERRORS * spread);
    }
}

/// Slowing more or less by the 90 % quantile of Student's t with 4 degrees of freedom, 1.533 in
/// any table; the time at half way by the law of slowing.
#[test]
fn fade_alone_is_the_law_of_slowing() {
    const T_90: f64 = 1.533_206;
    let (conditions, pacing) = level(36_000.0, 0.0);
    let figures = Figures {
        fade_more: 0.03,
        fade_less: 0.01,
        ..nothing()
    };
    let windows = simulate_with(&figures, &conditions, &pacing, &[], &many(None));
    // 10 h: bent at 3 h, so 1 + 5/3 at half way and 1 + 10/3 at the end
    let at_half = |exponent: f64| {
        let grown = |by: f64| by.powf(1.0 + exponent) - 1.0;
        36_000.0 * grown(8.0 / 3.0) / grown(13.0 / 3.0)
    };
    let per_exponent = (at_half(-1e-4) - at_half(1e-4)) / 2e-4 / 36_000.0;
    let (more, less) = (T_90 * 0.03 / per_exponent, T_90 * 0.01 / per_exponent);
    let window = windows.stations[5];
    near("early", window.early_s, at_half(more), 10.0);
    near("late", window.late_s, at_half(-less), 10.0);
    // a shift by so many hundredths of the finish, to first order
    near(
        "shift",
        18_000.0 - window.early_s,
        36_000.0 * 0.03 * T_90,
        150.0,
    );
}

/// A third of the races on the short side of the bell, two thirds on the long one: the 10 % and
/// 90 % quantiles are those of Student's t at 15 % and 92.5 % (scipy 1.17.1, `scipy.stats.t.ppf`).
#[test]
fn the_form_of_the_day_is_its_bell() {
    let (conditions, pacing) = level(36_000.0, 0.0);
    let asked = many(Some(Evidence::LongRuns));
    let windows = simulate_with(&nothing(), &conditions, &pacing, &[], &asked);
    let form = Figures::default().form(Evidence::LongRuns);
    near("bell", form.late, 2.0 * form.early, 1e-9);
    let finish = windows.stations[10];
    near(
        "early",
        finish.early_s,
        36_000.0 * (-1.189_567 * form.early).exp(),
        36.0,
    );
    near(
        "late",
        finish.late_s,
        36_000.0 * (1.778_192 * form.late).exp(),
        36.0,
    );
}

/// Stops that come by a Poisson law on either half of a race tied at both ends: the time at half
/// way has a quarter of the variance that all stops have, their number times the mean square of
/// their length.
#[test]
fn unplanned_stops_spread_as_a_compound_poisson_law() {
    let finish_s = 35.0 * 3600.0;
    let (conditions, pacing) = level(finish_s, 0.0);
    let figures = Figures {
        stopped: 0.11,
        ..nothing()
    };
    let windows = simulate_with(&figures, &conditions, &pacing, &[], &many(None));
    let number = figures.unplanned_s(finish_s, 0.0) / figures.mean_stop_s();
    let mean_square = (figures.stop_s * (figures.stop_spread * figures.stop_spread).exp()).powi(2);
    let deviation_s = (0.25 * number * mean_square).sqrt();
    let window = windows.stations[5];
    let width_s = window.late_s - window.early_s;
    // a little narrower than the bell of this deviation, as the lengths have a long tail
    let of_bell = width_s / (2.0 * 1.2816 * deviation_s);
    assert!((0.90..1.01).contains(&of_bell), "{of_bell}");
}

#[test]
fn the_same_seed_gives_the_same_windows_on_any_number_of_threads() {
    let (conditions, pacing) = level(72_000.0, 300.0);
    let limits: Vec<Option<Limit>> = (0..11)
        .map(|station| limit(2.1 * f64::from(station) + 0.5, CutoffOn::Arrival))
        .collect();
    let on = |threads: usize, trials: Trials| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("threads can be started");
        pool.install(|| simulate(&conditions, &pacing, &limits, &trials))
    };
    for evidence in [None, Some(Evidence::Race)] {
        let trials = Trials {
            evidence,
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
fn every_race_goes_forward_and_every_window_holds_the_plan() {
    let course = slopes(
        &[
            (400.0, 0.0),
            (9000.0, 0.12),
            (7000.0, -0.2),
            (14_000.0, 0.01),
        ],
        Surface::Rocky,
    );
    for finish_s in [12_000.0, 80_000.0] {
        let stops_s = vec![0.0, 0.0, 900.0, 60.0, 0.0];
        let (conditions, pacing) = run(&course, Fade::default(), finish_s, stops_s);
        let figures = Figures::default();
        let form = figures.form(Evidence::Hope);
        let hours = Hours::of(&conditions, &pacing, form);
        let races = Process::new(&figures, &pacing, 0).races(&many(None), Some((form, &hours)));
        for row in races.on_target().iter().chain(races.formed().iter()) {
            assert!(
                row[0] > 0.0 && row.windows(2).all(|pair| pair[0] < pair[1]),
                "{row:?}"
            );
        }
        for row in races.on_target().iter() {
            near("finish", row[3], finish_s, 1e-6 * finish_s);
        }
        for evidence in [None, Some(Evidence::Race), Some(Evidence::Hope)] {
            let windows = simulate(&conditions, &pacing, &[], &many(evidence));
            for (window, likely_s) in windows.stations.iter().zip(&pacing.arrival_s) {
                assert!(window.early_s <= *likely_s && *likely_s <= window.late_s);
            }
            let width = |station: usize| {
                let window = windows.stations[station];
                window.late_s - window.early_s
            };
            assert_eq!(width(0), 0.0);
            assert!(width(1) > 0.0 && width(2) > width(1));
            assert_eq!(width(4) < 1e-6, evidence.is_none(), "{}", width(4));
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
    let window = |course: &Course, station: usize, count: usize| {
        let (conditions, pacing) = run(course, Fade::default(), 30_000.0, vec![0.0; count]);
        simulate(&conditions, &pacing, &[], &many(None)).stations[station]
    };
    let (whole, cut) = (window(&whole, 1, 3), window(&cut, 2, 5));
    near("early", cut.early_s, whole.early_s, 0.1);
    near("late", cut.late_s, whole.late_s, 0.1);
}

#[test]
fn what_is_behind_is_certain_and_what_is_near_is_surer() {
    let (conditions, pacing) = level(72_000.0, 300.0);
    let from = |from: usize| {
        let trials = Trials {
            from,
            ..many(Some(Evidence::Race))
        };
        simulate(&conditions, &pacing, &[], &trials)
    };
    let (start, later) = (from(0), from(6));
    for station in 0..=6 {
        let window = later.stations[station];
        assert_eq!(
            (window.early_s, window.late_s),
            (pacing.arrival_s[station], pacing.arrival_s[station])
        );
    }
    for station in 7..=10 {
        let width = |w: &Windows| w.stations[station].late_s - w.stations[station].early_s;
        assert!(0.0 < width(&later) && width(&later) < 0.8 * width(&start));
    }
}

#[test]
fn less_evidence_is_a_wider_window_and_a_smaller_chance() {
    let (conditions, pacing) = level(72_000.0, 300.0);
    let mut limits = vec![None; 11];
    limits[5] = limit(10.8, CutoffOn::Arrival);
    limits[8] = limit(17.5, CutoffOn::Departure);
    limits[10] = limit(21.0, CutoffOn::Arrival);
    let asked = [
        None,
        Some(Evidence::Race),
        Some(Evidence::LongRuns),
        Some(Evidence::Hope),
    ];
    let all = asked.map(|evidence| simulate(&conditions, &pacing, &limits, &many(evidence)));
    let free = asked.map(|evidence| simulate(&conditions, &pacing, &[], &many(evidence)));
    for pair in free.windows(2) {
        let width = |w: &Windows| w.stations[10].late_s - w.stations[10].early_s;
        assert!(width(&pair[0]) < width(&pair[1]));
    }
    let chance = |w: &Windows, station: usize| w.stations[station].cutoff_chance.expect("a cutoff");
    for windows in &all {
        assert!(windows.stations[4].cutoff_chance.is_none());
        assert!(chance(windows, 5) >= chance(windows, 8));
        assert!(chance(windows, 8) >= chance(windows, 10));
    }
    for pair in all[1..].windows(2) {
        assert!(chance(&pair[0], 10) > chance(&pair[1], 10));
    }
    // left unsaid, chances still reckon with an uncertain finish
    assert_eq!(chance(&all[0], 10), chance(&all[2], 10));
    // who was stopped at a cutoff cannot be late further on
    assert!(all[3].stations[10].late_s < free[3].stations[10].late_s);
    assert!(all[3].stations[10].late_s < 23.5 * 3600.0);
}

/// On target, and with nothing left to chance, a cutoff is made or it is not; on departure it is
/// the arrival that counts.
#[test]
fn without_chance_cutoffs_are_made_or_missed() {
    let (conditions, pacing) = level(36_000.0, 600.0);
    let arrival_h = pacing.arrival_s[4] / 3600.0;
    let made = |by_h: f64, on: CutoffOn| {
        let mut limits = vec![None; 11];
        limits[4] = limit(arrival_h + by_h, on);
        limits[7] = limit(30.0, CutoffOn::Arrival);
        let figures = Figures {
            planned_spread: 0.0,
            ..nothing()
        };
        let process = Process::new(&figures, &pacing, 0);
        let races = process.races(&Trials::default(), None);
        let ends = Ends::of(races.on_target(), &pacing, &limits, 0);
        (ends.share_past(4), ends.share_past(7))
    };
    assert_eq!(made(0.02, CutoffOn::Arrival), (1.0, 1.0));
    assert_eq!(made(0.02, CutoffOn::Departure), (1.0, 1.0));
    assert_eq!(made(-0.02, CutoffOn::Arrival), (0.0, 0.0));
    let windows = simulate(&conditions, &pacing, &[None; 11], &Trials::default());
    assert!(windows.stations.iter().all(|w| w.cutoff_chance.is_none()));
}

/// Band of the speed over each later quarter against the first, in races on target.
fn quarter_bands(course: &Course, finish_s: f64) -> [(f64, f64); 3] {
    let count = course.stations.len();
    let (_, pacing) = run(course, Fade::default(), finish_s, vec![0.0; count]);
    let races = Process::new(&Figures::default(), &pacing, 0).races(&many(None), None);
    let length = |quarter: usize| {
        course.stations[quarter + 1].distance_m - course.stations[quarter].distance_m
    };
    [1, 2, 3].map(|quarter| {
        let mut ratios: Vec<f64> = races
            .on_target()
            .iter()
            .map(|row| {
                let first = length(0) / row[0];
                length(quarter) / (row[quarter] - row[quarter - 1]) / first
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

/// A looked-at hour is the marched one, where the night falls on the race as in the plan or later.
#[test]
fn hours_looked_at_are_hours_marched() {
    let zone: chrono_tz::Tz = "Europe/Vienna".parse().expect("a zone");
    let start = chrono::TimeZone::with_ymd_and_hms(&zone, 2026, 9, 12, 8, 0, 0).single();
    let clock = start.map(crate::time::RaceClock::starting);
    let course = slopes(
        &[(15_000.0, 0.04), (15_000.0, -0.04)].repeat(3),
        Surface::Rocky,
    );
    let inputs = Inputs {
        plan: crate::inputs::PlanFile {
            forecast: Some(crate::inputs::plan_toml::Forecast {
                temp_c: 27.0,
                humidity_pct: 50.0,
                wind_kmh: 5.0,
                rain_mm_per_h: 0.0,
            }),
            ..Default::default()
        },
        ..Inputs::default()
    };
    let finish_s = 16.0 * 3600.0;
    let conditions = Conditions::over(
        &course,
        &inputs,
        clock.as_ref(),
        2.0 * finish_s,
        &mut Notes::new(),
    );
    let goal = Goal {
        finish_s,
        stops_s: vec![300.0; 7],
    };
    let pacing = solve(&course, &conditions, &Settings::default(), &goal).expect("it can be run");
    let mut moved = 0.0_f64;
    for segment in 0..6 {
        for delay_s in [-5000.0, 0.0, 3000.0, 9000.0, 20_000.0] {
            let leave_s = (pacing.departure_s[segment] + delay_s).max(0.0);
            let marched_s = pacing.arrive_s(&conditions, segment, leave_s) - leave_s;
            let marched = marched_s / pacing.segments[segment].moving_s;
            let looked_at = pacing.hour_ratio(&conditions, segment, leave_s);
            near("ratio", looked_at, marched, 0.004);
            moved = moved.max((marched - 1.0).abs());
        }
    }
    assert!(moved > 0.04, "the hours change nothing here: {moved}");
}
