//! `sutler debrief` as it is typed.

use crate::support::case::{Case, Outcome};
use crate::support::recorded::Recorded;

const LOG: &str = "elapsed,kind,what,servings,water_ml,stomach,note\n\
    0:30,drink,drink mix,,500,,\n1:00,gear,head torch,,,,no bounce\n1:20,food,gel,3,,,\n\
    2:10,drink,water,,900,,\n3:00,hot-spot,left heel,,,,\n3:30,food,dates,2,,,\n\
    4:00,stomach,,,,8,\n4:10,drink,drink mix,,1500,,\n";

const TYPED: [&str; 14] = [
    "debrief",
    "runs/ridge.gpx",
    "--plan",
    "demo-data/plan.toml",
    "--log",
    "intake.csv",
    "--mass-before",
    "64.4",
    "--mass-after",
    "139.8lb",
    "--urine-ml",
    "200",
    "--temp",
    "19",
];
const RECORD: &str = "demo-data/long-runs/record.toml";
const RUNNER: &str = "demo-data/runner.toml";

/// The demo without its season.
fn case() -> Case {
    let usual = crate::support::recorded::Runner::USUAL;
    let case = Case::new()
        .copied("demo-data")
        .copied("courses")
        .file("runs/ridge.gpx", Recorded::day(0, usual).gpx())
        .file("intake.csv", LOG);
    std::fs::remove_dir_all(case.path("demo-data/long-runs")).unwrap();
    case
}

fn with(case: &Case, more: &[&str]) -> Outcome {
    case.run(&[&TYPED[..], more].concat())
}

#[test]
fn a_run_is_told_and_written_only_where_that_is_asked_for() {
    let case = case();
    let runner = case.text(RUNNER);
    let files = case.listing();
    with(&case, &[])
        .exits(0)
        .says("--write would add this run")
        .says("--write would change");
    assert_eq!((case.listing(), case.text(RUNNER)), (files, runner.clone()));
    let outcome = with(&case, &["--write", "--keep-runner"]).exits(0);
    for words in [
        "Debrief: ridge, 2026-05-03",
        "slopes aside",
        "Sweat rate  ",
        "What went in",
        "Carbohydrate g/h",
        "3:00 hot spot: left heel",
        "1:00 head torch: no bounce",
        "sweat of 2026-05-03: ",
        "On long runs too, drink to thirst",
        "Cautions",
    ] {
        assert!(outcome.out.contains(words), "no `{words}`\n{outcome}");
    }
    assert!(
        outcome.out.lines().all(|line| line.chars().count() <= 80),
        "{outcome}"
    );
    outcome.says("has this run now").says("is left as it is");
    assert_eq!(case.text(RUNNER), runner);
    let record = case.text(RECORD);
    for words in [
        "[[run]]\ndate = 2026-05-03",
        "drank_ml = 2900",
        "[run.pacing]\nfade = ",
    ] {
        assert!(record.contains(words), "no `{words}`\n{record}");
    }
    // the plan reads it
    case.run(&["check", "demo-data/plan.toml"]).exits(0);
}

#[test]
fn the_same_run_twice_changes_nothing_and_says_so() {
    let case = case();
    with(&case, &["--write"]).exits(0).says("has this run now");
    let (record, runner) = (case.text(RECORD), case.text(RUNNER));
    with(&case, &["--write"])
        .exits(0)
        .says("has this run already")
        .says("says this already");
    assert_eq!((case.text(RECORD), case.text(RUNNER)), (record, runner));
}

#[test]
fn a_recorded_run_is_corrected_or_taken_out_by_a_command() {
    let case = case();
    with(&case, &["--write"]).exits(0);
    let record = case.text(RECORD);
    with(&case, &["--wind-kmh", "20", "--write"])
        .exits(2)
        .says("--correct puts this in its place");
    assert_eq!(case.text(RECORD), record);
    with(&case, &["--wind-kmh", "20", "--correct", "--write"]).exits(0);
    let corrected = case.text(RECORD);
    let runs = |text: &str| text.lines().filter(|line| *line == "[[run]]").count();
    assert_eq!(runs(&corrected), 1, "{corrected}");
    assert!(corrected.contains("wind_kmh = 20"), "{corrected}");
    // what the runner file has from it is measured again, not twice
    let dated = "date = 2026-05-03";
    assert_eq!(case.text(RUNNER).matches(dated).count(), 1);
    let remove = ["debrief", "--plan", "demo-data/plan.toml", "--remove"];
    let run = |more: &[&str]| case.run(&[&remove[..], more].concat());
    run(&["another"]).exits(2).says("`ridge` of 2026-05-03");
    run(&["ridge"]).exits(0).says("--write would take `ridge`");
    assert_eq!(case.text(RECORD), corrected);
    run(&["2026-05-03", "--write"])
        .exits(0)
        .says("is taken out");
    assert_eq!(runs(&case.text(RECORD)), 0);
    assert!(!case.text(RUNNER).contains(dated));
    // nor does pacing stay that rests on it alone
    assert!(!case.text(RUNNER).contains("2026-05-03"));
    case.run(&["check", "demo-data/plan.toml"]).exits(0);
}

