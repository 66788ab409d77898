//! Long runs as iCalendar (RFC 5545): timed where the zone is known, else for the whole day.

use chrono::{Days, NaiveDate};

use crate::facts::{CalendarFacts, Facts, LongRunFacts, WeekFacts};
use crate::pictures::words::clean;

use super::ics::{ContentLines, slug};

/// The long runs of a calendar.
#[must_use]
pub fn long_runs(facts: &Facts, calendar: &CalendarFacts) -> String {
    let mut lines = ContentLines::open("long runs");
    for week in &calendar.weeks {
        for (at, run) in week.runs.iter().enumerate() {
            event(&mut lines, &facts.race.0.course, week, run, at);
        }
    }
    lines.close()
}

fn event(lines: &mut ContentLines, course: &str, week: &WeekFacts, run: &LongRunFacts, at: usize) {
    lines.raw("BEGIN:VEVENT");
    // of the week, so that a run that is moved within it stays the same event
    let race = slug(course);
    lines.raw(&format!(
        "UID:{race}-{}-long-run-{}@sutler.invalid",
        week.week,
        at + 1
    ));
    // dates and instants without the marks between their parts (sections 3.3.4 and 3.3.5)
    let basic = |text: &str| text.replace(['-', ':'], "");
    // no clock here: the same calendar gives the same bytes
    lines.raw(&format!("DTSTAMP:{}T000000Z", basic(&run.date)));
    if let (Some(begins), Some(ends)) = (&run.begins, &run.ends) {
        lines.raw(&format!("DTSTART:{}", basic(begins)));
        lines.raw(&format!("DTEND:{}", basic(ends)));
    } else {
        lines.raw(&format!("DTSTART;VALUE=DATE:{}", basic(&run.date)));
        let day: Option<NaiveDate> = run.date.parse().ok();
        if let Some(next) = day.and_then(|day| day.checked_add_days(Days::new(1))) {
            lines.raw(&format!("DTEND;VALUE=DATE:{}", next.format("%Y%m%d")));
        }
    }
    let summary = format!("Long run {}, {}", run.distance.text, run.role);
    lines.text("SUMMARY", &summary);
    lines.text("DESCRIPTION", &about(course, week, run).join("\n"));
    lines.raw("END:VEVENT");
}

fn about(course: &str, week: &WeekFacts, run: &LongRunFacts) -> Vec<String> {
    let mut said = vec![
        format!("{} week for {}.", sentence(week.kind), clean(course)),
        format!(
            "About {} at race effort; time on your feet may stand for the distance.",
            run.time.text
        ),
        format!("Carbohydrate: {}.", run.carbs.text),
    ];
    if run.dark_h > 0.0 {
        said.push(format!("{:.1} h of it in the dark.", run.dark_h));
    }
    for test in &run.tests {
        said.push(format!("Test ({}): {}.", test.stage, clean(&test.what)));
    }
    said.push(
        "Not with fever or illness; pain that changes your stride means stop and see a licensed \
         practitioner."
            .to_owned(),
    );
    said
}

fn sentence(words: &str) -> String {
    let mut chars = words.chars();
    let first = chars.next().map(|c| c.to_ascii_uppercase());
    first.into_iter().chain(chars).collect()
}
