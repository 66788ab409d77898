//! Gear: when each piece is needed, where it is taken up and where it is left.

use crate::course::{Course, StationRole};
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::gear_csv::GearRule;
use crate::inputs::{GearItem, Inputs};
use crate::units::Phrase;
use crate::words::{folded, same_name};

use super::lamps::Lights;
use super::losses::Losses;
use super::moves::{Carry, GearPlan, Handling, Move};
use super::packed::{Pickup, Source};
use super::supply::Access;
use crate::exposure::{WindowExposure, WindowExposures};

/// Plans every piece of gear and of the mandatory kit.
pub(super) fn plan(
    course: &Course,
    sky: &WindowExposures,
    access: &Access,
    inputs: &Inputs,
    losses: &Losses,
) -> GearPlan {
    let mut plan = GearPlan::default();
    let mut idle: Vec<&str> = Vec::new();
    let is_lost = |name: &str| losses.has_item(name);
    let there = inputs.gear.iter().filter(|item| !is_lost(&item.name.value));
    let lights = Lights::of(&there.collect::<Vec<&GearItem>>());
    for item in &inputs.gear {
        let name = &item.name.value;
        if is_lost(name) {
            let needed = needed(course, sky, access, item, &mut plan.findings);
            let replaced = inputs
                .gear
                .iter()
                .any(|other| !is_lost(&other.name.value) && does_as_well(other, item));
            if !replaced {
                plan.findings.extend(lost(course, name, item.when, &needed));
            }
            continue;
        }
        if after_the_finish(course, item) {
            match at_the_finish(course, name, access.crew) {
                Some(waits) => plan.moves.push(waits),
                None => plan.findings.push(nobody_at_the_finish(name)),
            }
            continue;
        }
        let needed = if demanded(course, name) {
            vec![true; course.segments.len()]
        } else {
            needed(course, sky, access, item, &mut plan.findings)
        };
        let carries = carries(course, &needed, access);
        if carries.is_empty() {
            idle.push(name);
        }
        plan.add(name, &carries);
        if let Some(lights) = lights
            .as_ref()
            .filter(|lights| lights.lamp == name && sky.knows_daylight)
        {
            lights.last(course, sky, access, &carries, &mut plan);
        }
        if item.when == GearRule::AfterStation {
            plan.findings.extend(carried_there(course, item, &carries));
            plan.moves.extend(swapped_off(course, access, item));
        }
    }
    let throughout = carries(course, &vec![true; course.segments.len()], access);
    let unlisted = |kit: &&String| !inputs.gear.iter().any(|g| same_name(&g.name.value, kit));
    for kit in course.mandatory_kit.iter().filter(unlisted) {
        match is_lost(kit) {
            true => plan
                .findings
                .extend(lost(course, kit, GearRule::Always, &[])),
            false => plan.add(kit, &throughout),
        }
    }
    plan.findings.extend(unknown(sky, inputs));
    plan.findings.extend(left_at_home(&idle));
    plan.findings.extend(no_lamp(course, sky, inputs));
    // stable: what happens at one station stays in the order of the gear list
    plan.moves.sort_by_key(|m| (m.station, m.way));
    plan
}

/// Writes the moves into the pickups they happen at, and what is worn and carried from there.
pub(super) fn hand_out(moves: &[Move], gear: &[GearItem], pickups: &mut [Pickup]) {
    for a_move in moves {
        let at = pickups.iter_mut().find(|p| p.station == a_move.station);
        if let Some(pickup) = at {
            match a_move.way {
                Handling::Leave => pickup.gear_off.push(a_move.what.clone()),
                Handling::Take | Handling::TakeBack => pickup.gear_on.push(a_move.what.clone()),
            }
        }
    }
    let mut held: Vec<&GearItem> = Vec::new();
    for pickup in pickups {
        for name in &pickup.gear_off {
            // a worn pair is the last of its kind that was put on
            let kind = name.strip_prefix(WORN_PAIR);
            let is_it = |item: &&GearItem| match kind {
                Some(kind) => worn(item) == Some(kind),
                None => item.name.value == *name,
            };
            if let Some(at) = held.iter().rposition(is_it) {
                held.remove(at);
            }
        }
        let named = |name: &String| gear.iter().find(|item| item.name.value == *name);
        held.extend(pickup.gear_on.iter().filter_map(named));
        pickup.gear_g = held.iter().filter_map(|item| item.mass_g).sum();
    }
}

