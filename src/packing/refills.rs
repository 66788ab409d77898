//! Ways to make the fluid of a departure fit the flasks, found by trying.

use crate::course::{Station, StationRole};
use crate::fueling::sweat::COOL_C;
use crate::inputs::stations_csv::StationKind;
use crate::units::{Phrase, Quantity};

use super::flasks::{FLASK_ML, more_flasks};
use super::given::Given;
use super::menu::Feeding;
use super::packed::{Pickup, RunsDry};
use super::stores::carry_ml;
use super::supply::points;

/// The most stations to fill at that are named.
const MOST_REFILLS: usize = 3;

/// Ways to make the fluid of some departures fit the flasks: water on the way first, then a flask
/// or two more for what is likely drunk, then a reservoir. A day of much sweat is met by drinking
/// before, for it is a ceiling and no reason to carry litres more.
pub(super) fn fluid_ways(given: &Given<'_>, day: &Feeding<'_>, pickups: &[&Pickup]) -> Vec<Phrase> {
    let mut ways: Vec<Phrase> = Vec::new();
    for pickup in pickups {
        for way in fill_on_the_way(given, day, pickup) {
            if ways.len() < MOST_REFILLS && !ways.contains(&way) {
                ways.push(way);
            }
        }
    }
    ways.push(refill(given, pickups));
    let flasks = pickups.iter().map(|pickup| flasks_more(pickup)).max();
    let flasks = flasks.filter(|flasks| *flasks > 0);
    ways.extend(flasks.map(|flasks| more_flasks("carry ", flasks)));
    let hot = pickups.iter().any(|pickup| !is_cool(given, pickup));
    ways.extend(hot.then(|| {
        Phrase::new(
            "where it is hot, drink your fill before you leave, and leave with every flask full",
        )
    }));
    ways
}

/// Flasks more that would hold what is likely drunk.
fn flasks_more(pickup: &Pickup) -> u32 {
    ((pickup.way_ml - pickup.capacity_ml) / FLASK_ML)
        .ceil()
        .max(0.0) as u32
}

/// True where the air is known to be cool all the way to water.
fn is_cool(given: &Given<'_>, pickup: &Pickup) -> bool {
    let way = &given.fueling.segments[pickup.station..pickup.until_water];
    way.iter()
        .all(|need| need.temp_c.is_some_and(|c| c < COOL_C))
}

/// The place where full flasks are likely empty on a way that asks for more.
pub(super) fn runs_dry(given: &Given<'_>, pickup: &Pickup) -> RunsDry {
    RunsDry {
        official_m: empty_at_m(given, pickup),
        fills: (pickup.way_ml / pickup.capacity_ml).ceil() as u32 - 1,
        flasks: flasks_more(pickup),
    }
}

/// Distances before which water is to be found on the way: before full flasks are empty, as likely
/// drunk, or where they hold that, on a day of much sweat.
fn refill(given: &Given<'_>, pickups: &[&Pickup]) -> Phrase {
    let is_short = pickups.iter().any(|p| p.way_ml > p.capacity_ml);
    let cool = pickups.iter().all(|pickup| is_cool(given, pickup));
    let when = match (is_short, cool) {
        (true, _) => "",
        (false, false) => "on a hot day ",
        (false, true) => "if you sweat a lot ",
    };
    let mut says = Phrase::new(format!("{when}find water on the way before "));
    for (at, pickup) in pickups.iter().enumerate() {
        says = match at {
            0 => says,
            _ if at + 1 == pickups.len() => says.and(" and "),
            _ => says.and(", "),
        };
        says = says.and(Quantity::Distance {
            m: empty_at_m(given, pickup),
        });
    }
    let likely = if is_short { "are likely" } else { "may be" };
    says.and(format!(", where full flasks {likely} empty; treat it"))
}

/// The fewest stations in between at which filling up would do.
fn fill_on_the_way(given: &Given<'_>, day: &Feeding<'_>, pickup: &Pickup) -> Vec<Phrase> {
    let (course, from, to) = (given.course, pickup.station, pickup.until_water);
    let with_water = |stations: &[usize]| {
        let access = stations
            .iter()
            .fold(day.stores.access.clone(), |access, station| {
                access.with_water_at(*station)
            });
        let points = points(course, given.schedule, &access);
        let legs = points
            .iter()
            .filter(|p| p.water && (from..to).contains(&p.station));
        let legs = legs.map(|p| carry_ml(given.fueling, p.station, p.until_water));
        legs.fold(0.0, f64::max)
    };
    let fits = |ml: f64| ml <= pickup.capacity_ml;
    let dry: Vec<usize> = (from + 1..to)
        .filter(|s| !day.stores.access.water(*s))
        .collect();
    let way = |stations: &[usize]| {
        let ml = with_water(stations);
        fits(ml).then(|| {
            let fill = match stations {
                [station] => fill_at(given, *station),
                _ => {
                    let name = |s: &usize| format!("`{}`", course.stations[*s].name);
                    let names: Vec<String> = stations.iter().map(name).collect();
                    let names = names.join(" and ");
                    format!("fill at {names} as well, once you know of water there")
                }
            };
            Phrase::new(fill)
                .and(": then ")
                .and(Quantity::Volume { ml })
                .and(" is enough to leave with")
        })
    };
    let single: Vec<Phrase> = dry.iter().filter_map(|s| way(&[*s])).collect();
    if !single.is_empty() {
        return single;
    }
    // each time as far as full flasks last
    let (mut set, mut at) = (Vec::new(), from);
    while !fits(carry_ml(given.fueling, at, to)) {
        let last = dry
            .iter()
            .rfind(|s| **s > at && fits(carry_ml(given.fueling, at, **s)));
        let Some(&next) = last else {
            return Vec::new();
        };
        set.push(next);
        at = next;
    }
    way(&set).into_iter().collect()
}

/// Ways to fill flasks at a station that is not known to have water.
fn fill_at(given: &Given<'_>, station: usize) -> String {
    let Station {
        name, role, crew, ..
    } = &given.course.stations[station];
    if *crew && given.inputs.crew.is_none() {
        return format!("ask the crew to bring water to `{name}`");
    }
    match role {
        StationRole::Between(StationKind::Aid) => {
            format!("fill at `{name}` if it has water, and add `water` to its offers")
        }
        _ => format!("ask the organiser whether there is water at `{name}`"),
    }
}

/// Official distance at which full flasks are empty, drunk evenly over each segment: what is likely
/// drunk, or where they hold that, what a day of much sweat asks for.
fn empty_at_m(given: &Given<'_>, pickup: &Pickup) -> f64 {
    let course = given.course;
    let likely = pickup.way_ml > pickup.capacity_ml;
    let mut left_ml = pickup.capacity_ml;
    for segment in pickup.station..pickup.until_water {
        let need = &given.fueling.segments[segment];
        let need_ml = if likely { need.way_ml } else { need.carry_ml };
        if need_ml > left_ml {
            let length_m = course.segments[segment].official_length_m;
            return course.stations[segment].official_m + length_m * left_ml / need_ml;
        }
        left_ml -= need_ml;
    }
    course.stations[pickup.until_water].official_m
}
