//! Facts of one target: all that is planned for it.

use crate::pacing::Fade;
use crate::plan::Plan;
use crate::time::Elapsed;
use crate::units::{Quantity, Units};
use crate::unknowns;

use super::View;
use super::alerts::AlertFacts;
use super::finish::field_words;
use super::found::{CautionFacts, FindingFacts, UnknownFacts};
use super::goals::SwitchFacts;
use super::meetings::{HelperFacts, MeetingFacts};
use super::moon::MoonFacts;
use super::needs::{BodyFacts, DoseFacts};
use super::nights::LampChangeFacts;
use super::packs::{BagFacts, BagVisitFacts, HeapFacts, PickupFacts, ProvisionFacts};
use super::splits::{SplitFacts, SunFacts};
use super::value::{Measure, Moment, record, thousandth};
use super::verdict::{VerdictFacts, leave_by_effort};

record! {
    /// A plan: one target with its times, needs, things and people.
    pub struct PlanFacts {
        /// The planned finish.
        pub finish: Moment = Moment::of(&plan.schedule, plan.finish),
        /// The target as race time with seconds, such as `29:00:00`.
        pub finish_time: String = plan.finish.to_seconds_text(),
        /// The basis of the target, where the plan says: `race`, `long-runs` or `hope`.
        pub evidence: Option<&'static str> = evidence.map(|evidence| evidence.name()),
        /// The basis of early, likely and late arrivals in words, such as `2 past results`.
        pub rests_on: String = view.race.rests.on.words(),
        /// True where the user says what it rests on.
        pub rests_on_is_said: bool = view.race.rests.is_said,
        /// True where early, likely and late take the finish as met exactly instead.
        pub on_target: bool = plan.schedule.on_target,
        /// True where the times to expect are later than planned by so much that they stand beside.
        pub expects_later: bool = expects_later(plan),
        /// The meaning of early and late, in words.
        pub early_late: String = early_late(view, plan),
        /// The effort that latest departures are counted at: `likely effort`, or `planned effort`
        /// where the likely runner misses a cutoff.
        pub leave_by_effort: &'static str = leave_by_effort(plan),
        /// Place of target and likely finish in the field of a former edition, in words.
        pub field_words: Option<String> = field_words(view, Some(plan.finish)),
        /// The verdict.
        pub verdict: VerdictFacts = VerdictFacts::of(view, plan, &splits, &findings),
        /// Speed on level ground of the same effort, metres per second.
        pub level_speed_mps: f64 = thousandth(plan.pacing.level_speed_mps),
        /// The runner's pacing and its basis.
        pub pacing: PacingFacts = PacingFacts::of(view, plan),
        /// Stations with their times, in course order.
        pub splits: Vec<SplitFacts> = splits,
        /// The times at which to switch from one of its finishes to the next.
        pub switches: Vec<SwitchFacts> = switches,
        /// Other targets beside it.
        pub other_finishes: Vec<OtherFinishFacts> = others
            .map(|other| OtherFinishFacts::of(view, other))
            .collect(),
        /// Sunrises and the like while the runner is out.
        pub sun: Vec<SunFacts> = SunFacts::all(view, plan),
        /// The moon; nothing without a clock.
        pub moon: Option<MoonFacts> = MoonFacts::of(view, plan),
        /// The body over the whole race.
        pub body: BodyFacts = BodyFacts::of(view, plan),
        /// Fills and servings to leave each supply point with.
        pub pickups: Vec<PickupFacts> = PickupFacts::all(view, plan),
        /// Batteries and lamps that go on after the first.
        pub lamp_changes: Vec<LampChangeFacts> = LampChangeFacts::all(view, plan),
        /// Drop bags.
        pub bags: Vec<BagFacts> = BagFacts::all(view, plan),
        /// Foods to have and to buy.
        pub shopping: Vec<ProvisionFacts> = ProvisionFacts::all(view, plan),
        /// Things by the hands they go into before the race.
        pub heaps: Vec<HeapFacts> = HeapFacts::all(view, plan),
        /// Meetings of crew and runner.
        pub crew: Vec<MeetingFacts> = MeetingFacts::all(view, plan, plan.schedule.out_at()),
        /// The people who help.
        pub helpers: Option<HelperFacts> = HelperFacts::of(view),
        /// The runner's name.
        pub runner: Option<String> = view.inputs.runner.name.clone(),
        /// Things that no long run has tested.
        pub unknowns: Vec<UnknownFacts> = UnknownFacts::all(&unknowns, view.units),
        /// Findings of the plan, the heaviest first.
        pub findings: Vec<FindingFacts> = findings,
        /// Cautions that apply.
        pub cautions: Vec<CautionFacts> = CautionFacts::all(&plan.fueling.cautions),
        /// The meaning of the two marks of a repeated hour, where the race runs through one.
        pub repeated_hour: Option<&'static str> = repeats_an_hour(plan).then_some(REPEATED_HOUR),
    } from pub(crate) fn of(view: &View<'_>, plan: &Plan) {
        let findings = FindingFacts::all(view, plan);
        let splits = SplitFacts::all(view, plan);
        let switches = SwitchFacts::all(view, plan, &splits);
        let unknowns = unknowns::unknowns(view.race, plan, view.inputs);
        let evidence = view.inputs.plan.windows.evidence;
        let others = view
            .plans
            .iter()
            .filter(|other| !std::ptr::eq(*other, plan));
    }

