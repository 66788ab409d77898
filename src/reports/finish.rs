//! Which finishes are in reach: what past results promise, and what cutoffs allow.

use serde_json::{Value, json};

use crate::facts::value::{tenth, thousandth};
use crate::finish::{Estimate, FromPast, Outlook, RIEGEL_RANGE_S, Safe};
use crate::time::{Elapsed, S_PER_HOUR};

use super::View;
use super::document::{Block, Cell, Column, Document, Table};
use super::parts::{self, fact};

/// `sutler finish` as a document.
#[must_use]
pub fn build(view: &View<'_>, outlook: &Outlook) -> Document {
    let mut document = Document::titled(format!("Finish: {}", view.race.course.name));
    document.push(Block::Facts(facts(view, outlook)));
    if let Some(estimate) = &outlook.estimate {
        document.section("From past results");
        document.push(Block::Table(past(view, estimate)));
        document.say(law_note(estimate));
    } else {
        document.say(
            "No estimate: add a race or long run as `[past]` to the plan, with distance_km, \
             climb_m and time.",
        );
    }
    if !outlook.prospects.is_empty() && !outlook.limited(view.race).is_empty() {
        document.section("Time in hand at each cutoff");
        document.push(Block::Table(margins(view, outlook)));
    }
    document
}

fn facts(view: &View<'_>, outlook: &Outlook) -> Vec<(String, String)> {
    let mut facts: Vec<(String, String)> = parts::opening(view);
    if let Some(estimate) = &outlook.estimate {
        facts.push(fact(
            "Plausible",
            format!(
                "{} early, {} likely, {} late{}",
                estimate.early,
                estimate.likely,
                estimate.late,
                stops(estimate.stops)
            ),
        ));
        facts.push(fact("At risk", at_risk(view, outlook, estimate)));
    }
    facts.push(fact("Slowest safe", safe_line(view, outlook)));
    let (fastest, slowest) = outlook.accepted;
    facts.push(fact(
        "Accepted",
        format!("finishes from {fastest} to {slowest}"),
    ));
    facts
}

fn stops(stops: Elapsed) -> String {
    if stops > Elapsed::ZERO {
        format!(" · {stops} of each stopped")
    } else {
        String::new()
    }
}

/// Which of the three finishes misses which cutoff.
fn at_risk(view: &View<'_>, outlook: &Outlook, estimate: &Estimate) -> String {
    if outlook.limited(view.race).is_empty() {
        return "nothing: the course has no cutoff".to_owned();
    }
    let word = |finish: Elapsed| match finish {
        f if f == estimate.likely => "likely",
        f if f == estimate.early => "early",
        _ => "late",
    };
    let mut parts = Vec::new();
    for prospect in &outlook.prospects {
        let missed: Vec<&str> = prospect
            .schedule
            .splits
            .iter()
            .filter(|split| split.margin.is_some_and(|m| m < Elapsed::ZERO))
            .map(|split| view.race.course.stations[split.station].name.as_str())
            .collect();
        if !missed.is_empty() {
            parts.push(format!(
                "the {} finish misses {}",
                word(prospect.finish),
                missed.join(", ")
            ));
        }
    }
    if parts.is_empty() {
        "no cutoff, early, likely or late".to_owned()
    } else {
        parts.join("; ")
    }
}

fn safe_line(view: &View<'_>, outlook: &Outlook) -> String {
    let name = |station: usize| &view.race.course.stations[station].name;
    let cushion = outlook.cushion;
    match outlook.slowest_safe {
        Safe::NoCutoffs => "any: the course has no cutoff".to_owned(),
        Safe::Never { station, margin } => format!(
            "none: even the fastest has {} in hand at {}, not {cushion}",
            margin.to_margin_text(),
            name(station)
        ),
        Safe::Finish {
            finish,
            station,
            margin,
        } => format!(
            "{finish}, with {cushion} or more in hand at every cutoff; least at {}, {}",
            name(station),
            margin.to_margin_text()
        ),
    }
}

