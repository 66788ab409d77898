//! Everything that is listed keeps the promises of its list: reports, formats, cost models,
//! limits, verbs.

use std::collections::BTreeSet;

use sutler::facts::Facts;
use sutler::fit::{USUAL_FADE, USUAL_STOPS};
use sutler::inputs::limits::{self, Range};
use sutler::pacing::cost::BUILT_IN;
use sutler::pacing::{Fade, PacingSettings};
use sutler::reports::formats::{FORMATS, TextSurface};
use sutler::reports::{REPORTS, View, by_name, of_a_plan};
use sutler::time::Elapsed;
use sutler::units::Units;

use crate::support::case::Case;
use crate::support::race::Planned;
use crate::support::synthetic::Synthetic;

#[track_caller]
fn check_names<'a>(what: &str, names: impl Iterator<Item = (&'a str, Option<&'a str>)>) {
    let mut seen = BTreeSet::new();
    for (name, about) in names {
        assert!(seen.insert(name), "{what} `{name}` is there twice");
        let typed = |c: char| c.is_ascii_lowercase() || c == '-';
        assert!(
            !name.is_empty() && name.chars().all(typed),
            "{what} `{name}`"
        );
        assert!(
            about.is_none_or(|about| about.len() > 10),
            "{what} `{name}`: {about:?}"
        );
    }
    assert!(!seen.is_empty(), "no {what}");
}

#[test]
fn names_are_unique_and_say_what_they_are() {
    check_names("report", REPORTS.iter().map(|r| (r.name, Some(r.about))));
    check_names("format", FORMATS.iter().map(|f| (f.name, None)));
    check_names(
        "cost model",
        BUILT_IN.iter().map(|m| (m.name, Some(m.about))),
    );
    for report in of_a_plan() {
        assert_eq!(
            by_name(report.name).map(|found| found.about),
            Some(report.about)
        );
    }
}

#[test]
fn every_report_is_a_verb_and_every_format_can_be_asked_for() {
    let case = Case::new();
    let help = case.run(&["-h"]).exits(0).out;
    let formats = case.run(&["plan", "-h"]).exits(0).out;
    for report in of_a_plan() {
        let line = help
            .lines()
            .find(|line| line.trim_start().starts_with(&format!("{} ", report.name)));
        assert!(line.is_some(), "no verb {} in\n{help}", report.name);
    }
    for format in FORMATS {
        assert!(
            formats.contains(format.name),
            "no format {} in\n{formats}",
            format.name
        );
    }
}

#[test]
fn every_report_renders_in_every_format() {
    let planned = Planned::of(Synthetic::of(5).texts(), &[Elapsed::from_secs(7 * 3600)]);
    let unplanned = Facts::of(&View {
        plans: &[],
        ..planned.view(Units::Metric)
    });
    for units in [Units::Metric, Units::Imperial] {
        let facts = planned.facts(units);
        for report in of_a_plan() {
            let document = (report.build)(&facts);
            assert!(!document.title.is_empty(), "{}", report.name);
            for format in FORMATS {
                for width in [20, 60, 80, 110] {
                    let page = TextSurface {
                        width,
                        colour: width == 60,
                    };
                    let text = (format.write)(&document, &page);
                    assert!(
                        !text.trim().is_empty(),
                        "{} as {}",
                        report.name,
                        format.name
                    );
                }
            }
            let json = report.json(&facts);
            assert!(
                json.as_object().is_some_and(|o| !o.is_empty()),
                "{}",
                report.name
            );
            // without a target there is less to say, and no panic
            let document = (report.build)(&unplanned);
            FORMATS.iter().for_each(|format| {
                (format.write)(&document, &TextSurface::default());
            });
            let _ = report.json(&unplanned);
        }
    }
}

/// Gradients to try, far beyond what anyone measured.
fn gradients() -> impl Iterator<Item = f64> {
    (-2000..=2000).map(|i| f64::from(i) / 1000.0)
}

