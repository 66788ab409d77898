//! Files of the user's that are changed keep what belongs to them; what is no file is not read.

use crate::support::case::Case;
use crate::support::recorded::Recorded;

const FIT: [&str; 4] = ["fit", "runs", "--write", "runner.toml"];

fn with_runs(runner: &[u8]) -> Case {
    let day = |n| Recorded::day(n, crate::support::recorded::Runner::USUAL).gpx();
    (Case::new().file("runs/a.gpx", day(0)))
        .file("runs/b.gpx", day(1))
        .file("runner.toml", runner)
}

/// One run is untried, so that its figures are always written.
fn with_one_run(runner: &[u8]) -> Case {
    let case = with_runs(runner);
    std::fs::remove_file(case.path("runs/b.gpx")).unwrap();
    case
}

#[cfg(unix)]
#[test]
fn permissions_stay_and_read_only_is_respected() {
    use std::os::unix::fs::PermissionsExt;
    let case = with_one_run(b"mass_kg = 64\n");
    let set = |mode| {
        let mode = std::fs::Permissions::from_mode(mode);
        std::fs::set_permissions(case.path("runner.toml"), mode).unwrap();
    };
    set(0o400);
    case.run(&FIT).exits(2).says("`runner.toml` is read-only");
    assert_eq!(case.text("runner.toml"), "mass_kg = 64\n");
    set(0o600);
    case.run(&FIT).exits(0);
    let there = std::fs::metadata(case.path("runner.toml")).unwrap();
    assert_eq!(there.permissions().mode() & 0o777, 0o600);
    assert!(case.text("runner.toml").contains("fade"));
}

#[test]
fn line_ends_and_the_byte_order_mark_stay() {
    let case = with_one_run(b"\xef\xbb\xbf# me\r\nmass_kg = 64\r\n");
    case.run(&FIT).exits(0);
    let new = case.text("runner.toml");
    assert!(
        new.starts_with("\u{feff}# me\r\nmass_kg = 64\r\n"),
        "{new:?}"
    );
    assert_eq!(new.matches('\n').count(), new.matches("\r\n").count());
    case.run(&FIT).exits(0).says("says this already");
    assert_eq!(case.text("runner.toml"), new);
}

/// What `check` reads, every verb reads, in whatever encoding.
#[test]
fn a_runner_file_in_windows_1252_is_read_by_every_verb() {
    let runner = b"# L\xe4ufer\nmass_kg = 64\n";
    let case = with_one_run(runner).copied("courses/velprek-50k").file(
        "plan.toml",
        "course = \"courses/velprek-50k\"\nfinish = \"7:30:00\"\n",
    );
    case.run(&["debrief", "runs/a.gpx", "--write"]).exits(0);
    assert!(
        case.text("runner.toml")
            .starts_with("# Läufer\nmass_kg = 64\n")
    );
}

#[cfg(unix)]
#[test]
fn devices_and_pipes_are_refused_at_once() {
    let case = Case::new();
    let pipe = std::process::Command::new("mkfifo")
        .arg(case.path("pipe.gpx"))
        .status();
    assert!(pipe.unwrap().success());
    for path in ["/dev/zero", "pipe.gpx"] {
        case.run(&["splits", "--route", path, "--finish", "7:30:00"])
            .exits(2)
            .says("it is not a regular file");
    }
}

/// Days and durations that a run cannot have had.
#[test]
fn a_debrief_of_an_impossible_day_is_refused() {
    let case = with_one_run(b"").copied("courses/velprek-50k").file(
        "plan.toml",
        "course = \"courses/velprek-50k\"\nfinish = \"7:30:00\"\n",
    );
    let case = case.file("log.csv", "elapsed,kind,what,servings\n99:00,food,gel,1\n");
    for (typed, said) in [
        (
            "runs/a.gpx --date 2025-05-03",
            "is not the day of the recording",
        ),
        ("--hours 4:00 --date 1970-01-01", "is years from the race"),
        ("--hours 4:00 --date 2099-01-01", "is years from the race"),
        ("--hours 200:00 --date 2026-05-03", "is longer than any"),
        (
            "--hours 4:00 --date 2026-05-03 --log log.csv",
            "expected 4:00 or earlier",
        ),
    ] {
        let args: Vec<&str> = std::iter::once("debrief").chain(typed.split(' ')).collect();
        case.run(&args).exits(2).says(said);
    }
    assert!(!case.path("long-runs").exists());
}
