//! Long runs that try the plan out: the race's own effort elsewhere, and how like the race it is.

use chrono::{NaiveDate, NaiveTime};
use sutler::diagnostics::{Notes, Spanned};
use sutler::inputs::Inputs;
use sutler::inputs::plan_toml::{DayAndNight, Forecast};
use sutler::inputs::route_gpx::{Track, TrackPoint};
use sutler::plan::{Plan, Race};
use sutler::rehearsal::{Day, DayWeather, Rehearsal, RunRoute, rehearse, slope_difference};
use sutler::unknowns::UnknownKind;

use crate::support::{demo, reference};

fn planned(inputs: &Inputs) -> (Race, Plan) {
    let mut notes = Notes::new();
    let finish = inputs.plan.finish.expect("the plan has a finish");
    let race = Race::prepare(inputs, finish.value, &mut notes).expect("a race");
    let finish = Spanned::unwritten(finish.value);
    let plan = race.plan(inputs, finish, &mut notes).expect("a plan");
    (race, plan)
}

fn day(temp_c: f64) -> Day {
    Day {
        date: NaiveDate::from_ymd_opt(2026, 9, 12).unwrap(),
        start: NaiveTime::from_hms_opt(8, 0, 0).unwrap(),
        weather: DayWeather::Same(Forecast {
            temp_c,
            humidity_pct: Some(50.0),
            wind_kmh: Some(5.0),
            rain_mm_per_h: 0.0,
            rain_chance_pct: None,
        }),
    }
}

/// A way north of so many metres, with waves of this height and 2 km length.
fn waves(length_m: f64, height_m: f64) -> RunRoute {
    let point = |i: u32| {
        let m = f64::from(i) * 20.0;
        TrackPoint {
            lat: 46.6 + m / 111_190.0,
            lon: 14.1,
            elevation_m: Some(500.0 + height_m * (1.0 - (m * std::f64::consts::PI / 1000.0).cos())),
            time_s: None,
        }
    };
    RunRoute::Track(
        Track {
            points: (0..=(length_m / 20.0) as u32).map(point).collect(),
            ..Track::default()
        },
        None,
    )
}

fn run(route: &RunRoute, temp_c: f64) -> (Plan, Rehearsal) {
    let mut inputs = demo::hundred_miles();
    // before any other long run
    inputs.record.clear();
    let (race, plan) = planned(&inputs);
    let mut notes = Notes::new();
    let made = rehearse(&race, &inputs, &plan, route, &day(temp_c), &mut notes);
    (plan, made.expect("a rehearsal"))
}

#[test]
fn slope_differences_are_the_earth_movers() {
    let mix = |text: &str| -> Vec<(f64, f64)> {
        let pairs = text.split(' ').map(|pair| pair.split_once(':').unwrap());
        pairs
            .map(|(g, w)| (g.parse().unwrap(), w.parse().unwrap()))
            .collect()
    };
    for row in reference::rows("slope_difference.csv") {
        let (a, b) = (mix(row.text("a")), mix(row.text("b")));
        row.assert_near("difference", slope_difference(&a, &b), 1e-12);
        row.assert_near("difference", slope_difference(&b, &a), 1e-12);
    }
}

/// On its own ground, at its own hours, the race's effort takes the race's times, whatever fade
/// and own stops the runner has.
#[test]
fn the_race_elsewhere_is_the_race_where_nothing_differs() {
    for pacing in ["", "fade = 0.0", "fade_exponent = 1.12", "fade = 2.0"] {
        for (own, stops) in [(None, ""), (Some(1.3), "[stops]\naid_min = 2")] {
            let text = format!("finish = \"15:30:00\"\n{stops}\n[pacing]\n{pacing}\n");
            let mut inputs = demo::course("torvena-100k", &text);
            inputs.runner.pacing.stop_multiplier = own.map(Spanned::unwritten);
            let (race, plan) = planned(&inputs);
            let there = (plan.pacing).elsewhere(
                &race.course,
                &race.course,
                &race.conditions,
                &race.stops_s,
            );
            for (ours, own) in there.arrival_s.iter().zip(&plan.pacing.arrival_s) {
                assert!((ours - own).abs() < 0.05, "{pacing}: {ours} for {own}");
            }
        }
    }
}

