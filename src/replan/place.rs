//! The station that is meant, and which visit where a place is passed more than once.

use crate::arrivals::Kind;
use crate::course::{Course, StationRole};
use crate::diagnostics::{Diagnostic, Notes};

use super::observe::Observation;

/// The stations that an observation can be of, in course order; none, with an error in `notes`,
/// where there is no such station.
pub(super) fn candidates(
    course: &Course,
    observation: &Observation,
    notes: &mut Notes,
) -> Vec<usize> {
    let typed = &observation.station;
    let found = match course.named(&typed.value) {
        Ok(found) => found,
        Err(problem) => {
            notes.push(problem.at(typed.span, "expected a station of this course"));
            return Vec::new();
        }
    };
    let first = found[0];
    let mut possible = found;
    possible.retain(|station| is_possible(course, *station, observation.kind));
    if possible.is_empty() {
        notes.push(impossible(course, first, observation));
    }
    possible
}

/// Nobody arrives at the start or leaves the finish.
fn is_possible(course: &Course, station: usize, kind: Kind) -> bool {
    match course.stations[station].role {
        StationRole::Start => kind == Kind::Departure,
        StationRole::Finish => kind == Kind::Arrival,
        StationRole::Between(_) => true,
    }
}

fn impossible(course: &Course, station: usize, observation: &Observation) -> Diagnostic {
    let name = &course.stations[station].name;
    match observation.kind {
        Kind::Arrival => Diagnostic::error(format!("`{name}` is the start: it has no arrival"))
            .at(
                observation.station.span,
                "expected a station after the start",
            )
            .hint("say when the runner left it with --left"),
        Kind::Departure => {
            Diagnostic::error(format!("`{name}` is the finish: it has no departure")).at(
                observation.station.span,
                "expected a station before the finish",
            )
        }
    }
}

/// The message where a place was named that is passed more than once.
pub(super) fn visit_taken(
    course: &Course,
    station: usize,
    visits: usize,
    observation: &Observation,
) -> Diagnostic {
    let name = &course.stations[station].name;
    let passed = match visits {
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    };
    Diagnostic::warning(format!(
        "`{}` is passed {passed}; `{name}` is taken",
        observation.station.value
    ))
    .at(observation.station.span, "the visit nearest to the plan")
    .hint(format!(
        "write `{name}`, or the name of the visit that is meant"
    ))
}
