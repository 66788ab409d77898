//! The long runs to a race, week by week.

use crate::facts::{CalendarFacts, Facts, LongRunFacts, WeekFacts};

use super::document::{Block, Cell, Column, Document, Item, Table, Tone, Verdict};
use super::{Needs, Report, cells, found};

/// `sutler rehearse --calendar`
pub(super) const REPORT: Report = Report {
    name: "calendar",
    about: "every long run on the way to the race, and what each is to test",
    needs: Needs::Verb,
    keys: "course calendar warnings",
    stages: &[],
    build,
};

/// The most untested things that are explained, those that would cost most; the others are named.
const MOST_UNTESTED: usize = 3;

/// Remarks on all of it.
const PRACTICE: &str = "Common practice, no source: one run of at most about 50 km (30 miles) or 8 h, \
                        or two in a row with rest after; growth by a tenth or two miles a week; \
                        every fourth week less; nothing long in the last two. Each can be set \
                        otherwise (`rehearse --help`): these warn and forbid nothing. Time on \
                        your feet may stand for the distance.";

fn build(facts: &Facts) -> Document {
    let mut document = Document::titled(format!("Long runs: {}", facts.race.0.course));
    let Some(calendar) = &facts.calendar else {
        return document;
    };
    document.push(Block::Verdict(verdict(calendar)));
    document.push(Block::Facts(super::opening::race(facts)));
    found::push_findings(&mut document, "Look at this first", &calendar.findings);
    push_shortfall(&mut document, calendar);
    document.table("Week by week", weeks(facts, calendar));
    document
        .say("g/h: carbohydrate to practise. * moved around blocked days. † a part in the dark.");
    document.say(PRACTICE);
    push_tests(&mut document, calendar);
    document.section("Cautions");
    document.points(calendar.cautions.iter().map(|one| one.text));
    document
}

/// The longest run in reach, and in how many weeks.
fn verdict(calendar: &CalendarFacts) -> Verdict {
    let (reached, peak) = (&calendar.reached.text, &calendar.peak.text);
    let (runs, weeks) = (calendar.runs, calendar.weeks.len());
    let holds = calendar.shortfall.is_none();
    let first = match holds {
        true => format!("Holds: the longest run reaches {reached}."),
        false => format!("Too few weeks: the longest run reaches {reached} of {peak} wanted."),
    };
    let second = format!("{runs} long runs in {weeks} weeks, the race's included.");
    let lines = vec![first, second];
    Verdict { holds, lines }
}

fn push_shortfall(document: &mut Document, calendar: &CalendarFacts) {
    let Some(short) = &calendar.shortfall else {
        return;
    };
    document.section("Too few weeks before race day");
    let missing = match short.missing_weeks {
        Some(1) => "One week is missing to grow to the longest run safely.".to_owned(),
        Some(weeks) => format!("{weeks} weeks are missing to grow to the longest run safely."),
        None => "Even two more years would not reach the longest run this way.".to_owned(),
    };
    document.say(format!("{missing} Options, safest first:"));
    document.points(&short.options);
}

fn weeks(facts: &Facts, calendar: &CalendarFacts) -> Table {
    let symbol = facts.race.0.units.distance.as_str();
    let mut columns = vec![
        Column::left("Week", "week"),
        Column::left("Kind", "kind"),
        Column::left("Day", "date"),
        Column::left("Start", "start"),
        Column::left("", "role"),
        Column::right(symbol, "distance_m"),
        Column::right("h:mm", "time_s"),
        Column::right("g/h", "carbs_g_per_h"),
    ];
    let runs = calendar.weeks.iter().flat_map(|week| &week.runs);
    let any_done = runs.into_iter().any(|run| run.done.is_some());
    if any_done {
        columns.push(Column::right("ran", "done_m"));
    }
    let any_week = calendar
        .weeks
        .iter()
        .any(|week| week.week_distance.is_some());
    if any_week {
        columns.push(Column::right("week", "week_m"));
    }
    let mut rows = Vec::new();
    for week in &calendar.weeks {
        if week.runs.is_empty() {
            let race = calendar.race_day.clone().filter(|_| week.kind == "race");
            let mut row = vec![week_cell(week), kind_cell(week)];
            row.push(race.map_or(Cell::empty(), Cell::new));
            rows.push(row);
        }
        for (at, run) in week.runs.iter().enumerate() {
            let mut row = run_row(week, run, at == 0);
            if any_done {
                row.push(cells::maybe(run.done.as_ref(), cells::measure));
            }
            let all = week.week_distance.as_ref().filter(|_| at == 0);
            row.push(cells::maybe(all, cells::measure));
            rows.push(row);
        }
    }
    for row in &mut rows {
        row.resize(columns.len(), Cell::empty());
    }
    Table { columns, rows }
}

