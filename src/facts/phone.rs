//! Facts of the crew's phone: what its page projects the rest of the day with. The tables are the
//! engine's own, so that the page says what replanning says.

use chrono::Offset;

use crate::diagnostics::Notes;
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::FASTEST_LEVEL_MPS;
use crate::plan::{Plan, Race};
use crate::replan::{Ahead, Answer, AnswerTable, HARDLY_CHANCE, HARDLY_FASTER, tables};
use crate::schedule::{DOUBTFUL, Split};
use crate::time::{Elapsed, RaceClock};

use super::View;
use super::nights::{WORTH_SLEEPING, nights};
use super::value::{each, record, thousandth};

record! {
    /// Tables from which a page tells the rest of a day without the engine; times in seconds of
    /// race time.
    pub struct PhoneFacts {
        /// The organiser's clock; nothing without date and zone.
        pub clock: Option<ClockFacts>,
        /// The time that the crew stands there before the early arrival.
        pub buffer_s: f64,
        /// The hours of the lamp, from and until.
        pub dark: Vec<(i64, i64)>,
        /// The chance of every cutoff below which a race is doubtful.
        pub doubtful: f64,
        /// The share over the speed so far that can hardly be run.
        pub hardly_faster: f64,
        /// The chance below which a race can hardly be stayed in.
        pub hardly_chance: f64,
        /// The least wait that is worth lying down for.
        pub worth_sleeping_s: i64,
        /// Level-ground speed over the plan's that nobody exceeds.
        pub most_speed: f64,
        /// Stations in course order.
        pub stations: Vec<PhoneStationFacts>,
        /// The rest of the day by a sighting at each station, but for start and finish.
        pub tables: Vec<PhoneTableFacts>,
    }

    /// A station as the phone's page computes with it.
    pub struct PhoneStationFacts {
        /// Its place in course order, from 0.
        pub index: usize,
        /// Planned arrival.
        pub arrival_s: i64,
        /// Planned stop.
        pub stop_s: f64,
        /// The least time that anyone takes from the station before.
        pub least_s: f64,
        /// The early arrival.
        pub early_s: i64,
        /// The likely arrival.
        pub likely_s: i64,
        /// The late arrival.
        pub late_s: i64,
        /// The latest departure that still meets every later cutoff.
        pub latest_s: Option<i64>,
        /// The cutoff.
        pub cutoff_s: Option<i64>,
        /// True where the cutoff is on leaving.
        pub cutoff_leaves: bool,
        /// True where the crew meets the runner here.
        pub meets: bool,
        /// The time of the crew's drive to here.
        pub drive_s: Option<f64>,
    }

    /// The rest of the day by a sighting at one station: by how late it is, each value a column of
    /// the latenesses. Times ahead are in tens of seconds after the plan's arrival there.
    pub struct PhoneTableFacts {
        /// Its place in course order.
        pub index: usize = table.station,
        /// Latenesses, seconds, ascending.
        pub late: Vec<i64> = table.came.iter().map(|row| row.late_s).collect(),
        /// Seen coming.
        pub came: PhoneColumnFacts = PhoneColumnFacts::of(&table.came, ahead),
        /// Seen leaving; nothing where that says the same.
        pub left: Option<PhoneColumnFacts> =
            (!table.left.is_empty()).then(|| PhoneColumnFacts::of(&table.left, ahead)),
        /// Places of the stations before whose passages count.
        pub before: Vec<usize> = earlier.stations.clone(),
        /// Latenesses here on days whose lateness grows or shrinks evenly.
        pub days_late: Vec<i64> = earlier.days_late_s.clone(),
        /// Trends of these days: the logarithm of how much later for its planned time than here the
        /// start was, had it gone on like this.
        pub trends: Vec<f64> = earlier.trends.clone(),
        /// Early, likely and late on such days, by station ahead: by trend, then by lateness.
        pub days: Vec<[Vec<Vec<i64>>; 3]> = (0..ahead.len())
            .filter(|_| !earlier.days.is_empty())
            .map(|at| std::array::from_fn(|which| days(at, which)))
            .collect(),
        /// The logarithm of how much longer the rest takes where the ends of the stops before were
        /// seen, too, ten-thousandths: by every other trend, lateness as that of the slopes, station
        /// ahead.
        pub ends: Vec<Vec<Vec<[i64; 3]>>> = logs(&earlier.ends),
        /// The part of that for the end of the stop at each station before.
        pub end_shares: Vec<f64> = earlier.end_shares.iter().map(|part| thousandth(*part)).collect(),
        /// The same for the end of the stop here.
        pub own_end: Vec<Vec<Vec<[i64; 3]>>> = logs(&earlier.own_end),
        /// Latenesses that the slopes are of.
        pub slopes_late: Vec<i64> = earlier.slopes_late_s.clone(),
        /// Weights by which the logarithm of the time to each station ahead follows that at each
        /// station before, ten-thousandths: by lateness, the one before, then the one ahead.
        pub slopes: Vec<Vec<Vec<[i64; 3]>>> = logs(&earlier.slopes),
        /// Hundredths of a second by which early, likely and late at each station ahead are later
        /// for every second stood longer than planned, by lateness; empty where that is one.
        pub stood: Vec<Vec<[i64; 3]>> = (earlier.stood.iter())
            .map(|late| late.iter().map(|to| to.map(hundredth)).collect())
            .collect(),
    } from fn of(table: &AnswerTable, planned: &[i64]) {
        let ahead = &planned[table.station + 1..];
        let earlier = &table.earlier;
        let logs = |all: &[Vec<Vec<[f64; 3]>>]| -> Vec<Vec<Vec<[i64; 3]>>> {
            let told = |one: &Vec<[f64; 3]>| one.iter().map(ten_thousandths).collect();
            all.iter().map(|some| some.iter().map(told).collect()).collect()
        };
        let days = |at: usize, which: usize| -> Vec<Vec<i64>> {
            let told = |day: &Vec<[f64; 3]>| tens(day[at][which], ahead[at]);
            let trends = earlier.days.iter();
            trends.map(|days| days.iter().map(told).collect()).collect()
        };
    }

