//! Facts of a rehearsal: a long run that tries the plan out, and how like the race it is.

use crate::fueling::SegmentNeed;
use crate::plan::Plan;
use crate::rehearsal::practice::{HABITS, SINGLE_RUN_MOST_M};
use crate::rehearsal::{BANDS, Ground, Rehearsal, dark_s};
use crate::time::Elapsed;
use crate::units::Units;
use crate::unknowns::Unknown;

use super::View;
use super::plan::PlanFacts;
use super::profile::ProfileFacts;
use super::race::RaceFacts;
use super::value::{Flat, Measure, Moment, record};

record! {
    /// A long run that tries the plan out.
    pub struct RehearsalFacts {
        /// The run as a race of its own.
        pub race: Flat<RaceFacts> = Flat(RaceFacts::of(&own)),
        /// The run as a plan of its own.
        pub plan: Flat<PlanFacts> = Flat(PlanFacts::of(&own, &run.plan)),
        /// The part of the race whose ground it has, where no route was given.
        pub copies: Option<String> = copies,
        /// True where the route has heights.
        pub has_heights: bool = run.has_heights,
        /// Pace on level ground at its effort.
        pub effort_pace: Measure = near_pace(view.units, 1.0 / run.plan.pacing.level_speed_mps),
        /// The distance into the race that its effort reaches.
        pub race_reach: Measure = distance(run.race_reach_m),
        /// The forecast in words.
        pub weather: String = weather(run, units),
        /// Light in words; nothing without date and zone.
        pub light: Option<String> = light(run),
        /// Carbohydrate per hour, as in the race.
        pub carbs_rate: Measure = carbs_rate,
        /// Fluid per hour.
        pub fluid_rate: Measure = fluid_rate,
        /// Sodium per hour.
        pub sodium_rate: Measure = sodium_rate,
        /// The race's mean rates in words.
        pub race_rates: String = view.plans.first().map_or_else(String::new, |plan| {
            rates(plan).map(|rate| rate.text).join(", ")
        }),
        /// The course from the side.
        pub profile: ProfileFacts = ProfileFacts::of(&own),
        /// Distances of the refills, metres.
        pub refills_m: Vec<f64> = run.refills.iter().map(|refill| refill.at_m).collect(),
        /// Times at even distances.
        pub laps: Vec<LapFacts> = laps(run, units),
        /// Share of the effort on slopes as the race has them.
        pub slopes_shared: Measure = Measure::share(run.ground.shared(&run.race_ground)),
        /// Share of the effort on slopes as the race's hardest segment has them.
        pub hardest_shared: Measure = Measure::share(run.ground.shared(&run.hardest.1)),
        /// Its climb beside that of the race on average, percent.
        pub steepness_off: Measure =
            Measure::percent(100.0 * run.ground.difference(&run.race_ground), 1),
        /// The hardest segment of the race.
        pub hardest: String = format!("{} to {}", names(run.hardest.0), names(run.hardest.0 + 1)),
        /// The beginning of the stretch of the race that it is most like.
        pub most_like_from: Measure = distance(run.stretch.from_m),
        /// The end of that stretch.
        pub most_like_to: Measure = distance(run.stretch.to_m),
        /// True where the route says what its ground is.
        pub knows_ground: bool = run.surface_shared.is_some(),
        /// The run beside the race and its hardest segment.
        pub likeness: Vec<LikenessFacts> = likeness(view, run),
        /// Unknowns that it can test, by what failing can cost.
        pub tests: Vec<TrialFacts> = trials(&tests),
        /// Unknowns that are left for other runs.
        pub left_over: Vec<String> = left.iter().map(|(one, _)| one.what.clone()).collect(),
        /// Common practice of long runs.
        pub habits: Vec<HabitFacts> = (HABITS.iter())
            .map(|habit| HabitFacts {
                words: habit.says,
                exceeded: habit.kind == "single-run" && run.ground.length_m > SINGLE_RUN_MOST_M,
            })
            .collect(),
    } from pub fn of(view: &View<'_>, run: &Rehearsal) {
        let own = View {
            race: &run.run,
            inputs: &run.inputs,
            plans: std::slice::from_ref(&run.plan),
            before: None,
            ..*view
        };
        let units = view.units;
        let distance = |m| Measure::distance(units, m);
        let rates = |plan: &Plan| {
            let mean = |need: fn(&SegmentNeed) -> f64| plan.fueling.mean_per_h(need);
            [
                Measure::whole(mean(|need| need.carbs_g), "g/h"),
                Measure::volume_rate(units, mean(|need| need.fluid_ml)),
                Measure::whole(mean(|need| need.sodium_mg), "mg/h"),
            ]
        };
        let [carbs_rate, fluid_rate, sodium_rate] = rates(&run.plan);
        let stations = &view.race.course.stations;
        let names = |station: usize| stations[station].name.as_str();
        let copies = run.copies.map(|(from_m, to_m)| {
            let (from, to) = (distance(from_m), distance(to_m));
            let length = distance(to_m - from_m);
            format!(
                "{} on ground as the race has it from {} to {}",
                length.text, from.number, to.text
            )
        });
        let (tests, left): (Vec<_>, Vec<_>) = run.unknowns.iter().partition(|(_, tests)| *tests);
    }