fn past(view: &View<'_>, estimate: &Estimate) -> Table {
    let units = view.units;
    let columns = vec![
        Column::left("Result", "name"),
        Column::right(units.distance_symbol(), "distance_m"),
        Column::right("up", "climb_m"),
        Column::right("Time", "time_s"),
        Column::right(format!("as {}", units.distance_symbol()), "effort_m"),
        Column::right("Early", "early_s"),
        Column::right("Likely", "likely_s"),
        Column::right("Late", "late_s"),
        Column::right("b", "exponent"),
        Column::right("counts", "weight_pct"),
    ];
    let rows = estimate.from.iter().map(|from| {
        let time = |share: f64| {
            let finish = Elapsed::from_s(from.spread.quantile_s(share));
            Cell::with_raw(finish.to_string(), finish.as_secs())
        };
        let exponent = from.exponent.map(|b| format!("{b:.2}"));
        vec![
            Cell::new(result_name(from)),
            parts::distance_cell(units, from.past.distance_m),
            parts::height_cell(units, from.past.climb_m),
            Cell::with_raw(
                from.past.time.value.to_string(),
                from.past.time.value.as_secs(),
            ),
            parts::distance_cell(units, from.effort_m),
            time(0.1),
            time(0.5),
            time(0.9),
            exponent.map_or(Cell::empty(), Cell::new),
            parts::share_cell(from.weight),
        ]
    });
    Table {
        columns,
        rows: rows.collect(),
    }
}

fn result_name(from: &FromPast) -> String {
    match (&from.past.name, from.past.date) {
        (Some(name), Some(date)) => format!("{name}, {}", date.format("%Y-%m-%d")),
        (Some(name), None) => name.clone(),
        (None, Some(date)) => date.format("%Y-%m-%d").to_string(),
        (None, None) => "past result".to_owned(),
    }
}

fn law_note(estimate: &Estimate) -> String {
    let (_, end_s) = RIEGEL_RANGE_S;
    let end_min = end_s / 60.0;
    let outside = if estimate.from.iter().all(|from| from.in_range) {
        ""
    } else {
        " This goes beyond it, so trust it the less the longer the race."
    };
    format!(
        "The course is as long as {:.1} level km; a metre of climb counts as {:.1} m, with what \
         the descents give back. Time grows as effort^b: b 1.08 up to {end_min:.0} min, where \
         records follow it (Riegel 1981), and beyond as power falls with the logarithm of time \
         (Péronnet & Thibault 1989), by 10 % for each 2.7 times.{outside} Early to late holds 8 of \
         10 finishes in public race results.{}",
        estimate.effort_m / 1000.0,
        estimate.climb_equivalent_m,
        day_note(estimate.day),
    )
}

/// What the forecast and the hours of the race add, where it can be seen.
fn day_note(day: f64) -> String {
    let percent = 100.0 * (day - 1.0);
    if percent.abs() < 0.5 {
        return String::new();
    }
    let way = if percent > 0.0 { "longer" } else { "shorter" };
    format!(
        " Light and warmth of the day make it {:.0} % {way} than as long a race begun on a cool \
         morning.",
        percent.abs()
    )
}

fn margins(view: &View<'_>, outlook: &Outlook) -> Table {
    const KEYS: [(&str, &str); 3] = [
        ("arrival_s", "margin_s"),
        ("arrival_2_s", "margin_2_s"),
        ("arrival_3_s", "margin_3_s"),
    ];
    let course = &view.race.course;
    let prospects = || outlook.prospects.iter().take(KEYS.len());
    let mut columns = parts::station_columns().to_vec();
    for (prospect, (arrival, margin)) in prospects().zip(KEYS) {
        columns.push(Column::right(prospect.finish.to_string(), arrival));
        columns.push(Column::right("margin", margin));
    }
    columns.push(Column::right("Cutoff", "cutoff_s"));
    let rows = outlook.limited(view.race).into_iter().map(|station| {
        let mut row = parts::station_cells(course, station).to_vec();
        let mut cutoff = Cell::empty();
        for prospect in prospects() {
            let split = &prospect.schedule.splits[station];
            row.push(parts::time_cell(&prospect.schedule, split.arrival));
            row.push(parts::margin_cell(split.margin));
            if let Some(limit) = split.cutoff {
                cutoff = parts::time_cell(&prospect.schedule, limit.elapsed);
            }
        }
        row.push(cutoff);
        row
    });
    Table {
        columns,
        rows: rows.collect(),
    }
}