    /// Columns of answers.
    pub struct PhoneColumnFacts {
        /// The chance of making every cutoff.
        pub chance: Vec<Option<f64>> = rows.iter().map(|row| row.chance.map(thousandth)).collect(),
        /// The latest departure from here, seconds.
        pub latest: Vec<Option<i64>> = rows.iter().map(|row| secs(row.latest_departure)).collect(),
        /// Level-ground speed over the plan's, as it goes.
        pub speed: Vec<f64> = rows.iter().map(|row| thousandth(row.speed_ratio)).collect(),
        /// The speed that makes every cutoff ahead without a stop, where one is missed as it goes.
        pub stay: Vec<Option<f64>> = each(rows, |row| row.speed_to_stay.map(thousandth)),
        /// By station ahead: early arrival.
        pub early: Vec<Vec<i64>> = column(|to| to.early),
        /// Likely arrival.
        pub likely: Vec<Vec<i64>> = column(|to| to.likely),
        /// Late arrival.
        pub after: Vec<Vec<i64>> = column(|to| to.late),
        /// Latest departure.
        pub leave: Vec<Vec<Option<i64>>> = (planned.iter().enumerate())
            .map(|(to, planned)| {
                let values = rows.iter().map(|row| row.ahead[to].latest_departure);
                values
                    .map(|at| at.map(|at| tens(at.as_s(), *planned)))
                    .collect()
            })
            .collect(),
    } from fn of(rows: &[Answer], planned: &[i64]) {
        let secs = |at: Option<Elapsed>| at.map(Elapsed::as_secs);
        let column = |at: fn(&Ahead) -> Elapsed| -> Vec<Vec<i64>> {
            let ahead = planned.iter().enumerate();
            ahead
                .map(|(to, planned)| {
                    let values = rows.iter().map(|row| at(&row.ahead[to]).as_s());
                    values.map(|at_s| tens(at_s, *planned)).collect()
                })
                .collect()
        };
    }

    /// The organiser's clock as arithmetic.
    pub struct ClockFacts {
        /// The runner's own start, seconds since 1970 in UTC.
        pub start_s: i64,
        /// Offsets from UTC in seconds and their names in the zone, each after the race time that
        /// it holds from.
        pub offsets: Vec<(i64, i32, String)>,
    }
}

const DAY_S: i64 = 86_400;
/// Clocks are known so long before the start and after twice the finish, seconds.
const AROUND_S: i64 = 6 * DAY_S;
/// After every race, seconds: a night whose end nobody waits for.
const FOREVER_S: i64 = 30 * DAY_S;

