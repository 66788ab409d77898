//! Everything any output says of a race, as one value: SI numbers beside the way they are printed.
//!
//! [`Facts::of`] reads a race and its plans once. Reports, pages, pictures, the calendar, the track
//! and the crew's page read [`Facts`] and compute nothing, so that all of them say the same. Data
//! formats write the value as it is; each record says with [`value::Fact`] which keys it has.

mod alerts;
mod check;
mod debrief;
mod debrief_words;
mod doses;
mod explain;
mod finish;
mod fit;
mod fit_words;
mod flasks;
mod found;
mod goals;
mod help;
mod long_runs;
mod meetings;
mod moon;
mod needs;
mod nights;
mod packs;
mod phone;
mod plan;
mod profile;
mod race;
mod rehearsal;
mod replan;
mod segments;
mod splits;
mod staying;
mod track;
pub mod value;
mod verdict;
mod watch;
mod without;

use serde_json::Value;

use crate::diagnostics::Diagnostic;
use crate::inputs::Inputs;
use crate::plan::{Plan, Race};
use crate::units::Units;

pub use alerts::AlertFacts;
pub use check::{CheckFacts, LossFacts};
pub use debrief::{
    DebriefFacts, EffectFacts, IntakeHourFacts, MovingFacts, OwnPaceFacts, PauseFacts,
    ProposalFacts, RateFacts, RemarkFacts, SlopeFacts, SweatFacts,
};
pub use explain::{ExplainFacts, ExplainStepFacts};
pub use finish::{EstimatedFinishFacts, MarginFacts, OutlookFacts, PastFacts, ProspectFacts};
pub use fit::{ErrorFacts, FitFacts, OwnFigureFacts, RecordingFacts};
pub use found::{CautionFacts, CoverFacts, FindingFacts, UnknownFacts};
pub use goals::{SwitchFacts, SwitchGoalFacts};
pub use help::help;
pub use long_runs::{CalendarFacts, LongRunFacts, ShortfallFacts, TestFacts, WeekFacts};
pub use meetings::{HelperFacts, MeetingFacts, NumberFacts, SpotFacts, StintFacts};
pub use moon::MoonFacts;
pub use needs::{BodyFacts, DoseFacts, NeedFacts};
pub use nights::{LampChangeFacts, LampFacts, SleepFacts};
pub use packs::{
    BagFacts, BagVisitFacts, FlaskFacts, HeapFacts, PackedFacts, PickupFacts, ProvisionFacts,
    RationFacts, ServingFacts,
};
pub use phone::{ClockFacts, PhoneColumnFacts, PhoneFacts, PhoneStationFacts, PhoneTableFacts};
pub use plan::{FigureFacts, OtherFinishFacts, PacingFacts, PlanFacts, REPEATED_HOUR};
pub use profile::{HourFacts, NightFacts, ProfileFacts};
pub use race::{RaceFacts, StationFacts, SurveyFacts, UnitFacts};
pub use rehearsal::{HabitFacts, LapFacts, LikenessFacts, RehearsalFacts, TrialFacts};
pub use replan::{
    AheadFacts, EffortFacts, GoalFacts, NeedAheadFacts, NeededFacts, ReplanFacts, RestFacts,
    SeenFacts,
};
pub use segments::SegmentFacts;
pub use splits::{PaceFacts, SplitFacts, SunFacts, WeatherFacts};
pub use staying::{DO_NOT_PUSH, StayFacts, StayStationFacts};
pub use track::{PointFacts, TrackFacts};
pub use value::{Fact, Flat, Measure, Moment, Record, RecordField};
pub use verdict::VerdictFacts;
pub use without::{ChangeFacts, WithoutFacts};

use value::record;

/// A race and its plans, with the units to say them in: what [`Facts`] are made from.
#[derive(Clone, Copy, Debug)]
pub struct View<'a> {
    /// The race, which holds for every target.
    pub race: &'a Race,
    /// The user's files.
    pub inputs: &'a Inputs,
    /// The targets, the plan's own first; empty where only the course is asked for.
    pub plans: &'a [Plan],
    /// Units to print in.
    pub units: Units,
    /// The first plan as it was before something was lost; nothing where nothing is.
    pub before: Option<&'a Plan>,
    /// Warnings about the files, repeated in data formats.
    pub warnings: &'a [Diagnostic],
}

