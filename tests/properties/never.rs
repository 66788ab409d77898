//! What no plan ever asks of any runner, in any weather, with any rhythm.

use rand::{RngExt as _, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned};
use sutler::findings::FindingKind;
use sutler::inputs::pantry_csv::{Food, FoodKind};
use sutler::inputs::plan_toml::Forecast;
use sutler::inputs::runner_toml::{GutTraining, HealthFlag, SweatMeasured};
use sutler::inputs::{Inputs, RunnerFile, runner_toml};
use sutler::packing::{Packing, Pickup, Serving, Source};
use sutler::plan::{Plan, Race};

use super::LONGEST;
use crate::support::race::{PLANS, Prepared, texts_of_plan};

/// Air, humidity, wind and rain.
type Sky = (f64, f64, f64, f64);

/// Hot, mild, wet and near freezing, bitter.
const SKIES: [Sky; 4] = [
    (34.0, 45.0, 4.0, 0.0),
    (17.0, 60.0, 10.0, 0.0),
    (3.0, 90.0, 30.0, 1.0),
    (-14.0, 60.0, 20.0, 0.0),
];
/// Runners under each sky of a short plan, and of a long one.
const RUNNERS: [u64; 2] = [60, 6];

#[test]
fn no_runner_is_ever_asked_what_is_not_safe() {
    let pairs = PLANS.iter().flat_map(|plan| SKIES.map(|sky| (*plan, sky)));
    let pairs: Vec<_> = pairs.enumerate().collect();
    let of_one = |(nth, (name, sky)): &(usize, (&str, Sky))| {
        let mut inputs = Prepared::read(texts_of_plan(name), LONGEST).inputs;
        inputs.plan.forecast = Some(forecast(*sky));
        let (mut notes, finish) = (Notes::new(), inputs.plan.finish.unwrap());
        let race = Race::prepare(&inputs, LONGEST, &mut notes).unwrap();
        let planned = race.plan(&inputs, finish, &mut notes).unwrap();
        let is_long = race.course.stations.len() > 13;
        let runners = RUNNERS[usize::from(is_long)];
        for seed in 0..runners {
            let mut chance = ChaCha8Rng::seed_from_u64(seed + 1000 * *nth as u64);
            let mut inputs = inputs.clone();
            inputs.runner = runner(&mut chance);
            inputs.plan.fueling.caffeine = chance.random_bool(0.5);
            inputs.plan.fueling.caffeine_agreed = chance.random_bool(0.3);
            let plan = race.packed_again(&inputs, &planned);
            let held = std::panic::catch_unwind(|| check(&race, &inputs, &plan));
            assert!(
                held.is_ok(),
                "{name}, {sky:?}, seed {seed}: {:?}",
                inputs.runner
            );
        }
        runners
    };
    let checked: u64 = pairs.par_iter().map(of_one).sum();
    assert!(checked >= 500);
}

fn forecast((temp_c, humidity_pct, wind_kmh, rain_mm_per_h): Sky) -> Forecast {
    Forecast {
        humidity_pct: Some(humidity_pct),
        wind_kmh: Some(wind_kmh),
        rain_mm_per_h,
        ..Forecast::of_temp_c(temp_c)
    }
}

fn maybe(chance: &mut ChaCha8Rng, range: std::ops::Range<f64>) -> Option<Spanned<f64>> {
    let typed = Spanned::unwritten(chance.random_range(range));
    chance.random_bool(0.5).then_some(typed)
}

fn one_of<T: Clone>(chance: &mut ChaCha8Rng, from: &[T]) -> T {
    from[chance.random_range(0..from.len())].clone()
}

