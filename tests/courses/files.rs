//! The files a user would write: they hold together, and the readers take them.

use super::{path, text};
use sutler::diagnostics::{Notes, SourceFile, Sources, render};
use sutler::inputs::{self, Texts};

/// A plan with the folder its files lie in.
const PLANS: [(&str, &str); 4] = [
    ("demo-data", "plan.toml"),
    ("demo-data", "plan-50k.toml"),
    ("demo-data", "plan-100k.toml"),
    ("src/starter/files", "plan.toml"),
];

fn table(below: &str) -> toml::Table {
    text(below)
        .parse()
        .unwrap_or_else(|e| panic!("{below}: {e}"))
}

fn word<'t>(table: &'t toml::Table, section: &str, key: &str) -> Option<&'t str> {
    table.get(section)?.get(key)?.as_str()
}

/// The cells of one column.
fn column(below: &str, name: &str) -> Vec<String> {
    let text = text(below);
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let headings = reader.headers().unwrap().clone();
    let i = headings
        .iter()
        .position(|h| h == name)
        .unwrap_or_else(|| panic!("{below}: {name}"));
    reader
        .records()
        .map(|r| r.unwrap()[i].to_owned())
        .filter(|cell| !cell.is_empty())
        .collect()
}

fn words(value: Option<&toml::Value>) -> Vec<String> {
    let list = value.and_then(toml::Value::as_array).into_iter().flatten();
    list.filter_map(|v| v.as_str()).map(str::to_owned).collect()
}

/// The paths of one plan's files.
struct Plan {
    plan: String,
    course: String,
    pantry: String,
    gear: String,
    crew: String,
    runner: String,
    weather: Option<String>,
}

impl Plan {
    fn find(folder: &str, file: &str) -> Plan {
        let plan = format!("{folder}/{file}");
        let settings = table(&plan);
        let own = |key: &str, usual: &str| {
            format!(
                "{folder}/{}",
                word(&settings, "files", key).unwrap_or(usual)
            )
        };
        let forecast = settings.contains_key("forecast");
        Plan {
            course: format!("{folder}/{}", settings["course"].as_str().unwrap()),
            pantry: own("pantry", "pantry.csv"),
            gear: own("gear", "gear.csv"),
            crew: own("crew", "crew.toml"),
            runner: own("runner", "runner.toml"),
            weather: (!forecast).then(|| own("weather", "weather.csv")),
            plan,
        }
    }

    fn texts(&self) -> Texts {
        let file = |below: &str| Some(SourceFile::new(below, text(below)));
        let course = |name: &str| file(&format!("{}/{name}", self.course));
        Texts {
            plan: file(&self.plan),
            course: course("course.toml"),
            route: course("route.gpx"),
            stations: course("stations.csv"),
            surfaces: course("surfaces.csv"),
            results: None,
            runner: file(&self.runner),
            pantry: file(&self.pantry),
            gear: file(&self.gear),
            weather: self.weather.as_deref().and_then(file),
            crew: file(&self.crew),
            record: None,
            log: None,
        }
    }
}

#[test]
fn every_file_is_read_without_a_complaint() {
    let mut said = String::new();
    for (folder, file) in PLANS {
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        inputs::read(Plan::find(folder, file).texts(), &mut sources, &mut notes);
        if !notes.is_empty() {
            said += &format!("{folder}/{file}:\n{}", render(&sources, notes.all(), false));
        }
    }
    assert!(said.is_empty(), "{said}");
}

#[test]
fn what_one_file_names_another_has() {
    for (folder, file) in PLANS {
        let plan = Plan::find(folder, file);
        let stations = format!("{}/stations.csv", plan.course);
        let names = column(&stations, "name");
        let mut places = column(&stations, "place");
        places.extend(names.clone());
        let foods = column(&plan.pantry, "name");
        for offers in column(&stations, "offers") {
            for offer in offers.split(';').map(str::trim).filter(|o| *o != "water") {
                assert!(
                    foods.iter().any(|f| f == offer),
                    "{stations}: no food `{offer}`"
                );
            }
        }
        let kit = table(&format!("{}/course.toml", plan.course));
        let gear = column(&plan.gear, "name");
        let kit = words(kit.get("mandatory_kit"));
        assert!(!kit.is_empty(), "{} demands nothing", plan.course);
        for item in kit {
            assert!(gear.contains(&item), "{}: no gear `{item}`", plan.gear);
        }
        for after in column(&plan.gear, "after") {
            assert!(
                names.contains(&after),
                "{}: no station `{after}`",
                plan.gear
            );
        }
        for place in meetings(&table(&plan.crew)) {
            assert!(places.contains(&place), "{}: no place `{place}`", plan.crew);
        }
    }
}

