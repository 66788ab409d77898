//! The sheet of a long run that tries the plan out.

use serde_json::{Value, json};

use crate::facts::PlanFacts;
use crate::facts::value::{tenth, thousandth};
use crate::inputs::intake_csv;
use crate::plan::Plan;
use crate::rehearsal::practice::{BENDS, HABITS, SINGLE_RUN_MOST_M};
use crate::rehearsal::{BANDS, Rehearsal, dark_s};
use crate::time::Elapsed;
use crate::units::Quantity;
use crate::unknowns::Cost;

use super::View;
use super::bags::push_pickups;
use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::parts::{self, fact};

/// A table of splits has no more rows than this.
const MOST_ROWS: f64 = 24.0;

/// `sutler rehearse` as a document. The view is of the race; the first rehearsal is the one to run,
/// the others stand beside it.
#[must_use]
pub fn build(view: &View<'_>, rehearsals: &[Rehearsal]) -> Document {
    let mut document = Document::titled(format!("Rehearsal: {}", view.race.course.name));
    let Some(run) = rehearsals.first() else {
        return document;
    };
    let own = View {
        race: &run.run,
        inputs: &run.inputs,
        plans: std::slice::from_ref(&run.plan),
        ..*view
    };
    document.push(Block::Facts(facts(&own, run)));
    if rehearsals.len() > 1 {
        document.section("Routes, the most race-like first");
        document.push(Block::Table(routes(view, rehearsals)));
        document.say(
            "Slopes count by the effort spent on them. Shared: what both have of each kind. Off by: \
             how much steeper or gentler they are, on average, than the race's.",
        );
    }
    document.section("Pace at race effort");
    document.push(Block::Table(laps(&own, run)));
    push_pickups(&mut document, &PlanFacts::of(&own, &run.plan));
    document.say(
        "Refills come where the race has its supply points, by the effort done, with the stops \
         planned there: lay out water or pass a tap.",
    );
    push_likeness(&mut document, view, run);
    push_trials(&mut document, run);
    push_habits(&mut document, run);
    parts::push_findings(
        &mut document,
        "Findings",
        &run.plan.packing.findings,
        view.units,
    );
    parts::push_cautions(&mut document, &run.plan);
    document
}

fn facts(view: &View<'_>, run: &Rehearsal) -> Vec<(String, String)> {
    let mut facts = parts::opening(view);
    if let Some((from_m, to_m)) = run.copies {
        facts[0].1 = format!(
            "{} on ground as the race has it from {} to {}",
            view.units.show(Quantity::Distance { m: to_m - from_m }),
            view.units.distance_number(from_m),
            view.units.show(Quantity::Distance { m: to_m })
        );
    }
    if !run.has_heights {
        facts.push(fact("Heights", "not in the track: taken as level"));
    }
    let pace = Quantity::Pace {
        s_per_m: 1.0 / run.plan.pacing.level_speed_mps,
    };
    facts.push(fact(
        "Effort",
        format!(
            "as in the race's first {}: as hard as {} on level ground",
            view.units.show(Quantity::Distance {
                m: run.race_reach_m
            }),
            view.units.show(pace)
        ),
    ));
    facts.extend(weather(view, run).map(|line| fact("Weather", line)));
    facts.extend(light(run).map(|line| fact("Light", line)));
    let rates = run.rates;
    let less = if run.drinks_less {
        "; less to drink here, for the day makes less sweat"
    } else {
        ""
    };
    facts.push(fact(
        "Per hour",
        format!(
            "{:.0} g carbohydrate, {}, {:.0} mg sodium, as in the race{less}",
            rates.carbs_g_per_h,
            view.units.show(Quantity::Volume {
                ml: rates.fluid_ml_per_h
            }),
            rates.sodium_mg_per_h
        ),
    ));
    facts
}

