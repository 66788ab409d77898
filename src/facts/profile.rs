//! Facts for drawings: the course from the side, the hours of darkness, full hours on the clock.

use chrono::Timelike;

use crate::conditions::Conditions;
use crate::course::Course;
use crate::plan::Plan;
use crate::time::{Elapsed, RaceClock};

use super::View;
use super::value::{Measure, Moment, each, record, tenth};

record! {
    /// The course from the side, at even steps of the organiser's distance.
    pub struct ProfileFacts {
        /// The step between samples by the organiser's count, metres.
        pub step_m: f64,
        /// The lowest point.
        pub lowest: Measure,
        /// The highest point.
        pub highest: Measure,
        /// Heights, metres.
        pub elevation_m: Vec<f64>,
        /// Latitudes, degrees.
        pub lat_deg: Vec<f64>,
        /// Longitudes, degrees.
        pub lon_deg: Vec<f64>,
        /// The ground: `smooth-trail`, `road` and so on.
        pub surface: Vec<&'static str>,
        /// Planned race time, seconds; empty without a target.
        pub elapsed_s: Vec<f64>,
        /// True where it is dark when the runner passes; empty without a target.
        pub dark: Vec<bool>,
        /// The hours of darkness by distance; empty without a target.
        pub nights: Vec<NightFacts>,
        /// Full hours from the start until the slowest runner is in; empty without a target.
        pub hours: Vec<HourFacts>,
    }

    /// The hours of darkness at one distance.
    pub struct NightFacts {
        /// The distance by the organiser's count, metres.
        pub official_m: f64,
        /// From dusk to dawn, race times in seconds.
        pub dark_s: Vec<(f64, f64)>,
    }

    /// A full hour on the organiser's clock; of race time where there is none.
    pub struct HourFacts {
        /// The time.
        pub at: Moment,
        /// The hour of the day, or of the race.
        pub hour: u32,
        /// True where the clocks show it twice.
        pub repeated: bool,
    }
}

/// Samples of a profile, beside the first.
const SAMPLES: usize = 1200;
/// Nights are looked up at so many distances, beside the first.
const NIGHT_COLUMNS: usize = 24;
/// No race meets more nights than this.
const MOST_NIGHTS: usize = 80;
/// Hours are told until this share of the finish, or until the latest arrival.
const TOLD_UNTIL: f64 = 1.5;

impl ProfileFacts {
    /// The sample nearest to a distance by the organiser's count.
    #[must_use]
    pub fn sample_at(&self, official_m: f64) -> usize {
        let last = self.elevation_m.len().saturating_sub(1);
        ((official_m / self.step_m.max(1e-3)).round() as usize).min(last)
    }

    /// Where it is dark when the plan passes: from and to, metres by the organiser's count.
    pub fn dark_m(&self) -> impl Iterator<Item = (f64, f64)> {
        let is_dark = |at: &usize| self.dark[*at];
        let begins =
            (0..self.dark.len()).filter(move |at| is_dark(at) && (*at == 0 || !self.dark[at - 1]));
        let last = self.dark.len().saturating_sub(1);
        begins.map(move |from| {
            let long = self.dark[from..].iter().take_while(|dark| **dark).count();
            let to = (from + long).min(last);
            (from as f64 * self.step_m, to as f64 * self.step_m)
        })
    }

    pub(super) fn of(view: &View<'_>) -> ProfileFacts {
        let course = &view.race.course;
        let end_m = course.stations.last().map_or(0.0, |last| last.official_m);
        let step_m = end_m / SAMPLES as f64;
        let along: Vec<f64> = (0..=SAMPLES)
            .map(|i| course.distance_of_official(i as f64 * step_m))
            .collect();
        let conditions = &view.race.conditions;
        let heights = course.profile.elevation_m.iter().copied();
        let height = |m: f64| Measure::height(view.units, m);
        let spots: Vec<(f64, f64)> = each(&along, |at| course.profile.position_at_deg(*at));
        let fifth = |degrees: f64| (degrees * 1e5).round() / 1e5;
        let mut facts = ProfileFacts {
            lat_deg: spots.iter().map(|spot| fifth(spot.0)).collect(),
            lon_deg: spots.iter().map(|spot| fifth(spot.1)).collect(),
            step_m,
            lowest: height(heights.clone().fold(f64::INFINITY, f64::min)),
            highest: height(heights.fold(f64::NEG_INFINITY, f64::max)),
            elevation_m: each(&along, |at| tenth(course.profile.elevation_at_m(*at))),
            surface: along.iter().map(|at| surface(course, *at)).collect(),
            ..ProfileFacts::default()
        };
        let Some(plan) = view.plans.first() else {
            return facts;
        };
        for at_m in &along {
            let at_s = plan.pacing.elapsed_at_s(course, *at_m);
            facts.elapsed_s.push(tenth(at_s));
            facts.dark.push(conditions.is_dark(*at_m, at_s));
        }
        let until_s = until_s(plan);
        let every = SAMPLES / NIGHT_COLUMNS;
        let columns = along.iter().enumerate().step_by(every);
        facts.nights = columns
            .map(|(index, at_m)| NightFacts {
                official_m: index as f64 * step_m,
                dark_s: dark_s(conditions, *at_m, until_s),
            })
            .collect();
        facts.hours = full_hours(view.race.clock.as_ref(), until_s);
        facts
    }
}

/// The ground at a distance along the route.
fn surface(course: &Course, at_m: f64) -> &'static str {
    let profile = &course.profile;
    let last = profile.surface.len().saturating_sub(1);
    let cell = ((at_m / profile.spacing_m) as usize).min(last);
    profile.surface.get(cell).map_or("", |own| own.name())
}

/// The arrival of the slowest runner, seconds.
fn until_s(plan: &Plan) -> f64 {
    let splits = plan.schedule.splits.iter();
    let latest = splits.map(|split| split.late.max(split.departure)).max();
    let latest_s = latest.map_or(0.0, Elapsed::as_s) * 1.02;
    latest_s.max(plan.finish.as_s() * TOLD_UNTIL)
}

/// The dark hours at one spot, seconds after the start, cut to a span of time.
fn dark_s(conditions: &Conditions, distance_m: f64, until_s: f64) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    let (mut from_s, mut dark) = (0.0, conditions.is_dark(distance_m, 0.0));
    while from_s < until_s && found.len() < MOST_NIGHTS {
        let next_s = conditions.next_dark_change_s(distance_m, from_s);
        if dark {
            found.push((tenth(from_s), tenth(next_s.min(until_s))));
        }
        (from_s, dark) = (next_s, !dark);
    }
    found
}

fn full_hours(clock: Option<&RaceClock>, until_s: f64) -> Vec<HourFacts> {
    let last_s = until_s.floor() as i64;
    let Some(clock) = clock else {
        return (0..=last_s / 3600)
            .map(|hour| HourFacts {
                at: Moment::on(None, Elapsed::from_secs(hour * 3600)),
                hour: hour as u32,
                repeated: false,
            })
            .collect();
    };
    // minute by minute: zones change by halves of an hour too
    let first_s = i64::from((60 - clock.start().second()) % 60);
    (0..=(last_s - first_s).max(0) / 60)
        .map(|minute| Elapsed::from_secs(first_s + minute * 60))
        .filter(|elapsed| clock.at(*elapsed).minute() == 0 && elapsed.as_secs() <= last_s)
        .map(|elapsed| HourFacts {
            at: Moment::on(Some(clock), elapsed),
            hour: clock.at(elapsed).hour(),
            repeated: clock.repeated(elapsed).is_some(),
        })
        .collect()
}
