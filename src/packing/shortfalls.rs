//! Needs that the servings do not meet, and what to do about it.

use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::units::{Phrase, Quantity};

use super::caffeine;
use super::given::Given;
use super::meals::Meal;
use super::menu::Day;
use super::needs::{carbs_met, sodium_met};
use super::salt;
use super::stores::{STRONGEST_G_PER_ML, WEAKEST_G_PER_ML, water_ml};
use super::ways::{Attempt, between};

/// Below this share of a need a shortfall is a warning; above, a note.
const CARBS_WARNING: f64 = 0.75;
/// The same for sodium, where short-term need is far less certain.
const SODIUM_WARNING: f64 = 0.5;

/// Needs that the menu does not supply, and oddities of it.
pub(super) fn findings(given: &Given<'_>, day: &Day<'_>) -> Vec<Finding> {
    let pantry: &[Food] = &day.stores.pantry;
    if pantry.is_empty() {
        let says = Phrase::new("there is no pantry: needs are shown, servings are not chosen");
        return vec![
            Finding::new(FindingKind::NoPantry, Weight::Note, About::Race, says)
                .way_out(Phrase::new("list your foods in `pantry.csv`")),
        ];
    }
    let mut findings = Vec::new();
    for index in 0..day.points.len() {
        let stretch = ShortStretch { given, day, index };
        findings.extend(stretch.carbs());
        findings.extend(stretch.sodium());
    }
    findings.extend(caffeine::short(given, day));
    findings.extend(untested(&day.meals, pantry));
    findings.extend(odd_drinks(&day.meals, pantry));
    findings
}

/// One stretch with what is eaten on it.
struct ShortStretch<'a> {
    given: &'a Given<'a>,
    day: &'a Day<'a>,
    index: usize,
}

impl ShortStretch<'_> {
    fn carbs(&self) -> Option<Finding> {
        let (have, need) = (self.meal().supply.carbs_g, self.meal().want.carbs_g);
        if carbs_met(have, need) {
            return None;
        }
        let attempt = Attempt::of(self.given, self.day, self.index);
        let says = format!(
            "{need:.0} g of carbohydrate needed{}, but the servings supply {have:.0} g",
            self.between()
        );
        // the kind says what stands in the way
        let (kind, says) = match (attempt.pockets_would_do(), self.day.stores.pockets_g) {
            (Some(_), Some(pockets_g)) => (
                FindingKind::PocketsShort,
                format!("{says}: the pockets hold {pockets_g:.0} g of food"),
            ),
            _ => (FindingKind::CarbsShort, says),
        };
        let finding = self.finding(kind, weight(have, need, CARBS_WARNING), says);
        let ways = attempt.carbs_ways();
        Some(ways.into_iter().fold(finding, Finding::way_out))
    }

    fn sodium(&self) -> Option<Finding> {
        let (have, need) = (self.meal().supply.sodium_mg, self.meal().want.sodium_mg);
        if sodium_met(have, need) || !salt::is_short(&self.day.meals[..=self.index]) {
            return None;
        }
        let says = format!(
            "{need:.0} mg of sodium planned{}, but the servings supply {have:.0} mg",
            self.between()
        );
        let finding = self.finding(
            FindingKind::SodiumShort,
            weight(have, need, SODIUM_WARNING),
            says,
        );
        let ways = Attempt::of(self.given, self.day, self.index).sodium_ways();
        Some(ways.into_iter().fold(finding, Finding::way_out))
    }

    fn meal(&self) -> &Meal {
        &self.day.meals[self.index]
    }

    fn finding(&self, kind: FindingKind, weight: Weight, says: String) -> Finding {
        let about = About::Segment(self.day.points[self.index].station);
        Finding::new(kind, weight, about, Phrase::new(says))
    }

    fn between(&self) -> String {
        let point = &self.day.points[self.index];
        between(self.given.course, point.station, point.until)
    }
}

fn weight(have: f64, need: f64, share: f64) -> Weight {
    if have < need * share {
        Weight::Warning
    } else {
        Weight::Note
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
        Finding::new(
            FindingKind::UntestedFood,
            Weight::Note,
            About::Race,
            Phrase::new(says),
        )
        .way_out(Phrase::new("eat it on a long run before the race"))
    })
}

/// Drinks in the menu that are stronger or weaker by their label than recommended.
fn odd_drinks(meals: &[Meal], pantry: &[Food]) -> Vec<Finding> {
    let finding = |food: &Food| {
        let name = &food.name.value;
        let odd = |kind: FindingKind, says: Phrase| {
            Some(Finding::new(kind, Weight::Note, About::Race, says))
        };
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
