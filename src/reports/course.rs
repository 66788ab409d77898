//! The course model: how the route file and the organiser compare, and every segment.

use crate::facts::{Facts, SegmentFacts, StationFacts, SurveyFacts};

use super::document::{Block, Cell, Column, Document, Table};
use super::parts::fact;
use super::{Needs, Report, cells, opening};

/// `sutler course`
pub(super) const REPORT: Report = Report {
    name: "course",
    about: "the course model: distances, climbs, stations and segments",
    needs: Needs::Course,
    keys: "course origin start official_start_words zone length climb descent survey \
           mandatory_kit rules units stations segments profile warnings",
    stages: &["course"],
    build,
};

/// The meaning of the columns of the table of segments.
pub(super) const SEGMENTS: &str = "next, up, down: the segment that follows. max up, max down: \
     its steepest 500 m. >10 %, <-10 %: the share of its length that is steeper.";

fn build(facts: &Facts) -> Document {
    let race = &facts.race.0;
    let mut document = Document::titled(race.course.clone());
    document.push(Block::Facts(survey(facts)));
    document.push(opening::profile(facts));
    document.table("Segments", segments(facts));
    document.say(SEGMENTS);
    if !race.mandatory_kit.is_empty() {
        document.section("Mandatory kit");
        document.say(race.mandatory_kit.join(", "));
    }
    if !race.rules.is_empty() {
        document.section("From the race rules");
        document.say(race.rules.join(" "));
    }
    document
}

/// The route: its origin, its length and climb and by whose count.
pub(super) fn survey(facts: &Facts) -> Vec<(String, String)> {
    let (race, survey) = (&facts.race.0, &facts.race.0.survey);
    let mut lines = Vec::new();
    lines.extend(race.origin.clone().map(|origin| fact("Origin", origin)));
    lines.push(fact("Length", length_line(survey)));
    lines.push(fact("Climb", climb_line(survey)));
    lines.push(fact("Heights", heights_line(survey)));
    let start = race.official_start_words.clone();
    lines.extend(start.map(|start| fact("Start", start)));
    let more = match survey.places_visited_again {
        0 => String::new(),
        1 => ", one of them visited more than once".to_owned(),
        n => format!(", {n} of them visited more than once"),
    };
    lines.push(fact(
        "Stations",
        format!("{} at {} places{more}", facts.stations.len(), survey.places),
    ));
    lines
}

fn length_line(survey: &SurveyFacts) -> String {
    let route = format!(
        "{} in the route file ({} points)",
        survey.route_length.text, survey.points
    );
    match (&survey.official_length, survey.length_differs_pct) {
        (Some(official), Some(percent)) => {
            format!(
                "{} by the organiser, {route}: {percent:+.1} %",
                official.text
            )
        }
        _ => route,
    }
}

fn climb_line(survey: &SurveyFacts) -> String {
    let measured = format!(
        "{} up and {} down after filtering; {} and {} as recorded",
        survey.filtered_climb.number,
        survey.filtered_descent.text,
        survey.raw_climb.number,
        survey.raw_descent.text,
    );
    match &survey.official_climb {
        Some(official) => format!(
            "{} up by the organiser, scaled to it; {measured}",
            official.text
        ),
        None => measured,
    }
}

fn heights_line(survey: &SurveyFacts) -> String {
    if survey.flat {
        return "none in the route file: the course is taken as flat".to_owned();
    }
    let mut said = vec![format!(
        "turns of less than {} do not count",
        survey.least_turn.text
    )];
    if survey.averaged_over_m > 0.0 {
        said.push(format!("averaged over {:.0} m", survey.averaged_over_m));
    }
    if survey.heights_filled > 0 {
        said.push(format!(
            "{} missing heights filled in",
            survey.heights_filled
        ));
    }
    if survey.jumps_removed > 0 {
        said.push(format!("{} jumps taken out", survey.jumps_removed));
    }
    said.join("; ")
}

/// A row a station with the segment that follows it.
pub(super) fn segments(facts: &Facts) -> Table {
    type CourseRow<'a> = (&'a StationFacts, Option<&'a SegmentFacts>);
    let next = facts.segments.iter().map(Some).chain([None]);
    let rows: Vec<CourseRow<'_>> = facts.stations.iter().zip(next).collect();
    let units = &facts.race.0.units;
    let right = Column::right;
    Table::of(
        &rows,
        vec![
            right("#", "number").of(|row: &CourseRow<'_>| cells::number(&row.0.number)),
            Column::left("Station", "station").of(|row| cells::name(&row.0.station)),
            right(&units.distance, "official_m").of(|row| cells::measure(&row.0.official)),
            right("next", "official_length_m")
                .of(|row| after(row.1, |s| cells::measure(&s.official_length))),
            right("up", "climb_m").of(|row| after(row.1, |s| cells::measure(&s.climb))),
            right("down", "descent_m").of(|row| after(row.1, |s| cells::measure(&s.descent))),
            right("max up", "steepest_up").of(|row| after(row.1, |s| cells::share(&s.steepest_up))),
            right("max down", "steepest_down")
                .of(|row| after(row.1, |s| cells::share(&s.steepest_down))),
            right(">10 %", "share_above_10")
                .of(|row| after(row.1, |s| cells::share(&s.share_above_10))),
            right("<-10 %", "share_below_10")
                .of(|row| after(row.1, |s| cells::share(&s.share_below_10))),
        ],
    )
}

fn after(segment: Option<&SegmentFacts>, cell: fn(&SegmentFacts) -> Cell) -> Cell {
    segment.map_or_else(Cell::empty, cell)
}
