//! The calendar as iCalendar and as a picture.

use icalendar::parser::{read_calendar, unfold};
use sutler::calendar::{Aim, Calendar, CalendarRequest, lay_out};
use sutler::exports;
use sutler::facts::{CalendarFacts, Facts};
use sutler::pictures::{self, THEMES};
use sutler::units::Units;

use super::wishes::{aims, date, request};
use crate::support::case::Case;
use crate::support::race::Planned;
use crate::support::reference;

/// The 100-mile demo's race, on the day that the clocks go back.
fn planned() -> Planned {
    Planned::shipped("demo-data/plan.toml")
}

fn laid_out() -> Calendar {
    lay_out(&request(), &aims())
}

/// The calendar's long runs as events.
fn ics(planned: &Planned, calendar: &Calendar, aims: &[Aim]) -> String {
    let view = planned.view(Units::Metric);
    let told = CalendarFacts::of(&view, calendar, aims);
    exports::long_runs(&Facts::of(&view), &told)
}

#[test]
fn another_reader_finds_every_run() {
    let planned = planned();
    let calendar = laid_out();
    let text = ics(&planned, &calendar, &aims());
    let unfolded = unfold(&text);
    let read = read_calendar(&unfolded).unwrap();
    let events: Vec<_> = read
        .components
        .iter()
        .filter(|c| c.name == "VEVENT")
        .collect();
    let runs: Vec<_> = calendar.weeks.iter().flat_map(|week| &week.runs).collect();
    assert_eq!(events.len(), runs.len());
    let mut ids = Vec::new();
    for (event, run) in events.iter().zip(runs) {
        let get = |key: &str| event.find_prop(key).unwrap().val.as_str().to_owned();
        assert!(get("SUMMARY").starts_with("Long run "), "{run:?}");
        assert!(
            get("DTSTART").starts_with(&run.date.format("%Y%m%d").to_string()),
            "{run:?}"
        );
        ids.push(get("UID"));
    }
    ids.sort();
    ids.dedup();
    assert_eq!(
        ids.len(),
        events.len(),
        "every event has an identifier of its own"
    );
    let again = ics(&planned, &laid_out(), &aims());
    assert_eq!(text, again);
    assert!(text.lines().all(|line| line.len() <= 75));
}

/// Runs at six on the wall across the clock change and the end of the year.
#[test]
fn starts_are_at_the_zones_instants() {
    let planned = planned();
    let rows: Vec<_> = reference::rows("calendar_days.csv")
        .into_iter()
        .filter(|row| row.text("zone") == "Europe/Vienna")
        .collect();
    for row in &rows {
        let day = date(row.text("day"));
        // practice races are on the day that they are given for
        let race = sutler::calendar::PracticeRace {
            date: day,
            distance_m: 21_000.0,
            time_s: None,
        };
        let calendar = lay_out(
            &CalendarRequest {
                from: day - chrono::Days::new(14),
                race: day + chrono::Days::new(70),
                practice: vec![race],
                ..request()
            },
            &[],
        );
        let text = ics(&planned, &calendar, &[]);
        let wanted = format!("DTSTART:{}", row.text("utc"));
        assert!(text.contains(&wanted), "{row}");
    }
}

#[test]
fn the_picture_shows_every_week_in_both_themes() {
    let planned = planned();
    let calendar = laid_out();
    for theme in &THEMES {
        for units in [Units::Metric, Units::Imperial] {
            let view = planned.view(units);
            let told = CalendarFacts::of(&view, &calendar, &aims());
            let text = pictures::long_runs(&Facts::of(&view), &told, theme);
            let mut reader = quick_xml::Reader::from_str(&text);
            let mut bars = 0;
            loop {
                match reader.read_event().unwrap() {
                    quick_xml::events::Event::Eof => break,
                    quick_xml::events::Event::Empty(tag)
                        if AsRef::<str>::as_ref(&tag.name()) == "rect" =>
                    {
                        bars += 1;
                    }
                    _ => {}
                }
            }
            let runs = calendar.weeks.iter().flat_map(|week| &week.runs).count();
            assert!(bars > runs, "{bars} bars for {runs} runs");
            let last = calendar
                .weeks
                .last()
                .unwrap()
                .monday
                .format("%-d %b")
                .to_string();
            assert!(text.contains(&format!(">{last}</text>")), "{last}");
        }
    }
}

#[test]
fn files_are_replaced_when_told_to() {
    let case = Case::new().copied("demo-data").copied("courses");
    let asked = "rehearse demo-data/plan-50k.toml --calendar --from 2027-02-01 --longest-now 20km";
    let run = |more: &str| {
        let words = asked.split(' ').chain(more.split_whitespace());
        case.run(&words.collect::<Vec<_>>())
    };
    let files = "--events runs.ics --chart runs.svg";
    run(files).exits(0);
    run(files).exits(2).says("exists; give another name");
    run(&format!("{files} --overwrite")).exits(0);
    run("--chart runs.svg --overwrite -o runs.txt").exits(0);
    run("--overwrite").exits(2);
}
