//! The station that is meant: by its name, or by its place where the course passes it but once, or
//! where only one visit fits, or by its number in the lists.

use crate::arrivals::Kind;
use crate::course::{Course, StationRole};
use crate::diagnostics::{Diagnostic, Notes, did_you_mean};
use crate::words::folded;

use super::observe::Observation;

/// The stations that an observation can be of, in course order; none, with an error in `notes`,
/// where there is no such station.
pub(super) fn candidates(
    course: &Course,
    observation: &Observation,
    notes: &mut Notes,
) -> Vec<usize> {
    let wanted = folded(&observation.station.value);
    let named = |station: &usize| folded(&course.stations[*station].name) == wanted;
    let at_place =
        |station: &usize| folded(&course.places[course.stations[*station].place].name) == wanted;
    let all = || 0..course.stations.len();
    let by_name: Vec<usize> = all().filter(named).collect();
    let mut found = if by_name.is_empty() {
        all().filter(at_place).collect()
    } else {
        by_name
    };
    if found.is_empty() {
        found.extend(numbered(course, &wanted));
    }
    let Some(first) = found.first().copied() else {
        notes.push(unknown(course, observation));
        return found;
    };
    let possible: Vec<usize> = found
        .into_iter()
        .filter(|station| is_possible(course, *station, observation.kind))
        .collect();
    if possible.is_empty() {
        notes.push(impossible(course, first, observation));
    }
    possible
}

/// The station of a number as the lists print it: `S`, 1, 2 … `F`; of both ends the words, too.
fn numbered(course: &Course, wanted: &str) -> Option<usize> {
    let finish = course.stations.len() - 1;
    match wanted {
        "s" | "start" => Some(0),
        "f" | "finish" => Some(finish),
        _ => wanted
            .parse()
            .ok()
            .filter(|number| (1..finish).contains(number)),
    }
}

/// Nobody arrives at the start or leaves the finish.
fn is_possible(course: &Course, station: usize, kind: Kind) -> bool {
    match course.stations[station].role {
        StationRole::Start => kind == Kind::Departure,
        StationRole::Finish => kind == Kind::Arrival,
        StationRole::Between(_) => true,
    }
}

fn unknown(course: &Course, observation: &Observation) -> Diagnostic {
    let typed = &observation.station.value;
    let names = course.stations.iter().map(|s| s.name.as_str());
    let problem = Diagnostic::error(format!("there is no station `{typed}`")).at(
        observation.station.span,
        "expected a station of this course",
    );
    let near = did_you_mean(
        typed,
        names.chain(course.places.iter().map(|p| p.name.as_str())),
    );
    problem.hint(near.unwrap_or_else(|| "`sutler splits` lists the stations".to_owned()))
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