record! {
    /// Everything that outputs say.
    pub struct Facts {
        /// The race.
        pub race: Flat<RaceFacts>,
        /// Stations in course order.
        pub stations: Vec<StationFacts>,
        /// Segments in course order.
        pub segments: Vec<SegmentFacts>,
        /// The course from the side.
        pub profile: ProfileFacts,
        /// The first target; nothing where only the course is asked for.
        pub plan: Option<Flat<PlanFacts>>,
        /// Changes where something is not there after all.
        pub without: Option<WithoutFacts>,
        /// Findings of a check beside the plan.
        pub check: Option<CheckFacts>,
        /// Long runs that try the plan out, the most race-like first.
        pub rehearsals: Vec<RehearsalFacts>,
        /// The calendar of long runs.
        pub calendar: Option<CalendarFacts>,
        /// A debriefed long run.
        pub debrief: Option<DebriefFacts>,
        /// The finishes that are in reach.
        pub outlook: Option<Flat<OutlookFacts>>,
        /// The rest of a race that goes differently.
        pub replan: Option<Flat<ReplanFacts>>,
        /// The origin of one printed number.
        pub explain: Option<ExplainFacts>,
        /// A runner's own pacing from recordings.
        pub fit: Option<FitFacts>,
        /// Warnings about the files.
        pub warnings: Vec<String>,
    }
}

impl Facts {
    /// The facts of a race and of its plans.
    #[must_use]
    pub fn of(view: &View<'_>) -> Facts {
        let plan = view.plans.first();
        Facts {
            race: Flat(RaceFacts::of(view)),
            stations: StationFacts::all(&view.race.course, view.units),
            segments: SegmentFacts::all(view, plan),
            profile: ProfileFacts::of(view),
            plan: plan.map(|plan| Flat(PlanFacts::of(view, plan))),
            without: WithoutFacts::of(view),
            warnings: view.warnings.iter().map(|w| w.message.clone()).collect(),
            ..Facts::default()
        }
    }

    /// Facts without a race, for reports of something else.
    #[must_use]
    pub fn unplanned(units: Units) -> Facts {
        Facts {
            race: Flat(RaceFacts {
                units: UnitFacts::of(units),
                ..RaceFacts::default()
            }),
            ..Facts::default()
        }
    }

    /// The plan's facts; `None` where only the course was asked for.
    #[must_use]
    pub fn planned(&self) -> Option<&PlanFacts> {
        self.plan.as_ref().map(|plan| &plan.0)
    }

    /// The findings of some stages; of all where none is named.
    pub fn findings<'a>(&'a self, stages: &'a [&str]) -> impl Iterator<Item = &'a FindingFacts> {
        let all = self.planned().map_or(&[][..], |plan| &plan.findings);
        all.iter()
            .filter(|one| stages.is_empty() || stages.contains(&one.stage))
    }

    /// Place in course order of a station with a printed number.
    #[must_use]
    pub fn station_at(&self, number: &str) -> Option<usize> {
        self.stations.iter().position(|own| own.number == number)
    }

    /// The facts as data, of all top-level keys only those named; all where none is. A name stands
    /// for every key of its value: `finish` also for `finish_s` and `finish_text`.
    #[must_use]
    pub fn to_json(&self, keys: &str) -> Value {
        let mut value = serde_json::to_value(self).unwrap_or_default();
        if let (Value::Object(map), false) = (&mut value, keys.is_empty()) {
            map.retain(|key, _| keys.split_whitespace().any(|name| belongs(key, name)));
        }
        value
    }
}

/// The times of a view's first plan and what they come to, and nothing else of it.
#[must_use]
pub fn times(view: &View<'_>) -> Option<(Vec<SplitFacts>, VerdictFacts)> {
    let plan = view.plans.first()?;
    let splits = SplitFacts::all(view, plan);
    let findings = FindingFacts::all(view, plan);
    let verdict = VerdictFacts::of(view, plan, &splits, &findings);
    Some((splits, verdict))
}

/// True where a key is of the value with this name.
fn belongs(key: &str, name: &str) -> bool {
    key.strip_prefix(name)
        .is_some_and(|rest| rest.is_empty() || rest.starts_with('_'))
}

/// Every record of the data with its fields, in the order a reader meets them.
#[must_use]
pub fn records() -> Vec<Record> {
    let mut met = Vec::new();
    Facts::describe(&mut met);
    TrackFacts::describe(&mut met);
    PhoneFacts::describe(&mut met);
    met
}
