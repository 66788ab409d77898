//! Recovery of known figures, and how far doubt draws them back.

use sutler::fit::{Fit, FitVerdict, FittedFigure};

use super::{UNUSUAL, days, fitted, recording};
use crate::support::recorded::{Recorded, Runner};

/// The range printed is one standard deviation to either side; 19 of 20 lie within two.
#[track_caller]
fn holds(estimate: FittedFigure, truth: f64) {
    let half = 0.5 * (estimate.high - estimate.low);
    assert!(
        (estimate.value - truth).abs() < 2.0 * half,
        "{truth} is not in {estimate:?}"
    );
}

#[test]
fn known_figures_come_back_within_the_range_that_is_printed() {
    for truth in [UNUSUAL, Runner::USUAL] {
        holds(fitted(days(truth, 0..12)).own.fade, truth.fade);
    }
}

/// Runners drawn from the spread that the fit believes in: about two of three fades lie within the
/// range that is printed. Of 32, 14 to 30 do in all but one of a thousand draws (binomial with
/// 0.68).
#[test]
fn ranges_hold_about_as_often_as_they_say() {
    let mut chance = crate::support::course_maker::chance::Chance::new(1, 1);
    let held = (0..32).filter(|runner| {
        let truth = Runner {
            fade: 0.9 + 0.15 * chance.bell(),
            stop_multiplier: 1.0,
        };
        let fit = fitted(days(truth, 100 * runner..100 * runner + 3));
        (fit.own.fade.low..=fit.own.fade.high).contains(&truth.fade)
    });
    let held = held.count();
    assert!((14..=30).contains(&held), "{held} of 32");
}

/// How far from the usual to the truth an estimate has come.
fn way(estimate: FittedFigure) -> f64 {
    let usual = Runner::USUAL.fade;
    (estimate.value - usual) / (UNUSUAL.fade - usual)
}

#[test]
fn one_recording_hardly_moves_the_figures_and_many_that_agree_do() {
    let one = fitted(days(UNUSUAL, 3..4));
    assert_eq!(one.own.verdict, FitVerdict::Untried);
    assert!(
        (-0.05..0.35).contains(&way(one.own.fade)),
        "{:?}",
        one.own.fade
    );
    assert!(one.own.fade.own_share < 0.35, "{:?}", one.own.fade);
    // a day a week: older ones count less, so that twenty are worth fourteen
    let twenty = fitted(days(UNUSUAL, 0..20)).own.fade;
    assert!((0.7..1.2).contains(&way(twenty)), "{twenty:?}");
    assert!(twenty.own_share > 0.6, "{twenty:?}");
}

#[test]
fn figures_that_are_the_runners_own_predict_runs_left_out_better() {
    let fit = fitted(days(UNUSUAL, 0..6));
    assert_eq!(fit.own.verdict, FitVerdict::Better);
    let (before, after) = (fit.own.default_error, fit.own.own_error);
    let after = after.expect("there are others to predict from");
    assert!(
        after.mean_pct < 0.95 * before.mean_pct,
        "{before:?} {after:?}"
    );
}

/// Random days of a runner without figures of their own: whatever was fitted, what is recommended
/// does no harm beyond chance.
#[test]
fn a_usual_runner_is_not_made_worse() {
    let usual = Runner::USUAL;
    for seeds in [20..23, 30..34, 40..48] {
        let fit = fitted(days(usual, seeds));
        let (before, after) = (fit.own.default_error, fit.own.own_error);
        let after = after.expect("there are others to predict from");
        assert!(
            after.mean_pct < before.mean_pct + 0.15,
            "{before:?} {after:?}"
        );
    }
}

#[test]
fn one_terrible_day_does_not_carry_the_others_along() {
    let calm = fitted(days(Runner::USUAL, 0..8));
    let mut all = days(Runner::USUAL, 0..8);
    let mut bonked = Recorded::day(50, Runner::USUAL);
    bonked.runner.fade = 5.0;
    all.push(recording("bonked.gpx", &bonked.track()));
    let shaken = fitted(all);
    let bonk = &shaken.runs.last().expect("it is there").evidence;
    assert!(bonk.fade > 3.5, "{bonk:?}");
    let moved = shaken.own.fade.value - calm.own.fade.value;
    // a plain mean would have moved by more than 0.4
    assert!((0.0..0.1).contains(&moved), "{moved}");
}

#[test]
fn the_order_of_the_files_does_not_matter() {
    let mut backwards = days(UNUSUAL, 0..5);
    backwards.reverse();
    let (one, other) = (fitted(days(UNUSUAL, 0..5)), fitted(backwards));
    assert_eq!(one.own.fade, other.own.fade);
    let names =
        |fit: &Fit| -> Vec<String> { fit.runs.iter().map(|r| r.recording.name.clone()).collect() };
    assert_eq!(names(&one), names(&other));
}
