//! How the whole plan compares with reading its track: the ratio of planning the 100-mile demo in
//! process, and of simulating many races of it, to the gpx crate alone reading the same route file,
//! and the peak memory of a plan on a route of 100,000 points.
//!
//! `cargo bench --bench plan`; with `-- --smoke`, one round, to see that it runs.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use sutler::arrivals::{self, Trials};
use sutler::course::Course;
use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned};
use sutler::fueling;
use sutler::inputs::{self, Inputs, Texts, route_gpx};
use sutler::pacing::{self, Goal};
use sutler::packing::Packer;
use sutler::plan::Race;
use sutler::time::Elapsed;

/// Races of the demo that are simulated at once.
const MANY_RACES: usize = 10_000;
/// Points of the route whose plan's memory is measured.
const MANY_POINTS: usize = 100_000;
/// The target of the demo's plan.
const DEMO_FINISH: Elapsed = Elapsed::from_secs(29 * 3600);
/// The most memory that such a plan may take, megabytes.
const MEMORY_LIMIT_MB: f64 = 200.0;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let has = |flag: &str| arguments.iter().any(|a| a == flag);
    if has("--memory") {
        return plan_many_points();
    }
    let rounds = if has("--smoke") { 1 } else { 40 };
    let route = read("courses/wolkenried-100mi/route.gpx");
    // interleaved, so that a busy machine slows both alike
    let (mut whole_s, mut reading_s) = (Vec::new(), Vec::new());
    let mut stages_s: [Vec<f64>; STAGES.len()] = Default::default();
    for _ in 0..rounds {
        reading_s.push(timed(|| {
            gpx::read(route.as_slice()).expect("the demo's route is GPX");
        }));
        whole_s.push(plan(demo(), DEMO_FINISH).iter().sum());
        for (all_s, stage_s) in stages_s.iter_mut().zip(stages(&route)) {
            all_s.push(stage_s);
        }
    }
    let (whole_s, reading_s) = (median(whole_s), median(reading_s));
    println!("plan of the 100-mile demo    {:8.2} ms", whole_s * 1e3);
    for (name, seconds) in STAGES.iter().zip(stages_s) {
        println!("  {name:<26} {:8.2} ms", median(seconds) * 1e3);
    }
    println!("gpx crate reading its route  {:8.2} ms", reading_s * 1e3);
    println!("ratio                        {:8.2}", whole_s / reading_s);
    let races_s = median((0..rounds.min(5)).map(|_| many_races()).collect());
    println!(
        "{MANY_RACES} races of the demo      {:8.2} ms, {:.2} of reading its route",
        races_s * 1e3,
        races_s / reading_s
    );
    scale_with_points();
    let own = std::env::current_exe().expect("a bench knows its own path");
    let output = Command::new(own)
        .arg("--memory")
        .output()
        .expect("a bench can start itself");
    print!("{}", String::from_utf8_lossy(&output.stdout));
}

/// Reads, checks and plans, as the command does; seconds spent reading, preparing and planning.
fn plan(texts: Texts, finish: Elapsed) -> [f64; 3] {
    let start = Instant::now();
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs: Inputs = inputs::read(texts, &mut sources, &mut notes);
    let read_s = start.elapsed().as_secs_f64();
    let race = Race::prepare(&inputs, finish, &mut notes);
    let prepared_s = start.elapsed().as_secs_f64();
    let plan = race.and_then(|r| r.plan(&inputs, Spanned::unwritten(finish), &mut notes));
    let planned_s = start.elapsed().as_secs_f64();
    assert!(plan.is_some(), "{:?}", notes.all());
    [read_s, prepared_s - read_s, planned_s - prepared_s]
}

/// The stages of a plan, in order.
const STAGES: [&str; 9] = [
    "reading the route",
    "reading the other files",
    "course",
    "conditions, limits",
    "pacing",
    "windows",
    "fueling",
    "packing",
    "crew and the rest",
];

/// Seconds that each of [`STAGES`] takes of a plan of the demo; what has no door of its own is
/// what is left of the whole.
fn stages(route: &[u8]) -> [f64; STAGES.len()] {
    let route_s = timed(|| {
        let file = route_gpx::decode("route.gpx", route.to_vec()).expect("it is text");
        let id = Sources::default().add(file.clone());
        route_gpx::read(&file, id, &mut Notes::new())
    });
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let texts = demo();
    let start = Instant::now();
    let inputs: Inputs = inputs::read(texts, &mut sources, &mut notes);
    let read_s = start.elapsed().as_secs_f64();
    let course_s = timed(|| Course::build(&inputs, &mut Notes::new()));
    let start = Instant::now();
    let race = Race::prepare(&inputs, DEMO_FINISH, &mut notes).expect("the demo can be planned");
    let prepare_s = start.elapsed().as_secs_f64();
    let start = Instant::now();
    let plan = race.plan(&inputs, Spanned::unwritten(DEMO_FINISH), &mut notes);
    let plan_s = start.elapsed().as_secs_f64();
    let plan = plan.expect("the demo can be planned");
    let goal = Goal {
        finish_s: DEMO_FINISH.as_s(),
        stops_s: race.stops_s.clone(),
    };
    let (course, conditions, schedule) = (&race.course, &race.conditions, &plan.schedule);
    let pacing_s = timed(|| pacing::solve(course, conditions, &race.settings, &goal).is_ok());
    let trials = Trials {
        finish: Some(race.finish(DEMO_FINISH.as_s())),
        ..Trials::default()
    };
    let windows_s = timed(|| arrivals::simulate(conditions, &plan.pacing, &race.limits, &trials));
    let met = &plan.exposures;
    let (runner, wishes) = (&inputs.runner, &inputs.plan);
    let fueling_s = timed(|| fueling::plan(course, schedule, met, runner, wishes));
    let packing_s = timed(|| {
        let packer = Packer::new(course, schedule, met, &plan.fueling);
        packer.pack(&race.losses, &inputs)
    });
    [
        route_s,
        read_s - route_s,
        course_s,
        prepare_s - course_s,
        pacing_s,
        windows_s,
        fueling_s,
        packing_s,
        plan_s - pacing_s - windows_s - fueling_s - packing_s,
    ]
}

