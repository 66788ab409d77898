//! The long runs to a race, week by week.

use serde_json::{Value, json};

use crate::calendar::{Aim, Calendar, LongRun, Role, Stage, Week, WeekKind};
use crate::facts::value::{tenth, thousandth};
use crate::time::Elapsed;
use crate::units::Quantity;

use super::View;
use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::parts::{self, fact};

/// What all of it comes with.
const PRACTICE: &str = "Common practice, no source: a single run of at most about 50 km (30 miles); \
                        two runs on one weekend for more, the first at race effort and ended fresh; \
                        long runs 30 to 50 % of the week; growth by a tenth or by two miles, \
                        whichever is less; three building weeks, then a reduced one; one to two \
                        weeks of taper; an easy week after a race. They warn and forbid nothing. \
                        Hours on feet may stand for the distance.";

/// `sutler rehearse --calendar` as a document.
#[must_use]
pub fn build(view: &View<'_>, calendar: &Calendar, aims: &[Aim]) -> Document {
    let mut document = Document::titled(format!("Long runs: {}", view.race.course.name));
    document.push(Block::Facts(facts(view, calendar)));
    parts::push_findings(
        &mut document,
        "Look at this first",
        &calendar.findings,
        view.units,
    );
    push_shortfall(&mut document, view, calendar);
    document.section("Week by week");
    document.push(Block::Table(weeks(view, calendar)));
    document.say(
        "week: the whole week of which its long runs are the usual share. g/h: carbohydrate to \
         practise. * moved around blocked days. † starts before first light.",
    );
    document.say(PRACTICE);
    if !aims.is_empty() {
        push_tests(&mut document, view, calendar, aims);
    }
    document.section("Cautions");
    let cautions = calendar.cautions.iter();
    document.push(Block::List(
        cautions.map(|c| Item::new(Tone::Plain, c.text)).collect(),
    ));
    document
}

fn facts(view: &View<'_>, calendar: &Calendar) -> Vec<(String, String)> {
    let mut facts = parts::opening(view);
    let runs = calendar.weeks.iter().flat_map(|week| &week.runs).count();
    let weeks = calendar.weeks.len();
    facts.push(fact(
        "Calendar",
        format!("{runs} long runs in {weeks} weeks, the race's included"),
    ));
    let distance = |m| view.units.show(Quantity::Distance { m });
    facts.push(fact(
        "Longest",
        if calendar.shortfall.is_some() {
            format!(
                "{} of {} wanted",
                distance(calendar.reached_m),
                distance(calendar.peak_m)
            )
        } else {
            distance(calendar.reached_m)
        },
    ));
    facts
}

fn push_shortfall(document: &mut Document, view: &View<'_>, calendar: &Calendar) {
    let Some(short) = &calendar.shortfall else {
        return;
    };
    document.section("The start is too late");
    document.say(match short.missing_weeks {
        Some(1) => "One week is missing to grow to the longest run safely. Ways on, the safest \
                    first:"
            .to_owned(),
        Some(weeks) => format!(
            "{weeks} weeks are missing to grow to the longest run safely. Ways on, the safest first:"
        ),
        None => "Even two years more would not reach the longest run this way. Ways on, the safest \
                 first:"
            .to_owned(),
    });
    let ways = short.alternatives.iter();
    document.push(Block::List(
        ways.map(|way| Item::new(Tone::Plain, way.says.show(view.units)))
            .collect(),
    ));
}

fn weeks(view: &View<'_>, calendar: &Calendar) -> Table {
    let symbol = view.units.distance_symbol();
    let columns = vec![
        Column::left("Week", "week"),
        Column::left("Kind", "kind"),
        Column::left("Day", "date"),
        Column::left("Start", "start"),
        Column::left("", "role"),
        Column::right(symbol, "distance_m"),
        Column::right("h:mm", "time_s"),
        Column::right("week", "week_m"),
        Column::right("g/h", "carbs_g_per_h"),
        Column::right("ran", "done_m"),
    ];
    let mut rows = Vec::new();
    for week in &calendar.weeks {
        if week.runs.is_empty() {
            let day = if week.kind == WeekKind::Race {
                race_day(view)
            } else {
                Cell::empty()
            };
            let mut row = vec![week_cell(week), kind_cell(week), day];
            row.resize(columns.len(), Cell::empty());
            rows.push(row);
        }
        for (at, run) in week.runs.iter().enumerate() {
            rows.push(run_row(view, week, run, at == 0));
        }
    }
    let mut table = Table { columns, rows };
    if calendar.weeks.iter().all(|week| week.done.is_empty()) {
        table.columns.pop();
        for row in &mut table.rows {
            row.pop();
        }
    }
    table
}