/// A cut of the race by its own points, with the race's first hours.
#[test]
fn the_first_part_of_the_race_takes_its_first_hours() {
    let mut inputs = demo::course("velprek-50k", "finish = \"7:30:00\"\n");
    // without stretches of other ground or organiser's lengths, which a bare track has not
    inputs.surfaces.clear();
    inputs.course.surface = sutler::inputs::surfaces_csv::Surface::SmoothTrail;
    inputs.course.official_climb_m = None;
    let (race, plan) = planned(&inputs);
    let mut track = inputs.track.clone();
    track.points.truncate(track.points.len() / 3);
    let mut notes = Notes::new();
    let start = inputs.course.start.expect("a start").value;
    let day = Day {
        date: start.date(),
        start: start.time(),
        weather: DayWeather::Unsaid,
    };
    let route = RunRoute::Track(track, None);
    let made = rehearse(&race, &inputs, &plan, &route, &day, &mut notes).expect("a rehearsal");
    for km in 1..(made.ground.length_m / 1000.0) as u32 {
        let at_m = f64::from(km) * 1000.0;
        let own_s = plan.pacing.elapsed_at_s(&race.course, at_m);
        let ours_s = made.plan.pacing.elapsed_at_s(&made.run.course, at_m);
        assert!(
            (ours_s - own_s).abs() < 0.01 * own_s + 5.0,
            "at {km} km {ours_s} s for {own_s} s"
        );
    }
}

#[test]
fn times_rise_and_add_up_and_hills_take_longer() {
    let (_, level) = run(&waves(25_000.0, 0.0), 15.0);
    let (_, hilly) = run(&waves(25_000.0, 60.0), 15.0);
    assert!(hilly.plan.finish > level.plan.finish);
    assert!(
        hilly.ground.difference(&hilly.race_ground) < level.ground.difference(&level.race_ground)
    );
    for run in [level, hilly] {
        let splits = &run.plan.schedule.splits;
        assert!(splits.windows(2).all(|s| s[0].departure < s[1].arrival));
        assert_eq!(splits.last().map(|s| s.arrival), Some(run.plan.finish));
        let moved: f64 = run.plan.pacing.segments.iter().map(|s| s.moving_s).sum();
        let stood: f64 = run.refills.iter().map(|r| r.stop_s).sum();
        assert!((moved + stood - run.plan.pacing.finish_s).abs() < 1.0);
    }
}

/// A run drinks for its own day and never above sweat; the gut practises the race's carbohydrate.
#[test]
fn it_drinks_for_its_own_day_and_eats_as_in_the_race() {
    let mut before_ml_per_h = 0.0;
    for temp_c in [-20.0, 5.0, 15.0, 32.0] {
        let (race, run) = run(&waves(30_000.0, 40.0), temp_c);
        let ml_per_h = run.plan.fueling.mean_per_h(|need| need.fluid_ml);
        assert!(ml_per_h >= before_ml_per_h, "{temp_c}: {ml_per_h} ml/h");
        before_ml_per_h = ml_per_h;
        let carbs = |plan: &Plan| plan.fueling.mean_per_h(|need| need.carbs_g);
        assert!((carbs(&race) - carbs(&run.plan)).abs() < 5.0, "{temp_c}");
        for need in &run.plan.fueling.segments {
            assert!(need.fluid_ml <= 1000.0 * need.sweat_l_per_h * need.hours + 1e-6);
            assert!(need.sodium_mg <= need.sodium_loss_mg + 1e-6);
        }
    }
    assert!(before_ml_per_h > 500.0, "a hot day: {before_ml_per_h} ml/h");
}

