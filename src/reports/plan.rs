//! What a runner reads the night before: the whole race on a page or two.

use crate::conditions::SunEventKind;
use crate::course::Station;
use crate::findings::Weight;
use crate::plan::Plan;
use crate::schedule::Split;
use crate::time::Elapsed;

use super::document::{Block, Cell, Column, Document, Table, Tone};
use super::parts::{self, fact};
use super::{Report, View, bags, crew, cutoffs, fuel, json, profile_text, unknowns};

/// `sutler plan`
pub(super) const REPORT: Report = Report {
    name: "plan",
    about: "the whole race: splits, margins, needs, pick-ups, bags and crew",
    needs_plan: true,
    build,
    json: json::plan,
    findings: Plan::findings,
};

fn build(view: &View<'_>) -> Document {
    let course = &view.race.course;
    let mut document = Document::titled(course.name.clone());
    let Some(plan) = view.plans.first() else {
        return document;
    };
    let mut facts = parts::opening(view);
    facts.remove(0);
    facts.insert(0, fact("Course", length_and_climb(view)));
    facts.extend(sun_fact(view));
    facts.extend(fuel::body_facts(view, plan));
    document.push(Block::Facts(facts));
    let run = Some((&plan.pacing, &view.race.conditions));
    document.push(Block::Drawing(profile_text::draw(
        course, run, view.units, view.width,
    )));
    let (notes, grave): (Vec<_>, Vec<_>) = plan
        .findings()
        .into_iter()
        .partition(|finding| finding.weight == Weight::Note);
    parts::push_findings(&mut document, "Look at this first", grave, view.units);
    document.section("Stations");
    document.push(Block::Table(stations(view, plan)));
    document.say(legend(view, plan));
    cutoffs::push(&mut document, view, plan);
    document.section("Between stations");
    document.push(Block::Table(segments(view, plan)));
    document.say(
        "Fluid, sodium and carbohydrate for the segment and the stop before it: estimates to carry \
         by. Thirst decides below them.",
    );
    bags::push_pickups(&mut document, view, plan);
    bags::push_bags(&mut document, view, plan);
    if !plan.crew.meetings.is_empty() {
        document.section("Crew");
        document.push(Block::Table(crew::meetings(view, plan)));
    }
    unknowns::push(&mut document, view, plan);
    parts::push_findings(&mut document, "Also", notes, view.units);
    parts::push_cautions(&mut document, plan);
    document
}

pub(super) fn length_and_climb(view: &View<'_>) -> String {
    let (course, units) = (&view.race.course, view.units);
    let (up_m, down_m) = course.climb_and_descent_m();
    format!(
        "{} {} · {} {h} up, {} {h} down · {} stations",
        units.distance_number(course.stations.last().map_or(0.0, |s| s.official_m)),
        units.distance_symbol(),
        units.height_number(up_m),
        units.height_number(down_m),
        course.stations.len().saturating_sub(2),
        h = units.height_symbol(),
    )
}

/// Lamp on, lamp off: the sun's events while the runner is out.
pub(super) fn sun_fact(view: &View<'_>) -> Option<(String, String)> {
    let (clock, plan) = (view.race.clock?, view.plans.first()?);
    let events: Vec<String> = view
        .race
        .conditions
        .sun_events()
        .iter()
        .map(|event| {
            (
                event,
                clock.elapsed_at(event.instant.with_timezone(&clock.start().timezone())),
            )
        })
        .filter(|(_, at)| (Elapsed::ZERO..=plan.finish).contains(at))
        .map(|(event, at)| {
            let name = match event.kind {
                SunEventKind::Dawn => "lamp off",
                SunEventKind::Sunrise => "sunrise",
                SunEventKind::Sunset => "sunset",
                SunEventKind::Dusk => "lamp on",
            };
            format!("{name} {}", clock.show(at))
        })
        .collect();
    (!events.is_empty()).then(|| fact("Light", events.join(", ")))
}

