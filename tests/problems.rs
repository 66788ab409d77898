//! What users are told about files that are wrong. Each folder of `tests/problems` but `valid`
//! holds a mistake or two, a comment `# wrong` above each line that has one, and in `expected.txt`
//! every word that is said. `SUTLER_ACCEPT=1` rewrites those; read them before you keep them.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use sutler::diagnostics::{Notes, Severity, SourceFile, Sources, render};
use sutler::inputs::course_toml::HeightSource;
use sutler::inputs::gear_csv::GearRule;
use sutler::inputs::pantry_csv::FoodKind;
use sutler::inputs::runner_toml::{GutTraining, HealthFlag};
use sutler::inputs::stations_csv::{Cutoff, CutoffOn, StationKind};
use sutler::inputs::surfaces_csv::Surface;
use sutler::inputs::{self, Inputs, Texts, limits};
use sutler::time::Elapsed;

/// The files of a plan, and which of its texts each is.
const FILES: [&str; 12] = [
    "plan.toml",
    "course.toml",
    "stations.csv",
    "surfaces.csv",
    "results.csv",
    "runner.toml",
    "pantry.csv",
    "gear.csv",
    "weather.csv",
    "crew.toml",
    "record.toml",
    "intake.csv",
];

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/problems")
}

fn cases() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = fs::read_dir(corpus())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_dir() && !path.ends_with("valid"))
        .collect();
    folders.sort();
    folders
}

fn slot<'t>(texts: &'t mut Texts, name: &str) -> &'t mut Option<SourceFile> {
    match name {
        "plan.toml" => &mut texts.plan,
        "course.toml" => &mut texts.course,
        "stations.csv" => &mut texts.stations,
        "surfaces.csv" => &mut texts.surfaces,
        "results.csv" => &mut texts.results,
        "runner.toml" => &mut texts.runner,
        "pantry.csv" => &mut texts.pantry,
        "gear.csv" => &mut texts.gear,
        "weather.csv" => &mut texts.weather,
        "crew.toml" => &mut texts.crew,
        "record.toml" => &mut texts.record,
        "intake.csv" => &mut texts.log,
        _ => panic!("no file `{name}`"),
    }
}

fn texts(folder: &Path) -> Texts {
    let mut texts = Texts::default();
    for name in FILES {
        if let Ok(text) = fs::read_to_string(folder.join(name)) {
            *slot(&mut texts, name) = Some(SourceFile::new(name, text));
        }
    }
    texts
}

fn read(texts: Texts) -> (Inputs, Sources, Notes) {
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    (inputs, sources, notes)
}

fn read_one(name: &str, text: &str) -> (Inputs, Sources, Notes) {
    let mut texts = Texts::default();
    *slot(&mut texts, name) = Some(SourceFile::new(name, text));
    read(texts)
}

/// What is said about one file.
fn said(name: &str, text: &str) -> String {
    let (_, sources, notes) = read_one(name, text);
    render(&sources, notes.all(), false)
}

#[test]
fn every_mistake_is_explained() {
    let accept = std::env::var_os("SUTLER_ACCEPT").is_some();
    let folders = cases();
    assert!(folders.len() >= 100, "only {} cases", folders.len());
    let mut wrong = Vec::new();
    for folder in folders {
        let (_, sources, notes) = read(texts(&folder));
        assert!(!notes.is_empty(), "{}: nothing is said", folder.display());
        let said = render(&sources, notes.all(), false);
        let expected = folder.join("expected.txt");
        if accept {
            fs::write(&expected, &said).unwrap();
        }
        if said != fs::read_to_string(&expected).unwrap_or_default() {
            wrong.push(format!("{}\n{said}", folder.display()));
        }
    }
    assert!(wrong.is_empty(), "not as expected:\n{}", wrong.join("\n"));
}

/// The comments are put above the lines by hand, so this does not take our word for it.
#[test]
fn every_mistake_is_found_where_it_is() {
    let mut marked_in_all = 0;
    for folder in cases() {
        let mut marked = BTreeSet::new();
        for name in FILES {
            let text = fs::read_to_string(folder.join(name)).unwrap_or_default();
            for (at, line) in text.lines().enumerate() {
                if line.trim_start_matches('\u{feff}') == "# wrong" {
                    marked.insert((name.to_owned(), at + 2));
                }
            }
        }
        let (_, sources, notes) = read(texts(&folder));
        let found: BTreeSet<(String, usize)> = notes
            .all()
            .iter()
            .filter_map(|problem| problem.at)
            .map(|span| {
                (
                    sources.get(span.file).name.clone(),
                    sources.position(span).0,
                )
            })
            .collect();
        assert_eq!(found, marked, "{}", folder.display());
        let text = render(&sources, notes.all(), false);
        for (name, line) in &marked {
            let place = format!("--> {name}:{line}:");
            assert!(
                text.contains(&place),
                "{}: no `{place}` in\n{text}",
                folder.display()
            );
        }
        marked_in_all += marked.len();
    }
    assert!(marked_in_all > 100);
}

