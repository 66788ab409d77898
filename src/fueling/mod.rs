//! Needs of the body on each segment: fluid, sodium, carbohydrate, energy. Estimates, labelled
//! as such; never a prescription.

pub mod caffeine;
mod cautions;
mod cold;
pub mod energy;
pub mod finish_mass;
mod habits;
pub mod heat;
pub mod needs;
mod segment;
mod settled;
mod surroundings;
pub mod sweat;
mod verdicts;

use crate::course::Course;
use crate::exposure::{Exposure, Exposures};
use crate::findings::{Caution, Finding, FindingKind};
use crate::inputs::{PlanFile, RunnerFile};
use crate::schedule::Schedule;

pub use caffeine::Taken;
pub use cautions::all_cautions;
pub use cold::{ColdStretch, DressPoint};
pub use habits::Habit;
pub use settled::{body_of, caffeine_from_h};
pub use surroundings::{HighWay, StormHours};

/// Needs over the whole race.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Fueling {
    /// One per segment, in course order; the stop at the station that a segment leaves belongs to
    /// the segment.
    pub segments: Vec<SegmentNeed>,
    /// The runner's eating and drinking, one per segment; empty where the runner does not say.
    pub habits: Vec<Habit>,
    /// Inputs that are defaults, in words such as `body mass 70.0 kg`.
    pub assumed: Vec<crate::units::Phrase>,
    /// The origin of the sweat rate.
    pub sweat_from: SweatSource,
    /// Expected body mass at the finish.
    pub finish_mass: FinishMass,
    /// Caffeine taken where the race is under way; nothing before it.
    pub taken: Taken,
    /// Stretches on which cold is felt, in course order.
    pub cold: Vec<ColdStretch>,
    /// Ways over high ground and into storms, in course order.
    pub high: Vec<HighWay>,
    /// Findings of the needs: refused or limited rates, heat bands, deficits.
    pub findings: Vec<Finding>,
    /// Cautions that apply, those for always first.
    pub cautions: Vec<Caution>,
}

impl Fueling {
    /// The mean over the race of something that is needed per segment, per hour.
    #[must_use]
    pub fn mean_per_h(&self, needed: impl Fn(&SegmentNeed) -> f64) -> f64 {
        let hours: f64 = self.segments.iter().map(|need| need.hours).sum();
        self.segments.iter().map(needed).sum::<f64>() / hours.max(1e-9)
    }
}

/// The origin of a sweat rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum SweatSource {
    /// Predicted from mass, effort and weather.
    #[default]
    Predicted,
    /// Predicted, then corrected by so many measured long runs.
    Corrected(u32),
}

/// The needs of one segment, with the stop before it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SegmentNeed {
    /// Hours from arrival at the station before (start: departure) to arrival at the next.
    pub hours: f64,
    /// Sweat, litres per hour.
    pub sweat_l_per_h: f64,
    /// Low and high end of the sweat estimate, litres per hour.
    pub sweat_band_l_per_h: (f64, f64),
    /// Fluid to plan for, drink and water in food together, millilitres. Never above sweat.
    pub fluid_ml: f64,
    /// The part of it drunk on the way, the stop left out, millilitres.
    pub way_ml: f64,
    /// Fluid to leave the station with, millilitres: what the way would take if sweat is at the
    /// high end of its band, or the plan with the reserve that it names.
    pub carry_ml: f64,
    /// Sodium to plan for, milligrams. Never above predicted loss.
    pub sodium_mg: f64,
    /// Sodium lost in sweat, milligrams.
    pub sodium_loss_mg: f64,
    /// Carbohydrate to plan for, grams.
    pub carbs_g: f64,
    /// Protein to plan for, grams.
    pub protein_g: f64,
    /// Energy burned, kilocalories.
    pub energy_kcal: f64,
    /// Caffeine planned, milligrams; 0 unless asked for.
    pub caffeine_mg: f64,
    /// Mean air temperature, °C; `None` without a forecast.
    pub temp_c: Option<f64>,
    /// Lowest air temperature, °C.
    pub coldest_c: Option<f64>,
    /// Highest wet-bulb globe temperature estimate, °C.
    pub wbgt_c: Option<f64>,
    /// Lowest wind chill, °C, where it applies.
    pub wind_chill_c: Option<f64>,
}

impl SegmentNeed {
    /// The lowest air temperature where it freezes hoses, flasks and gels, °C.
    #[must_use]
    pub fn frost_c(&self) -> Option<f64> {
        self.coldest_c.filter(|c| *c <= surroundings::FROST_C)
    }
}

