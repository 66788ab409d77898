//! Organisers' tables as they are pasted: one invented race in a dozen shapes, each read to the
//! same stations, and tables with mistakes, of which nothing is lost.

mod cutoffs;
mod sentences;

use std::fs;
use std::path::Path;

use chrono::NaiveDate;
use sutler::diagnostics::{Notes, SourceFile, Sources, render};
use sutler::inputs::pantry_csv;
use sutler::inputs::pasted::{ColumnMeaning, PasteContext, PastedTable, read};
use sutler::inputs::stations_csv::{self, CutoffOn, StationKind};

/// A race that starts at 18:00 on Saturday 8 May 2027: name, kilometres, day and time of the
/// cutoff, hours since the start, crew, drop bag. Worked out by hand.
pub const RACE: [(&str, f64, &str, &str, bool, bool); 5] = [
    ("Birchend", 0.0, "", "", false, false),
    ("Old Mill", 12.5, "Sat 21:30", "+3:30", true, false),
    ("Ridge Hut", 27.0, "Sun 00:30", "+6:30", false, false),
    ("Old Mill", 41.5, "Sun 04:45", "+10:45", true, true),
    ("Lakeside", 60.0, "Sun 09:00", "+15:00", false, false),
];

/// The ways a shape writes its cutoffs.
#[derive(Clone, Copy)]
pub enum Times {
    Days,
    Clock,
    Race,
    Dates,
}
use Times::{Clock, Dates, Days, Race};

/// Each shape, how it writes cutoffs, whether it has columns for the crew and for drop bags.
pub const SHAPES: [(&str, Times, bool, bool); 12] = [
    ("tabs", Days, true, true),
    ("semicolons", Clock, true, true),
    ("commas", Race, true, true),
    ("blanks", Days, true, true),
    ("bars", Clock, true, true),
    ("miles", Clock, true, true),
    ("no-names", Days, false, false),
    ("one-blank", Days, true, false),
    ("legs", Race, true, false),
    ("title", Dates, true, true),
    ("dates", Dates, true, true),
    ("two-times", Race, false, false),
];

fn known() -> PasteContext {
    let day = NaiveDate::from_ymd_opt(2027, 5, 8).unwrap();
    PasteContext {
        start: day.and_hms_opt(18, 0, 0),
        route_m: Some(60_400.0),
        ..PasteContext::default()
    }
}

/// Foods that only stations have, one of them hot.
fn with_pantry() -> PasteContext {
    let text = "name,kind,serving,mass_g,carbs_g,sodium_mg,own\n\
        banana,food,half a banana,59,13.5,1,no\nbroth,station,1 cup,240,0.6,917,no\n\
        gel,gel,1 gel,40,26,40,yes\n";
    let file = SourceFile::new("pantry.csv", text);
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let id = sources.add(file.clone());
    PasteContext {
        pantry: pantry_csv::read(&file, id, &mut notes),
        ..known()
    }
}

fn table(name: &str) -> PastedTable {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/pasted/{name}.txt"));
    read(&fs::read_to_string(path).unwrap(), &known())
}

#[test]
fn one_race_in_a_dozen_shapes() {
    for (shape, times, crew, bags) in SHAPES {
        let table = table(shape);
        assert_eq!(table.stations.len(), RACE.len(), "{shape}: {table:#?}");
        for (station, (name, km, day, race, meets, bag)) in table.stations.iter().zip(RACE) {
            let place = station.place.as_ref().unwrap_or(&station.name);
            assert_eq!(place, name, "{shape}");
            let metres = station.distance_m.unwrap();
            assert!(
                (metres - km * 1000.0).abs() < 10.0,
                "{shape} {name}: {metres} m"
            );
            let (weekday, clock) = day.split_once(' ').unwrap_or_default();
            let date = if weekday == "Sat" {
                "2027-05-08"
            } else {
                "2027-05-09"
            };
            let cutoff = match times {
                Days => day.to_owned(),
                Clock => clock.to_owned(),
                Race => race.to_owned(),
                Dates => format!("{date}T{clock}"),
            };
            let cutoff = (!day.is_empty()).then_some(cutoff);
            assert_eq!(station.cutoff, cutoff, "{shape} {name}");
            assert_eq!(station.crew, crew && meets, "{shape} {name}: crew");
            assert_eq!(station.drop_bag, bags && bag, "{shape} {name}: drop bag");
        }
        let unread = if shape == "title" {
            vec![1, 2, 10]
        } else {
            Vec::new()
        };
        let lines: Vec<usize> = table.unread.iter().map(|cell| cell.line).collect();
        assert_eq!(lines, unread, "{shape}: {:#?}", table.unread);
    }
}

