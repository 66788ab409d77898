//! How fast races are simulated.

use std::fs;
use std::path::Path;
use std::time::Instant;

use sutler::ability::Spread;
use sutler::arrivals::{Trials, simulate};
use sutler::diagnostics::{Notes, Sources, Spanned};
use sutler::inputs::{self, Texts, route_gpx};
use sutler::plan::{Plan, Race};
use sutler::time::Elapsed;

/// Prints races per second and what a plan's windows cost.
pub(crate) fn print(smoke: bool) {
    let rounds = if smoke { 1 } else { 20 };
    let route = read("courses/wolkenried-100mi/route.gpx");
    let (race, plan) = planned();
    let trials = |races: usize, finish: Option<Spread>| Trials {
        races,
        finish,
        ..Trials::default()
    };
    let simulated = |trials: &Trials| {
        let windows = simulate(&race.conditions, &plan.pacing, &race.limits, trials);
        assert_eq!(windows.stations.len(), race.course.stations.len());
    };
    let spread = race.finish(plan.pacing.finish_s);
    let stations = race.course.stations.len();
    println!("100-mile demo, {stations} stations, 10,000 races");
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let mut alone_s = 0.0;
    for threads in [1, 2, 4].into_iter().filter(|t| *t <= cores.max(2)) {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .expect("threads can be started");
        let asked = trials(10_000, Some(spread));
        let seconds = median(rounds, || pool.install(|| simulated(&asked)));
        if threads == 1 {
            alone_s = seconds;
        }
        println!(
            "  {threads} threads  {:7.1} ms  {:9.0} races/s  {:.2} times as fast",
            seconds * 1e3,
            10_000.0 / seconds,
            alone_s / seconds
        );
    }
    let reading_s = median(rounds, || {
        gpx::read(route.as_slice()).expect("the demo's route is GPX");
    });
    println!("gpx crate reading its route  {:7.2} ms", reading_s * 1e3);
    for (name, finish) in [("on target", None), ("uncertain", Some(spread))] {
        let asked = trials(Trials::default().races, finish);
        let seconds = median(rounds, || simulated(&asked));
        println!(
            "windows of a plan, {name} {:7.2} ms, {:.2} of that reading",
            seconds * 1e3,
            seconds / reading_s
        );
    }
}

fn planned() -> (Race, Plan) {
    let text = |path: &str| Some(route_gpx::decode(path, read(path)).expect("it is text"));
    let course = |name: &str| text(&format!("courses/wolkenried-100mi/{name}"));
    let texts = Texts {
        plan: text("demo-data/plan.toml"),
        course: course("course.toml"),
        route: course("route.gpx"),
        stations: course("stations.csv"),
        weather: text("demo-data/weather.csv"),
        ..Texts::default()
    };
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    let finish = Spanned::unwritten(Elapsed::from_secs(28 * 3600 + 1800));
    let race = Race::prepare(&inputs, finish.value, &mut notes).expect("the demo is right");
    let plan = race
        .plan(&inputs, finish, &mut notes)
        .expect("the demo can be planned");
    (race, plan)
}

fn read(path: &str) -> Vec<u8> {
    let full = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    fs::read(&full).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn median(rounds: usize, mut work: impl FnMut()) -> f64 {
    let mut seconds: Vec<f64> = (0..rounds)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64()
        })
        .collect();
    seconds.sort_by(f64::total_cmp);
    seconds[seconds.len() / 2]
}