    /// Another target, side by side with the plan's own.
    pub struct OtherFinishFacts {
        /// The finish.
        pub finish: Moment = Moment::of(&other.schedule, other.finish),
        /// As race time with seconds.
        pub finish_time: String = other.finish.to_seconds_text(),
        /// Its splits.
        pub splits: Vec<SplitFacts> = SplitFacts::all(view, other),
    } from fn of(view: &View<'_>, other: &Plan) {}

    /// The runner's pacing, with the basis of each figure.
    pub struct PacingFacts {
        /// The same effort as a pace on level ground.
        pub level_pace: Measure = Measure::pace(view.units, 1.0 / plan.pacing.level_speed_mps),
        /// Planned stops in all.
        pub stops: Measure = Measure::time(Elapsed::from_s(stops_s)),
        /// The cost model of slopes.
        pub cost_model: String = cost.name.to_owned(),
        /// The figure in words.
        pub cost_about: String = cost.about.to_owned(),
        /// Its publication.
        pub cost_source: String = cost.source.to_owned(),
        /// The least and greatest gradient it was measured at, percent.
        pub cost_measured_pct: Vec<f64> = vec![percent(cost.measured.0), percent(cost.measured.1)],
        /// The basis of the runner's own figures, in words.
        pub own: Option<String> = own_words(view),
        /// Every figure with its value and who gave it.
        pub figures: Vec<FigureFacts> = figures(view, plan),
    } from fn of(view: &View<'_>, plan: &Plan) {
        let stations = 0..plan.schedule.splits.len();
        let stops_s: f64 = stations.map(|at| plan.schedule.stop(at).as_s()).sum();
        let cost = plan.pacing.settings.cost;
        let percent = |share: f64| (share * 100.0).round();
    }

    /// A figure of pacing.
    pub struct FigureFacts {
        /// Its name.
        pub figure: &'static str,
        /// Its value as printed.
        pub value: String,
        /// `the plan`, `the runner's own` or `default`.
        pub from: &'static str,
    }
}

/// The meaning of the marks of the repeated hour.
pub const REPEATED_HOUR: &str = "¹ ² the first and the second time the clocks show that hour.";

impl PlanFacts {
    /// Fills and servings on leaving a station, by its printed number.
    #[must_use]
    pub fn pickup_at(&self, number: &str) -> Option<&PickupFacts> {
        self.pickups.iter().find(|pickup| pickup.number == number)
    }

    /// Doses of caffeine that are counted out on leaving a station, by its printed number.
    pub fn doses_at<'a>(&'a self, number: &'a str) -> impl Iterator<Item = &'a DoseFacts> {
        let doses = self.body.caffeine_doses.iter();
        doses.filter(move |dose| dose.number == number && dose.what.is_some())
    }

    /// True where clothes for cold are told.
    #[must_use]
    pub fn is_cold(&self) -> bool {
        let mut alerts = self.pickups.iter().flat_map(|pickup| &pickup.alerts);
        alerts.any(AlertFacts::is_cold)
    }

    /// Clothes for cold that begins before the crew meets the runner first, each with where the
    /// runner leaves for it.
    pub fn cold_before_crew(&self) -> impl Iterator<Item = (&PickupFacts, &AlertFacts)> {
        let first = self.crew.first().map(|met| &met.number);
        let before = self.pickups.iter().filter(move |_| first.is_some());
        let before = before.take_while(move |one| Some(&one.number) != first);
        before.flat_map(|pickup| {
            let alerts = pickup.alerts.iter().filter(|alert| alert.is_cold());
            alerts.map(move |alert| (pickup, alert))
        })
    }

