//! The rest of a race that does not go as planned: from arrivals that somebody saw, two ways on.
//!
//! One takes the race as it goes: the simulated races that the plan counts, weighted by every
//! passage seen, say when the runner will be where. The other holds the original finish and says
//! what effort that takes. Stations already passed are as they were seen; what happened between two
//! sightings is run at one effort, and stops whose end nobody saw are as planned.

mod answers;
mod changes;
mod check;
mod effort;
mod events;
mod goals;
mod instant;
pub(crate) mod lost;
mod moment;
mod observe;
mod order;
mod place;
pub(crate) mod servings;
mod sighting;
mod staying;
mod stores;
mod tables;
mod took;

use crate::arrivals::{Arrivals, Draws, Limit, Onward, Seen, Trials};
use crate::diagnostics::{Diagnostic, Notes, Sources};
use crate::findings::{About, Caution, CautionKind, Finding, FindingKind, Weight};
use crate::fueling::Taken;
use crate::inputs::pantry_csv::FoodKind;
use crate::inputs::stations_csv::CutoffOn;
use crate::inputs::{Inputs, counted};
use crate::pacing::Resumed;
use crate::packing::Serving;
use crate::plan::{Plan, Race};
use crate::schedule::Split;
use crate::time::Elapsed;
use crate::units::Phrase;
use crate::words::and_more;

use effort::SoFar;

pub use crate::arrivals::{Kind, Passage};
pub use answers::{Ahead, Answer, answer};
pub use changes::{Change, between};
pub use effort::{Needed, Realism, Shown};
pub use goals::{GoalChance, OUT_OF_REACH, Switch, Until, switches};
pub use moment::{Which, WrittenTime};
pub use observe::{Observation, observations};
pub use staying::{HARDLY_CHANCE, HARDLY_FASTER, Staying};
pub use tables::{AnswerTable, Earlier, tables};
pub use took::took;

/// The rest of the day, two ways.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Replan {
    /// Passages seen, in course order.
    pub events: Vec<Passage>,
    /// The station where the runner was last seen; the start where only its departure was.
    pub here: usize,
    /// True where the runner was seen leaving it.
    pub has_left: bool,
    /// The departure from it: as seen, or after the planned stop, as far as a cutoff on leaving has
    /// time for it.
    pub leave: Elapsed,
    /// The cutoff on leaving of the station where the runner stands, where it cuts the planned stop.
    pub out_by: Option<Elapsed>,
    /// Cutoffs by station, but for those that nobody saw passed: who is still in the race made
    /// them.
    pub limits: Vec<Option<Limit>>,
    /// The effort so far.
    pub shown: Shown,
    /// The demand of the original finish.
    pub needed: Needed,
    /// As it goes: the likely rest of the day.
    pub at_effort: Rest,
    /// To the original finish; `None` where nobody runs that fast.
    pub at_finish: Option<Rest>,
    /// The finishes that the plan names, the earliest first.
    pub goals: Vec<GoalChance>,
    /// The way to stay in: `None` where no cutoff lies ahead, or none ahead can be met.
    pub staying: Option<Staying>,
    /// Advice for the rest of the day.
    pub cautions: Vec<Caution>,
}

/// One way on.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Rest {
    /// Level-ground speed for the rest over the plan's.
    pub speed_ratio: f64,
    /// The whole race, as seen and as it would go on.
    pub plan: Plan,
    /// Changes to the plan at the supply points ahead.
    pub changes: Vec<Change>,
    /// Findings ahead, the heaviest first.
    pub findings: Vec<Finding>,
}

/// Eating and drinking on a day that runs late.
pub const NO_CATCHING_UP: Caution = Caution {
    kind: CautionKind::NoCatchingUp,
    when: "always",
    text: "What you missed so far is gone: do not catch up by drinking or eating more than the \
           rest of the race needs. Drinking beyond thirst can lower blood sodium dangerously; a \
           full stomach that does not empty makes it worse. The needs ahead start afresh from here.",
};

/// Going harder than so far.
pub const HARDER: Caution = Caution {
    kind: CautionKind::HarderThanShown,
    when: "the original finish takes more effort than was shown",
    text: "Holding the finish means going harder than so far, tired. It is a choice, never a duty: \
           not with dizziness, confusion, chest pain, vomiting or a limp. Then slow down or stop, \
           and ask the medical team of the race.",
};

