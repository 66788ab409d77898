//! A long run that tries the plan out: the race's own effort, rates and rhythm on a route at home.
//!
//! A rehearsal is a race over that route with the level-ground speed and the slowing that the plan
//! has (`pacing/elsewhere.rs`); its refills lie where, by the effort done, the race has its supply
//! points, and it eats and drinks by the race's rhythm and the weather of its own day.

mod likeness;
pub mod practice;
mod route;
mod trials;

use chrono::{NaiveDate, NaiveTime};

use crate::course::Course;
use crate::crew::CrewPlan;
use crate::diagnostics::{Diagnostic, Notes, Spanned};
use crate::exposure::Exposures;
use crate::fueling;
use crate::inputs::gear_csv::GearRule;
use crate::inputs::plan_toml::{DayAndNight, Forecast};
use crate::inputs::rhythm::PhaseStart;
use crate::inputs::surfaces_csv::Surface;
use crate::inputs::{Inputs, WeatherRow, zones};
use crate::pacing::EffortLine;
use crate::packing::{Losses, Packer};
use crate::plan::{Plan, Race};
use crate::time::Elapsed;
use crate::unknowns::{Unknown, unknowns};
use crate::words::same_name;

pub use likeness::{BANDS, Ground, LikeStretch, slope_difference};
pub use route::{Refill, RunRoute};
pub use trials::dark_s;

use route::RouteInputs;
use trials::Holds;

/// The day of a rehearsal and its weather.
#[derive(Clone, Debug)]
pub struct Day {
    /// Its date.
    pub date: NaiveDate,
    /// Its start, on the wall there.
    pub start: NaiveTime,
    /// Its weather.
    pub weather: DayWeather,
}

/// The weather of a rehearsal's day.
#[derive(Clone, Debug, Default)]
pub enum DayWeather {
    /// Nobody says: the race's forecast where it reaches that day.
    #[default]
    Unsaid,
    /// The same all day.
    Same(Forecast),
    /// Its warmest and its coldest hour.
    DayAndNight(DayAndNight),
    /// Hour by hour.
    Hours(Vec<WeatherRow>),
}

/// One long run, planned.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Rehearsal {
    /// The files it was planned from: the race's with another course and day.
    pub inputs: Inputs,
    /// Its route, hours and pacing settings.
    pub run: Race,
    /// Its splits, needs and packing.
    pub plan: Plan,
    /// The distance that the race comes with the same effort, metres along its course.
    pub race_reach_m: f64,
    /// Its refills, in order.
    pub refills: Vec<Refill>,
    /// True where the route's heights are known; a level one was taken where not.
    pub has_heights: bool,
    /// The share of its length on surfaces as the race has them; `None` where the route does not say
    /// what it is, and smooth trail is taken.
    pub surface_shared: Option<f64>,
    /// The stretch of the race that it copies where no route was given, metres.
    pub copies: Option<(f64, f64)>,
    /// Its ground.
    pub ground: Ground,
    /// The race's ground.
    pub race_ground: Ground,
    /// The race's segment of the most effort per distance, and its ground.
    pub hardest: (usize, Ground),
    /// The stretch of the race that its slopes are most like.
    pub stretch: LikeStretch,
    /// The race's unknowns, what costs most first, each with whether this run can test it in full.
    pub unknowns: Vec<(Unknown, bool)>,
}

/// Plans a rehearsal of a plan on a route.
///
/// `None` where `notes` says why there is none.
#[must_use]
pub fn rehearse(
    race: &Race,
    inputs: &Inputs,
    plan: &Plan,
    route: &RunRoute,
    day: &Day,
    notes: &mut Notes,
) -> Option<Rehearsal> {
    let speed_mps = plan.pacing.level_speed_mps;
    let (race_ground, line) = Ground::of(&race.course, &race.settings, speed_mps);
    let way = RouteInputs::of(route, &race.course, &line, &race_ground, notes)?;
    let mut own = route::inputs_on(inputs, &way);
    on_the_day(&mut own, race, plan, day, notes);
    if let RunRoute::Track(track, _) = route {
        own.course.timezone = (track.points.first())
            .and_then(|point| zones::nearest(point.lat, point.lon))
            .map(Spanned::unwritten)
            .or(own.course.timezone);
    }
    let bare = Course::build(&own, notes)?;
    let (ground, run_line) = Ground::of(&bare, &race.settings, speed_mps);
    let refills = route::refills(&race.course, plan, &line, &run_line);
    own.stations = route::station_rows(&refills);
    // half as fast as on the level by day is slow enough for any hill and hour
    let longest = Elapsed::from_s(2.0 * run_line.total_m() / speed_mps);
    // what there is to say about the route was said when it was built bare
    let mut again = Notes::new();
    let run = Race::prepare(&own, longest + plan.finish, &mut again);
    if run.is_none() {
        notes.extend(again);
    }
    let run = run?;
    let planned = planned(race, plan, &run, &own);
    let holds = Holds::of(&run, &planned);
    let unknowns = unknowns(race, plan, inputs).into_iter();
    let unknowns = unknowns.map(|one| (holds.tests(&one), one));
    let surface_shared = (way.knows_ground).then(|| surface_shared(&run.course, &race.course));
    Some(Rehearsal {
        unknowns: unknowns.map(|(tests, one)| (one, tests)).collect(),
        race_reach_m: line.distance_at_m(ground.effort_m),
        stretch: ground.most_like(&line),
        hardest: hardest(race, &line),
        inputs: own,
        run,
        plan: planned,
        refills,
        has_heights: way.has_heights,
        surface_shared,
        copies: way.copies,
        ground,
        race_ground,
    })
}

