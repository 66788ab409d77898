//! Calendar, track and the crew's page tell the same times and things as the facts, each read back
//! from what was written.

use sutler::exports::{calendar, track};
use sutler::facts::{Facts, MeetingFacts, Moment, TrackFacts};
use sutler::units::Units;

use super::calendar::read;
use super::crew_page;
use crate::support::race::{PLANS, Planned};

fn races() -> Vec<(&'static str, Planned, Facts)> {
    PLANS
        .iter()
        .map(|plan| {
            let planned = Planned::shipped(plan);
            let facts = Facts::of(&planned.view(Units::Metric));
            (*plan, planned, facts)
        })
        .collect()
}

/// Whether a text says each of some words.
#[track_caller]
fn says(at: &str, text: &str, words: &[&str]) {
    for wanted in words {
        assert!(text.contains(wanted), "{at}: no `{wanted}` in {text}");
    }
}

/// What changes hands at a meeting, as printed.
fn handed(meeting: &MeetingFacts) -> Vec<&str> {
    let servings = meeting.servings.iter().map(|serving| &serving.text);
    let water = meeting.water.iter().map(|water| &water.text);
    let lists = [&meeting.gear, &meeting.take_back, &meeting.bring];
    let people = [&meeting.pacers_on, &meeting.pacers_off];
    let names = lists.into_iter().chain(people).flatten();
    servings
        .chain(water)
        .chain(names)
        .map(String::as_str)
        .collect()
}

#[test]
fn the_calendar_tells_the_meetings() {
    let mut handovers = 0;
    for (name, _, facts) in races() {
        let plan = facts.planned().unwrap();
        let read = read(&calendar(&facts).unwrap());
        says(name, &read.words("DESCRIPTION"), &[&plan.verdict.lines[0]]);
        let mut events = read.inside.iter();
        for meeting in &plan.crew {
            let at = format!("{name}, {}", meeting.station);
            let drives = meeting.drive.as_ref().filter(|drive| drive.value > 0.0);
            if let Some(drive) = drives {
                let about = events.next().unwrap().words("DESCRIPTION");
                let off = &meeting.drive_off_by.as_ref().unwrap().text;
                let off = format!("Drive off from {} by {off} ", meeting.drives_from);
                says(&at, &about, &[&off, &format!("takes {}.", drive.text)]);
            }
            let about = events.next().unwrap().words("DESCRIPTION");
            let there = format!("Be there by {} ", meeting.be_there.text);
            if let Some(before) = &meeting.after {
                says(&at, &about, &[&format!("Drive from {before} unknown.")]);
            }
            let (likely, early) = (&meeting.likely.text, &meeting.early.text);
            says(&at, &about, &[&there, likely, early, &meeting.late.text]);
            if let Some(latest) = &meeting.latest_departure {
                says(&at, &about, &[&format!("Leave by {} ", latest.text)]);
            }
            says(&at, &about, &handed(meeting));
            handovers += meeting.servings.len();
        }
        assert!(events.next().is_none(), "{name}");
    }
    assert!(handovers > 5, "only {handovers} servings were handed over");
}

#[test]
fn the_track_tells_the_splits() {
    for (name, planned, facts) in races() {
        let points = TrackFacts::of(&planned.view(Units::Metric));
        let text = track(&facts, &points);
        let read = gpx::read(text.as_bytes()).unwrap();
        let splits = &facts.planned().unwrap().splits;
        assert_eq!(read.waypoints.len(), splits.len(), "{name}");
        for (waypoint, split) in read.waypoints.iter().zip(splits) {
            let at = format!("{name}, {}", split.station);
            let about = waypoint.description.as_deref().unwrap();
            let told = |label: &str, moment: &Moment| format!("{label} {}", moment.text);
            says(
                &at,
                about,
                &[&split.official.text, &told("arrive", &split.arrival)],
            );
            if split.stop.is_some() {
                says(&at, about, &[&told("leave", &split.departure)]);
            }
            for (label, moment) in [
                ("cutoff", &split.cutoff),
                ("leave by", &split.latest_departure),
            ] {
                if let Some(moment) = moment {
                    says(&at, about, &[&told(label, moment)]);
                }
            }
        }
    }
}