    /// Time at a distance of the run.
    pub struct LapFacts {
        /// Distance.
        pub distance: Measure,
        /// Rise since the lap before, metres; negative is a fall.
        pub net_rise: Measure,
        /// Pace of the lap.
        pub pace: Measure,
        /// Time since the start.
        pub time: Measure,
        /// The clock.
        pub at: Moment,
    }

    /// One quality of the run beside the race's.
    pub struct LikenessFacts {
        /// Its name.
        pub words: String,
        /// On this run.
        pub run: String,
        /// In the race.
        pub race: String,
        /// On the race's hardest segment.
        pub hardest: String,
    }

    /// Unknowns that a run can test and whose failing costs alike.
    pub struct TrialFacts {
        /// The cost of failing.
        pub can_cost: &'static str,
        /// The unknowns.
        pub what: Vec<String>,
    }

    /// A habit of common practice.
    pub struct HabitFacts {
        /// The habit.
        pub words: &'static str,
        /// True where this run goes beyond it.
        pub exceeded: bool,
    }
}

/// A table of laps has no more rows than this.
const MOST_ROWS: f64 = 24.0;

fn trials(tests: &[&(Unknown, bool)]) -> Vec<TrialFacts> {
    let of_it = |cost: crate::unknowns::Cost| {
        let alike = tests.iter().filter(|(one, _)| one.cost == cost);
        TrialFacts {
            can_cost: cost.words(),
            what: alike.map(|(one, _)| one.what.clone()).collect(),
        }
    };
    let mut trials: Vec<TrialFacts> = crate::unknowns::Cost::ALL.map(of_it).to_vec();
    trials.retain(|trial| !trial.what.is_empty());
    trials
}

fn weather(run: &Rehearsal, units: Units) -> String {
    let temps = run.plan.fueling.segments.iter();
    let temps: Vec<f64> = temps.filter_map(|need| need.temp_c).collect();
    let Some(low_c) = temps.iter().copied().reduce(f64::min) else {
        return "no forecast for that day: needs assume a mild day, and gear for any weather is \
                carried; give --temp, with --night where it gets cold, or --weather"
            .to_owned();
    };
    let low = Measure::temperature(units, low_c);
    let high = Measure::temperature(units, temps.iter().copied().fold(low_c, f64::max));
    if low.number == high.number {
        format!("about {}", low.text)
    } else {
        format!("{} to {}", low.text, high.text)
    }
}

fn light(run: &Rehearsal) -> Option<String> {
    run.run.conditions.knows_daylight().then(|| {
        let dark = Elapsed::from_s(dark_s(&run.plan.pacing.segments));
        if dark.to_minute() > Elapsed::ZERO {
            format!("{dark} of it in the dark: take the race's lamp")
        } else {
            "daylight throughout".to_owned()
        }
    })
}

/// A pace as closely as anybody runs by one, to five seconds.
fn near_pace(units: Units, s_per_m: f64) -> Measure {
    let grain_s_per_m = 5.0 / units.distance_unit_m();
    Measure::pace(units, (s_per_m / grain_s_per_m).round() * grain_s_per_m)
}