/// Stomach, sweat, food and pace each draw a line, with what to do.
#[test]
fn trouble_draws_advice_and_its_effect_on_the_plan() {
    let log = "elapsed,kind,what,servings,water_ml,stomach\n0:30,food,gel,1,,\n\
        2:20,food,gel,3,,\n2:40,drink,water,,400,\n3:05,stomach,,,,3\n3:20,refused,dates,1,,\n\
        3:30,refused,pine jelly,1,,\n6:00,drink,water,,6000,\n,tested,race-effort,,,\n";
    let case = case().file("intake.csv", log);
    let typed = TYPED.map(|typed| match typed {
        "64.4" => "65.4",
        "19" => "4",
        typed => typed,
    });
    let told = case.run(&typed).exits(0);
    for words in [
        "stomach 3 of 10 at 3:05, after 78 g of carbohydrate and",
        "carbs_g_per_h",
        "is above the",
        "dates would not stay down",
        "pine jelly would not stay down",
        "What that changes in the plan",
    ] {
        let told = told.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(words), "no `{words}`\n{told}");
    }
}

#[test]
fn written_figures_keep_what_stood_around_them() {
    let case = case();
    let before = case.text(RUNNER).replace(
        "carbs_rehearsed_g_per_h = 60",
        "carbs_rehearsed_g_per_h = 5 # spring",
    );
    let case = case.file(RUNNER, &before);
    with(&case, &["--write"])
        .exits(0)
        .says("- carbs_rehearsed_g_per_h = 5 # spring");
    let after = case.text(RUNNER);
    for line in before
        .lines()
        .filter(|line| !line.starts_with("carbs_rehearsed") && *line != "fade = 1.0")
    {
        assert!(after.contains(line), "no `{line}`\n{after}");
    }
    assert!(
        after.contains(" # spring") && after.matches("[[sweat.measured]]").count() == 3,
        "{after}"
    );
    let kept = "replaced = [\"carbs_rehearsed_g_per_h = 5 # spring\", \"fade = 1.0\"]";
    assert!(case.text(RECORD).contains(kept), "{}", case.text(RECORD));
    case.run(&["fuel", "demo-data/plan.toml"])
        .prints("corrected by 3 measured long runs");
    for verb in ["plan", "splits"] {
        case.run(&[verb, "demo-data/plan.toml"])
            .prints("own, measured on 2026-05-03, 1 run");
    }
}

/// The record is written first. Stopped after it, the next debrief writes the rest.
#[test]
fn stopped_between_the_two_files_nothing_is_lost() {
    let case = case();
    let before = case.text(RUNNER);
    with(&case, &["--write"]).exits(0);
    let (record, after) = (case.text(RECORD), case.text(RUNNER));
    let case = case.file(RUNNER, &before);
    with(&case, &["--write"])
        .exits(0)
        .says("has this run already");
    assert_eq!((case.text(RECORD), case.text(RUNNER)), (record, after));
}

/// A file stands where the record's folder has to be.
#[test]
fn a_record_that_cannot_be_written_leaves_the_runner_file() {
    let case = case().file("demo-data/plan.toml", {
        let plan =
            std::fs::read_to_string(crate::support::case::in_repository("demo-data/plan.toml"));
        plan.unwrap()
    });
    let case = case.file("demo-data/long-runs", "in the way");
    let before = case.text(RUNNER);
    with(&case, &["--write"]).exits(2);
    assert_eq!(case.text(RUNNER), before);
}

#[test]
fn either_source_alone_gives_what_it_can() {
    let plan = ["--plan", "demo-data/plan.toml"];
    let outcome = case().run(&[&["debrief", "runs/ridge.gpx"][..], &plan].concat());
    outcome
        .exits(0)
        .prints("Drift")
        .prints("Sweat rate  not measured");
    let log = [
        "debrief",
        "--log",
        "intake.csv",
        "--hours",
        "5:00",
        "--date",
        "2026-08-30",
    ];
    let outcome = case().run(&[&log[..], &plan].concat());
    outcome
        .exits(0)
        .prints("What went in")
        .prints("Debrief: long run, 2026-08-30");
    let outcome = case().run(&[&log[..5], &plan].concat());
    outcome.exits(2).says("the run has no date");
}

