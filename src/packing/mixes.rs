//! Mix in the flasks over the race: a flask is filled whole, drunk on as many stretches as it
//! takes, and filled again when it is empty.

use crate::inputs::pantry_csv::{Food, FoodKind};

use super::flasks::Mix;
use super::given::Given;
use super::meals::Want;
use super::mixed::Mixed;
use super::offers::Layout;
use super::packed::Source;
use super::stores::carry_ml;

/// A mix liked less than this is taken only by a runner whose rhythm asks for mix.
const LIKED: u8 = 3;
/// Of the drink of a stretch at most this share is mix, where things are eaten besides: the water
/// in them counts as drink.
const OF_THE_DRINK: f64 = 0.8;
/// Of the carbohydrate at most this share comes out of flasks, where things are eaten besides.
const OF_THE_CARBS: f64 = 0.6;
/// A flask of mix is drunk within so many hours, and within so many by a runner whose rhythm asks
/// for it: common practice, no source.
const LASTS_H: f64 = 4.0;
const MOST_LASTS_H: f64 = 6.0;

/// Powder in the pockets on leaving a point, for flasks that are filled later, grams.
pub(super) fn powder_g(mixes: &[Mixed], point: usize, pantry: &[Food]) -> f64 {
    let later = mixes.iter().enumerate().skip(point + 1);
    let held = later.filter(|(_, mixed)| mixed.origin.is_some_and(|(_, from)| from <= point));
    let mass_g = |mixed: &Mixed| {
        let (food, _) = mixed.drink?;
        Some(mixed.servings_filled() * pantry[food].mass_g)
    };
    held.filter_map(|(_, mixed)| mass_g(mixed)).sum()
}

/// The mix of every stretch.
pub(super) fn settle(
    layout: &Layout<'_>,
    given: &Given<'_>,
    wants: &[Want],
    doses: &[Vec<(usize, u32)>],
) -> Vec<Mixed> {
    let mut mixer = Mixer {
        layout,
        wants,
        doses,
        stock: layout.stores.pantry.iter().map(|food| food.stock).collect(),
        underway: given.behind(),
    };
    let (mut drink, mut left_ml) = (None, 0.0);
    let mut all = Vec::with_capacity(wants.len());
    for at in 0..wants.len() {
        let mut mixed = Mixed::default();
        if left_ml <= SIP_ML || mixer.is_in_the_way(given, at, drink, left_ml) {
            (drink, left_ml) = (None, 0.0);
        }
        if let Some((with, source, point, flasks)) = mixer.fill(at, drink, left_ml) {
            left_ml += f64::from(flasks) * with.1.flask_ml;
            drink = Some(with);
            mixed.filled = flasks;
            mixed.origin = Some((source, point));
        }
        mixed.drink = drink;
        mixed.held_ml = left_ml;
        mixed.drunk_ml = drink.map_or(0.0, |with| left_ml.min(mixer.most_ml(at, with)));
        left_ml -= mixed.drunk_ml;
        all.push(mixed);
    }
    all
}

/// Less than this in a flask is poured away when it is filled again, millilitres.
const SIP_ML: f64 = 50.0;

type Drink = (usize, Mix);

struct Mixer<'a> {
    layout: &'a Layout<'a>,
    wants: &'a [Want],
    /// Servings with caffeine, by stretch.
    doses: &'a [Vec<(usize, u32)>],
    /// Own servings left, by food.
    stock: Vec<Option<u32>>,
    /// Segments that are behind the runner.
    underway: usize,
}