/// Anybody: small and slow, heavy, a child, with a weak heart, with weighings that cannot be.
fn runner(chance: &mut ChaCha8Rng) -> RunnerFile {
    let flags = [HealthFlag::Pregnancy, HealthFlag::Heart, HealthFlag::Kidney];
    let guts = [
        GutTraining::Untrained,
        GutTraining::Some,
        GutTraining::Trained,
    ];
    let flasks =
        (0..chance.random_range(0..5)).map(|_| one_of(chance, &[250.0, 500.0, 750.0, 1500.0]));
    let flasks: Vec<Spanned<f64>> = flasks.map(Spanned::unwritten).collect();
    let weighed = (0..chance.random_range(0..4)).map(|_| SweatMeasured {
        date: None,
        rate_l_per_h: Spanned::unwritten(chance.random_range(0.1..3.5)),
        temp_c: chance.random_range(-5.0..35.0),
        energy_kcal_per_h: Some(chance.random_range(300.0..1000.0)),
    });
    let sweat = weighed.collect();
    let is_flagged = chance.random_bool(0.2);
    RunnerFile {
        mass_kg: maybe(chance, 42.0..110.0),
        height_cm: maybe(chance, 148.0..200.0),
        age_years: maybe(chance, 14.0..80.0),
        conditions: (is_flagged.then(|| Spanned::unwritten(one_of(chance, &flags))))
            .into_iter()
            .collect(),
        sweat,
        sweat_sodium_mg_per_l: maybe(chance, 250.0..2200.0),
        gut: one_of(chance, &guts),
        carbs_g_per_h: maybe(chance, 0.0..90.0),
        carbs_rehearsed_g_per_h: maybe(chance, 0.0..150.0),
        fluid_habit_ml_per_h: maybe(chance, 50.0..1000.0),
        caffeine_dose_mg: maybe(chance, 0.0..200.0),
        food_capacity_g: maybe(chance, 100.0..1500.0),
        rhythm: rhythm(chance),
        flasks_ml: flasks,
        ..RunnerFile::default()
    }
}

/// Up to three phases with a line or two in each, as they are typed.
fn rhythm(chance: &mut ChaCha8Rng) -> Vec<sutler::inputs::rhythm::RhythmPhase> {
    const FROM: [&str; 4] = [
        "",
        "from = \"3:00:00\"\n",
        "during = \"dark\"\n",
        "during = \"heat\"\n",
    ];
    const LINES: [&str; 12] = [
        "every_min = 15\n",
        "every_min = 45\n",
        "eat = []\n",
        "eat = [\"gel\"]\n",
        "eat = [\"food\", \"station\"]\n",
        "refuse = [\"gel\", \"cola\"]\n",
        "sip_ml_per_h = 1000\n",
        "sip_ml_per_h = 150\n",
        "mix_flasks = 0\n",
        "mix_flasks = 3\n",
        "taste = \"savoury\"\n",
        "caffeine = false\n",
    ];
    let mut text = String::new();
    for _ in 0..chance.random_range(0..4) {
        let (from, one) = (one_of(chance, &FROM), one_of(chance, &LINES));
        let other = one_of(chance, &LINES);
        let key = |line: &str| line.split(' ').next().unwrap_or_default().to_owned();
        let other = if key(one) == key(other) { "" } else { other };
        text += &format!("[[rhythm]]\n{from}{one}{other}");
    }
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let file = SourceFile::new("runner.toml", text);
    let id = sources.add(file.clone());
    let read = runner_toml::read(&file, id, &mut notes);
    assert!(!notes.has_errors(), "{}", file.text);
    read.rhythm
}

fn check(race: &Race, inputs: &Inputs, plan: &Plan) {
    never_of_the_body(inputs, plan);
    let fed = Fed { race, inputs, plan };
    plan.packing
        .pickups
        .iter()
        .for_each(|pickup| fed.never_on_a_stretch(pickup));
    fed.never_in_a_day(&plan.packing);
}

/// More than this is rounding.
const ROUNDING: f64 = 1e-6;

/// Hew-Butler and others 2015 (never above what is lost); 1 L/h as the most that stomachs empty;
/// Jeukendrup 2014 (90 g/h); the mass at the finish is below that at the start and in its window.
fn never_of_the_body(inputs: &Inputs, plan: &Plan) {
    for need in &plan.fueling.segments {
        let sweat_ml = need.sweat_l_per_h * need.hours * 1000.0;
        assert!(need.fluid_ml <= sweat_ml + ROUNDING, "{need:?}");
        assert!(need.fluid_ml <= 1000.0 * need.hours + ROUNDING, "{need:?}");
        assert!(need.carry_ml >= need.way_ml - ROUNDING, "{need:?}");
        assert!(need.sodium_mg <= need.sodium_loss_mg + ROUNDING, "{need:?}");
        assert!(need.carbs_g <= 90.0 * need.hours + ROUNDING, "{need:?}");
    }
    let mass = plan.fueling.finish_mass;
    assert!(mass.expected_loss_kg > 0.0, "{mass:?}");
    let loss_pct = 100.0 * mass.expected_loss_kg / mass.start_kg;
    let (least, most) = mass.loss_window_pct;
    assert!(least <= loss_pct && loss_pct <= most, "{mass:?}");
    let all = |of: &dyn Fn(&Pickup) -> f64| -> f64 { plan.packing.pickups.iter().map(of).sum() };
    let spent_kcal: f64 = plan
        .fueling
        .segments
        .iter()
        .map(|need| need.energy_kcal)
        .sum();
    let eaten_kcal = all(&|pickup| pickup.energy_kcal);
    assert!(
        eaten_kcal <= spent_kcal,
        "{eaten_kcal} of {spent_kcal} kcal"
    );
    let is_young = inputs.runner.age_years.is_some_and(|age| age.value < 18.0);
    let asks =
        |own: &Spanned<HealthFlag>| matches!(own.value, HealthFlag::Pregnancy | HealthFlag::Heart);
    if (is_young || inputs.runner.conditions.iter().any(asks))
        && !inputs.plan.fueling.caffeine_agreed
    {
        assert_eq!(
            all(&|pickup| pickup.caffeine_mg.0),
            0.0,
            "none before a doctor agrees"
        );
    }
}

