//! The whole race on a page or two, to read the night before.

use crate::facts::{Facts, PlanFacts, SegmentFacts, SplitFacts};

use super::cells::{moving, need, pace, run};
use super::document::{Block, Cell, Column, Document, Table, Tone};
use super::parts::fact;
use super::splits::{leave_by, leave_by_words, times};
use super::{Needs, Report, bags, cells, crew, cutoffs, found, fuel, goals, opening, unknowns};

/// `sutler plan`
pub(super) const REPORT: Report = Report {
    name: "plan",
    about: "the whole race: splits, margins, needs, pick-ups, bags and crew",
    needs: Needs::Target,
    keys: "",
    stages: &[],
    build,
};

fn build(facts: &Facts) -> Document {
    let mut document = opening::titled(facts, "");
    let Some(plan) = facts.planned() else {
        return document;
    };
    document.table("Stations", stations(facts, plan));
    document.say(legend(plan));
    cutoffs::push(&mut document, plan);
    goals::push(&mut document, plan);
    let (grave, notes): (Vec<_>, Vec<_>) =
        plan.findings.iter().partition(|one| one.weight != "note");
    found::push_findings(&mut document, "Look at this first", grave);
    document.section("The race");
    document.push(Block::Facts(race(facts, plan)));
    document.push(opening::profile(facts));
    document.table("Between stations", segments(facts));
    document.say(
        "Fluid, sodium and carbohydrate for the segment and the stop before it: estimates of what \
         to carry. Drink less if you are not thirsty.",
    );
    bags::push_pickups(&mut document, plan);
    bags::push_bags(&mut document, facts, plan);
    if !plan.crew.is_empty() {
        document.table("Crew", crew::meetings(&plan.crew));
    }
    unknowns::push(&mut document, plan);
    found::push_findings(&mut document, "Also", notes);
    found::push_cautions(&mut document, plan);
    document
}

/// The race in facts: course, times, light, body.
pub(super) fn race(facts: &Facts, plan: &PlanFacts) -> Vec<(String, String)> {
    let mut lines = opening::race(facts);
    let sun = plan.sun.iter();
    let sun: Vec<String> = sun
        .map(|event| format!("{} {}", event.words, event.at.text))
        .collect();
    lines.extend((!sun.is_empty()).then(|| fact("Light", sun.join(", "))));
    lines.extend(opening::own_pace(plan));
    lines.extend(fuel::body(plan));
    lines
}

/// A row a station: when the runner comes and goes.
pub(super) fn stations(facts: &Facts, plan: &PlanFacts) -> Table {
    let right = Column::right;
    let mut columns = vec![
        right("#", "number").of(|s: &SplitFacts| cells::number(&s.number)),
        Column::left("Station", "station").of(|s| cells::name(&s.station)),
        right(&facts.race.0.units.distance, "official_m").of(|s| cells::measure(&s.official)),
    ];
    columns.extend(times(plan));
    columns.push(right("Leave", "departure_s").of(leave));
    if plan.splits.iter().any(|split| split.cutoff.is_some()) {
        columns.push(leave_by());
    }
    columns.push(Column::left("", "marks").of(|s| Cell::new(marks(s)).tone(Tone::Faint)));
    Table::of(&plan.splits, columns)
}

/// The clock time of leaving; nothing for people where the runner runs through.
fn leave(split: &SplitFacts) -> Cell {
    match &split.stop {
        Some(_) => cells::clock(&split.departure),
        None => Cell::with_raw("", split.departure.elapsed.as_secs()),
    }
}

/// One letter each for what else is there.
fn marks(split: &SplitFacts) -> String {
    [
        (split.opens_bag, 'b'),
        (split.meets_crew, 'c'),
        (split.pacer_joins, 'p'),
    ]
    .iter()
    .filter_map(|(there, mark)| there.then_some(*mark))
    .collect()
}

/// The meaning of its columns and letters; letters only where they occur.
pub(super) fn legend(plan: &PlanFacts) -> String {
    let mut legend = plan.early_late.clone() + &leave_by_words(plan);
    let any = |has: fn(&SplitFacts) -> bool| plan.splits.iter().any(has);
    let letters: Vec<&str> = [
        (any(|s| s.opens_bag), "b drop bag"),
        (any(|s| s.meets_crew), "c crew"),
        (any(|s| s.pacer_joins), "p pacer joins"),
    ]
    .into_iter()
    .filter_map(|(there, letter)| there.then_some(letter))
    .collect();
    if !letters.is_empty() {
        legend += &format!(" {}.", letters.join(", "));
    }
    legend + &opening::repeated_hour(plan)
}

fn segments(facts: &Facts) -> Table {
    let units = &facts.race.0.units;
    let right = Column::right;
    Table::of(
        &facts.segments,
        vec![
            right("", "number").of(|s: &SegmentFacts| cells::number(&s.number)),
            Column::left("To", "to").of(|s| cells::name(&s.to)),
            right(&units.distance, "official_length_m").of(|s| cells::measure(&s.official_length)),
            right("up", "climb_m").of(|s| cells::measure(&s.climb)),
            right("down", "descent_m").of(|s| cells::measure(&s.descent)),
            right("Time", "moving_s").of(moving),
            right(&units.pace, "pace_s_per_km").of(pace),
            right("dark", "dark_share").of(|s| run(s, |pace| cells::share(&pace.dark_share))),
            right(&units.volume, "fluid_ml").of(|s| need(s, |n| cells::measure(&n.fluid))),
            right("Na mg", "sodium_mg").of(|s| need(s, |n| cells::or_dash(&n.sodium))),
            right("carb g", "carbs_g").of(|s| need(s, |n| cells::or_dash(&n.carbs))),
        ],
    )
}
