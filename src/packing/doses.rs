//! Where caffeine is taken: as the body's needs have it, but where foods that have passed a long
//! run can deliver it.

use crate::findings::{About, Finding, FindingKind, Weight};
use crate::fueling::caffeine::{Caps, Chance, Dose, HALF_LIFE_H, left_mg, spread_of};
use crate::fueling::{SegmentNeed, caffeine_from_h};
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::schedule::Schedule;
use crate::units::Phrase;

use super::cost::MOST_ON_THE_SPOT_ML;
use super::menu::{Day, Spread};
use super::packed::CaffeineShare;
use super::setting::Setting;
use super::supply::Point;

/// A dose that falls short by more than this share is not worth taking.
const LEAST_SHARE: f64 = 0.5;

/// Caffeine to be had on each stretch, milligrams.
///
/// The doses go to the stretches where [`spread_of`] likes them best, of those whose foods can
/// deliver at least half of one; stock used up by one dose is gone for the next.
pub(super) fn planned_mg(spread: &Spread<'_>, setting: &Setting<'_>) -> Vec<f64> {
    let Setting {
        schedule,
        fueling,
        inputs,
        ..
    } = *setting;
    let points = spread.points;
    let asked = inputs.plan.fueling.caffeine;
    let pantry = &spread.stores.pantry;
    if !asked || !pantry.iter().any(|food| food.caffeine_mg > 0.0) {
        return vec![0.0; points.len()];
    }
    let mass_kg = fueling.finish_mass.start_kg;
    let caps = Caps::of(&inputs.runner, mass_kg);
    let named_mg = inputs
        .runner
        .caffeine_dose_mg
        .as_ref()
        .map(|dose| dose.value);
    let dose_mg = caps.dose_mg(named_mg, mass_kg);
    let race_h = schedule
        .splits
        .last()
        .map_or(0.0, |split| split.arrival.as_hours());
    let chances: Vec<Chance> = points.iter().map(|point| chance(point, schedule)).collect();
    let mut stock: Vec<Option<u32>> = pantry.iter().map(|food| food.stock).collect();
    let from_h = caffeine_from_h(&inputs.plan);
    // what was taken is gone from the stock
    let taken = &fueling.taken;
    let behind = |point: &&Point| point.station < taken.by_segment_mg.len();
    let behind = points.iter().take_while(behind);
    let taken_mg: Vec<f64> = behind
        .map(|point| taken.between_mg(point.station, point.until))
        .collect();
    for (index, mg) in taken_mg.iter().enumerate() {
        let dose = best_dose(spread, index, *mg, &stock);
        use_up(&mut stock, dose);
    }
    spread_of(&chances, race_h, caps, &taken_mg, |index| {
        if chances[index].at_h < from_h {
            return 0.0;
        }
        let dose = best_dose(spread, index, dose_mg, &stock);
        if dose.mg < LEAST_SHARE * dose_mg {
            return 0.0;
        }
        let mg = dose.mg;
        use_up(&mut stock, dose);
        mg
    })
}

/// Takes own servings out of the stock.
fn use_up(stock: &mut [Option<u32>], dose: Heap) {
    for (food, count) in dose.own {
        stock[food] = stock[food].map(|left| left.saturating_sub(count));
    }
}

/// What is taken on each segment and left of it at its end; as needed, where nothing is chosen.
pub(super) fn along(day: &Day<'_>, setting: &Setting<'_>) -> Vec<CaffeineShare> {
    let Setting {
        schedule, fueling, ..
    } = *setting;
    if day.stores.pantry.is_empty() {
        let left = fueling
            .caffeine_left_mg
            .iter()
            .copied()
            .chain(std::iter::repeat(0.0));
        let share = |(need, left_mg): (&SegmentNeed, f64)| CaffeineShare {
            mg: need.caffeine_mg,
            left_mg,
        };
        return fueling.segments.iter().zip(left).map(share).collect();
    }
    let mut doses: Vec<Dose> = Vec::new();
    let segments = schedule.splits.len().saturating_sub(1);
    (0..segments)
        .map(|segment| {
            let both = day.points.iter().zip(&day.meals);
            let mg = both
                .filter(|(point, _)| point.station == segment)
                .map(|(_, meal)| meal.supply.caffeine_mg)
                .sum();
            let at_h = schedule.splits[segment].arrival.as_hours();
            doses.push(Dose { at_h, mg });
            // the next dose is taken after the arrival that this segment ends with
            let end_h = schedule.splits[segment + 1].arrival.as_hours();
            CaffeineShare {
                mg,
                left_mg: left_mg(&doses, end_h, HALF_LIFE_H),
            }
        })
        .collect()
}

/// Caffeine that was planned by need and that no food delivers.
pub(super) fn short(setting: &Setting<'_>, day: &Day<'_>) -> Option<Finding> {
    let planned_mg: f64 = setting.fueling.segments.iter().map(|s| s.caffeine_mg).sum();
    let have_mg: f64 = day.meals.iter().map(|meal| meal.supply.caffeine_mg).sum();
    if have_mg >= planned_mg * (1.0 - LEAST_SHARE / 2.0) {
        return None;
    }
    let says = format!(
        "{planned_mg:.0} mg of caffeine would fit the race, but tested foods deliver {have_mg:.0} mg"
    );
    let about = About::Race;
    let finding = Finding::new(
        FindingKind::CaffeineShort,
        Weight::Note,
        about,
        Phrase::new(says),
    );
    Some(match more_stock(setting, day) {
        Some(way) => finding.way_out(way),
        None => finding.way_out(Phrase::new(
            "add a tested food to the pantry whose caffeine fits the dose",
        )),
    })
}

