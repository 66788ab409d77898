//! The crew's meetings and drives as iCalendar (RFC 5545).
//!
//! Instants are in UTC: a local time with a zone cannot say which of the two hours it means when
//! the clocks go back (section 3.3.5 takes it for the first). The organiser's times, with the day
//! and the zone, stand in the words.

use crate::course::Course;
use crate::crew::Meeting;
use crate::packing::Serving;
use crate::pictures::words::clean;
use crate::plan::Plan;
use crate::reports::View;
use crate::time::{Elapsed, RaceClock};
use crate::units::Quantity;

use super::utc;

/// A line is folded after so many bytes (RFC 5545, section 3.1).
const LONGEST_LINE: usize = 75;
/// An instant in UTC (section 3.3.5).
pub(super) const INSTANT: &str = "%Y%m%dT%H%M%SZ";
/// The phone rings so long before the crew must leave, minutes.
const BEFORE_LEAVING_MIN: i64 = 15;
/// And so long before it must be there, and before the runner comes in, minutes.
const BEFORE_ARRIVAL_MIN: i64 = 10;

/// The crew's calendar; `None` where there are no meetings, or no clock to hold them against.
#[must_use]
pub fn calendar(view: &View<'_>) -> Option<String> {
    let plan = view.plans.first()?;
    let clock = view.race.clock?;
    if plan.crew.meetings.is_empty() {
        return None;
    }
    let mut lines = Lines::open("crew calendar");
    let maker = Maker { view, plan, clock };
    let mut before: Option<&Meeting> = None;
    for meeting in &plan.crew.meetings {
        maker.drive(&mut lines, before, meeting);
        maker.meeting(&mut lines, meeting);
        before = Some(meeting);
    }
    Some(lines.close())
}

struct Maker<'v> {
    view: &'v View<'v>,
    plan: &'v Plan,
    clock: RaceClock,
}

/// An event before it is written.
struct Event {
    /// What tells it from the other one of its station.
    kind: &'static str,
    station: usize,
    from: Elapsed,
    to: Elapsed,
    summary: String,
    about: Vec<String>,
    /// Minutes after its start, negative before, and what the phone says then.
    alarms: Vec<(i64, String)>,
}

