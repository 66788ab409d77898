//! A long run that tries the plan out: the race's own effort, rates and rhythm on a route at home.
//!
//! A rehearsal is a race over that route with the level-ground speed and the slowing that the plan
//! has (`pacing/elsewhere.rs`); its refills lie where, by the effort done, the race has its supply
//! points, and it eats and drinks at the race's hourly rates.

mod likeness;
pub mod practice;
mod route;
mod trials;

use chrono::{NaiveDate, NaiveTime};

use crate::course::Course;
use crate::crew::CrewPlan;
use crate::diagnostics::{Diagnostic, Notes, Spanned};
use crate::fueling::{self, Fueling};
use crate::inputs::gear_csv::GearRule;
use crate::inputs::plan_toml::Forecast;
use crate::inputs::surfaces_csv::Surface;
use crate::inputs::{Inputs, WeatherRow};
use crate::pacing::EffortLine;
use crate::packing::{Losses, Packer};
use crate::plan::{Plan, Race};
use crate::time::Elapsed;
use crate::unknowns::{Unknown, unknowns};

pub use likeness::{BANDS, Ground, Stretch, slope_difference};
pub use route::{Refill, Route};
pub use trials::dark_s;

use route::Way;
use trials::Holds;

/// When a rehearsal is run, and in what weather.
#[derive(Clone, Debug)]
pub struct Day {
    /// Its date.
    pub date: NaiveDate,
    /// When it starts, on the wall there.
    pub start: NaiveTime,
    /// The weather, where the runner says.
    pub weather: Option<Forecast>,
}

/// One long run, planned.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Rehearsal {
    /// What it was planned from: the race's files with another course and day.
    pub inputs: Inputs,
    /// Its route, hours and pacing settings.
    pub run: Race,
    /// Its splits, needs and packing.
    pub plan: Plan,
    /// How far the race comes with the same effort, metres along its course.
    pub race_reach_m: f64,
    /// Its refills, in order.
    pub refills: Vec<Refill>,
    /// Whether the route's heights are known; a level one was taken where not.
    pub has_heights: bool,
    /// The share of its length on surfaces as the race has them; `None` where the route does not say
    /// what it is, and smooth trail is taken.
    pub surface_shared: Option<f64>,
    /// The stretch of the race that it copies where no route was given, metres.
    pub copies: Option<(f64, f64)>,
    /// The race's rates, which it holds.
    pub rates: Rates,
    /// Whether the day asks for less fluid than the race's rate, so that less is planned.
    pub drinks_less: bool,
    /// What its ground is like.
    pub ground: Ground,
    /// What the race's is like.
    pub race_ground: Ground,
    /// The race's segment of the most effort per distance, and its ground.
    pub hardest: (usize, Ground),
    /// The stretch of the race that its slopes are most like.
    pub stretch: Stretch,
    /// The race's unknowns, what costs most first, each with whether this run can test it in full.
    pub unknowns: Vec<(Unknown, bool)>,
}

/// What is taken in per hour, on average over a race.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Rates {
    /// grams of carbohydrate
    pub carbs_g_per_h: f64,
    /// millilitres of fluid
    pub fluid_ml_per_h: f64,
    /// milligrams of sodium
    pub sodium_mg_per_h: f64,
}

impl Rates {
    /// The mean rates of a plan.
    #[must_use]
    pub fn of(fueling: &Fueling) -> Rates {
        let sum = |of: &dyn Fn(&fueling::SegmentNeed) -> f64| -> f64 {
            fueling.segments.iter().map(of).sum()
        };
        let hours = sum(&|s| s.hours).max(1e-9);
        Rates {
            carbs_g_per_h: sum(&|s| s.carbs_g) / hours,
            fluid_ml_per_h: sum(&|s| s.fluid_ml) / hours,
            sodium_mg_per_h: sum(&|s| s.sodium_mg) / hours,
        }
    }
}

/// Plans a rehearsal of a plan on a route.
///
/// `None` where `notes` says why there is none.
#[must_use]
pub fn rehearse(
    race: &Race,
    inputs: &Inputs,
    plan: &Plan,
    route: &Route,
    day: &Day,
    notes: &mut Notes,
) -> Option<Rehearsal> {
    let speed_mps = plan.pacing.level_speed_mps;
    let (race_ground, line) = Ground::of(&race.course, &race.settings, speed_mps);
    let way = Way::of(route, &race.course, &line, &race_ground, notes)?;
    let mut own = route::inputs_on(inputs, &way);
    on_the_day(&mut own, race, day, notes);
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
    let rates = Rates::of(&plan.fueling);
    let (planned, drinks_less) = planned(race, plan, &run, &own, rates);
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
        rates,
        drinks_less,
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

/// The race's effort and rates over the run.
fn planned(race: &Race, plan: &Plan, run: &Race, inputs: &Inputs, rates: Rates) -> (Plan, bool) {
    let pacing = plan
        .pacing
        .elsewhere(&race.course, &run.course, &run.conditions, &run.stops_s);
    let finish = Elapsed::from_s(pacing.finish_s);
    let schedule = run.lay_out(&pacing);
    let mut fueling = fueling::plan(
        &run.course,
        &run.conditions,
        &pacing,
        &schedule,
        &inputs.runner,
        &inputs.plan,
    );
    let mut drinks_less = false;
    for need in &mut fueling.segments {
        let (carry, way) = (
            need.carry_ml / need.fluid_ml.max(1.0),
            need.way_ml / need.fluid_ml.max(1.0),
        );
        need.carbs_g = rates.carbs_g_per_h * need.hours;
        // the race may be hotter than the day: never more than is lost on it
        let wanted_ml = rates.fluid_ml_per_h * need.hours;
        let lost_ml = 1000.0 * need.sweat_l_per_h * need.hours;
        drinks_less |= wanted_ml > lost_ml;
        need.fluid_ml = wanted_ml.min(lost_ml);
        need.carry_ml = need.fluid_ml * carry;
        need.way_ml = need.fluid_ml * way;
        need.sodium_mg = (rates.sodium_mg_per_h * need.hours).min(need.sodium_loss_mg);
    }
    let packer = Packer::new(&run.course, &run.conditions, &schedule, &fueling);
    let packing = packer.pack(&Losses::default(), inputs);
    let plan = Plan {
        finish,
        pacing,
        schedule,
        fueling,
        packing,
        crew: CrewPlan::default(),
    };
    (plan, drinks_less)
}

/// The day's clock and weather.
fn on_the_day(inputs: &mut Inputs, race: &Race, day: &Day, notes: &mut Notes) {
    let start = day.date.and_time(day.start);
    inputs.course.start = Some(Spanned::unwritten(start));
    if inputs.course.timezone.is_none() {
        inputs.course.start = None;
        notes.push(
            Diagnostic::warning("the course has no time zone, so daylight that day is not known")
                .hint("add `timezone` to course.toml, such as `timezone = \"Europe/Vienna\"`"),
        );
    }
    let rows = std::mem::take(&mut inputs.weather);
    // what is changed into at a station of the race has no station here
    (inputs.gear).retain(|item| item.when != GearRule::AfterStation);
    inputs.plan.forecast = day.weather;
    if day.weather.is_none() {
        let of_the_day = rows.into_iter().filter(|row| row.time.date() == day.date);
        inputs.weather = of_the_day.map(|row| by_height(race, row)).collect();
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