/// Plans the rest of a race from what was seen.
///
/// `None`, with errors in `notes`, where what was seen cannot be so; every problem is named at
/// once. `took_mg` is the caffeine that was really taken, as [`took()`] reads it; without it all that
/// the plan has up to where the runner was last seen. `sources` are those that [`observations`] was
/// given.
#[must_use]
pub fn make(
    race: &Race,
    inputs: &Inputs,
    plan: &Plan,
    observations: &[Observation],
    took_mg: Option<f64>,
    sources: &Sources,
    notes: &mut Notes,
) -> Option<Replan> {
    if observations.is_empty() {
        if !notes.has_errors() {
            notes.push(
                Diagnostic::error("nothing was seen")
                    .hint("say when the runner was where: --seen \"Station=14:32\""),
            );
        }
        return None;
    }
    let events = events::place_all(race, plan, observations, sources, notes)?;
    if notes.has_errors() {
        return None;
    }
    let last = *events.last()?;
    let has_left = last.kind == Kind::Departure;
    let mut so_far = effort::so_far(race, plan, &events);
    let conditions = &race.conditions;
    let spread = race.finish(plan.pacing.finish_s);
    // who must be out by a cutoff leaves at the cutoff
    let out_by = effort::out_by(race, last);
    let known: Vec<Passage> = events.iter().copied().chain(out_by).collect();
    let seen = Seen::of(conditions, &plan.pacing, Some(&spread), &known);
    let held = Seen::of(conditions, &plan.pacing, None, &known);
    let passed = plan.pacing.resumed(conditions, &so_far.resumed);
    let rest = Onward {
        passed_s: passed.arrival_s,
        stops_s: so_far.resumed.stops_s.clone(),
    };
    let draws = Draws::of(&Trials::default(), race.course.stations.len());
    let is_told =
        |station: usize| station >= so_far.station || so_far.resumed.seen_s[station].is_some();
    let limits: Vec<Option<Limit>> = (race.limits.iter().enumerate())
        .map(|(station, limit)| limit.filter(|_| is_told(station)))
        .collect();
    let anew = |onward: &Onward| seen.rest(&limits, &draws, onward);
    let as_it_goes = anew(&rest);
    let likely_s = as_it_goes.stations.last().map_or(0.0, |s| s.likely_s);
    so_far.shown.speed_ratio = so_far
        .speed_to(race, plan, likely_s)
        .unwrap_or_else(|| plan.pacing.most_ratio());
    let needed = Needed {
        speed_ratio: so_far.speed_to(race, plan, plan.pacing.finish_s),
        chance: as_it_goes.chance_by(plan.pacing.finish_s),
    };
    let supplies_from = so_far.station + usize::from(has_left);
    let planner = RestPlanner {
        race,
        inputs,
        plan,
        so_far: &so_far,
        limits: &limits,
        has_left,
        supplies_from,
        taken: took::taken((plan, inputs), (so_far.station, has_left), took_mg),
        is_told: took_mg.is_some(),
    };
    let at_effort = planner.rest(so_far.shown.speed_ratio, likely_s, &as_it_goes);
    let within_reach = needed
        .speed_ratio
        .filter(|_| needed.realism() != Realism::Impossible);
    let at_finish = within_reach.map(|ratio| {
        let arrivals = held.rest(&limits, &draws, &rest);
        planner.rest(ratio, plan.pacing.finish_s, &arrivals)
    });
    let staying = staying::staying(race, plan, &so_far, &anew, (&rest, &as_it_goes));
    let mut cautions = vec![NO_CATCHING_UP];
    let named = inputs.plan.goals(plan.finish).into_iter();
    let goals = named.map(|goal| GoalChance::of(race, plan, goal, (&last, &as_it_goes)));
    let goals = goals.collect();
    if within_reach.is_some_and(|ratio| ratio > so_far.shown.speed_ratio) {
        cautions.push(HARDER);
    }
    cautions.extend(at_effort.plan.fueling.cautions.iter().copied());
    Some(Replan {
        events,
        here: so_far.station,
        has_left,
        leave: Elapsed::from_s(so_far.leave_s),
        out_by: out_by.map(|by| by.at()),
        limits,
        shown: so_far.shown,
        needed,
        at_effort,
        at_finish,
        goals,
        staying,
        cautions,
    })
}

impl Replan {
    /// The latest departure from where the runner stands that still meets every cutoff ahead;
    /// `None` where it has left, or no cutoff is left to meet.
    #[must_use]
    pub fn leave_by(&self) -> Option<Elapsed> {
        let here = &self.at_effort.plan.schedule.splits[self.here];
        here.latest_departure
            .filter(|by| !self.has_left && *by >= here.arrival)
    }

