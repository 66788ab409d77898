//! Pieces that several reports share.

use crate::course::{Course, Role};
use crate::findings::{Finding, Weight};
use crate::plan::Plan;
use crate::schedule::Schedule;
use crate::time::{Elapsed, clock, day_name};
use crate::units::Units;

use super::View;
use super::document::{Block, Cell, Column, Document, Item, Tone};

/// A station's number in tables and drawings: `S`, 1, 2 … `F`.
pub(crate) fn number(course: &Course, station: usize) -> String {
    match course.stations[station].role {
        Role::Start => "S".to_owned(),
        Role::Finish => "F".to_owned(),
        Role::Between(_) => station.to_string(),
    }
}

/// The two columns that name a station.
pub(super) fn station_columns() -> [Column; 2] {
    [
        Column::right("#", "number"),
        Column::left("Station", "station"),
    ]
}

/// The two cells that name a station.
pub(super) fn station_cells(course: &Course, station: usize) -> [Cell; 2] {
    [
        Cell::new(number(course, station)).tone(Tone::Faint),
        Cell::new(course.stations[station].name.clone()).tone(Tone::Strong),
    ]
}

/// A distance: one decimal in the reader's units, metres for programs.
pub(super) fn distance_cell(units: Units, distance_m: f64) -> Cell {
    Cell::with_raw(
        units.distance_number(distance_m),
        format!("{distance_m:.0}"),
    )
}

/// A height or climb.
pub(super) fn height_cell(units: Units, height_m: f64) -> Cell {
    Cell::with_raw(units.height_number(height_m), format!("{height_m:.0}"))
}

/// A share as percent.
pub(super) fn share_cell(share: f64) -> Cell {
    // adding zero takes the sign off a rounded minus nothing
    let percent = format!("{:.0}", (share * 100.0).round() + 0.0);
    let shown = if percent == "0" {
        "–".to_owned()
    } else {
        format!("{percent} %")
    };
    Cell::with_raw(shown, percent)
}

/// A race time as the organiser's clock shows it; seconds since the start for programs.
pub(super) fn time_cell(schedule: &Schedule, elapsed: Elapsed) -> Cell {
    Cell::with_raw(schedule.show(elapsed), elapsed.as_secs())
}

/// What the marks of the repeated hour mean, where the race runs through it.
pub(super) fn repeated_hour(plan: &Plan) -> &'static str {
    let Some(clock) = plan.schedule.clock else {
        return "";
    };
    // whole quarters of an hour find any repeated stretch that a clock change makes
    let quarters = 0..=plan.finish.as_secs() / 900;
    let repeats = quarters
        .into_iter()
        .any(|q| clock.repeated(Elapsed::from_secs(q * 900)).is_some());
    if repeats {
        " ¹ ² the first and the second time the clocks show that hour."
    } else {
        ""
    }
}

/// Time in hand, its tone saying how comfortable.
pub(super) fn margin_cell(margin: Option<Elapsed>) -> Cell {
    let Some(margin) = margin else {
        return Cell::empty();
    };
    let tone = match margin.as_secs() {
        s if s < 0 => Tone::Bad,
        s if s < 20 * 60 => Tone::Warning,
        _ => Tone::Good,
    };
    Cell::with_raw(margin.to_margin_text(), margin.as_secs()).tone(tone)
}

/// Course, start and finish: what every report of a plan opens with.
pub(super) fn opening(view: &View<'_>) -> Vec<(String, String)> {
    let course = &view.race.course;
    let mut facts = vec![fact("Course", course_line(course, view.units))];
    let Some(plan) = view.plans.first() else {
        return facts;
    };
    if let Some(clock_start) = view.race.clock {
        let start = clock_start.start();
        facts.push(fact(
            "Start",
            format!(
                "{} {} {}",
                day_name(&start),
                start.format("%-d %B %Y, %H:%M"),
                start.format("%Z")
            ),
        ));
    }
    facts.push(fact("Finish", finish_line(plan)));
    facts
}

/// Length and climb on one line.
fn course_line(course: &Course, units: Units) -> String {
    let (up_m, down_m) = course.climb_and_descent_m();
    let last = course.stations.last().map_or(0.0, |s| s.official_m);
    format!(
        "{} · {} {} · {} {h} up, {} {h} down",
        course.name,
        units.distance_number(last),
        units.distance_symbol(),
        units.height_number(up_m),
        units.height_number(down_m),
        h = units.height_symbol(),
    )
}

fn finish_line(plan: &Plan) -> String {
    let stops = Elapsed::from_s(
        (0..plan.schedule.splits.len())
            .map(|s| plan.schedule.stop(s).as_s())
            .sum::<f64>(),
    );
    let when = plan.schedule.clock.map_or(String::new(), |race_clock| {
        let instant = race_clock.at(plan.finish.to_minute());
        format!(
            " · {} {} {}",
            day_name(&instant),
            clock(&instant),
            instant.format("%Z")
        )
    });
    let stopped = if stops > Elapsed::ZERO {
        format!(" · {stops} of it stopped")
    } else {
        String::new()
    };
    format!("{}{when}{stopped}", plan.finish.to_seconds_text())
}

/// A name and its value.
pub(super) fn fact(name: &str, value: impl Into<String>) -> (String, String) {
    (name.to_owned(), value.into())
}

/// Findings, the heaviest first, as a section; nothing where there are none.
pub(super) fn push_findings<'a>(
    document: &mut Document,
    heading: &str,
    findings: impl IntoIterator<Item = &'a Finding>,
    units: Units,
) {
    let items: Vec<Item> = findings
        .into_iter()
        .map(|finding| Item {
            tone: match finding.weight {
                Weight::Failure => Tone::Bad,
                Weight::Warning => Tone::Warning,
                Weight::Note => Tone::Plain,
            },
            text: finding.says.show(units),
            under: finding.ways_out.iter().map(|way| way.show(units)).collect(),
        })
        .collect();
    if !items.is_empty() {
        document.section(heading);
        document.push(Block::List(items));
    }
}
