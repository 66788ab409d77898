//! The crew's calendar, read by a strict reader of RFC 5545 written here, and by the `icalendar`
//! crate. Calendars of all demos and of the hostile race were also read once with the `icalendar`
//! package of Python (7.3.2), without an error and with the same summaries and instants.

use chrono::{DateTime, Duration, NaiveDateTime, Utc};
use icalendar::parser::{read_calendar, unfold};
use sutler::exports::calendar;
use sutler::facts::Facts;
use sutler::units::Units;

use crate::support::hostile;
use crate::support::race::{PLANS, Planned};
use crate::support::synthetic::Synthetic;

/// A component with its properties and the components inside.
#[derive(Debug, Default)]
pub(super) struct Component {
    name: String,
    properties: Vec<(String, String)>,
    pub(super) inside: Vec<Component>,
}

impl Component {
    #[track_caller]
    fn get(&self, key: &str) -> &str {
        let all: Vec<&str> = self
            .properties
            .iter()
            .filter(|(own, _)| own == key)
            .map(|(_, value)| value.as_str())
            .collect();
        assert_eq!(all.len(), 1, "{key} in {self:?}");
        all[0]
    }

    fn instant(&self, key: &str) -> DateTime<Utc> {
        let text = self.get(key);
        NaiveDateTime::parse_from_str(text, "%Y%m%dT%H%M%SZ")
            .unwrap_or_else(|e| panic!("{key}:{text}: {e}"))
            .and_utc()
    }

    pub(super) fn words(&self, key: &str) -> String {
        unescaped(self.get(key))
    }
}

/// Section 3.3.11: what a backslash may stand before.
fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        match c {
            '\\' => match chars.next() {
                Some(c @ ('\\' | ';' | ',')) => out.push(c),
                Some('n' | 'N') => out.push('\n'),
                other => panic!("\\{other:?} in {text}"),
            },
            ';' | ',' => panic!("{c} without a backslash in {text}"),
            c => out.push(c),
        }
    }
    out
}

/// Sections 3.1 and 3.6: content lines of at most 75 octets that end in CRLF, folded lines, nested
/// components.
pub(super) fn read(text: &str) -> Component {
    assert!(text.ends_with("\r\n"));
    let mut lines: Vec<String> = Vec::new();
    for line in text[..text.len() - 2].split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.contains(['\r', '\n']), "{line:?}");
        match line.strip_prefix(' ') {
            Some(rest) => *lines.last_mut().unwrap() += rest,
            None => lines.push(line.to_owned()),
        }
    }
    let mut open = vec![Component::default()];
    for line in lines {
        let (key, value) = line.split_once(':').unwrap();
        assert!(key.bytes().all(|b| b.is_ascii_uppercase()), "{line}");
        assert!(!value.chars().any(char::is_control), "{line:?}");
        match key {
            "BEGIN" => open.push(Component {
                name: value.to_owned(),
                ..Component::default()
            }),
            "END" => {
                let done = open.pop().unwrap();
                assert_eq!(done.name, value);
                open.last_mut().unwrap().inside.push(done);
            }
            _ => {
                let own = open.last_mut().unwrap();
                own.properties.push((key.to_owned(), value.to_owned()));
            }
        }
    }
    assert_eq!((open.len(), open[0].inside.len()), (1, 1));
    open.remove(0).inside.remove(0)
}

fn races() -> Vec<(String, Planned)> {
    let shipped = PLANS.map(|plan| (plan.to_owned(), Planned::shipped(plan)));
    let mut races: Vec<(String, Planned)> = shipped.into_iter().collect();
    races.push(("hostile".to_owned(), hostile::race(30, false)));
    races
}

#[test]
fn calendars_are_as_the_standard_says() {
    for (name, planned) in races() {
        let text = calendar(&Facts::of(&planned.view(Units::Metric))).unwrap();
        let read = read(&text);
        assert_eq!(read.name, "VCALENDAR");
        // section 3.6: required, once
        assert_eq!(read.get("VERSION"), "2.0");
        assert!(!read.get("PRODID").is_empty());
        let meetings = &planned.plans[0].crew.meetings;
        let driven = meetings.iter().filter(|m| m.drive_s > Some(0.0)).count();
        assert_eq!(read.inside.len(), meetings.len() + driven, "{name}");
        let mut ids: Vec<&str> = read.inside.iter().map(|event| event.get("UID")).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), read.inside.len(), "{name}: UIDs repeat");
        for event in &read.inside {
            assert_eq!(event.name, "VEVENT");
            event.instant("DTSTAMP");
            assert!(
                event.instant("DTSTART") <= event.instant("DTEND"),
                "{event:?}"
            );
            let (lat, lon) = event.get("GEO").split_once(';').unwrap();
            assert!(lat.parse::<f64>().unwrap().abs() <= 90.0);
            assert!(lon.parse::<f64>().unwrap().abs() <= 180.0);
            assert!(!event.inside.is_empty(), "{name}: no alarm");
            for alarm in &event.inside {
                assert_eq!(
                    (alarm.name.as_str(), alarm.get("ACTION")),
                    ("VALARM", "DISPLAY")
                );
                assert!(!alarm.words("DESCRIPTION").is_empty());
                trigger(alarm);
            }
        }
    }
}

/// Minutes of a trigger (section 3.3.6: `dur-time` of minutes alone).
fn trigger(alarm: &Component) -> i64 {
    let text = alarm.get("TRIGGER");
    let (sign, rest) = match text.strip_prefix('-') {
        Some(rest) => (-1, rest),
        None => (1, text),
    };
    let minutes = rest
        .strip_prefix("PT")
        .and_then(|rest| rest.strip_suffix('M'));
    sign * minutes.unwrap().parse::<i64>().unwrap()
}

