//! Facts of a replanned race: what was seen, and the ways on.

use crate::plan::Plan;
use crate::replan::{GoalChance, Kind, Passage, Realism, Replan, Rest};
use crate::time::Elapsed;

use super::View;
use super::found::FindingFacts;
use super::goals::letter;
use super::meetings::MeetingFacts;
use super::race::number;
use super::segments::SegmentFacts;
use super::splits::{SplitFacts, chance_is, margin_is};
use super::staying::StayFacts;
use super::value::{Measure, Moment, each, record, thousandth};
use super::without::ChangeFacts;

record! {
    /// The rest of a race that goes differently.
    pub struct ReplanFacts {
        /// Passages seen, in course order.
        pub seen: Vec<SeenFacts> = each(&replan.events, |event| {
            SeenFacts::of(view, plan, replan, event)
        }),
        /// The station where the runner was last seen.
        pub last_seen: String = stations[replan.here].name.clone(),
        /// The same in words, with the time and how far off the plan it is.
        pub last_seen_words: String = last_seen(view, plan, replan),
        /// The departure from it: as seen, or after the planned stop.
        pub leave: Moment = leave,
        /// Losses, as typed.
        pub losses: Vec<String> = crate::losses::named(view.race),
        /// The effort so far, beside the plan's.
        pub effort: EffortFacts = EffortFacts {
            hours: thousandth(replan.shown.hours),
            time_ratio: thousandth(replan.shown.time_ratio),
            speed_ratio: thousandth(replan.shown.speed_ratio),
            words: effort_words(replan),
        },
        /// The demand of the original finish.
        pub needed: NeededFacts = NeededFacts {
            speed_ratio: replan.needed.speed_ratio.map(thousandth),
            chance: Measure::chance(replan.needed.chance),
            realism: match replan.needed.realism() {
                Realism::Easier => "easier",
                Realism::Realistic => "realistic",
                Realism::Doubtful => "doubtful",
                Realism::Impossible => "impossible",
            },
            words: needed_words(plan, replan),
        },
        /// The chance of making every cutoff as it goes; nothing where none lies ahead.
        pub chance: Option<Measure> = replan.at_effort.plan.schedule.chance.map(Measure::chance),
        /// Its grade: `good`, `doubtful` or `unlikely`.
        pub chance_is: Option<&'static str> = replan.at_effort.plan.schedule.chance.map(chance_is),
        /// The station at whose cutoff most of it is lost.
        pub lost_at: Option<String> = (replan.at_effort.plan.schedule.weakest)
            .map(|station| stations[station].name.clone()),
        /// The chance of each finish that the plan names as it goes, the earliest first; a race
        /// that misses a cutoff has no finish.
        pub goals: Vec<GoalFacts> = (replan.goals.iter())
            .enumerate()
            .map(|(index, goal)| GoalFacts {
                goal: letter(index),
                finish: goal.finish.to_string(),
                chance: Measure::chance(goal.chance),
                is_on_splits: goal.is_on_splits,
            })
            .collect(),
        /// The one to go for, in words; nothing where the plan names one.
        pub go_for: Option<String> = go_for(
            &replan.goals,
            replan.at_effort.plan.schedule.chance,
        ),
        /// The latest departure from here that still meets every cutoff ahead; nothing where the
        /// runner has left.
        pub leave_by: Option<Moment> = replan.leave_by().map(|by| Moment::of(&plan.schedule, by)),
        /// True where that leaves less than the planned stop.
        pub leave_now: bool = replan.leave_by().is_some_and(|by| by < replan.leave),
        /// The cutoff on leaving of the station where the runner stands, where it cuts the planned
        /// stop.
        pub out_by: Option<Moment> = replan.out_by.map(|by| Moment::of(&plan.schedule, by)),
        /// True where a cutoff ahead is missed as it goes.
        pub misses_cutoff: bool = replan.misses_cutoff(),
        /// Arrivals ahead by either way, beside the plan's.
        pub ahead: Vec<AheadFacts> = (replan.here + 1..stations.len())
            .map(|station| AheadFacts::of(view, plan, replan, station))
            .collect(),
        /// The needs of each segment ahead as it goes, beside the plan's.
        pub needs_ahead: Vec<NeedAheadFacts> = (replan.here..view.race.course.segments.len())
            .filter_map(|index| NeedAheadFacts::of(view, plan, replan, index))
            .collect(),
        /// As it goes.
        pub hold_effort: RestFacts = RestFacts::of(view, replan, &replan.at_effort),
        /// To the original finish; nothing where nobody runs that fast.
        pub hold_finish: Option<RestFacts> = (replan.at_finish.as_ref())
            .map(|rest| RestFacts::of(view, replan, rest)),
        /// The slowest way on that makes every cutoff; nothing where none lies ahead or none can
        /// be.
        pub stay_in: Option<StayFacts> = StayFacts::of(view, plan, replan),
    } from pub fn of(view: &View<'_>, plan: &Plan, replan: &Replan) {
        let stations = &view.race.course.stations;
        let leave = Moment::of(&plan.schedule, replan.leave);
    }

