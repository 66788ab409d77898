//! Printed pages, looked at through their layout: what stands on them, where and how large.

mod bags;
mod command;
mod fields;
mod layout;
mod race_book;

use std::sync::LazyLock;

use serde_json::Value;
use sutler::diagnostics::{SourceFile, Sources, render};
use sutler::paper::{CARD, CREW_SHEET, CardSize, Format, OwnTemplate, Pages, Paper, Sheet, Wishes};
use sutler::units::Units;

use crate::support::case::in_repository;
use crate::support::hostile;
use crate::support::race::{PLANS, Planned};

use layout::{Word, overlaps, shapes_outside, words};

/// No type is smaller on any page, points: capitals of 1.9 mm (0.729 em in this face).
const SMALLEST_PT: f64 = 7.49;
/// Arrivals and station names are to be read at arm's length. ISO 9241-303 asks for characters of
/// at least 16 minutes of arc (from memory): 2.3 mm from 50 cm, 9.1 pt of this face.
const AT_ARMS_LENGTH_PT: f64 = 9.1;

const SIZES: [CardSize; 3] = [CardSize::Pocket, CardSize::Strip, CardSize::Wrist];

fn hostile_race() -> &'static Planned {
    static RACE: LazyLock<Planned> = LazyLock::new(|| hostile::race(30, false));
    &RACE
}

fn demo() -> &'static Planned {
    static RACE: LazyLock<Planned> = LazyLock::new(|| Planned::shipped("demo-data/plan.toml"));
    &RACE
}

#[track_caller]
fn laid_out(paper: &Paper, race: &Planned, units: Units, wishes: &Wishes) -> Pages {
    paper
        .pages(&race.view(units), wishes, None)
        .unwrap_or_else(|notes| panic!("{}", render(&Sources::default(), notes.all(), false)))
}

/// Every page keeps its words inside, apart and large enough; all words of all pages.
#[track_caller]
fn checked(pages: &Pages, at: &str) -> Vec<Word> {
    let mut all = Vec::new();
    for (number, page) in pages.document().pages.iter().enumerate() {
        let found = words(page);
        let (width, height) = (page.frame.width().to_pt(), page.frame.height().to_pt());
        for word in &found {
            assert!(word.inside(width, height), "{at}, page {number}: {word:?}");
            assert!(word.size_pt >= SMALLEST_PT, "{at}, page {number}: {word:?}");
        }
        let over = overlaps(&found);
        assert!(over.is_empty(), "{at}, page {number}: {over:?}");
        let out = shapes_outside(page);
        assert!(out == 0, "{at}, page {number}: {out} shapes leave the page");
        all.extend(found);
    }
    all
}

/// Lays every shipped plan out on A4 and, in miles, on letter, and holds the pages to its data.
fn on_either_sheet(paper: &Paper, hold: impl Fn(&Pages, &[Word], &Value, &str)) {
    for plan in PLANS {
        let race = Planned::shipped(plan);
        for (sheet, units) in [(Sheet::A4, Units::Metric), (Sheet::Letter, Units::Imperial)] {
            let wishes = Wishes {
                sheet,
                ..Wishes::default()
            };
            let at = format!("{plan}, {sheet:?}");
            let pages = laid_out(paper, &race, units, &wishes);
            let data = (paper.data)(&race.view(units), &wishes);
            hold(&pages, &checked(&pages, &at), &data, &at);
        }
    }
}

/// Every arrival stands on the card, in a size for arm's length, beside its station's number.
#[track_caller]
fn nothing_is_lost(race: &Planned, found: &[Word], at: &str) {
    let schedule = &race.plans[0].schedule;
    for split in &schedule.splits {
        let clock = schedule.clock.unwrap().show_time(split.arrival);
        let digits = clock.trim_end_matches(['¹', '²']);
        let shown = found
            .iter()
            .any(|w| w.text.starts_with(digits) && w.size_pt >= AT_ARMS_LENGTH_PT);
        assert!(shown, "{at}: no arrival {clock}");
        let number = match split.station {
            0 => "S".to_owned(),
            last if last + 1 == schedule.splits.len() => "F".to_owned(),
            other => other.to_string(),
        };
        let numbered = found
            .iter()
            .any(|w| w.text == number && w.size_pt >= AT_ARMS_LENGTH_PT);
        assert!(numbered, "{at}: no station {number}");
    }
}

#[test]
fn a_card_of_thirty_hostile_stations_loses_nothing() {
    let race = hostile_race();
    for size in SIZES {
        let wishes = Wishes {
            size,
            ..Wishes::default()
        };
        let pages = laid_out(&CARD, race, Units::Metric, &wishes);
        let found = checked(&pages, &format!("{size:?}"));
        nothing_is_lost(race, &found, &format!("{size:?}"));
        let text: String = found.iter().map(|w| w.text.as_str()).collect();
        let text = text.replace(['\u{ad}', ' '], "");
        for name in [
            "12<script>alert(1)",
            "#seteval(\"x\")*bold*_it_$x$",
            "semi;colon,comma\\",
        ] {
            assert!(text.contains(name), "{size:?}: no {name}");
        }
    }
}

