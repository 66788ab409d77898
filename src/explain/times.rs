//! Numbers of time: arrivals, windows, cutoffs, margins and paces.

use crate::facts::Moment;
use crate::time::Elapsed;

use super::What;
use super::question::{Question, Working};

const PACING: &str = "one level-ground speed is found at which the whole course, marched step by \
                      step with slope, ground, light, heat, height and fade, and with the planned \
                      stops, takes the target time";
const SIMULATED: &str = "of many simulated races, each with its own finish, fade, form, slow \
                         stretches and stops";

pub(super) const ARRIVAL: What = What {
    name: "arrival",
    key: "arrival_s",
    meaning: "Planned arrival, the station's own stop left out.",
    formula: PACING,
    build: |asked| {
        let split = asked.split();
        let pacing = &asked.plan.pacing;
        let stops_s: f64 = (0..asked.station)
            .map(|at| asked.plan.schedule.stop(at).as_s())
            .sum();
        let before_s = pacing.segments.iter().take(asked.station);
        let effort_m: f64 = before_s.map(|segment| segment.effort_m).sum();
        let moving = split.arrival.elapsed - Elapsed::from_s(stops_s);
        let effort = crate::facts::Measure::distance(asked.view.units, effort_m);
        target(asked, asked.of_station(&split.arrival.text))
            .step("race time", split.arrival.elapsed.to_string())
            .step("to the second", split.arrival.elapsed.to_seconds_text())
            .step("stopped before", Elapsed::from_s(stops_s).to_string())
            .step("moving until here", moving.to_string())
            .step("level metres that take as long", effort.text)
            .source(cost(asked))
            .into()
    },
};

pub(super) const DEPARTURE: What = What {
    name: "departure",
    key: "departure_s",
    meaning: "Planned departure, the station's own stop included.",
    formula: "planned arrival and the planned stop",
    build: |asked| {
        let split = asked.split();
        let stop = split.stop.as_ref();
        let stop = stop.map_or_else(|| "none".to_owned(), |stop| stop.text.clone());
        asked
            .of_station(&split.departure.text)
            .step("planned arrival", &split.arrival.text)
            .input("planned stop", stop, asked.row(asked.station))
            .into()
    },
};

pub(super) const STOP: What = What {
    name: "stop",
    key: "stop_s",
    meaning: "Time planned to stand at the station.",
    formula: "the station's own minutes, else the plan's for its kind",
    build: |asked| {
        let stop = asked.split().stop.as_ref()?;
        asked
            .of_station(&stop.text)
            .input("station", &asked.here().station, asked.row(asked.station))
            .step("planned arrival", &asked.split().arrival.text)
            .source("common practice, no source")
            .into()
    },
};

pub(super) const EARLY: What = What {
    name: "early",
    key: "early_s",
    meaning: "Nine races in ten arrive later than this.",
    formula: SIMULATED,
    build: |asked| window(asked, &asked.split().early),
};

pub(super) const LIKELY: What = What {
    name: "likely",
    key: "likely_s",
    meaning: "Half of the races arrive later than this.",
    formula: SIMULATED,
    build: |asked| window(asked, &asked.split().likely),
};

pub(super) const LATE: What = What {
    name: "late",
    key: "late_s",
    meaning: "Nine races in ten arrive earlier than this.",
    formula: SIMULATED,
    build: |asked| window(asked, &asked.split().late),
};

pub(super) const CUTOFF: What = What {
    name: "cutoff",
    key: "cutoff_s",
    meaning: "The organiser's limit at this station.",
    formula: "a clock time is the first one after the cutoff before; an elapsed time counts from \
              the official start",
    build: |asked| {
        let split = asked.split();
        let cutoff = split.cutoff.as_ref()?;
        limit(asked, asked.station, asked.of_station(&cutoff.text))
            .step("race time", cutoff.elapsed.to_string())
            .step("counts on", split.cutoff_on.unwrap_or("arrival"))
            .source("the organiser")
            .into()
    },
};

pub(super) const MARGIN: What = What {
    name: "margin",
    key: "margin_s",
    meaning: "Time in hand at the cutoff on plan; negative is late.",
    formula: "cutoff less planned arrival, or less planned departure where the cutoff counts on that",
    build: |asked| {
        let split = asked.split();
        let margin = split.margin.as_ref()?;
        let counted = match split.cutoff_on {
            Some("departure") => ("planned departure", &split.departure),
            _ => ("planned arrival", &split.arrival),
        };
        limit(asked, asked.station, asked.of_station(&margin.text))
            .step(counted.0, &counted.1.text)
            .into()
    },
};

pub(super) const CHANCE: What = What {
    name: "chance",
    key: "chance_so_far",
    meaning: "The chance of making this cutoff and all before it; dropping out for other reasons \
              is not counted.",
    formula: SIMULATED,
    build: |asked| {
        let split = asked.split();
        let chance = split.chance_so_far.as_ref()?;
        let draft = limit(asked, asked.station, asked.of_station(&chance.text));
        Some(rests_on(asked, draft).source(SOURCE))
    },
};

