//! Caffeine of a race under way: what was taken counts, so limits and spacing hold over the whole day.

use proptest::prelude::*;
use sutler::diagnostics::{Notes, Sources, Spanned, render};
use sutler::findings::Weight;
use sutler::fueling::caffeine::{APART_H, Caps};
use sutler::inputs::Inputs;
use sutler::plan::Plan;
use sutler::replan::{self, Replan};
use sutler::time::Elapsed;
use sutler::units::Units;

use super::Day;
use crate::support::demo;

/// The long demo for a runner who takes doses of so many milligrams.
fn day(dose_mg: f64, finish_h: f64) -> Day {
    let mut inputs: Inputs = demo::hundred_miles();
    inputs.runner.caffeine_dose_mg = Some(Spanned::unwritten(dose_mg));
    inputs.plan.finish = Some(Spanned::unwritten(Elapsed::from_s(finish_h * 3600.0)));
    for food in &mut inputs.pantry {
        food.stock = None;
    }
    Day::of(inputs)
}

/// The rest of a day from an arrival so much of the planned time after the start.
fn seen(day: &Day, station: usize, ratio: f64, took_mg: Option<f64>) -> Replan {
    let at = Elapsed::from_s((day.arrival(station).as_s() * ratio / 60.0).round() * 60.0);
    let seen = [day.sighting(station, at)];
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let typed = replan::observations(&seen, &[], &mut sources, &mut notes);
    let (race, inputs) = (&day.race, &day.inputs);
    let made = replan::make(
        race, inputs, &day.plan, &typed, took_mg, &sources, &mut notes,
    );
    made.unwrap_or_else(|| panic!("{seen:?}: {}", render(&sources, notes.all(), false)))
}

/// Doses of a plan by the hour they are taken at.
fn doses(plan: &Plan) -> Vec<(f64, f64)> {
    let shares = plan.packing.caffeine.iter().zip(&plan.schedule.splits);
    shares
        .filter(|(share, _)| share.mg > 0.0)
        .map(|(share, split)| (split.arrival.as_hours(), share.mg))
        .collect()
}

/// Two cups of cola are no dose that keeps its distance, but count towards the day.
const CUPS_MG: f64 = 44.0;

/// Counts the doses again: each that is ahead keeps its distance from every other, and no day
/// that holds one holds more than the limit.
fn check(day: &Day, rest: &Plan, here: usize, taken: &[(f64, f64)]) -> Result<(), TestCaseError> {
    let caps = Caps::of(
        &day.inputs.runner,
        &day.inputs.plan,
        rest.fueling.finish_mass.start_kg,
    );
    let here_h = rest.schedule.splits[here].arrival.as_hours();
    let ahead = doses(rest).into_iter().filter(|(at_h, _)| *at_h >= here_h);
    let ahead: Vec<(f64, f64)> = ahead.collect();
    let all: Vec<(f64, f64)> = taken.iter().chain(&ahead).copied().collect();
    for (at_h, mg) in &ahead {
        prop_assert!(*mg <= caps.at_once_mg + 1e-9, "{mg} mg at once");
        let near = all
            .iter()
            .filter(|(other_h, mg)| *mg > CUPS_MG && (other_h - at_h).abs() < APART_H);
        prop_assert!(*mg <= CUPS_MG || near.count() == 1, "{:?}", &all);
        for (first_h, _) in &all {
            let in_day = |hour: &f64| (0.0..24.0).contains(&(hour - first_h));
            let held = all.iter().filter(|(hour, _)| in_day(hour));
            let sum_mg: f64 = held.map(|(_, mg)| mg).sum();
            prop_assert!(
                !in_day(at_h) || sum_mg <= caps.in_a_day_mg + 1e-9,
                "{:?}",
                &all
            );
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None,
        rng_seed: proptest::test_runner::RngSeed::Fixed(11), ..ProptestConfig::default() })]

    #[test]
    fn what_was_planned_before_counts_towards_the_whole_day(
        dose_mg in 60.0..200.0,
        finish_h in 26.0..33.0,
        share in 0.3..0.95,
        ratio in 0.95..1.12,
        told in prop::option::of(0.0..400.0),
    ) {
        let day = day(dose_mg, finish_h);
        let last = day.race.course.stations.len() - 1;
        let here = ((last as f64 * share) as usize).clamp(1, last - 1);
        let replan = seen(&day, here, ratio, told);
        let rests = [Some(&replan.at_effort), replan.at_finish.as_ref()];
        for rest in rests.into_iter().flatten() {
            let splits = &rest.plan.schedule.splits;
            let taken: Vec<(f64, f64)> = match told {
                // the safe reading: all of it on the last segment
                Some(mg) => vec![(splits[here - 1].arrival.as_hours(), mg)],
                // station by station what the plan had, when the runner was really there
                None => (0..here)
                    .map(|at| (splits[at].arrival.as_hours(), day.plan.packing.caffeine[at].mg))
                    .filter(|(_, mg)| *mg > 0.0)
                    .collect(),
            };
            check(&day, &rest.plan, here, &taken)?;
        }
    }
}