    /// A finish that the plan names, as the race goes.
    pub struct GoalFacts {
        /// Its letter, A for the earliest.
        pub goal: &'static str,
        /// The finish as race time.
        pub finish: String,
        /// The chance of it.
        pub chance: Measure,
        /// True where the runner was last seen no later than planned for it, and it is in reach.
        pub is_on_splits: bool,
    }

    /// An arrival or departure that was seen.
    pub struct SeenFacts {
        /// The station's number.
        pub number: String = number(course, event.station),
        /// The station.
        pub station: String = course.stations[event.station].name.clone(),
        /// `arrival` or `departure`.
        pub event: &'static str = kind,
        /// The time.
        pub at: Moment = at(event.at()),
        /// The planned time.
        pub planned: Moment = at(planned),
        /// Delay against the plan; negative is earlier.
        pub off: Measure = Measure::margin(event.at().to_minute() - planned.to_minute()),
        /// The station's cutoff.
        pub cutoff: Option<Moment> = now.cutoff.map(|limit| at(limit.elapsed)),
        /// Time in hand there.
        pub margin: Option<Measure> = margin.map(Measure::margin),
        /// The comfort: `good`, `close` or `missed`.
        pub margin_is: Option<&'static str> = margin.map(margin_is),
    } from fn of(view: &View<'_>, plan: &Plan, replan: &Replan, event: &Passage) {
        let course = &view.race.course;
        let split = &plan.schedule.splits[event.station];
        let (kind, planned) = match event.kind {
            Kind::Arrival => ("arrival", split.arrival),
            Kind::Departure => ("departure", split.departure),
        };
        let now = &replan.at_effort.plan.schedule.splits[event.station];
        // who was not seen leaving is in as long as a cutoff on leaving has not passed
        let margin = match now.cutoff {
            Some(limit) if !replan.was_left(event.station) => Some(limit.elapsed - event.at()),
            _ => now.margin,
        };
        let at = |elapsed| Moment::of(&plan.schedule, elapsed);
    }

    /// The effort that was shown so far.
    pub struct EffortFacts {
        /// Hours on the move that it was seen over.
        pub hours: f64,
        /// Moving time over the planned.
        pub time_ratio: f64,
        /// Level-ground speed over the planned.
        pub speed_ratio: f64,
        /// All of it in words.
        pub words: String,
    }

    /// The demand of the original finish from here.
    pub struct NeededFacts {
        /// Level-ground speed over the planned; nothing where nobody runs that fast.
        pub speed_ratio: Option<f64>,
        /// The chance of it as it goes.
        pub chance: Measure,
        /// `easier`, `realistic`, `doubtful` or `impossible`.
        pub realism: &'static str,
        /// All of it in words.
        pub words: String,
    }

    /// A station ahead by either way.
    pub struct AheadFacts {
        /// The station's number.
        pub number: String = number(&view.race.course, station),
        /// The station.
        pub station: String = view.race.course.stations[station].name.clone(),
        /// The planned arrival.
        pub planned: Moment = at(plan.schedule.splits[station].arrival),
        /// The arrival as it goes.
        pub effort_arrival: Moment = at(effort.arrival),
        /// Time in hand then.
        pub effort_margin: Option<Measure> = effort.margin.map(Measure::margin),
        /// The comfort: `good`, `close` or `missed`.
        pub effort_margin_is: Option<&'static str> = effort.margin.map(margin_is),
        /// The chance of making this cutoff and every one before it as it goes.
        pub effort_chance: Option<Measure> = effort.chance_so_far.map(Measure::chance),
        /// Its grade: `good`, `doubtful` or `unlikely`.
        pub effort_chance_is: Option<&'static str> = effort.chance_so_far.map(chance_is),
        /// The arrival to the original finish.
        pub finish_arrival: Option<Moment> = finish.map(|split| at(split.arrival)),
        /// Time in hand then.
        pub finish_margin: Option<Measure> =
            finish.and_then(|split| split.margin).map(Measure::margin),
        /// The comfort: `good`, `close` or `missed`.
        pub finish_margin_is: Option<&'static str> =
            finish.and_then(|split| split.margin).map(margin_is),
    } from fn of(view: &View<'_>, plan: &Plan, replan: &Replan, station: usize) {
        let effort = &replan.at_effort.plan.schedule.splits[station];
        let finish = replan.at_finish.as_ref();
        let finish = finish.map(|rest| &rest.plan.schedule.splits[station]);
        let at = |elapsed| Moment::of(&plan.schedule, elapsed);
    }