fn weather(view: &View<'_>, run: &Rehearsal) -> Option<String> {
    let temps: Vec<f64> = (run.plan.fueling.segments.iter())
        .filter_map(|need| need.temp_c)
        .collect();
    let Some(low) = temps.iter().copied().reduce(f64::min) else {
        return Some("no forecast for that day: needs take a mild day, and gear for any weather is carried; --temp says better".into());
    };
    let high = temps.iter().copied().fold(low, f64::max);
    let show = |c: f64| view.units.show(Quantity::Temperature { c });
    Some(
        if view.units.temperature_number(low) == view.units.temperature_number(high) {
            format!("about {}", show(low))
        } else {
            format!("{} to {}", show(low), show(high))
        },
    )
}

fn light(run: &Rehearsal) -> Option<String> {
    run.run.conditions.knows_daylight().then(|| {
        let dark = Elapsed::from_s(dark_s(&run.plan.pacing.segments));
        if dark.to_minute() > Elapsed::ZERO {
            format!("{dark} of it in the dark: take the race's lamp")
        } else {
            "daylight throughout".to_owned()
        }
    })
}

fn routes(view: &View<'_>, rehearsals: &[Rehearsal]) -> Table {
    let units = view.units;
    let rows = rehearsals.iter().map(|run| {
        vec![
            Cell::new(run.run.course.name.clone()),
            parts::distance_cell(units, run.ground.length_m),
            Cell::with_raw(run.plan.finish.to_string(), run.plan.finish.as_secs()),
            parts::share_cell(run.ground.shared(&run.race_ground)),
            points_cell(run.ground.difference(&run.race_ground)),
        ]
    });
    Table {
        columns: vec![
            Column::left("Route", "route"),
            Column::right(units.distance_symbol(), "distance_m"),
            Column::right("Time", "time_s"),
            Column::right("Slopes shared", "slopes_shared_pct"),
            Column::right("Steepness off by", "steepness_off_points"),
        ],
        rows: rows.collect(),
    }
}

/// A difference of slopes in points of percent.
fn points_cell(difference: f64) -> Cell {
    let points = format!("{:.1}", 100.0 * difference);
    Cell::with_raw(format!("{points} points"), points)
}

/// Times at even distances; the last row ends at the finish.
fn laps(view: &View<'_>, run: &Rehearsal) -> Table {
    let (course, pacing) = (&run.run.course, &run.plan.pacing);
    let length_m = course.profile.length_m();
    let unit_m = view.units.distance_unit_m();
    let lap_m = [1.0, 2.0, 5.0, 10.0, 20.0]
        .map(|units| units * unit_m)
        .into_iter()
        .find(|lap_m| length_m / lap_m <= MOST_ROWS)
        .unwrap_or(50.0 * unit_m);
    let whole = ((length_m / lap_m - 0.02).floor()).max(0.0) as usize;
    let ends = (1..=whole).map(|lap| lap as f64 * lap_m).chain([length_m]);
    let (mut from_m, mut left) = (0.0, Elapsed::ZERO);
    let rows = ends.map(|to_m| {
        let at = if to_m < length_m {
            Elapsed::from_s(pacing.elapsed_at_s(course, to_m))
        } else {
            run.plan.finish
        };
        let took = at - left;
        let rise_m = course.profile.elevation_at_m(to_m) - course.profile.elevation_at_m(from_m);
        let row = vec![
            parts::distance_cell(view.units, to_m),
            Cell::with_raw(
                format!(
                    "{:+}",
                    view.units.height_number(rise_m).parse::<i64>().unwrap_or(0)
                ),
                format!("{rise_m:.0}"),
            ),
            Cell::with_raw(
                view.units.pace_number(took.as_s() / (to_m - from_m)),
                took.as_secs(),
            ),
            Cell::with_raw(at.to_seconds_text(), at.as_secs()).tone(Tone::Strong),
            parts::short_time_cell(&run.plan.schedule, at),
        ];
        (from_m, left) = (to_m, at);
        row
    });
    let rows = rows.collect();
    Table {
        columns: vec![
            Column::right(view.units.distance_symbol(), "distance_m"),
            Column::right(format!("net {}", view.units.height_symbol()), "net_rise_m"),
            Column::right(format!("min/{}", view.units.distance_symbol()), "lap_s"),
            Column::right("Time", "elapsed_s"),
            Column::right("Clock", "clock_s"),
        ],
        rows,
    }
}

