//! What the page's script computes with.

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use chrono::Offset;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use crate::diagnostics::Notes;
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::FASTEST_LEVEL_MPS;
use crate::pictures::words::clean;
use crate::plan::{Plan, Race};
use crate::replan::{PRIOR_H, Response};
use crate::reports::View;
use crate::time::{Elapsed, RaceClock};

/// Everything; `None` where the inputs make no race, from which the plan could not have come.
pub(super) fn json(view: &View<'_>, plan: &Plan) -> Option<Value> {
    let longest = plan.finish + plan.finish;
    // the plan's own race may end before a late runner's second night
    let race = Race::prepare(view.inputs, longest, &mut Notes::new())?;
    let response = Response::of(&race, plan);
    let segments: Vec<Value> = response
        .segments
        .iter()
        .map(|parts| {
            let parts = parts.iter().map(|part| {
                json!([
                    rounded(&part.cool_s, 100.0),
                    rounded(&part.enter_s, 10.0),
                    rounded(&part.hour, 1e6)
                ])
            });
            parts.collect()
        })
        .collect();
    let pacing = &plan.pacing;
    let moving_s: Vec<f64> = pacing.segments.iter().map(|s| s.moving_s).collect();
    let effort_m: Vec<f64> = pacing.segments.iter().map(|s| s.effort_m).collect();
    let mut data = json!({
        "clock": view.race.clock.map(|clock| clock_of(&clock, longest)),
        "finish_s": pacing.finish_s,
        "prior_h": PRIOR_H,
        "most_ratio": pacing.most_ratio(),
        "fastest_mps": FASTEST_LEVEL_MPS,
        "buffer_s": view.inputs.crew.as_ref().map_or(0.0, |crew| crew.buffer_s),
        "slowness": response.slowness,
        "segments": segments,
        "moving_s": moving_s,
        "effort_m": effort_m,
        "stations": stations(view, plan),
    });
    // entries are of this plan and no other
    let mark = BASE64_STANDARD.encode(Sha256::digest(data.to_string().as_bytes()));
    data["key"] = json!(format!("sutler crew {}", &mark[..16]));
    Some(data)
}

fn rounded(values: &[f64], parts: f64) -> Vec<f64> {
    values.iter().map(|v| (v * parts).round() / parts).collect()
}

fn stations(view: &View<'_>, plan: &Plan) -> Vec<Value> {
    let stations = view.race.course.stations.iter();
    stations
        .zip(&plan.schedule.splits)
        .enumerate()
        .map(|(index, (station, split))| {
            let meeting = plan.crew.meetings.iter().find(|m| m.station == index);
            json!({
                "index": index,
                "name": station.name,
                "label": clean(&station.name),
                "arrival_s": plan.pacing.arrival_s[index],
                "departure_s": plan.pacing.departure_s[index],
                "stop_s": view.race.stops_s[index],
                "early_s": split.early.as_secs(),
                "late_s": split.late.as_secs(),
                "cutoff_s": split.cutoff.map(|limit| limit.elapsed.as_secs()),
                "cutoff_leaves": split.cutoff.is_some_and(|l| l.on == CutoffOn::Departure),
                "meets": meeting.is_some(),
                "drive_s": meeting.and_then(|m| m.drive_s),
            })
        })
        .collect()
}

/// The start, and the offsets from UTC with the race time each holds from.
fn clock_of(clock: &RaceClock, longest: Elapsed) -> Value {
    const DAY_S: i64 = 86_400;
    let offset_s = |at_s: i64| {
        let instant = clock.at(Elapsed::from_secs(at_s));
        instant.offset().fix().local_minus_utc()
    };
    let first_s = -6 * DAY_S;
    let mut offsets = vec![(first_s, offset_s(first_s))];
    // zones change on whole minutes
    let start_s = clock.start().timestamp();
    let whole_s = first_s - (start_s + first_s).rem_euclid(60);
    let mut at_s = whole_s;
    while at_s < longest.as_secs() + 6 * DAY_S {
        let now_s = offset_s(at_s);
        if offsets.last().is_some_and(|(_, known_s)| *known_s != now_s) {
            offsets.push((at_s, now_s));
        }
        at_s += 60;
    }
    json!({ "start_s": start_s, "offsets": offsets })
}
