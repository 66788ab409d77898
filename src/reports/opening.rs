//! The opening of every report of a plan: the verdict, what a loss changes, the race.

use crate::facts::{Facts, Moment, PlanFacts};
use crate::words::count;

use super::document::{Block, Document, Skyline, Verdict};
use super::parts::fact;
use super::without;

/// The report's own name and the race's, the verdict, and what a loss changes.
pub(super) fn titled(facts: &Facts, name: &str) -> Document {
    let course = &facts.race.0.course;
    let title = if name.is_empty() {
        course.clone()
    } else {
        format!("{name}: {course}")
    };
    let mut document = Document::titled(title);
    if let Some(plan) = facts.planned() {
        document.push(Block::Verdict(Verdict {
            holds: plan.verdict.holds,
            lines: plan.verdict.lines.clone(),
        }));
    }
    if let Some(loss) = &facts.without {
        without::push(&mut document, loss);
    }
    document
}

/// Course, start and finish.
pub(super) fn race(facts: &Facts) -> Vec<(String, String)> {
    let mut lines = vec![fact("Course", course_line(facts))];
    if let Some(start) = &facts.race.0.start_words {
        lines.push(fact("Start", start.clone()));
    }
    if let Some(plan) = facts.planned() {
        lines.push(fact("Finish", finish_line(plan, &plan.finish_time)));
        lines.extend((plan.field_words.iter()).map(|words| fact("Field", words)));
        let packed = plan.body.packed_words.strip_prefix("Packed: ");
        lines.extend(packed.map(|words| fact("Packed", words)));
    }
    lines
}

/// Length, climb and stations on one line.
fn course_line(facts: &Facts) -> String {
    let race = &facts.race.0;
    let stations = facts.stations.len().saturating_sub(2);
    format!(
        "{} · {} up, {} down · {}",
        race.length.text,
        race.climb.text,
        race.descent.text,
        count(stations, "station")
    )
}

/// The finish as it is written, when that is on the clock, and how much of it is stopped.
pub(super) fn finish_line(plan: &PlanFacts, time: &str) -> String {
    let zone = |at: &Moment| {
        at.at
            .map(|at| format!(" · {} {}", plan.finish.text, at.format("%Z")))
    };
    let stops = &plan.pacing.stops;
    let stopped = if stops.value > 0.0 {
        format!(" · {} of it in stops", stops.text)
    } else {
        String::new()
    };
    let when = zone(&plan.finish).unwrap_or_default();
    format!("{time}{when}{stopped}")
}

/// The basis of the runner's own pacing, where the plan uses it and the runner file says so.
pub(super) fn own_pace(plan: &PlanFacts) -> Option<(String, String)> {
    plan.pacing.own.clone().map(|own| fact("Pacing", own))
}

/// The meaning of the marks of a repeated hour, where the race runs through one.
pub(super) fn repeated_hour(plan: &PlanFacts) -> String {
    plan.repeated_hour
        .map_or_else(String::new, |words| format!(" {words}"))
}

/// The course from the side.
pub(super) fn profile(facts: &Facts) -> Block {
    let stations = facts.stations.iter();
    Block::Skyline(Box::new(Skyline {
        ground: facts.profile.clone(),
        stations: stations
            .map(|station| (station.number.clone(), station.official.value))
            .collect(),
    }))
}
