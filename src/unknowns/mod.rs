//! Unknowns: parts of race day that no long run has tested.
//!
//! Each thing that the plan asks of body, gear and routine is held against every debriefed run of
//! the record. It is known once at least two long runs tested it, one of them in full: at the rate
//! or in the conditions of the race.

mod demands;
mod foods;
mod intake;
mod moving;
mod raced;
mod things;
pub mod words;

use crate::inputs::{Inputs, RunRecord};
use crate::plan::{Plan, Race};
use crate::units::Phrase;
use crate::words::named;

/// A single long run is not usually longer, metres: about 30 miles, about 50 km. Common practice,
/// no source.
pub const SINGLE_RUN_MOST_M: f64 = 50_000.0;
/// Nor longer than this, hours: more costs weeks and teaches little. Common practice, no source.
pub const SINGLE_RUN_MOST_H: f64 = 8.0;
/// Nor than this share of the race. Our choice.
pub const SINGLE_RUN_SHARE: f64 = 0.75;
/// The long runs that have to test a thing before it is known. Common practice, no source.
pub const TESTS_WANTED: u32 = 2;

/// One thing that race day holds.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Unknown {
    /// Its sort.
    pub kind: UnknownKind,
    /// Its name, such as a food's.
    pub what: String,
    /// The race's demand of it, with its amount.
    pub wants: Phrase,
    /// The number of long runs that tested it.
    pub tested: u32,
    /// True where one of them did at the race's own rate or in its conditions.
    pub at_full: bool,
    /// The cost of its failing.
    pub cost: Cost,
    /// Share of the race it is about, 0 to 1.
    pub share: f64,
    /// Needs of a long run that tests it in full.
    pub covered_by: Cover,
}

named! {
    /// A sort of thing that a long run has to test.
    #[derive(PartialOrd, Ord)]
    pub enum UnknownKind {
        /// Drinking at the race's rate in its heat.
        Drinking = "drinking",
        /// Carbohydrate at the race's rate.
        Carbs = "carbs",
        /// One food as densely as it is planned.
        Food = "food",
        /// Caffeine in the planned dose.
        Caffeine = "caffeine",
        /// Sodium at the race's rate.
        Sodium = "sodium",
        /// Hours on feet.
        Hours = "hours",
        /// The longest descent.
        Descent = "descent",
        /// The longest climb.
        Climb = "climb",
        /// Running in the dark.
        Night = "night",
        /// A piece of gear in its conditions.
        Gear = "gear",
        /// Everything that is worn and carried all the way.
        Kit = "kit",
        /// Stopping at a drop bag and leaving with the right things.
        BagRoutine = "bag-routine",
        /// The same with the crew.
        CrewMeeting = "crew-meeting",
    }
}

/// The cost of failing, the most first. Our judgement, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cost {
    /// It can end the race: a stomach that holds nothing, heat, legs that do not carry downhill.
    TheRace,
    /// It can cost hours.
    Hours,
    /// It can cost minutes.
    Minutes,
}

impl Cost {
    /// The most first.
    pub const ALL: [Cost; 3] = [Cost::TheRace, Cost::Hours, Cost::Minutes];

    /// In words, after "can cost".
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Cost::TheRace => "the race",
            Cost::Hours => "hours",
            Cost::Minutes => "minutes",
        }
    }
}

/// Needs of a long run that tests a thing in full; what does not matter is `None` or `false`.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Cover {
    /// Hours on feet, at least.
    pub least_h: Option<f64>,
    /// Hours in the dark, at least.
    pub dark_h: Option<f64>,
    /// Air, °C, at least.
    pub warm_c: Option<f64>,
    /// Height gained in one go, metres, at least.
    pub climb_m: Option<f64>,
    /// Height lost in one go, metres, at least.
    pub descent_m: Option<f64>,
    /// The weather a piece of gear is for: `rain`, `cold`, `sun`, in words.
    pub weather: Option<&'static str>,
    /// Servings of the food within [`FOOD_WINDOW_H`](crate::inputs::record_toml::FOOD_WINDOW_H), at
    /// least.
    pub servings_in_3h: Option<f64>,
    /// True where a stop at a bag or with the crew has to be laid out.
    pub laid_out_stop: bool,
}

impl Unknown {
    /// True where enough long runs tested it, and one of them in full. Legs that met it once in full
    /// have met it.
    #[must_use]
    pub fn is_known(&self) -> bool {
        use UnknownKind::{Climb, Descent, Hours, Night};
        let by_legs = matches!(self.kind, Hours | Climb | Descent | Night);
        self.at_full && (by_legs || self.tested >= TESTS_WANTED)
    }
}

/// Everything that the plan asks for, tested or not, what costs most where it fails first.
#[must_use]
pub fn all(race: &Race, plan: &Plan, inputs: &Inputs) -> Vec<Unknown> {
    let race_day = race.clock.map(|clock| clock.start().date_naive());
    // a run after the race tested nothing for it
    let in_time = |run: &&RunRecord| race_day.is_none_or(|day| run.date < day);
    let mut runs: Vec<RunRecord> = inputs.record.iter().filter(in_time).cloned().collect();
    let races = inputs.plan.past.iter();
    let races = races.map(|past| raced::as_run(past, &race.course));
    let races: Vec<RunRecord> = races.filter(|one| in_time(&one)).collect();
    runs.extend(races);
    let asked = demands::PlanAndRecord {
        race,
        plan,
        inputs,
        runs: &runs,
    };
    let mut all = asked.intake();
    all.extend(asked.moving());
    all.extend(asked.things());
    all.sort_by(|a, b| {
        (a.cost.cmp(&b.cost))
            .then(b.share.total_cmp(&a.share))
            .then(a.kind.cmp(&b.kind))
            .then(a.what.cmp(&b.what))
    });
    all
}

/// Demands of the plan that too few long runs have tested, what costs most where it fails first.
#[must_use]
pub fn unknowns(race: &Race, plan: &Plan, inputs: &Inputs) -> Vec<Unknown> {
    let mut all = all(race, plan, inputs);
    all.retain(|one| !one.is_known());
    all
}

/// The number of runs that tested a thing, and whether one did in full.
fn tests(
    runs: &[RunRecord],
    tested: impl Fn(&RunRecord) -> bool,
    full: impl Fn(&RunRecord) -> bool,
) -> (u32, bool) {
    let by = |run: &&RunRecord| tested(run) || full(run);
    let count = runs.iter().filter(by).count();
    (count.try_into().unwrap_or(u32::MAX), runs.iter().any(full))
}
