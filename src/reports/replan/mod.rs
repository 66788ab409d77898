//! The rest of a race that goes differently: what was seen, and two ways on, side by side.

mod json;
mod tables;

use crate::facts::ChangeFacts;
use crate::plan::Plan;
use crate::replan::{Kind, Realism, Replan, Rest};
use crate::time::Elapsed;

use super::View;
use super::document::{Block, Document, Item, Tone};
use super::parts::{self, fact};
use super::without;

pub use json::json;

/// `sutler replan` as a document. The view's first plan is the one that was made before the race.
#[must_use]
pub fn build(view: &View<'_>, replan: &Replan) -> Document {
    let mut document = Document::titled(format!("Replan: {}", view.race.course.name));
    let Some(plan) = view.plans.first() else {
        return document;
    };
    document.push(Block::Facts(facts(view, plan, replan)));
    let rest = &replan.at_effort;
    parts::push_findings(
        &mut document,
        "At the effort shown: look at this first",
        &rest.findings,
        view.units,
    );
    document.section("Seen");
    document.push(Block::Table(tables::seen(view, plan, replan)));
    document.section("Ahead");
    document.push(Block::Table(tables::side_by_side(view, plan, replan)));
    document.say(
        "Effort: at the effort shown so far. Finish: to the original finish. Margins count to the \
         station's own cutoff.",
    );
    push_way(&mut document, view, replan, rest, "At the effort shown");
    if let Some(rest) = &replan.at_finish {
        push_way(&mut document, view, replan, rest, "To the original finish");
    }
    document.say(format!("{LEGEND}{}", parts::repeated_hour(&rest.plan)));
    document.section("Needs from here, at the effort shown");
    document.push(Block::Table(tables::needs(view, plan, replan)));
    document.say("Estimates to carry by; thirst decides below them. In brackets as planned.");
    push_changes(&mut document, view, rest);
    push_crew(&mut document, view, replan, rest);
    if let Some(finish) = &replan.at_finish {
        parts::push_findings(
            &mut document,
            "To the original finish it finds",
            &finish.findings,
            view.units,
        );
    }
    document.section("Cautions");
    let cautions = replan.cautions.iter();
    document.push(Block::List(
        cautions.map(|c| Item::new(Tone::Plain, c.text)).collect(),
    ));
    document
}

const LEGEND: &str = "Early and late: of ten such races, one arrives before early and one after \
                      late. Leave by: the latest departure that still meets every later cutoff at \
                      that effort, and the station whose cutoff decides.";

fn facts(view: &View<'_>, plan: &Plan, replan: &Replan) -> Vec<(String, String)> {
    let mut facts = parts::opening(view);
    if let Some(finish) = facts.iter_mut().find(|(name, _)| name == "Finish") {
        finish.0 = "Planned".to_owned();
    }
    facts.push(fact("Last seen", last_seen(view, plan, replan)));
    let lost = crate::losses::named(view.race);
    if !lost.is_empty() {
        facts.push(fact("Without", lost.join(", ")));
    }
    facts.push(fact("Effort shown", shown(replan)));
    facts.push(fact("Holding it", holding_effort(replan)));
    facts.push(fact("Finish as planned", holding_finish(plan, replan)));
    facts
}

fn last_seen(view: &View<'_>, plan: &Plan, replan: &Replan) -> String {
    let name = &view.race.course.stations[replan.here].name;
    let Some(event) = replan.events.last() else {
        return name.clone();
    };
    let split = &plan.schedule.splits[event.station];
    let (did, planned) = match event.kind {
        Kind::Arrival => ("reached", split.arrival),
        Kind::Departure => ("left", split.departure),
    };
    let at = plan.schedule.show(event.at());
    format!("{name}, {did} {at}, {}", off_plan(event.at(), planned))
}

/// Such as `0:53 after the plan`.
fn off_plan(at: Elapsed, planned: Elapsed) -> String {
    let off = at.to_minute() - planned.to_minute();
    match off.as_secs() {
        0 => "on plan".to_owned(),
        s if s > 0 => format!("{off} after the plan"),
        s => format!("{} before the plan", Elapsed::from_secs(-s)),
    }
}

fn shown(replan: &Replan) -> String {
    let shown = &replan.shown;
    if shown.hours <= 0.0 {
        return "nothing seen on the move yet: as planned".to_owned();
    }
    format!(
        "{} the planned moving time over {} h",
        times(shown.time_ratio),
        tenth(shown.hours),
    )
}

fn holding_effort(replan: &Replan) -> String {
    let rest = &replan.at_effort;
    let finish = rest.plan.schedule.show(rest.plan.finish);
    format!(
        "{} the planned speed from here: finish in {}, {finish}",
        times(rest.speed_ratio),
        rest.plan.finish
    )
}

fn holding_finish(plan: &Plan, replan: &Replan) -> String {
    let needed = &replan.needed;
    let Some(ratio) = needed.speed_ratio else {
        return format!(
            "{} is out of reach: nobody runs the rest that fast",
            plan.finish
        );
    };
    let chance = percent(needed.chance);
    let verdict = match needed.realism() {
        Realism::Easier => format!("no more than planned; {chance} likely"),
        Realism::Realistic => format!("realistic: {chance} likely as it goes"),
        Realism::Doubtful | Realism::Impossible => {
            format!("doubtful: {chance} likely as it goes")
        }
    };
    format!(
        "{} takes {} the planned speed on level ground from here; {verdict}",
        plan.finish,
        times(ratio)
    )
}

/// A ratio as people say it, such as `1.04 times`.
fn times(ratio: f64) -> String {
    format!("{ratio:.3} times")
}

fn tenth(value: f64) -> String {
    format!("{value:.1}")
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

fn push_way(document: &mut Document, view: &View<'_>, replan: &Replan, rest: &Rest, name: &str) {
    document.section(format!("{name}: finish in {}", rest.plan.finish));
    document.push(Block::Table(tables::way(view, replan, rest)));
}

/// What to take instead at the supply points ahead.
fn push_changes(document: &mut Document, view: &View<'_>, rest: &Rest) {
    document.section("What changes in bags and pockets, at the effort shown");
    if rest.changes.is_empty() {
        document.say("Nothing: take up what the plan says.");
        return;
    }
    let items = rest.changes.iter();
    document.push(Block::List(
        items
            .map(|change| without::item(&ChangeFacts::of(view, &rest.plan, change)))
            .collect(),
    ));
}

fn push_crew(document: &mut Document, view: &View<'_>, replan: &Replan, rest: &Rest) {
    let rows = tables::crew(view, replan, rest);
    if !rows.rows.is_empty() {
        document.section("Crew, at the effort shown");
        document.push(Block::Table(rows));
    }
}
