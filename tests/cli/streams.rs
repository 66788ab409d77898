//! Where words go: reports to standard output, problems to standard error, colours to terminals.

use std::process::Stdio;

use crate::support::case::{Case, short_route};

fn verbose_args(route: &str) -> Vec<Vec<&str>> {
    vec![
        vec!["plan", "--route", route, "--finish", "7:30:00"],
        vec![
            "plan", "--route", route, "--finish", "7:30:00", "--format", "json",
        ],
        vec!["check", "--route", route, "--finish", "7:30:00"],
        vec!["completions", "bash"],
        vec!["manual"],
        vec!["--help"],
    ]
}

#[test]
fn a_reader_that_has_seen_enough_is_no_error() {
    let (case, route) = (Case::new(), short_route());
    for args in verbose_args(&route) {
        let mut command = case.command(&args);
        let mut child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{command:?}");
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{command:?}");
    }
}

#[test]
fn a_closed_standard_error_changes_no_exit_code() {
    let case = Case::new();
    let mut child = case
        .command(&["splits", "--finish", "7:30:00"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stderr.take());
    assert_eq!(child.wait_with_output().unwrap().status.code(), Some(2));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_an_error() {
    let (case, route) = (Case::new(), short_route());
    for args in verbose_args(&route).into_iter().take(5) {
        let full = std::fs::File::create("/dev/full").unwrap();
        let mut command = case.command(&args);
        let output = command
            .stdout(full)
            .stderr(Stdio::piped())
            .spawn()
            .and_then(std::process::Child::wait_with_output)
            .unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{command:?}: {said}");
        assert!(said.contains("could not write"), "{command:?}: {said}");
    }
}

#[test]
fn colours_are_for_terminals() {
    let route = short_route();
    let case = Case::new().file("s.csv", "name,distance_km,cutoff\nOak Gap,32,+3:00\n");
    let good = [
        "plan",
        "--route",
        &route,
        "--stations",
        "s.csv",
        "--finish",
        "7:30:00",
    ];
    let bad = [
        "plan",
        "--route",
        &route,
        "--stations",
        "s.csv",
        "--finish",
        "1:00:00",
    ];
    let odd = ["plan", "--rout"];
    for args in [&good[..], &bad, &odd, &["--help"]] {
        let outcome = case.run(args);
        let coloured = outcome.out.contains('\u{1b}') || outcome.err.contains('\u{1b}');
        assert!(!coloured, "{outcome}");
    }
}

#[test]
fn warnings_do_not_mix_with_the_report() {
    let route = short_route();
    // three per cent longer than the route file, and more
    let case = Case::new().file("s.csv", "name,distance_km\nOak Gap,32\nFinish,60\n");
    let args = [
        "splits",
        "--route",
        &route,
        "--stations",
        "s.csv",
        "--finish",
        "7:30:00",
        "--format",
        "json",
    ];
    let outcome = case.run(&args).exits(0).says("warning: ");
    let warnings = outcome.json()["warnings"].as_array().unwrap().len();
    assert_eq!(warnings, outcome.err.matches("warning: ").count());
}