    /// The drop bag that is opened at a station, by its printed number.
    #[must_use]
    pub fn bag_visit_at(&self, number: &str) -> Option<&BagVisitFacts> {
        let mut visits = self.bags.iter().flat_map(|bag| &bag.visits);
        visits.find(|visit| visit.number == number)
    }
}

/// True where the finish to expect is later than planned by more than a hundredth.
fn expects_later(plan: &Plan) -> bool {
    const SEEN: f64 = 1.01;
    let last = plan.schedule.splits.last();
    last.is_some_and(|last| last.likely.as_s() > SEEN * last.arrival.as_s())
}

/// The meaning of early and late, under every table that has them.
fn early_late(view: &View<'_>, plan: &Plan) -> String {
    if plan.schedule.on_target {
        return "Early and late: of ten races that finish on target, one arrives before early, one \
                after late."
            .to_owned();
    }
    let likely = match expects_later(plan) {
        true => " Plan: the split to run. Likely: the time to expect.",
        false => "",
    };
    format!(
        "Early and late: of ten races with a target based on {}, one arrives before early, one \
         after late.{likely}",
        view.race.rests.on.words()
    )
}

/// True where the clocks show an hour twice while the runner is out.
fn repeats_an_hour(plan: &Plan) -> bool {
    let Some(clock) = plan.schedule.clock else {
        return false;
    };
    // whole quarters of an hour find any repeated stretch that a clock change makes
    let mut quarters = 0..=plan.finish.as_secs() / 900;
    quarters.any(|q| clock.repeated(Elapsed::from_secs(q * 900)).is_some())
}

/// The basis of the runner's own pacing, where the plan uses it and the runner file says so.
fn own_words(view: &View<'_>) -> Option<String> {
    let (own, plan) = (&view.inputs.runner.pacing, &view.inputs.plan.pacing);
    let measured_on = own.measured_on?;
    let plans_fade = plan.fade.is_some() || plan.fade_exponent.is_some();
    let others = [
        own.climb_multiplier,
        own.descent_multiplier,
        own.stop_multiplier,
    ];
    let runs = match own.runs {
        Some(1) => ", 1 run".to_owned(),
        Some(n) => format!(", {n} runs"),
        None => String::new(),
    };
    let fade = if plans_fade {
        "; the fade is the plan's"
    } else {
        ""
    };
    (own.fade.is_some() && !plans_fade || others.iter().any(Option::is_some))
        .then(|| format!("own, measured on {measured_on}{runs}{fade}"))
}

/// Every figure of pacing, its value and who gave it.
fn figures(view: &View<'_>, plan: &Plan) -> Vec<FigureFacts> {
    let (choice, own) = (&view.inputs.plan.pacing, &view.inputs.runner.pacing);
    let set = &plan.pacing.settings;
    let figure = |figure: &'static str, value: String, by_plan: bool, by_runner: bool| {
        let from = match (by_plan, by_runner) {
            (true, _) => "the plan",
            (false, true) => "the runner's own",
            (false, false) => "default",
        };
        FigureFacts {
            figure,
            value,
            from,
        }
    };
    let cost_chosen = choice.cost_model.is_some() || choice.walker;
    let cap_own = own.downhill_cap.is_some();
    let fade_chosen = choice.fade.is_some() || choice.fade_exponent.is_some();
    let stopped = set.stop_multiplier.map_or_else(
        || "part of the fade".to_owned(),
        |multiplier| format!("{} of the usual", times(multiplier)),
    );
    let heat = heated(view.units, set.heat_per_c);
    let height = thinned(view.units, set.altitude_per_km);
    vec![
        figure(
            "cost of slopes",
            set.cost.name.to_owned(),
            cost_chosen,
            false,
        ),
        figure(
            "fastest descent, of level speed",
            times(set.downhill_cap),
            choice.downhill_cap.is_some(),
            cap_own,
        ),
        figure(
            "time on climbs",
            times(set.climb_multiplier),
            false,
            own.climb_multiplier.is_some(),
        ),
        figure(
            "time on descents",
            times(set.descent_multiplier),
            false,
            own.descent_multiplier.is_some(),
        ),
        figure(
            "fade over the day",
            faded(set.fade),
            fade_chosen,
            own.fade.is_some(),
        ),
        figure(
            "time stood still",
            stopped,
            false,
            own.stop_multiplier.is_some(),
        ),
        figure(
            "time in the dark",
            times(set.night_factor),
            choice.night_factor.is_some(),
            false,
        ),
        figure(
            "more time in the heat",
            heat,
            choice.heat_per_c.is_some(),
            false,
        ),
        figure(
            "speed lost with height",
            height,
            choice.altitude_per_km.is_some(),
            false,
        ),
    ]
}

fn times(value: f64) -> String {
    format!("× {value:.2}")
}

fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

fn faded(fade: Fade) -> String {
    match fade {
        Fade::Slowing { strength } => format!("{} of what recorded races show", times(strength)),
        Fade::Power { exponent } => format!("time as effort to the power of {exponent:.3}"),
    }
}

/// Degrees Fahrenheit in one of Celsius.
const F_PER_C: f64 = 1.8;

/// Extra time by the degree, from the temperature on at which it counts.
fn heated(units: Units, per_c: f64) -> String {
    let per_degree = match units {
        Units::Metric => per_c,
        Units::Imperial => per_c / F_PER_C,
    };
    let from = units.show(Quantity::Temperature { c: 15.0 });
    let symbol = units.temperature_symbol();
    format!("{} per {symbol} above {from}", percent(per_degree))
}

/// Speed lost in thinner air, from the height on at which it counts.
fn thinned(units: Units, per_km: f64) -> String {
    let height = |m: f64| units.show(Quantity::Height { m });
    let (per, above) = (height(1000.0), height(300.0));
    format!("{} per {per} above {above}", percent(per_km))
}
