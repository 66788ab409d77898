//! The sheet of a long run that tries the plan out.

use crate::facts::{Facts, LapFacts, LikenessFacts, RehearsalFacts};
use crate::inputs::intake_csv;
use crate::rehearsal::practice::BENDS;

use super::bags::push_pickups;
use super::document::{Block, Cell, Column, Document, Item, Skyline, Table, Tone, Verdict};
use super::parts::fact;
use super::{Needs, Report, cells, found, opening};

/// `sutler rehearse`
pub(super) const REPORT: Report = Report {
    name: "rehearse",
    about: "a long run that tries the plan out: race effort, rates and rhythm on a route at home",
    needs: Needs::Verb,
    keys: "course rehearsals warnings",
    stages: &[],
    build,
};

/// The first rehearsal is the one to run, the others stand beside it.
fn build(facts: &Facts) -> Document {
    let mut document = Document::titled(format!("Rehearsal: {}", facts.race.0.course));
    let Some(run) = facts.rehearsals.first() else {
        return document;
    };
    document.push(Block::Verdict(verdict(run)));
    document.push(Block::Facts(lines(run)));
    document.push(Block::Skyline(Box::new(Skyline {
        ground: run.profile.clone(),
        stations: (run.refills_m.iter().enumerate())
            .map(|(at, m)| ((at + 1).to_string(), *m))
            .collect(),
    })));
    if facts.rehearsals.len() > 1 {
        document.table("Routes, the most race-like first", routes(facts));
        document.say(
            "Slopes count by the effort spent on them. Shared: what both have of each kind. \
             Gradient differs: on average, from the race's.",
        );
    }
    document.table("Pace at race effort", laps(facts, run));
    push_pickups(&mut document, &run.plan.0);
    document.say(
        "Refills come where the race has its supply points, by the effort done, with the stops \
         planned there: lay out water or pass a tap.",
    );
    push_likeness(&mut document, run);
    push_trials(&mut document, run);
    push_habits(&mut document, run);
    let packing = run.plan.0.findings.iter();
    found::push_findings(
        &mut document,
        "Findings",
        packing.filter(|finding| finding.stage == "packing"),
    );
    found::push_cautions(&mut document, &run.plan.0);
    document
}

/// How like the race it is, and whether it goes beyond what is usual.
fn verdict(run: &RehearsalFacts) -> Verdict {
    let beyond = run.habits.iter().filter(|habit| habit.exceeded);
    let beyond: Vec<&str> = beyond.map(|habit| habit.words).collect();
    let mut lines = vec![format!(
        "{} of its effort is on slopes like the race's, {} on slopes like the hardest segment's.",
        run.slopes_shared.text, run.hardest_shared.text
    )];
    if !beyond.is_empty() {
        lines.insert(0, format!("Beyond common practice: {}.", beyond.join("; ")));
    }
    Verdict {
        holds: beyond.is_empty(),
        lines,
    }
}

fn lines(run: &RehearsalFacts) -> Vec<(String, String)> {
    let (race, plan) = (&run.race.0, &run.plan.0);
    let course = run.copies.clone().unwrap_or_else(|| {
        format!(
            "{} · {} · {} up, {} down",
            race.course, race.length.text, race.climb.text, race.descent.text
        )
    });
    let mut lines = vec![fact("Course", course)];
    lines.extend(race.start_words.iter().map(|words| fact("Start", words)));
    lines.push(fact(
        "Finish",
        opening::finish_line(plan, &plan.finish.elapsed.to_string()),
    ));
    if !run.has_heights {
        lines.push(fact("Heights", "not in the track: taken as level"));
    }
    lines.push(fact(
        "Effort",
        format!(
            "as in the race's first {}: as hard as {} on level ground",
            run.race_reach.text, run.effort_pace.text
        ),
    ));
    lines.push(fact("Weather", run.weather.clone()));
    lines.extend(run.light.iter().map(|words| fact("Light", words)));
    lines.push(fact(
        "Rates",
        format!(
            "{} carbohydrate, {} to drink, {} sodium by your rhythm and that day's weather; the \
             race's mean {}",
            run.carbs_rate.text, run.fluid_rate.text, run.sodium_rate.text, run.race_rates
        ),
    ));
    lines
}