fn push_likeness(document: &mut Document, view: &View<'_>, run: &Rehearsal) {
    document.section("How well it rehearses, slopes by the effort spent on them");
    document.push(Block::Table(likeness(view, run)));
    let course = &view.race.course;
    let hardest = &course.stations[run.hardest.0];
    let to = &course.stations[run.hardest.0 + 1];
    let mut words = format!(
        "Hardest is {} to {}. {:.0} % of this run's \
         effort is on slopes as the race has them, {:.0} % as the hardest segment has; steepness is \
         off by {:.1} points on average. It is most like the race from {} to {}.",
        hardest.name,
        to.name,
        100.0 * run.ground.shared(&run.race_ground),
        100.0 * run.ground.shared(&run.hardest.1),
        100.0 * run.ground.difference(&run.race_ground),
        view.units.distance_number(run.stretch.from_m),
        view.units.show(Quantity::Distance {
            m: run.stretch.to_m
        }),
    );
    if run.surface_shared.is_none() {
        words += " The route does not say what its ground is, and smooth trail is taken; --surface says.";
    }
    document.say(words);
}

fn likeness(view: &View<'_>, run: &Rehearsal) -> Table {
    let grounds = [&run.ground, &run.race_ground, &run.hardest.1];
    let units = view.units;
    let per_unit = |m_per_km: f64| m_per_km * units.distance_unit_m() / 1000.0;
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let mut row = |name: String, cells: Vec<Cell>| {
        rows.push([Cell::new(name)].into_iter().chain(cells).collect());
    };
    let per = format!("{}/{}", units.height_symbol(), units.distance_symbol());
    let height = |m_per_km: f64| {
        Cell::with_raw(
            units.height_number(per_unit(m_per_km)),
            format!("{m_per_km:.1}"),
        )
    };
    row(
        format!("climb, {per}"),
        grounds.map(|g| height(g.climb_m_per_km)).to_vec(),
    );
    row(
        format!("descent, {per}"),
        grounds.map(|g| height(g.descent_m_per_km)).to_vec(),
    );
    for (band, (name, _)) in BANDS.iter().enumerate() {
        row(
            (*name).to_owned(),
            grounds.map(|g| parts::share_cell(g.shares[band])).to_vec(),
        );
    }
    let plan = view.plans.first().unwrap_or(&run.plan);
    let (feet, race_feet) = (run.plan.finish, plan.finish);
    row("hours on feet".into(), of_the_race(feet, race_feet));
    let dark = |plan: &Plan| Elapsed::from_s(dark_s(&plan.pacing.segments));
    row(
        "in the dark".into(),
        of_the_race(dark(&run.plan), dark(plan)),
    );
    let surface = run.surface_shared;
    let surface = surface.map_or_else(|| Cell::new("not known"), parts::share_cell);
    row(
        "ground as the race".into(),
        vec![surface, Cell::empty(), Cell::empty()],
    );
    let hottest = |plan: &Plan| {
        let temps = plan.fueling.segments.iter().filter_map(|s| s.temp_c);
        temps.reduce(f64::max).map_or_else(
            || Cell::new("not known"),
            |c| Cell::with_raw(units.show(Quantity::Temperature { c }), format!("{c:.1}")),
        )
    };
    row(
        "warmest".into(),
        vec![hottest(&run.plan), hottest(plan), Cell::empty()],
    );
    Table {
        columns: vec![
            Column::left("", "what"),
            Column::right("This run", "run"),
            Column::right("Race", "race"),
            Column::right("Hardest", "hardest"),
        ],
        rows,
    }
}

/// A time of the run with its share of the race's, and the race's.
fn of_the_race(own: Elapsed, race: Elapsed) -> Vec<Cell> {
    let shown = if race.to_minute() > Elapsed::ZERO && own.to_minute() > Elapsed::ZERO {
        format!("{own} ({:.0} %)", 100.0 * own.as_s() / race.as_s())
    } else {
        own.to_string()
    };
    vec![
        Cell::with_raw(shown, own.as_secs()),
        Cell::with_raw(race.to_string(), race.as_secs()),
        Cell::empty(),
    ]
}

