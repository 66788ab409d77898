//! Help texts, completions and the manual.

use sutler::pages::PAGES;
use unicode_width::UnicodeWidthStr;

use super::{OTHER_VERBS, REPORT_VERBS};
use crate::support::case::Case;

fn verbs() -> impl Iterator<Item = &'static str> {
    let pages = PAGES.iter().map(|page| page.name);
    let others = OTHER_VERBS.iter().copied();
    REPORT_VERBS.into_iter().chain(pages).chain(others)
}

/// The verbs that the command itself lists.
fn listed() -> Vec<String> {
    let help = Case::new().run(&["-h"]).exits(0).quietly().out;
    help.lines()
        .skip_while(|line| !line.starts_with("Commands:"))
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next().map(str::to_owned))
        .collect()
}

#[test]
fn every_verb_is_listed_and_no_other() {
    let mut wanted: Vec<String> = verbs().chain(["help"]).map(str::to_owned).collect();
    let mut found = listed();
    wanted.sort();
    found.sort();
    assert_eq!(found, wanted);
}

#[test]
fn short_help_fits_a_terminal_of_80_columns() {
    let case = Case::new();
    let overviews = [vec!["-h"], vec!["--help"]];
    let each = verbs().flat_map(|verb| [vec![verb, "-h"], vec![verb, "--help"]]);
    for args in overviews.into_iter().chain(each) {
        let help = case.run(&args).exits(0).quietly().out;
        let widest = help.lines().map(UnicodeWidthStr::width).max().unwrap_or(0);
        assert!(widest <= 80, "{args:?} is {widest} columns wide:\n{help}");
        assert!(help.contains("Usage: sutler"), "{args:?}:\n{help}");
    }
}

/// Lines of `--help` about one flag, as one line.
fn about(help: &str, flag: &str) -> String {
    let lines: Vec<&str> = help
        .lines()
        .skip_while(|line| !line.trim_start().starts_with(flag))
        .collect();
    assert!(!lines.is_empty(), "no {flag} in\n{help}");
    let more = lines[1..]
        .iter()
        .take_while(|line| line.is_empty() || line.starts_with("          "));
    let words: Vec<&str> = [lines[0]]
        .iter()
        .chain(more)
        .flat_map(|line| line.split_whitespace())
        .collect();
    words.join(" ")
}

#[test]
fn long_help_names_units_and_defaults() {
    let case = Case::new();
    for verb in REPORT_VERBS {
        let help = case.run(&[verb, "--help"]).exits(0).out;
        for (flag, words) in [
            ("--finish", "elapsed time, h:mm:ss"),
            ("--start", "2026-06-06T05:00"),
            ("--timezone", "Europe/Vienna"),
            ("--format", "[default: table]"),
            ("--format", "markdown, csv, html, json]"),
            ("--units", "[default: metric]"),
            ("--units", "Miles, feet, US fluid ounces"),
            ("--stations", "Stops are 0 min unless given"),
            ("[PLAN]", "[default: plan.toml]"),
        ] {
            let said = about(&help, flag);
            assert!(said.contains(words), "{verb} {flag}: {said}");
        }
    }
}

#[test]
fn help_tells_exit_codes_and_a_quick_start() {
    let outcome = Case::new().run(&["--help"]).exits(0);
    let words = outcome.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "0 done",
        "1 done, but the plan misses a cutoff",
        "2 could not plan",
        "sutler splits --route",
        "not medical advice",
        "licensed practitioners",
    ] {
        assert!(words.contains(wanted), "no `{wanted}` in\n{outcome}");
    }
}

#[test]
fn nothing_typed_is_helped() {
    Case::new()
        .run::<&str>(&[])
        .exits(2)
        .prints_nothing()
        .says("Usage: sutler");
}

#[test]
fn a_mistyped_verb_is_told_its_neighbour() {
    Case::new()
        .run(&["split"])
        .exits(2)
        .prints_nothing()
        .says("'splits'");
}

#[test]
fn the_version_is_the_crates() {
    let version = format!("sutler {}\n", env!("CARGO_PKG_VERSION"));
    let outcome = Case::new().run(&["--version"]).exits(0).quietly();
    assert_eq!(outcome.out, version);
}

#[test]
fn every_shell_gets_completions_for_every_verb_and_flag() {
    let case = Case::new();
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = case.run(&["completions", shell]).exits(0).quietly().out;
        for verb in verbs() {
            assert!(script.contains(verb), "{shell} does not know {verb}");
        }
        for flag in ["route", "finish", "timezone", "units", "overwrite"] {
            assert!(script.contains(flag), "{shell} does not know {flag}");
        }
    }
    case.run(&["completions", "tcsh"]).exits(2).says("bash");
}

#[test]
fn the_manual_is_a_page_of_roff_on_every_verb() {
    let page = Case::new().run(&["manual"]).exits(0).quietly().out;
    assert!(page.lines().any(|line| line.starts_with(".TH sutler 1")));
    for section in ["NAME", "SYNOPSIS", "DESCRIPTION", "OPTIONS"] {
        assert!(page.contains(&format!(".SH {section}")), "no {section}");
    }
    for verb in verbs() {
        assert!(page.contains(&format!("sutler {verb}")), "no {verb}");
    }
}
