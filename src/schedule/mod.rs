//! Splits on the clock, margins against cutoffs, and the latest safe departures.

mod cutoff;
mod latest;
#[cfg(test)]
mod tests;

use crate::arrivals::Arrivals;
use crate::conditions::Conditions;
use crate::course::Course;
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::{FASTEST_LEVEL_MPS, Pacing};
use crate::time::{Elapsed, RaceClock};
use crate::units::Phrase;

pub use crate::arrivals::Limit;
pub use cutoff::resolve_cutoffs;

/// One plan's times at every station.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Schedule {
    /// The clock on the wall, where date and zone are known.
    pub clock: Option<RaceClock>,
    /// One per station, in course order.
    pub splits: Vec<Split>,
    /// One per segment, in course order.
    pub legs: Vec<Leg>,
    /// True where early, likely and late take the finish as met exactly.
    pub on_target: bool,
    /// True where latest departures are counted at the effort to expect, false where at the planned
    /// one because the likely runner misses a cutoff.
    pub latest_as_likely: bool,
    /// The chance of making every cutoff; `None` on a course without any.
    pub chance: Option<f64>,
    /// The station at whose cutoff most of that chance is lost; `None` where none is.
    pub weakest: Option<usize>,
    /// The chance of making every cutoff and the target, to the second.
    pub chance_of_target: f64,
    /// Cutoffs that are missed or close.
    pub findings: Vec<Finding>,
}

/// Arrival at and departure from one station. Race time counts from the runner's own start.
#[derive(Clone, Debug, PartialEq)]
pub struct Split {
    /// Index of the station.
    pub station: usize,
    /// Arrival to run for, own stop left out: the target's.
    pub arrival: Elapsed,
    /// Departure, own stop included; the arrival at the finish.
    pub departure: Elapsed,
    /// One race in ten is here before this.
    pub early: Elapsed,
    /// The time to expect: half of the races are here before it. Later than [`Split::arrival`]
    /// where the target is faster than what it rests on supports.
    pub likely: Elapsed,
    /// One race in ten is here only after this.
    pub late: Elapsed,
    /// The same of the races that are still in, for what is carried here: not to be told.
    pub late_in_race: Elapsed,
    /// The time limit.
    pub cutoff: Option<Limit>,
    /// The chance of being here before the cutoff, of the same races as [`Split::late`]: it is 90 %
    /// or more where `late` is before the cutoff. `None` where there is none.
    pub cutoff_chance: Option<f64>,
    /// The chance of making this cutoff and every one before it; `None` where there is none.
    pub chance_so_far: Option<f64>,
    /// Time in hand against this station's own cutoff; `None` where there is none.
    pub margin: Option<Elapsed>,
    /// The latest departure that still meets every later cutoff, see
    /// [`Schedule::latest_as_likely`]; `None` where no cutoff follows, or nobody is here by then.
    pub latest_departure: Option<Elapsed>,
    /// The same at the planned effort, whoever can be here by then.
    pub latest_on_plan: Option<Elapsed>,
    /// The station whose cutoff decides [`Split::latest_departure`].
    pub binding: Option<usize>,
}

impl Split {
    /// Time in hand of the likely runner; `None` where there is no cutoff.
    #[must_use]
    pub fn margin_likely(&self) -> Option<Elapsed> {
        Some(self.margin? - (self.likely - self.arrival))
    }

    /// The departure of the likely runner after the planned stop, not before the planned one.
    #[must_use]
    pub fn departure_likely(&self) -> Elapsed {
        let stop = self.departure - self.arrival;
        self.departure.max(self.likely + stop)
    }
}

/// Times over one segment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// From departure to the next arrival.
    pub moving: Elapsed,
    /// Seconds per metre of the organiser's distance.
    pub pace_s_per_m: f64,
    /// Share of the moving time in the dark.
    pub dark_share: f64,
    /// Share of the moving time that is walked.
    pub walk_share: f64,
}

/// Time in hand below which a met cutoff is worth a finding.
const CLOSE: Elapsed = Elapsed::from_secs(20 * 60);

/// A stop in which one may sleep.
const REST: Elapsed = Elapsed::from_secs(15 * 60);

/// A night counts with so many hours in it, and two only in a race longer than a day. Our choice.
const NIGHT_H: usize = 2;
const ONE_DAY_H: f64 = 24.0;

/// Time in hand above which a cutoff may be another day's.
const FAR: Elapsed = Elapsed::from_secs(12 * 3600);

/// The chance of making a cutoff below which it is worth a finding.
pub(crate) const DOUBTFUL: f64 = 0.8;
/// The chance below which a missed cutoff is the likelier end.
pub(crate) const UNLIKELY: f64 = 0.5;

