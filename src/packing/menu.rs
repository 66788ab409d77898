//! The menu of the race: what is on offer for each stretch, chosen stretch by stretch while the
//! runner's own stock goes down.

use crate::fueling::Fueling;
use crate::inputs::Inputs;
use crate::inputs::pantry_csv::{Food, FoodKind};

use super::choose::{Candidate, Choice, Room, Supply, Want, choose};
use super::supply::{Point, on_the_spot};
use super::{Serving, Source};

/// What is eaten on one stretch.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Meal {
    /// What was wanted.
    pub(super) want: Want,
    /// What the servings supply.
    pub(super) supply: Supply,
    /// The servings.
    pub(super) picks: Vec<Pick>,
    /// Own foods that ran out and would have helped, by index.
    pub(super) ran_out: Vec<usize>,
}

/// Servings of one food for one stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pick {
    /// The food, by index in the pantry.
    pub(super) food: usize,
    /// How many.
    pub(super) count: u32,
    /// Where they come from.
    pub(super) source: Source,
    /// Where they come into the runner's hands.
    pub(super) at: usize,
}

impl Pick {
    /// What the servings weigh in the pockets, grams.
    pub(super) fn mass_g(&self, pantry: &[Food]) -> f64 {
        let food = &pantry[self.food];
        if on_the_spot(food) {
            return 0.0;
        }
        f64::from(self.count) * food.mass_g
    }

    /// As it is printed.
    pub(super) fn serving(&self, pantry: &[Food]) -> Serving {
        Serving {
            food: pantry[self.food].name.value.clone(),
            count: self.count,
            source: self.source,
            at: self.at,
        }
    }
}

/// The needs from a supply point to the next, added up.
pub(super) fn want(point: &Point, fueling: &Fueling) -> Want {
    let mut want = Want::default();
    for need in &fueling.segments[point.station..point.until] {
        want.carbs_g += need.carbs_g;
        want.sodium_mg += need.sodium_mg;
        want.sodium_loss_mg += need.sodium_loss_mg;
        want.fluid_ml += need.fluid_ml;
        want.fluid_ceiling_ml += need.sweat_l_per_h * need.hours * 1000.0;
        want.caffeine_mg += need.caffeine_mg;
    }
    // needs are rounded nowhere, but a plan may equal its ceiling to the last digit
    want.fluid_ceiling_ml = want.fluid_ceiling_ml.max(want.fluid_ml);
    want
}

/// Chooses the servings of every stretch; one meal per point.
///
/// Stretches whose station has nothing to eat choose first: what the runner brings is for them.
pub(super) fn plan(points: &[Point], fueling: &Fueling, inputs: &Inputs) -> Vec<Meal> {
    let mut larder = Larder::of(&inputs.pantry);
    let mut meals: Vec<Meal> = vec![Meal::default(); points.len()];
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by_key(|i| (offers_food(&points[*i], &inputs.pantry), *i));
    let flasks_ml = flasks_ml(inputs);
    for index in order {
        let point = &points[index];
        let packed_g: f64 = meals
            .iter()
            .flat_map(|meal| &meal.picks)
            .filter(|pick| pick.source != Source::Station && pick.at == point.own_at)
            .map(|pick| pick.mass_g(&inputs.pantry))
            .sum();
        // at a station without water the flasks still hold what must last until the next with some
        let held_ml = match point.water {
            true => 0.0,
            false => carry_ml(fueling, point.station, point.until_water),
        };
        let room = Room {
            flasks_ml: flasks_ml.map(|ml| (ml - held_ml).max(0.0)),
            pockets_g: inputs
                .runner
                .food_capacity_g
                .as_ref()
                .map(|capacity| (capacity.value - packed_g).max(0.0)),
            spot_servings: point.spot_servings,
        };
        let want = want(point, fueling);
        meals[index] = larder.serve(point, want, &room);
    }
    meals
}

/// Fluid to leave one station with so that it lasts until another, millilitres.
pub(super) fn carry_ml(fueling: &Fueling, from: usize, to: usize) -> f64 {
    fueling.segments[from..to].iter().map(|s| s.carry_ml).sum()
}

