//! Pictures: well-formed, harmless, legible, and drawn where the plan's numbers are.

mod boxes;
mod colours;
mod numbers;
pub mod svg;

use std::sync::LazyLock;

use sutler::calendar::{Calendar, CalendarRequest, Done, lay_out};
use sutler::facts::{CalendarFacts, Facts, View};
use sutler::pictures::{self, PAPER, PICTURES, PosterSheet, THEMES};
use sutler::units::Units;

use crate::calendar::wishes::{Seeded, aims, date, request};
use crate::support::case::in_repository;
use crate::support::hostile;
use crate::support::race::{PLANS, Planned};
use crate::support::synthetic::Synthetic;
use svg::{Svg, drawn};

/// Everything that is shipped, hostile names in many stations, a course without any station or
/// clock, and each without a target.
fn races() -> &'static [(String, Planned)] {
    static RACES: LazyLock<Vec<(String, Planned)>> = LazyLock::new(planned);
    &RACES
}

fn planned() -> Vec<(String, Planned)> {
    let mut races: Vec<(String, Planned)> = PLANS
        .iter()
        .map(|plan| ((*plan).to_owned(), Planned::shipped(plan)))
        .collect();
    for (stations, bunched) in [(1, false), (30, false), (30, true), (80, false)] {
        let name = format!("{stations} stations, bunched: {bunched}");
        races.push((name, hostile::race(stations, bunched)));
    }
    for seed in 0..5 {
        let course = Synthetic::of(seed);
        let finish = sutler::time::Elapsed::from_s(course.length_km * 600.0);
        let name = format!("synthetic {seed}");
        races.push((name, Planned::of(course.texts(), &[finish])));
    }
    races
}

/// Calendars of long runs: sixteen weeks, two years, a few days, and seeded ones.
fn calendars() -> &'static [(String, Calendar)] {
    static CALENDARS: LazyLock<Vec<(String, Calendar)>> = LazyLock::new(laid_out);
    &CALENDARS
}

fn laid_out() -> Vec<(String, Calendar)> {
    let from = |from: &str| CalendarRequest {
        from: date(from),
        ..request()
    };
    let mut wishes = vec![
        ("sixteen weeks".to_owned(), request()),
        ("two years".to_owned(), from("2024-10-28")),
        ("four days".to_owned(), from("2026-10-20")),
    ];
    // runs of all lengths around those planned, in the first weeks
    for more_m in [-2e3, -1e3, -500.0, 0.0, 500.0, 1e3, 2e3, 3e3, 5e3] {
        let planned = lay_out(&request(), &aims());
        let weeks = planned
            .weeks
            .iter()
            .take(6)
            .filter(|week| !week.runs.is_empty());
        let done = weeks.map(|week| Done {
            date: week.runs[0].date,
            distance_m: week.long_m() + more_m,
        });
        let done = done.collect();
        wishes.push((
            format!("run {more_m} m more"),
            CalendarRequest { done, ..request() },
        ));
    }
    wishes.extend((0..6).map(|seed| (format!("seed {seed}"), Seeded::of(seed).request)));
    let wishes = wishes.into_iter();
    wishes
        .map(|(name, request)| (name, lay_out(&request, &aims())))
        .collect()
}

/// Every picture of a race in every theme and unit, with and without a target; calendars of long
/// runs to it.
fn pictures(planned: &Planned) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for units in [Units::Metric, Units::Imperial] {
        let view = planned.view(units);
        let facts = Facts::of(&view);
        let untargeted = Facts::of(&View { plans: &[], ..view });
        for picture in PICTURES {
            for theme in THEMES.iter().chain([&PAPER]) {
                let name = format!("{} {} {units:?}", picture.name, theme.name);
                found.push((name.clone(), (picture.draw)(&facts, theme)));
                let bare = (picture.draw)(&untargeted, theme);
                found.push((format!("{name} without a target"), bare));
            }
        }
        for (sheet, wide, high, free) in [
            ("poster", 740.0, 1046.0, 0.0),
            ("phone", 400.0, 888.0, 177.0),
        ] {
            let sheet_of = PosterSheet { wide, high, free };
            for theme in &THEMES {
                let name = format!("{sheet} {} {units:?}", theme.name);
                found.push((name.clone(), pictures::poster(&facts, theme, sheet_of)));
                let bare = pictures::poster(&untargeted, theme, sheet_of);
                found.push((format!("{name} without a target"), bare));
            }
        }
        for (weeks, calendar) in calendars() {
            let told = CalendarFacts::of(&view, calendar, &aims());
            for theme in &THEMES {
                let name = format!("long runs, {weeks}, {} {units:?}", theme.name);
                found.push((name, pictures::long_runs(&facts, &told, theme)));
            }
        }
    }
    found
}