impl Schedule {
    /// Lays out the splits of a solved pacing.
    ///
    /// Times are rounded to whole seconds here and to minutes only when printed.
    #[must_use]
    pub fn lay_out(
        course: &Course,
        conditions: &Conditions,
        pacing: &Pacing,
        limits: &[Option<Limit>],
        arrivals: &Arrivals,
        clock: Option<RaceClock>,
    ) -> Schedule {
        let mut splits: Vec<Split> = (0..course.stations.len())
            .map(|station| {
                let arrival = Elapsed::from_s(pacing.arrival_s[station]);
                let departure = Elapsed::from_s(pacing.departure_s[station]);
                let cutoff = limits[station];
                let expected = arrivals.stations[station];
                Split {
                    station,
                    arrival,
                    departure,
                    early: Elapsed::from_s(expected.early_s),
                    likely: Elapsed::from_s(expected.likely_s),
                    late: Elapsed::from_s(expected.late_s),
                    late_in_race: Elapsed::from_s(expected.late_in_s),
                    cutoff,
                    cutoff_chance: expected.cutoff_chance,
                    chance_so_far: expected.chance_so_far,
                    margin: cutoff.map(|limit| match limit.on {
                        CutoffOn::Arrival => limit.elapsed - arrival,
                        CutoffOn::Departure => limit.elapsed - departure,
                    }),
                    latest_departure: None,
                    latest_on_plan: None,
                    binding: None,
                }
            })
            .collect();
        let latest_at =
            |effort: &[f64]| latest::latest_departures(limits, conditions, pacing, effort);
        let latest_on_plan = latest_at(&vec![1.0; pacing.segments.len()]);
        let expected_effort = latest::expected_times_as_long(&splits, pacing, arrivals);
        // carried back through other hours of light and warmth, the likely runner may be just late
        let starts =
            |latest: &Vec<Option<(f64, usize)>>| latest[0].is_none_or(|(by_s, _)| by_s >= 0.0);
        let latest = expected_effort.as_deref().map(latest_at).filter(starts);
        let latest_as_likely = latest.is_some();
        let latest = latest.as_ref().unwrap_or(&latest_on_plan);
        // down to the whole second: a latest departure must never be late
        let whole = |(seconds, _): (f64, usize)| Elapsed::from_s(seconds.floor());
        for (station, split) in splits.iter_mut().enumerate() {
            // at the effort to expect nobody leaves later than at the planned one
            let latest = latest::tighter(latest[station], latest_on_plan[station]);
            let in_time = latest.filter(|(by_s, _)| *by_s >= soonest_s(pacing, station));
            split.latest_departure = in_time.map(whole);
            split.latest_on_plan = latest_on_plan[station].map(whole);
            split.binding = in_time.map(|(_, binding)| binding);
        }
        let legs = legs(course, pacing, &splits);
        let mut findings = findings(course, &splits);
        findings.extend(far_finding(course, &splits, clock));
        findings.extend(chance_finding(course, &splits, arrivals));
        findings.extend(rest_finding(conditions, &splits));
        Schedule {
            clock,
            splits,
            legs,
            on_target: arrivals.on_target,
            latest_as_likely,
            chance: arrivals.chance,
            weakest: arrivals.weakest,
            chance_of_target: arrivals.chance_by(pacing.finish_s + 0.5),
            findings,
        }
    }

    /// The first station at whose cutoff the likely runner is out.
    #[must_use]
    pub fn out_at(&self) -> Option<usize> {
        let is_late = |split: &&Split| split.cutoff.is_some_and(|by| split.likely > by.elapsed);
        self.splits.iter().find(is_late).map(|split| split.station)
    }

    /// The stop planned at a station.
    #[must_use]
    pub fn stop(&self, station: usize) -> Elapsed {
        self.splits[station].departure - self.splits[station].arrival
    }

    /// A race time as the organiser's clock shows it, with the day, or since the start where no
    /// clock is known.
    #[must_use]
    pub fn show(&self, elapsed: Elapsed) -> String {
        self.clock
            .map_or_else(|| elapsed.to_string(), |clock| clock.show(elapsed))
    }
}

/// The first possible arrival at a station, seconds: nobody leaves the start before its time, nor comes
/// faster than anyone runs.
fn soonest_s(pacing: &Pacing, station: usize) -> f64 {
    let effort_m: f64 = pacing.segments[..station].iter().map(|s| s.effort_m).sum();
    effort_m / FASTEST_LEVEL_MPS
}

fn legs(course: &Course, pacing: &Pacing, splits: &[Split]) -> Vec<Leg> {
    course
        .segments
        .iter()
        .zip(&pacing.segments)
        .map(|(segment, pace)| {
            let moving = splits[segment.from + 1].arrival - splits[segment.from].departure;
            Leg {
                moving,
                pace_s_per_m: pace.moving_s / segment.official_length_m.max(1.0),
                dark_share: pace.dark_share,
                walk_share: pace.walk_share,
            }
        })
        .collect()
}

