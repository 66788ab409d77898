//! The plan's finishes, and where one goes over to the next.

use sutler::inputs::Inputs;
use sutler::pacing::{self, Goal};
use sutler::replan::{Until, switches};
use sutler::time::Elapsed;

use super::{Day, NIGHT, minutes};
use crate::support::demo;

/// Some hundred races tell an even chance to about this.
const NEAR: f64 = 0.03;

/// Whoever arrives just then has the finish as likely as not by the replan, too, every cutoff made,
/// or is there as planned for it, and whoever comes later has it less.
#[test]
fn a_replan_at_the_switch_is_even() {
    let day = &*NIGHT;
    let goals = day.inputs.plan.goals(day.plan.finish);
    assert_eq!(goals.len(), 3);
    let inner: Vec<usize> = (1..day.race.course.stations.len() - 1).step_by(3).collect();
    let mut told = 0;
    for switch in switches(&day.race, &day.plan, &goals, &inner) {
        let times: Vec<_> = switch
            .until
            .iter()
            .filter_map(|until| match until {
                Until::At(at) => Some(*at),
                _ => None,
            })
            .collect();
        assert!(times.is_sorted(), "{switch:?}");
        for (goal, until) in goals.iter().zip(&switch.until) {
            let Until::At(at) = until else { continue };
            let chance = |late_min: i64| {
                let replan = day.seen_at(switch.station, *at + minutes(late_min));
                let of = replan.goals.iter().find(|of| of.finish == *goal);
                of.expect("a finish of the plan").chance
            };
            let (even, late) = (chance(0), chance(20));
            let planned = planned_for(day, *goal, switch.station);
            if (*at - planned).as_secs().abs() > 60 {
                assert!((even - 0.5).abs() < NEAR, "{switch:?} {goal}: {even}");
                told += 1;
            }
            assert!(
                even < 0.5 + NEAR && late < even,
                "{switch:?} {goal}: {late}"
            );
        }
    }
    assert!(told >= 3, "{told}");
}

/// The arrival at a station in a plan for this finish.
fn planned_for(day: &Day, finish: Elapsed, station: usize) -> Elapsed {
    let goal = Goal {
        finish_s: finish.as_s(),
        stops_s: day.race.stops_s.clone(),
    };
    let race = &day.race;
    let pacing = pacing::solve(&race.course, &race.conditions, &race.settings, &goal);
    Elapsed::from_s(pacing.expect("somebody runs that").arrival_s[station])
}

/// Who keeps to the plan to the second is told to switch at no station, however bold the target.
#[test]
fn on_plan_nobody_switches() {
    for (name, finish) in [
        ("velprek-50k", "6:40:00"),
        ("torvena-100k", "21:30:00"),
        ("wolkenried-100mi", "29:00:00"),
    ] {
        let day = Day::of(demo::course(name, &format!("finish = \"{finish}\"\n")));
        let stations: Vec<usize> = (1..day.race.course.stations.len() - 1).collect();
        for switch in switches(&day.race, &day.plan, &[day.plan.finish], &stations) {
            let is_on = match switch.until[0] {
                Until::Never => false,
                Until::At(at) => at >= day.arrival(switch.station),
                Until::Cutoff => true,
            };
            assert!(is_on, "{name} {switch:?}");
        }
    }
}

/// A finish that nobody has in them is never likely, one that everybody has is on as long as the
/// cutoffs are likely made.
#[test]
fn a_finish_is_never_on_or_as_long_as_one_is_in() {
    let inputs: Inputs = demo::course(
        "velprek-50k",
        "finish = \"7:30:00\"\nother_finishes = [\"5:00:00\", \"13:30:00\"]\n",
    );
    let day = Day::of(inputs);
    let goals = day.inputs.plan.goals(day.plan.finish);
    let stations = [day.station("Sedlink 2"), day.station("Sedlink 4")];
    for switch in switches(&day.race, &day.plan, &goals, &stations) {
        assert!(matches!(switch.until[1], Until::At(_)), "{switch:?}");
        if let Until::At(at) = switch.until[2] {
            let rest = day.seen_at(switch.station, at).at_effort;
            let all = rest.plan.schedule.chance.expect("cutoffs lie ahead");
            assert!((all - 0.5).abs() < NEAR, "{switch:?}: {all}");
        }
        let soon = match switch.until[0] {
            Until::Never => true,
            Until::At(at) => at + minutes(10) < day.arrival(switch.station),
            Until::Cutoff => false,
        };
        assert!(soon, "{switch:?}");
    }
}