    /// True where the runner was seen leaving a station.
    #[must_use]
    pub fn was_left(&self, station: usize) -> bool {
        let left = |event: &Passage| event.station == station && event.kind == Kind::Departure;
        self.events.iter().any(left)
    }

    /// True where the likely rest of the day misses a cutoff.
    #[must_use]
    pub fn misses_cutoff(&self) -> bool {
        let splits = self.at_effort.plan.schedule.splits.iter();
        splits
            .filter(|split| self.limits[split.station].is_some())
            .any(|split| split.margin.is_some_and(|margin| margin < Elapsed::ZERO))
    }

    /// The first station at whose cutoff the runner is out, or likely will be on one way on.
    #[must_use]
    pub fn out_at(&self, rest: &Rest) -> Option<usize> {
        let splits = rest.plan.schedule.splits.iter();
        let mut limited = splits.zip(&self.limits);
        let is_late = |(split, limit): (&Split, &Option<Limit>)| {
            let by = (*limit)?;
            // who is short of time cuts the stop
            let was_left = by.on == CutoffOn::Departure && self.was_left(split.station);
            let at = if was_left {
                split.departure
            } else {
                split.likely
            };
            (at > by.elapsed).then_some(split.station)
        };
        limited.find_map(is_late)
    }
}

/// Sets the arrivals after a station to the likely ones, so that a station ahead has one time.
fn expect(resumed: &mut Resumed, arrivals: &Arrivals, here: usize) {
    let ahead = arrivals.stations.iter().enumerate().skip(here + 1);
    ahead.for_each(|(station, at)| resumed.seen_s[station] = Some(at.likely_s));
}

/// A finding as it helps on the way: `None` where all that it asks for is done at home. `sleep` is
/// what to do on a second night.
fn under_way(mut finding: Finding, sleep: &'static str) -> Option<Finding> {
    use FindingKind as Kind;
    match finding.kind {
        // the chance stands first
        Kind::CutoffDoubtful | Kind::CutoffUnlikely | Kind::CutoffFar => return None,
        Kind::EnergyLow
        | Kind::EnergyDeficit
        | Kind::EnergySurplus
        | Kind::CarbsLimited
        | Kind::CarbsSpent
        | Kind::CarbsUnrehearsed
        | Kind::FluidRateHigh
        | Kind::MassWindow
        | Kind::UntestedFood
        | Kind::DriveUnknown
        | Kind::GearInDoubt
        | Kind::GearNotNeeded
            if finding.weight != Weight::Failure =>
        {
            return None;
        }
        Kind::NoRest => {
            let ways = finding.ways_out.iter_mut().take(1);
            ways.for_each(|way| *way = Phrase::new(sleep));
        }
        Kind::CutoffUnread => finding.ways_out = vec![Phrase::new("ask the race")],
        // the spare is packed nowhere, and is gear that the plan takes nowhere
        Kind::LampHours => return None,
        Kind::FluidAlarm => finding.ways_out.clear(),
        Kind::SodiumShort => {
            finding.ways_out = vec![Phrase::new(
                "eat something salty where a station has it; drink no more for it",
            )];
        }
        Kind::CarryShort => {
            finding.ways_out = vec![Phrase::new(
                "drink before you leave, fill every flask, and find water on the way; treat it",
            )];
        }
        _ => {}
    }
    Some(finding)
}

/// The workshop of both ways on.
struct RestPlanner<'a> {
    race: &'a Race,
    inputs: &'a Inputs,
    plan: &'a Plan,
    so_far: &'a SoFar,
    /// [`Replan::limits`]
    limits: &'a [Option<Limit>],
    /// True where the runner was seen leaving the last station.
    has_left: bool,
    /// The first station where supplies can still be taken up.
    supplies_from: usize,
    /// Caffeine that was taken before it.
    taken: Taken,
    /// True where somebody said what was taken.
    is_told: bool,
}