pub(super) const LEAVE_BY: What = What {
    name: "leave-by",
    key: "latest_departure_s",
    meaning: "The latest departure that still meets every later cutoff.",
    formula: "from every later cutoff the race is marched backwards at the effort to expect (the \
              planned one where the likely runner misses a cutoff), with the light and warmth of \
              that hour and the planned stops between; the earliest of the departures decides",
    build: |asked| {
        let split = asked.split();
        let leave = split.latest_departure.as_ref()?;
        let binding = asked.plan.schedule.splits[asked.station].binding?;
        let draft = asked.of_station(&leave.text).step(
            "the cutoff that binds",
            &asked.facts.stations[binding].station,
        );
        let limit_at = asked.planned.splits[binding].cutoff.as_ref()?;
        let on_the_way = limit_at.elapsed - leave.elapsed;
        limit(asked, binding, draft)
            .step("counted at the", asked.planned.leave_by_effort)
            .step("time to it at this effort", on_the_way.to_string())
            .step("planned departure", &split.departure.text)
            .into()
    },
};

pub(super) const MOVING: What = What {
    name: "moving",
    key: "moving_s",
    meaning: "Time from leaving one station to reaching the next.",
    formula: "difference of the printed times, so that the page adds up",
    build: |asked| {
        let pace = asked.pace()?;
        let before = &asked.planned.splits[asked.station - 1];
        asked
            .of_segment(&pace.printed.text)?
            .step("arrival", &asked.split().arrival.text)
            .step("departure before", &before.departure.text)
            .step("to the second", pace_seconds(pace.moving.value))
            .source(cost(asked))
            .into()
    },
};

pub(super) const PACE: What = What {
    name: "pace",
    key: "pace_s_per_km",
    meaning: "Moving time over the organiser's length.",
    formula: "moving time divided by length",
    build: |asked| {
        let (pace, segment) = (asked.pace()?, asked.segment()?);
        let index = asked.station - 1;
        let effort_m = asked.plan.pacing.segments[index].effort_m;
        let effort = crate::facts::Measure::distance(asked.view.units, effort_m);
        asked
            .of_segment(&pace.pace.text)?
            .step("moving", pace_seconds(pace.moving.value))
            .step("length", &segment.official_length.text)
            .step("climb", &segment.climb.text)
            .step("descent", &segment.descent.text)
            .step("level metres that take as long", effort.text)
            .step(
                "level pace of the same effort",
                &asked.planned.pacing.level_pace.text,
            )
            .source(cost(asked))
            .into()
    },
};

pub(super) const WALK: What = What {
    name: "walk",
    key: "walk_share",
    meaning: "Share of the moving time that is walked.",
    formula: "a step counts as walked as far as its speed is below what runners walk at on its slope",
    build: |asked| {
        let pace = asked.pace()?;
        asked
            .of_segment(&pace.walk_share.text)?
            .step("pace", &pace.pace.text)
            .into()
    },
};

pub(super) const DARK: What = What {
    name: "dark",
    key: "dark_share",
    meaning: "Share of the moving time for which a lamp is needed.",
    formula: "dark is from civil dusk to civil dawn: the sun is more than 6° below the horizon",
    build: |asked| {
        let pace = asked.pace()?;
        let before = &asked.planned.splits[asked.station - 1];
        asked
            .of_segment(&pace.dark_share.text)?
            .step("from", &before.departure.text)
            .step("to", &asked.split().arrival.text)
            .source("NREL solar position algorithm (Reda and Andreas 2004)")
            .into()
    },
};

pub(super) const SOURCE: &str =
    "our own simulation, its spread fitted on public race results; see `sutler help accuracy`";

fn pace_seconds(seconds: f64) -> String {
    Elapsed::from_s(seconds).to_seconds_text()
}

fn cost(asked: &Question<'_>) -> String {
    let pacing = &asked.planned.pacing;
    format!("{}: {}", pacing.cost_about, pacing.cost_source)
}

/// The target, where it is written, and the speed it takes.
fn target(asked: &Question<'_>, draft: Working) -> Working {
    let written = asked.written(asked.view.inputs.plan.finish.as_ref());
    let place = written.unwrap_or_else(|| "typed, or from past results".to_owned());
    draft
        .step_at("target finish", &asked.planned.finish_time, place)
        .step(
            "level pace of the same effort",
            &asked.planned.pacing.level_pace.text,
        )
}

/// The cutoff of a station, and where it is written.
fn limit(asked: &Question<'_>, station: usize, draft: Working) -> Working {
    let cutoff = asked.planned.splits[station].cutoff.as_ref();
    let text = cutoff.map_or_else(String::new, |cutoff| cutoff.text.clone());
    let own = &asked.view.race.course.stations[station];
    let span = own
        .cutoff
        .as_ref()
        .and_then(|(_, _, span)| *span)
        .or(own.span);
    draft.input("cutoff", text, asked.at(span))
}

pub(super) fn rests_on(asked: &Question<'_>, draft: Working) -> Working {
    draft
        .step("planned arrival", &asked.split().arrival.text)
        .step("the target is based on", &asked.planned.rests_on)
}

fn window(asked: &Question<'_>, at: &Moment) -> Option<Working> {
    let draft = asked.of_station(&at.text);
    Some(rests_on(asked, draft).source(SOURCE))
}