impl Mixer<'_> {
    /// Mix filled in on leaving a point: which drink, from where, how many flasks.
    fn fill(
        &mut self,
        at: usize,
        begun: Option<Drink>,
        left_ml: f64,
    ) -> Option<(Drink, Source, usize, u32)> {
        let point = &self.layout.points[at];
        if !point.water || point.station < self.underway.saturating_sub(1) {
            return None;
        }
        let mut best: Option<(Drink, Source, usize, u32)> = None;
        let mut most = (false, 0, false);
        for food in 0..self.layout.stores.pantry.len() {
            let Some((with, source, from)) = self.candidate(at, food) else {
                continue;
            };
            if begun.is_some_and(|(other, _)| other != food) {
                continue;
            }
            let flasks = self.flasks(at, with, source, left_ml);
            let item = &self.layout.stores.pantry[food];
            let worth = (item.tested, item.liking, source == Source::Station);
            if flasks > 0 && (best.is_none() || worth > most) {
                (best, most) = (Some((with, source, from, flasks)), worth);
            }
        }
        let (with, source, _, flasks) = best?;
        if source != Source::Station {
            let used = flasks * with.1.servings;
            self.stock[with.0] = self.stock[with.0].map(|left| left.saturating_sub(used));
        }
        best
    }

    /// True where what is left of a mix takes up a flask that is needed whole on the way ahead.
    fn is_in_the_way(
        &self,
        given: &Given<'_>,
        at: usize,
        drink: Option<Drink>,
        left_ml: f64,
    ) -> bool {
        let point = &self.layout.points[at];
        let (Some((_, mix)), Some(capacity_ml)) = (drink, self.layout.stores.capacity_ml()) else {
            return false;
        };
        let carry_ml = carry_ml(given.fueling, point.station, point.until_water);
        let taken_ml = (left_ml / mix.flask_ml).ceil() * mix.flask_ml;
        point.water && left_ml + (capacity_ml - taken_ml) < carry_ml.min(capacity_ml)
    }

    /// A drink that may be mixed at a point, and where its servings come from.
    fn candidate(&self, at: usize, food: usize) -> Option<(Drink, Source, usize)> {
        let stores = self.layout.stores;
        let (item, habit) = (&stores.pantry[food], &self.layout.beats[at].habit);
        let asked = habit.mix_flasks.is_some_and(|flasks| flasks > 0);
        let salty = !stores.has_salt() && item.sodium_mg > 0.0;
        let wanted = item.carbs_g > 0.0 || salty;
        let liked = item.tested && item.liking >= LIKED;
        if item.kind != FoodKind::Drink
            || !wanted
            || !(liked || asked)
            || item.caffeine_mg > 0.0
            || habit.refuses(item)
        {
            return None;
        }
        let mix = Mix::of(item, stores)?;
        let (source, from) = self.layout.poured_from(at, food)?;
        Some(((food, mix), source, from))
    }

    /// The number of flasks filled: those that should hold mix and do not, as far as they will be
    /// drunk and the servings are there.
    fn flasks(&self, at: usize, (food, mix): Drink, source: Source, left_ml: f64) -> u32 {
        let stores = self.layout.stores;
        let habit = &self.layout.beats[at].habit;
        let few = habit.mix_flasks.unwrap_or(1);
        let few = match stores.flasks_ml.is_empty() {
            true => few.min(1),
            false => few.min(stores.flasks_ml.len() as u32),
        };
        let holding = (left_ml / mix.flask_ml).ceil() as u32;
        let mut count = few.saturating_sub(holding);
        count = mix
            .flasks
            .map_or(count, |of_size| count.min(of_size.saturating_sub(holding)));
        if source != Source::Station
            && let Some(left) = self.stock[food]
        {
            count = count.min(left / mix.servings);
        }
        let lasts_h = match habit.mix_flasks {
            Some(_) => MOST_LASTS_H,
            None => LASTS_H,
        };
        let ahead_ml = self.drunk_within(at, (food, mix), lasts_h);
        // who takes nothing else starts a flask, and pours away what is left of it
        let least = u32::from(habit.only_drinks() && left_ml <= SIP_ML && ahead_ml > SIP_ML);
        while count > least && left_ml + f64::from(count) * mix.flask_ml > ahead_ml + SIP_ML {
            count -= 1;
        }
        count
    }

    /// Mix drunk in the hours ahead, millilitres.
    fn drunk_within(&self, at: usize, drink: Drink, hours: f64) -> f64 {
        let from_h = self.layout.beats[at].at_h;
        let mut all_ml = 0.0;
        for stretch in at..self.wants.len() {
            let beat = &self.layout.beats[stretch];
            let there_h = (from_h + hours - beat.at_h).clamp(0.0, beat.hours);
            if there_h <= 0.0 {
                break;
            }
            all_ml += self.most_ml(stretch, drink) * there_h / beat.hours.max(1e-9);
        }
        all_ml
    }

    /// The most that is drunk of a mix on a stretch, millilitres.
    fn most_ml(&self, at: usize, (food, mix): Drink) -> f64 {
        let (want, habit) = (&self.wants[at], &self.layout.beats[at].habit);
        let item = &self.layout.stores.pantry[food];
        let (of_drink, of_carbs) = match habit.only_drinks() {
            true => (1.0, 1.0),
            false => (OF_THE_DRINK, OF_THE_CARBS),
        };
        let g_per_ml = item.carbs_g * f64::from(mix.servings) / mix.flask_ml;
        let by_carbs_ml = match g_per_ml > 0.0 {
            true => of_carbs * want.carbs_g / g_per_ml,
            false => f64::INFINITY,
        };
        let dose_ml = |(food, count): &(usize, u32)| {
            f64::from(*count) * self.layout.stores.pantry[*food].water_ml
        };
        let doses_ml: f64 = self.doses[at].iter().map(dose_ml).sum();
        (of_drink * want.fluid_ml)
            .min(by_carbs_ml)
            .min(want.fluid_ceiling_ml - doses_ml)
            .max(0.0)
    }
}
