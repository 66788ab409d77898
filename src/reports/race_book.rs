//! The race book, before it is laid out: chapters made of the parts of all reports.

use crate::findings::Weight;
use crate::packing::Pickup;
use crate::plan::Plan;
use crate::unknowns::{TESTS_WANTED, unknowns as all_unknowns};

use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::parts::{self, fact};
use super::{View, bags, basis, course, crew, cutoffs, fuel, plan, shopping, splits, unknowns};

/// A chapter.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Chapter {
    /// What templates know it by.
    pub(crate) key: &'static str,
    /// What it is called.
    pub(crate) title: &'static str,
    /// The name of the picture that belongs to it.
    pub(crate) picture: Option<&'static str>,
    /// What it says.
    pub(crate) blocks: Vec<Block>,
}

/// Puts what belongs to a chapter into it.
type Fill = fn(&mut Document, &View<'_>, &Plan);

/// Every chapter that has something to say, in reading order; none without a plan.
pub(crate) fn chapters(view: &View<'_>) -> Vec<Chapter> {
    let Some(plan) = view.plans.first() else {
        return Vec::new();
    };
    let all: [(&str, &str, Option<&str>, Fill); 12] = [
        ("first", "What matters first", None, first),
        (
            "splits",
            "Stations and cutoffs",
            Some("time-distance"),
            stations,
        ),
        ("course", "The course", Some("profile"), ground),
        ("needs", "What the body needs", Some("fuel"), needs),
        (
            "leave",
            "Leave each supply point with",
            None,
            bags::push_pickups,
        ),
        ("bags", "Drop bags", None, bags::push_bags),
        ("crew", "Crew", None, meetings),
        ("gear", "Gear, kit and rules", None, gear),
        ("shopping", "Shopping and packing", None, shopping::push),
        ("untested", "Not tested on long runs", None, untested),
        ("cautions", "Cautions", None, |document, _, plan| {
            parts::push_cautions(document, plan);
        }),
        ("made", "How the numbers were made", None, basis::push),
    ];
    let made = all.map(|(key, title, picture, fill)| {
        let mut document = Document::default();
        fill(&mut document, view, plan);
        Chapter {
            key,
            title,
            picture,
            blocks: untitled(document.blocks),
        }
    });
    let chapters = made.into_iter();
    chapters
        .filter(|chapter| !chapter.blocks.is_empty())
        .collect()
}

/// A chapter of a single section needs no second title.
fn untitled(mut blocks: Vec<Block>) -> Vec<Block> {
    let is_heading = |block: &Block| matches!(block, Block::Heading(_));
    let sections = blocks.iter().filter(|block| is_heading(block)).count();
    if sections == 1 && blocks.first().is_some_and(is_heading) {
        blocks.remove(0);
    }
    blocks
}

fn first(document: &mut Document, view: &View<'_>, plan: &Plan) {
    let mut facts = parts::opening(view);
    facts.remove(0);
    facts.insert(0, fact("Course", plan::length_and_climb(view)));
    facts.extend(plan::sun_fact(view));
    document.push(Block::Facts(facts));
    let (notes, grave): (Vec<_>, Vec<_>) = plan
        .findings()
        .into_iter()
        .partition(|finding| finding.weight == Weight::Note);
    if grave.is_empty() {
        document.say("Nothing was found that speaks against this plan.");
    }
    parts::push_findings(document, "Look at this first", grave, view.units);
    parts::push_findings(document, "Also", notes, view.units);
}

fn stations(document: &mut Document, view: &View<'_>, plan: &Plan) {
    document.push(Block::Table(plan::stations(view, plan)));
    document.say(plan::legend(view, plan));
    cutoffs::push(document, view, plan);
    document.section("Between stations");
    document.push(Block::Table(splits::legs(view, plan)));
    if view.plans.len() > 1 {
        document.section("Other finishes");
        document.push(Block::Table(splits::side_by_side(view)));
    }
}

fn ground(document: &mut Document, view: &View<'_>, _: &Plan) {
    document.push(Block::Facts(course::survey_facts(view)));
    course::push_segments(document, view);
}

fn needs(document: &mut Document, view: &View<'_>, plan: &Plan) {
    document.push(Block::Facts(fuel::body_facts(view, plan)));
    fuel::push_needs(document, view, plan);
}

fn meetings(document: &mut Document, view: &View<'_>, plan: &Plan) {
    if !plan.crew.meetings.is_empty() {
        crew::push(document, view, plan);
    }
}

fn gear(document: &mut Document, view: &View<'_>, plan: &Plan) {
    let course = &view.race.course;
    if !course.mandatory_kit.is_empty() {
        document.section("Mandatory kit");
        document.say("The organiser's own list decides.");
        let kit = course.mandatory_kit.iter();
        document.push(Block::List(
            kit.map(|name| Item::new(Tone::Plain, name)).collect(),
        ));
    }
    let changes: Vec<&Pickup> = (plan.packing.pickups.iter())
        .filter(|pickup| !pickup.gear_on.is_empty() || !pickup.gear_off.is_empty())
        .collect();
    if !changes.is_empty() {
        document.section("Gear on and off");
        document.push(Block::Table(gear_changes(view, plan, &changes)));
    }
    if !course.rules.is_empty() {
        document.section("From the race rules");
        document.say("The rules themselves decide.");
        let rules = course.rules.iter();
        document.push(Block::List(
            rules.map(|rule| Item::new(Tone::Plain, rule)).collect(),
        ));
    }
}

fn gear_changes(view: &View<'_>, plan: &Plan, changes: &[&Pickup]) -> Table {
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::right("Leave", "departure_s"),
        Column::left("On", "gear_on"),
        Column::left("Off", "gear_off"),
    ]);
    let rows = changes.iter().map(|pickup| {
        let mut row = parts::station_cells(&view.race.course, pickup.station).to_vec();
        let leave = plan.schedule.splits[pickup.station].departure;
        row.extend([
            parts::time_cell(&plan.schedule, leave),
            Cell::new(pickup.gear_on.join(", ")),
            Cell::new(pickup.gear_off.join(", ")),
        ]);
        row
    });
    Table {
        rows: rows.collect(),
        columns,
    }
}

fn untested(document: &mut Document, view: &View<'_>, plan: &Plan) {
    let all = unknowns::grouped(&all_unknowns(view.race, plan, view.inputs));
    if all.is_empty() {
        return;
    }
    document.say(format!(
        "Known is what {TESTS_WANTED} long runs tested, one of them as the race asks for it; what \
         costs most where it fails stands first. {}",
        unknowns::THIRST
    ));
    let items = all.iter().map(|one| unknowns::item(one, view.units));
    document.push(Block::List(items.collect()));
}