/// Seconds that it takes to simulate [`MANY_RACES`].
fn many_races() -> f64 {
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs: Inputs = inputs::read(demo(), &mut sources, &mut notes);
    let race = Race::prepare(&inputs, DEMO_FINISH, &mut notes).expect("the demo can be planned");
    let goal = Goal {
        finish_s: DEMO_FINISH.as_s(),
        stops_s: race.stops_s.clone(),
    };
    let (conditions, limits) = (&race.conditions, &race.limits);
    let pacing = pacing::solve(&race.course, conditions, &race.settings, &goal);
    let pacing = pacing.expect("the demo can be planned");
    let trials = Trials {
        races: MANY_RACES,
        finish: Some(race.finish(DEMO_FINISH.as_s())),
        ..Trials::default()
    };
    timed(|| arrivals::simulate(conditions, &pacing, limits, &trials))
}

fn demo() -> Texts {
    let course = |name: &str| text(&format!("courses/wolkenried-100mi/{name}"));
    let runner = |name: &str| text(&format!("demo-data/{name}"));
    Texts {
        plan: runner("plan.toml"),
        course: course("course.toml"),
        route: course("route.gpx"),
        stations: course("stations.csv"),
        surfaces: course("surfaces.csv"),
        results: None,
        runner: runner("runner.toml"),
        pantry: runner("pantry.csv"),
        gear: runner("gear.csv"),
        weather: runner("weather.csv"),
        crew: runner("crew.toml"),
        record: None,
        log: None,
    }
}

/// A hilly route of so many points.
fn made_route(points: usize) -> Vec<u8> {
    let mut route = String::from("<gpx version=\"1.1\" creator=\"bench\"><trk><trkseg>\n");
    for point in 0..points {
        let along = point as f64 * 2.0 / points as f64;
        let height_m = 800.0 + 300.0 * (along * 50.0).sin();
        route += &format!(
            "<trkpt lat=\"{:.6}\" lon=\"{:.6}\"><ele>{height_m:.1}</ele></trkpt>\n",
            46.0 + along,
            13.0 + 0.5 * along
        );
    }
    route += "</trkseg></trk></gpx>\n";
    route.into_bytes()
}

/// How planning grows with the points of a route of one length, beside reading them.
fn scale_with_points() {
    println!("points    reading, course, planning       gpx crate    ratio");
    for points in [1_000, 10_000, MANY_POINTS] {
        let route = made_route(points);
        let reading_s = timed(|| {
            gpx::read(route.as_slice()).expect("a made route is GPX");
        });
        let stages_s = plan_route(route);
        let [read_ms, course_ms, plan_ms] = stages_s.map(|s| s * 1e3);
        println!(
            "{points:>7} {read_ms:8.1} {course_ms:8.1} {plan_ms:8.1} ms {:12.1} ms {:8.2}",
            reading_s * 1e3,
            stages_s.iter().sum::<f64>() / reading_s
        );
    }
}

fn plan_route(route: Vec<u8>) -> [f64; 3] {
    let file = route_gpx::decode("route.gpx", route).expect("it is text");
    let texts = Texts {
        route: Some(file),
        ..Texts::default()
    };
    plan(texts, Elapsed::from_secs(60 * 3600))
}

/// A route of very many points, planned in a process of its own.
fn plan_many_points() {
    plan_route(made_route(MANY_POINTS));
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak_kb = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .and_then(|rest| rest.split_whitespace().next())
        .and_then(|number| number.parse::<f64>().ok());
    match peak_kb {
        Some(kb) => println!(
            "peak memory, {MANY_POINTS} points   {:6.0} MB (limit {MEMORY_LIMIT_MB:.0} MB)",
            kb / 1024.0
        ),
        None => println!("peak memory is not told on this system"),
    }
}

fn text(path: &str) -> Option<SourceFile> {
    Some(route_gpx::decode(path, read(path)).expect("the demo's files are text"))
}

fn read(path: &str) -> Vec<u8> {
    let full: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    fs::read(&full).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn timed<T>(work: impl FnOnce() -> T) -> f64 {
    let start = Instant::now();
    let done = work();
    let seconds = start.elapsed().as_secs_f64();
    drop(done);
    seconds
}

fn median(mut seconds: Vec<f64>) -> f64 {
    seconds.sort_by(f64::total_cmp);
    seconds[seconds.len() / 2]
}