/// Two nights without a stop to lie down: common practice, no source.
fn rest_finding(conditions: &Conditions, splits: &[Split]) -> Option<Finding> {
    let stops = splits.iter().map(|split| split.departure - split.arrival);
    let longest = stops.max()?;
    let finish_h = splits.last()?.arrival.as_hours();
    let dark = |hour: i32| conditions.is_dark(0.0, f64::from(hour) * crate::time::S_PER_HOUR);
    // a start before dawn and a finish after dusk are one day
    let hours: Vec<bool> = (0..=finish_h as i32).map(dark).collect();
    let nights = hours.chunk_by(|a, b| a == b);
    let nights = nights
        .filter(|hours| hours[0] && hours.len() > NIGHT_H)
        .count();
    if longest >= REST || nights < 2 || finish_h < ONE_DAY_H {
        return None;
    }
    let says = format!(
        "two nights and no stop above {} min: on the second night sleepiness costs time and causes falls",
        longest.to_minute().as_secs() / 60
    );
    let finding = Finding::new(
        FindingKind::NoRest,
        Weight::Warning,
        About::Race,
        Phrase::new(says),
    );
    let finding = finding.way_out(Phrase::new(
        "plan 20 to 90 minutes of sleep somewhere warm, where a drop bag lies or the crew waits: \
         `[stops.at]` in plan.toml",
    ));
    Some(finding.way_out(Phrase::new("let somebody else drive home, or sleep first")))
}

fn findings(course: &Course, splits: &[Split]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for split in splits {
        let station = &course.stations[split.station];
        let name = &station.name;
        let about = About::Station(split.station);
        if station.is_cutoff_unread() {
            let says = Phrase::new(format!(
                "`{name}`: cutoff not read, so the plan knows none there"
            ));
            let finding = Finding::new(FindingKind::CutoffUnread, Weight::Warning, about, says);
            let way = "ask the organiser, and write its time into stations.csv in place of the `?`";
            findings.push(finding.way_out(Phrase::new(way)));
        }
        let Some(margin) = split.margin else { continue };
        if margin < Elapsed::ZERO {
            let says = missed(name, split, margin);
            findings.push(
                Finding::new(
                    FindingKind::CutoffMissed,
                    Weight::Failure,
                    about,
                    Phrase::new(says),
                )
                .way_out(Phrase::new(
                    "plan an earlier finish, shorter stops before it, or both",
                )),
            );
        } else if margin < CLOSE {
            let hand = margin.to_margin_text();
            let says = format!("only {} in hand at `{name}`", hand.trim_start_matches('+'));
            let finding = Finding::new(
                FindingKind::CutoffClose,
                Weight::Warning,
                about,
                Phrase::new(says),
            );
            findings.push(finding);
        }
    }
    findings
}

/// A cutoff that is missed, by the event that it limits and by the times as they are printed.
fn missed(name: &str, split: &Split, margin: Elapsed) -> String {
    let on = split.cutoff.map(|limit| limit.on);
    let happens = match on {
        Some(CutoffOn::Departure) => "left",
        _ => "reached",
    };
    let late = Elapsed::ZERO - margin;
    if late.to_minute() == Elapsed::ZERO {
        return format!("`{name}` is {happens} less than a minute after its cutoff");
    }
    format!("`{name}` is {happens} {late} after its cutoff")
}

/// The first cutoff that leaves half a day: a day or an hour mistyped, more often than not.
fn far_finding(course: &Course, splits: &[Split], clock: Option<RaceClock>) -> Option<Finding> {
    let split = splits.iter().find(|split| split.margin > Some(FAR))?;
    let (margin, limit) = split.margin.zip(split.cutoff)?;
    let name = &course.stations[split.station].name;
    let read = clock.map_or_else(
        || format!("+{}", limit.elapsed),
        |clock| clock.show_dated(limit.elapsed),
    );
    let says = format!("{margin} in hand at `{name}`: its cutoff is read as {read}");
    let about = About::Station(split.station);
    let finding = Finding::new(
        FindingKind::CutoffFar,
        Weight::Warning,
        about,
        Phrase::new(says),
    );
    Some(finding.way_out(Phrase::new(
        "check that this is the day and the hour that the organiser means",
    )))
}

/// A chance of making every cutoff that is small, and where most of it is lost. A plan that misses
/// a cutoff by itself has been told so.
fn chance_finding(course: &Course, splits: &[Split], arrivals: &Arrivals) -> Option<Finding> {
    let missed = |split: &Split| split.margin.is_some_and(|margin| margin < Elapsed::ZERO);
    let (chance, weakest) = (arrivals.chance?, arrivals.weakest?);
    let (kind, weight) = match chance {
        _ if splits.iter().any(missed) => return None,
        chance if chance < UNLIKELY => (FindingKind::CutoffUnlikely, Weight::Warning),
        chance if chance < DOUBTFUL => (FindingKind::CutoffDoubtful, Weight::Note),
        _ => return None,
    };
    let name = &course.stations[weakest].name;
    let percent = (100.0 * chance).round();
    let says = format!("about {percent} % to make every cutoff; the hardest is `{name}`");
    let about = About::Station(weakest);
    let finding = Finding::new(kind, weight, about, Phrase::new(says)).way_out(Phrase::new(
        "plan more time in hand: shorter stops, or an earlier finish if it is within reach",
    ));
    Some(finding)
}