#[test]
fn nothing_is_said_about_files_that_are_right() {
    let (inputs, sources, notes) = read(texts(&corpus().join("valid")));
    assert_eq!(render(&sources, notes.all(), true), "");
    // Each file in its other units, and what a value nobody wrote is.
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    assert_eq!(
        inputs.plan.finish.unwrap().value,
        Elapsed::from_secs(70_200)
    );
    assert!(near(inputs.plan.wave_offset_s, 600.0));
    let past = &inputs.plan.past[0];
    assert!(near(past.distance_m, 30.0 * 1609.344) && near(past.climb_m, 6000.0 * 0.3048));
    assert_eq!(past.place, Some((41, 230)));
    assert!(inputs.results.len() == 2 && inputs.results[0].as_secs() == 69_605);
    assert!(near(past.stopped_s, 1200.0) && past.surface == Some(Surface::Track));
    let marathon = &inputs.plan.past[1];
    assert_eq!(marathon.time.value, Elapsed::from_secs(15_000));
    assert!(marathon.climb_m == 0.0 && marathon.surface.is_none());
    assert_eq!(inputs.plan.cushion.unwrap().value.as_secs(), 1800);
    assert!(near(inputs.plan.stops.at[1].1, 1230.0));
    let forecast = inputs.plan.forecast.unwrap();
    assert!(near(forecast.temp_c, 15.0) && forecast.humidity_pct.is_none());
    assert!(near(
        inputs.course.official_distance_m.unwrap().value,
        52.0 * 1609.344
    ));
    assert!(near(
        inputs.course.official_climb_m.unwrap().value,
        14_000.0 * 0.3048
    ));
    assert_eq!(
        inputs.course.timezone.unwrap().value,
        chrono_tz::Europe::Vienna
    );
    assert!(near(
        inputs.runner.mass_kg.unwrap().value,
        143.0 * 0.453_592_37
    ));
    assert!(near(inputs.runner.height_cm.unwrap().value, 66.0 * 2.54));
    assert!(near(inputs.runner.sweat[0].temp_c, 160.0 / 9.0));
    assert!(near(
        inputs.runner.flasks_ml[1].value,
        17.0 * 29.573_529_562_5
    ));
    assert!(near(inputs.surfaces[2].to_m, 31.25 * 1609.344));
    assert!(near(inputs.weather[1].temp_c, 0.0));
    assert!(near(inputs.weather[1].wind_kmh.unwrap(), 20.0 * 1.609_344));
    assert!(near(
        inputs.weather[2].elevation_m.unwrap(),
        6000.0 * 0.3048
    ));
    assert!(near(inputs.pantry[1].energy_kcal, 36.0));
    assert!(inputs.pantry[1].stock.is_none() && inputs.pantry[1].liking == 5);
    assert_eq!(inputs.log.len(), 9);
    let crew = inputs.crew.unwrap();
    assert!(near(crew.buffer_s, 900.0) && near(crew.drives[0].drive_s, 2100.0));
    let spring = &inputs.stations[3];
    assert_eq!(spring.name.value, "The \"Spring\", <b>café</b> 🏔");
    assert_eq!(spring.kind, StationKind::Water);
    assert_eq!(inputs.stations[1].offers[1].value, "Cola");
}

#[test]
fn a_range_is_planned_in_its_middle() {
    let (inputs, _, notes) = read_one("plan.toml", "finish = \"28:00:00..32:30:00\"");
    assert!(notes.is_empty());
    let hours = |times: Vec<Elapsed>| times.iter().map(|t| t.as_hours()).collect::<Vec<_>>();
    let beside = inputs.plan.other_finishes.iter().map(|f| f.value).collect();
    assert_eq!(hours(vec![inputs.plan.finish.unwrap().value]), [30.25]);
    assert_eq!(hours(beside), [28.0, 32.5]);
}

