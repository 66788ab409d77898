//! `runner.toml`: the body, what it has been measured to sweat and to stomach, what it can carry.

use chrono::NaiveDate;

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Spanned};

use super::asked::{Within, section};
use super::limits;
use super::rhythm::{self, RhythmPhase};
use super::toml_reader::{self, Reading, Section};
use crate::words::named;

/// One runner. A key that is missing is a default, and reports say so.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct RunnerFile {
    /// `name`
    pub name: Option<String>,
    /// `mass_kg` (or `mass_lb`)
    pub mass_kg: Option<Spanned<f64>>,
    /// `height_cm` (or `height_in`)
    pub height_cm: Option<Spanned<f64>>,
    /// `age_years`
    pub age_years: Option<Spanned<f64>>,
    /// `week_km`: what is run in a week now; a calendar of long runs grows from it.
    pub week_m: Option<Spanned<f64>>,
    /// `conditions`: health flags that call for a physician's own plan.
    pub conditions: Vec<Spanned<HealthFlag>>,
    /// `[[sweat.measured]]`: long runs on which sweat was measured.
    pub sweat: Vec<SweatMeasured>,
    /// `sweat.sodium_mg_per_l`: sodium in sweat, where a laboratory or patch measured it.
    pub sweat_sodium_mg_per_l: Option<Spanned<f64>>,
    /// `[fueling]` `gut`: how well eating on the run is trained.
    pub gut: GutTraining,
    /// `[fueling]` `carbs_g_per_h`: what is tolerated on long runs.
    pub carbs_g_per_h: Option<Spanned<f64>>,
    /// `[fueling]` `carbs_rehearsed_g_per_h`: the highest rate held on a recorded long run of 3 h.
    pub carbs_rehearsed_g_per_h: Option<Spanned<f64>>,
    /// `[fueling]` `fluid_rehearsed_ml_per_h`: the highest drinking rate held on a long run.
    pub fluid_rehearsed_ml_per_h: Option<Spanned<f64>>,
    /// `[fueling]` `fluid_habit_ml_per_h`: what the runner is used to drink on long runs.
    pub fluid_habit_ml_per_h: Option<Spanned<f64>>,
    /// `[caffeine]` `dose_mg`
    pub caffeine_dose_mg: Option<Spanned<f64>>,
    /// `[carry]` `flasks_ml`: the volume of each bottle, flask or bladder carried.
    pub flasks_ml: Vec<Spanned<f64>>,
    /// `[carry]` `food_g`: how much food fits in the pockets.
    pub food_capacity_g: Option<Spanned<f64>>,
    /// `[[rhythm]]`: how the runner eats and drinks by the hour, phase by phase.
    pub rhythm: Vec<RhythmPhase>,
    /// `[pacing]`: what `fit` or `debrief` found; overrides the defaults, and is overridden by the plan.
    pub pacing: RunnerPacing,
}

section! {
    /// One long run with its sweat rate by mass balance: `[[sweat.measured]]`.
    #[derive(Clone, Debug, PartialEq)]
    pub struct SweatMeasured {
        /// `date`
        pub date: Option<NaiveDate> = "date",
        /// `rate_l_per_h`
        pub rate_l_per_h: Spanned<f64> = &limits::SWEAT_RATE,
        /// `temp_c` (or `temp_f`)
        pub temp_c: f64 = &limits::TEMPERATURE,
        /// `energy_kcal_per_h`: how hard the run was, where known.
        pub energy_kcal_per_h: Option<f64> = &limits::RUN_ENERGY,
    }
}

named! {
    /// The training of the gut for carbohydrate on the run.
    #[derive(Default)]
    pub enum GutTraining {
        /// `untrained`
        #[default]
        Untrained = "untrained",
        /// `some`
        Some = "some",
        /// `trained`: weeks of practice at the target rate.
        Trained = "trained",
    }

    /// A condition that calls for a physician instead of a calculator.
    pub enum HealthFlag {
        /// `diabetes`
        Diabetes = "diabetes",
        /// `kidney`
        Kidney = "kidney",
        /// `heart`
        Heart = "heart",
        /// `hypertension`
        Hypertension = "hypertension",
        /// `sickle-cell-trait`
        SickleCellTrait = "sickle-cell-trait",
        /// `pregnancy`: also breast-feeding; caffeine is limited to 200 mg a day.
        Pregnancy = "pregnancy",
        /// `medicines`: any that act on fluid, salt, blood pressure, heart or sleep.
        Medicines = "medicines",
    }
}

