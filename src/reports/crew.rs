//! Places and times of the crew, and things to hand over.

use crate::facts::{
    DoseFacts, Facts, LampFacts, MeetingFacts, PickupFacts, PlanFacts, SplitFacts, StintFacts,
};

use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::things::{moved, moves, said, things};
use super::{Needs, Report, cells, found, opening};

/// `sutler crew`
pub(super) const REPORT: Report = Report {
    name: "crew",
    about: "where the crew must be and when, and every stop step by step",
    needs: Needs::Target,
    keys: "course start zone units finish evidence level_speed_mps verdict without runner \
           helpers crew findings cautions warnings",
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
        document.push(Block::Data(meetings(&plan.crew)));
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
    document.table("Be there", meetings(&plan.crew));
    document.say(format!(
        "Drive off by: leave the meeting before, once your runner has left it; earlier or later with a \
         runner who is early or late there. Likely, late: the runner comes in. Leaves: the runner \
         goes on.{}",
        opening::repeated_hour(plan)
    ));
    let numbers = plan.helpers.iter().flat_map(|helpers| helpers.numbers());
    let numbers: Vec<String> = numbers
        .map(|(who, number)| format!("{who} {number}"))
        .collect();
    if !numbers.is_empty() {
        document.say(format!("Phones: {}.", numbers.join(", ")));
    }
    for (pickup, alert) in plan.cold_before_crew() {
        document.say(format!(
            "Before the first meeting, from {} {}: {}.",
            pickup.number, pickup.station, alert.words
        ));
    }
    document.section("Stop by stop");
    let stops = plan.crew.iter().map(|met| stop(plan, met));
    document.push(Block::List(stops.collect()));
    let handed =
        (plan.crew.iter()).flat_map(|m| moved(&m.station, "hand over", &m.servings, &m.gear));
    document.push(Block::Data(moves(&handed.collect::<Vec<_>>())));
}

/// A row a meeting.
pub(super) fn meetings(crew: &[MeetingFacts]) -> Table {
    let right = Column::right;
    Table::of(
        crew,
        vec![
            right("#", "number").of(|m: &MeetingFacts| cells::number(&m.number)),
            Column::left("Station", "station").of(|m| cells::name(&m.station)),
            right("Drive off by", "drive_off_by_s").of(drive_off),
            right("Drive", "drive_s").of(|m| cells::maybe(m.drive.as_ref(), cells::measure)),
            right("Be there", "be_there_s").of(be_there),
            right("Likely", "likely_s").of(|m| cells::moment(&m.likely)),
            right("Late", "late_s").of(|m| cells::moment(&m.late)),
            right("Leaves", "leaves_s").of(|m| cells::moment(&m.leaves)),
        ],
    )
}

/// The time to drive off, where the drive is known.
pub(super) fn drive_off(met: &MeetingFacts) -> Cell {
    match met.after {
        Some(_) => Cell::with_raw("unknown", ""),
        None => cells::maybe(met.drive_off_by.as_ref(), cells::moment),
    }
}

/// The time to stand there.
pub(super) fn be_there(met: &MeetingFacts) -> Cell {
    cells::moment(&met.be_there).tone(Tone::Strong)
}

/// The cutoff, what it limits, and the time in hand.
fn cutoff(split: &SplitFacts) -> Option<String> {
    Some(format!(
        "cutoff: {} {}; {} at the likely time, {} on plan",
        split.cutoff_word(),
        split.cutoff.as_ref()?.text,
        split.margin_likely.as_ref()?.text,
        split.margin.as_ref()?.text
    ))
}

/// The work at one meeting, in the order in which it is done.
fn stop(plan: &PlanFacts, meeting: &MeetingFacts) -> Item {
    let mut item = Item::new(
        Tone::Strong,
        format!("{} {}", meeting.number, meeting.station),
    );
    let spot = &meeting.spot;
    let pickup = plan.pickup_at(&meeting.number);
    let pickup = pickup.filter(|_| !meeting.is_finish);
    let bag = plan.bag_visit_at(&meeting.number);
    let split = plan.splits.iter().find(|s| s.number == meeting.number);
    let time = split.and_then(|split| split.stop.as_ref());
    let water = meeting.water.iter().map(|water| water.text.clone());
    let park: Vec<String> = (spot.parking.iter().cloned())
        .chain([match spot.is_parking {
            true => spot.coordinates.clone(),
            false => format!("station at {}", spot.coordinates),
        }])
        .collect();
    let driver = meeting.at_the_wheel();
    let driver = driver.map(|(who, how)| format!("drive: {who} {how}"));
    let stint = |stint: &StintFacts| {
        let mut words = format!(
            "{} to {} {}, ready by {}, {} to {}",
            stint.name,
            stint.until_number,
            stint.until,
            stint.ready.text,
            stint.from.text,
            stint.to.text
        );
        if !stint.brought_by.is_empty() {
            words += &format!("; comes with {}", stint.brought_by.join(", "));
        }
        words
    };
    let latest = meeting
        .latest_departure
        .as_ref()
        .filter(|_| !meeting.is_finish);
    let tabled = pickup.into_iter().flat_map(PickupFacts::from_the_table);
    let tabled = tabled.map(|serving| serving.text.clone()).collect();
    let alerts = |cold: bool| -> Vec<String> {
        let all = pickup.into_iter().flat_map(|pickup| &pickup.alerts);
        let wanted = all.filter(|alert| alert.is_cold() == cold);
        wanted.map(|alert| alert.words.clone()).collect()
    };
    let lamp = meeting.lamp.iter().map(LampFacts::words);
    let doses = plan.doses_at(&meeting.number);
    let doses: Vec<String> = doses.filter_map(DoseFacts::told).collect();
    let lines = [
        driver,
        said("directions:", spot.directions.iter().cloned().collect()),
        said("park:", park),
        said("note:", spot.notes.iter().cloned().collect()),
        said("lay out:", meeting.bring.clone()),
        said("water to bring:", water.collect()),
        pickup
            .and_then(|pickup| pickup.flasks_words.as_ref())
            .map(|words| format!("fill: {words}")),
        said(
            "feed:",
            pickup.map_or_else(Vec::new, |p| things(&p.here, &[])),
        ),
        said("from the table into the pockets:", tabled),
        said("hand over:", things(&meeting.servings, &meeting.gear)),
        said("caffeine:", doses),
        bag.and_then(|bag| said("from the bag:", things(&bag.servings, &bag.gear))),
        said("dress:", alerts(true)),
        said("dress ahead:", meeting.dress_ahead.clone()),
        said("tell your runner:", alerts(false)),
        bag.and_then(|bag| said("into the bag:", bag.leave.clone())),
        said("take back:", meeting.take_back.clone()),
        said("lamp:", lamp.chain(meeting.lamp_changes.clone()).collect()),
        said("pacer joins:", meeting.stints.iter().map(stint).collect()),
        said("pacer stops:", meeting.pacers_off.clone()),
        time.filter(|_| !meeting.is_finish)
            .map(|time| format!("stop: {}", time.text)),
        latest.map(|by| match split.and_then(SplitFacts::if_in_by) {
            Some(first) => format!("must leave by: {}, if in by {}", by.text, first.text),
            None => format!("must leave by: {}", by.text),
        }),
        (meeting.sleep.as_ref()).map(|sleep| format!("time to sleep: {}", sleep.words())),
        split.and_then(cutoff),
    ];
    item.under.extend(lines.into_iter().flatten());
    item
}
