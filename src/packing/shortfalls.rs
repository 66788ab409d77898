//! Needs that the servings do not meet, and what to do about it.

use crate::course::Course;
use crate::findings::{About, Finding, Weight};
use crate::inputs::Inputs;
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::units::{Phrase, Quantity};

use super::cost::{CARBS_BAND, SODIUM_BAND, STRONGEST_G_PER_ML};
use super::menu::Meal;
use super::supply::{Point, undescribed};

/// Below this share of a need a shortfall is a warning; above, a note.
const CARBS_WARNING: f64 = 0.75;
/// The same for sodium, where short-term need is far less certain.
const SODIUM_WARNING: f64 = 0.5;

/// Missing less than this is rounding to whole servings on a short stretch, not a shortfall.
const CARBS_ROUNDING_G: f64 = 10.0;
/// The same for sodium: a quarter of a gram of salt.
const SODIUM_ROUNDING_MG: f64 = 100.0;

/// What the menu does not supply, and what is odd about it.
pub(super) fn findings(
    course: &Course,
    points: &[Point],
    meals: &[Meal],
    inputs: &Inputs,
) -> Vec<Finding> {
    if inputs.pantry.is_empty() {
        let says = Phrase::new("there is no pantry: needs are shown, servings are not chosen");
        return vec![
            Finding::new("no-pantry", Weight::Note, About::Race, says)
                .way_out(Phrase::new("list your foods in `pantry.csv`")),
        ];
    }
    let mut findings = Vec::new();
    for (point, meal) in points.iter().zip(meals) {
        let stretch = Stretch {
            course,
            point,
            meal,
            pantry: &inputs.pantry,
        };
        findings.extend(stretch.carbs());
        findings.extend(stretch.sodium());
        findings.extend(stretch.sodium_high());
        findings.extend(stretch.caffeine());
    }
    findings.extend(untested(meals, &inputs.pantry));
    findings.extend(strong_drinks(meals, &inputs.pantry));
    findings
}

/// One stretch with what is eaten on it.
struct Stretch<'a> {
    course: &'a Course,
    point: &'a Point,
    meal: &'a Meal,
    pantry: &'a [Food],
}