#[test]
fn events_are_at_the_plans_instants() {
    for (name, planned) in races() {
        let (plan, race) = (&planned.plans[0], &planned.prepared.race);
        let clock = race.clock.unwrap();
        let read = read(&calendar(&Facts::of(&planned.view(Units::Metric))).unwrap());
        let mut events = read.inside.iter();
        let near = |event: &Component, key: &str, elapsed: sutler::time::Elapsed| {
            // to the minute, as paper has it
            let off = event.instant(key) - clock.at(elapsed).with_timezone(&Utc);
            assert!(
                off.abs() <= Duration::seconds(30),
                "{name}: {key} of {event:?}"
            );
        };
        for meeting in &plan.crew.meetings {
            let place = &race.course.stations[meeting.station];
            if meeting.drive_s > Some(0.0) {
                let drive = events.next().unwrap();
                near(drive, "DTSTART", meeting.leave_by.unwrap());
                near(drive, "DTEND", meeting.be_there);
                assert!(drive.words("SUMMARY").starts_with("Drive to"));
                assert_eq!(trigger(&drive.inside[0]), -15);
            }
            let event = events.next().unwrap();
            near(event, "DTSTART", meeting.be_there);
            near(event, "DTEND", meeting.late.max(meeting.departure));
            assert_eq!(trigger(&event.inside[0]), -10);
            if let Some(second) = event.inside.get(1) {
                let rings = event.instant("DTSTART") + Duration::minutes(trigger(second));
                let likely = clock.at(meeting.likely).with_timezone(&Utc);
                let before = (likely - rings).num_seconds();
                assert!((540..=660).contains(&before), "{name}: {before} s before");
            }
            let place = &race.course.places[place.place].name;
            let written: String = place.chars().filter(|c| *c != '\u{202e}').collect();
            if !written.contains('\u{303}') {
                assert_eq!(event.words("LOCATION"), written, "{name}");
            }
        }
        assert!(events.next().is_none(), "{name}");
    }
}

/// In Vienna the clocks went from 03:00 CEST (UTC+2) back to 02:00 CET (UTC+1) on 25 October 2026
/// (Directive 2000/84/EC: the last Sunday of October, 01:00 UTC).
#[test]
fn instants_hold_over_the_clock_change() {
    let planned = Planned::shipped("demo-data/plan.toml");
    let read = read(&calendar(&Facts::of(&planned.view(Units::Metric))).unwrap());
    let change = NaiveDateTime::parse_from_str("20261025T010000", "%Y%m%dT%H%M%S").unwrap();
    let (mut before, mut after) = (0, 0);
    for event in &read.inside {
        let about = event.words("DESCRIPTION");
        let first = about.lines().next().unwrap();
        // such as `Be there by Sun 02:24¹ CEST.`
        let mut words = first.trim_end_matches('.').rsplit(' ');
        let (zone, time) = (words.next().unwrap(), words.next().unwrap());
        let start = event.instant("DTSTART").naive_utc();
        let offset_h = match zone {
            "CEST" => 2,
            "CET" => 1,
            other => panic!("{other} in {first}"),
        };
        assert_eq!(offset_h == 2, start < change, "{first}: {start}");
        let local = (start + Duration::hours(offset_h))
            .format("%H:%M")
            .to_string();
        assert_eq!(time.trim_end_matches(['¹', '²']), local, "{first}");
        match zone {
            "CEST" => before += 1,
            _ => after += 1,
        }
    }
    assert!(before >= 3 && after >= 1, "{before} and {after}");
}

#[test]
fn another_reader_reads_the_same() {
    for (name, planned) in races() {
        let text = calendar(&Facts::of(&planned.view(Units::Metric))).unwrap();
        let own = read(&text);
        let unfolded = unfold(&text);
        let other = read_calendar(&unfolded).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(other.components.len(), own.inside.len(), "{name}");
        for (theirs, ours) in other.components.iter().zip(&own.inside) {
            for key in ["UID", "DTSTART", "DTEND", "GEO"] {
                let value = theirs.find_prop(key).unwrap().val.to_string();
                assert_eq!(value, ours.get(key), "{name}");
            }
            assert_eq!(theirs.components.len(), ours.inside.len(), "{name}");
        }
    }
}

#[test]
fn hostile_names_break_out_of_nothing() {
    let planned = hostile::race(30, false);
    let read = read(&calendar(&Facts::of(&planned.view(Units::Metric))).unwrap());
    let all: Vec<String> = read
        .inside
        .iter()
        .map(|event| event.words("SUMMARY"))
        .collect();
    for name in [
        "semi;colon, comma \\ back\\slash \"quotes\"",
        "END:VEVENT BEGIN:VALARM",
    ] {
        assert!(
            all.iter().any(|words| words.contains(name)),
            "{name} in {all:?}"
        );
    }
    let about: Vec<String> = read
        .inside
        .iter()
        .map(|event| event.words("DESCRIPTION"))
        .collect();
    assert!(
        about
            .iter()
            .any(|words| words.contains("Bring: a, b; c\\d \"e\".")),
        "{about:?}"
    );
}

#[test]
fn no_crew_or_no_clock_gives_no_calendar() {
    for seed in [0, 1] {
        let course = Synthetic::of(seed);
        let finish = sutler::time::Elapsed::from_s(course.length_km * 600.0);
        let planned = Planned::of(course.texts(), &[finish]);
        assert_eq!(calendar(&Facts::of(&planned.view(Units::Metric))), None);
    }
}
