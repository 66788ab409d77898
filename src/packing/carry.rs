//! Contents of flasks and pockets on leaving each supply point, and flasks that are too small.

use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::pantry_csv::Food;
use crate::units::{Phrase, Quantity};
use crate::words::and_more;

use super::fills;
use super::given::Given;
use super::meals::{Meal, Pick};
use super::menu::Feeding;
use super::packed::{Flask, Pickup, Serving};
use super::refills::{fluid_ways, runs_dry};
use super::stores::{carry_ml, way_ml};
use super::ways::{between, likewise};

/// Fills and servings to leave each supply point with, gear apart.
pub(super) fn pickups(given: &Given<'_>, day: &Feeding<'_>) -> Vec<Pickup> {
    let pantry: &[Food] = &day.stores.pantry;
    let capacity_ml = day.stores.capacity_ml().unwrap_or(0.0);
    let reserve_g = day.reserve.map_or(0.0, |pick| pick.mass_g(pantry));
    let mut pickups = Vec::with_capacity(day.points.len());
    for (index, (point, meal)) in day.points.iter().zip(&day.meals).enumerate() {
        let later = || day.meals[index + 1..].iter().flat_map(|meal| &meal.picks);
        let carry_ml = carry_ml(given.fueling, point.station, point.until_water);
        let (here, take): (Vec<&Pick>, Vec<&Pick>) =
            meal.picks.iter().partition(|pick| pick.on_the_spot);
        let kept_g: f64 = later()
            .filter(|pick| pick.at <= point.station)
            .map(|pick| pick.mass_g(pantry))
            .sum();
        let servings = |picks: &[&Pick]| picks.iter().map(|p| p.serving(pantry)).collect();
        let flasks = match point.water {
            true => fills::filled(day.stores, &meal.mixed, carry_ml, day.beats[index].hours),
            false => Vec::new(),
        };
        let filled_ml: f64 = flasks.iter().map(|flask| flask.fluid_ml).sum();
        let fluid_ml = match flasks.is_empty() {
            true if point.water && day.stores.flasks_ml.is_empty() => fills::poured_ml(carry_ml),
            true => carry_ml,
            false => filled_ml,
        };
        let mut pickup = Pickup {
            station: point.station,
            until: point.until,
            until_water: point.until_water,
            runs_dry: None,
            fluid_ml,
            carry_ml,
            way_ml: way_ml(given.fueling, point.station, point.until_water),
            drink_ml: meal.want.fluid_ml,
            capacity_ml,
            take: servings(&take),
            for_later: together(
                later()
                    .filter(|pick| pick.at == point.station)
                    .map(|pick| pick.serving(pantry)),
            ),
            here: servings(&here),
            reserve: match index {
                0 => day
                    .reserve
                    .iter()
                    .map(|pick| pick.serving(pantry))
                    .collect(),
                _ => Vec::new(),
            },
            water_ml: if point.water {
                water_ml(&flasks, fluid_ml - meal.mixed.held_ml)
            } else {
                0.0
            },
            flasks,
            mix_ml: (meal.mixed.held_ml, meal.mixed.drunk_ml),
            spot: meal.supply.spot,
            food_water_ml: meal.supply.food_water_ml,
            food_g: reserve_g + kept_g + leaving_g(meal, pantry),
            gear_g: 0.0,
            energy_kcal: meal.supply.energy_kcal,
            carbs_g: (meal.supply.carbs_g, meal.want.carbs_g),
            sodium_mg: (meal.supply.sodium_mg, meal.want.sodium_mg),
            caffeine_mg: (meal.supply.caffeine_mg, meal.want.caffeine_mg),
            gear_on: Vec::new(),
            gear_off: Vec::new(),
        };
        let dry = filled_ml > 0.0 && is_short(&pickup);
        pickup.runs_dry = dry.then(|| runs_dry(given, &pickup));
        pickups.push(pickup);
    }
    pickups
}

/// Plain water in the flasks, or what is not mix where flasks are not known.
fn water_ml(flasks: &[Flask], not_mix_ml: f64) -> f64 {
    if flasks.is_empty() {
        return not_mix_ml.max(0.0);
    }
    let plain = flasks.iter().filter(|flask| flask.drink.is_none());
    plain.map(|flask| flask.fluid_ml).sum()
}

