//! Pacing by the record: what is put in comes out, far days are named, more runs win.

use proptest::prelude::*;
use sutler::debrief::{Pace, RunFacts, Standing, debrief, propose};
use sutler::diagnostics::{Notes, Spanned};
use sutler::fit::{Fit, FitVerdict, FittedFigure, Recording};
use sutler::fueling::sweat::Body;
use sutler::inputs::record_toml::{BodyRecord, PacingSeen, RunSky};
use sutler::inputs::runner_toml::RunnerPacing;
use sutler::inputs::{RunRecord, RunnerFile};

use super::{day, debriefed, facts};
use crate::support::course_maker::chance::Chance;
use crate::support::recorded::{Recorded, Runner};

const BODY: Body = Body {
    mass_kg: 70.0,
    height_m: 1.75,
};

/// A simulated day as the record keeps it, with its recording.
fn noted(recorded: &Recorded) -> (RunRecord, Recording) {
    let read = || Recording::read("run.gpx", &recorded.track()).unwrap_or_else(|e| panic!("{e:?}"));
    let fit = Fit::of(vec![read()], &mut Vec::new())
        .unwrap()
        .runs
        .remove(0);
    let facts = RunFacts {
        date: day(5, 3) + chrono::Days::new(7 * (recorded.seed % 100)),
        name: format!("day {}", recorded.seed),
        recording: Some("run.gpx".to_owned()),
        fingerprint: recorded.seed.to_string(),
        time: None,
        start: None,
        body: BodyRecord::default(),
        sky: RunSky::default(),
    };
    let debriefed = debrief(&facts, Some(&fit), None, &[], None, &mut Notes::new());
    (debriefed.unwrap().run, read())
}

fn pace(record: &[RunRecord], at_hand: &[Option<Recording>], before: RunnerPacing) -> Pace {
    let runner = RunnerFile {
        pacing: before,
        ..RunnerFile::default()
    };
    let proposal = propose(record, at_hand, &runner, BODY, 600.0);
    assert_eq!(
        proposal.new_pace().is_some(),
        proposal.pace.as_ref().unwrap().standing == Standing::Proposed
    );
    proposal.pace.unwrap()
}

/// A record of such figures, all else usual.
fn record(runs: &[(u32, f64)]) -> Vec<RunRecord> {
    let of = |(month, fade): &(u32, f64)| {
        let mut run = debriefed(&facts("6:00", None, None), "kind,what\n").0.run;
        run.date = day(*month, 1);
        run.pacing = PacingSeen {
            fade: Some(*fade),
            fade_uncertainty: Some(0.1),
        };
        run
    };
    runs.iter().map(of).collect()
}

fn within(of: FittedFigure, truth: f64) -> bool {
    (of.value - truth).abs() <= of.high - of.low
}

/// What one run says by itself, as its entry in the record states it: two deviations to either
/// side. Runners as far from the usual as hardly any are.
#[test]
fn nine_in_ten_runs_of_known_pacing_are_within_what_is_stated() {
    let held = (0..200).filter(|seed| {
        let truth = Runner {
            fade: Chance::new(*seed, 21).between(0.6, 1.5),
            stop_multiplier: 1.0,
        };
        let own = noted(&Recorded::day(*seed, truth)).0.pacing;
        (own.fade.unwrap() - truth.fade).abs() <= 2.0 * own.fade_uncertainty.unwrap()
    });
    let held = held.count();
    assert!(held >= 180, "{held} of 200");
}

/// The record of four runs together, of runners who differ from the usual as runners do.
#[test]
fn nine_in_ten_runners_are_within_what_their_record_states() {
    let (mut held, mut all) = (0, 0);
    for runner in 0..30 {
        let mut chance = Chance::new(runner, 22);
        let truth = Runner {
            fade: 0.9 + 0.15 * chance.bell(),
            stop_multiplier: 1.0,
        };
        let days = (0..4).map(|i| noted(&Recorded::day(100 * runner + i, truth)).0);
        let own = pace(&days.collect::<Vec<_>>(), &[], RunnerPacing::default()).own;
        held += u32::from(within(own.fade, truth.fade));
        all += 1;
    }
    assert!(held * 10 >= all * 9, "{held} of {all}");
}

/// A fit and the record of the same runs say the same, but for what a record rounds.
#[test]
fn a_fit_and_the_record_of_the_same_runs_agree() {
    let runner = Runner {
        fade: 1.2,
        stop_multiplier: 1.4,
    };
    let (runs, recordings): (Vec<_>, Vec<_>) = (0..5)
        .map(|seed| noted(&Recorded::day(seed, runner)))
        .unzip();
    let fit = Fit::of(recordings, &mut Vec::new()).unwrap().own;
    let own = pace(&runs, &[], RunnerPacing::default()).own;
    let (fit, own) = (fit.fade, own.fade);
    assert!((fit.value - own.value).abs() < 0.005, "{fit:?} {own:?}");
    assert!((fit.low - own.low).abs() < 0.005, "{fit:?} {own:?}");
}

