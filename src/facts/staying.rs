//! Facts of staying in a race: what it takes to make every cutoff ahead.

use crate::plan::Plan;
use crate::replan::{Replan, Staying};
use crate::schedule::Schedule;
use crate::time::Elapsed;

use super::View;
use super::race::number;
use super::value::{Measure, Moment, record, thousandth};

record! {
    /// The slowest way on that makes every cutoff.
    pub struct StayFacts {
        /// Share of each planned stop that is kept.
        pub stops_kept: Measure,
        /// The time that this leaves for all stops ahead, that of the station where the runner
        /// stands included.
        pub stops: Measure,
        /// The same as planned.
        pub stops_planned: Measure,
        /// Level-ground speed over the planned that just makes every cutoff.
        pub speed_ratio: f64,
        /// True where that is more than the runner goes at.
        pub is_harder: bool,
        /// True where it can hardly be made, even with the shortest stops.
        pub is_hardly_made: bool,
        /// The chance of making every cutoff with those stops.
        pub chance: Measure,
        /// The chance with the stops as planned.
        pub chance_as_planned: Measure,
        /// The latest departure from where the runner stands.
        pub leave_by: Option<Moment>,
        /// The stations ahead.
        pub stations: Vec<StayStationFacts>,
        /// All of it in words.
        pub words: String,
    }

    /// A station ahead, just made.
    pub struct StayStationFacts {
        /// The station's number.
        pub number: String,
        /// The station.
        pub station: String,
        /// The arrival.
        pub arrival: Moment,
        /// The latest departure that still makes every later cutoff.
        pub latest_departure: Option<Moment>,
        /// The cutoff.
        pub cutoff: Option<Moment>,
        /// The chance of being in before it, with those stops.
        pub cutoff_chance: Option<Measure>,
    }
}

impl StayFacts {
    /// Nothing where no cutoff lies ahead, or none ahead can be made.
    pub(super) fn of(view: &View<'_>, plan: &Plan, replan: &Replan) -> Option<StayFacts> {
        let staying = replan.staying.as_ref()?;
        let at = |elapsed| Moment::of(&plan.schedule, elapsed);
        let course = &view.race.course;
        let splits = &staying.schedule.splits;
        let leave_by = match staying.is_harder {
            true => splits[replan.here]
                .latest_departure
                .filter(|_| !replan.has_left),
            false => replan.leave_by(),
        };
        let leave_by = leave_by.map(at);
        let planned = &replan.at_effort.plan.schedule;
        let first = replan.here + usize::from(replan.has_left);
        let stops = |schedule: &Schedule| {
            let each = (first..splits.len()).map(|station| schedule.stop(station));
            each.fold(Elapsed::ZERO, |all, stop| all + stop)
        };
        let in_all = [&staying.schedule, planned].map(stops);
        let here = match replan.has_left {
            true => [Elapsed::ZERO; 2],
            false => [&staying.schedule, planned].map(|schedule| schedule.stop(replan.here)),
        };
        Some(StayFacts {
            stops_kept: Measure::share(staying.stops_kept),
            stops: Measure::time(in_all[0]),
            stops_planned: Measure::time(in_all[1]),
            speed_ratio: thousandth(staying.speed_ratio),
            is_harder: staying.is_harder,
            is_hardly_made: staying.is_hardly_made(replan.shown.speed_ratio),
            chance: Measure::chance(staying.chance),
            chance_as_planned: Measure::chance(staying.chance_as_planned),
            words: words(
                staying,
                replan.shown.speed_ratio,
                leave_by.as_ref(),
                &stops_words(staying.stops_kept, here, in_all),
            ),
            leave_by,
            stations: splits[replan.here + 1..]
                .iter()
                .map(|split| StayStationFacts {
                    number: number(course, split.station),
                    station: course.stations[split.station].name.clone(),
                    arrival: at(split.arrival),
                    latest_departure: split.latest_departure.map(at),
                    cutoff: split.cutoff.map(|limit| at(limit.elapsed)),
                    cutoff_chance: split.cutoff_chance.map(Measure::chance),
                })
                .collect(),
        })
    }
}

/// The words where no stop is short enough and no speed in reason high enough.
pub const DO_NOT_PUSH: &str = "do not push: still fill and feed, and ask the officials where the \
                               runner would be picked up";

/// Such as `stops cut to 12 min in all instead of 40, 2 min here instead of 8, `, of times kept and
/// planned; nothing where no stop is planned ahead.
fn stops_words(share: f64, here: [Elapsed; 2], in_all: [Elapsed; 2]) -> String {
    // rounded down: a minute more may be one too many
    let of = |times: [Elapsed; 2]| times.map(|time| time.as_secs() / 60);
    match (of(here), of(in_all)) {
        (_, [_, 0]) => String::new(),
        _ if share >= 1.0 => "stops as planned, ".to_owned(),
        _ if share <= 0.0 => "short stops, still fill and feed, ".to_owned(),
        ([_, 0], [kept, all]) => format!("stops cut to {kept} min in all instead of {all}, "),
        ([stays, planned], [kept, all]) => format!(
            "stops cut to {kept} min in all instead of {all}, {stays} min here instead of {planned}, "
        ),
    }
}

/// The first thing to do, and the chance that it is enough. Faster is faster than the runner went
/// so far; the chance of the shortest stops is that of none at all.
fn words(staying: &Staying, goes_at: f64, leave_by: Option<&Moment>, stops: &str) -> String {
    let chance = Measure::chance(staying.chance).text;
    if staying.is_hardly_made(goes_at) {
        return format!("hardly in reach, {chance} even with the shortest stops; {DO_NOT_PUSH}");
    }
    let likely = match staying.stops_kept <= 0.0 && !stops.is_empty() {
        true => format!("at most {chance}"),
        false => chance,
    };
    if staying.is_harder {
        let faster = (100.0 * (staying.speed_ratio / goes_at - 1.0)).ceil();
        let faster = faster.max(1.0);
        return format!("{stops}{faster:.0} % faster than so far: {likely} likely");
    }
    let leave = leave_by.map_or_else(String::new, |by| format!("; leave by {}", by.text));
    format!("{stops}at this effort: {likely} likely{leave}")
}