/// Puts the rehearsals whose slopes are most like the race's first.
pub fn rank(rehearsals: &mut [Rehearsal]) {
    let off = |run: &Rehearsal| run.ground.difference(&run.race_ground);
    rehearsals.sort_by(|a, b| off(a).total_cmp(&off(b)));
}

/// The race's segment of the most effort per distance.
fn hardest(race: &Race, line: &EffortLine) -> (usize, Ground) {
    let course = &race.course;
    let ground = |index: usize| {
        let (from, to) = (&course.stations[index], &course.stations[index + 1]);
        let segment = &course.segments[index];
        let part = likeness::between(line, from.distance_m, to.distance_m);
        Ground::over(part, segment.length_m, (segment.climb_m, segment.descent_m))
    };
    (0..course.segments.len())
        .map(|index| (index, ground(index)))
        .max_by(|(_, a), (_, b)| (a.effort_m / a.length_m).total_cmp(&(b.effort_m / b.length_m)))
        .unwrap_or_default()
}

/// The smaller share that each surface has of the two lengths, added up.
fn surface_shared(run: &Course, race: &Course) -> f64 {
    let share = |course: &Course, surface: Surface| {
        let grounds = &course.profile.surface;
        let of_it = grounds.iter().filter(|own| **own == surface).count();
        of_it as f64 / grounds.len().max(1) as f64
    };
    Surface::NAMES
        .iter()
        .map(|(_, surface)| share(run, *surface).min(share(race, *surface)))
        .sum()
}

/// The race's effort over the run, with what the rhythm and that day's weather ask for.
fn planned(race: &Race, plan: &Plan, run: &Race, inputs: &Inputs) -> Plan {
    let pacing = plan
        .pacing
        .elsewhere(&race.course, &run.course, &run.conditions, &run.stops_s);
    let schedule = run.lay_out(&pacing);
    let exposures = Exposures::along(&run.course, &run.conditions, &pacing, &schedule);
    let fueling = fueling::plan(
        &run.course,
        &schedule,
        &exposures,
        &inputs.runner,
        &inputs.plan,
    );
    let packer = Packer::new(&run.course, &schedule, &exposures, &fueling);
    let packing = packer.pack(&Losses::default(), inputs);
    Plan {
        finish: Elapsed::from_s(pacing.finish_s),
        pacing,
        schedule,
        exposures,
        fueling,
        packing,
        crew: CrewPlan::default(),
    }
}

/// The day's clock, weather and rhythm.
fn on_the_day(inputs: &mut Inputs, race: &Race, plan: &Plan, day: &Day, notes: &mut Notes) {
    let start = day.date.and_time(day.start);
    inputs.course.start = Some(Spanned::unwritten(start));
    if inputs.course.timezone.is_none() {
        inputs.course.start = None;
        notes.push(
            Diagnostic::warning("the course has no time zone, so daylight that day is not known")
                .hint("add `timezone` to course.toml, such as `timezone = \"Europe/Vienna\"`"),
        );
    }
    // what is changed into at a station of the race has no station here
    (inputs.gear).retain(|item| item.when != GearRule::AfterStation);
    // and a phase that begins at one begins at its hour
    for phase in &mut inputs.runner.rhythm {
        if let PhaseStart::Station(name) = &phase.from {
            let stations = race.course.stations.iter();
            let mut splits = stations.zip(&plan.schedule.splits);
            let split = splits.find(|(station, _)| same_name(&station.name, &name.value));
            phase.from = PhaseStart::At(split.map_or(plan.finish, |(_, split)| split.departure));
        }
    }
    let rows = std::mem::take(&mut inputs.weather);
    let lines = inputs.plan.weather.take();
    inputs.plan.forecast = None;
    match &day.weather {
        DayWeather::Unsaid => {
            let race_day = race.clock.map(|clock| clock.start().date_naive());
            inputs.plan.weather = lines.filter(|_| race_day == Some(day.date));
            let of_the_day = rows.into_iter().filter(|row| row.time.date() == day.date);
            inputs.weather = of_the_day.map(|row| by_height(race, row)).collect();
        }
        DayWeather::Same(forecast) => inputs.plan.forecast = Some(*forecast),
        DayWeather::DayAndNight(lines) => inputs.plan.weather = Some(*lines),
        DayWeather::Hours(rows) => inputs.weather = rows.clone(),
    }
}

/// A row of the forecast for a place of the race, by that place's height.
fn by_height(race: &Race, row: WeatherRow) -> WeatherRow {
    let mut stations = race.course.stations.iter();
    let there = row.place.as_ref().and_then(|place| {
        stations.find(|station| race.course.places[station.place].name == *place)
    });
    WeatherRow {
        place: None,
        elevation_m: row.elevation_m.or(there.map(|station| station.elevation_m)),
        ..row
    }
}
