//! Organisers' tables as they are pasted: one invented race in a dozen shapes, each read to the
//! same stations, and tables with mistakes, of which nothing is lost.

use std::fs;
use std::path::Path;

use chrono::NaiveDate;
use sutler::diagnostics::{Notes, SourceFile, Sources, render};
use sutler::inputs::pasted::{ColumnMeaning, PasteContext, PastedTable, read};
use sutler::inputs::stations_csv::{self, StationKind};

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
        Mill\t12.5\tteatime\tyes (park below)\twater, soup\tsteep\n\
        Hut\tfar up\t14:00\tno\twater\t\n\
        Lake\t31\t25:70\tmaybe\tbananas\t\n\
        * crew by permit only\n";
    let known = PasteContext {
        foods: vec!["banana".to_owned()],
        ..PasteContext::default()
    };
    let table = read(text, &known);
    let told: Vec<(usize, Option<usize>, &str)> = table
        .unread
        .iter()
        .map(|cell| (cell.line, cell.column, cell.text.as_str()))
        .collect();
    let expected = [
        (2, Some(3), "teatime"),
        (2, Some(4), "yes (park below)"),
        (2, Some(5), "water, soup"),
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

/// Cutoffs as organisers write them, and as they are understood; common practice, no source.
#[test]
fn cutoffs_in_many_hands() {
    let clock = [
        ("10:30", "10:30"),
        ("6 AM", "06:00"),
        ("6am", "06:00"),
        ("12 pm", "12:00"),
        ("12:15 a.m.", "00:15"),
        ("noon", "12:00"),
        ("Sunday midnight", "Mon 00:00"),
        ("1030", "10:30"),
        ("10h30", "10:30"),
        ("14 h", "14:00"),
        ("14.30 Uhr", "14:30"),
        ("10:30:00", "10:30"),
        ("Sun, 02:00", "Sun 02:00"),
        ("02:00 (Sun)", "Sun 02:00"),
        ("by 5:30 PM Saturday", "Sat 17:30"),
        ("24:00", "00:00"),
        ("26:30", "+26:30"),
        ("+4:15", "+4:15"),
        ("2027-05-09 04:45", "2027-05-09T04:45"),
        ("9 May 04:45", "2027-05-09T04:45"),
        ("May 9, 4:45 AM", "2027-05-09T04:45"),
        ("9.5. 04:45", "2027-05-09T04:45"),
        ("02:00 +1", "2027-05-09T02:00"),
        ("5.5 hours", "+5:30"),
        ("330 min", "+5:30"),
    ];
    let race = [
        ("5:30", "+5:30"),
        ("5,5 h", "+5:30"),
        ("5h30", "+5:30"),
        ("31:30:00", "+31:30"),
        ("30", "+30:00"),
        ("Sun 14:30", "Sun 14:30"),
    ];
    let tables = [
        (ColumnMeaning::CutoffClock, &clock[..]),
        (ColumnMeaning::CutoffElapsed, &race[..]),
    ];
    for (meaning, rows) in tables {
        for (typed, expected) in rows {
            let known = PasteContext {
                columns: vec![
                    Some(ColumnMeaning::Name),
                    Some(ColumnMeaning::Kilometres),
                    Some(meaning),
                ],
                ..known()
            };
            let table = read(&format!("Mill\t12\t{typed}\n"), &known);
            let found = table.stations.first().and_then(|s| s.cutoff.clone());
            assert_eq!(
                found.as_deref(),
                Some(*expected),
                "{typed}: {:?}",
                table.unread
            );
        }
    }
    let known = PasteContext {
        columns: vec![
            Some(ColumnMeaning::Name),
            Some(ColumnMeaning::Kilometres),
            Some(ColumnMeaning::CutoffClock),
        ],
        ..PasteContext::default()
    };
    for typed in ["13 pm", "10:75", "soon", "day 2 10:30", "9.5. 04:45"] {
        let table = read(&format!("Mill\t12\t{typed}\n"), &known);
        assert_eq!(table.unread.len(), 1, "{typed}: {:?}", table.stations);
    }
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