/// A single past result may stand in a section of its own.
#[test]
fn one_past_result_or_several() {
    let one = "[past]\ndistance_km = 50\ntime = \"8:00:00\"\n";
    let several = one.replace("[past]", "[[past]]").repeat(3);
    for (text, count) in [(one, 1), (several.as_str(), 3), ("", 0)] {
        let (inputs, _, notes) = read_one("plan.toml", text);
        assert!(
            notes.is_empty() && inputs.plan.past.len() == count,
            "{text}"
        );
    }
}

#[test]
fn cutoffs_tell_themselves_apart() {
    let cutoff = |text: &str| {
        let (inputs, _, notes) = read_one(
            "stations.csv",
            &format!("name,distance_km,cutoff\nA,1,{text}"),
        );
        assert!(notes.is_empty(), "{text}: {:?}", notes.all());
        inputs.stations[0].cutoff.unwrap().value
    };
    let clock = |h, m| chrono::NaiveTime::from_hms_opt(h, m, 0).unwrap();
    let day = |d| chrono::NaiveDate::from_ymd_opt(2026, 10, d).unwrap();
    assert_eq!(cutoff("14:30"), Cutoff::Clock(None, clock(14, 30)));
    assert_eq!(cutoff("9:05"), Cutoff::Clock(None, clock(9, 5)));
    for written in ["Sun 14:30", "sunday 14:30", "SUN  14:30"] {
        assert_eq!(
            cutoff(written),
            Cutoff::Clock(Some(chrono::Weekday::Sun), clock(14, 30))
        );
    }
    let elapsed = Cutoff::Elapsed(Elapsed::from_secs(31 * 3600 + 30 * 60));
    assert_eq!(cutoff("+31:30"), elapsed);
    assert_eq!(cutoff("31:30:00"), elapsed);
    assert_eq!(
        cutoff("2026-10-25T14:30"),
        Cutoff::Local(day(25).and_time(clock(14, 30)))
    );
    // RFC 3339: the offset is subtracted to get UTC.
    let instant = Cutoff::Instant(day(25).and_time(clock(1, 30)));
    assert_eq!(cutoff("2026-10-25T02:30+01:00"), instant);
    assert_eq!(cutoff("2026-10-25T01:30:00Z"), instant);
}

/// A cell's span is the cell: no quotes, no spaces, in any separator.
#[test]
fn spans_are_the_cells_themselves() {
    let text = "\u{feff}# über\r\n\r\nname,offers,distance_km\r\n  Été ,\" a ;bé;; c\",\" 5 \"\r\n\"Q \"\"x\"\"\",\"z\",6";
    let (inputs, sources, notes) = read_one("stations.csv", text);
    assert!(notes.is_empty(), "{}", render(&sources, notes.all(), false));
    assert_eq!(inputs.stations[0].name.value, "Été");
    let words = |span: Option<sutler::diagnostics::Span>| {
        let span = span.unwrap();
        text[span.start..span.end].to_owned()
    };
    let first = &inputs.stations[0];
    assert_eq!(words(first.name.span), "Été");
    assert_eq!(words(first.distance_m.unwrap().span), "5");
    let offers: Vec<String> = first.offers.iter().map(|offer| words(offer.span)).collect();
    assert_eq!(offers, ["a", "bé", "c"]);
    let second = &inputs.stations[1];
    assert_eq!(second.name.value, "Q \"x\"");
    assert_eq!(words(second.name.span), "Q \"\"x\"\"");
}