/// Runner of a runner who differs are proposed where the recordings are there to try them on; of a
/// runner who does not, the defaults do as well or the figures do no harm, as for `fit`.
#[test]
fn figures_are_tried_on_the_recordings_at_hand() {
    let unusual = Runner {
        fade: 1.3,
        stop_multiplier: 1.6,
    };
    let (runs, recordings): (Vec<_>, Vec<_>) = (0..4)
        .map(|seed| noted(&Recorded::day(seed, unusual)))
        .unzip();
    let at_hand: Vec<Option<Recording>> = recordings.into_iter().map(Some).collect();
    let tried = pace(&runs, &at_hand, RunnerPacing::default());
    assert_eq!(
        (tried.own.verdict, tried.own.tried_on()),
        (FitVerdict::Better, 4)
    );
    assert_eq!(tried.standing, Standing::Proposed);
    let untried = pace(&runs, &at_hand[..1], RunnerPacing::default());
    assert_eq!(
        (untried.own.verdict, untried.own.tried_on()),
        (FitVerdict::Untried, 1)
    );
    assert_eq!(untried.own.fade, tried.own.fade);
    // recordings of a usual runner under figures that are far from theirs
    let (mut runs, recordings): (Vec<_>, Vec<_>) = (0..4)
        .map(|seed| noted(&Recorded::day(seed, Runner::USUAL)))
        .unzip();
    for run in &mut runs {
        run.pacing = PacingSeen {
            fade: Some(3.0),
            fade_uncertainty: Some(0.01),
        };
    }
    let at_hand: Vec<Option<Recording>> = recordings.into_iter().map(Some).collect();
    let wrong = pace(&runs, &at_hand, RunnerPacing::default());
    assert_eq!(wrong.standing, Standing::NoBetter);
}

#[test]
fn the_figures_of_more_runs_win_and_nothing_counts_twice() {
    let runs = record(&[(5, 1.2), (6, 1.1), (7, 1.15)]);
    let before = |runs| RunnerPacing {
        fade: Some(Spanned::unwritten(1.5)),
        measured_on: Some(day(4, 20)),
        runs: Some(runs),
        ..RunnerPacing::default()
    };
    let (few, many) = (pace(&runs, &[], before(3)), pace(&runs, &[], before(4)));
    assert_eq!(few.standing, Standing::Proposed);
    assert_eq!(many.standing, Standing::Outnumbered);
    // what the file says before changes nothing about the figures
    let new = pace(&runs, &[], RunnerPacing::default()).own;
    assert_eq!((&few.own, &many.own), (&new, &new));
}

#[test]
fn a_far_day_is_named_and_hardly_counts() {
    let calm = [(3, 1.0), (4, 0.9), (5, 1.0), (7, 0.95)];
    let shaken = [&calm[..], &[(6, 3.9)]].concat();
    let (calm, shaken) = (
        pace(&record(&calm), &[], RunnerPacing::default()).own,
        pace(&record(&shaken), &[], RunnerPacing::default()).own,
    );
    assert!(calm.outliers.is_empty(), "{calm:?}");
    let named: Vec<_> = shaken.outliers.iter().map(|(date, _)| *date).collect();
    assert_eq!(named, [day(6, 1)]);
    assert!(
        (shaken.fade.value - calm.fade.value).abs() < 0.1,
        "{shaken:?}"
    );
    assert_eq!(shaken.runs, 5);
}

#[test]
fn recent_days_count_more() {
    let fade = |runs: &[(u32, f64)]| {
        pace(&record(runs), &[], RunnerPacing::default())
            .own
            .fade
            .value
    };
    assert!(fade(&[(3, 0.6), (8, 1.4)]) > fade(&[(3, 1.4), (8, 0.6)]) + 0.02);
}

#[test]
fn a_record_without_figures_proposes_none() {
    let run = debriefed(&facts("4:00", None, None), "kind,what\n").0.run;
    let proposal = propose(&[run], &[], &RunnerFile::default(), BODY, 600.0);
    assert_eq!(proposal.pace, None);
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(61), ..ProptestConfig::with_cases(64) })]

    /// Whatever stands in a record, figures stay between the usual and what the runs say, and a
    /// file can hold them.
    #[test]
    fn figures_are_drawn_towards_the_usual(
        fades in prop::collection::vec((1u32..=12, 0.0..4.0f64), 1..7),
    ) {
        let own = pace(&record(&fades), &[], RunnerPacing::default()).own;
        let with_usual = |all: &mut dyn Iterator<Item = f64>, usual: f64| {
            all.fold((usual, usual), |(low, high), one| (low.min(one), high.max(one)))
        };
        let (low, high) = with_usual(&mut fades.iter().map(|run| run.1), Runner::USUAL.fade);
        prop_assert!((low - 1e-9..=high + 1e-9).contains(&own.fade.value));
        prop_assert!(own.fade.low <= own.fade.value && own.fade.value <= own.fade.high);
    }
}