#[test]
fn a_bad_log_writes_nothing() {
    for (log, says) in [
        ("kind,what\ndrink,\nswallow,tea\n", "`kind` is `swallow`"),
        // the run is over by then
        (
            "elapsed,kind,what,water_ml\n19:00,drink,water,500\n",
            "a row of the log is 19:00 after the start",
        ),
    ] {
        let case = case().file("intake.csv", log);
        with(&case, &["--write"]).exits(2).says(says);
        assert!(!case.path(RECORD).exists());
    }
}

#[test]
fn data_carries_its_units() {
    let data = with(&case(), &["--format", "json"]).exits(0).json();
    assert!(
        data["debrief"]["sweat"]["rate_l_per_h"]
            .as_f64()
            .is_some_and(|rate| rate > 0.1)
    );
    assert!(
        data["cautions"]
            .as_array()
            .is_some_and(|all| !all.is_empty())
    );
    assert_eq!(data["debrief"]["noted"].as_array().map(Vec::len), Some(3));
}

#[test]
fn a_report_is_not_written_over_what_it_is_made_of_or_goes_into() {
    let case = case();
    for output in [RECORD, RUNNER, "runs/ridge.gpx", "intake.csv"] {
        let before = std::fs::read(case.path(output)).ok();
        with(&case, &["-o", output, "--overwrite"])
            .exits(2)
            .prints_nothing()
            .says("is an input here");
        assert_eq!(std::fs::read(case.path(output)).ok(), before, "{output}");
    }
    with(&case, &["-o", "told.txt", "--write"]).exits(0);
    let record = case.text(RECORD);
    with(&case, &["-o", RECORD, "--overwrite"]).exits(2);
    assert_eq!(case.text(RECORD), record);
}

#[test]
fn debriefs_at_the_same_time_lose_no_run() {
    const PROCESSES: usize = 6;
    let usual = crate::support::recorded::Runner::USUAL;
    for round in 0..2 {
        let case = (0..PROCESSES as u64).fold(case(), |case, seed| {
            let gpx = Recorded::day(seed, usual).gpx();
            case.file(&format!("runs/run-{seed}.gpx"), gpx)
        });
        let children: Vec<_> = (0..PROCESSES)
            .map(|seed| {
                let run = format!("runs/run-{seed}.gpx");
                let args = ["debrief", &run, "--plan", "demo-data/plan.toml", "--write"];
                let mut command = case.command(&args);
                command.stdout(std::process::Stdio::null());
                command.stderr(std::process::Stdio::piped());
                command.spawn().unwrap()
            })
            .collect();
        for child in children {
            let told = child.wait_with_output().unwrap();
            let err = String::from_utf8_lossy(&told.stderr);
            assert_eq!(told.status.code(), Some(0), "round {round}: {err}");
        }
        let record = case.text(RECORD);
        let runs = record.lines().filter(|line| *line == "[[run]]").count();
        assert_eq!(runs, PROCESSES, "{record}");
        case.run(&["check", "demo-data/plan.toml"]).exits(0);
    }
}

/// A runner file of 13,000 lines, changed at both ends: shown and written within the memory that the
/// program takes for any file, here 700 MB of addresses.
#[cfg(target_os = "linux")]
#[test]
fn a_long_runner_file_is_changed_in_little_memory() {
    let case = case();
    let own = case.text(RUNNER);
    let (sweat, rest) = own.split_once("[caffeine]").expect("the demo's runner");
    let remarks: String = (0..13_000).map(|n| format!("# remark {n}\n")).collect();
    std::fs::write(
        case.path(RUNNER),
        format!("{sweat}{remarks}[caffeine]{rest}"),
    )
    .unwrap();
    let typed = case.command(&[&TYPED[..], &["--write"]].concat());
    let mut limited = std::process::Command::new("sh");
    limited
        .args(["-c", "ulimit -v 700000 && exec \"$0\" \"$@\""])
        .arg(typed.get_program())
        .args(typed.get_args())
        .envs(
            typed
                .get_envs()
                .filter_map(|(key, value)| Some((key, value?))),
        )
        .current_dir(typed.get_current_dir().expect("the case's folder"));
    let done = limited.output().expect("a shell");
    let said = String::from_utf8_lossy(&done.stderr);
    assert!(done.status.success(), "{said}");
    // shown: the figures that change, not the remarks between them
    assert!(said.lines().count() < 100, "{} lines", said.lines().count());
    assert!(case.text(RUNNER).contains("# remark 12999\n"));
}
