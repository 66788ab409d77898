//! Needs that the servings do not meet, and what to do about it.

use crate::course::{Station, StationRole};
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::inputs::stations_csv::StationKind;
use crate::units::{Phrase, Quantity};
use crate::words::and_more;

use super::caffeine;
use super::given::Given;
use super::meals::Meal;
use super::menu::Feeding;
use super::needs::{carbs_met, sodium_met};
use super::salt;
use super::stores::{STRONGEST_G_PER_ML, WEAKEST_G_PER_ML, water_ml};
use super::ways::{Attempt, Cause, between, likewise};

/// Below this share of a need a shortfall is a warning; above, a note.
const CARBS_WARNING: f64 = 0.75;

/// Needs that the menu does not supply, and oddities of it.
pub(super) fn findings(given: &Given<'_>, day: &Feeding<'_>) -> Vec<Finding> {
    let pantry: &[Food] = &day.stores.pantry;
    if pantry.is_empty() {
        let says = Phrase::new("there is no pantry: needs are shown, servings are not chosen");
        return vec![
            Finding::of_race(FindingKind::NoPantry, Weight::Note, says)
                .way_out(Phrase::new("list your foods in `pantry.csv`")),
        ];
    }
    let mut findings = Shortfalls { given, day }.all();
    findings.extend(offers_unknown(given));
    findings.extend(caffeine::short(given, day));
    findings.extend(untested(&day.meals, pantry));
    findings.extend(odd_drinks(&day.meals, pantry));
    findings
}

/// Aid stations of which nobody said what they have to eat: water is taken as there, food is not.
fn offers_unknown(given: &Given<'_>) -> Option<Finding> {
    let unknown = |station: &&Station| {
        let is_aid = station.role == StationRole::Between(StationKind::Aid);
        is_aid && station.has_water && station.offers.is_empty()
    };
    let mut unknown = given.course.stations.iter().filter(unknown);
    let first = &unknown.next()?.name;
    let others = and_more(unknown.count(), "aid station", "aid stations");
    let says = Phrase::new(format!(
        "what there is to eat is not known at `{first}`{others}: planned are water there, and food \
         of your own"
    ));
    let (kind, about) = (FindingKind::OffersUnknown, About::Race);
    Some(
        Finding::new(kind, Weight::Note, about, says).way_out(Phrase::new(
            "write what they have under `offers` in `stations.csv`, such as `water; cola; broth`",
        )),
    )
}

/// Food on the stretches ahead, beside the need.
struct Shortfalls<'a> {
    given: &'a Given<'a>,
    day: &'a Feeding<'a>,
}