/// `sutler finish --format json`.
///
/// Times in seconds: `early_s`, `likely_s` and `late_s` under `estimate` (`null` without past
/// results), `slowest_safe_s` (`null` where there is none), `fastest_s` and `slowest_s` accepted,
/// and `prospects`, each a finish with its margins.
#[must_use]
pub fn json(view: &View<'_>, outlook: &Outlook) -> Value {
    let name = |station: usize| view.race.course.stations[station].name.as_str();
    let prospects: Vec<Value> = outlook
        .prospects
        .iter()
        .map(|prospect| {
            let limited = prospect.schedule.splits.iter();
            let margins: Vec<Value> = limited
                .filter_map(|split| {
                    Some(json!({
                        "station": name(split.station),
                        "arrival_s": split.arrival.as_secs(),
                        "cutoff_s": split.cutoff?.elapsed.as_secs(),
                        "margin_s": split.margin?.as_secs(),
                    }))
                })
                .collect();
            json!({ "finish_s": prospect.finish.as_secs(), "cutoffs": margins })
        })
        .collect();
    let (safe_s, least) = match outlook.slowest_safe {
        Safe::Finish {
            finish,
            station,
            margin,
        } => (Some(finish), Some((station, margin))),
        Safe::Never { station, margin } => (None, Some((station, margin))),
        Safe::NoCutoffs => (None, None),
    };
    let warnings: Vec<&str> = view.warnings.iter().map(|w| w.message.as_str()).collect();
    json!({
        "course": view.race.course.name,
        "estimate": outlook.estimate.as_ref().map(estimate_of),
        "cushion_s": outlook.cushion.as_secs(),
        "slowest_safe_s": safe_s.map(Elapsed::as_secs),
        "least_margin_at": least.map(|(station, _)| name(station)),
        "least_margin_s": least.map(|(_, margin)| margin.as_secs()),
        "fastest_s": outlook.accepted.0.as_secs(),
        "slowest_s": outlook.accepted.1.as_secs(),
        "prospects": prospects,
        "warnings": warnings,
    })
}

fn estimate_of(estimate: &Estimate) -> Value {
    let from: Vec<Value> = estimate
        .from
        .iter()
        .map(|from| {
            let [early_s, likely_s, late_s] =
                [0.1, 0.5, 0.9].map(|share| from.spread.quantile_s(share).round());
            json!({
                "name": from.past.name,
                "date": from.past.date.map(|date| date.format("%Y-%m-%d").to_string()),
                "distance_m": tenth(from.past.distance_m),
                "climb_m": tenth(from.past.climb_m),
                "time_h": thousandth(from.past.time.value.as_s() / S_PER_HOUR),
                "effort_m": tenth(from.effort_m),
                "early_s": early_s,
                "likely_s": likely_s,
                "late_s": late_s,
                "exponent": from.exponent.map(thousandth),
                "in_range": from.in_range,
                "weight": thousandth(from.weight),
            })
        })
        .collect();
    json!({
        "early_s": estimate.early.as_secs(),
        "likely_s": estimate.likely.as_secs(),
        "late_s": estimate.late.as_secs(),
        "stops_s": estimate.stops.as_secs(),
        "day": thousandth(estimate.day),
        "effort_m": tenth(estimate.effort_m),
        "climb_equivalent_m": tenth(estimate.climb_equivalent_m),
        "from": from,
    })
}