/// What of the race's unknowns this run can test, and what to note down.
fn push_trials(document: &mut Document, run: &Rehearsal) {
    let (tests, not): (Vec<_>, Vec<_>) = run.unknowns.iter().partition(|(_, tests)| *tests);
    document.section("Test");
    let items = Cost::ALL.iter().filter_map(|cost| {
        let of_it = tests.iter().filter(|(one, _)| one.cost == *cost);
        let names: Vec<&str> = of_it.map(|(one, _)| one.what.as_str()).collect();
        let text = format!("failing can cost {}: {}", cost.words(), names.join(", "));
        (!names.is_empty()).then(|| Item::new(Tone::Plain, text))
    });
    let mut items: Vec<Item> = items.collect();
    if items.is_empty() {
        items.push(Item::new(Tone::Plain, "nothing that is still untested"));
    }
    if !not.is_empty() {
        let names: Vec<&str> = not.iter().map(|(one, _)| one.what.as_str()).collect();
        let text = format!("left for other runs: {}", names.join(", "));
        items.push(Item::new(Tone::Faint, text));
    }
    document.push(Block::List(items));
    document.section("Weigh and write down");
    let kinds: Vec<&str> = intake_csv::kinds().collect();
    let log = format!(
        "for `sutler debrief` a row each below `{}`; kind is one of {}",
        intake_csv::HEAD,
        kinds.join(", ")
    );
    let lines = [
        "before: after the toilet, bare and dry, to 0.1 kg or better; note the time",
        "on the way: every drink, food and toilet stop with its time; how much you pass, if you can",
        "after: towel dry, bare, at once; note the time, and what is left in flasks and pockets",
        "stomach 0 to 10, 10 as at breakfast; where the skin rubbed; what of the gear you would change",
        &log,
    ];
    document.push(Block::List(
        lines.map(|line| Item::new(Tone::Plain, line)).to_vec(),
    ));
}

fn push_habits(document: &mut Document, run: &Rehearsal) {
    document.section("Common practice");
    let too_long = run.ground.length_m > SINGLE_RUN_MOST_M;
    let items = HABITS.iter().map(|habit| {
        let tone = if too_long && habit.kind == "single-run" {
            Tone::Warning
        } else {
            Tone::Plain
        };
        Item::new(tone, habit.says)
    });
    document.push(Block::List(items.collect()));
    document.say(BENDS);
}

/// `sutler rehearse` as data; keys carry their units, times in seconds from the run's start.
#[must_use]
pub fn json(view: &View<'_>, rehearsals: &[Rehearsal]) -> Value {
    let runs = rehearsals.iter().map(|run| {
        let splits = run.plan.schedule.splits.iter().map(|split| {
            let station = &run.run.course.stations[split.station];
            json!({
                "name": station.name,
                "distance_m": tenth(station.distance_m),
                "arrival_s": split.arrival.as_secs(),
                "departure_s": split.departure.as_secs(),
            })
        });
        json!({
            "route": run.run.course.name,
            "distance_m": tenth(run.ground.length_m),
            "effort_m": tenth(run.ground.effort_m),
            "finish_s": run.plan.finish.as_secs(),
            "has_heights": run.has_heights,
            "carbs_g_per_h": tenth(run.rates.carbs_g_per_h),
            "fluid_ml_per_h": tenth(run.rates.fluid_ml_per_h),
            "sodium_mg_per_h": tenth(run.rates.sodium_mg_per_h),
            "climb_m_per_km": tenth(run.ground.climb_m_per_km),
            "descent_m_per_km": tenth(run.ground.descent_m_per_km),
            "slopes_shared": thousandth(run.ground.shared(&run.race_ground)),
            "steepness_off": thousandth(run.ground.difference(&run.race_ground)),
            "most_like_from_m": tenth(run.stretch.from_m),
            "most_like_to_m": tenth(run.stretch.to_m),
            "tests": run.unknowns.iter().filter(|(_, tests)| *tests)
                .map(|(one, _)| json!({ "kind": one.kind.name(), "what": one.what }))
                .collect::<Vec<_>>(),
            "splits": splits.collect::<Vec<_>>(),
        })
    });
    json!({
        "race": view.race.course.name,
        "rehearsals": runs.collect::<Vec<_>>(),
    })
}
