//! Long runs as iCalendar (RFC 5545): timed where the zone is known, else for the whole day.

use chrono::{Duration, NaiveDateTime, Utc};
use chrono_tz::Tz;

use crate::calendar::{Aim, Calendar, LongRun, Week};
use crate::pictures::words::clean;
use crate::reports::View;
use crate::time::{Elapsed, WallTime, on_the_wall};
use crate::units::Quantity;

use super::calendar::{INSTANT, Lines, slug};

/// The long runs of a calendar.
#[must_use]
pub fn long_runs(view: &View<'_>, calendar: &Calendar, aims: &[Aim]) -> String {
    let mut lines = Lines::open("long runs");
    for week in &calendar.weeks {
        for (at, run) in week.runs.iter().enumerate() {
            event(&mut lines, view, week, run, at, aims);
        }
    }
    lines.close()
}

fn event(lines: &mut Lines, view: &View<'_>, week: &Week, run: &LongRun, at: usize, aims: &[Aim]) {
    let race = slug(&view.race.course.name);
    lines.raw("BEGIN:VEVENT");
    // of the week, so that a run that is moved within it stays the same event
    lines.raw(&format!(
        "UID:{race}-{}-long-run-{}@sutler.invalid",
        week.iso_week(),
        at + 1
    ));
    // no clock here: the same calendar gives the same bytes
    lines.raw(&format!("DTSTAMP:{}T000000Z", run.date.format("%Y%m%d")));
    match view.race.clock.map(|clock| clock.start().timezone()) {
        Some(zone) => {
            let from = instant(run.date.and_time(run.start), zone);
            let to = from + Duration::minutes((run.hours * 60.0).round() as i64);
            lines.raw(&format!("DTSTART:{}", from.format(INSTANT)));
            lines.raw(&format!("DTEND:{}", to.format(INSTANT)));
        }
        None => {
            let next = run.date + Duration::days(1);
            lines.raw(&format!("DTSTART;VALUE=DATE:{}", run.date.format("%Y%m%d")));
            lines.raw(&format!("DTEND;VALUE=DATE:{}", next.format("%Y%m%d")));
        }
    }
    let distance = view.units.show(Quantity::Distance { m: run.distance_m });
    lines.text(
        "SUMMARY",
        &format!("Long run {distance}, {}", run.role.name()),
    );
    lines.text("DESCRIPTION", &about(view, week, run, aims).join("\n"));
    lines.raw("END:VEVENT");
}

/// A time on the wall in UTC; one that the clocks leave out is the hour after it.
fn instant(wall: NaiveDateTime, zone: Tz) -> chrono::DateTime<Utc> {
    match on_the_wall(wall, zone) {
        WallTime::Once(at) | WallTime::Twice(at, _) => at.with_timezone(&Utc),
        WallTime::Never => match on_the_wall(wall + Duration::hours(1), zone) {
            WallTime::Once(at) | WallTime::Twice(at, _) => at.with_timezone(&Utc),
            WallTime::Never => wall.and_utc(),
        },
    }
}

fn about(view: &View<'_>, week: &Week, run: &LongRun, aims: &[Aim]) -> Vec<String> {
    let time = Elapsed::from_s(run.hours * 3600.0);
    let mut said = vec![
        format!(
            "{} week for {}.",
            sentence(week.kind.name()),
            clean(&view.race.course.name)
        ),
        format!("About {time} h at race effort; hours on feet may stand for the distance."),
        format!("Carbohydrate: {:.0} g/h.", run.carbs_g_per_h),
    ];
    if run.dark_h > 0.0 {
        said.push(format!("Starts {:.1} h before first light.", run.dark_h));
    }
    for test in &run.tests {
        said.push(format!(
            "Test ({}): {}.",
            test.stage.name(),
            clean(&aims[test.aim].what)
        ));
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
