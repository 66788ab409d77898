//! The runner's times, with the time in hand; several finishes side by side.

use crate::facts::{Facts, OtherFinishFacts, PlanFacts, SegmentFacts, SplitFacts};

use super::cells::{moving, pace, run};
use super::document::{Block, Cell, Column, Document, Filled, Table, Tone};
use super::parts::fact;
use super::{Needs, Report, cells, cutoffs, found, goals, opening};

/// `sutler splits`
pub(super) const REPORT: Report = Report {
    name: "splits",
    about: "arrivals, stops, cutoffs and margins; several finishes side by side",
    needs: Needs::Target,
    keys: "course start zone units finish evidence rests_on level_speed_mps pacing verdict \
           without splits switches other_finishes sun moon findings warnings",
    stages: &["schedule"],
    build,
};

fn build(facts: &Facts) -> Document {
    let mut document = opening::titled(facts, "Splits");
    let Some(plan) = facts.planned() else {
        return document;
    };
    document.table("Stations", stations(facts, plan));
    document.say(format!(
        "{}{}{}",
        plan.early_late,
        leave_by_words(plan),
        opening::repeated_hour(plan)
    ));
    cutoffs::push(&mut document, plan);
    goals::push(&mut document, plan);
    document.table("Between stations", legs(facts, plan));
    if !plan.other_finishes.is_empty() {
        document.table("Other finishes", side_by_side(plan));
    }
    let mut lines = opening::race(facts);
    lines.push(fact("Effort", effort(plan)));
    lines.extend(opening::own_pace(plan));
    document.section("The race");
    document.push(Block::Facts(lines));
    found::push_findings(&mut document, "Findings", REPORT.findings(facts));
    document
}

/// The effort of the race, as a pace on level ground.
pub(super) fn effort(plan: &PlanFacts) -> String {
    format!(
        "as hard as {} on level ground, {}",
        plan.pacing.level_pace.text, plan.pacing.cost_about
    )
}

/// The meaning of the column about leaving, under every table that has it.
pub(super) fn leave_by_words(plan: &PlanFacts) -> String {
    let leaves = plan.splits.iter().any(|s| s.latest_departure.is_some());
    let effort = plan.leave_by_effort;
    let is_after = plan.splits.iter().any(|s| s.if_in_by().is_some());
    let own = if is_after {
        ", if in by the station's own"
    } else {
        ""
    };
    let words = format!(
        " Leave by: the latest departure that still meets every later cutoff at the {effort}{own}."
    );
    if leaves { words } else { String::new() }
}

fn stations(facts: &Facts, plan: &PlanFacts) -> Table {
    let right = Column::right;
    let mut columns = vec![
        right("#", "number").of(|s: &SplitFacts| cells::number(&s.number)),
        Column::left("Station", "station").of(|s| cells::name(&s.station)),
        right(&facts.race.0.units.distance, "official_m").of(|s| cells::measure(&s.official)),
    ];
    columns.extend(times(plan));
    if plan.splits.iter().any(|split| split.cutoff.is_some()) {
        let binding = |s: &SplitFacts| {
            let pair = s.binding_number.as_ref().zip(s.binding.as_ref());
            pair.map_or_else(Cell::empty, |(number, name)| Cell::with_raw(number, name))
        };
        columns.extend([
            right("Cutoff", "cutoff_s")
                .of(|s: &SplitFacts| cells::near(s.cutoff.as_ref(), &s.arrival)),
            right("Margin", "margin_s").spare().of(cells::margin_of),
            leave_by(),
            right("for", "binding").spare().of(binding),
        ]);
    }
    Table::of(&plan.splits, columns)
}

/// Arrivals: to run for, to expect where that is another time, early and late.
pub(super) fn times(plan: &PlanFacts) -> Vec<Filled<SplitFacts>> {
    let right = Column::right;
    let planned = if plan.expects_later { "Plan" } else { "Arrive" };
    let mut columns =
        vec![right(planned, "arrival_s").of(|s: &SplitFacts| cells::moment(&s.arrival))];
    if plan.expects_later {
        columns
            .push(right("Likely", "likely_s").of(|s| cells::clock(&s.likely).tone(Tone::Strong)));
    }
    columns.push(right("Early", "early_s").of(|s| cells::clock(&s.early).tone(Tone::Faint)));
    columns.push(right("Late", "late_s").of(|s| cells::clock(&s.late).tone(Tone::Faint)));
    columns
}

/// The latest departure.
pub(super) fn leave_by() -> Filled<SplitFacts> {
    Column::right("Leave by", "latest_departure_s")
        .of(|s| cells::near(s.latest_departure.as_ref(), &s.arrival).tone(Tone::Faint))
}

/// Segments: printed times are differences of printed arrivals, so that the page adds up.
pub(super) fn legs(facts: &Facts, plan: &PlanFacts) -> Table {
    type SegmentRow<'a> = (&'a SegmentFacts, &'a SplitFacts);
    let rows: Vec<SegmentRow<'_>> = facts.segments.iter().zip(&plan.splits[1..]).collect();
    let units = &facts.race.0.units;
    let right = Column::right;
    Table::of(
        &rows,
        vec![
            right("", "number").of(|row: &SegmentRow<'_>| cells::number(&row.0.number)),
            Column::left("To", "to").of(|row| cells::name(&row.0.to)),
            right(&units.distance, "official_length_m")
                .of(|row| cells::measure(&row.0.official_length)),
            right("up", "climb_m").of(|row| cells::measure(&row.0.climb)),
            right("down", "descent_m").of(|row| cells::measure(&row.0.descent)),
            right("Moving", "moving_s").of(|row| moving(row.0)),
            right("Elapsed", "arrival_s").of(|row| {
                let at = row.1.arrival.elapsed;
                Cell::with_raw(at.to_string(), at.as_secs())
            }),
            right("Stop", "stop_s").of(|row| cells::maybe(row.1.stop.as_ref(), cells::measure)),
            right(&units.pace, "pace_s_per_km").of(|row| pace(row.0)),
            right("walk", "walk_share").of(|row| run(row.0, |pace| cells::share(&pace.walk_share))),
            right("dark", "dark_share").of(|row| run(row.0, |pace| cells::share(&pace.dark_share))),
        ],
    )
}

/// Arrival and margin for up to three finishes.
pub(super) fn side_by_side(plan: &PlanFacts) -> Table {
    const KEYS: [(&str, &str); 3] = [
        ("arrival_s", "margin_s"),
        ("arrival_2_s", "margin_2_s"),
        ("arrival_3_s", "margin_3_s"),
    ];
    let own = (&plan.finish, &plan.splits);
    let others = plan.other_finishes.iter();
    let others = others.map(|other: &OtherFinishFacts| (&other.finish, &other.splits));
    let finishes: Vec<_> = std::iter::once(own)
        .chain(others)
        .take(KEYS.len())
        .collect();
    let mut columns = vec![
        Column::right("#", "number"),
        Column::left("Station", "station"),
    ];
    for ((finish, _), (arrival, margin)) in finishes.iter().zip(KEYS) {
        columns.push(Column::right(finish.elapsed.to_string(), arrival));
        columns.push(Column::right("margin", margin));
    }
    let row = |(index, split): (usize, &SplitFacts)| {
        let mut row = vec![cells::number(&split.number), cells::name(&split.station)];
        for (_, splits) in &finishes {
            let split: &SplitFacts = &splits[index];
            row.push(cells::moment(&split.arrival));
            row.push(cells::margin_of(split));
        }
        row
    };
    let rows = plan.splits.iter().enumerate().map(row).collect();
    Table { columns, rows }
}