impl Maker<'_> {
    fn course(&self) -> &Course {
        &self.view.race.course
    }

    fn name(&self, station: usize) -> String {
        clean(&self.course().stations[station].name)
    }

    /// A time on the organiser's clock with its day and zone.
    fn show(&self, elapsed: Elapsed) -> String {
        let zone = self.clock.at(elapsed.to_minute());
        format!("{} {}", self.clock.show(elapsed), zone.format("%Z"))
    }

    /// To the minute, so that the phone says what the paper says.
    fn instant(&self, elapsed: Elapsed) -> String {
        utc(&self.clock, elapsed.to_minute(), INSTANT)
    }

    /// The drive to a meeting, where it takes any time.
    fn drive(&self, lines: &mut Lines, before: Option<&Meeting>, meeting: &Meeting) {
        let (Some(drive_s), Some(leave_by)) = (meeting.drive_s, meeting.leave_by) else {
            return;
        };
        if drive_s <= 0.0 {
            return;
        }
        let from = self.name(before.map_or(0, |meeting| meeting.station));
        let to = self.name(meeting.station);
        let mut about = vec![
            format!("Leave {from} by {}.", self.show(leave_by)),
            format!("The drive takes {}.", Elapsed::from_s(drive_s)),
        ];
        if before.is_some_and(|before| before.departure > leave_by) {
            about.push("Do not wait for the runner to leave.".to_owned());
        }
        self.write(
            lines,
            Event {
                kind: "drive",
                station: meeting.station,
                from: leave_by,
                to: meeting.be_there,
                summary: format!("Drive to {to}"),
                about,
                alarms: vec![(
                    -BEFORE_LEAVING_MIN,
                    format!("Leave for {to} in {BEFORE_LEAVING_MIN} minutes"),
                )],
            },
        );
    }

    fn meeting(&self, lines: &mut Lines, meeting: &Meeting) {
        let name = self.name(meeting.station);
        let mut alarms = vec![(
            -BEFORE_ARRIVAL_MIN,
            format!("Be at {name} in {BEFORE_ARRIVAL_MIN} minutes"),
        )];
        let likely = (meeting.likely.to_minute() - meeting.be_there.to_minute()).as_secs() / 60
            - BEFORE_ARRIVAL_MIN;
        if likely > 0 {
            let says = format!("The runner comes to {name} in about {BEFORE_ARRIVAL_MIN} minutes");
            alarms.push((likely, says));
        }
        self.write(
            lines,
            Event {
                kind: "meeting",
                station: meeting.station,
                from: meeting.be_there,
                to: meeting.late.max(meeting.departure),
                summary: format!("Crew at {name}: runner {}", self.clock.show(meeting.likely)),
                about: self.about(meeting),
                alarms,
            },
        );
    }

    /// Everything the crew reads there without a signal.
    fn about(&self, meeting: &Meeting) -> Vec<String> {
        let mut said = vec![
            format!("Be there {}.", self.show(meeting.be_there)),
            format!(
                "The runner comes in {}, {} at the latest in nine races of ten.",
                self.show(meeting.likely),
                self.show(meeting.late)
            ),
        ];
        let split = &self.plan.schedule.splits[meeting.station];
        if meeting.departure > meeting.likely {
            said.push(format!("Goes on {}.", self.show(meeting.departure)));
        }
        if let Some(cutoff) = split.cutoff {
            said.push(format!("Cutoff {}.", self.show(cutoff.elapsed)));
        }
        if let Some(latest) = split.latest_departure {
            said.push(format!(
                "Must leave by {} to meet every later cutoff.",
                self.show(latest)
            ));
        }
        let mut list = |words: &str, things: Vec<String>| {
            if !things.is_empty() {
                said.push(format!("{words}: {}.", things.join(", ")));
            }
        };
        let handover = meeting
            .handover
            .and_then(|index| self.plan.packing.handovers.get(index));
        if let Some(handover) = handover {
            let mut things: Vec<String> = handover.servings.iter().map(serving).collect();
            things.extend(handover.gear.iter().map(|thing| clean(thing)));
            if handover.water_ml > 0.0 {
                let ml = handover.water_ml;
                let water = self.view.units.show(Quantity::Volume { ml });
                things.push(format!("{water} of water"));
            }
            list("Hand over", things);
            list("Take back", names(&handover.take_back));
        }
        list("Bring", names(&meeting.bring));
        list("Pacer joins", names(&meeting.pacers_on));
        list("Pacer stops", names(&meeting.pacers_off));
        said
    }

    fn write(&self, lines: &mut Lines, event: Event) {
        let start = utc(&self.clock, Elapsed::ZERO, INSTANT);
        let station = &self.course().stations[event.station];
        let place = &self.course().places[station.place];
        lines.raw("BEGIN:VEVENT");
        lines.raw(&format!(
            "UID:{}-{start}-{}-{}@sutler.invalid",
            slug(&self.course().name),
            event.station,
            event.kind
        ));
        // no clock here: the same plan gives the same bytes
        lines.raw(&format!("DTSTAMP:{start}"));
        lines.raw(&format!("DTSTART:{}", self.instant(event.from)));
        lines.raw(&format!("DTEND:{}", self.instant(event.to)));
        lines.text("SUMMARY", &event.summary);
        lines.text("DESCRIPTION", &event.about.join("\n"));
        lines.text("LOCATION", &clean(&place.name));
        let (lat, lon) = station.position_deg;
        lines.raw(&format!("GEO:{lat:.6};{lon:.6}"));
        for (minutes, says) in event.alarms {
            let sign = if minutes < 0 { "-" } else { "" };
            lines.raw("BEGIN:VALARM");
            lines.raw("ACTION:DISPLAY");
            lines.raw(&format!("TRIGGER:{sign}PT{}M", minutes.abs()));
            lines.text("DESCRIPTION", &says);
            lines.raw("END:VALARM");
        }
        lines.raw("END:VEVENT");
    }
}

fn serving(serving: &Serving) -> String {
    format!("{} × {}", serving.count, clean(&serving.food))
}

fn names(things: &[String]) -> Vec<String> {
    things.iter().map(|thing| clean(thing)).collect()
}

/// A name in letters and digits that any identifier may hold.
pub(super) fn slug(name: &str) -> String {
    let kept: String = name
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        })
        .take(40)
        .collect();
    let kept = kept.trim_matches('-').to_owned();
    if kept.is_empty() {
        "race".to_owned()
    } else {
        kept
    }
}

/// Content lines (section 3.1).
pub(super) struct Lines(String);

impl Lines {
    /// A calendar that holds such events.
    pub(super) fn open(of: &str) -> Lines {
        let mut lines = Lines(String::new());
        lines.raw("BEGIN:VCALENDAR");
        lines.raw("VERSION:2.0");
        lines.raw(&format!("PRODID:-//sutler//{of}//EN"));
        lines.raw("CALSCALE:GREGORIAN");
        lines
    }

    /// The whole text.
    pub(super) fn close(mut self) -> String {
        self.raw("END:VCALENDAR");
        self.0
    }

    /// A property whose value is no text, or the bounds of a component.
    pub(super) fn raw(&mut self, line: &str) {
        let mut room = LONGEST_LINE;
        for c in line.chars() {
            if c.len_utf8() > room {
                self.0 += "\r\n ";
                room = LONGEST_LINE - 1;
            }
            room -= c.len_utf8();
            self.0.push(c);
        }
        self.0 += "\r\n";
    }

    /// A property of text (section 3.3.11).
    pub(super) fn text(&mut self, key: &str, value: &str) {
        let mut escaped = String::with_capacity(value.len());
        for c in value.chars() {
            match c {
                '\n' => escaped += "\\n",
                '\\' | ';' | ',' => {
                    escaped.push('\\');
                    escaped.push(c);
                }
                c => escaped.push(c),
            }
        }
        self.raw(&format!("{key}:{escaped}"));
    }
}