/// Two lines of the plan are the race's; what is said of the day goes before them.
#[test]
fn the_days_weather_is_its_own() {
    let mut inputs = demo::hundred_miles();
    let line = |temp_c| Forecast::of_temp_c(temp_c);
    let lines = |day, night| DayAndNight {
        day: line(day),
        night: line(night),
    };
    inputs.weather.clear();
    inputs.plan.weather = Some(lines(9.0, 1.0));
    let (race, plan) = planned(&inputs);
    let warmest = |weather| {
        let day = Day {
            weather,
            ..day(0.0)
        };
        let route = waves(30_000.0, 40.0);
        let made = rehearse(&race, &inputs, &plan, &route, &day, &mut Notes::new()).unwrap();
        let segments = made.plan.fueling.segments.iter();
        segments.filter_map(|need| need.temp_c).reduce(f64::max)
    };
    assert_eq!(warmest(DayWeather::Unsaid), None);
    let same = warmest(DayWeather::Same(line(22.0))).unwrap();
    assert!((same - 22.0).abs() < 1.5, "{same}");
    let between = warmest(DayWeather::DayAndNight(lines(22.0, 8.0))).unwrap();
    assert!((14.0..=22.0).contains(&between), "{between}");
}

/// A route far away is run by the clocks there.
#[test]
fn a_route_has_its_own_clock() {
    let (_, run) = run(&waves(20_000.0, 20.0), 12.0);
    let zone = run.run.clock.unwrap().start().timezone();
    assert_eq!(zone.name(), "Europe/Ljubljana", "46.6 N 14.1 E");
}

#[test]
fn a_distance_alone_copies_the_race_where_it_is_most_like_itself() {
    let (_, run) = run(&RunRoute::RaceLike(30_000.0), 12.0);
    let (from_m, to_m) = run.copies.expect("a stretch");
    assert!((to_m - from_m - 30_000.0).abs() < 1.0);
    assert!((run.ground.length_m - 30_000.0).abs() < 300.0);
    assert!(run.ground.shared(&run.race_ground) > 0.8);
    assert!(
        (run.stretch.from_m - from_m).abs() < 2_000.0,
        "{:?}",
        run.stretch
    );
}

#[test]
fn short_and_heightless_tracks_are_level_runs() {
    let RunRoute::Track(mut track, _) = waves(600.0, 10.0) else {
        unreachable!()
    };
    track.points.iter_mut().for_each(|p| p.elevation_m = None);
    let (_, run) = run(&RunRoute::Track(track, None), 12.0);
    assert!(!run.has_heights && run.refills.is_empty());
    assert_eq!(run.ground.climb_m_per_km, 0.0);
}

/// What is too short to hold a rate tests none; what is long enough does.
#[test]
fn a_run_tests_what_it_holds() {
    let kinds = |run: &Rehearsal| -> Vec<UnknownKind> {
        let tested = run.unknowns.iter().filter(|(_, tests)| *tests);
        tested.map(|(one, _)| one.kind).collect()
    };
    let (_, short) = run(&waves(3_000.0, 20.0), 14.0);
    let (_, long) = run(&waves(32_000.0, 40.0), 14.0);
    assert!(!kinds(&short).contains(&UnknownKind::Carbs));
    assert!(kinds(&long).contains(&UnknownKind::Carbs));
    assert!(kinds(&long).contains(&UnknownKind::Food));
    for run in [short, long] {
        // in full daylight, and nobody was asked to come
        assert!(!kinds(&run).contains(&UnknownKind::Night));
        assert!(!kinds(&run).contains(&UnknownKind::CrewMeeting));
    }
}

#[test]
fn mistakes_are_said() {
    for (args, says) in [
        (vec!["--distance", "300km"], "longer than the race"),
        (vec!["--distance", "30"], "such as `32km`"),
        (
            vec!["--route", "nowhere.gpx"],
            "could not read `nowhere.gpx`",
        ),
        (
            vec!["--distance", "20mi", "--temp", "99"],
            "expected -60 to 60 °C",
        ),
        (vec![], "--distance"),
    ] {
        let said = std::process::Command::new(env!("CARGO_BIN_EXE_sutler"))
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(["rehearse", "demo-data/plan.toml", "--date", "2026-09-12"])
            .args(&args)
            .output()
            .unwrap();
        let error = String::from_utf8(said.stderr).unwrap();
        assert_eq!(said.status.code(), Some(2), "{args:?}: {error}");
        assert!(error.contains(says), "{args:?}: {error}");
    }
}