fn race_day(view: &View<'_>) -> Cell {
    view.race.clock.map_or(Cell::empty(), |clock| {
        let day = clock.start().date_naive();
        Cell::with_raw(day.format("%a %-d %b").to_string(), day)
    })
}

fn week_cell(week: &Week) -> Cell {
    let name = week.iso_week();
    Cell::with_raw(name[5..].to_owned(), name).tone(Tone::Faint)
}

fn kind_cell(week: &Week) -> Cell {
    let tone = match week.kind {
        WeekKind::Building => Tone::Plain,
        WeekKind::Race | WeekKind::Practice => Tone::Strong,
        WeekKind::Blocked => Tone::Warning,
        _ => Tone::Faint,
    };
    Cell::new(week.kind.name()).tone(tone)
}

fn run_row(view: &View<'_>, week: &Week, run: &LongRun, first: bool) -> Vec<Cell> {
    let units = view.units;
    let (low_m, high_m) = week.whole_m();
    let number = |m: f64| format!("{:.0}", m / units.distance_unit_m());
    let whole = Cell::with_raw(
        format!("{}–{}", number(low_m), number(high_m)),
        format!("{low_m:.0}..{high_m:.0}"),
    );
    let once = |cell: Cell| {
        if first {
            cell
        } else {
            Cell {
                shown: String::new(),
                ..cell
            }
        }
    };
    let moved = if run.moved_from.is_some() { " *" } else { "" };
    let dark = if run.dark_h > 0.0 { " †" } else { "" };
    let done = week.done.iter().find(|done| done.date == run.date);
    let done = done.or(week.done.first().filter(|_| first && week.runs.len() == 1));
    let time = Elapsed::from_s(run.hours * 3600.0);
    vec![
        once(week_cell(week)),
        once(kind_cell(week)),
        Cell::with_raw(format!("{}{moved}", run.date.format("%a %-d %b")), run.date)
            .tone(Tone::Strong),
        Cell::with_raw(
            format!("{}{dark}", run.start.format("%H:%M")),
            run.start.format("%H:%M"),
        ),
        Cell::with_raw(short_role(run.role), run.role.name()),
        parts::distance_cell(units, run.distance_m),
        Cell::with_raw(time.to_string(), time.as_secs()),
        if run.role == Role::Race {
            Cell::empty()
        } else {
            once(whole)
        },
        parts::whole_cell(run.carbs_g_per_h),
        done.map_or(Cell::empty(), |done| {
            parts::distance_cell(units, done.distance_m)
        }),
    ]
}

fn short_role(role: Role) -> &'static str {
    match role {
        Role::Single => "",
        Role::First => "1 of 2",
        Role::Second => "2 of 2",
        Role::Race => "race",
    }
}