#[test]
fn every_cost_model_is_1_on_the_level_positive_and_continuous() {
    for model in BUILT_IN {
        assert!(model.source.len() > 10, "{}: {}", model.name, model.source);
        let measured = model.measured.range();
        assert!(
            measured.contains(&0.0) && measured.start() < measured.end(),
            "{}",
            model.name
        );
        for cap in [1.0, 1.10, 1.3] {
            let ratio = |gradient: f64| (model.ratio)(gradient, cap);
            assert!(
                (ratio(0.0) - 1.0).abs() < 1e-9,
                "{} is {} on the level",
                model.name,
                ratio(0.0)
            );
            for gradient in gradients() {
                let here = ratio(gradient);
                let at = format!("{} at {gradient}, cap {cap}: {here}", model.name);
                assert!(here.is_finite() && here > 0.0, "{at}");
                // nothing speeds up by more than the highest cap that is accepted
                assert!(here * limits::DOWNHILL_CAP.high >= 1.0 - 1e-9, "{at}");
                assert!(gradient < 0.0 || here >= 1.0 - 1e-9, "{at}");
                let step = (ratio(gradient + 1e-6) - here).abs();
                assert!(step < 1e-3 * here, "{at} jumps by {step}");
                let saved = (model.walk_saving)(gradient);
                assert!((0.0..1.0).contains(&saved), "{at} saves {saved}");
            }
        }
    }
}

#[test]
fn every_cost_model_can_be_planned_with() {
    for model in BUILT_IN {
        let mut course = Synthetic::of(2);
        course.plan = format!("[pacing]\ncost_model = \"{}\"\n", model.name);
        let hours = course.length_km / 6.0;
        let planned = Planned::of(course.texts(), &[Elapsed::from_s(hours * 3600.0)]);
        assert_eq!(planned.plans[0].pacing.settings.cost.name, model.name);
    }
}

#[track_caller]
fn check_default(range: &Range, value: f64) {
    assert_eq!(
        range.check(value, range.units[0]),
        Ok(value),
        "{}",
        range.name
    );
}

#[test]
fn every_default_is_within_its_limits() {
    let settings = PacingSettings::default();
    check_default(&limits::DOWNHILL_CAP, settings.downhill_cap);
    check_default(&limits::NIGHT_FACTOR, settings.night_factor);
    check_default(&limits::HEAT, settings.heat_per_c);
    check_default(&limits::ALTITUDE, settings.altitude_per_km);
    check_default(&limits::CLIMB_MULTIPLIER, settings.climb_multiplier);
    check_default(&limits::DESCENT_MULTIPLIER, settings.descent_multiplier);
    check_default(&limits::FADE, USUAL_FADE);
    check_default(&limits::STOP_MULTIPLIER, USUAL_STOPS);
    match settings.fade {
        Fade::Power { exponent } => check_default(&limits::FADE, exponent),
        Fade::Slowing { strength } => assert!((0.0..=2.0).contains(&strength)),
    }
    assert!(
        BUILT_IN
            .iter()
            .any(|model| model.name == settings.cost.name)
    );
}

#[test]
fn every_range_holds_something_and_accepts_its_ends() {
    for (range, what) in limits::ALL {
        assert!(
            range.low < range.high,
            "{what}: {} to {}",
            range.low,
            range.high
        );
        assert!(
            !range.units.is_empty() && !what.is_empty(),
            "{}",
            range.name
        );
        let usual = range.units[0];
        assert!(range.check(range.low, usual).is_ok(), "{what}");
        assert!(range.check(range.high, usual).is_ok(), "{what}");
        let beyond = range.high + (range.high - range.low) * 0.01;
        for outside in [beyond, f64::NAN, f64::INFINITY] {
            let said = range.check(outside, usual).expect_err(what);
            assert!(said.contains(&range.high.to_string()), "{what}: {said}");
        }
        let keys: BTreeSet<String> = range.keys().into_iter().collect();
        assert_eq!(keys.len(), range.units.len(), "{what}");
    }
}
