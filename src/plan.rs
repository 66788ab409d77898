//! The whole pipeline. [`Race::prepare`] builds what holds whatever the target; [`Race::plan`]
//! turns a target into everything the runner will pass, drink, carry and hand over.

use crate::ability::{self, Basis, Estimate, Field, RaceAhead, Rests, Spread};
use crate::arrivals::{self, Arrivals, Trials};
use crate::conditions::Conditions;
use crate::course::Course;
use crate::crew::{self, CrewPlan};
use crate::diagnostics::{Diagnostic, Notes, Spanned};
use crate::exposure::Exposures;
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::fueling::{self, Fueling, Taken};
use crate::inputs::Inputs;
use crate::pacing::{self, Goal, Impossible, Pacing, PacingSettings};
use crate::packing::{Losses, Packer, Packing};
use crate::schedule::{Limit, Schedule, resolve_cutoffs};
use crate::time::{Elapsed, RaceClock};
use crate::units::{Phrase, Quantity, Units};

/// The ratio to the planned that is worth a word; less is within what a runner can tell.
pub(crate) const WORTH_SAYING: f64 = 1.03;

/// A race, which holds for every target: the course, its hours, its limits, the runner's pacing.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Race {
    /// The course model.
    pub course: Course,
    /// Light and weather.
    pub conditions: Conditions,
    /// The organiser's clock, counted from the runner's own start; `None` without date and zone.
    pub clock: Option<RaceClock>,
    /// Cutoffs in race time, per station.
    pub limits: Vec<Option<Limit>>,
    /// Planned stops, per station, seconds.
    pub stops_s: Vec<f64>,
    /// The runner's pacing.
    pub settings: PacingSettings,
    /// The finish to expect by past results; `None` where there are none.
    pub estimate: Option<Estimate>,
    /// The basis of the target, and so the spread of the true finish around it.
    pub rests: Rests,
    /// True where early, likely and late arrivals take the finish as met exactly; not by default.
    pub on_target: bool,
    /// The field of a former edition; `None` where it is not known.
    pub field: Option<Field>,
    /// Things not there after all; nothing by default.
    pub losses: Losses,
}

/// One target, planned.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Plan {
    /// The target.
    pub finish: Elapsed,
    /// Effort to speed.
    pub pacing: Pacing,
    /// Splits and cutoffs.
    pub schedule: Schedule,
    /// Light and weather along the way.
    pub exposures: Exposures,
    /// Needs.
    pub fueling: Fueling,
    /// Pick-ups, bags, gear.
    pub packing: Packing,
    /// Meetings.
    pub crew: CrewPlan,
}

impl Race {
    /// Builds course, conditions and limits from what the user wrote.
    ///
    /// `None` where `notes` has errors that rule out any plan.
    #[must_use]
    pub fn prepare(inputs: &Inputs, longest: Elapsed, notes: &mut Notes) -> Option<Race> {
        let course = Course::build(inputs, notes)?;
        let offset =
            chrono::Duration::seconds(Elapsed::from_s(inputs.plan.wave_offset_s).as_secs());
        let clock = course
            .official_start
            .map(|start| RaceClock::starting(start + offset));
        let limits = resolve_cutoffs(&course, inputs.plan.wave_offset_s, notes);
        let last_limit = limits
            .iter()
            .flatten()
            .map(|l| l.elapsed)
            .max()
            .unwrap_or_default();
        let longest_s = longest.max(last_limit).as_s();
        let conditions = Conditions::over(&course, inputs, clock.as_ref(), longest_s, notes);
        let stops_s = pacing::planned_stops_s(&course, &inputs.plan.stops);
        let settings = PacingSettings::choose(&inputs.plan.pacing, &inputs.runner.pacing, notes);
        let mut race = Race {
            course,
            conditions,
            clock,
            limits,
            stops_s,
            settings,
            rests: Rests::of(inputs),
            estimate: None,
            on_target: inputs.plan.windows.on_target,
            field: Field::of(&inputs.results),
            losses: Losses::default(),
        };
        race.estimate = ability::estimate(&race.asked(), &inputs.plan.past, notes);
        if let Some(estimate) = &race.estimate {
            race.rests = Rests {
                on: Basis::Results(estimate.from.len()),
                is_said: true,
                expected: Some(estimate.spread),
            };
        } else if inputs.plan.finish.is_none() {
            race.rests = Rests {
                on: Basis::Hope,
                is_said: true,
                expected: Some(ability::unproven(&race.course, race.field.as_ref())),
            };
        }
        (!notes.has_errors()).then_some(race)
    }