/// Doses out of the pockets that a plan has from a station on: station, food, servings.
fn carried(day: &Day, plan: &Plan, from: usize) -> Vec<(usize, String, u32)> {
    let is_dose = |name: &str| {
        let mut pantry = day.inputs.pantry.iter();
        pantry.any(|food| food.name.value == name && sutler::packing::is_dose(food))
    };
    let ahead = plan.packing.pickups.iter().filter(|p| p.station >= from);
    ahead
        .flat_map(|pickup| pickup.take.iter().map(move |s| (pickup.station, s)))
        .filter(|(_, serving)| is_dose(&serving.food))
        .map(|(station, serving)| (station, serving.food.clone(), serving.count))
        .collect()
}

/// Bags and box are closed: a dose is taken where the sheet has it or left out, keeps its distance,
/// and whatever differs from the sheet is said.
#[test]
fn on_the_way_no_dose_goes_where_it_is_not_packed() {
    let day = Day::of(demo::hundred_miles());
    let last = day.race.course.stations.len() - 1;
    let sheet = carried(&day, &day.plan, 0);
    assert!(sheet.len() > 2, "{sheet:?}");
    for here in 2..last {
        for (ratio, told) in [
            (0.88, None),
            (1.0, None),
            (1.08, None),
            (1.16, None),
            (1.3, None),
            (1.1, Some(0.0)),
            (1.1, Some(150.0)),
            (1.1, Some(380.0)),
        ] {
            let replan = seen(&day, here, ratio, told);
            for rest in [Some(&replan.at_effort), replan.at_finish.as_ref()]
                .into_iter()
                .flatten()
            {
                let at = format!("{here} {ratio} {told:?}");
                let kept = carried(&day, &rest.plan, here);
                assert!(
                    kept.iter().all(|dose| sheet.contains(dose)),
                    "{at}: {kept:?}"
                );
                let splits = &rest.plan.schedule.splits;
                let hours: Vec<f64> = kept
                    .iter()
                    .map(|(at, ..)| splits[*at].arrival.as_hours())
                    .collect();
                let taken = match told {
                    Some(mg) => (mg > CUPS_MG).then_some(here - 1),
                    None => sheet.iter().map(|dose| dose.0).rfind(|at| *at < here),
                };
                let before = taken.map(|at| splits[at].arrival.as_hours());
                let all: Vec<f64> = before.into_iter().chain(hours).collect();
                let is_apart = |two: &[f64]| two[1] - two[0] >= APART_H;
                assert!(all.windows(2).all(is_apart), "{at}: {all:?}");
                // nothing is to be had that is not there, and what is left is said
                let more = rest
                    .changes
                    .iter()
                    .flat_map(|c| c.more.iter().chain(&c.not_packed));
                let mut more = more.filter(|serving| serving.food == "caffeine gel");
                assert!(more.next().is_none(), "{at}");
                let dropped = sheet
                    .iter()
                    .filter(|dose| dose.0 >= here && !kept.contains(dose));
                let mut found = rest.findings.iter();
                let found = found.find(|found| found.kind.name() == "caffeine-ahead");
                let ways = found.map_or(Vec::new(), |found| {
                    let ways = found.ways_out.iter();
                    ways.map(|way| way.show(Units::Metric)).collect()
                });
                for (station, ..) in dropped {
                    let name = format!("`{}`", day.name(*station));
                    let is_said = told == Some(380.0) || ways.iter().any(|way| way.contains(&name));
                    assert!(is_said, "{at}: {name}: {ways:?}");
                }
            }
        }
    }
}