/// What the flasks hold together; `None` where nobody said.
pub(super) fn flasks_ml(inputs: &Inputs) -> Option<f64> {
    let flasks = &inputs.runner.flasks_ml;
    (!flasks.is_empty()).then(|| flasks.iter().map(|flask| flask.value).sum())
}

/// Whether there is anything with carbohydrate in it at the station.
fn offers_food(point: &Point, pantry: &[Food]) -> bool {
    point.offers.iter().any(|food| pantry[*food].carbs_g > 0.0)
}

/// The pantry while the race is being planned.
struct Larder<'a> {
    pantry: &'a [Food],
    /// Own servings left; `None` is as many as needed.
    left: Vec<Option<u32>>,
    /// Servings planned so far, by food.
    eaten: Vec<u32>,
}

impl<'a> Larder<'a> {
    fn of(pantry: &'a [Food]) -> Self {
        Larder {
            pantry,
            left: pantry.iter().map(|food| food.stock).collect(),
            eaten: vec![0; pantry.len()],
        }
    }

    /// Chooses for one stretch and takes what was chosen out of the stock.
    fn serve(&mut self, point: &Point, want: Want, room: &Room) -> Meal {
        let (origins, offers) = self.on_offer(point, want.caffeine_mg > 0.0);
        let Choice {
            servings, supply, ..
        } = choose(&want, &offers, room);
        let mut meal = Meal {
            want,
            supply,
            ..Meal::default()
        };
        for ((&(food, source, at), offer), count) in origins.iter().zip(&offers).zip(servings) {
            if offer.own && offer.most == Some(count) {
                meal.ran_out.push(food);
            }
            if count == 0 {
                continue;
            }
            self.eaten[food] += count;
            if let (true, Some(left)) = (offer.own, &mut self.left[food]) {
                *left -= count;
            }
            meal.picks.push(Pick {
                food,
                count,
                source,
                at,
            });
        }
        meal
    }

    /// What can be had for a stretch, with its source, in the order of the pantry.
    fn on_offer(
        &self,
        point: &Point,
        caffeine: bool,
    ) -> (Vec<(usize, Source, usize)>, Vec<Candidate>) {
        let mut origins = Vec::new();
        let mut offers = Vec::new();
        for (index, food) in self.pantry.iter().enumerate() {
            if food.caffeine_mg > 0.0 && !caffeine {
                continue;
            }
            if point.offers.contains(&index) {
                let mut offered = self.candidate(index, None);
                if point.own_at != point.station {
                    offered.pocket_g = 0.0; // the pockets were fullest when own food went in
                }
                origins.push((index, Source::Station, point.station));
                offers.push(offered);
            }
            if food.own && self.can_bring(point, food) {
                let mut own = self.candidate(index, self.left[index]);
                own.own = true;
                if food.kind == FoodKind::Drink && point.own_at != point.station {
                    own.pocket_g = food.mass_g; // the powder, until it is mixed
                }
                origins.push((index, point.own, point.own_at));
                offers.push(own);
            }
        }
        (origins, offers)
    }

    /// Whether the runner can bring a food of their own for this stretch: what is had on the spot
    /// only from the crew that is there, a drink only where there is water to mix it with.
    fn can_bring(&self, point: &Point, food: &Food) -> bool {
        if on_the_spot(food) {
            return point.own == Source::Crew && point.own_at == point.station;
        }
        food.kind != FoodKind::Drink || point.water
    }

    fn candidate(&self, index: usize, most: Option<u32>) -> Candidate {
        let food = &self.pantry[index];
        let held = matches!(food.kind, FoodKind::Drink | FoodKind::Station);
        Candidate {
            food: index,
            kind: food.kind,
            carbs_g: food.carbs_g,
            sodium_mg: food.sodium_mg,
            caffeine_mg: food.caffeine_mg,
            water_ml: food.water_ml,
            pocket_g: if held { 0.0 } else { food.mass_g },
            most,
            liking: food.liking,
            tested: food.tested,
            own: false,
            eaten: self.eaten[index],
        }
    }
}