/// A row a station: when the runner comes and goes.
pub(super) fn stations(view: &View<'_>, plan: &Plan) -> Table {
    let (course, units) = (&view.race.course, view.units);
    let schedule = &plan.schedule;
    let has_cutoffs = schedule.splits.iter().any(|s| s.cutoff.is_some());
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::right(units.distance_symbol(), "official_m"),
        Column::right("Arrive", "arrival_s"),
        Column::right("Early", "early_s"),
        Column::right("Late", "late_s"),
        Column::right("Leave", "departure_s"),
    ]);
    if has_cutoffs {
        columns.push(Column::right("Leave by", "latest_departure_s"));
    }
    columns.push(Column::left("", "marks"));
    let time = |t: Elapsed| parts::time_cell(schedule, t);
    let rows = schedule
        .splits
        .iter()
        .map(|split| {
            let station = &course.stations[split.station];
            let mut row = parts::station_cells(course, split.station).to_vec();
            row.push(parts::distance_cell(units, station.official_m));
            row.push(time(split.arrival));
            row.push(parts::short_time_cell(schedule, split.early).tone(Tone::Faint));
            row.push(parts::short_time_cell(schedule, split.late).tone(Tone::Faint));
            row.push(leave_cell(plan, split));
            if has_cutoffs {
                row.push(
                    split
                        .latest_departure
                        .map_or(Cell::empty(), time)
                        .tone(Tone::Faint),
                );
            }
            row.push(Cell::new(marks(station)).tone(Tone::Faint));
            row
        })
        .collect();
    Table { columns, rows }
}

/// The clock time of leaving, or nothing where the runner runs through.
fn leave_cell(plan: &Plan, split: &Split) -> Cell {
    if split.departure == split.arrival {
        return Cell::with_raw("", split.departure.as_secs());
    }
    parts::short_time_cell(&plan.schedule, split.departure)
}

/// One letter each for what else is there.
fn marks(station: &Station) -> String {
    [
        (station.drop_bag, 'b'),
        (station.crew, 'c'),
        (station.pacer, 'p'),
    ]
    .iter()
    .filter_map(|(there, mark)| there.then_some(*mark))
    .collect()
}

/// What its columns and letters mean.
pub(super) fn legend(view: &View<'_>, plan: &Plan) -> String {
    let leave_by = if plan
        .schedule
        .splits
        .iter()
        .any(|s| s.latest_departure.is_some())
    {
        "Leave by: the latest departure that still meets every later cutoff at this effort. "
    } else {
        ""
    };
    format!(
        "{} {leave_by}b drop bag, c crew, p pacer.{}",
        cutoffs::meaning(view),
        parts::repeated_hour(plan)
    )
}

fn segments(view: &View<'_>, plan: &Plan) -> Table {
    let (course, units) = (&view.race.course, view.units);
    let columns = vec![
        Column::right("", "number"),
        Column::left("To", "to"),
        Column::right(units.distance_symbol(), "official_length_m"),
        Column::right("up", "climb_m"),
        Column::right("down", "descent_m"),
        Column::right("Time", "moving_s"),
        Column::right(format!("min/{}", units.distance_symbol()), "pace_s_per_km"),
        Column::right("dark", "dark_pct"),
        Column::right(units.volume_symbol(), "fluid_ml"),
        Column::right("Na mg", "sodium_mg"),
        Column::right("carb g", "carbs_g"),
    ];
    let rows = course
        .segments
        .iter()
        .zip(&plan.schedule.legs)
        .enumerate()
        .map(|(index, (segment, leg))| {
            let (from, to) = (
                &plan.schedule.splits[segment.from],
                &plan.schedule.splits[segment.from + 1],
            );
            let printed = to.arrival.to_minute() - from.departure.to_minute();
            let [number, name] = parts::station_cells(course, segment.from + 1);
            let need = plan.fueling.segments.get(index);
            vec![
                number,
                name,
                parts::distance_cell(units, segment.official_length_m),
                parts::height_cell(units, segment.climb_m),
                parts::height_cell(units, segment.descent_m),
                Cell::with_raw(printed.to_string(), leg.moving.as_secs()),
                Cell::with_raw(
                    units.pace_number(leg.pace_s_per_m),
                    format!("{:.1}", leg.pace_s_per_m * 1000.0),
                ),
                parts::share_cell(leg.dark_share),
                need.map_or(Cell::empty(), |n| {
                    Cell::with_raw(
                        units.volume_number(n.fluid_ml),
                        format!("{:.0}", n.fluid_ml),
                    )
                }),
                need.map_or(Cell::empty(), |n| parts::whole_cell(n.sodium_mg)),
                need.map_or(Cell::empty(), |n| parts::whole_cell(n.carbs_g)),
            ]
        })
        .collect();
    Table { columns, rows }
}