impl Stretch<'_> {
    fn carbs(&self) -> Option<Finding> {
        let (have, need) = (self.meal.supply.carbs_g, self.meal.want.carbs_g);
        if have >= need * (1.0 - CARBS_BAND) || need - have < CARBS_ROUNDING_G {
            return None;
        }
        let says = format!(
            "{need:.0} g of carbohydrate needed {}, but the servings supply {have:.0} g",
            self.between()
        );
        let weight = weight(have, need, CARBS_WARNING);
        let mut finding = self.finding("carbs-short", weight, says);
        for way in self.more_of(need - have, |food| food.carbs_g) {
            finding = finding.way_out(way);
        }
        for way in self.at_the_station() {
            finding = finding.way_out(way);
        }
        Some(finding.way_out(Phrase::new(
            "add foods to the pantry, or plan with a lower `carbs_g_per_h`",
        )))
    }

    fn sodium(&self) -> Option<Finding> {
        let (have, need) = (self.meal.supply.sodium_mg, self.meal.want.sodium_mg);
        if have >= need * (1.0 - SODIUM_BAND) || need - have < SODIUM_ROUNDING_MG {
            return None;
        }
        let says = format!(
            "{need:.0} mg of sodium planned {}, but the servings supply {have:.0} mg",
            self.between()
        );
        let weight = weight(have, need, SODIUM_WARNING);
        let mut finding = self.finding("sodium-short", weight, says);
        for way in self.more_of(need - have, |food| food.sodium_mg) {
            finding = finding.way_out(way);
        }
        Some(finding.way_out(Phrase::new(
            "add a salty food or a salt item of small servings to the pantry",
        )))
    }

    fn sodium_high(&self) -> Option<Finding> {
        let (have, loss) = (self.meal.supply.sodium_mg, self.meal.want.sodium_loss_mg);
        (have > loss * (1.0 + SODIUM_BAND)).then(|| {
            let says = format!(
                "the food alone holds {have:.0} mg of sodium {}, more than the {loss:.0} mg that \
                 sweat is predicted to lose",
                self.between()
            );
            self.finding("sodium-high", Weight::Note, says)
                .way_out(Phrase::new(
                    "take no salt items here; choose less salty food",
                ))
        })
    }

    fn caffeine(&self) -> Option<Finding> {
        let (have, planned) = (self.meal.supply.caffeine_mg, self.meal.want.caffeine_mg);
        (have < planned * 0.5).then(|| {
            let says = format!(
                "{planned:.0} mg of caffeine planned {}, but the servings supply {have:.0} mg",
                self.between()
            );
            let mut finding = self.finding("caffeine-short", Weight::Note, says);
            for way in self.more_of(planned - have, |food| food.caffeine_mg) {
                finding = finding.way_out(way);
            }
            finding.way_out(Phrase::new(
                "add a tested food to the pantry whose caffeine fits the dose",
            ))
        })
    }

    /// How many more of foods that ran out would make up for what is missing.
    fn more_of(&self, missing: f64, holds: impl Fn(&Food) -> f64) -> Vec<Phrase> {
        let mut ways = Vec::new();
        for &index in self.meal.ran_out.iter().take(2) {
            let food = &self.pantry[index];
            let each = holds(food);
            if each * 10.0 > missing {
                let servings = (missing / each).ceil();
                let name = &food.name.value;
                let way = format!("have {servings:.0} more of `{name}` in stock");
                ways.push(Phrase::new(way));
            }
        }
        ways
    }

    /// What the station offers that nobody described or tested.
    fn at_the_station(&self) -> Vec<Phrase> {
        let station = &self.course.stations[self.point.station];
        let mut ways = Vec::new();
        if let Some(offer) = undescribed(station, self.pantry).first() {
            let name = &station.name;
            let way = format!("`{name}` offers `{offer}`: describe it in the pantry");
            ways.push(Phrase::new(way));
        }
        let untried = |index: &&usize| {
            let food = &self.pantry[**index];
            !food.tested && food.carbs_g > 0.0 && food.caffeine_mg == 0.0
        };
        if let Some(&index) = self.point.offers.iter().find(untried) {
            let name = &self.pantry[index].name.value;
            let way = format!("`{}` offers `{name}`: try it on a long run", station.name);
            ways.push(Phrase::new(way));
        }
        ways
    }

    fn finding(&self, kind: &'static str, weight: Weight, says: String) -> Finding {
        let about = About::Segment(self.point.station);
        Finding::new(kind, weight, about, Phrase::new(says))
    }

    fn between(&self) -> String {
        let name = |station: usize| &self.course.stations[station].name;
        let (from, to) = (name(self.point.station), name(self.point.until));
        format!("from `{from}` to `{to}`")
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
            "untested-food",
            Weight::Note,
            About::Race,
            Phrase::new(says),
        )
        .way_out(Phrase::new("eat it on a long run before the race"))
    })
}

/// Drinks in the menu that are stronger than recommended.
fn strong_drinks(meals: &[Meal], pantry: &[Food]) -> Vec<Finding> {
    let strong = |food: &&Food| {
        food.kind == FoodKind::Drink && food.carbs_g > STRONGEST_G_PER_ML * food.water_ml * 1.005
    };
    let finding = |food: &Food| {
        let name = &food.name.value;
        let says = if food.water_ml > 0.0 {
            let percent = food.carbs_g / food.water_ml * 100.0;
            format!(
                "`{name}` is {percent:.0} % carbohydrate: above 8 % a drink may leave the stomach slowly"
            )
        } else {
            format!("`{name}` is a drink without water: its strength is not known")
        };
        Finding::new("drink-strong", Weight::Note, About::Race, Phrase::new(says)).way_out(
            Phrase::new("mix a serving with ").and(Quantity::Volume {
                ml: (food.carbs_g / STRONGEST_G_PER_ML).ceil(),
            }),
        )
    };
    eaten(meals, pantry)
        .into_iter()
        .filter(strong)
        .map(finding)
        .collect()
}