/// Mass in the pockets of what is eaten before the next supply point; drinks are in the flasks.
fn leaving_g(meal: &Meal, pantry: &[Food]) -> f64 {
    meal.picks
        .iter()
        .filter(|pick| !pick.fills_flasks)
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

/// Departures for which flasks are too small, or unknown: one finding of a kind with the ways out,
/// or each departure alone and without any.
pub(super) fn findings(
    given: &Given<'_>,
    day: &Feeding<'_>,
    pickups: &[Pickup],
    together: bool,
) -> Vec<Finding> {
    // what must be left at a station without water was carried out of an earlier one
    let mut filled_until = 0;
    let fills = pickups.iter().filter(|pickup| {
        let fills = pickup.station >= filled_until;
        if fills {
            filled_until = pickup.until_water;
        }
        fills
    });
    let ahead = |pickup: &&Pickup| pickup.station >= given.behind();
    let fills: Vec<&Pickup> = fills.filter(ahead).collect();
    if day.stores.flasks_ml.is_empty() {
        return capacity_unknown(given, &fills).into_iter().collect();
    }
    let (mut short, tight): (Vec<&Pickup>, Vec<&Pickup>) = (fills.iter().copied())
        .filter(|pickup| pickup.carry_ml > pickup.capacity_ml)
        .partition(|pickup| is_short(pickup));
    if !together {
        let each = short.iter().map(|pickup| carry_short(given, &[*pickup]));
        return each.flatten().collect();
    }
    // a day of much sweat is worth ways out only where it asks for most
    let missing_ml = |pickup: &Pickup| pickup.way_ml - pickup.capacity_ml;
    short.sort_by(|a, b| missing_ml(b).total_cmp(&missing_ml(a)));
    let found = match short.is_empty() {
        true => carry_tight(given, &tight).map(|(finding, most)| (finding, vec![most])),
        false => carry_short(given, &short).map(|finding| (finding, short)),
    };
    let with_ways = |(finding, mut pickups): (Finding, Vec<&Pickup>)| {
        pickups.sort_by_key(|pickup| pickup.station);
        let ways = fluid_ways(given, day, &pickups).into_iter();
        ways.fold(finding, Finding::way_out)
    };
    found.map(with_ways).into_iter().collect()
}

/// This much less than is likely drunk is within what thirst can do without, as a share of what the
/// flasks hold (our choice).
const TO_SPARE: f64 = 0.1;

/// True where the flasks hold clearly less than is likely drunk.
fn is_short(pickup: &Pickup) -> bool {
    pickup.way_ml > (1.0 + TO_SPARE) * pickup.capacity_ml
}

/// The flasks hold what is likely drunk, but not what a day of much sweat may ask for: where most
/// is missing.
fn carry_tight<'a>(given: &Given<'_>, tight: &[&'a Pickup]) -> Option<(Finding, &'a Pickup)> {
    let missing_ml = |pickup: &Pickup| pickup.carry_ml - pickup.capacity_ml;
    let most = (tight.iter().copied())
        .max_by(|a, b| missing_ml(a).total_cmp(&missing_ml(b)))
        .filter(|pickup| missing_ml(pickup) >= fills::SIP_ML)?;
    let says = Phrase::new("the flasks hold ")
        .and(Quantity::Volume {
            ml: most.capacity_ml,
        })
        .and(between(given.course, most.station, most.until_water))
        .and(": you will likely drink ")
        .and(Quantity::Volume { ml: most.way_ml })
        .and(", or ")
        .and(Quantity::Volume { ml: most.carry_ml })
        .and(" if you sweat a lot")
        .and(and_more(tight.len() - 1, "stretch", "stretches"));
    let weight = match tight.iter().any(|p| p.way_ml > p.capacity_ml) {
        true => Weight::Warning,
        false => Weight::Note,
    };
    let about = About::Segment(most.station);
    let others = tight.iter().map(|p| About::Segment(p.station));
    let others = others.filter(|other| *other != about);
    let finding = Finding::new(FindingKind::CarryTight, weight, about, says).also(others);
    Some((finding, most))
}

/// Nobody said what the flasks hold: the most that is asked of them.
fn capacity_unknown(given: &Given<'_>, fills: &[&Pickup]) -> Option<Finding> {
    let most = fills
        .iter()
        .max_by(|a, b| a.carry_ml.total_cmp(&b.carry_ml))?;
    let ml = most.fluid_ml;
    (ml > 0.0).then(|| {
        let says = Phrase::new("the flasks are not known; the most to leave a station with is ")
            .and(Quantity::Volume { ml })
            .and(between(given.course, most.station, most.until_water));
        let list = Phrase::new("list `flasks_ml` under `[carry]` of the runner");
        if most.carry_ml <= ml {
            let kind = FindingKind::CapacityUnknown;
            return Finding::of_race(kind, Weight::Note, says).way_out(list);
        }
        let says = says
            .and(": you will likely drink ")
            .and(Quantity::Volume { ml: most.way_ml })
            .and(", or ")
            .and(Quantity::Volume { ml: most.carry_ml })
            .and(" if you sweat a lot");
        let weight = match most.way_ml > ml {
            true => Weight::Warning,
            false => Weight::Note,
        };
        Finding::of_race(FindingKind::CapacityUnknown, weight, says)
            .way_out(Phrase::new("find water on the way; treat it"))
            .way_out(list)
    })
}

/// More fluid than the flasks hold, where most is missing first.
fn carry_short(given: &Given<'_>, short: &[&Pickup]) -> Option<Finding> {
    let (worst, others) = short.split_first()?;
    let (need, have) = (worst.way_ml, worst.capacity_ml);
    let says = Phrase::new(Quantity::Volume { ml: need })
        .and(" is likely drunk")
        .and(between(given.course, worst.station, worst.until_water))
        .and(", but the flasks hold ")
        .and(Quantity::Volume { ml: have })
        .and(": ")
        .and(Quantity::Volume { ml: need - have })
        .and(" short");
    let other = |pickup: &&Pickup| {
        Phrase::new(between(given.course, pickup.station, pickup.until_water))
            .and(" (")
            .and(Quantity::Volume { ml: pickup.way_ml })
            .and(")")
    };
    let says = likewise(says, others.iter().map(other));
    let about = About::Segment(worst.station);
    let finding = Finding::new(FindingKind::CarryShort, Weight::Failure, about, says);
    Some(finding.also(others.iter().map(|p| About::Segment(p.station))))
}