/// The words of each station on the crew's page, markup taken out.
fn cards(page: &str) -> Vec<String> {
    let cards = page.split("data-station=\"").skip(1);
    let words = cards.map(|card| {
        let card = card.split("</li><li class=\"stop").next().unwrap();
        let mut inside = true;
        let plain = card.chars().filter_map(|c| {
            inside = match c {
                '<' => true,
                '>' => return std::mem::take(&mut inside).then_some(' '),
                _ => inside,
            };
            (!inside).then_some(if c == '\u{a0}' { ' ' } else { c })
        });
        let plain: String = plain.collect();
        plain.split_whitespace().collect::<Vec<_>>().join(" ")
    });
    words.collect()
}

#[test]
fn the_crews_page_tells_the_splits_and_the_meetings() {
    for (name, planned, facts) in races() {
        let plan = facts.planned().unwrap();
        let page = crew_page::written(&planned);
        let script = page.find("<script").unwrap();
        let cards = cards(&page[..script]);
        assert_eq!(cards.len(), facts.stations.len(), "{name}");
        if let Some(helpers) = &plan.helpers {
            let phones = helpers.phones.iter().map(|one| &one.number);
            for number in phones.chain(&helpers.phone).chain(&helpers.race_control) {
                let digits = number.replace(' ', "");
                assert!(
                    page.contains(&format!("href=\"tel:{digits}\"")),
                    "{name}: {number}"
                );
            }
        }
        says(
            name,
            &page,
            &facts
                .race
                .0
                .rules
                .iter()
                .map(String::as_str)
                .collect::<Vec<_>>(),
        );
        // the lamp has one time, that of the calendar of the sun
        let phone = sutler::facts::PhoneFacts::of(&planned.view(Units::Metric)).unwrap();
        let dusk = plan.sun.iter().filter(|event| event.kind == "dusk");
        let wanted: Vec<i64> = dusk.map(|event| event.at.elapsed.as_secs()).collect();
        for dusk_s in &wanted {
            assert!(phone.dark.iter().any(|night| night.0 == *dusk_s), "{name}");
        }
        for (card, split) in cards.iter().zip(&plan.splits) {
            let at = format!("{name}, {}", split.station);
            says(
                &at,
                card,
                &[&split.station, &split.official.text, &split.arrival.text],
            );
            if split.number != "S" {
                let (early, late) = (&split.early, &split.late);
                let window = [early, late].map(|end| end.beside(&split.likely));
                says(&at, card, &[&window.join(" – ")]);
            }
            if let Some(cutoff) = &split.cutoff {
                says(&at, card, &[&cutoff.text]);
            }
            if let (Some(latest), true) = (&split.latest_departure, split.number != "F") {
                says(&at, card, &[&format!("Leave by {}", latest.text)]);
            }
            let meeting = plan.crew.iter().find(|met| met.number == split.number);
            if let Some(meeting) = meeting.filter(|met| met.number != "S") {
                let there = format!("Be there by {}", meeting.be_there.text);
                says(&at, card, &[&there]);
                if let Some(before) = &meeting.after {
                    says(&at, card, &[&format!("Drive unknown from {before}")]);
                }
                let drives = meeting
                    .drive
                    .as_ref()
                    .is_some_and(|drive| drive.value > 0.0);
                if let (Some(off), true) = (&meeting.drive_off_by, drives) {
                    let from = &meeting.drives_from;
                    says(
                        &at,
                        card,
                        &[&format!("Drive off by {} from {from}", off.text)],
                    );
                    assert!(!card.contains("0:35 h"), "{at}");
                }
                let spot = &meeting.spot;
                let notes = [&spot.directions, &spot.parking, &spot.phone, &spot.notes];
                for said in notes.into_iter().flatten().chain([&spot.coordinates]) {
                    says(&at, card, &[said]);
                }
                for stint in &meeting.stints {
                    let ready = format!("be ready by {}", stint.ready.text);
                    says(
                        &at,
                        card,
                        &[&stint.name, &stint.until, &stint.length.text, &ready],
                    );
                }
                let pickup = plan.pickups.iter().find(|one| one.number == split.number);
                let cold = pickup.and_then(|one| one.alerts.iter().find(|one| one.kind == "cold"));
                if let Some(cold) = cold {
                    says(
                        &at,
                        card,
                        &[&format!("Dress {}", cold.told()), "Warm enough?"],
                    );
                }
                if let Some((_, pockets)) = card.split_once("Into the pockets ") {
                    let pockets = pockets.split(" Change or put on ").next().unwrap();
                    for one in &pickup.unwrap().pockets {
                        says(&at, pockets, &[&one.text]);
                    }
                }
                says(&at, card, &handed(meeting));
            }
        }
    }
}