impl Shortfalls<'_> {
    /// One finding a cause, where most is missing first.
    fn all(&self) -> Vec<Finding> {
        let carbs = |index: &usize| {
            let meal = &self.day.meals[*index];
            !carbs_met(meal.supply.carbs_g, meal.want.carbs_g)
        };
        let mut causes: Vec<(Cause, Vec<usize>)> = Vec::new();
        for index in self.ahead().filter(carbs) {
            let cause = Attempt::of(self.given, self.day, index).cause();
            match causes.iter_mut().find(|(same, _)| *same == cause) {
                Some((_, stretches)) => stretches.push(index),
                None => causes.push((cause, vec![index])),
            }
        }
        let carbs = causes.into_iter().map(|(cause, at)| self.carbs(cause, at));
        let mut findings: Vec<Finding> = carbs.collect();
        findings.extend(self.sodium());
        findings
    }

    /// Stretches that are not behind the runner.
    fn ahead(&self) -> impl Iterator<Item = usize> {
        let behind = self.given.behind();
        let points = self.day.points.iter().enumerate();
        let ahead = points.filter(move |(_, point)| point.station >= behind);
        ahead.map(|(index, _)| index)
    }

    /// Carbohydrate that is missing for one cause.
    fn carbs(&self, cause: Cause, mut stretches: Vec<usize>) -> Finding {
        let amounts = |meal: &Meal| (meal.supply.carbs_g, meal.want.carbs_g);
        let missing = |at: usize| {
            let (have, need) = amounts(&self.day.meals[at]);
            need - have
        };
        stretches.sort_by(|a, b| missing(*b).total_cmp(&missing(*a)));
        let worst = Attempt::of(self.given, self.day, stretches[0]);
        let (have, need) = amounts(&self.day.meals[stretches[0]]);
        let says = Phrase::new(format!(
            "{need:.0} g of carbohydrate needed{}, but the servings supply {have:.0} g{}",
            self.between(stretches[0]),
            worst.cause_words(cause)
        ));
        let kind = match cause {
            Cause::Pockets => FindingKind::PocketsShort,
            _ => FindingKind::CarbsShort,
        };
        let far = |at: &usize| {
            let (have, need) = amounts(&self.day.meals[*at]);
            have < need * CARBS_WARNING
        };
        let weight = match stretches.iter().any(far) {
            true => Weight::Warning,
            false => Weight::Note,
        };
        let ways = worst.carbs_ways(cause).into_iter();
        let finding = self.finding(kind, weight, says, &stretches, &amounts);
        ways.fold(finding, Finding::way_out)
    }

    /// Sodium that is missing; never more than a note, for a need of some hours is far from
    /// certain.
    fn sodium(&self) -> Option<Finding> {
        let amounts = |meal: &Meal| (meal.supply.sodium_mg, meal.want.sodium_mg);
        let short = |index: &usize| {
            let (have, need) = amounts(&self.day.meals[*index]);
            !sodium_met(have, need) && salt::is_short(&self.day.beats, &self.day.meals, *index)
        };
        let stretches: Vec<usize> = self.ahead().filter(short).collect();
        let first = *stretches.first()?;
        let (have, need) = amounts(&self.day.meals[first]);
        let says = Phrase::new(format!(
            "{need:.0} mg of sodium planned{}, but the servings supply {have:.0} mg",
            self.between(first)
        ));
        let kind = FindingKind::SodiumShort;
        let finding = self.finding(kind, Weight::Note, says, &stretches, &amounts);
        let ways = Attempt::of(self.given, self.day, first).sodium_ways();
        Some(ways.into_iter().fold(finding, Finding::way_out))
    }

    /// Words on the first of some stretches, with the others after it.
    fn finding(
        &self,
        kind: FindingKind,
        weight: Weight,
        says: Phrase,
        stretches: &[usize],
        amounts: &dyn Fn(&Meal) -> (f64, f64),
    ) -> Finding {
        let other = |at: &usize| {
            let (have, need) = amounts(&self.day.meals[*at]);
            Phrase::new(format!("{} ({have:.0} of {need:.0})", self.between(*at)))
        };
        let mut about = stretches
            .iter()
            .map(|at| About::Segment(self.day.points[*at].station));
        let first = about.next().unwrap_or(About::Race);
        let says = likewise(says, stretches.iter().skip(1).map(other));
        Finding::new(kind, weight, first, says).also(about)
    }

    fn between(&self, index: usize) -> String {
        let point = &self.day.points[index];
        between(self.given.course, point.station, point.until)
    }
}

/// Foods in the menu, each once, in the order of the pantry.
fn eaten<'a>(meals: &[Meal], pantry: &'a [Food]) -> Vec<&'a Food> {
    let chosen = |index: usize| {
        let mut picks = meals.iter().flat_map(|meal| &meal.picks);
        picks.any(|pick| pick.food == index)
    };
    let foods = pantry.iter().enumerate();
    foods.filter(|(i, _)| chosen(*i)).map(|(_, f)| f).collect()
}

/// Foods planned that no long run has tested.
fn untested(meals: &[Meal], pantry: &[Food]) -> Option<Finding> {
    let names: Vec<String> = eaten(meals, pantry)
        .into_iter()
        .filter(|food| !food.tested)
        .map(|food| format!("`{}`", food.name.value))
        .collect();
    (!names.is_empty()).then(|| {
        let says = format!(
            "planned, but never tested on a long run: {}",
            names.join(", ")
        );
        Finding::of_race(FindingKind::UntestedFood, Weight::Note, Phrase::new(says))
            .way_out(Phrase::new("eat it on a long run before the race"))
    })
}

/// Drinks in the menu that are stronger or weaker by their label than recommended.
fn odd_drinks(meals: &[Meal], pantry: &[Food]) -> Vec<Finding> {
    let finding = |food: &Food| {
        let name = &food.name.value;
        let odd =
            |kind: FindingKind, says: Phrase| Some(Finding::of_race(kind, Weight::Note, says));
        let percent = food.carbs_g / food.water_ml * 100.0;
        if food.water_ml * STRONGEST_G_PER_ML * 1.005 < food.carbs_g {
            let strength = match food.water_ml > 0.0 {
                true => format!("is {percent:.0} % carbohydrate"),
                false => "names no water".to_owned(),
            };
            let says = Phrase::new(format!("`{name}` {strength}: it is planned with "))
                .and(Quantity::Volume { ml: water_ml(food) })
                .and(" a serving, for above 8 % a drink may leave the stomach slowly");
            return odd(FindingKind::DrinkStrong, says);
        }
        if food.carbs_g > 0.0 && food.carbs_g < WEAKEST_G_PER_ML * food.water_ml {
            let says = Phrase::new(format!(
                "`{name}` is {percent:.1} % carbohydrate: below 3 % it is flavoured water"
            ));
            return odd(FindingKind::DrinkWeak, says);
        }
        None
    };
    eaten(meals, pantry)
        .into_iter()
        .filter(|food| food.kind == FoodKind::Drink)
        .filter_map(finding)
        .collect()
}