#[test]
fn cards_of_the_demo_say_all_in_any_unit_and_sheet() {
    let race = demo();
    for size in SIZES {
        let wishes = Wishes {
            size,
            sheet: Sheet::Letter,
            ..Wishes::default()
        };
        let pages = laid_out(&CARD, race, Units::Imperial, &wishes);
        let found = checked(&pages, &format!("{size:?}"));
        nothing_is_lost(race, &found, &format!("{size:?}"));
        for station in &race.prepared.race.course.stations {
            let name = station.name.replace(' ', "");
            let text: String = found.iter().map(|w| w.text.as_str()).collect();
            assert!(
                text.replace(['\u{ad}', ' '], "").contains(&name),
                "{size:?}: no {name}"
            );
        }
        let text: String = found.iter().map(|w| w.text.as_str()).collect();
        for needed in [
            "Thirst overrides",
            "medical",
            "officials",
            "HIKE",
            "RUN",
            "ft",
        ] {
            assert!(text.contains(needed), "{size:?}: no {needed}");
        }
    }
}

#[test]
fn who_runs_by_feel_sees_no_pace() {
    let wishes = Wishes {
        by_feel: true,
        ..Wishes::default()
    };
    let data = (CARD.data)(&demo().view(Units::Metric), &wishes);
    let next = data["stations"].as_array().unwrap()[0]["next"].clone();
    assert!(next["pace"].is_null() && next["pace_s_per_km"].is_null());
    let found = checked(&laid_out(&CARD, demo(), Units::Metric, &wishes), "by feel");
    assert!(!found.iter().any(|word| word.text.contains("/km")));
}

#[test]
fn the_crew_sheet_has_every_meeting_and_conflict() {
    for (race, at) in [(demo(), "demo"), (hostile_race(), "hostile")] {
        let pages = laid_out(&CREW_SHEET, race, Units::Metric, &Wishes::default());
        let found = checked(&pages, at);
        let plan = &race.plans[0];
        let clock = plan.schedule.clock.unwrap();
        for meeting in &plan.crew.meetings {
            let time = clock.show_time(meeting.be_there);
            let digits = time.trim_end_matches(['¹', '²']);
            assert!(
                found
                    .iter()
                    .any(|w| w.text.starts_with(digits) && w.size_pt > 15.0),
                "{at}: nobody is told to be there at {time}"
            );
        }
        let blanks = found.iter().filter(|w| w.text.contains("came in")).count();
        assert_eq!(blanks, plan.crew.meetings.len(), "{at}");
    }
}

#[test]
fn same_plan_same_bytes_and_tagged() {
    let wishes = Wishes {
        made: chrono::NaiveDate::from_ymd_opt(2026, 6, 1),
        ..Wishes::default()
    };
    let once = laid_out(&CREW_SHEET, demo(), Units::Metric, &wishes);
    let again = Planned::shipped("demo-data/plan.toml");
    let again = laid_out(&CREW_SHEET, &again, Units::Metric, &wishes);
    for format in [Format::Pdf, Format::Png, Format::Svg] {
        let bytes = once.write(format, 0).unwrap();
        assert!(bytes == again.write(format, 0).unwrap(), "{format:?}");
    }
    let pdf = once.write(Format::Pdf, 0).unwrap();
    let text = String::from_utf8_lossy(&pdf);
    // ISO 32000-1, 14.7.2, 14.8.1 and 14.9.2: structure, the mark that says so, the language
    for needed in [
        "%PDF-1.",
        "/StructTreeRoot",
        "/Marked true",
        "/Lang",
        "/Title",
    ] {
        assert!(text.contains(needed), "no {needed}");
    }
    assert!(
        once.write(Format::Png, 99)
            .unwrap_err()
            .contains("no page 100")
    );
}

#[test]
fn mistakes_of_a_template_are_shown_in_their_place() {
    for (template, said, place) in [
        (
            "= Hi\n#nonsense",
            "unknown variable: nonsense",
            "own.typ:2:2",
        ),
        ("#let", "expected", "own.typ:1:5"),
        ("#read(\"/etc/passwd\")", "file not found", "own.typ:1:7"),
        ("#json(\"/data.json\").nothing", "nothing", "own.typ:1:21"),
        (
            "#datetime.today()",
            "unable to get the current date",
            "own.typ:1:2",
        ),
    ] {
        let mut sources = Sources::default();
        let id = sources.add(SourceFile::new("own.typ", template));
        let own = OwnTemplate { text: template, id };
        let view = demo().view(Units::Metric);
        let notes = CARD
            .pages(&view, &Wishes::default(), Some(&own))
            .unwrap_err();
        let shown = render(&sources, notes.all(), false);
        assert!(shown.contains(said) && shown.contains(place), "{shown}");
    }
}

#[test]
fn the_card_of_the_demo_is_kept() {
    let race = Planned::shipped("demo-data/plan-50k.toml");
    let pages = laid_out(&CARD, &race, Units::Metric, &Wishes::default());
    nothing_is_lost(&race, &checked(&pages, "demo"), "demo");
    let text = String::from_utf8(pages.write(Format::Svg, 0).unwrap()).unwrap();
    let path = in_repository("demo-data/pictures/card.svg");
    if std::env::var_os("SUTLER_ACCEPT").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == text,
        "{} is not what is drawn now; run the tests with SUTLER_ACCEPT=1 and look at it",
        path.display()
    );
}