/// After the switch to the last finish, or to none, there is time for the planned stop before the
/// latest departure that the splits print; the demo's cutoffs are in its stations.csv.
#[test]
fn no_finish_is_worth_it_too_late_to_leave_in_time() {
    let day = &*NIGHT;
    let goals = day.inputs.plan.goals(day.plan.finish);
    let inner: Vec<usize> = (1..day.race.course.stations.len() - 1).collect();
    let mut clamped = 0;
    for switch in switches(&day.race, &day.plan, &goals, &inner) {
        let split = &day.plan.schedule.splits[switch.station];
        let leave_by = split.latest_departure.expect("cutoffs follow");
        for until in &switch.until {
            let at = match until {
                Until::Never => continue,
                Until::At(at) => *at,
                Until::Cutoff => split.cutoff.expect("it has one").elapsed,
            };
            let leaves = at + day.plan.schedule.stop(switch.station);
            assert!(leaves <= leave_by, "{switch:?}: {leaves} {leave_by}");
            clamped += 1;
        }
    }
    assert!(clamped > 40, "{clamped}");
}

/// A finish after the last cutoff is as likely as making every cutoff, none is likelier, and who
/// misses a cutoff has none.
#[test]
fn a_finish_is_one_of_races_that_make_every_cutoff() {
    let day = &*NIGHT;
    let station = day.station("Innerfalz");
    let mut differed = false;
    for late_min in [0, 30, 60, 100] {
        let replan = day.seen_at(station, day.arrival(station) + minutes(late_min));
        let all = replan
            .at_effort
            .plan
            .schedule
            .chance
            .expect("cutoffs lie ahead");
        let last = replan.goals.last().expect("three finishes");
        // C is an hour before the finish closes, and cutoffs before it are tighter than that
        assert!(
            last.chance <= all && last.chance > all - 0.05,
            "{last:?} {all}"
        );
        assert!(replan.goals.is_sorted_by(|a, b| a.chance <= b.chance));
        let own = replan
            .goals
            .iter()
            .find(|goal| goal.finish == day.plan.finish);
        assert_eq!(own.expect("the plan's").chance, replan.needed.chance);
        differed |= all < 0.5;
    }
    assert!(differed);
}

/// Who is seen just as planned is not told to give the plan's finish up, as the card does not.
#[test]
fn on_plan_the_planned_finish_is_on() {
    let day = &*NIGHT;
    for name in ["Innerfalz", "Moosgatter back", "Sankt Olbert back"] {
        let station = day.station(name);
        let replan = day.seen_at(station, day.arrival(station));
        let on = replan
            .goals
            .iter()
            .find(|goal| goal.is_on())
            .expect("one is on");
        assert_eq!(on.finish, day.plan.finish, "{name}: {on:?}");
    }
}

/// A target so late that more runners have it in them than make the cutoffs on the way: who misses
/// one has no finish (cutoffs in the course's stations.csv).
#[test]
fn a_target_is_no_likelier_than_its_cutoffs() {
    let day = Day::of(demo::course(
        "wolkenried-100mi",
        "finish = \"31:30:00\"\n[windows]\nevidence = \"race\"\n",
    ));
    let target_s = day.plan.pacing.finish_s;
    let schedule = &day.plan.schedule;
    let all = schedule.chance.expect("the course has cutoffs");
    let able = day.race.finish(target_s).chance_by(target_s);
    assert!(able > all, "{able} {all}");
    assert!(schedule.chance_of_target <= all, "{all}");
}