/// True where the organiser demands a piece.
pub(crate) fn demanded(course: &Course, name: &str) -> bool {
    course.mandatory_kit.iter().any(|kit| same_name(kit, name))
}

/// On which segments a piece is needed. Where daylight or weather is not known, what depends on
/// it is needed everywhere: a plan must not talk anyone out of a lamp or a jacket.
fn needed(
    course: &Course,
    sky: &WindowExposures,
    access: &Access,
    item: &GearItem,
    findings: &mut Vec<Finding>,
) -> Vec<bool> {
    let segments = course.segments.len();
    let by = |known: bool, test: fn(&WindowExposure) -> bool| -> Vec<bool> {
        sky.segments.iter().map(|met| !known || test(met)).collect()
    };
    match item.when {
        GearRule::Always => vec![true; segments],
        GearRule::Dark => by(sky.knows_daylight, |met| met.dark),
        GearRule::Cold => by(sky.knows_weather, |met| met.cold),
        GearRule::Rain => by(sky.knows_weather, |met| met.rain),
        GearRule::Heat => by(sky.knows_weather, |met| met.heat),
        GearRule::Sun if !sky.knows_daylight => vec![true; segments],
        GearRule::Sun => by_day(sky, access, by(true, |met| met.sun)),
        GearRule::AfterStation => match after(course, item) {
            Some(station) => (0..segments).map(|segment| segment >= station).collect(),
            None => {
                findings.push(no_such_station(item));
                vec![true; segments]
            }
        },
    }
}

/// Hours of sun done without, where things against it could only be taken up by night.
const SUN_WITHOUT_H: f64 = 4.0;

/// Things against the sun where nobody takes them up in the dark for a morning that is far away:
/// they wait for a chance by day, are done without for a few hours, or stay in hand all night.
fn by_day(sky: &WindowExposures, access: &Access, mut needed: Vec<bool>) -> Vec<bool> {
    let mut free_from = 0;
    for (first, after) in runs(&needed) {
        let (chance, _) = last_chance(first, access);
        let in_hand = chance < free_from;
        if !in_hand && sky.segments[chance].leaves_dark {
            let by_day = (first + 1..after)
                .find(|at| access.own(*at).is_some() && !sky.segments[*at].leaves_dark);
            let without = first..by_day.unwrap_or(after);
            let hours: f64 = sky.segments[without.clone()]
                .iter()
                .map(|met| met.hours)
                .sum();
            if hours <= SUN_WITHOUT_H {
                needed[without].fill(false);
                if by_day.is_none() {
                    continue; // not in hand after all
                }
            } else {
                needed[free_from..first].fill(true);
            }
        }
        free_from = after;
    }
    needed
}

/// What the loss of mandatory kit comes to.
const MANDATORY: &str = "; mandatory kit: race rules may stop you";

/// A piece that is not there at all, from where it is needed on.
fn lost(course: &Course, name: &str, when: GearRule, needed: &[bool]) -> Option<Finding> {
    use GearRule::{Always, Cold, Dark, Rain};
    let is_kit = demanded(course, name);
    let from = match is_kit {
        true => 0,
        false => needed.iter().position(|needed| *needed)?,
    };
    let keeps_safe = is_kit || matches!(when, Always | Cold | Dark | Rain);
    let (weight, way) = if keeps_safe {
        let way = "have a second one, or borrow one; without it stay where it is safe and ask the \
                   officials before going on";
        (Weight::Failure, way)
    } else {
        (Weight::Warning, "borrow one, or do without")
    };
    let mandatory = if is_kit { MANDATORY } else { "" };
    let at = &course.stations[from].name;
    let says = format!("no `{name}`, needed from `{at}` on{mandatory}");
    let about = About::Station(from);
    let finding = Finding::new(FindingKind::GearLost, weight, about, Phrase::new(says));
    Some(finding.way_out(Phrase::new(way)))
}

/// True where one piece stands in for another: `second gloves` for `gloves`, and the other way
/// round. A piece put on at a station is put on there, and stands in for nothing.
fn does_as_well(other: &GearItem, item: &GearItem) -> bool {
    let (one, two) = (folded(&other.name.value), folded(&item.name.value));
    let is_alike = one.ends_with(&two) || two.ends_with(&one);
    is_alike && other.when == item.when && item.when != GearRule::AfterStation
}

