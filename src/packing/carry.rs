//! What flasks and pockets hold on leaving each supply point, and where that is not enough.

use crate::course::{Course, Role};
use crate::findings::{About, Finding, Weight};
use crate::fueling::Fueling;
use crate::inputs::Inputs;
use crate::inputs::stations_csv::StationKind;
use crate::units::{Phrase, Quantity};

use super::menu::{Meal, Pick, carry_ml, flasks_ml};
use super::supply::{Point, has_water, on_the_spot};
use super::{Pickup, Serving, Source};

/// Flasks are sold in steps of about this, millilitres; a missing volume is rounded up to it.
const FLASK_STEP_ML: f64 = 50.0;

/// What to leave each supply point with, gear apart.
pub(super) fn pickups(
    points: &[Point],
    meals: &[Meal],
    fueling: &Fueling,
    inputs: &Inputs,
) -> Vec<Pickup> {
    let capacity_ml = flasks_ml(inputs).unwrap_or(0.0);
    let pantry = &inputs.pantry;
    let mut pickups = Vec::with_capacity(points.len());
    for (index, (point, meal)) in points.iter().zip(meals).enumerate() {
        let later = || meals[index + 1..].iter().flat_map(|meal| &meal.picks);
        let brought = |pick: &&Pick| pick.source != Source::Station;
        let fluid_ml = carry_ml(fueling, point.station, point.until_water);
        let (here, take): (Vec<&Pick>, Vec<&Pick>) = meal
            .picks
            .iter()
            .partition(|pick| on_the_spot(&pantry[pick.food]));
        let kept_g: f64 = later()
            .filter(brought)
            .filter(|pick| pick.at <= point.station)
            .map(|pick| pick.mass_g(pantry))
            .sum();
        let servings = |picks: &[&Pick]| picks.iter().map(|p| p.serving(pantry)).collect();
        pickups.push(Pickup {
            station: point.station,
            until: point.until,
            until_water: point.until_water,
            fluid_ml,
            capacity_ml,
            take: servings(&take),
            for_later: together(
                later()
                    .filter(brought)
                    .filter(|pick| pick.at == point.station)
                    .map(|pick| pick.serving(pantry)),
            ),
            here: servings(&here),
            water_ml: if point.water {
                (fluid_ml - meal.supply.flask_ml).max(0.0)
            } else {
                0.0
            },
            food_g: kept_g + leaving_g(meal, pantry),
            carbs_g: (meal.supply.carbs_g, meal.want.carbs_g),
            sodium_mg: (meal.supply.sodium_mg, meal.want.sodium_mg),
            caffeine_mg: (meal.supply.caffeine_mg, meal.want.caffeine_mg),
            gear_on: Vec::new(),
            gear_off: Vec::new(),
        });
    }
    pickups
}

/// Mass in the pockets of what is eaten before the next supply point; drinks are in the flasks.
fn leaving_g(meal: &Meal, pantry: &[crate::inputs::Food]) -> f64 {
    use crate::inputs::pantry_csv::FoodKind;
    meal.picks
        .iter()
        .filter(|pick| pantry[pick.food].kind != FoodKind::Drink)
        .map(|pick| pick.mass_g(pantry))
        .sum()
}

/// Servings with those of the same food, source and station added up, in order of first mention.
pub(super) fn together(servings: impl IntoIterator<Item = Serving>) -> Vec<Serving> {
    let mut sums: Vec<Serving> = Vec::new();
    for serving in servings {
        let same = |s: &&mut Serving| {
            (&s.food, s.source, s.at) == (&serving.food, serving.source, serving.at)
        };
        match sums.iter_mut().find(same) {
            Some(sum) => sum.count += serving.count,
            None => sums.push(serving),
        }
    }
    sums
}

/// Where flasks or pockets are too small, or unknown.
pub(super) fn findings(
    course: &Course,
    pickups: &[Pickup],
    fueling: &Fueling,
    inputs: &Inputs,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    // what must be left at a station without water was carried out of an earlier one
    let mut filled_until = 0;
    let fills = pickups.iter().filter(|pickup| {
        let fills = pickup.station >= filled_until;
        if fills {
            filled_until = pickup.until_water;
        }
        fills
    });
    let fills: Vec<&Pickup> = fills.collect();
    if inputs.runner.flasks_ml.is_empty() {
        findings.extend(capacity_unknown(course, &fills));
    } else {
        let short = |pickup: &&&Pickup| pickup.fluid_ml > pickup.capacity_ml;
        findings.extend(
            fills
                .iter()
                .filter(short)
                .map(|pickup| carry_short(course, pickup, fueling, inputs)),
        );
    }
    if let Some(capacity) = &inputs.runner.food_capacity_g {
        findings.extend(pockets_short(course, pickups, capacity.value, inputs));
    }
    findings
}

/// Nobody said what the flasks hold: the most that is asked of them.
fn capacity_unknown(course: &Course, fills: &[&Pickup]) -> Option<Finding> {
    let most = fills
        .iter()
        .max_by(|a, b| a.fluid_ml.total_cmp(&b.fluid_ml))?;
    let ml = most.fluid_ml;
    (ml > 0.0).then(|| {
        let says = Phrase::new("the flasks are not known; the most to leave a station with is ")
            .and(Quantity::Volume { ml })
            .and(between(course, most.station, most.until_water));
        Finding::new("capacity-unknown", Weight::Note, About::Race, says).way_out(Phrase::new(
            "list `flasks_ml` under `[carry]` of the runner",
        ))
    })
}