fn week_cell(week: &WeekFacts) -> Cell {
    Cell::with_raw(&week.week[5..], &week.week).tone(Tone::Faint)
}

fn kind_cell(week: &WeekFacts) -> Cell {
    let tone = match week.kind {
        "building" => Tone::Plain,
        "race" | "practice race" => Tone::Strong,
        "blocked" => Tone::Warning,
        _ => Tone::Faint,
    };
    Cell::new(week.kind).tone(tone)
}

fn run_row(week: &WeekFacts, run: &LongRunFacts, first: bool) -> Vec<Cell> {
    let once = |cell: Cell| {
        let shown = if first { cell.shown } else { String::new() };
        Cell { shown, ..cell }
    };
    let moved = if run.moved_from.is_some() { " *" } else { "" };
    let dark = if run.dark_h > 0.0 { " †" } else { "" };
    vec![
        once(week_cell(week)),
        once(kind_cell(week)),
        Cell::with_raw(format!("{}{moved}", run.date_text), &run.date).tone(Tone::Strong),
        Cell::with_raw(format!("{}{dark}", run.start), &run.start),
        Cell::with_raw(short_role(run.role), run.role),
        cells::measure(&run.distance),
        cells::measure(&run.time),
        cells::or_dash(&run.carbs),
    ]
}

fn short_role(role: &str) -> &'static str {
    match role {
        "single" => "",
        "first of two" => "1 of 2",
        "second of two" => "2 of 2",
        _ => "race",
    }
}

fn push_tests(document: &mut Document, calendar: &CalendarFacts) {
    let runs = calendar.weeks.iter().flat_map(|week| &week.runs);
    let testing: Vec<&LongRunFacts> = runs.filter(|run| !run.tests.is_empty()).collect();
    if testing.is_empty() && calendar.untested.is_empty() {
        return;
    }
    document.table(
        "What each run tests",
        Table::of(
            testing,
            vec![
                Column::left("Day", "date").of(|run: &LongRunFacts| {
                    Cell::with_raw(&run.date_text, &run.date).tone(Tone::Strong)
                }),
                Column::left("New", "first_tests").of(|run| tests(run, &["first"])),
                Column::left("Again", "further_tests").of(|run| tests(run, &["second"])),
                Column::left("At the race's full rate", "full_tests")
                    .of(|run| tests(run, &["full rate"])),
            ],
        ),
    );
    document.say(
        "The costliest failures come first, and nothing new in the last four weeks while there are \
         earlier long runs. `sutler rehearse` with a day and a route makes the sheet for each \
         run.",
    );
    let plain = |text: &String| Item::new(Tone::Plain, text);
    document.list(
        "Choose routes and hours so that",
        calendar.look_for.iter().map(plain),
    );
    if !calendar.untested.is_empty() {
        document.section("Not tested in full by race day");
        // what would cost most comes first
        let (first, rest) = calendar
            .untested
            .split_at(MOST_UNTESTED.min(calendar.untested.len()));
        let mut lines: Vec<Item> = (first.iter())
            .map(|text| Item::new(Tone::Warning, text))
            .collect();
        if !rest.is_empty() {
            let names = rest
                .iter()
                .map(|text| text.split(": ").next().unwrap_or(text));
            let names: Vec<&str> = names.collect();
            lines.push(Item::new(
                Tone::Faint,
                format!("also untested: {}", names.join(", ")),
            ));
        }
        document.push(Block::List(lines));
    }
}

fn tests(run: &LongRunFacts, stages: &[&str]) -> Cell {
    let own = run.tests.iter();
    let own = own.filter(|test| stages.contains(&test.stage));
    let names: Vec<&str> = own.map(|test| test.what.as_str()).collect();
    Cell::new(names.join(", "))
}