/// What a picture may be made of.
const ELEMENTS: [&str; 12] = [
    "svg", "title", "desc", "rect", "text", "line", "path", "circle", "g", "defs", "pattern",
    "tspan",
];

#[test]
fn pictures_are_well_formed_and_run_nothing() {
    for (race, planned) in races() {
        for (name, text) in pictures(planned) {
            let at = format!("{race}, {name}");
            let svg = Svg::read(&text);
            assert_eq!(svg.elements[0].name, "svg", "{at}");
            for element in &svg.elements {
                assert!(
                    ELEMENTS.contains(&element.name.as_str()),
                    "{at}: <{}>",
                    element.name
                );
                for (key, value) in &element.attributes {
                    assert!(
                        !key.starts_with("on") && !key.contains("href"),
                        "{at}: {key}"
                    );
                    assert!(
                        !value.contains("http") || key == "xmlns",
                        "{at}: {key}=\"{value}\""
                    );
                    assert!(
                        !value.contains("url(") || value.starts_with("url(#"),
                        "{at}: {key}=\"{value}\""
                    );
                    assert!(
                        !value.contains("NaN") && !value.contains("inf"),
                        "{at}: {value}"
                    );
                }
            }
            let ids: Vec<&str> = svg.all_of("id").collect();
            let links = svg.attributes().filter_map(|(_, value)| {
                value
                    .strip_prefix("url(#")
                    .and_then(|id| id.strip_suffix(')'))
            });
            for id in links {
                assert!(ids.contains(&id), "{at}: nothing is called {id}");
            }
            for needed in ["title", "desc"] {
                let words = svg.elements.iter().find(|e| e.name == needed);
                assert!(
                    words.is_some_and(|e| e.text.len() > 10),
                    "{at}: no {needed}"
                );
            }
        }
    }
}

#[test]
fn hostile_names_are_words() {
    let planned = hostile::race(30, false);
    let facts = Facts::of(&planned.view(Units::Metric));
    for picture in &PICTURES[..2] {
        let svg = Svg::read(&(picture.draw)(&facts, &THEMES[0]));
        let words: Vec<&str> = svg.texts().map(|text| text.text.as_str()).collect();
        for start in ["12 <script>", "2 Oberwald", "3 محطة", "9 水站"] {
            assert!(
                words.iter().any(|word| word.starts_with(start)),
                "{}: no {start} in {words:?}",
                picture.name
            );
        }
        // names that turn the words around them would show times backwards
        assert!(!words.iter().any(|word| word.contains('\u{202e}')));
    }
}

#[test]
fn every_station_and_segment_is_found_once_in_every_picture() {
    for (race, planned) in races() {
        let facts = Facts::of(&planned.view(Units::Metric));
        let sheet = PosterSheet {
            wide: 740.0,
            high: 1046.0,
            free: 0.0,
        };
        let drawn = PICTURES
            .iter()
            .map(|one| (one.name, (one.draw)(&facts, &THEMES[0])));
        for (name, text) in drawn.chain([("poster", pictures::poster(&facts, &THEMES[0], sheet))]) {
            let svg = Svg::read(&text);
            let ids: Vec<&str> = svg.all_of("id").collect();
            let stations = facts.stations.iter().map(|station| &station.id);
            for id in stations.chain(facts.segments.iter().map(|segment| &segment.id)) {
                let found = ids.iter().filter(|own| *own == id).count();
                assert_eq!(found, 1, "{race}, {name}: {id}");
            }
        }
    }
}

#[test]
fn same_plan_same_bytes() {
    for (name, once) in &races()[..2] {
        let again = Planned::shipped(name);
        assert!(pictures(once) == pictures(&again), "{name}");
    }
    let once = &races()[PLANS.len() + 1];
    let again = hostile::race(30, false);
    assert!(pictures(&once.1) == pictures(&again), "{}", once.0);
}

#[test]
fn pictures_of_the_demo_are_kept() {
    let planned = Planned::shipped("demo-data/plan.toml");
    for name in ["profile", "time-distance"] {
        let text = drawn(&planned, name, Units::Metric);
        let path = in_repository(&format!("demo-data/pictures/{name}.svg"));
        if std::env::var_os("SUTLER_ACCEPT").is_some() {
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(&path, &text).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == text,
            "{} is not what is drawn now; run the tests with SUTLER_ACCEPT=1 and look at it",
            path.display()
        );
    }
}