    /// The needs of a segment ahead as it goes.
    pub struct NeedAheadFacts {
        /// The number of the station it leads to.
        pub number: String,
        /// The station it leads to.
        pub to: String,
        /// Time between the printed times.
        pub moving: Measure,
        /// The same as planned.
        pub planned_moving: Measure,
        /// Share in the dark.
        pub dark_share: Measure,
        /// Fluid to drink.
        pub fluid: Measure,
        /// The same as planned.
        pub planned_fluid: Measure,
        /// Sodium.
        pub sodium: Measure,
        /// The same as planned.
        pub planned_sodium: Measure,
        /// Carbohydrate.
        pub carbs: Measure,
        /// The same as planned.
        pub planned_carbs: Measure,
    }

    /// One way on.
    pub struct RestFacts {
        /// The finish.
        pub finish: Moment = Moment::of(&plan.schedule, plan.finish),
        /// As race time.
        pub finish_time: String = plan.finish.to_string(),
        /// Level-ground speed for the rest over the plan's.
        pub speed_ratio: f64 = thousandth(rest.speed_ratio),
        /// The whole race, as seen and as it would go on.
        pub splits: Vec<SplitFacts> = SplitFacts::all(view, plan),
        /// Its segments.
        pub segments: Vec<SegmentFacts> = SegmentFacts::all(view, Some(plan)),
        /// Changes to the plan at the supply points ahead.
        pub changes: Vec<ChangeFacts> =
            each(&rest.changes, |change| ChangeFacts::of(view, plan, change)),
        /// Meetings that are left.
        pub crew: Vec<MeetingFacts> = crew,
        /// Findings ahead, the heaviest first.
        pub findings: Vec<FindingFacts> = each(&rest.findings, |found| {
            FindingFacts::of(course, found, "replan", view.units)
        }),
    } from fn of(view: &View<'_>, replan: &Replan, rest: &Rest) {
        let plan = &rest.plan;
        let course = &view.race.course;
        let mut crew = MeetingFacts::all(view, plan, replan.out_at(rest));
        let ahead: Vec<String> = (replan.here + 1..course.stations.len())
            .map(|station| number(course, station))
            .collect();
        crew.retain(|meeting| ahead.contains(&meeting.number));
    }
}

impl ReplanFacts {
    /// The first failure as it goes that is no cutoff, such as flasks that are too small.
    #[must_use]
    pub fn failure(&self) -> Option<&FindingFacts> {
        let mut findings = self.hold_effort.findings.iter();
        findings.find(|finding| finding.fails())
    }

    /// True where a cutoff is missed as it goes, or anything else fails.
    #[must_use]
    pub fn fails(&self) -> bool {
        self.misses_cutoff || self.failure().is_some()
    }
}

impl NeedAheadFacts {
    fn of(view: &View<'_>, plan: &Plan, replan: &Replan, index: usize) -> Option<NeedAheadFacts> {
        let (course, units) = (&view.race.course, view.units);
        let now = &replan.at_effort.plan;
        let (need, was) = (
            now.fueling.segments.get(index)?,
            plan.fueling.segments.get(index)?,
        );
        let moving = |plan: &Plan| {
            let splits = &plan.schedule.splits;
            let at = |elapsed| Moment::of(&plan.schedule, elapsed);
            Measure::between(&at(splits[index].departure), &at(splits[index + 1].arrival))
        };
        Some(NeedAheadFacts {
            number: number(course, index + 1),
            to: course.stations[index + 1].name.clone(),
            moving: moving(now),
            planned_moving: moving(plan),
            dark_share: Measure::share(now.schedule.legs[index].dark_share),
            fluid: Measure::volume(units, need.fluid_ml),
            planned_fluid: Measure::volume(units, was.fluid_ml),
            sodium: Measure::whole(need.sodium_mg, "mg"),
            planned_sodium: Measure::whole(was.sodium_mg, "mg"),
            carbs: Measure::whole(need.carbs_g, "g"),
            planned_carbs: Measure::whole(was.carbs_g, "g"),
        })
    }
}

