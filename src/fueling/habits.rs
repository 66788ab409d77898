//! The runner's eating and drinking on each segment, out of the phases of the rhythm.

use crate::course::Course;
use crate::inputs::RunnerFile;
use crate::inputs::pantry_csv::Food;
use crate::inputs::rhythm::{During, PhaseStart, RhythmPhase, Taste};
use crate::schedule::Schedule;
use crate::words::same_name;

use super::SegmentNeed;
use super::needs::MOST_FLUID_L_PER_H;
use crate::exposure::Exposure;

/// Dark for more than this share of a segment is in the dark.
const DARK_SHARE: f64 = 0.5;
/// Air this warm or warmer is heat, °C, as for what gear heat calls for.
const HEAT_C: f64 = 25.0;

/// The habit of one segment; what the runner does not say is `None`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Habit {
    /// Hours from one thing eaten on the move to the next.
    pub every_h: Option<f64>,
    /// Foods, or kinds of food, and nothing else.
    pub eat: Option<Vec<String>>,
    /// Foods, or kinds of food, that are never taken.
    pub refuse: Vec<String>,
    /// Fluid drunk, millilitres an hour.
    pub sip_ml_per_h: Option<f64>,
    /// The number of flasks with mix.
    pub mix_flasks: Option<u32>,
    /// How often one food is taken in 24 hours, at most.
    pub at_most: Option<u32>,
    /// Sweet or savoury.
    pub taste: Option<Taste>,
    /// True where caffeine is refused.
    pub no_caffeine: bool,
}

impl Habit {
    /// True where a food may be eaten, or drunk standing.
    #[must_use]
    pub fn may_eat(&self, food: &Food) -> bool {
        let wanted = self.eat.as_deref().is_none_or(|eat| is_meant(eat, food));
        wanted && !self.refuses(food)
    }

    /// True where a food is not taken at all, not even mixed in a flask.
    #[must_use]
    pub fn refuses(&self, food: &Food) -> bool {
        is_meant(&self.refuse, food) || (self.no_caffeine && food.caffeine_mg > 0.0)
    }

    /// True where nothing is eaten at all.
    #[must_use]
    pub fn only_drinks(&self) -> bool {
        self.eat.as_ref().is_some_and(Vec::is_empty)
    }

    /// The sum of some phases, the later ones over the earlier.
    #[must_use]
    pub fn of<'a>(phases: impl Iterator<Item = &'a RhythmPhase>) -> Habit {
        let mut habit = Habit::default();
        phases.for_each(|phase| habit.take_in(phase));
        habit
    }

    fn take_in(&mut self, phase: &RhythmPhase) {
        let texts = |list: &[crate::diagnostics::Spanned<String>]| -> Vec<String> {
            list.iter().map(|word| word.value.clone()).collect()
        };
        self.every_h = phase.every_s.map(|s| s.value / 3600.0).or(self.every_h);
        self.eat = phase.eat.as_deref().map(texts).or(self.eat.take());
        if let Some(refuse) = &phase.refuse {
            self.refuse = texts(refuse);
        }
        self.sip_ml_per_h = phase.sip_ml_per_h.map(|ml| ml.value).or(self.sip_ml_per_h);
        self.mix_flasks = phase.mix_flasks.or(self.mix_flasks);
        self.at_most = phase.at_most.or(self.at_most);
        self.taste = phase.taste.or(self.taste);
        self.no_caffeine = phase.caffeine.map_or(self.no_caffeine, |yes| !yes);
    }
}

/// True where a list of a rhythm means a food: by its name, or its kind.
fn is_meant(list: &[String], food: &Food) -> bool {
    let names = [&food.name.value, food.kind.name()];
    list.iter()
        .any(|word| names.iter().any(|name| same_name(word, name)))
}

/// The habit of every segment.
pub(super) fn along(
    course: &Course,
    schedule: &Schedule,
    exposures: &[Exposure],
    runner: &RunnerFile,
) -> Vec<Habit> {
    if runner.rhythm.is_empty() {
        return Vec::new();
    }
    let holds = |phase: &RhythmPhase, segment: usize| {
        let begun = match &phase.from {
            PhaseStart::At(at) => schedule.splits[segment].arrival >= *at,
            PhaseStart::Station(name) => {
                let named = |station: &crate::course::Station| {
                    same_name(&station.name, &name.value)
                        || same_name(&course.places[station.place].name, &name.value)
                };
                course.stations[..=segment].iter().any(named)
            }
        };
        let warm = |exposure: &Exposure| {
            let temps = exposure.steps().filter_map(|step| step.weather);
            temps.map(|weather| weather.temp_c).fold(f64::MIN, f64::max) >= HEAT_C
        };
        begun
            && match phase.during {
                None => true,
                Some(During::Dark) => schedule.legs[segment].dark_share > DARK_SHARE,
                Some(During::Heat) => exposures.get(segment).is_some_and(warm),
            }
    };
    let habit =
        |segment: usize| Habit::of(runner.rhythm.iter().filter(|phase| holds(phase, segment)));
    (0..course.segments.len()).map(habit).collect()
}

/// Plans what the runner sips by habit, never above sweat and never above what is safe.
pub(super) fn sip(segments: &mut [SegmentNeed], habits: &[Habit]) {
    for (need, habit) in segments.iter_mut().zip(habits) {
        let Some(sip_ml_per_h) = habit.sip_ml_per_h else {
            continue;
        };
        let most_l_per_h = need.sweat_l_per_h.min(MOST_FLUID_L_PER_H);
        let fluid_ml = sip_ml_per_h.min(most_l_per_h * 1000.0) * need.hours;
        let times = fluid_ml / need.fluid_ml.max(1.0);
        need.way_ml *= times;
        need.carry_ml = (need.carry_ml * times).max(need.way_ml);
        need.sodium_mg = (need.sodium_mg * times).min(need.sodium_loss_mg);
        need.fluid_ml = fluid_ml;
    }
}