fn push_tests(document: &mut Document, view: &View<'_>, calendar: &Calendar, aims: &[Aim]) {
    document.section("What each run tests");
    let columns = vec![
        Column::left("Day", "date"),
        Column::left("New", "first_tests"),
        Column::left("Again", "further_tests"),
        Column::left("At the race's full rate", "full_tests"),
    ];
    let runs = calendar.weeks.iter().flat_map(|week| &week.runs);
    let rows = runs.filter(|run| !run.tests.is_empty()).map(|run| {
        let of = |stages: &[Stage]| {
            let own = run.tests.iter().filter(|test| stages.contains(&test.stage));
            let names: Vec<&str> = own.map(|test| aims[test.aim].what.as_str()).collect();
            Cell::new(names.join(", "))
        };
        vec![
            Cell::with_raw(run.date.format("%a %-d %b").to_string(), run.date).tone(Tone::Strong),
            of(&[Stage::First]),
            of(&[Stage::Second, Stage::Again]),
            of(&[Stage::Full]),
        ]
    });
    document.push(Block::Table(Table {
        columns,
        rows: rows.collect(),
    }));
    document.say(
        "Everything twice, and once more at the race's full rate; what costs most where it fails \
         comes first, and nothing new in the last four weeks. `sutler rehearse` with a day and a \
         route makes the sheet for each run.",
    );
    let look_for = aims.iter().filter_map(|aim| {
        let words = aim.needs.look_for.as_ref()?;
        Some(Item::new(
            Tone::Plain,
            format!("{}: {}", aim.what, words.show(view.units)),
        ))
    });
    let look_for: Vec<Item> = look_for.collect();
    if !look_for.is_empty() {
        document.section("Choose routes and hours so that");
        document.push(Block::List(look_for));
    }
    let missing = calendar.untested.iter().map(|one| Item {
        tone: Tone::Warning,
        text: format!("{}: {}", aims[one.aim].what, one.why.show(view.units)),
        under: Vec::new(),
    });
    let missing: Vec<Item> = missing.collect();
    if !missing.is_empty() {
        document.section("Not tested in full by race day");
        document.push(Block::List(missing));
    }
}

/// The same as data.
#[must_use]
pub fn json(view: &View<'_>, calendar: &Calendar, aims: &[Aim]) -> Value {
    let weeks: Vec<Value> = calendar
        .weeks
        .iter()
        .map(|week| week_json(week, aims))
        .collect();
    let short = calendar.shortfall.as_ref().map(|short| {
        let ways = short.alternatives.iter();
        let ways: Vec<Value> = ways
            .map(|way| json!({ "kind": way.kind, "text": way.says.show(view.units) }))
            .collect();
        json!({ "missing_weeks": short.missing_weeks, "alternatives": ways })
    });
    let untested = calendar.untested.iter().map(|one| {
        json!({
            "what": aims[one.aim].what,
            "kind": aims[one.aim].kind,
            "tests": one.tests,
            "why": one.why.show(view.units),
        })
    });
    let findings = calendar.findings.iter();
    json!({
        "course": view.race.course.name,
        "race_day": view.race.clock.map(|clock| clock.start().date_naive().to_string()),
        "peak_m": tenth(calendar.peak_m),
        "reached_m": tenth(calendar.reached_m),
        "shortfall": short,
        "weeks": weeks,
        "untested": untested.collect::<Vec<Value>>(),
        "findings": findings
            .map(|f| json!({ "kind": f.kind.name(), "text": f.says.show(view.units) }))
            .collect::<Vec<Value>>(),
        "cautions": calendar.cautions.iter().map(|c| c.text).collect::<Vec<&str>>(),
        "common_practice": PRACTICE,
    })
}

fn week_json(week: &Week, aims: &[Aim]) -> Value {
    let runs = week.runs.iter().map(|run| {
        let tests = run.tests.iter();
        let tests: Vec<Value> = tests
            .map(|test| json!({ "what": aims[test.aim].what, "stage": test.stage.name() }))
            .collect();
        json!({
            "date": run.date.to_string(),
            "start": run.start.format("%H:%M").to_string(),
            "role": run.role.name(),
            "distance_m": tenth(run.distance_m),
            "hours": thousandth(run.hours),
            "dark_h": thousandth(run.dark_h),
            "carbs_g_per_h": tenth(run.carbs_g_per_h),
            "moved_from": run.moved_from.map(|day| day.to_string()),
            "tests": tests,
        })
    });
    let done = week
        .done
        .iter()
        .map(|done| json!({ "date": done.date.to_string(), "distance_m": tenth(done.distance_m) }));
    json!({
        "week": week.iso_week(),
        "monday": week.monday.to_string(),
        "kind": week.kind.name(),
        "level_m": tenth(week.level_m),
        "runs": runs.collect::<Vec<Value>>(),
        "done": done.collect::<Vec<Value>>(),
    })
}