/// More fluid than the flasks hold.
fn carry_short(course: &Course, pickup: &Pickup, fueling: &Fueling, inputs: &Inputs) -> Finding {
    let (need, have) = (pickup.fluid_ml, pickup.capacity_ml);
    let missing = need - have;
    let says = Phrase::new("to leave with ")
        .and(Quantity::Volume { ml: need })
        .and(between(course, pickup.station, pickup.until_water))
        .and(", but the flasks hold ")
        .and(Quantity::Volume { ml: have })
        .and(": ")
        .and(Quantity::Volume { ml: missing })
        .and(" too little");
    let flask_ml = (missing / FLASK_STEP_ML).ceil() * FLASK_STEP_ML;
    let mut finding = Finding::new(
        "carry-short",
        Weight::Failure,
        About::Segment(pickup.station),
        says,
    )
    .way_out(
        Phrase::new("carry one more flask of at least ").and(Quantity::Volume { ml: flask_ml }),
    );
    for middle in pickup.station + 1..pickup.until_water {
        let parts = carry_ml(fueling, pickup.station, middle).max(carry_ml(
            fueling,
            middle,
            pickup.until_water,
        ));
        if let Some(way) = fill_at(course, middle, parts, inputs) {
            finding = finding.way_out(way);
        }
    }
    finding.way_out(
        Phrase::new("find water on the way before ")
            .and(Quantity::Distance {
                m: empty_at_m(course, pickup, fueling),
            })
            .and(", where the flasks are empty at the planned rate; treat it"),
    )
}

/// Filling up at a station in between that is not known to have water.
fn fill_at(course: &Course, middle: usize, parts_ml: f64, inputs: &Inputs) -> Option<Phrase> {
    let station = &course.stations[middle];
    let then = |way: Phrase| {
        way.and(": then ")
            .and(Quantity::Volume { ml: parts_ml })
            .and(" is enough to leave with")
    };
    if station.crew && inputs.crew.is_none() {
        let way = format!("ask the crew to bring water to `{}`", station.name);
        return Some(then(Phrase::new(way)));
    }
    let aid = station.role == Role::Between(StationKind::Aid);
    (aid && !has_water(station)).then(|| {
        let name = &station.name;
        let way = format!("fill at `{name}` if it has water, and add `water` to its offers");
        then(Phrase::new(way))
    })
}

/// Official distance at which full flasks are empty, drunk evenly over each segment.
fn empty_at_m(course: &Course, pickup: &Pickup, fueling: &Fueling) -> f64 {
    let mut left_ml = pickup.capacity_ml;
    for segment in pickup.station..pickup.until_water {
        let need_ml = fueling.segments[segment].carry_ml;
        if need_ml > left_ml {
            let length_m = course.segments[segment].official_length_m;
            return course.stations[segment].official_m + length_m * left_ml / need_ml;
        }
        left_ml -= need_ml;
    }
    course.stations[pickup.until_water].official_m
}

/// More food than the pockets hold, at the worst point of each stretch between own supplies.
fn pockets_short(
    course: &Course,
    pickups: &[Pickup],
    capacity_g: f64,
    inputs: &Inputs,
) -> Vec<Finding> {
    let crew = inputs.crew.is_some();
    let refilled =
        |pickup: &Pickup| super::supply::own_source(course, pickup.station, crew).is_some();
    let mut worst: Vec<&Pickup> = Vec::new();
    for pickup in pickups.iter() {
        match worst.last_mut() {
            Some(last) if !refilled(pickup) => {
                if last.food_g < pickup.food_g {
                    *last = pickup;
                }
            }
            _ => worst.push(pickup),
        }
    }
    let over = worst.into_iter().filter(|p| p.food_g > capacity_g);
    over.map(|pickup| pocket_finding(course, pickup, capacity_g, crew))
        .collect()
}

fn pocket_finding(course: &Course, pickup: &Pickup, capacity_g: f64, crew: bool) -> Finding {
    let from = &course.stations[pickup.station].name;
    let food_g = pickup.food_g;
    let says = format!(
        "{food_g:.0} g of food to leave `{from}` with, but the pockets hold {capacity_g:.0} g"
    );
    let about = About::Station(pickup.station);
    let mut finding = Finding::new("pockets-short", Weight::Warning, about, Phrase::new(says));
    let later = &course.stations[pickup.station + 1..course.stations.len() - 1];
    if let (Some(station), false) = (later.iter().find(|s| s.crew), crew) {
        let way = format!("have the crew bring food to `{}`", station.name);
        finding = finding.way_out(Phrase::new(way));
    }
    finding
        .way_out(Phrase::new(
            "choose foods with more carbohydrate for their mass",
        ))
        .way_out(Phrase::new(
            "eat more of what the stations offer, once a long run has tested it",
        ))
}

/// ` from X to Y`, in words.
fn between(course: &Course, from: usize, to: usize) -> String {
    let name = |station: usize| &course.stations[station].name;
    format!(" from `{}` to `{}`", name(from), name(to))
}
