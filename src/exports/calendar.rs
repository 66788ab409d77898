//! The crew's meetings and drives as iCalendar (RFC 5545).
//!
//! Instants are in UTC: a local time with a zone cannot say which of the two hours it means when
//! the clocks go back (section 3.3.5 takes it for the first). The organiser's times, with the day
//! and the zone, stand in the words.

use chrono::Utc;

use crate::facts::{Facts, MeetingFacts, Moment, SplitFacts, StationFacts};
use crate::pictures::words::clean;

use super::ics::{ContentLines, slug};

/// An instant in UTC (section 3.3.5).
const INSTANT: &str = "%Y%m%dT%H%M%SZ";
/// The phone rings so long before the crew must drive off, minutes.
const BEFORE_DRIVING_MIN: i64 = 15;
/// And so long before it must be there, and before the runner comes in, minutes.
const BEFORE_ARRIVAL_MIN: i64 = 10;

/// The crew's calendar; `None` where there are no meetings, or no clock to hold them against.
#[must_use]
pub fn calendar(facts: &Facts) -> Option<String> {
    let plan = facts.planned()?;
    let start = facts
        .race
        .0
        .start
        .as_ref()?
        .utc()?
        .format(INSTANT)
        .to_string();
    if plan.crew.is_empty() {
        return None;
    }
    let mut lines = ContentLines::open("crew calendar");
    // of the calendar itself (RFC 7986, sections 5.1 and 5.2), and with the first meeting
    let verdict: Vec<String> = plan
        .verdict
        .without_cold()
        .iter()
        .map(|line| clean(line))
        .collect();
    lines.text("NAME", &format!("Crew: {}", clean(&facts.race.0.course)));
    lines.text("DESCRIPTION", &verdict.join("\n"));
    for (order, meeting) in plan.crew.iter().enumerate() {
        let index = facts.station_at(&meeting.number)?;
        let event = |kind| Event {
            id: format!("{}-{start}-{index}-{kind}", slug(&facts.race.0.course)),
            start: &start,
            station: &facts.stations[index],
        };
        drive(&mut lines, &event("drive"), meeting, order == 0);
        let mut about = about(meeting, &plan.splits[index]);
        if order == 0 {
            about.extend(verdict.iter().cloned());
        }
        meet(&mut lines, &event("meeting"), meeting, about);
    }
    Some(lines.close())
}

/// Identity and place of an event.
struct Event<'f> {
    id: String,
    start: &'f str,
    station: &'f StationFacts,
}

/// Words of an event.
struct EventWords<'f> {
    from: &'f Moment,
    to: &'f Moment,
    summary: String,
    about: Vec<String>,
    /// Minutes after its start, negative before, and what the phone says then.
    alarms: Vec<(i64, String)>,
}

/// A time on the organiser's clock with its day and zone.
fn show(at: &Moment) -> String {
    let zone = at.minute().map(|at| at.format(" %Z").to_string());
    at.text.clone() + &zone.unwrap_or_default()
}

/// To the minute, so that the phone says what the paper says.
fn instant(at: &Moment) -> String {
    let at = at.minute().map(|at| at.with_timezone(&Utc));
    at.map_or_else(String::new, |at| at.format(INSTANT).to_string())
}

/// The drive to a meeting, where it takes any time.
fn drive(lines: &mut ContentLines, event: &Event<'_>, meeting: &MeetingFacts, first: bool) {
    let (Some(takes), Some(off)) = (&meeting.drive, &meeting.drive_off_by) else {
        return;
    };
    if takes.value <= 0.0 {
        return;
    }
    let (from, to) = (clean(&meeting.drives_from), clean(&meeting.station));
    let mut about = vec![
        format!("Drive off from {from} by {}.", show(off)),
        format!("The drive takes {}.", takes.text),
    ];
    let mut alarm = format!("Drive off for {to} in {BEFORE_DRIVING_MIN} minutes");
    if !first {
        about.push("Drive off only once your runner has left.".to_owned());
        alarm += ", once your runner has left";
    }
    let said = EventWords {
        from: off,
        to: &meeting.be_there,
        summary: format!("Drive to {to}"),
        about,
        alarms: vec![(-BEFORE_DRIVING_MIN, alarm)],
    };
    write(lines, event, &said);
}

