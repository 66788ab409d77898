//! Stores to pack with: the pantry, the flasks, the pockets, and what can be had where.

use std::borrow::Cow;

use crate::course::Course;
use crate::fueling::caffeine::{Caps, needs_doctor};
use crate::fueling::{Fueling, body_of};
use crate::inputs::Inputs;
use crate::inputs::pantry_csv::{Food, FoodKind};

use super::losses::Losses;
use super::supply::Access;

/// A drink stronger than this, in grams of carbohydrate per millilitre, may leave the stomach
/// slowly: 3 to 8 % is recommended (McDermott et al. 2017, J Athl Train 52:877).
pub(super) const STRONGEST_G_PER_ML: f64 = 0.08;
/// A drink with carbohydrate, but less than this, is flavoured water (same source).
pub(super) const WEAKEST_G_PER_ML: f64 = 0.03;

/// Everything there is, less any losses.
#[derive(Clone, Debug)]
pub(super) struct Stores<'a> {
    pub(super) pantry: Cow<'a, [Food]>,
    /// Sizes of the flasks, millilitres; empty where nobody said.
    pub(super) flasks_ml: Vec<f64>,
    /// The most that the pockets hold, grams; `None` where nobody said.
    pub(super) pockets_g: Option<f64>,
    pub(super) access: Access,
    /// The most caffeine at once and in any 24 hours, milligrams.
    pub(super) at_once_mg: f64,
    pub(super) day_mg: f64,
    /// True where a cup of cola may be had unasked.
    pub(super) small_caffeine: bool,
}

impl<'a> Stores<'a> {
    pub(super) fn of(course: &Course, inputs: &'a Inputs, losses: &Losses) -> Stores<'a> {
        let mut pantry = Cow::Borrowed(inputs.pantry.as_slice());
        if pantry.iter().any(|food| losses.has_item(&food.name.value)) {
            pantry
                .to_mut()
                .retain(|food| !losses.has_item(&food.name.value));
        }
        let mut flasks_ml: Vec<f64> = inputs.runner.flasks_ml.iter().map(|f| f.value).collect();
        let known = !flasks_ml.is_empty();
        for _ in 0..losses.flasks.min(flasks_ml.len()) {
            let sizes = flasks_ml.iter().enumerate();
            let largest = sizes
                .max_by(|a, b| a.1.total_cmp(b.1))
                .map(|(index, _)| index);
            largest.map(|index| flasks_ml.remove(index));
        }
        if known && flasks_ml.is_empty() {
            flasks_ml.push(0.0); // none left is not the same as none named
        }
        let caps = Caps::of(
            &inputs.runner,
            &inputs.plan,
            body_of(&inputs.runner).mass_kg,
        );
        Stores {
            access: Access::of(course, inputs, &pantry, losses),
            pantry,
            flasks_ml,
            pockets_g: inputs.runner.food_capacity_g.as_ref().map(|c| c.value),
            at_once_mg: caps.at_once_mg,
            day_mg: caps.in_a_day_mg,
            small_caffeine: !needs_doctor(&inputs.runner),
        }
    }

    /// True where there is salt that has passed a long run.
    pub(super) fn has_salt(&self) -> bool {
        let fit = |food: &Food| food.kind == FoodKind::Salt && food.tested && food.stock != Some(0);
        self.pantry.iter().any(fit)
    }

    /// The most that the flasks hold together, millilitres; `None` where nobody said.
    pub(super) fn capacity_ml(&self) -> Option<f64> {
        (!self.flasks_ml.is_empty()).then(|| self.flasks_ml.iter().sum())
    }
}

/// Volume of a serving of a drink in a flask, millilitres: the water it is mixed with, or as
/// much more as it takes to be no stronger than recommended. Of other foods the water in them.
pub(super) fn water_ml(food: &Food) -> f64 {
    match food.kind {
        FoodKind::Drink => food.water_ml.max(food.carbs_g / STRONGEST_G_PER_ML),
        _ => food.water_ml,
    }
}

/// Fluid to leave one station with so that it lasts until another, millilitres.
pub(super) fn carry_ml(fueling: &Fueling, from: usize, to: usize) -> f64 {
    fueling.segments[from..to].iter().map(|s| s.carry_ml).sum()
}

/// The part of it likely drunk, millilitres.
pub(super) fn way_ml(fueling: &Fueling, from: usize, to: usize) -> f64 {
    fueling.segments[from..to].iter().map(|s| s.way_ml).sum()
}