/// The fewest servings more of one food with which all planned doses can be had.
fn more_stock(setting: &Setting<'_>, day: &Day<'_>) -> Option<Phrase> {
    const MOST: u32 = 12;
    let planned_mg: f64 = setting.fueling.segments.iter().map(|s| s.caffeine_mg).sum();
    let pantry = &day.stores.pantry;
    let limited = |food: &usize| {
        let food = &pantry[*food];
        food.caffeine_mg > 0.0 && food.tested && food.own && food.stock.is_some()
    };
    let enough = |food: usize, more: u32| {
        let mut stores = day.stores.clone();
        if let Some(stock) = &mut stores.pantry.to_mut()[food].stock {
            *stock += more;
        }
        let spread = Spread {
            course: setting.course,
            points: &day.points,
            stores: &stores,
        };
        let doses_mg = self::planned_mg(&spread, setting);
        doses_mg.iter().sum::<f64>() >= planned_mg * (1.0 - LEAST_SHARE / 2.0)
    };
    let found = (0..pantry.len()).filter(limited).filter_map(|food| {
        let more = (1..=MOST).find(|more| enough(food, *more))?;
        Some((more, food))
    });
    let (more, food) = found.min()?;
    let name = &pantry[food].name.value;
    Some(Phrase::new(format!(
        "have {more} more of `{name}` in stock"
    )))
}

fn chance(point: &Point, schedule: &Schedule) -> Chance {
    let legs = &schedule.legs[point.station..point.until];
    let all_s: f64 = legs.iter().map(|leg| leg.moving.as_s()).sum();
    let dark_s: f64 = legs
        .iter()
        .map(|leg| leg.moving.as_s() * leg.dark_share)
        .sum();
    Chance {
        at_h: schedule.splits[point.station].arrival.as_hours(),
        dark_share: if all_s > 0.0 { dark_s / all_s } else { 0.0 },
    }
}

/// A heap of servings that makes up a dose or part of one.
#[derive(Clone, Debug, Default)]
struct Heap {
    mg: f64,
    servings: u32,
    /// Own servings in it, by food.
    own: Vec<(usize, u32)>,
}

impl Heap {
    /// Whether it holds more caffeine, or the same in fewer servings.
    fn is_better_than(&self, other: &Heap) -> bool {
        (self.mg, other.servings) > (other.mg, self.servings)
    }
}

/// A food with caffeine, as it can be had.
struct Source {
    food: usize,
    own: bool,
    on_the_spot: bool,
    each_mg: f64,
    most: u32,
}

/// Of all heaps of servings that hold no more than the dose, the one with most caffeine, and of
/// those the one with fewest servings.
fn best_dose(spread: &Spread<'_>, index: usize, dose_mg: f64, stock: &[Option<u32>]) -> Heap {
    let spots = spread.points[index].spot_servings as usize;
    // the best heap by servings had on the spot and by whole milligrams, each serving rounded up
    let size = dose_mg.floor() as usize;
    let mut heaps: Vec<Vec<Option<Heap>>> = vec![vec![None; size + 1]; spots + 1];
    heaps[0][0] = Some(Heap::default());
    for source in sources(spread, index, stock) {
        let before = heaps.clone();
        for (had, row) in before.iter().enumerate() {
            for (mg, heap) in row.iter().enumerate() {
                if let Some(heap) = heap {
                    add(&mut heaps, (had, mg), heap, &source);
                }
            }
        }
    }
    let all = heaps.into_iter().flatten().flatten();
    all.fold(Heap::default(), |best, heap| {
        if heap.is_better_than(&best) {
            heap
        } else {
            best
        }
    })
}

/// Adds every count of a food to a heap, as far as dose and stop allow.
fn add(heaps: &mut [Vec<Option<Heap>>], (had, mg): (usize, usize), heap: &Heap, source: &Source) {
    let each = source.each_mg.ceil() as usize;
    for count in 1..=source.most {
        let n = count as usize;
        let had = had + if source.on_the_spot { n } else { 0 };
        let slot = heaps
            .get_mut(had)
            .and_then(|row| row.get_mut(mg + each * n));
        let Some(slot) = slot else {
            return;
        };
        let mut more = heap.clone();
        more.mg += source.each_mg * f64::from(count);
        more.servings += count;
        if source.own {
            more.own.push((source.food, count));
        }
        if slot.as_ref().is_none_or(|old| more.is_better_than(old)) {
            *slot = Some(more);
        }
    }
}

/// Tested foods with caffeine that can be had for a stretch.
fn sources(spread: &Spread<'_>, index: usize, stock: &[Option<u32>]) -> Vec<Source> {
    let foods = spread.stores.pantry.iter().enumerate();
    let source = |(food, item): (usize, &Food)| {
        if item.caffeine_mg <= 0.0 || !item.tested {
            return None;
        }
        let (from, _) = spread.origin(index, food)?;
        let own = from != super::packed::Source::Station;
        let on_the_spot = item.kind == FoodKind::Station;
        let in_stock = if own { stock[food] } else { None };
        // as many cups as a stop allows of this drink alone
        let cups = (MOST_ON_THE_SPOT_ML / item.water_ml.max(1.0)) as u32;
        Some(Source {
            food,
            own,
            on_the_spot,
            each_mg: item.caffeine_mg,
            most: in_stock
                .unwrap_or(u32::MAX)
                .min(if on_the_spot { cups } else { u32::MAX }),
        })
    };
    foods.filter_map(source).collect()
}
