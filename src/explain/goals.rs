//! The arrivals up to which each finish that a plan names is worth going for.

use super::What;
use super::question::{Question, Working};
use super::times::{SOURCE, rests_on};

/// By finish, the earliest first.
pub(super) const UNTIL: [What; 3] = [
    until("goal-a", "a_until_s", |asked| at(asked, 0)),
    until("goal-b", "b_until_s", |asked| at(asked, 1)),
    until("goal-c", "c_until_s", |asked| at(asked, 2)),
];

const fn until(
    name: &'static str,
    key: &'static str,
    build: fn(&Question<'_>) -> Option<Working>,
) -> What {
    What {
        name,
        key,
        meaning: "The arrival later than which this finish is less likely than not, and its own \
                  splits are missed.",
        formula: "the arrival is moved until half of the simulated races that came in then make \
                  every cutoff and are in the finish by this time; no earlier than planned for it, \
                  and no later than leaves time for the planned stop before the latest departure",
        build,
    }
}

fn at(asked: &Question<'_>, index: usize) -> Option<Working> {
    let station = &asked.here().station;
    let mut switches = asked.planned.switches.iter();
    let switch = switches.find(|switch| switch.station == *station)?;
    let goal = switch.goals.get(index)?;
    let printed = match &goal.until {
        Some(at) => at.text.as_str(),
        None => goal.is,
    };
    let draft = asked.of_station(printed).step("finish", &goal.finish);
    Some(rests_on(asked, draft).source(SOURCE))
}