    /// The course and day that a finish is estimated on.
    pub(crate) fn asked(&self) -> RaceAhead<'_> {
        RaceAhead {
            course: &self.course,
            conditions: &self.conditions,
            settings: &self.settings,
            stops_s: &self.stops_s,
            field: self.field.as_ref(),
        }
    }

    /// Plans one target.
    ///
    /// `None`, with an error in `notes`, where the target is impossible on this course.
    #[must_use]
    pub fn plan(
        &self,
        inputs: &Inputs,
        finish: Spanned<Elapsed>,
        notes: &mut Notes,
    ) -> Option<Plan> {
        let goal = Goal {
            finish_s: finish.value.as_s(),
            stops_s: self.stops_s.clone(),
        };
        let pacing = pacing::solve(&self.course, &self.conditions, &self.settings, &goal)
            .map_err(|why| notes.push(impossible(finish, &self.stops_s, why)))
            .ok()?;
        let (mut schedule, heat) = rayon::join(
            || self.lay_out(&pacing),
            || pacing.heat_effort(&self.conditions),
        );
        let found = self.target_findings(&pacing, &schedule, heat.unwrap_or(1.0));
        schedule.findings.extend(found);
        let taken = Taken::default();
        Some(self.equip(inputs, finish.value, pacing, schedule, &taken))
    }

    /// Another target's times with everything else of a plan that is there: the quick answer while
    /// a target is still being chosen. `None` where it is impossible on this course.
    #[must_use]
    pub fn timed(&self, finish: Spanned<Elapsed>, other: &Plan) -> Option<Plan> {
        let goal = Goal {
            finish_s: finish.value.as_s(),
            stops_s: self.stops_s.clone(),
        };
        let pacing = pacing::solve(&self.course, &self.conditions, &self.settings, &goal).ok()?;
        let schedule = self.lay_out(&pacing);
        let exposures = Exposures::along(&self.course, &self.conditions, &pacing, &schedule);
        Some(Plan {
            finish: finish.value,
            pacing,
            schedule,
            exposures,
            ..other.clone()
        })
    }

    /// Findings about the target by the day and what was run before.
    fn target_findings(&self, pacing: &Pacing, schedule: &Schedule, heat: f64) -> Vec<Finding> {
        let mut found = Vec::new();
        let note = |kind: FindingKind, says: String| {
            Finding::new(kind, Weight::Note, About::Race, Phrase::new(says))
        };
        if heat > WORTH_SAYING {
            let stops_s: f64 = self.stops_s.iter().sum();
            let same = Elapsed::from_s(stops_s + (pacing.finish_s - stops_s) * heat);
            let percent = 100.0 * (heat - 1.0);
            let says = format!(
                "in this warmth the target takes {percent:.0} % more effort than on a cool day: {} for the same effort",
                same.to_minute()
            );
            found.push(note(FindingKind::HeatCost, says));
        }
        let likely = schedule.splits.last().map(|split| split.likely);
        if let Some(likely) = likely
            && self.estimate.is_some()
            && !schedule.on_target
            && likely.as_s() > WORTH_SAYING * pacing.finish_s
        {
            let says = format!(
                "{} is faster than {} support: expect {}",
                Elapsed::from_s(pacing.finish_s),
                self.rests.on.words(),
                likely.to_minute()
            );
            found.push(note(FindingKind::TargetFast, says));
        }
        found
    }

    /// The finishes to expect of a runner who sets out for a target, seconds, on this day.
    #[must_use]
    pub fn finish(&self, target_s: f64) -> Spread {
        self.rests.finish(target_s, |target_s, unaware| {
            let goal = Goal {
                finish_s: target_s,
                stops_s: self.stops_s.clone(),
            };
            let (settings, easier) = (&self.settings, unaware.easier(&self.settings));
            let (course, conditions) = (&self.course, &self.conditions);
            pacing::finish_of_effort_s(course, conditions, settings, &goal, &easier)
                .unwrap_or(target_s)
        })
    }

    /// The splits of a pacing, with what to expect of a runner who sets out for them.
    pub(crate) fn lay_out(&self, pacing: &Pacing) -> Schedule {
        let spread = self.finish(pacing.finish_s);
        let trials = Trials {
            finish: (!self.on_target).then_some(spread),
            ..Trials::default()
        };
        let arrivals = arrivals::simulate(&self.conditions, pacing, &self.limits, &trials);
        self.scheduled(pacing, &arrivals)
    }

    /// The splits of a pacing with arrivals simulated before.
    pub(crate) fn scheduled(&self, pacing: &Pacing, arrivals: &Arrivals) -> Schedule {
        Schedule::lay_out(
            &self.course,
            &self.conditions,
            pacing,
            &self.limits,
            arrivals,
            self.clock,
        )
    }

    /// A plan with the same times, packed again: after [`Race::losses`] changed.
    #[must_use]
    pub fn packed_again(&self, inputs: &Inputs, plan: &Plan) -> Plan {
        let (pacing, schedule) = (plan.pacing.clone(), plan.schedule.clone());
        let taken = &plan.fueling.taken;
        self.equip(inputs, plan.finish, pacing, schedule, taken)
    }

    /// Everything that follows from knowing when the runner is where.
    pub(crate) fn equip(
        &self,
        inputs: &Inputs,
        finish: Elapsed,
        pacing: Pacing,
        schedule: Schedule,
        taken: &Taken,
    ) -> Plan {
        let exposures = Exposures::along(&self.course, &self.conditions, &pacing, &schedule);
        let fueling = fueling::plan_after(
            &self.course,
            &schedule,
            &exposures,
            &inputs.runner,
            &inputs.plan,
            taken,
        );
        let packer = Packer::new(&self.course, &schedule, &exposures, &fueling);
        let packing = packer.pack(&self.losses, inputs);
        let crew = crew::assign(
            &self.course,
            &schedule,
            &packing,
            inputs.crew.as_ref(),
            &self.losses,
        );
        Plan {
            finish,
            pacing,
            schedule,
            exposures,
            fueling,
            packing,
            crew,
        }
    }
}

