//! The tables of a replanned race.

use crate::fueling::SegmentNeed;
use crate::plan::Plan;
use crate::replan::{Kind, Replan, Rest};
use crate::schedule::Split;
use crate::time::Elapsed;

use super::super::View;
use super::super::document::{Cell, Column, Table, Tone};
use super::super::parts;

/// Every arrival and departure that was seen.
pub(super) fn seen(view: &View<'_>, plan: &Plan, replan: &Replan) -> Table {
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::left("", "event"),
        Column::right("Seen", "seen_s"),
        Column::right("Planned", "planned_s"),
        Column::right("Off", "off_s"),
        Column::right("Cutoff", "cutoff_s"),
        Column::right("Margin", "margin_s"),
    ]);
    let rows = replan.events.iter().map(|event| {
        let split = &plan.schedule.splits[event.station];
        let (word, planned) = match event.kind {
            Kind::Arrival => ("reached", split.arrival),
            Kind::Departure => ("left", split.departure),
        };
        let now = &replan.at_effort.plan.schedule.splits[event.station];
        let off = event.at().to_minute() - planned.to_minute();
        let mut row = parts::station_cells(&view.race.course, event.station).to_vec();
        row.extend([
            Cell::new(word).tone(Tone::Faint),
            parts::time_cell(&plan.schedule, event.at()),
            parts::time_cell(&plan.schedule, planned).tone(Tone::Faint),
            Cell::with_raw(off.to_margin_text(), (event.at() - planned).as_secs()),
            now.cutoff.map_or(Cell::empty(), |limit| {
                parts::time_cell(&plan.schedule, limit.elapsed)
            }),
            parts::margin_cell(now.margin),
        ]);
        row
    });
    Table {
        columns,
        rows: rows.collect(),
    }
}

/// Both ways on beside the plan.
pub(super) fn side_by_side(view: &View<'_>, plan: &Plan, replan: &Replan) -> Table {
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::right("Planned", "planned_s"),
        Column::right("Effort", "effort_arrival_s"),
        Column::right("margin", "effort_margin_s"),
    ]);
    if replan.at_finish.is_some() {
        columns.extend([
            Column::right("Finish", "finish_arrival_s"),
            Column::right("margin", "finish_margin_s"),
        ]);
    }
    let rows = (replan.here + 1..view.race.course.stations.len()).map(|station| {
        let mut row = parts::station_cells(&view.race.course, station).to_vec();
        let planned = plan.schedule.splits[station].arrival;
        row.push(parts::time_cell(&plan.schedule, planned).tone(Tone::Faint));
        for rest in [Some(&replan.at_effort), replan.at_finish.as_ref()]
            .into_iter()
            .flatten()
        {
            let split = &rest.plan.schedule.splits[station];
            row.push(parts::time_cell(&rest.plan.schedule, split.arrival));
            row.push(parts::margin_cell(split.margin));
        }
        row
    });
    Table {
        columns,
        rows: rows.collect(),
    }
}

/// One way on: windows, cutoffs and latest departures, from where the runner is.
pub(super) fn way(view: &View<'_>, replan: &Replan, rest: &Rest) -> Table {
    let schedule = &rest.plan.schedule;
    let ahead = &schedule.splits[replan.here..];
    let has_cutoffs = ahead.iter().any(|split| split.cutoff.is_some());
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::right("Early", "early_s"),
        Column::right("Likely", "arrival_s"),
        Column::right("Late", "late_s"),
        Column::right("Leave", "departure_s"),
    ]);
    if has_cutoffs {
        columns.extend([
            Column::right("Cutoff", "cutoff_s"),
            Column::right("Leave by", "latest_departure_s"),
            Column::right("for", "binding"),
        ]);
    }
    let time = |elapsed: Elapsed| parts::time_cell(schedule, elapsed);
    let rows = ahead.iter().map(|split| {
        let mut row = parts::station_cells(&view.race.course, split.station).to_vec();
        let is_here = split.station == replan.here;
        let window = |elapsed: Elapsed| match is_here {
            true => Cell::with_raw("", elapsed.as_secs()),
            false => short(rest, elapsed).tone(Tone::Faint),
        };
        row.extend([
            window(split.early),
            time(split.arrival),
            window(split.late),
            leave_cell(rest, split),
        ]);
        if has_cutoffs {
            let optional = |at: Option<Elapsed>| at.map_or(Cell::empty(), time);
            row.extend([
                optional(split.cutoff.map(|limit| limit.elapsed)),
                leave_by_cell(rest, split),
                split.binding.map_or(Cell::empty(), |binding| {
                    Cell::with_raw(
                        parts::number(&view.race.course, binding),
                        &view.race.course.stations[binding].name,
                    )
                    .tone(Tone::Faint)
                }),
            ]);
        }
        row
    });
    Table {
        columns,
        rows: rows.collect(),
    }
}