/// The station that an `after-station` piece is for.
fn after(course: &Course, item: &GearItem) -> Option<usize> {
    let name = &item.after.as_ref()?.value;
    course
        .stations
        .iter()
        .position(|s| same_name(&s.name, name))
}

fn after_the_finish(course: &Course, item: &GearItem) -> bool {
    item.when == GearRule::AfterStation
        && !demanded(course, &item.name.value)
        && after(course, item) == Some(course.stations.len() - 1)
}

/// A piece for after the race waits at the finish: with the crew, who is there whether or not it
/// may be elsewhere, or in a bag.
fn at_the_finish(course: &Course, name: &str, crew: bool) -> Option<Move> {
    let station = course.stations.len() - 1;
    let with = match (crew, course.stations[station].drop_bag) {
        (true, _) => Source::Crew,
        (false, true) => Source::Bag,
        (false, false) => return None,
    };
    Some(Move {
        what: name.to_owned(),
        station,
        with,
        way: Handling::Take,
    })
}

fn nobody_at_the_finish(name: &str) -> Finding {
    let says = format!("`{name}` is for the finish, where neither bag nor crew waits");
    Finding::of_race(FindingKind::GearAtFinish, Weight::Note, Phrase::new(says))
}

/// The segments that a piece is carried on, from those it is needed on: taken at the last chance
/// before, left at the first chance after; between two times of need it is left only where it can
/// be had again, in the bag of the same place or from the crew.
pub(super) fn carries(course: &Course, needed: &[bool], access: &Access) -> Vec<Carry> {
    let mut carries: Vec<Carry> = Vec::new();
    let mut free_from = 0;
    for (first, after) in runs(needed) {
        match carries.last_mut() {
            None => carries.push(Carry {
                take: last_chance(first, access),
                leave: None,
            }),
            Some(before) => {
                if let Some((left, again, with)) = keep(course, free_from, first, access) {
                    before.leave = Some((left, with));
                    carries.push(Carry {
                        take: (again, with),
                        leave: None,
                    });
                }
            }
        }
        free_from = after;
    }
    if let Some(last) = carries.last_mut() {
        last.leave = (free_from..course.stations.len() - 1)
            .filter(|station| *station > last.take.0)
            .find_map(|station| Some((station, access.own(station)?)));
    }
    carries
}

/// Stretches of need: first segment, and one past the last.
fn runs(needed: &[bool]) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (segment, _) in needed.iter().enumerate().filter(|(_, need)| **need) {
        match runs.last_mut() {
            Some((_, after)) if *after == segment => *after = segment + 1,
            _ => runs.push((segment, segment + 1)),
        }
    }
    runs
}

/// The last station up to `station` where own things can be had; the start always is one.
fn last_chance(station: usize, access: &Access) -> (usize, Source) {
    (0..=station)
        .rev()
        .find_map(|at| Some((at, access.own(at)?)))
        .unwrap_or((0, Source::Start))
}

/// The places where a piece can be left from `free_from` on and had again up to `first`.
fn keep(
    course: &Course,
    free_from: usize,
    first: usize,
    access: &Access,
) -> Option<(usize, usize, Source)> {
    let bag = |at: usize| access.own(at) == Some(Source::Bag);
    let meets = |at: usize| access.meets(at);
    let place = |at: usize| course.stations[at].place;
    for left in free_from..first {
        for again in (left + 1..=first).rev() {
            if bag(left) && bag(again) && place(left) == place(again) {
                return Some((left, again, Source::Bag));
            }
            if meets(left) && meets(again) {
                return Some((left, again, Source::Crew));
            }
        }
    }
    None
}

fn no_such_station(item: &GearItem) -> Finding {
    let name = &item.name.value;
    let after = item.after.as_ref().map_or("", |after| &after.value);
    let says = format!("no station is called `{after}`: `{name}` is carried from the start");
    Finding::of_race(
        FindingKind::GearStationUnknown,
        Weight::Warning,
        Phrase::new(says),
    )
}

/// An `after-station` piece that cannot wait at its station.
fn carried_there(course: &Course, item: &GearItem, carries: &[Carry]) -> Option<Finding> {
    let station = after(course, item)?;
    let (taken, _) = carries.first()?.take;
    (taken < station).then(|| {
        let (name, at) = (&item.name.value, &course.stations[station].name);
        let from = &course.stations[taken].name;
        let says =
            format!("`{name}` for `{at}` is carried from `{from}`: neither bag nor crew is there");
        let about = About::Station(station);
        Finding::new(
            FindingKind::GearCarried,
            Weight::Note,
            about,
            Phrase::new(says),
        )
    })
}