#[test]
fn the_text_says_what_is_counted_and_what_is_ahead() {
    let day = day(95.0, 29.0);
    let shares = &day.plan.packing.caffeine;
    // so late that all that is ahead is within 24 hours
    let splits = &day.plan.schedule.splits;
    let late = |at: &usize| shares[*at].mg > 0.0 && splits[*at].arrival.as_hours() > 8.0;
    let here = 1 + (0..shares.len()).find(late).unwrap();
    let says = |took_mg| {
        let replan = seen(&day, here, 1.05, took_mg);
        let found = replan.at_effort.findings.iter();
        let mut found = found.filter(|f| f.kind.name() == "caffeine-ahead");
        found.next().map(|f| f.says.show(Units::Metric))
    };
    let planned_mg: f64 = day.plan.packing.caffeine[..here]
        .iter()
        .map(|share| share.mg)
        .sum();
    assert!(planned_mg > 0.0);
    let counted = says(None).unwrap();
    assert!(
        counted.starts_with(&format!("{planned_mg:.0} mg of caffeine counted as taken")),
        "{counted}"
    );
    // 400 mg in 24 hours are the limit (European Food Safety Authority 2015): nothing is left
    assert_eq!(
        says(Some(400.0)).unwrap(),
        "400 mg of caffeine taken; none ahead"
    );
    let above = seen(&day, here, 1.05, Some(500.0)).at_effort.findings;
    let above = above
        .iter()
        .find(|f| f.kind.name() == "caffeine-ahead")
        .unwrap();
    assert_eq!(above.weight, Weight::Failure);
    assert_eq!(
        above.says.show(Units::Metric),
        "500 mg of caffeine taken: above 400 mg in 24 h"
    );
    let way_out = above.ways_out[0].show(Units::Metric);
    assert!(way_out.contains("no more gels, no cola"), "{way_out}");
    let nothing = says(Some(0.0)).unwrap();
    assert!(
        nothing.contains("ahead: ") && nothing.contains(" mg at `"),
        "{nothing}"
    );
}

#[test]
fn what_was_taken_is_read_in_servings_and_milligrams() {
    let pantry = demo::hundred_miles().pantry;
    let gel = pantry
        .iter()
        .find(|food| food.name.value == "caffeine gel")
        .unwrap();
    let took = |typed: &[&str]| {
        let typed: Vec<String> = typed.iter().map(|text| (*text).to_owned()).collect();
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let mg = replan::took(&typed, &pantry, &mut sources, &mut notes);
        (mg, render(&sources, notes.all(), false))
    };
    assert_eq!(took(&[]), (None, String::new()));
    let twice = took(&["Caffeine Gel=2", "30 mg"]);
    assert_eq!(twice, (Some(2.0 * gel.caffeine_mg + 30.0), String::new()));
    for (typed, said) in [
        ("cafeine gel=2", "did you mean `caffeine gel`?"),
        ("banana=2", "`banana` has no caffeine"),
        ("caffeine gel=many", "`many` is not a number of servings"),
        ("caffeine gel=-1", "`-1` is not a number of servings"),
        ("a lot", "`a lot` is not an amount of caffeine"),
        ("nanmg", "`nanmg` is not an amount of caffeine"),
    ] {
        let (_, told) = took(&[typed]);
        assert!(told.contains(said), "{typed}: {told}");
    }
}