/// A plan that was packed.
struct Fed<'a> {
    race: &'a Race,
    inputs: &'a Inputs,
    plan: &'a Plan,
}

impl Fed<'_> {
    fn food(&self, serving: &Serving) -> &Food {
        let mut pantry = self.inputs.pantry.iter();
        pantry.find(|food| food.name.value == serving.food).unwrap()
    }

    fn sum<'s>(&self, servings: impl Iterator<Item = &'s Serving>, holds: fn(&Food) -> f64) -> f64 {
        servings
            .map(|s| f64::from(s.count) * holds(self.food(s)))
            .sum()
    }

    /// The rules of a plan that is followed, common practice without a source; 450 ml at a table:
    /// McDermott and others 2017 (400 to 600 in the stomach).
    fn never_on_a_stretch(&self, pickup: &Pickup) {
        let needs = &self.plan.fueling.segments[pickup.station..pickup.until];
        let total = |of: &dyn Fn(&sutler::fueling::SegmentNeed) -> f64| -> f64 {
            needs.iter().map(of).sum()
        };
        let (sweat_ml, hours) = (
            total(&|n| n.sweat_l_per_h * n.hours * 1000.0),
            total(&|n| n.hours),
        );
        let kind = |s: &&Serving| self.food(s).kind;
        let eaten = || {
            pickup
                .take
                .iter()
                .filter(|s| kind(s) != FoodKind::Drink)
                .chain(&pickup.here)
        };
        let drunk_ml = pickup.mix_ml.1 + self.sum(eaten(), |food| food.water_ml);
        assert!(
            drunk_ml <= sweat_ml + ROUNDING,
            "{drunk_ml} of {sweat_ml} ml: {pickup:?}"
        );
        assert!(pickup.drink_ml <= sweat_ml + ROUNDING, "{pickup:?}");

        let carried = || pickup.take.iter().filter(|s| kind(s) != FoodKind::Salt);
        let kinds = carried()
            .map(|s| &s.food)
            .collect::<std::collections::BTreeSet<_>>()
            .len();
        assert!(kinds <= 4, "{pickup:?}");
        let habit = self
            .plan
            .fueling
            .habits
            .get(pickup.station)
            .cloned()
            .unwrap_or_default();
        let things: u32 = carried()
            .filter(|s| kind(s) != FoodKind::Drink)
            .map(|s| s.count)
            .sum();
        let often = total(&|n| n.carbs_g) > 62.0 * hours;
        let every_h = habit.every_h.unwrap_or(if often { 1.0 / 3.0 } else { 0.5 });
        assert!(
            f64::from(things)
                <= (hours / every_h)
                    .round()
                    .max((hours / every_h).ceil())
                    .max(1.0),
            "{things} in {hours} h"
        );
        let stop_s = self.plan.schedule.stop(pickup.station).as_secs();
        let here: u32 = pickup.here.iter().map(|s| s.count).sum();
        assert!(
            here <= if stop_s >= 300 {
                3
            } else {
                u32::from(stop_s > 0)
            },
            "{pickup:?}"
        );
        assert!(
            self.sum(pickup.here.iter(), |food| food.water_ml) <= 450.0 + ROUNDING,
            "{pickup:?}"
        );
        let fresh = carried().filter(|s| kind(s) == FoodKind::Food && s.source == Source::Station);
        let fresh: Vec<&Serving> = fresh.collect();
        assert!(
            self.sum(fresh.iter().copied(), |food| food.mass_g) <= 150.0 + ROUNDING,
            "{pickup:?}"
        );
        let later = pickup
            .for_later
            .iter()
            .filter(|s| s.source == Source::Station);
        for serving in later {
            let food = self.food(serving);
            assert!(
                food.water_ml < 0.5 * food.mass_g || self.next_has_none(pickup, serving),
                "{serving:?}"
            );
        }
        for serving in pickup.take.iter().chain(&pickup.here) {
            assert!(!habit.refuses(self.food(serving)), "{serving:?}");
            let mixed_or_salt = matches!(self.food(serving).kind, FoodKind::Drink | FoodKind::Salt);
            assert!(
                mixed_or_salt || habit.may_eat(self.food(serving)),
                "{serving:?}"
            );
        }
        self.never_in_a_flask(pickup);
    }

    /// True where what is taken along from a table is eaten before the next table with food.
    fn next_has_none(&self, pickup: &Pickup, serving: &Serving) -> bool {
        let tables = |at: usize| !self.race.course.stations[at].offers.is_empty();
        let next = (pickup.station + 1..self.race.course.stations.len()).find(|at| tables(*at));
        let eaten = self
            .plan
            .packing
            .pickups
            .iter()
            .filter(|later| later.station > pickup.station);
        let mut eaten = eaten.filter(|later| {
            later
                .take
                .iter()
                .any(|s| s.food == serving.food && s.at == serving.at)
        });
        eaten.all(|later| next.is_none_or(|next| later.station < next))
    }

    /// Fills by the quarter, mix in whole flasks, and with water to be had never less than what is
    /// to be carried, or than the flasks hold; 8 %: McDermott and others 2017.
    fn never_in_a_flask(&self, pickup: &Pickup) {
        // what is left of a mix is drawn to the nearest quarter
        let plain = pickup.flasks.iter().filter(|flask| flask.drink.is_none());
        let water_ml: f64 = plain.map(|flask| flask.fluid_ml).sum();
        let held_ml = pickup.mix_ml.0 + water_ml;
        let wanted_ml = pickup.carry_ml.min(pickup.capacity_ml);
        // a sip is not worth a quarter
        assert!(
            pickup.flasks.is_empty() || held_ml >= wanted_ml - 30.0 - ROUNDING,
            "{pickup:?}"
        );
        for flask in &pickup.flasks {
            let quarters = flask.fluid_ml / flask.size_ml * 4.0;
            assert!(
                (quarters - quarters.round()).abs() < ROUNDING && quarters <= 4.0,
                "{flask:?}"
            );
            let Some((drink, scoops)) = flask.drink.as_ref().filter(|drink| drink.1 > 0) else {
                continue;
            };
            assert_eq!(quarters, 4.0, "{flask:?}");
            let of_it = self
                .inputs
                .pantry
                .iter()
                .find(|food| food.name.value == *drink)
                .unwrap();
            let strength = f64::from(*scoops) * of_it.carbs_g / flask.fluid_ml;
            assert!(strength <= 0.08 + ROUNDING, "{flask:?}");
        }
    }

    /// European Food Safety Authority 2015: 200 mg of caffeine at once, 400 mg in 24 hours. Ten of a
    /// food in a day: common practice, no source; more only where the runner eats few foods.
    fn never_in_a_day(&self, packing: &Packing) {
        let at_h = |pickup: &Pickup| self.plan.schedule.splits[pickup.station].arrival.as_hours();
        let chooses = self
            .plan
            .fueling
            .habits
            .iter()
            .any(|habit| habit.eat.is_some());
        for (nth, first) in packing.pickups.iter().enumerate() {
            assert!(first.caffeine_mg.0 <= 200.0 + ROUNDING, "{first:?}");
            let day = || {
                packing.pickups[nth..]
                    .iter()
                    .take_while(|p| at_h(p) < at_h(first) + 24.0)
            };
            let caffeine_mg: f64 = day().map(|pickup| pickup.caffeine_mg.0).sum();
            assert!(caffeine_mg <= 400.0 + ROUNDING, "{caffeine_mg}");
            let mut counts = std::collections::BTreeMap::new();
            for serving in day().flat_map(|pickup| pickup.take.iter().chain(&pickup.here)) {
                if !matches!(self.food(serving).kind, FoodKind::Drink | FoodKind::Salt) {
                    *counts.entry(&serving.food).or_insert(0) += serving.count;
                }
            }
            assert!(
                chooses || counts.values().all(|count| *count <= 10),
                "{counts:?}"
            );
        }
        let surplus = packing
            .findings
            .iter()
            .any(|f| f.kind == FindingKind::EnergySurplus);
        assert!(!surplus);
    }
}
