//! The course model: how the route file and the organiser compare, and every segment.

use crate::course::{HeightRepair, Survey};
use crate::units::Units;

use super::document::{Block, Cell, Column, Document, Table};
use super::parts::{self, fact};
use super::{Report, View, json, profile_text};

/// `sutler course`
pub(super) const REPORT: Report = Report {
    name: "course",
    about: "the course model: distances, climbs, stations and segments",
    needs_plan: false,
    build,
    json: json::course,
    findings: |_| Vec::new(),
};

fn build(view: &View<'_>) -> Document {
    let course = &view.race.course;
    let mut document = Document::titled(course.name.clone());
    document.push(Block::Facts(survey_facts(view)));
    document.push(Block::Drawing(profile_text::draw(
        course, None, view.units, view.width,
    )));
    push_segments(&mut document, view);
    if !course.mandatory_kit.is_empty() {
        document.section("Mandatory kit");
        document.say(course.mandatory_kit.join(", "));
    }
    if !course.rules.is_empty() {
        document.section("From the race rules");
        document.say(course.rules.join(" "));
    }
    document
}

/// A row a station with the segment that follows.
pub(super) fn push_segments(document: &mut Document, view: &View<'_>) {
    document.section("Segments");
    document.push(Block::Table(segments(view)));
    document.say(
        "next, up, down: the segment that follows. max up, max down: its steepest 500 m; beside \
         them the share of its length steeper than 10 %.",
    );
}

/// Where the route is from, how long and high it is and by whose count.
pub(super) fn survey_facts(view: &View<'_>) -> Vec<(String, String)> {
    let (course, units) = (&view.race.course, view.units);
    let survey = &course.survey;
    let mut facts = Vec::new();
    if let Some(origin) = &course.origin {
        facts.push(fact("Origin", origin.clone()));
    }
    facts.push(fact("Length", length_line(survey, units)));
    facts.push(fact("Climb", climb_line(survey, units)));
    facts.push(fact("Heights", repair_line(&survey.repairs, units)));
    if let Some(start) = course.official_start {
        facts.push(fact(
            "Start",
            start.format("%A %-d %B %Y, %H:%M %Z").to_string(),
        ));
    }
    let twice = course
        .places
        .iter()
        .filter(|place| place.visits.len() > 1)
        .count();
    let more = match twice {
        0 => String::new(),
        1 => ", one of them visited more than once".to_owned(),
        n => format!(", {n} of them visited more than once"),
    };
    facts.push(fact(
        "Stations",
        format!(
            "{} at {} places{more}",
            course.stations.len(),
            course.places.len()
        ),
    ));
    facts
}

fn length_line(survey: &Survey, units: Units) -> String {
    let route = format!(
        "{} {} in the route file ({} points)",
        units.distance_number(survey.route_length_m),
        units.distance_symbol(),
        survey.points
    );
    survey
        .official_length_m
        .map_or(route.clone(), |official_m| {
            format!(
                "{} {} by the organiser, {route}: {:+.1} %",
                units.distance_number(official_m),
                units.distance_symbol(),
                (survey.route_length_m / official_m - 1.0) * 100.0
            )
        })
}

fn climb_line(survey: &Survey, units: Units) -> String {
    let (h, m) = (units.height_symbol(), |v: f64| units.height_number(v));
    let measured = format!(
        "{} {h} up and {} {h} down after filtering; {} and {} {h} as recorded",
        m(survey.filtered_climb_m),
        m(survey.filtered_descent_m),
        m(survey.raw_climb_m),
        m(survey.raw_descent_m),
    );
    survey
        .official_climb_m
        .map_or(measured.clone(), |official_m| {
            format!(
                "{} {h} up by the organiser, scaled to it; {measured}",
                m(official_m)
            )
        })
}

fn repair_line(repairs: &HeightRepair, units: Units) -> String {
    if repairs.flat {
        return "none in the route file: the course is taken as flat".to_owned();
    }
    let mut said = vec![format!(
        "turns of less than {} {} do not count",
        units.height_number(repairs.threshold_m),
        units.height_symbol()
    )];
    if repairs.window_m > 0.0 {
        said.push(format!("averaged over {:.0} m", repairs.window_m));
    }
    if repairs.filled > 0 {
        said.push(format!("{} missing heights filled in", repairs.filled));
    }
    if repairs.spikes > 0 {
        said.push(format!("{} jumps taken out", repairs.spikes));
    }
    said.join("; ")
}

fn segments(view: &View<'_>) -> Table {
    let (course, units) = (&view.race.course, view.units);
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::right(units.distance_symbol(), "official_m"),
        Column::right("next", "official_length_m"),
        Column::right("up", "climb_m"),
        Column::right("down", "descent_m"),
        Column::right("max up", "steepest_up_pct"),
        Column::right("max down", "steepest_down_pct"),
        Column::right(">10 %", "share_above_10_pct"),
        Column::right("<-10 %", "share_below_10_pct"),
    ]);
    let rows = course
        .stations
        .iter()
        .enumerate()
        .map(|(index, station)| {
            let mut row = parts::station_cells(course, index).to_vec();
            row.push(parts::distance_cell(units, station.official_m));
            match course.segments.get(index) {
                Some(s) => row.extend([
                    parts::distance_cell(units, s.official_length_m),
                    parts::height_cell(units, s.climb_m),
                    parts::height_cell(units, s.descent_m),
                    parts::share_cell(s.steepest_up.max(0.0)),
                    parts::share_cell(s.steepest_down.min(0.0)),
                    parts::share_cell(s.share_above_10),
                    parts::share_cell(s.share_below_10),
                ]),
                None => row.extend(vec![Cell::empty(); 7]),
            }
            row
        })
        .collect();
    Table { columns, rows }
}