/// Every place or station that a crew file names.
fn meetings(crew: &toml::Table) -> Vec<String> {
    let list = |key: &str| crew.get(key).and_then(toml::Value::as_array).cloned();
    let ends = ["drive", "pacer"].into_iter().filter_map(list).flatten();
    let mut places: Vec<String> = ends
        .flat_map(|end| ["from", "to"].map(|key| end[key].as_str().unwrap().to_owned()))
        .collect();
    assert!(!places.is_empty());
    let bring = crew.get("bring").and_then(toml::Value::as_table);
    places.extend(bring.into_iter().flat_map(toml::Table::keys).cloned());
    places
}

#[test]
fn the_forecast_has_every_hour_of_the_long_night_once() {
    let (times, heights) = (
        column("demo-data/weather.csv", "time"),
        column("demo-data/weather.csv", "elevation_m"),
    );
    for height in ["650", "1850"] {
        let hours: Vec<&str> = times
            .iter()
            .zip(&heights)
            .filter(|(_, h)| *h == height)
            .map(|(t, _)| t.as_str())
            .collect();
        assert_eq!(hours.len(), 40);
        let twice: Vec<&str> = hours
            .windows(2)
            .filter(|p| p[0] == p[1])
            .map(|p| p[0])
            .collect();
        assert_eq!(twice, ["2026-10-25T02:00"]);
        assert!(hours.windows(2).all(|p| p[0] <= p[1]));
    }
}

/// A setting that a beginner uncomments must be one, with its default as written.
#[test]
fn starter_settings_can_all_be_switched_on() {
    for file in [
        "plan.toml",
        "runner.toml",
        "crew.toml",
        "course/course.toml",
    ] {
        let below = format!("src/starter/files/{file}");
        let text = text(&below);
        let switched: Vec<&str> = text.lines().map(|l| setting_in(l).unwrap_or(l)).collect();
        let off = text.lines().filter_map(setting_in).count();
        assert!(0 < off, "{file} has nothing commented out");
        let all = switched.join("\n").parse::<toml::Table>();
        assert!(all.is_ok(), "{file}: {}", all.unwrap_err());
        let kept: toml::Table = text.parse().unwrap();
        assert!(kept.len() <= all.unwrap().len());
    }
}

/// The setting in a comment line, if it is one and not a sentence.
fn setting_in(line: &str) -> Option<&str> {
    let inside = line.strip_prefix("# ")?;
    let key = inside.split(" = ").next()?;
    let plain = |c: char| c.is_ascii_lowercase() || c == '_';
    let quoted = key.len() > 2 && key.starts_with('"') && key.ends_with('"');
    let setting = inside.contains(" = ") && (key.chars().all(plain) || quoted);
    (setting || (inside.starts_with('[') && inside.ends_with(']'))).then_some(inside)
}

/// Every column of the starter's tables is explained above it.
#[test]
fn starter_columns_are_explained() {
    for file in [
        "pantry.csv",
        "gear.csv",
        "weather.csv",
        "course/stations.csv",
    ] {
        let below = path("src/starter/files").join(file);
        let text = std::fs::read_to_string(&below).unwrap();
        let headings = text.lines().find(|l| !l.starts_with('#')).unwrap();
        let comments: Vec<&str> = text.lines().filter(|l| l.starts_with('#')).collect();
        for heading in headings.split(',') {
            let said = comments
                .iter()
                .any(|l| l[1..].split([',', ' ']).any(|w| w == heading));
            assert!(said, "{file}: nothing about {heading}");
        }
    }
}

/// A sweat rate, a long run or a race that a plan rests on was before its race day.
#[test]
fn what_was_measured_was_measured_before_the_race() {
    for (folder, file) in PLANS {
        let plan = Plan::find(folder, file);
        let course = table(&format!("{}/course.toml", plan.course));
        let Some(start) = course.get("start").and_then(toml::Value::as_str) else {
            continue;
        };
        let mut measured = dates(&table(&plan.runner).into());
        measured.extend(dates(&table(&plan.plan).into()));
        if folder == "demo-data" {
            measured.extend(dates(&table("demo-data/long-runs/record.toml").into()));
            assert!(measured.len() > 8, "{measured:?}");
        }
        for day in measured {
            assert!(
                day.as_str() < start,
                "{}: {day} is after {start}",
                plan.plan
            );
        }
    }
}

/// Every date of a file.
fn dates(value: &toml::Value) -> Vec<String> {
    match value {
        toml::Value::Datetime(day) => vec![day.to_string()],
        toml::Value::Array(all) => all.iter().flat_map(dates).collect(),
        toml::Value::Table(all) => all.iter().flat_map(|(_, one)| dates(one)).collect(),
        _ => Vec::new(),
    }
}