/// A time whose day stands in the column beside it.
fn short(rest: &Rest, elapsed: Elapsed) -> Cell {
    let clock = rest.plan.schedule.clock;
    let shown = clock.map_or_else(|| elapsed.to_string(), |clock| clock.show_time(elapsed));
    Cell::with_raw(shown, elapsed.as_secs())
}

fn leave_cell(rest: &Rest, split: &Split) -> Cell {
    if split.departure == split.arrival {
        Cell::with_raw("", split.departure.as_secs())
    } else {
        short(rest, split.departure)
    }
}

/// The latest departure, marked where it has passed when the runner leaves.
fn leave_by_cell(rest: &Rest, split: &Split) -> Cell {
    split.latest_departure.map_or(Cell::empty(), |latest| {
        let tone = if latest < split.departure {
            Tone::Bad
        } else {
            Tone::Faint
        };
        parts::time_cell(&rest.plan.schedule, latest).tone(tone)
    })
}

/// What each segment ahead asks for, beside the plan.
pub(super) fn needs(view: &View<'_>, plan: &Plan, replan: &Replan) -> Table {
    let (course, units) = (&view.race.course, view.units);
    let now = &replan.at_effort.plan;
    let columns = vec![
        Column::right("", "number"),
        Column::left("To", "to"),
        Column::right("Time", "moving_s"),
        Column::right("dark", "dark_pct"),
        Column::right(units.volume_symbol(), "fluid_ml"),
        Column::right("Na mg", "sodium_mg"),
        Column::right("carb g", "carbs_g"),
    ];
    let rows = (replan.here..course.segments.len()).map(|index| {
        let (from, to) = (&now.schedule.splits[index], &now.schedule.splits[index + 1]);
        let (was_from, was_to) = (
            &plan.schedule.splits[index],
            &plan.schedule.splits[index + 1],
        );
        let printed = |a: &Split, b: &Split| b.arrival.to_minute() - a.departure.to_minute();
        let (moving, was) = (printed(from, to), printed(was_from, was_to));
        let [number, name] = parts::station_cells(course, index + 1);
        let both = |of: &dyn Fn(&SegmentNeed) -> f64, text: &dyn Fn(f64) -> String| {
            let need = |plan: &Plan| plan.fueling.segments.get(index).map(of);
            beside(need(now), need(plan), text)
        };
        let whole = |value: f64| format!("{:.0}", value.abs());
        vec![
            number,
            name,
            Cell::with_raw(
                with_planned(&moving.to_string(), &was.to_string()),
                (to.arrival - from.departure).as_secs(),
            ),
            parts::share_cell(now.schedule.legs[index].dark_share),
            both(&|n| n.fluid_ml, &|ml| units.volume_number(ml)),
            both(&|n| n.sodium_mg, &whole),
            both(&|n| n.carbs_g, &whole),
        ]
    });
    Table {
        columns,
        rows: rows.collect(),
    }
}

/// Such as `520 (480)`: now, and in brackets as planned where that is not the same.
fn beside(now: Option<f64>, planned: Option<f64>, text: &dyn Fn(f64) -> String) -> Cell {
    let Some(now) = now else {
        return Cell::empty();
    };
    let shown = planned.map_or_else(|| text(now), |was| with_planned(&text(now), &text(was)));
    Cell::with_raw(shown, format!("{now:.0}"))
}

fn with_planned(now: &str, planned: &str) -> String {
    if now == planned {
        now.to_owned()
    } else {
        format!("{now} ({planned})")
    }
}

/// Where the crew still has to be.
pub(super) fn crew(view: &View<'_>, replan: &Replan, rest: &Rest) -> Table {
    let course = &view.race.course;
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::right("Leave by", "leave_by_s"),
        Column::right("Be there", "be_there_s"),
        Column::right("Likely", "likely_s"),
        Column::right("Late", "late_s"),
        Column::right("Runner leaves", "departure_s"),
    ]);
    let time = |elapsed: Elapsed| parts::time_cell(&rest.plan.schedule, elapsed);
    let ahead = rest.plan.crew.meetings.iter();
    let rows = ahead
        .filter(|meeting| meeting.station > replan.here)
        .map(|meeting| {
            let mut row = parts::station_cells(course, meeting.station).to_vec();
            row.extend([
                meeting.leave_by.map_or(Cell::empty(), time),
                time(meeting.be_there).tone(Tone::Strong),
                time(meeting.likely),
                time(meeting.late),
                time(meeting.departure),
            ]);
            row
        });
    Table {
        columns,
        rows: rows.collect(),
    }
}
