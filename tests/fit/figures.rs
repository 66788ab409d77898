//! Recovery of known figures, and how far doubt draws them back.

use sutler::fit::{Estimate, Figures, Fit, Verdict};

use super::{UNUSUAL, days, fitted, recording};
use crate::support::recorded::Recorded;

/// Each estimate with the figure it is of.
fn pairs(fit: &Fit, truth: Figures) -> [(&'static str, Estimate, f64, f64); 4] {
    let usual = Figures::USUAL;
    [
        ("fade", fit.fade, truth.fade, usual.fade),
        (
            "climb",
            fit.climb_multiplier,
            truth.climb_multiplier,
            usual.climb_multiplier,
        ),
        (
            "descent",
            fit.descent_multiplier,
            truth.descent_multiplier,
            usual.descent_multiplier,
        ),
        (
            "stop",
            fit.stop_multiplier,
            truth.stop_multiplier,
            usual.stop_multiplier,
        ),
    ]
}

/// The range printed is one standard deviation to either side; 19 of 20 lie within two.
#[track_caller]
fn holds(name: &str, estimate: Estimate, truth: f64) {
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

/// Runners drawn from the spread that the fit believes in: about two of three figures lie within
/// the range that is printed. Of 48, 22 to 44 do in all but one of a thousand draws (binomial with
/// 0.68, and room for figures of one runner that go together).
#[test]
fn ranges_hold_about_as_often_as_they_say() {
    let mut chance = crate::support::course_maker::chance::Chance::new(1, 1);
    let (mut held, mut all) = (0, 0);
    for runner in 0..16 {
        let truth = Figures {
            fade: 0.9 + 0.15 * chance.bell(),
            climb_multiplier: (0.05 * chance.bell()).exp(),
            descent_multiplier: (0.07 * chance.bell()).exp(),
            stop_multiplier: 1.0,
        };
        let fit = fitted(days(truth, 100 * runner..100 * runner + 3));
        for (_, estimate, truth, _) in &pairs(&fit, truth)[..3] {
            held += u32::from((estimate.low..=estimate.high).contains(truth));
            all += 1;
        }
    }
    assert_eq!(all, 48);
    assert!((22..=44).contains(&held), "{held} of {all}");
}

/// How far from the usual to the truth an estimate has come.
fn way(estimate: Estimate, truth: f64, usual: f64) -> f64 {
    (estimate.value - usual) / (truth - usual)
}

#[test]
fn one_recording_hardly_moves_the_figures_and_twelve_that_agree_do() {
    let one = fitted(days(UNUSUAL, 3..4));
    assert_eq!(one.verdict, Verdict::Untried);
    for (name, estimate, truth, usual) in &pairs(&one, UNUSUAL)[..3] {
        let way = way(*estimate, *truth, *usual);
        assert!((-0.05..0.35).contains(&way), "{name}: {way}");
        assert!(estimate.own_share < 0.35, "{name}: {estimate:?}");
    }
    let twelve = fitted(days(UNUSUAL, 0..12));
    for (name, estimate, truth, usual) in pairs(&twelve, UNUSUAL) {
        let way = way(estimate, truth, usual);
        assert!((0.7..1.2).contains(&way), "{name}: {way}");
        assert!(estimate.own_share > 0.6, "{name}: {estimate:?}");
    }
}

#[test]
fn figures_that_are_the_runners_own_predict_runs_left_out_better() {
    let fit = fitted(days(UNUSUAL, 0..6));
    assert_eq!(fit.verdict, Verdict::Better);
    let (before, after) = fit.summaries();
    let after = after.expect("there are others to predict from");
    assert!(
        after.mean_pct < 0.95 * before.mean_pct,
        "{before:?} {after:?}"
    );
    assert!(after.pieces_pct < before.pieces_pct);
}

/// Random days of a runner without figures of their own: whatever was fitted, what is recommended
/// does no harm beyond chance.
#[test]
fn a_usual_runner_is_not_made_worse() {
    let usual = Figures::USUAL;
    for seeds in [20..23, 30..34, 40..48] {
        let fit = fitted(days(usual, seeds));
        let (before, after) = fit.summaries();
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
    assert!(bonk.best.fade > 3.5, "{bonk:?}");
    let moved = shaken.fade.value - calm.fade.value;
    // a plain mean would have moved by more than 0.4
    assert!((0.0..0.1).contains(&moved), "{moved}");
}

#[test]
fn the_order_of_the_files_does_not_matter() {
    let mut backwards = days(UNUSUAL, 0..5);
    backwards.reverse();
    let (one, other) = (fitted(days(UNUSUAL, 0..5)), fitted(backwards));
    assert_eq!(one.figures(), other.figures());
    let names =
        |fit: &Fit| -> Vec<String> { fit.runs.iter().map(|r| r.recording.name.clone()).collect() };
    assert_eq!(names(&one), names(&other));
}

/// A table to look at, so it only has to tell climbs from descents: a runner slow on climbs is
/// above the model there and below it on the descents they are good at.
#[test]
fn gradients_show_where_a_runner_is_slow() {
    let fit = fitted(days(UNUSUAL, 0..8));
    let at = |gradient: f64| {
        let bin = fit
            .bins
            .iter()
            .find(|bin| (bin.from..bin.to).contains(&gradient));
        bin.and_then(|bin| bin.over_model)
            .expect("there is enough of it")
    };
    assert!((at(0.0) - 1.0).abs() < 1e-12);
    assert!(at(0.10) > 1.03 && at(-0.10) < 0.97);
    let length_m: f64 = fit.bins.iter().map(|bin| bin.length_m).sum();
    assert!((length_m - fit.seen.length_m).abs() < 1.0);
    // no run of 20 km climbs at 30 % for 2 km here
    assert!(fit.bins.last().is_some_and(|bin| bin.over_model.is_none()));
}
