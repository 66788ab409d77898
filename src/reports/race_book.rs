//! The race book, before it is laid out: chapters made of the parts of all reports.

use crate::facts::{Facts, FigureFacts, LossFacts, PickupFacts, PlanFacts};

use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::parts::fact;
use super::{
    bags, cells, check, course, crew, cutoffs, found, fuel, goals, opening, plan, shopping, splits,
    unknowns,
};

/// A chapter.
#[derive(Clone, Debug, PartialEq)]
pub struct Chapter {
    /// The id that links and styles know it by.
    pub key: &'static str,
    /// Its title.
    pub title: &'static str,
    /// The name of the picture that belongs to it.
    pub picture: Option<&'static str>,
    /// Its contents.
    pub blocks: Vec<Block>,
}

/// Puts what belongs to a chapter into it.
type Fill = fn(&mut Document, &Facts, &PlanFacts);

/// Every chapter that has something to say, in reading order; none without a plan.
#[must_use]
pub fn chapters(facts: &Facts) -> Vec<Chapter> {
    let Some(plan) = facts.planned() else {
        return Vec::new();
    };
    let all: [(&str, &str, Option<&str>, Fill); 12] = [
        ("first", "What matters first", Some("in-hand"), first),
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
            |to, _, plan| bags::push_pickups(to, plan),
        ),
        ("bags", "Drop bags", None, |to, facts, plan| {
            bags::push_bags(to, facts, plan)
        }),
        ("crew", "Crew", Some("map"), meetings),
        ("losses", "If something is missing", None, |to, facts, _| {
            losses(to, facts);
        }),
        ("gear", "Gear, kit and rules", None, gear),
        ("shopping", "Shopping and packing", None, |to, _, plan| {
            shopping::push(to, plan)
        }),
        (
            "untested",
            "Not tested on long runs",
            None,
            |to, _, plan| unknowns::push_all(to, plan),
        ),
        ("made", "How the numbers were made", None, made),
    ];
    let made = all.map(|(key, title, picture, fill)| {
        let mut document = Document::default();
        fill(&mut document, facts, plan);
        Chapter {
            key,
            title,
            picture,
            blocks: untitled(document.blocks),
        }
    });
    made.into_iter()
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

fn first(document: &mut Document, facts: &Facts, plan: &PlanFacts) {
    document.push(Block::Facts(plan::race(facts, plan)));
    let (grave, notes): (Vec<_>, Vec<_>) =
        plan.findings.iter().partition(|one| one.weight != "note");
    found::push_findings(document, "Look at this first", grave);
    found::push_findings(document, "Also", notes);
    found::push_cautions(document, plan);
}

fn stations(document: &mut Document, facts: &Facts, plan: &PlanFacts) {
    document.push(Block::Table(plan::stations(facts, plan)));
    document.say(plan::legend(plan));
    cutoffs::push(document, plan);
    goals::push(document, plan);
    document.table("Between stations", splits::legs(facts, plan));
    if !plan.other_finishes.is_empty() {
        document.table("Other finishes", splits::side_by_side(plan));
    }
}

fn ground(document: &mut Document, facts: &Facts, _: &PlanFacts) {
    let survey = course::survey(facts).into_iter();
    // who drew the route concerns those who keep its file
    document.push(Block::Facts(
        survey.filter(|(name, _)| name != "Origin").collect(),
    ));
    document.table("Segments", course::segments(facts));
    document.say(course::SEGMENTS);
}

fn needs(document: &mut Document, facts: &Facts, plan: &PlanFacts) {
    document.push(Block::Facts(fuel::body(plan)));
    document.section("Per segment, the stop before it included");
    fuel::push_needs(document, facts, plan);
}

fn meetings(document: &mut Document, _: &Facts, plan: &PlanFacts) {
    if !plan.crew.is_empty() {
        crew::push(document, plan);
    }
}

/// Single losses that break the plan, in words that need no keyboard.
fn losses(document: &mut Document, facts: &Facts) {
    let Some(check) = &facts.check else { return };
    if check.losses_tried == 0 {
        return;
    }
    // such as `crew:Moosgatter`, as typed
    let what = |loss: &&LossFacts| match loss.loss.split_once(':') {
        Some(("crew", name)) => format!("no crew at {name}"),
        Some(("bag", name)) => format!("no bag at {name}"),
        Some(("offers" | "station", name)) => format!("nothing to be had at {name}"),
        Some((_, name)) => format!("no {name}"),
        None => loss.loss.clone(),
    };
    check::losses(document, check, &|losses| {
        let all: Vec<String> = losses.iter().map(what).collect();
        all.join(", ")
    });
}

fn gear(document: &mut Document, facts: &Facts, plan: &PlanFacts) {
    let race = &facts.race.0;
    if !race.mandatory_kit.is_empty() {
        document.section("Mandatory kit");
        document.say("The organiser's own list decides.");
        document.points(&race.mandatory_kit);
    }
    let changes: Vec<&PickupFacts> = (plan.pickups.iter())
        .filter(|pickup| !pickup.gear_on.is_empty() || !pickup.gear_off.is_empty())
        .collect();
    if !changes.is_empty() {
        document.table("Gear on and off", gear_changes(&changes));
    }
    if !race.rules.is_empty() {
        document.section("From the race rules");
        document.say("The rules themselves decide.");
        document.points(&race.rules);
    }
}

fn gear_changes(changes: &[&PickupFacts]) -> Table {
    Table::of(
        changes,
        vec![
            Column::right("#", "number").of(|p: &&PickupFacts| cells::number(&p.number)),
            Column::left("Station", "station").of(|p| cells::name(&p.station)),
            Column::right("Leave", "departure_s").of(|p| cells::moment(&p.departure)),
            Column::left("On", "gear_on").of(|p| Cell::new(p.gear_on.join(", "))),
            Column::left("Off", "gear_off").of(|p| Cell::new(p.gear_off.join(", "))),
        ],
    )
}

/// The basis of the numbers, then every figure with who gave it.
fn made(document: &mut Document, facts: &Facts, plan: &PlanFacts) {
    document.say(
        "The same files give the same numbers. All of them are estimates: test each on long runs.",
    );
    let pacing = &plan.pacing;
    let measured = match pacing.cost_measured_pct[..] {
        [least, most] => format!(", measured from {least:.0} to {most:.0} %"),
        _ => String::new(),
    };
    let mut lines = vec![
        fact("Effort", splits::effort(plan)),
        fact("Slopes", format!("{}{measured}", pacing.cost_source)),
        fact("Stops", format!("{} in all, planned", pacing.stops.text)),
        fact("Windows", plan.early_late.clone()),
    ];
    lines.extend(opening::own_pace(plan));
    document.push(Block::Facts(lines));
    document.table("Pacing figures", figures(plan));
    let warnings = facts.warnings.iter();
    document.list(
        "Notes on the files",
        warnings.map(|text| Item::new(Tone::Plain, text)),
    );
}

/// Every figure of pacing, its value and who gave it.
fn figures(plan: &PlanFacts) -> Table {
    let from = |figure: &FigureFacts| {
        let tone = if figure.from == "default" {
            Tone::Faint
        } else {
            Tone::Strong
        };
        Cell::new(figure.from).tone(tone)
    };
    Table::of(
        &plan.pacing.figures,
        vec![
            Column::left("Figure", "figure").of(|f: &FigureFacts| Cell::new(f.figure)),
            Column::left("Value", "value").of(|f| Cell::new(f.value.clone())),
            Column::left("From", "from").of(from),
        ],
    )
}
