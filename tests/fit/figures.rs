//! Recovery of known figures, and how far doubt draws them back.

use sutler::fit::{Figures, Fit, FitVerdict, FittedFigure};

use super::{UNUSUAL, days, fitted, recording};
use crate::support::recorded::Recorded;

/// Each estimate with the figure it is of.
fn pairs(fit: &Fit, truth: Figures) -> [(&'static str, FittedFigure, f64, f64); 2] {
    let (own, usual) = (&fit.own, Figures::USUAL);
    [
        ("fade", own.fade, truth.fade, usual.fade),
        (
            "stop",
            own.stop_multiplier,
            truth.stop_multiplier,
            usual.stop_multiplier,
        ),
    ]
}

/// The range printed is one standard deviation to either side; 19 of 20 lie within two.
#[track_caller]
fn holds(name: &str, estimate: FittedFigure, truth: f64) {
    let half = 0.5 * (estimate.high - estimate.low);
    assert!(
        (estimate.value - truth).abs() < 2.0 * half,
        "{name}: {truth} is not in {estimate:?}"
    );
}

#[test]
fn known_figures_come_back_within_the_range_that_is_printed() {
    for truth in [UNUSUAL, Figures::USUAL] {
        let fit = fitted(days(truth, 0..12));
        for (name, estimate, truth, _) in pairs(&fit, truth) {
            holds(name, estimate, truth);
        }
    }
}

/// Runners drawn from the spread that the fit believes in: about two of three fades lie within the
/// range that is printed. Of 32, 14 to 30 do in all but one of a thousand draws (binomial with
/// 0.68).
#[test]
fn ranges_hold_about_as_often_as_they_say() {
    let mut chance = crate::support::course_maker::chance::Chance::new(1, 1);
    let held = (0..32).filter(|runner| {
        let truth = Figures {
            fade: 0.9 + 0.15 * chance.bell(),
            stop_multiplier: 1.0,
        };
        let fit = fitted(days(truth, 100 * runner..100 * runner + 3));
        (fit.own.fade.low..=fit.own.fade.high).contains(&truth.fade)
    });
    let held = held.count();
    assert!((14..=30).contains(&held), "{held} of 32");
}

/// Standing that cannot be told from the usual is the usual; what can be told is the runner's own.
#[test]
fn standing_that_says_nothing_stays_usual() {
    let usual = Figures::USUAL.stop_multiplier;
    let mut own = 0;
    for truth in [UNUSUAL, Figures::USUAL] {
        for seeds in [0..1, 3..6, 20..28] {
            let estimate = fitted(days(truth, seeds)).own.stop_multiplier;
            let told = !(estimate.low..=estimate.high).contains(&usual);
            assert_eq!(told, estimate.value != usual, "{estimate:?}");
            own += usize::from(told);
        }
    }
    assert!((1..6).contains(&own), "{own} of 6");
}

/// How far from the usual to the truth an estimate has come.
fn way(estimate: FittedFigure, truth: f64, usual: f64) -> f64 {
    (estimate.value - usual) / (truth - usual)
}

#[test]
fn one_recording_hardly_moves_the_figures_and_many_that_agree_do() {
    let one = fitted(days(UNUSUAL, 3..4));
    assert_eq!(one.own.verdict, FitVerdict::Untried);
    for (name, estimate, truth, usual) in &pairs(&one, UNUSUAL)[..1] {
        let way = way(*estimate, *truth, *usual);
        assert!((-0.05..0.35).contains(&way), "{name}: {way}");
        assert!(estimate.own_share < 0.35, "{name}: {estimate:?}");
    }
    // a day a week: older ones count less, so that twenty are worth fourteen
    let twenty = fitted(days(UNUSUAL, 0..20));
    for (name, estimate, truth, usual) in pairs(&twenty, UNUSUAL) {
        let way = way(estimate, truth, usual);
        assert!((0.7..1.2).contains(&way), "{name}: {way}");
        assert!(estimate.own_share > 0.6, "{name}: {estimate:?}");
    }
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
    let usual = Figures::USUAL;
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
    let calm = fitted(days(Figures::USUAL, 0..8));
    let mut all = days(Figures::USUAL, 0..8);
    let mut bonked = Recorded::day(50, Figures::USUAL);
    bonked.runner.fade = 5.0;
    all.push(recording("bonked.gpx", &bonked.track()));
    let shaken = fitted(all);
    let bonk = &shaken.runs.last().expect("it is there").evidence;
    assert!(bonk.fade.is_some_and(|(fade, _)| fade > 3.5), "{bonk:?}");
    let moved = shaken.own.fade.value - calm.own.fade.value;
    // a plain mean would have moved by more than 0.4
    assert!((0.0..0.1).contains(&moved), "{moved}");
}

#[test]
fn the_order_of_the_files_does_not_matter() {
    let mut backwards = days(UNUSUAL, 0..5);
    backwards.reverse();
    let (one, other) = (fitted(days(UNUSUAL, 0..5)), fitted(backwards));
    assert_eq!(one.own.figures(), other.own.figures());
    let names =
        |fit: &Fit| -> Vec<String> { fit.runs.iter().map(|r| r.recording.name.clone()).collect() };
    assert_eq!(names(&one), names(&other));
}