/// Times at even distances; the last ends at the finish.
fn laps(run: &Rehearsal, units: Units) -> Vec<LapFacts> {
    let (course, pacing) = (&run.run.course, &run.plan.pacing);
    let length_m = course.profile.length_m();
    let unit_m = units.distance_unit_m();
    let lap_m = [1.0, 2.0, 5.0, 10.0, 20.0]
        .map(|count| count * unit_m)
        .into_iter()
        .find(|lap_m| length_m / lap_m <= MOST_ROWS)
        .unwrap_or(50.0 * unit_m);
    let whole = ((length_m / lap_m - 0.02).floor()).max(0.0) as usize;
    let ends = (1..=whole).map(|lap| lap as f64 * lap_m).chain([length_m]);
    let height = |m: f64| course.profile.elevation_at_m(m);
    let (mut from_m, mut left) = (0.0, Elapsed::ZERO);
    ends.map(|to_m| {
        let at = if to_m < length_m {
            Elapsed::from_s(pacing.elapsed_at_s(course, to_m))
        } else {
            run.plan.finish
        };
        let lap = LapFacts {
            distance: Measure::distance(units, to_m),
            net_rise: Measure::height(units, height(to_m) - height(from_m)),
            pace: near_pace(units, (at - left).as_s() / (to_m - from_m)),
            time: Measure::time(at),
            at: Moment::of(&run.plan.schedule, at),
        };
        (from_m, left) = (to_m, at);
        lap
    })
    .collect()
}

fn likeness(view: &View<'_>, run: &Rehearsal) -> Vec<LikenessFacts> {
    let units = view.units;
    let grounds = [&run.ground, &run.race_ground, &run.hardest.1];
    let row = |words: String, [run, race, hardest]: [String; 3]| LikenessFacts {
        words,
        run,
        race,
        hardest,
    };
    let per = format!("{}/{}", units.height_symbol(), units.distance_symbol());
    let height = |m_per_km: f64| units.height_number(m_per_km * units.distance_unit_m() / 1000.0);
    let share = |of: f64| match Measure::share(of) {
        nothing if nothing.number == "0" => "–".to_owned(),
        some => some.text,
    };
    let mut rows = vec![
        row(
            format!("climb, {per}"),
            grounds.map(|g: &Ground| height(g.climb_m_per_km)),
        ),
        row(
            format!("descent, {per}"),
            grounds.map(|g| height(g.descent_m_per_km)),
        ),
    ];
    rows.extend(
        BANDS.iter().enumerate().map(|(band, (name, _))| {
            row((*name).to_owned(), grounds.map(|g| share(g.shares[band])))
        }),
    );
    let plan = view.plans.first().unwrap_or(&run.plan);
    let dark = |plan: &Plan| Elapsed::from_s(dark_s(&plan.pacing.segments));
    let times = |own: Elapsed, race: Elapsed| {
        let shown = if race.to_minute() > Elapsed::ZERO && own.to_minute() > Elapsed::ZERO {
            format!("{own} ({:.0} %)", 100.0 * own.as_s() / race.as_s())
        } else {
            own.to_string()
        };
        [shown, race.to_string(), String::new()]
    };
    rows.push(row(
        "time on feet".to_owned(),
        times(run.plan.finish, plan.finish),
    ));
    rows.push(row(
        "in the dark".to_owned(),
        times(dark(&run.plan), dark(plan)),
    ));
    let ground = run.surface_shared.map_or("not known".to_owned(), share);
    rows.push(row(
        "ground as the race".to_owned(),
        [ground, String::new(), String::new()],
    ));
    let warmest = |plan: &Plan| {
        let temps = plan.fueling.segments.iter().filter_map(|need| need.temp_c);
        temps.reduce(f64::max).map_or("not known".to_owned(), |c| {
            Measure::temperature(units, c).text
        })
    };
    rows.push(row(
        "warmest".to_owned(),
        [warmest(&run.plan), warmest(plan), String::new()],
    ));
    rows
}