/// The written table is read without a word, and says the same.
#[test]
fn what_is_written_is_read_again() {
    for (shape, ..) in SHAPES {
        let table = table(shape);
        let file = SourceFile::new("stations.csv", table.csv.as_str());
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let id = sources.add(file.clone());
        let rows = stations_csv::read(&file, id, &mut notes);
        assert_eq!(
            render(&sources, notes.all(), false),
            "",
            "{shape}\n{}",
            table.csv
        );
        assert_eq!(rows.len(), table.stations.len());
        for (row, station) in rows.iter().zip(&table.stations) {
            assert_eq!(row.name.value, station.name);
            let (read, pasted) = (row.distance_m.unwrap().value, station.distance_m.unwrap());
            assert!((read - pasted).abs() < 1.0, "{shape}: {read} {pasted}");
            assert_eq!((row.crew, row.drop_bag), (station.crew, station.drop_bag));
            assert_eq!(row.cutoff.is_some(), station.cutoff.is_some());
        }
    }
}

#[test]
fn meanings_can_be_overruled() {
    let text = "Where\tFar\tBy\nMill\t7\t10:30\nHut\t15\t14:00\n";
    let guess = read(text, &PasteContext::default());
    let meanings: Vec<ColumnMeaning> = guess.columns.iter().map(|c| c.meaning).collect();
    assert_eq!(
        meanings[..2],
        [ColumnMeaning::Name, ColumnMeaning::Kilometres]
    );
    assert!(guess.columns[1].guessed && !guess.columns[0].guessed);
    let known = PasteContext {
        columns: vec![
            None,
            Some(ColumnMeaning::Miles),
            Some(ColumnMeaning::CutoffElapsed),
        ],
        ..PasteContext::default()
    };
    let told = read(text, &known);
    assert!((told.stations[0].distance_m.unwrap() - 7.0 * 1609.344).abs() < 1e-6);
    assert_eq!(told.stations[1].cutoff.as_deref(), Some("+14:00"));
    assert!(told.csv.contains("distance_mi"));
    for (label, meaning) in ColumnMeaning::LABELS {
        assert_eq!(
            (meaning.label(), ColumnMeaning::labelled(label)),
            (label, Some(meaning))
        );
    }
}

/// A cell that says nothing readable is named with its place and reason, and stands as a comment
/// in the written table.
#[test]
fn nothing_is_dropped() {
    let text = "Station\tKm\tCutoff\tCrew\tOffers\tNotes\n\
        Mill\t12.5\tteatime\tyes (park below)\twater, soup, doctor, parsnips\tsteep\n\
        Hut\tfar up\t14:00\tno\twater\t\n\
        Lake\t31\t25:70\tmaybe\tbananas\t\n\
        * crew by permit only\n";
    let table = read(text, &with_pantry());
    let told: Vec<(usize, Option<usize>, &str)> = table
        .unread
        .iter()
        .map(|cell| (cell.line, cell.column, cell.text.as_str()))
        .collect();
    let expected = [
        (2, Some(3), "teatime"),
        (2, Some(4), "yes (park below)"),
        (2, Some(5), "water, soup, doctor, parsnips"),
        (2, Some(5), "water, soup, doctor, parsnips"),
        (3, None, "Hut  far up  14:00  no  water"),
        (4, Some(3), "25:70"),
        (4, Some(4), "maybe"),
        (5, None, "crew by permit only"),
    ];
    assert_eq!(told, expected);
    let names: Vec<&str> = table.stations.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["Mill", "Lake"]);
    assert!(table.stations[0].crew);
    assert_eq!(table.stations[1].offers, ["banana"]);
    for (line, _, text) in expected {
        let comment = format!("# Not read: line {line}");
        let found = table
            .csv
            .lines()
            .any(|l| l.starts_with(&comment) && l.contains(text));
        assert!(found, "{line} {text}\n{}", table.csv);
    }
    assert!(table.csv.contains("# Columns not used: Notes\n"));
}

/// Spreadsheets leave out the last cells of a row.
#[test]
fn a_row_without_its_last_cells_is_read() {
    let text = "Aid\tKm\tLeg\tCutoff\tNotes\nMill\t30\t30\t12:00\tfood\nHut\t60\t30\t18:00\twater\n\
                Town Hall\t74\t14\t21:00\n";
    let table = read(text, &known());
    let last = table.stations.last().expect("three stations");
    assert_eq!((table.stations.len(), last.distance_m), (3, Some(74_000.0)));
    assert!(last.cutoff.is_some(), "{}", table.csv);
}

/// A cutoff that nobody can read is no cutoff that is not there: the written row says so.
#[test]
fn an_unread_cutoff_is_kept_as_such() {
    let text = "Name\tKm\tCutoff\nStart\t0\tdawn\nMill\t9\tteatime\nHut\t20\t-\n";
    let table = read(text, &known());
    let cells: Vec<&str> = table
        .csv
        .lines()
        .filter(|line| !line.starts_with('#'))
        .collect();
    assert!(cells[2].contains(",? teatime,"), "{cells:?}");
    assert!(
        !cells[1].contains('?') && !cells[3].contains('?'),
        "{cells:?}"
    );
}