impl RestPlanner<'_> {
    fn rest(&self, speed_ratio: f64, finish_s: f64, arrivals: &Arrivals) -> Rest {
        let mut resumed = self.so_far.resumed.clone();
        resumed.speed_ratios[self.so_far.station..].fill(speed_ratio);
        if !arrivals.on_target {
            expect(&mut resumed, arrivals, self.so_far.station);
        } else if let Some(finish) = resumed.seen_s.last_mut() {
            *finish = Some(finish_s);
        }
        let pacing = self.plan.pacing.resumed(&self.race.conditions, &resumed);
        let schedule = self.race.scheduled(&pacing, arrivals);
        let finish = Elapsed::from_s(pacing.finish_s);
        let taken = &self.taken;
        let plan = self
            .race
            .equip(self.inputs, finish, pacing, schedule, taken);
        Rest {
            speed_ratio,
            changes: changes::changes(self.race, self.inputs, self.plan, &plan, self.supplies_from),
            findings: self.findings(&plan),
            plan,
        }
    }

    /// Findings of the rest, and things that lie where they cannot be had.
    fn findings(&self, now: &Plan) -> Vec<Finding> {
        let here = self.so_far.station;
        let splits = &now.schedule.splits;
        let is_over = |station: usize| match splits[station].cutoff {
            _ if station < self.supplies_from => true,
            // what cuts the stop stands first
            Some(limit) => {
                let is_cut = splits[station].margin == Some(Elapsed::ZERO);
                station == here && (limit.on == CutoffOn::Arrival || is_cut)
            }
            None => false,
        };
        // after the first the rest of the race is another matter
        let is_lost = |split: &&Split| split.margin.is_some_and(|margin| margin < Elapsed::ZERO);
        let lost = splits[here + 1..].iter().filter(is_lost);
        let lost: Vec<About> = lost.map(|split| About::Station(split.station)).collect();
        let ahead = |finding: &Finding| match (finding.kind, finding.about) {
            (_, About::Race) => true,
            (FindingKind::CutoffMissed, About::Station(station)) => {
                self.limits[station].is_some()
                    && (station <= here || lost.first() == Some(&finding.about))
            }
            (FindingKind::CutoffClose, About::Station(station)) => {
                !is_over(station) && lost.first().is_none_or(|first| finding.about < *first)
            }
            (_, About::Station(station)) => station >= self.supplies_from,
            (_, About::Segment(segment)) => segment >= here,
        };
        // what the plan noted about the race as a whole is in the plan
        let known =
            |finding: &Finding| finding.about == About::Race && finding.weight == Weight::Note;
        // where it would have been taken up earlier, had anyone known
        let too_late = |finding: &Finding| {
            self.race.losses.unforeseen && matches!(finding.kind, FindingKind::GearCarried)
        };
        let all = now.findings();
        let sleep = self.sleep(&all);
        let mut found: Vec<Finding> = all
            .into_iter()
            .filter(|finding| ahead(finding) && !known(finding) && !too_late(finding))
            .cloned()
            .filter_map(|finding| under_way(finding, sleep))
            .map(|finding| self.with_latest(finding, &lost, now))
            .collect();
        found.extend(self.too_early());
        found.extend(self.pockets(now));
        found.extend(took::caffeine(self, now));
        let gone = lost::all_lost_gear(self.race, self.plan, self.supplies_from);
        for station in self.supplies_from..self.race.course.stations.len() {
            let gear = lost::lost_gear(self.race, self.plan, station);
            found.extend(
                gear.iter()
                    .map(|gear| lost::gear_lost(self.race, self.inputs, gear, station)),
            );
        }
        found.extend(
            changes::gear_ahead(self.plan, now, self.supplies_from)
                .into_iter()
                // what lies where the runner stands is put on there
                .filter(|(_, at)| self.has_left || *at != Some(here))
                .filter(|(gear, _)| !gone.contains(gear))
                .filter_map(|(gear, station)| {
                    lost::gear_ahead(self.race, self.inputs, &gear, station)
                }),
        );
        found.sort_by_key(|finding| (std::cmp::Reverse(finding.weight), finding.about));
        found
    }

    /// Sleep on a second night under way, as far as the cutoffs ahead have time for it; who nods off
    /// on the move stops for the night whatever that costs (common practice, no source).
    fn sleep(&self, all: &[&Finding]) -> &'static str {
        use FindingKind as Kind;
        let here = About::Station(self.so_far.station);
        let is_short = |finding: &&Finding| match finding.kind {
            Kind::CutoffDoubtful | Kind::CutoffUnlikely => true,
            Kind::CutoffMissed | Kind::CutoffClose => finding.about > here,
            _ => false,
        };
        match (all.iter().any(is_short), self.has_left) {
            (true, false) => {
                "sleep would cost the cutoff; if stumbling or nodding off, stop here and ask the race"
            }
            (true, true) => {
                "sleep would cost the cutoff; if stumbling or nodding off, stop at the next station \
                 and ask the race"
            }
            (false, _) => {
                "sleep 20 to 90 minutes somewhere warm, where a drop bag lies or the crew waits, as \
                 far as the cutoffs have time for it; if stumbling or nodding off, at the next station at the latest"
            }
        }
    }

    /// Going out much faster than planned. Who starts fastest slows down most (24-h races, Bossi and
    /// others 2017, doi 10.1123/ijspp.2016-0237).
    fn too_early(&self) -> Option<Finding> {
        const FAST: f64 = 0.95;
        const LEAST_H: f64 = 0.5;
        let (here, shown) = (self.so_far.station, &self.so_far.shown);
        let seen_s = self.so_far.resumed.seen_s[here]?;
        let ahead = self.plan.schedule.splits[here].arrival - Elapsed::from_s(seen_s);
        let is_fast = shown.hours >= LEAST_H && shown.time_ratio < FAST;
        (is_fast && ahead > Elapsed::ZERO).then(|| {
            let name = &self.race.course.stations[here].name;
            let percent = 100.0 * (1.0 - shown.time_ratio);
            let says = format!(
                "{ahead} ahead of the plan at `{name}`: {percent:.0} % faster than planned"
            );
            Finding::new(
                FindingKind::TooEarly,
                Weight::Warning,
                About::Station(here),
                Phrase::new(says),
            )
            .way_out(Phrase::new(
                "ease off to the planned effort: what is gained early is mostly lost late",
            ))
            .way_out(Phrase::new(
                "tell the crew that the next meetings come earlier",
            ))
        })
    }

    /// On the way there is no earlier finish to plan: what counts is when to leave from here.
    fn with_latest(&self, mut finding: Finding, lost: &[About], now: &Plan) -> Finding {
        if finding.kind != FindingKind::CutoffMissed {
            return finding;
        }
        finding.ways_out.clear();
        let here = &now.schedule.splits[self.so_far.station];
        if finding.about <= About::Station(self.so_far.station) {
            // who came too late need not leave to be out
            let limit = here
                .cutoff
                .filter(|_| finding.about == About::Station(here.station));
            if let Some(late) = limit.filter(|limit| here.arrival > limit.elapsed) {
                let name = &self.race.course.stations[here.station].name;
                let late = here.arrival - late.elapsed;
                finding.says = Phrase::new(format!("`{name}` is reached {late} after its cutoff"));
            }
            return finding.way_out(Phrase::new(
                "it is missed already: the race's officials decide what follows",
            ));
        }
        let others = &lost[1..];
        finding.says = (finding.says).and(and_more(others.len(), "cutoff", "cutoffs"));
        finding = finding.also(others.iter().copied());
        match here
            .latest_departure
            .filter(|by| !self.has_left && *by >= here.arrival)
        {
            Some(latest) => {
                let name = &self.race.course.stations[here.station].name;
                let at = now.schedule.show(latest);
                finding.way_out(Phrase::new(format!(
                    "every cutoff ahead is met at this effort by leaving `{name}` by {at} and \
                     keeping to the planned stops"
                )))
            }
            None => finding,
        }
    }

    fn pockets(&self, now: &Plan) -> Option<Finding> {
        let lacking = changes::not_in_pockets(self.plan, now, self.supplies_from);
        let list: Vec<String> = lacking
            .iter()
            .map(|Serving { food, count, .. }| counted(*count, food, &self.inputs.pantry))
            .collect();
        (!list.is_empty()).then(|| {
            let says = format!(
                "the rest needs {} more than the plan put into the pockets",
                list.join(", ")
            );
            Finding::new(
                FindingKind::PocketsLack,
                Weight::Note,
                About::Race,
                Phrase::new(says),
            )
            .way_out(Phrase::new(self.instead(&lacking)))
        })
    }

    /// What to have where something is in no pocket.
    fn instead(&self, lacking: &[Serving]) -> &'static str {
        let stations = &self.race.course.stations[self.supplies_from..];
        let is_salt = |serving: &Serving| {
            let mut pantry = self.inputs.pantry.iter();
            let food = pantry.find(|food| food.name.value == serving.food);
            food.is_some_and(|food| food.kind == FoodKind::Salt)
        };
        match stations.iter().all(|station| station.offers.is_empty()) {
            true => "do without",
            false if lacking.iter().all(is_salt) => {
                "do without, or eat something salty where a station has it; drink no more for it"
            }
            false => "eat what the stations ahead offer instead, or do without",
        }
    }
}