section! {
    /// `[pacing]` of the runner; see [`super::plan_toml::PacingChoice`] for the meaning.
    #[derive(Clone, Debug, PartialEq, Default)]
    pub struct RunnerPacing {
        /// `fade`
        pub fade: Option<Spanned<f64>> = &limits::FADE,
        /// `downhill_cap`
        pub downhill_cap: Option<Spanned<f64>> = &limits::DOWNHILL_CAP,
        /// `climb_multiplier`: own time on climbs over the model's, 0.5 to 2.
        pub climb_multiplier: Option<Spanned<f64>> = &limits::CLIMB_MULTIPLIER,
        /// `descent_multiplier`: own time on descents over the model's, 0.5 to 2.
        pub descent_multiplier: Option<Spanned<f64>> = &limits::DESCENT_MULTIPLIER,
        /// `stop_multiplier`: own time stood still over the usual for such a finish, 0 to 4. The stops
        /// that a plan names count towards it.
        pub stop_multiplier: Option<Spanned<f64>> = &limits::STOP_MULTIPLIER,
        /// `measured_on`: the day of the last run that the figures rest on.
        pub measured_on: Option<NaiveDate> = "measured_on",
        /// `runs`: how many runs they rest on.
        pub runs: Option<u32> = &limits::PACING_RUNS,
    }
}

/// Reads `runner.toml`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> RunnerFile {
    toml_reader::read(file, id, notes, runner).unwrap_or_default()
}

fn runner(top: &mut Section<'_>, r: &mut Reading) -> RunnerFile {
    let mut runner = RunnerFile {
        name: top.ask("name", r),
        mass_kg: top.ask(&limits::MASS, r),
        height_cm: top.ask(&limits::HEIGHT, r),
        age_years: top.ask(&limits::AGE, r),
        week_m: top.ask(&limits::WEEK, r),
        conditions: top.list("conditions", "health flags", r, |entry, r| {
            entry.choice(&HealthFlag::NAMES, r)
        }),
        ..RunnerFile::default()
    };
    top.section("sweat", r, |section, r| {
        runner.sweat = section.sections("measured", r, measured);
        runner.sweat_sodium_mg_per_l = section.number(&limits::SWEAT_SODIUM, r);
    });
    top.section("fueling", r, |section, r| {
        runner.gut = section.ask("gut", r);
        runner.carbs_g_per_h = section.number(&limits::CARBS_RATE, r);
        runner.carbs_rehearsed_g_per_h = section.number(&limits::CARBS_REHEARSED, r);
        runner.fluid_rehearsed_ml_per_h = section.number(&limits::FLUID_REHEARSED, r);
        runner.fluid_habit_ml_per_h = section.number(&limits::FLUID_HABIT, r);
    });
    top.section("caffeine", r, |section, r| {
        runner.caffeine_dose_mg = section.number(&limits::CAFFEINE_DOSE, r);
    });
    top.section("carry", r, |section, r| {
        runner.flasks_ml = flasks(section, r);
        runner.food_capacity_g = section.number(&limits::FOOD_CAPACITY, r);
    });
    runner.rhythm = top.sections("rhythm", r, rhythm::phase);
    runner.pacing = top.ask(Within("pacing", RunnerPacing::read), r);
    runner
}

fn measured(section: &mut Section<'_>, r: &mut Reading) -> Option<SweatMeasured> {
    let run = SweatMeasured::read(section, r)?;
    let (rate, temp_c) = (run.rate_l_per_h, run.temp_c);
    let most = most_sweat_l_per_h(temp_c);
    if rate.value > most {
        r.notes.push(
            Diagnostic::error(format!(
                "{} l/h of sweat at {temp_c:.0} °C is more than anyone sweats for hours",
                rate.value
            ))
            .at(
                rate.span,
                format!("expected at most {most:.1} l/h at that temperature"),
            )
            .hint("weigh again, dry and without clothes; count what was drunk and passed once"),
        );
        return None;
    }
    Some(run)
}

/// More sweat than this over a long run is a slip in the weighing, litres per hour.
///
/// Endurance athletes sweat 0.3 to 2.4 L/h (Thomas, Erdman and Burke 2016), the highest in heat; what
/// does not evaporate in the cold is not made. The line from 1.2 L/h at freezing to 3 L/h at 30 °C
/// is ours, and well above what the models predict for a heavy and fast runner.
#[must_use]
pub fn most_sweat_l_per_h(temp_c: f64) -> f64 {
    (1.2 + 0.06 * temp_c).clamp(0.9, 4.0)
}

/// A list of volumes, in one unit for all.
fn flasks(section: &mut Section<'_>, r: &mut Reading) -> Vec<Spanned<f64>> {
    let mut seen: Option<String> = None;
    let mut flasks = Vec::new();
    for unit in limits::FLASKS.units {
        let key = limits::FLASKS.key(*unit);
        let Some(entry) = section.take(&key, r) else {
            continue;
        };
        if let Some(first) = &seen {
            r.notes.push(
                Diagnostic::error(format!("`{first}` and `{key}` say the same thing"))
                    .at(entry.key_span, "expected one of the two")
                    .hint("keep the key with the unit you use"),
            );
            continue;
        }
        let errors_before = r.notes.all().len();
        flasks = entry.list("volumes", r, |entry, r| {
            entry.number(&limits::FLASKS, *unit, r)
        });
        if flasks.is_empty() && r.notes.all().len() == errors_before {
            r.notes.push(
                Diagnostic::error(format!("`{key}` lists no flask"))
                    .at(
                        entry.span,
                        "expected at least one volume, such as `[500, 500]`",
                    )
                    .hint("leave the key out to plan with the usual two flasks"),
            );
        }
        seen = Some(key);
    }
    flasks
}