#[test]
fn answers_about_food_and_water_make_the_kind() {
    let text = "Aid station\tmile\tWater\tFood\nA\t5\tyes\tyes\nB\t9\tyes\tno\nC\t12\tno\tno\n";
    let kinds: Vec<Option<StationKind>> = read(text, &PasteContext::default())
        .stations
        .iter()
        .map(|station| station.kind)
        .collect();
    let expected = [
        StationKind::Aid,
        StationKind::Water,
        StationKind::Checkpoint,
    ];
    assert_eq!(kinds, expected.map(Some));
}

/// Nothing that is pasted stops the reader.
#[test]
fn odd_texts() {
    let long = "a\tb\n".repeat(2000);
    let wide = "x;".repeat(5000);
    let texts = [
        "",
        "\n\n",
        "\"",
        "\"a\tb",
        "|",
        "||\n||",
        ";;;\n;;;",
        "\u{feff}",
        "0",
        "a",
        "1 2 3\n4 5 6",
        "a\u{0}b\tc",
        "Name\tKm",
        "Name\tKm\n\n",
        "# x\ty\n",
        "Name,Km\n=1+1,3\n",
        "Name\tKm\nA\t1e309\nB\t-4\n",
        &long,
        &wide,
        "Name;Km\nÄ;1\nä;2\nÄ 2;3\n",
        "Name\tKm\tCutoff\nA\t1\t99999999999:99\nB\t2\t0/0 0:0\n",
    ];
    for text in texts {
        let table = read(text, &known());
        let text: String = text.chars().take(40).collect();
        let file = SourceFile::new("stations.csv", table.csv.as_str());
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let id = sources.add(file.clone());
        let rows = stations_csv::read(&file, id, &mut notes);
        assert_eq!(rows.len(), table.stations.len(), "{text:?}\n{}", table.csv);
        assert!(
            !notes.has_errors(),
            "{text:?}\n{}",
            render(&sources, notes.all(), false)
        );
    }
    assert!(
        read(&"x".repeat(5_000_000), &known()).unread[0]
            .reason
            .contains("longer")
    );
}

/// The hour of the fastest is no cutoff, whatever else the column could be.
#[test]
fn the_hour_of_the_first_runner_is_not_used() {
    let text = "Station\tkm\tFirst one in\tCutoff\nMill\t12\t07:10\t10:30\nGap\t24\t08:30\t13:00\n";
    let table = read(text, &PasteContext::default());
    let meanings: Vec<ColumnMeaning> = table.columns.iter().map(|c| c.meaning).collect();
    use ColumnMeaning::{CutoffClock, Kilometres, Name, NotUsed};
    assert_eq!(meanings, [Name, Kilometres, NotUsed, CutoffClock]);
}

/// Lengths named like distances that do not rise and add up to the route are since the last
/// station; a list that is only out of order is not.
#[test]
fn legs_that_are_named_miles_add_up() {
    let table = |rows: [(&str, &str, &str); 4]| {
        let rows = rows.map(|(name, leg, all)| format!("{name} | {leg} | {all}"));
        read(
            &format!("Aid station | Miles | Sum\n{}\n", rows.join("\n")),
            &known(),
        )
    };
    // by hand: 37.5 miles are 60.4 km
    let legs = table([
        ("Mill", "9.2", "9.2"),
        ("Hut", "8.1", "17.3"),
        ("Dam", "12.0", "29.3"),
        ("Lakeside", "8.2", "37.5"),
    ]);
    assert_eq!(legs.columns[1].meaning, ColumnMeaning::MilesSince);
    let ends: Vec<f64> = legs
        .stations
        .iter()
        .filter_map(|row| row.distance_m)
        .collect();
    let by_hand = [9.2, 17.3, 29.3, 37.5].map(|mi| mi * 1609.344);
    assert!(
        ends.iter()
            .zip(by_hand)
            .all(|(m, hand)| (m - hand).abs() < 20.0),
        "{ends:?}"
    );
    let swapped = table([
        ("Mill", "9.2", ""),
        ("Dam", "29.3", ""),
        ("Hut", "17.3", ""),
        ("Lakeside", "37.5", ""),
    ]);
    assert_eq!(swapped.columns[1].meaning, ColumnMeaning::Miles);
}

/// The start's own time beside the start is no cell that was not read.
#[test]
fn a_start_time_that_is_known_is_not_told_again() {
    let table = |time: &str| {
        let text = format!("Station\tKm\tCutoff\nBirchend\t0\t{time}\nLakeside\t60\tSun 9 AM\n");
        read(&text, &known()).unread.len()
    };
    assert_eq!((table("Sat 6 PM"), table("Sat 7 PM")), (0, 1));
}