/// The kind of thing that is worn and swapped, each pair for the next: the last word of its name.
const WORN: [&str; 9] = [
    "socks",
    "shoes",
    "shirt",
    "top",
    "shorts",
    "tights",
    "insoles",
    "singlet",
    "underwear",
];

/// The word before the kind of a pair that comes off.
const WORN_PAIR: &str = "worn ";

/// The kind of what is worn and swapped.
fn worn(item: &GearItem) -> Option<&'static str> {
    let name = folded(&item.name.value);
    WORN.into_iter().find(|worn| name.ends_with(worn))
}

/// Pieces that come off where something is put on instead: left in the bag there or with the crew,
/// or is carried on.
fn swapped_off(course: &Course, access: &Access, item: &GearItem) -> Option<Move> {
    let kind = worn(item)?;
    let station = after(course, item)?;
    Some(Move {
        what: format!("{WORN_PAIR}{kind}"),
        station,
        with: access.own(station)?,
        way: Handling::Leave,
    })
}

/// The gear carried because light or weather is not known, and what would tell.
fn unknown(sky: &WindowExposures, inputs: &Inputs) -> Option<Finding> {
    let by_light = |rule| matches!(rule, GearRule::Dark | GearRule::Sun) && !sky.knows_daylight;
    let by_weather = |rule| {
        matches!(rule, GearRule::Cold | GearRule::Rain | GearRule::Heat) && !sky.knows_weather
    };
    let doubted = |rule| by_light(rule) || by_weather(rule);
    let in_doubt = inputs.gear.iter().filter(|item| doubted(item.when));
    let in_doubt: Vec<String> = in_doubt
        .map(|item| format!("`{}`", item.name.value))
        .collect();
    let any = |holds: &dyn Fn(GearRule) -> bool| inputs.gear.iter().any(|item| holds(item.when));
    let (what, way_out) = match (any(&by_light), any(&by_weather)) {
        (true, true) => (
            "daylight and weather are",
            "give `start` and `timezone` in course.toml, and two lines of `[weather]` in the plan",
        ),
        (true, false) => ("daylight is", "give `start` and `timezone` in course.toml"),
        (false, true) => (
            "the weather is",
            "give two lines of `[weather]` in the plan, or weather.csv",
        ),
        (false, false) => return None,
    };
    let says = format!(
        "carried throughout, because {what} not known: {}",
        in_doubt.join(", ")
    );
    let (kind, about) = (FindingKind::GearInDoubt, About::Race);
    let finding = Finding::new(kind, Weight::Note, about, Phrase::new(says));
    Some(finding.way_out(Phrase::new(way_out)))
}

/// Pieces that the forecast does not call for.
fn left_at_home(idle: &[&str]) -> Option<Finding> {
    let names: Vec<String> = idle.iter().map(|name| format!("`{name}`")).collect();
    (!names.is_empty()).then(|| {
        let says = format!(
            "not called for by daylight and forecast: {}",
            names.join(", ")
        );
        Finding::of_race(FindingKind::GearNotNeeded, Weight::Note, Phrase::new(says)).way_out(
            Phrase::new(
                "carry shell, warm layer, hat and gloves in the mountains whatever the forecast: \
                 set `when` to `always`",
            ),
        )
    })
}

/// Darkness on the course, and no lamp in the list.
fn no_lamp(course: &Course, sky: &WindowExposures, inputs: &Inputs) -> Option<Finding> {
    let lamp = inputs.gear.iter().any(|item| item.when == GearRule::Dark);
    let dark = sky.segments.iter().position(|met| met.dark);
    let (Some(segment), false, true) = (dark, lamp, sky.knows_daylight) else {
        return None;
    };
    let from = &course.stations[segment];
    let spot = match from.role {
        StationRole::Start => "the start".to_owned(),
        _ => format!("`{}`", from.name),
    };
    let says = format!("it may be dark after {spot}, and no gear is listed for the dark");
    let weight = if inputs.gear.is_empty() {
        Weight::Note
    } else {
        Weight::Warning
    };
    let about = About::Segment(segment);
    Some(
        Finding::new(FindingKind::NoLamp, weight, about, Phrase::new(says)).way_out(Phrase::new(
            "list a lamp in `gear.csv` with `dark` under `when`",
        )),
    )
}
