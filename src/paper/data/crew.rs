//! Meetings of crew and runner.

use serde_json::{Value, json};

use crate::charts::words::clean;
use crate::conditions::SunEventKind;
use crate::crew::Meeting;
use crate::findings::{About, Finding, Weight};
use crate::plan::Plan;
use crate::reports::{View, number};
use crate::time::Elapsed;
use crate::units::Quantity;

use super::stations::servings;
use super::{names, time};

/// What to ask the runner, wherever they come in. Common practice, no source.
const ASK: &str = "Thirsty? Eating? Passing water? Feet? Warm enough? Lamp?";

/// Every meeting in course order.
pub(super) fn meetings(view: &View<'_>, plan: &Plan) -> Value {
    let all = plan.crew.meetings.iter();
    all.map(|one| meeting(view, plan, one)).collect()
}

fn meeting(view: &View<'_>, plan: &Plan, meeting: &Meeting) -> Value {
    let (course, units) = (&view.race.course, view.units);
    let station = &course.stations[meeting.station];
    let split = &plan.schedule.splits[meeting.station];
    let handover = meeting
        .handover
        .and_then(|index| plan.packing.handovers.get(index));
    let last = meeting.station + 1 == course.stations.len();
    json!({
        "number": number(course, meeting.station),
        "name": clean(&station.name),
        "distance": units.distance_number(station.official_m),
        "distance_m": station.official_m.round(),
        "be_there": time(plan, meeting.be_there),
        "early": time(plan, split.early),
        "likely": time(plan, meeting.likely),
        "late": time(plan, meeting.late),
        "leaves": (!last).then(|| time(plan, meeting.departure)),
        "drive": meeting.drive_s.map(|s| Elapsed::from_s(s).to_string()),
        "drive_min": meeting.drive_s.map(|s| (s / 60.0).ceil()),
        "leave_by": meeting.leave_by.map(|at| time(plan, at)),
        "cutoff": split.cutoff.map(|limit| time(plan, limit.elapsed)),
        "margin": split.margin.map(|margin| margin.to_margin_text()),
        "latest_departure": split.latest_departure.map(|at| time(plan, at)),
        "latest_for": split.binding.map(|binding| clean(&course.stations[binding].name)),
        "hand_over": handover.map(|h| servings(&h.servings)).unwrap_or_default(),
        "gear": handover.map(|h| names(&h.gear)).unwrap_or_default(),
        "water": handover.filter(|h| h.water_ml > 0.0)
            .map(|h| units.show(Quantity::Volume { ml: h.water_ml })),
        "bring": names(&meeting.bring),
        "take_back": handover.map(|h| names(&h.take_back)).unwrap_or_default(),
        "pacers_on": names(&meeting.pacers_on),
        "pacers_off": names(&meeting.pacers_off),
        "ask": (!last).then_some(ASK),
        "dark": view.race.conditions.is_dark(station.distance_m, meeting.likely.as_s()),
        "weather": weather(view, meeting),
        "findings": findings(view, plan, Some(meeting.station)),
    })
}

/// The weather at the likely arrival, in words.
fn weather(view: &View<'_>, meeting: &Meeting) -> Option<String> {
    let station = &view.race.course.stations[meeting.station];
    let weather = view.race.conditions.weather(
        station.distance_m,
        station.elevation_m,
        meeting.likely.as_s(),
    )?;
    let temp = Quantity::Temperature { c: weather.temp_c };
    let wind = Quantity::WindSpeed {
        kmh: weather.wind_kmh,
    };
    let mut words = vec![
        view.units.show(temp),
        format!("wind {}", view.units.show(wind)),
    ];
    if weather.rain_mm_per_h > 0.0 {
        words.push(format!("rain {:.1} mm/h", weather.rain_mm_per_h));
    }
    if weather.thunder {
        words.push("thunderstorms forecast".to_owned());
    }
    Some(words.join(", "))
}

/// What the crew must know of the plan: of one station, or of no meeting in particular.
pub(super) fn findings(view: &View<'_>, plan: &Plan, station: Option<usize>) -> Value {
    let met = |at: usize| plan.crew.meetings.iter().any(|m| m.station == at);
    let wanted = |finding: &&Finding| match (finding.about, station) {
        (About::Station(at), Some(station)) => at == station,
        (About::Station(at), None) => !met(at),
        _ => station.is_none(),
    };
    plan.crew
        .findings
        .iter()
        .filter(wanted)
        .map(|finding| {
            let ways = finding.ways_out.iter();
            json!({
                "heavy": finding.weight > Weight::Note,
                "text": clean(&finding.says.show(view.units)),
                "ways_out": ways.map(|way| clean(&way.show(view.units))).collect::<Vec<_>>(),
            })
        })
        .collect()
}

/// Sunrises and the like from the start to the late finish.
pub(super) fn sun(view: &View<'_>, plan: &Plan) -> Value {
    let (Some(clock), Some(last)) = (view.race.clock, plan.schedule.splits.last()) else {
        return json!([]);
    };
    let zone = clock.start().timezone();
    view.race
        .conditions
        .sun_events()
        .iter()
        .map(|event| {
            (
                clock.elapsed_at(event.instant.with_timezone(&zone)),
                event.kind,
            )
        })
        .filter(|(at, _)| *at <= last.late)
        .map(|(at, kind)| {
            let what = match kind {
                SunEventKind::Dawn => "first light",
                SunEventKind::Sunrise => "sunrise",
                SunEventKind::Sunset => "sunset",
                SunEventKind::Dusk => "dark",
            };
            json!({ "what": what, "at": time(plan, at) })
        })
        .collect()
}