fn meet(lines: &mut ContentLines, event: &Event<'_>, meeting: &MeetingFacts, about: Vec<String>) {
    let name = clean(&meeting.station);
    let from = &meeting.be_there;
    let rings = format!("Be at {name} in {BEFORE_ARRIVAL_MIN} minutes");
    let mut alarms = vec![(-BEFORE_ARRIVAL_MIN, rings)];
    let waits = meeting.likely.elapsed.to_minute() - from.elapsed.to_minute();
    let likely = waits.as_secs() / 60 - BEFORE_ARRIVAL_MIN;
    if likely > 0 {
        let says = format!("The runner comes to {name} in about {BEFORE_ARRIVAL_MIN} minutes");
        alarms.push((likely, says));
    }
    let stays = meeting.leaves.elapsed > meeting.late.elapsed;
    let gone = meeting.leaves.elapsed.max(meeting.late.elapsed);
    let missed = from.elapsed > gone;
    let said = EventWords {
        from,
        to: match (missed, stays) {
            (true, _) => from,
            (false, true) => &meeting.leaves,
            (false, false) => &meeting.late,
        },
        summary: format!("Crew at {name}: runner {}", meeting.likely.text),
        about,
        alarms,
    };
    write(lines, event, &said);
}

/// Everything the crew reads there without a signal.
fn about(meeting: &MeetingFacts, split: &SplitFacts) -> Vec<String> {
    let mut said = vec![format!("Be there by {}.", show(&meeting.be_there))];
    let unknown = meeting.unknown_drive();
    said.extend(unknown.map(|drive| format!("D{}.", &clean(&drive)[1..])));
    said.push(format!(
        "The runner arrives {}; {} to {} in eight races of ten.",
        show(&meeting.likely),
        show(&meeting.early),
        show(&meeting.late)
    ));
    if meeting.leaves.elapsed > meeting.likely.elapsed {
        said.push(format!("Leaves about {}.", show(&meeting.leaves)));
    }
    if let Some(cutoff) = &split.cutoff {
        let leaving = match split.cutoff_on {
            Some("departure") => " on leaving",
            _ => "",
        };
        said.push(format!("Cutoff{leaving} {}.", show(cutoff)));
    }
    if let Some(latest) = &meeting.latest_departure {
        let first = split.if_in_by();
        let first = first.map_or(String::new(), |first| format!("If in by {}: ", show(first)));
        said.push(format!(
            "{first}Leave by {} to meet every later cutoff.",
            show(latest)
        ));
    }
    let mut list = |words: &str, things: Vec<String>| {
        if !things.is_empty() {
            let things: Vec<String> = things.iter().map(|thing| clean(thing)).collect();
            said.push(format!("{words}: {}.", things.join(", ")));
        }
    };
    let servings = meeting.servings.iter().map(|serving| serving.text.clone());
    let water = meeting
        .water
        .iter()
        .map(|water| format!("{} of water", water.text));
    let gear = meeting.gear.iter().cloned();
    list("Hand over", servings.chain(gear).chain(water).collect());
    list("Take back", meeting.take_back.clone());
    list("Bring", meeting.bring.clone());
    list("Pacer joins", meeting.pacers_on.clone());
    list("Pacer stops", meeting.pacers_off.clone());
    said
}

fn write(lines: &mut ContentLines, event: &Event<'_>, said: &EventWords<'_>) {
    lines.raw("BEGIN:VEVENT");
    lines.raw(&format!("UID:{}@sutler.invalid", event.id));
    // no clock here: the same plan gives the same bytes
    lines.raw(&format!("DTSTAMP:{}", event.start));
    lines.raw(&format!("DTSTART:{}", instant(said.from)));
    lines.raw(&format!("DTEND:{}", instant(said.to)));
    lines.text("SUMMARY", &said.summary);
    lines.text("DESCRIPTION", &said.about.join("\n"));
    lines.text("LOCATION", &clean(&event.station.place));
    let (lat, lon) = (event.station.lat, event.station.lon);
    lines.raw(&format!("GEO:{lat:.6};{lon:.6}"));
    for (minutes, says) in &said.alarms {
        let sign = if *minutes < 0 { "-" } else { "" };
        lines.raw("BEGIN:VALARM");
        lines.raw("ACTION:DISPLAY");
        lines.raw(&format!("TRIGGER:{sign}PT{}M", minutes.abs()));
        lines.text("DESCRIPTION", says);
        lines.raw("END:VALARM");
    }
    lines.raw("END:VEVENT");
}