fn last_seen(view: &View<'_>, plan: &Plan, replan: &Replan) -> String {
    let name = &view.race.course.stations[replan.here].name;
    let Some(event) = replan.events.last() else {
        return name.clone();
    };
    let split = &plan.schedule.splits[event.station];
    let (did, planned) = match event.kind {
        Kind::Arrival => ("reached", split.arrival),
        Kind::Departure => ("left", split.departure),
    };
    let at = plan.schedule.show(event.at());
    format!("{name}, {did} {at}, {}", off_plan(event.at(), planned))
}

/// The earliest finish that is worth going for, and what became of those before it; no finish where
/// the cutoffs will likely end the race before.
fn go_for(goals: &[GoalChance], cutoffs: Option<f64>) -> Option<String> {
    let told = |index: usize| {
        let chance = Measure::chance(goals[index].chance).text;
        (
            format!("{}, {}", letter(index), goals[index].finish),
            chance,
        )
    };
    let gone = |count: usize| {
        let lost = (0..count).map(told);
        let lost = lost.map(|(goal, chance)| format!("{goal}, is down to {chance}"));
        lost.collect::<Vec<String>>().join("; ")
    };
    if goals.len() < 2 {
        return None;
    }
    if let Some(chance) = cutoffs.filter(|chance| *chance < 0.5) {
        let chance = Measure::chance(chance).text;
        return Some(format!(
            "the cutoffs, before any finish: {chance} to make them all"
        ));
    }
    let Some(at) = goals.iter().position(GoalChance::is_on) else {
        return Some(format!("none is as likely as not: {}", gone(goals.len())));
    };
    let (goal, chance) = told(at);
    let on = match goals[at].chance < 0.5 {
        true => ", still on its splits",
        false => "",
    };
    let mut words = format!("{goal}{on}: {chance}");
    if at > 0 {
        words += &format!("; {}", gone(at));
    }
    Some(words)
}

/// Difference of a time from the plan, such as `0:53 after the plan`.
fn off_plan(at: Elapsed, planned: Elapsed) -> String {
    let off = at.to_minute() - planned.to_minute();
    match off.as_secs() {
        0 => "on plan".to_owned(),
        s if s > 0 => format!("{off} after the plan"),
        s => format!("{} before the plan", Elapsed::from_secs(-s)),
    }
}

fn effort_words(replan: &Replan) -> String {
    let shown = &replan.shown;
    if shown.hours <= 0.0 {
        return "nothing seen on the move yet: as planned".to_owned();
    }
    let percent = (100.0 * (shown.time_ratio - 1.0)).round();
    let than = match percent {
        p if p > 0.0 => format!("{p:.0} % slower than planned"),
        p if p < 0.0 => format!("{:.0} % faster than planned", -p),
        _ => "as planned".to_owned(),
    };
    format!("{than} over {:.1} h on the move", shown.hours)
}

fn needed_words(plan: &Plan, replan: &Replan) -> String {
    let needed = &replan.needed;
    let Some(ratio) = needed.speed_ratio else {
        return format!(
            "{} is out of reach: nobody runs the rest that fast",
            plan.finish
        );
    };
    let chance = Measure::chance(needed.chance).text;
    let percent = (100.0 * (ratio - 1.0)).round();
    if needed.realism() == Realism::Impossible {
        return format!(
            "{} is out of reach, {chance} likely as it goes: it takes {percent:.0} % more speed \
             from here than planned",
            plan.finish
        );
    }
    let faster = match percent {
        p if p > 0.0 => format!("{p:.0} % faster from here than planned"),
        p if p < 0.0 => format!("{:.0} % slower from here than planned", -p),
        _ => "the planned speed from here".to_owned(),
    };
    let likely = match needed.realism() {
        Realism::Easier | Realism::Realistic => format!("{chance} likely as it goes"),
        Realism::Doubtful | Realism::Impossible => {
            format!("doubtful, {chance} likely as it goes")
        }
    };
    format!("{} takes {faster}: {likely}", plan.finish)
}
