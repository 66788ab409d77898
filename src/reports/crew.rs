//! Where the crew must be and when, and what to hand over.

use crate::facts::{Facts, MeetingFacts, PlanFacts};

use super::document::{Block, Column, Document, Item, Table, Tone};
use super::things::{said, things};
use super::{Needs, Report, cells, found, opening};

/// `sutler crew`
pub(super) const REPORT: Report = Report {
    name: "crew",
    about: "when the crew must be where, and what to hand over",
    needs: Needs::Target,
    keys: &[
        "course",
        "start",
        "zone",
        "units",
        "finish",
        "evidence",
        "level_speed_mps",
        "verdict",
        "without",
        "runner",
        "helpers",
        "crew",
        "findings",
        "cautions",
        "warnings",
    ],
    stages: &["crew"],
    build,
};

fn build(facts: &Facts) -> Document {
    let mut document = opening::titled(facts, "Crew");
    let Some(plan) = facts.planned() else {
        return document;
    };
    if plan.crew.is_empty() {
        document.say(
            "No meetings: there is no crew.toml, or no station where the crew may meet the runner.",
        );
        document.push(Block::Data(meetings(plan)));
        return document;
    }
    push(&mut document, plan);
    found::push_findings(&mut document, "Findings", REPORT.findings(facts));
    document.section("The race");
    document.push(Block::Facts(opening::race(facts)));
    found::push_cautions(&mut document, plan);
    document
}

/// The meetings, then what changes hands at each.
pub(super) fn push(document: &mut Document, plan: &PlanFacts) {
    document.section("Be there");
    document.push(Block::Table(meetings(plan)));
    document.say(format!(
        "Drive off by: leave the meeting before; earlier or later with a runner who is early or late \
         there. Likely, late: the runner comes in. Leaves: the runner goes on.{}",
        opening::repeated_hour(plan)
    ));
    let handovers: Vec<Item> = plan.crew.iter().filter_map(handover).collect();
    if !handovers.is_empty() {
        document.section("Hand over");
        document.push(Block::List(handovers));
    }
}

/// A row a meeting.
pub(super) fn meetings(plan: &PlanFacts) -> Table {
    let right = Column::right;
    Table::of(
        &plan.crew,
        vec![
            right("#", "number").of(|m: &MeetingFacts| cells::number(&m.number)),
            Column::left("Station", "station").of(|m| cells::name(&m.station)),
            right("Drive off by", "drive_off_by_s")
                .of(|m| cells::maybe(m.drive_off_by.as_ref(), cells::moment)),
            right("Drive", "drive_s").of(|m| cells::maybe(m.drive.as_ref(), cells::measure)),
            right("Be there", "be_there_s").of(|m| cells::moment(&m.be_there).tone(Tone::Strong)),
            right("Likely", "likely_s").of(|m| cells::moment(&m.likely)),
            right("Late", "late_s").of(|m| cells::moment(&m.late)),
            right("Leaves", "leaves_s").of(|m| cells::moment(&m.leaves)),
        ],
    )
}

fn handover(meeting: &MeetingFacts) -> Option<Item> {
    let mut item = Item::new(
        Tone::Strong,
        format!("{} {}", meeting.number, meeting.station),
    );
    let water = meeting.water.iter().map(|water| water.text.clone());
    let lines = [
        said("hand over:", things(&meeting.servings, &meeting.gear)),
        said("water:", water.collect()),
        said("take back:", meeting.take_back.clone()),
        said("bring:", meeting.bring.clone()),
        said("pacer joins:", meeting.pacers_on.clone()),
        said("pacer stops:", meeting.pacers_off.clone()),
    ];
    item.under.extend(lines.into_iter().flatten());
    (!item.under.is_empty()).then_some(item)
}