impl PhoneFacts {
    /// The tables of a view's first plan; `None` where there is none.
    #[must_use]
    pub fn of(view: &View<'_>) -> Option<PhoneFacts> {
        let plan = view.plans.first()?;
        let longest = plan.finish + plan.finish;
        // the plan's own race may end before a late runner's second night
        let race = Race::prepare(view.inputs, longest, &mut Notes::new())?;
        let clock = view.race.clock.as_ref();
        let watched: Vec<usize> = plan.crew.meetings.iter().map(|met| met.station).collect();
        let planned: Vec<i64> = splits(plan, |split| split.arrival);
        Some(PhoneFacts {
            clock: clock.map(|clock| ClockFacts::of(clock, longest)),
            buffer_s: view.inputs.crew.as_ref().map_or(0.0, |crew| crew.buffer_s),
            dark: (nights(&race).iter())
                .map(|night| {
                    (
                        night.dusk.as_secs(),
                        night.dawn.map_or(FOREVER_S, Elapsed::as_secs),
                    )
                })
                .collect(),
            doubtful: DOUBTFUL,
            hardly_faster: HARDLY_FASTER,
            hardly_chance: HARDLY_CHANCE,
            worth_sleeping_s: WORTH_SLEEPING.as_secs(),
            most_speed: thousandth(plan.pacing.most_ratio()),
            stations: PhoneStationFacts::all(view, plan),
            tables: (tables(&race, plan, &watched).iter())
                .map(|table| PhoneTableFacts::of(table, &planned))
                .collect(),
        })
    }
}

fn splits(plan: &Plan, at: fn(&Split) -> Elapsed) -> Vec<i64> {
    let splits = plan.schedule.splits.iter();
    splits.map(|split| at(split).as_secs()).collect()
}

/// Tens of seconds after the plan.
fn tens(at_s: f64, planned_s: i64) -> i64 {
    ((at_s - planned_s as f64) / 10.0).round() as i64
}

fn hundredth(slope: f64) -> i64 {
    (1e2 * slope).round() as i64
}

fn ten_thousandths(logs: &[f64; 3]) -> [i64; 3] {
    logs.map(|log| (1e4 * log).round() as i64)
}

impl PhoneStationFacts {
    fn all(view: &View<'_>, plan: &Plan) -> Vec<PhoneStationFacts> {
        let splits = plan.schedule.splits.iter().enumerate();
        splits
            .map(|(index, split)| {
                let mut meetings = plan.crew.meetings.iter();
                let meeting = meetings.find(|meeting| meeting.station == index);
                let segment = index
                    .checked_sub(1)
                    .map(|before| &plan.pacing.segments[before]);
                PhoneStationFacts {
                    index,
                    arrival_s: split.arrival.as_secs(),
                    stop_s: view.race.stops_s[index],
                    least_s: segment.map_or(0.0, |s| (s.effort_m / FASTEST_LEVEL_MPS).floor()),
                    early_s: split.early.as_secs(),
                    likely_s: split.likely.as_secs(),
                    late_s: split.late.as_secs(),
                    latest_s: split.latest_departure.map(Elapsed::as_secs),
                    cutoff_s: split.cutoff.map(|limit| limit.elapsed.as_secs()),
                    cutoff_leaves: split.cutoff.is_some_and(|l| l.on == CutoffOn::Departure),
                    meets: meeting.is_some(),
                    drive_s: meeting.and_then(|meeting| meeting.drive_s),
                }
            })
            .collect()
    }
}

impl ClockFacts {
    fn of(clock: &RaceClock, longest: Elapsed) -> ClockFacts {
        let at = |at_s: i64| clock.at(Elapsed::from_secs(at_s));
        let offset_s = |at_s: i64| at(at_s).offset().fix().local_minus_utc();
        let name = |at_s: i64| at(at_s).format("%Z").to_string();
        let mut offsets = vec![(-AROUND_S, offset_s(-AROUND_S), name(-AROUND_S))];
        // zones change on whole minutes
        let start_s = clock.start().timestamp();
        let mut at_s = -AROUND_S - (start_s - AROUND_S).rem_euclid(60);
        while at_s < longest.as_secs() + AROUND_S {
            let now_s = offset_s(at_s);
            if offsets
                .last()
                .is_some_and(|(_, known_s, _)| *known_s != now_s)
            {
                offsets.push((at_s, now_s, name(at_s)));
            }
            at_s += 60;
        }
        ClockFacts { start_s, offsets }
    }
}
