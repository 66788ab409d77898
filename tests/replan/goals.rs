//! The plan's finishes, and where one goes over to the next.

use sutler::inputs::Inputs;
use sutler::pacing::{self, Goal};
use sutler::replan::{Until, switches};
use sutler::time::Elapsed;

use super::{Day, NIGHT, minutes};
use crate::support::demo;

/// Chances are told in whole hundredths, and two grids of finishes differ by less.
const NEAR: f64 = 0.015;

/// Whoever arrives just then has the finish as likely as not by the replan, too, or is there as
/// planned for it, and whoever comes later has it less.
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
                let of = replan.goals.iter().find(|(finish, _)| finish == goal);
                of.expect("a finish of the plan").1
            };
            let (even, late) = (chance(0), chance(20));
            let planned = planned_for(day, *goal, switch.station);
            if (*at - planned).as_secs().abs() > 60 {
                assert!(*at > planned, "{switch:?} {goal}: {planned}");
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
/// cutoff is met.
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
        assert_eq!(switch.until[2], Until::Cutoff, "{switch:?}");
        let soon = match switch.until[0] {
            Until::Never => true,
            Until::At(at) => at + minutes(10) < day.arrival(switch.station),
            Until::Cutoff => false,
        };
        assert!(soon, "{switch:?}");
    }
}