/// Every name a file may use reads as what it names, in any case.
#[test]
fn every_name_is_read() {
    fn table<T>(
        name: &str,
        names: &[(&str, T)],
        text: impl Fn(&str) -> String,
        read: impl Fn(&Inputs) -> T,
    ) where
        T: Copy + PartialEq + std::fmt::Debug,
    {
        assert!(names.len() > 1);
        for (word, value) in names {
            for word in [(*word).to_owned(), word.to_uppercase()] {
                let (inputs, sources, notes) = read_one(name, &text(&word));
                assert!(
                    !notes.has_errors(),
                    "{}",
                    render(&sources, notes.all(), false)
                );
                assert_eq!(read(&inputs), *value, "{word}");
            }
        }
    }
    table(
        "stations.csv",
        &StationKind::NAMES,
        |w| format!("name,distance_km,kind\nA,1,{w}\n"),
        |i| i.stations[0].kind,
    );
    table(
        "stations.csv",
        &CutoffOn::NAMES,
        |w| format!("name,distance_km,cutoff_on\nA,1,{w}\n"),
        |i| i.stations[0].cutoff_on.unwrap(),
    );
    table(
        "surfaces.csv",
        &Surface::NAMES,
        |w| format!("from_km,to_km,surface\n0,1,{w}\n"),
        |i| i.surfaces[0].surface,
    );
    table(
        "pantry.csv",
        &FoodKind::NAMES,
        |w| format!("name,kind,mass_g\nA,{w},5\n"),
        |i| i.pantry[0].kind,
    );
    table(
        "gear.csv",
        &GearRule::NAMES,
        |w| {
            let after = if w.to_lowercase() == "after-station" {
                "B"
            } else {
                ""
            };
            format!("name,when,after\nA,{w},{after}\n")
        },
        |i| i.gear[0].when,
    );
    table(
        "course.toml",
        &HeightSource::NAMES,
        |w| format!("heights = \"{w}\""),
        |i| i.course.heights,
    );
    table(
        "course.toml",
        &CutoffOn::NAMES,
        |w| format!("cutoffs_on = \"{w}\""),
        |i| i.course.cutoffs_on,
    );
    table(
        "course.toml",
        &Surface::NAMES,
        |w| format!("surface = \"{w}\""),
        |i| i.course.surface,
    );
    table(
        "runner.toml",
        &GutTraining::NAMES,
        |w| format!("[fueling]\ngut = \"{w}\""),
        |i| i.runner.gut,
    );
    table(
        "runner.toml",
        &HealthFlag::NAMES,
        |w| format!("conditions = [\"{w}\"]"),
        |i| i.runner.conditions[0].value,
    );
}

#[test]
fn too_much_of_anything_is_refused() {
    let rows = |count: usize| {
        (0..count).fold("name,distance_km\n".to_owned(), |text, at| {
            format!("{text}S{at},{}\n", at as f64 / 2.0)
        })
    };
    assert_eq!(said("stations.csv", &rows(limits::STATION_ROWS)), "");
    assert_eq!(
        said("stations.csv", &rows(limits::STATION_ROWS + 5)),
        "error: `stations.csv` has too many rows\n   --> stations.csv:502:1\n    |\n502 | S500,250\n    | ^^^^^^^^ expected at most 500 rows\n\n"
    );
    let long = format!("name,distance_km\n{}", "x".repeat(limits::TABLE_BYTES));
    assert_eq!(
        said("stations.csv", &long),
        "error: `stations.csv` is 4.0 MB\nexpected at most 4 MB\n\n"
    );
    let long = format!("name = \"{}\"", "x".repeat(limits::SETTINGS_BYTES));
    assert_eq!(
        said("plan.toml", &long),
        "error: `plan.toml` is 1.0 MB\nexpected at most 1 MB\n\n"
    );
    let wide = format!("name,{}", ",".repeat(limits::COLUMNS));
    assert!(said("gear.csv", &wide).contains("expected at most 100 columns"));
    let offers = "water;".repeat(limits::LIST_ENTRIES + 1);
    let text = format!("name,distance_km,offers\nA,1,{offers}\n");
    assert!(said("stations.csv", &text).contains("expected at most 100 names"));
    let deep = format!("name = {}", "[".repeat(100_000));
    assert!(said("runner.toml", &deep).starts_with("error: "));
}

#[test]
fn a_file_full_of_problems_does_not_fill_the_screen() {
    let keys = (0..5_000).fold(String::new(), |text, at| format!("{text}key{at} = 1\n"));
    let (_, _, notes) = read_one("runner.toml", &keys);
    assert_eq!(notes.all().len(), limits::PROBLEMS_SHOWN + 1);
    let rows = (0..400).fold("name,distance_km,kind\n".to_owned(), |text, at| {
        format!("{text}S{at},{at},hut\n")
    });
    let (_, sources, notes) = read_one("stations.csv", &rows);
    assert_eq!(notes.all().len(), limits::PROBLEMS_SHOWN + 1);
    let text = render(&sources, notes.all(), false);
    assert!(
        text.ends_with("error: 340 more problems in `stations.csv`\n\n"),
        "{text}"
    );
}

#[test]
fn contradictions_do_not_fill_the_screen_either() {
    let hours = "2026-10-24T06:00,12\n".repeat(5_000);
    let (_, sources, notes) = read_one("weather.csv", &format!("time,temp_c\n{hours}"));
    assert_eq!(notes.all().len(), limits::PROBLEMS_SHOWN + 1);
    let text = render(&sources, notes.all(), false);
    assert!(
        text.ends_with("error: 4939 more contradictions\n\n"),
        "{text}"
    );
}