fn routes(facts: &Facts) -> Table {
    let right = Column::right;
    Table::of(
        &facts.rehearsals,
        vec![
            Column::left("Route", "route")
                .of(|run: &RehearsalFacts| Cell::new(run.race.0.course.clone())),
            right(facts.race.0.units.distance.as_str(), "distance_m")
                .of(|run| cells::measure(&run.race.0.length)),
            right("Time", "time_s").of(|run| {
                let finish = run.plan.0.finish.elapsed;
                Cell::with_raw(finish.to_string(), finish.as_secs())
            }),
            right("Slopes shared", "slopes_shared").of(|run| cells::share(&run.slopes_shared)),
            right("Gradient differs", "steepness_off_pct")
                .of(|run| cells::text(&run.steepness_off)),
        ],
    )
}

fn laps(facts: &Facts, run: &RehearsalFacts) -> Table {
    let units = &facts.race.0.units;
    let right = Column::right;
    Table::of(
        &run.laps,
        vec![
            right(units.distance.as_str(), "distance_m")
                .of(|lap: &LapFacts| cells::measure(&lap.distance)),
            right(format!("net {}", units.height).as_str(), "net_rise_m").of(|lap| {
                let sign = if lap.net_rise.number.starts_with('-') {
                    ""
                } else {
                    "+"
                };
                let shown = format!("{sign}{}", lap.net_rise.number);
                Cell::with_raw(shown, lap.net_rise.raw())
            }),
            right(units.pace.as_str(), "pace_s_per_km").of(|lap| cells::measure(&lap.pace)),
            right("Time", "elapsed_s").of(|lap| cells::measure(&lap.time).tone(Tone::Strong)),
            right("Clock", "clock_s").of(|lap| cells::clock(&lap.at)),
        ],
    )
}

fn push_likeness(document: &mut Document, run: &RehearsalFacts) {
    document.section("How well it rehearses, slopes by the effort spent on them");
    let right = Column::right;
    document.push(Block::Table(Table::of(
        &run.likeness,
        vec![
            Column::left("", "what").of(|row: &LikenessFacts| Cell::new(row.words.clone())),
            right("This run", "run").of(|row| Cell::new(row.run.clone())),
            right("Race", "race").of(|row| Cell::new(row.race.clone())),
            right("Hardest", "hardest").of(|row| Cell::new(row.hardest.clone())),
        ],
    )));
    let mut words = format!(
        "Hardest is {}. Mean gradient differs by {}. It is most like the race from {} to {}.",
        run.hardest, run.steepness_off.text, run.most_like_from.number, run.most_like_to.text
    );
    if !run.knows_ground {
        words += " The route does not say what its ground is, so smooth trail is assumed: give \
                  --surface.";
    }
    document.say(words);
}

/// Unknowns of the race that this run can test, and things to note down.
fn push_trials(document: &mut Document, run: &RehearsalFacts) {
    document.section("Test");
    let trials = run.tests.iter();
    let mut items: Vec<Item> = trials
        .map(|trial| {
            let text = format!(
                "failing could cost {}: {}",
                trial.can_cost,
                trial.what.join(", ")
            );
            Item::new(Tone::Plain, text)
        })
        .collect();
    if items.is_empty() {
        items.push(Item::new(Tone::Plain, "nothing that is still untested"));
    }
    if !run.left_over.is_empty() {
        let text = format!("left for other runs: {}", run.left_over.join(", "));
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
        "before: after the toilet, undressed, to 0.1 kg or better; note the time",
        "on the way: every drink, food and toilet stop with its time; how much you pass, if you can",
        "after: towel dry, undressed, at once; note the time, and what is left in flasks and pockets",
        "stomach 0 to 10, 10 as at breakfast; where the skin rubbed; what of the gear you would change",
        &log,
    ];
    document.points(lines);
}

fn push_habits(document: &mut Document, run: &RehearsalFacts) {
    document.section("Common practice");
    let habits = run.habits.iter().map(|habit| {
        let tone = if habit.exceeded {
            Tone::Warning
        } else {
            Tone::Plain
        };
        Item::new(tone, habit.words)
    });
    document.push(Block::List(habits.collect()));
    document.say(BENDS);
}
