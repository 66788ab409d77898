//! A replanned race as data. Times are seconds from the runner's own start.

use serde_json::{Value, json};

use crate::facts::value::thousandth;
use crate::facts::{
    CautionFacts, ChangeFacts, Facts, FindingFacts, MeetingFacts, SegmentFacts, SplitFacts,
};
use crate::plan::Plan;
use crate::replan::{Kind, Realism, Replan, Rest};

use super::super::View;

/// `sutler replan --format json`.
///
/// `hold_effort` and `hold_finish` each hold `finish_s`, `speed_ratio`, `splits` and `segments` as
/// in a plan (those passed are as they were seen), `changes`, `crew` and `findings`; `hold_finish`
/// is `null` where nobody runs that fast.
#[must_use]
pub fn json(view: &View<'_>, replan: &Replan) -> Value {
    let Some(plan) = view.plans.first() else {
        return json!({});
    };
    let keys = [
        "course",
        "finish_s",
        "level_speed_mps",
        "evidence",
        "start",
        "warnings",
    ];
    let mut out = Facts::of(view).to_json(&keys);
    let name = |station: usize| view.race.course.stations[station].name.as_str();
    out["seen"] = seen(view, plan, replan);
    out["last_seen"] = json!(name(replan.here));
    out["without"] = json!(crate::losses::named(view.race));
    out["leave_s"] = json!(replan.leave.as_secs());
    out["effort"] = json!({
        "hours": thousandth(replan.shown.hours),
        "time_ratio": thousandth(replan.shown.time_ratio),
        "speed_ratio": thousandth(replan.shown.speed_ratio),
    });
    out["needed"] = json!({
        "speed_ratio": replan.needed.speed_ratio.map(thousandth),
        "chance": thousandth(replan.needed.chance),
        "realism": match replan.needed.realism() {
            Realism::Easier => "easier",
            Realism::Realistic => "realistic",
            Realism::Doubtful => "doubtful",
            Realism::Impossible => "impossible",
        },
    });
    out["misses_cutoff"] = json!(replan.misses_cutoff());
    out["hold_effort"] = rest_of(view, &replan.at_effort);
    out["hold_finish"] = json!(replan.at_finish.as_ref().map(|rest| rest_of(view, rest)));
    out["cautions"] = json!(CautionFacts::all(&replan.cautions));
    out
}

fn seen(view: &View<'_>, plan: &Plan, replan: &Replan) -> Value {
    let rows: Vec<Value> = replan
        .events
        .iter()
        .map(|event| {
            let split = &plan.schedule.splits[event.station];
            let (kind, planned) = match event.kind {
                Kind::Arrival => ("arrival", split.arrival),
                Kind::Departure => ("departure", split.departure),
            };
            let mut row = json!({
                "station": view.race.course.stations[event.station].name,
                "event": kind,
                "at_s": event.at().as_secs(),
                "planned_s": planned.as_secs(),
            });
            if let Some(clock) = plan.schedule.clock {
                row["at"] = json!(clock.at(event.at()).to_rfc3339());
            }
            row
        })
        .collect();
    json!(rows)
}

fn rest_of(view: &View<'_>, rest: &Rest) -> Value {
    let changes = rest.changes.iter();
    let changes = changes.map(|change| ChangeFacts::of(view, &rest.plan, change));
    let course = &view.race.course;
    let findings = rest.findings.iter();
    let findings = findings.map(|one| FindingFacts::of(course, one, "replan", view.units));
    json!({
        "finish_s": rest.plan.finish.as_secs(),
        "speed_ratio": thousandth(rest.speed_ratio),
        "splits": SplitFacts::all(view, &rest.plan),
        "segments": SegmentFacts::all(view, Some(&rest.plan)),
        "changes": changes.collect::<Vec<_>>(),
        "crew": MeetingFacts::all(view, &rest.plan),
        "findings": findings.collect::<Vec<_>>(),
    })
}