/// A megabyte on one line, or a name made to fool a terminal, must not reach the screen whole.
#[test]
fn long_lines_and_control_characters_stay_off_the_screen() {
    let text = format!("name,distance_km,kind\nA,{},hut\n", "9".repeat(200_000));
    let said = said("stations.csv", &text);
    assert!(
        said.lines().all(|line| line.chars().count() < 300),
        "{said}"
    );
    assert!(said.contains(" --> stations.csv:2:200004\n"), "{said}");
    assert!(!said.contains(":::"), "{said}");
    let (_, sources, notes) = read_one(
        "stations.csv",
        "name,distance_km,kind\nA,1,\u{1b}[31mhut\u{7}\n",
    );
    let said = render(&sources, notes.all(), false);
    assert!(
        said.chars().all(|c| c == '\n' || !c.is_control()),
        "{said:?}"
    );
    assert!(render(&sources, notes.all(), true).contains("\u{1b}[")); // our own colours alone
    // Right-to-left marks, emoji, markup and quotes are names like others.
    let (inputs, _, notes) = read_one(
        "stations.csv",
        "name,distance_km\n\u{202e}<script>'👩‍👩‍👧;--,1\n",
    );
    assert!(notes.is_empty());
    assert_eq!(inputs.stations[0].name.value, "\u{202e}<script>'👩‍👩‍👧;--");
}

/// Every limit is one that can be met, and is said in each of its units.
#[test]
fn limits_hold_in_every_unit() {
    for (range, what) in limits::ALL {
        assert!(range.low < range.high && !what.is_empty(), "{what}");
        for unit in range.units {
            let usual = range.units[0];
            let written = |number: f64| unit.from_record(usual.to_record(number));
            let middle = written((range.low + range.high) / 2.0);
            assert!(range.check(middle, *unit).is_ok(), "{what}");
            let beyond = written(range.high + (range.high - range.low) / 10.0);
            let expected = range.check(beyond, *unit).unwrap_err();
            assert!(
                expected.starts_with("expected ") && expected.ends_with(unit.symbol),
                "{expected}"
            );
            assert!(range.check(f64::NAN, *unit).is_err());
        }
    }
}

#[test]
fn a_warning_is_no_error() {
    let (_, _, notes) = read_one("course.toml", "timezone = \"Europe/Vienna\"");
    assert!(!notes.has_errors());
    assert_eq!(notes.all()[0].severity, Severity::Warning);
}

/// Reads a text as each file there is, and says everything about it.
fn survives(text: &str) {
    for name in FILES {
        let (_, sources, notes) = read_one(name, text);
        let _shown = render(&sources, notes.all(), false);
    }
}

/// A valid file, cut and patched in a few places.
fn mutated() -> impl Strategy<Value = (&'static str, String)> {
    let patches = prop::collection::vec(
        (
            any::<prop::sample::Index>(),
            0..6_usize,
            "\\PC{0,4}|[\"',;=\\[\\]\\n\\r\\t#.:+0-9-]{0,4}",
        ),
        1..6,
    );
    (prop::sample::select(&FILES[..]), patches).prop_map(|(name, patches)| {
        let mut text = fs::read_to_string(corpus().join("valid").join(name)).unwrap();
        for (at, length, patch) in patches {
            let start = text.floor_char_boundary(at.index(text.len() + 1));
            let end = text.ceil_char_boundary((start + length).min(text.len()));
            text.replace_range(start..end, &patch);
        }
        (name, text)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn no_bytes_make_a_reader_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        survives(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn no_text_makes_a_reader_panic(text in "([a-z_]{1,9}|[0-9.,;:+-]{1,6}|[\"'=\\[\\]{}#\\n\\r\\t ]|\\PC){0,60}") {
        survives(&text);
    }

    #[test]
    fn no_slip_of_the_pen_makes_a_reader_panic((name, text) in mutated()) {
        let mut texts = texts(&corpus().join("valid"));
        *slot(&mut texts, name) = Some(SourceFile::new(name, text));
        let (_, sources, notes) = read(texts);
        let _shown = render(&sources, notes.all(), false);
        for span in notes.all().iter().filter_map(|problem| problem.at) {
            let text = &sources.get(span.file).text;
            prop_assert!(span.start <= span.end && text.get(span.start..span.end).is_some());
        }
    }
}
