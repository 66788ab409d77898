//! Where the crew must be and when, and what to hand over.

use crate::crew::Meeting;
use crate::plan::Plan;
use crate::time::Elapsed;
use crate::units::Quantity;

use super::bags::things;
use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::parts;
use super::{Report, View, json};

/// `sutler crew`
pub(super) const REPORT: Report = Report {
    name: "crew",
    about: "when the crew must be where, and what to hand over",
    needs_plan: true,
    build,
    json: json::crew,
    findings: |plan| plan.crew.findings.iter().collect(),
};

fn build(view: &View<'_>) -> Document {
    let mut document = Document::titled(format!("Crew: {}", view.race.course.name));
    let Some(plan) = view.plans.first() else {
        return document;
    };
    document.push(Block::Facts(parts::opening(view)));
    if plan.crew.meetings.is_empty() {
        document.say(
            "No meetings: there is no crew.toml, or no station where the crew may meet the runner.",
        );
        document.push(Block::Data(meetings(view, plan)));
        return document;
    }
    push(&mut document, view, plan);
    parts::push_findings(
        &mut document,
        "Findings",
        (REPORT.findings)(plan),
        view.units,
    );
    parts::push_cautions(&mut document, plan);
    document
}

/// When to be where, and what to hand over there.
pub(super) fn push(document: &mut Document, view: &View<'_>, plan: &Plan) {
    document.section("Be there");
    document.push(Block::Table(meetings(view, plan)));
    document.say(format!(
        "Drive by: leave the meeting before. Likely, late: the runner comes in. Leaves: the runner \
         goes on.{}",
        parts::repeated_hour(plan)
    ));
    push_handovers(document, view, plan);
}

/// A row a meeting.
pub(super) fn meetings(view: &View<'_>, plan: &Plan) -> Table {
    let course = &view.race.course;
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::right("Drive by", "leave_by_s"),
        Column::right("Takes", "drive_s"),
        Column::right("Be there", "be_there_s"),
        Column::right("Likely", "likely_s"),
        Column::right("Late", "late_s"),
        Column::right("Leaves", "departure_s"),
    ]);
    let time = |elapsed: Elapsed| parts::time_cell(&plan.schedule, elapsed);
    let rows = plan
        .crew
        .meetings
        .iter()
        .map(|meeting| {
            let mut row = parts::station_cells(course, meeting.station).to_vec();
            row.extend([
                meeting.leave_by.map_or(Cell::empty(), time),
                meeting.drive_s.map_or(Cell::empty(), |s| {
                    Cell::with_raw(Elapsed::from_s(s).to_string(), format!("{s:.0}"))
                }),
                time(meeting.be_there).tone(Tone::Strong),
                time(meeting.likely),
                time(meeting.late),
                time(meeting.departure),
            ]);
            row
        })
        .collect();
    Table { columns, rows }
}

fn push_handovers(document: &mut Document, view: &View<'_>, plan: &Plan) {
    let items: Vec<Item> = plan
        .crew
        .meetings
        .iter()
        .filter_map(|meeting| handover(view, plan, meeting))
        .collect();
    if !items.is_empty() {
        document.section("Hand over");
        document.push(Block::List(items));
    }
}

fn handover(view: &View<'_>, plan: &Plan, meeting: &Meeting) -> Option<Item> {
    let course = &view.race.course;
    let mut item = Item::new(
        Tone::Strong,
        format!(
            "{} {}",
            parts::number(course, meeting.station),
            course.stations[meeting.station].name
        ),
    );
    let mut line = |words: &str, things: Vec<String>| {
        if !things.is_empty() {
            item.under.push(format!("{words} {}", things.join(", ")));
        }
    };
    if let Some(handover) = meeting
        .handover
        .and_then(|index| plan.packing.handovers.get(index))
    {
        line("hand over:", things(&handover.servings, &handover.gear));
        if handover.water_ml > 0.0 {
            let water = Quantity::Volume {
                ml: handover.water_ml,
            };
            line("water:", vec![view.units.show(water)]);
        }
        line("take back:", handover.take_back.clone());
    }
    line("bring:", meeting.bring.clone());
    line("pacer joins:", meeting.pacers_on.clone());
    line("pacer stops:", meeting.pacers_off.clone());
    (!item.under.is_empty()).then_some(item)
}
