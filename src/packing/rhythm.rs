//! The runner's eating by the hour: how often, how many kinds, sweet or savoury.

use crate::fueling::Habit;
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::inputs::rhythm::Taste;

use super::given::Given;
use super::supply::SupplyPoint;

/// Minutes from one thing carried to the next, where nobody said: common practice, no source.
const EVERY_MIN: f64 = 30.0;
/// The same where more is to be eaten than that delivers, and the rate from which on, g/h.
const OFTEN_MIN: f64 = 20.0;
const OFTEN_FROM_G_PER_H: f64 = 62.0;
/// Kinds of things carried on a stretch at most: common practice, no source.
const KINDS: u32 = 4;
/// An item is had so often in 24 hours at most, where nobody said: common practice, no source.
const AT_MOST: u32 = 10;
/// A serving with more caffeine than this, milligrams, is taken as a planned dose or not at all; a
/// cup of cola holds less.
pub(super) const SMALL_CAFFEINE_MG: f64 = 30.0;

/// True where a food's caffeine is more than counts by the way: a dose.
#[must_use]
pub fn is_dose(food: &Food) -> bool {
    food.caffeine_mg > SMALL_CAFFEINE_MG
}
/// After so many hours salty and warm food is preferred: common practice, no source.
const SAVOURY_FROM_H: f64 = 10.0;
/// Dark for more than this share of a stretch counts as night.
const NIGHT_SHARE: f64 = 0.5;

/// The rhythm of one stretch.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Beat {
    /// Race time on arrival at the station that the stretch leaves, and its length, hours.
    pub(super) at_h: f64,
    pub(super) hours: f64,
    /// Things carried that are eaten on it at most.
    pub(super) things: u32,
    /// Kinds of things carried at most.
    pub(super) kinds: u32,
    /// True where savoury and warm food is preferred.
    pub(super) savoury: bool,
    /// True where half of the race is over, or it is night.
    pub(super) late: bool,
    /// An item is had so often in 24 hours at most.
    pub(super) at_most: u32,
    /// Caffeine that was taken, where the stretch is behind the runner, milligrams.
    pub(super) taken_mg: Option<f64>,
    /// The runner's own wishes for it.
    pub(super) habit: Habit,
}

impl Beat {
    /// The rhythm from a supply point to the next.
    pub(super) fn at(given: &Given<'_>, point: &SupplyPoint) -> Beat {
        let needs = &given.fueling.segments[point.station..point.until];
        let hours: f64 = needs.iter().map(|need| need.hours).sum();
        let carbs_g: f64 = needs.iter().map(|need| need.carbs_g).sum();
        let splits = &given.schedule.splits;
        let at_h = splits[point.station].arrival.as_hours();
        let race_h = splits.last().map_or(0.0, |split| split.arrival.as_hours());
        let legs = &given.schedule.legs[point.station..point.until];
        let moving_h: f64 = legs.iter().map(|leg| leg.moving.as_hours()).sum();
        let dark_h: f64 = legs
            .iter()
            .map(|leg| leg.dark_share * leg.moving.as_hours())
            .sum();
        let night = dark_h > NIGHT_SHARE * moving_h;
        let often = carbs_g > OFTEN_FROM_G_PER_H * hours;
        let usual_h = if often { OFTEN_MIN } else { EVERY_MIN } / 60.0;
        let habit = given.fueling.habits.get(point.station);
        let habit = habit.cloned().unwrap_or_default();
        let things = match habit.every_h {
            _ if habit.only_drinks() => 0,
            // by the clock, from the start on
            Some(every_h) => ((at_h + hours) / every_h).floor() as u32 - (at_h / every_h) as u32,
            None => (hours / usual_h).round().max(1.0) as u32,
        };
        let at_most = habit
            .at_most
            .unwrap_or_else(|| usual_at_most(given, &habit, usual_h));
        Beat {
            at_h,
            hours,
            things,
            kinds: KINDS,
            savoury: match habit.taste {
                Some(Taste::Sweet) => false,
                Some(Taste::Savoury) => true,
                Some(Taste::Any) | None => night || at_h >= SAVOURY_FROM_H,
            },
            late: night || at_h >= race_h / 2.0,
            at_most,
            taken_mg: (point.station < given.behind())
                .then(|| given.fueling.taken.between_mg(point.station, point.until)),
            habit,
        }
    }
}

/// [`AT_MOST`], and as often as it takes where the runner eats but few foods.
fn usual_at_most(given: &Given<'_>, habit: &Habit, usual_h: f64) -> u32 {
    let eaten = |food: &&Food| {
        let is_eaten = !matches!(food.kind, FoodKind::Drink | FoodKind::Salt);
        is_eaten && food.caffeine_mg <= SMALL_CAFFEINE_MG && habit.may_eat(food)
    };
    let foods = given.inputs.pantry.iter().filter(eaten).count();
    let a_day = 24.0 / habit.every_h.unwrap_or(usual_h);
    match habit.eat.is_some() && foods > 0 {
        true => AT_MOST.max((a_day / foods as f64).ceil() as u32),
        false => AT_MOST,
    }
}