/// Body mass at the finish of a runner who drinks and eats as planned.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FinishMass {
    /// At the start, kilograms.
    pub start_kg: f64,
    /// Expected loss, kilograms.
    pub expected_loss_kg: f64,
    /// Low and high end of the expected loss, percent of the start mass.
    pub loss_window_pct: (f64, f64),
}

/// Works out the needs of every segment.
#[must_use]
pub fn plan(
    course: &Course,
    schedule: &Schedule,
    exposures: &Exposures,
    runner: &RunnerFile,
    plan: &PlanFile,
) -> Fueling {
    let taken = Taken::default();
    plan_after(course, schedule, exposures, runner, plan, &taken)
}

/// [`plan`] for a race under way, after caffeine that was taken.
#[must_use]
pub fn plan_after(
    course: &Course,
    schedule: &Schedule,
    exposures: &Exposures,
    runner: &RunnerFile,
    plan: &PlanFile,
    taken: &Taken,
) -> Fueling {
    let met = &exposures.segments;
    let habits = habits::along(course, schedule, met, runner);
    let behind = taken.over();
    let high = surroundings::high_ways(schedule, met, behind);
    let mut fueling = assess_after(met, runner, plan, taken, (habits, high));
    fueling.cold = cold::stretches(course, schedule, met, behind);
    let around = surroundings::findings(course, schedule, exposures, &fueling);
    fueling.findings.extend(around);
    let told = exposures.told;
    for finding in &mut fueling.findings {
        let assumed = match finding.kind {
            FindingKind::ColdWindChill | FindingKind::ColdHarm if !told.wind => "wind",
            FindingKind::HeatYellow | FindingKind::HeatRed | FindingKind::HeatBlack
                if !told.humidity =>
            {
                "humidity"
            }
            _ => continue,
        };
        let says = std::mem::take(&mut finding.says);
        finding.says = says.and(format!("; the {assumed} is assumed, not forecast"));
    }
    fueling
}

/// Works out needs from what each segment exposes the runner to; [`plan`] without a course.
///
/// ```
/// use sutler::exposure::{Exposure, Spell};
/// use sutler::fueling;
/// use sutler::inputs::{PlanFile, RunnerFile};
/// let hour = Spell { hours: 1.0, speed_mps: 2.0, sun_up: true, ..Spell::default() };
/// let way = Exposure { moving: vec![hour; 3], cost_j_per_kg: 78_000.0, ..Exposure::default() };
/// let needs = fueling::assess(&[way], &RunnerFile::default(), &PlanFile::default());
/// let need = &needs.segments[0];
/// assert!(need.fluid_ml <= 1000.0 * need.sweat_l_per_h * need.hours);
/// assert!(!needs.cautions.is_empty() && !needs.assumed.is_empty());
/// ```
#[must_use]
pub fn assess(exposures: &[Exposure], runner: &RunnerFile, plan: &PlanFile) -> Fueling {
    assess_after(
        exposures,
        runner,
        plan,
        &Taken::default(),
        Default::default(),
    )
}

/// [`assess`] for a race under way.
fn assess_after(
    exposures: &[Exposure],
    runner: &RunnerFile,
    plan: &PlanFile,
    taken: &Taken,
    (habits, high): (Vec<Habit>, Vec<HighWay>),
) -> Fueling {
    let settled = settled::RunnerRates::of(exposures, runner, plan);
    let strain = |exposure| segment::Strain::of(exposure, &settled);
    let strains: Vec<segment::Strain> = exposures.iter().map(strain).collect();
    let times = segment::fluid_times(&strains, &settled);
    let (mut segments, details): (Vec<_>, Vec<_>) = exposures
        .iter()
        .zip(&strains)
        .map(|(exposure, strain)| segment::need(exposure, strain, &settled, times))
        .unzip();
    habits::sip(&mut segments, &habits);
    segment::add_caffeine(&mut segments, exposures, &settled, taken);
    let finish_mass = finish_mass::expected(&settled, &segments);
    let findings = verdicts::Verdicts {
        settled: &settled,
        segments: &segments,
        details: &details,
        finish_mass,
        behind: taken.over(),
    }
    .all();
    Fueling {
        habits,
        taken: taken.clone(),
        cautions: cautions::that_apply(exposures, &segments, &high, runner),
        high,
        segments,
        sweat_from: settled.sweat.source(),
        assumed: settled.assumed,
        finish_mass,
        cold: Vec::new(),
        findings,
    }
}