impl Plan {
    /// Everything the plan found, the heaviest first, each weight in course order.
    #[must_use]
    pub fn findings(&self) -> Vec<&Finding> {
        let mut all: Vec<&Finding> = self
            .schedule
            .findings
            .iter()
            .chain(&self.packing.findings)
            .chain(&self.fueling.findings)
            .chain(&self.crew.findings)
            .collect();
        all.sort_by_key(|finding| (std::cmp::Reverse(finding.weight), finding.about));
        all
    }
}

fn impossible(finish: Spanned<Elapsed>, stops_s: &[f64], why: Impossible) -> Diagnostic {
    let stops = Elapsed::from_s(stops_s.iter().sum());
    let target = finish.value.to_seconds_text();
    match why {
        Impossible::TooFast { fastest_s } => {
            let fastest = up_to_minute(fastest_s).to_seconds_text();
            let pace = Quantity::Pace {
                s_per_m: 1.0 / pacing::FASTEST_LEVEL_MPS,
            };
            let pace = Units::Metric.show(pace);
            let mostly_stops = stops + stops > finish.value;
            let (says, or) = match mostly_stops {
                true => (
                    format!("{target} leaves too little time to run: {stops} of stops are planned"),
                    "shorten the stops, which are minutes at each station, or ",
                ),
                false => (
                    format!(
                        "{target} is too fast for this course: it needs more than {pace} on the flat"
                    ),
                    "",
                ),
            };
            Diagnostic::error(says)
                .at(
                    finish.span,
                    format!("expected {fastest} or more, of which {stops} are stops"),
                )
                .hint(format!("{or}set `finish` to {fastest} or more"))
        }
        Impossible::TooSlow { slowest_s } => {
            let slowest =
                Elapsed::from_secs((slowest_s / 60.0).floor() as i64 * 60).to_seconds_text();
            Diagnostic::error(format!("a finish in {target} is slower than any walk"))
                .at(finish.span, format!("expected {slowest} or less"))
                .hint("give a shorter target, or longer stops")
        }
    }
}

fn up_to_minute(seconds: f64) -> Elapsed {
    Elapsed::from_secs((seconds / 60.0).ceil() as i64 * 60)
}
