//! Organisers' tables as they are pasted: one invented race in a dozen shapes, each read to the
//! same stations, and tables with mistakes, of which nothing is lost.

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

/// Cutoffs as organisers write them, and as they are understood; common practice, no source.
#[test]
fn cutoffs_in_many_hands() {
    let clock = [
        ("10:30", "10:30"),
        ("6 AM", "06:00"),
        ("6am", "06:00"),
        ("3:30p", "15:30"),
        ("6:05 a", "06:05"),
        ("12 pm", "12:00"),
        ("12:15 a.m.", "00:15"),
        ("noon", "12:00"),
        ("Sunday midnight", "Mon 00:00"),
        ("1030", "10:30"),
        ("10h30", "10:30"),
        ("14 h", "14:00"),
        ("14.30 h", "14:30"),
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
        ("15:00 (out)", "15:00"),
        ("bis 15 Uhr", "15:00"),
        ("spätestens 15:00 Uhr", "15:00"),
        ("in by 15:00", "15:00"),
        ("no later than 3 pm", "15:00"),
        ("15:00 [latest]", "15:00"),
        ("Sat 15:00, weather allowing", "Sat 15:00"),
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
    for typed in [
        "13 pm",
        "10:75",
        "soon",
        "day 2 10:30",
        "9.5. 04:45",
        "15:00 for boats, 16:00 for walkers",
    ] {
        let table = read(&format!("Mill\t12\t{typed}\n"), &known);
        assert_eq!(table.unread.len(), 1, "{typed}: {:?}", table.stations);
    }
}

/// What the words of one cell make of a station, and the words that are not understood; common
/// practice, no source.
#[test]
fn words_about_a_station() {
    use StationKind::{Aid, Checkpoint, CrewOnly, Water};
    type Case<'t> = (&'t str, Option<StationKind>, &'t str, &'t str, &'t str);
    let cases: [Case<'_>; 24] = [
        (
            "food, water, crew, drop bag",
            Some(Aid),
            "cb",
            "water; banana",
            "",
        ),
        ("Food & drinks", Some(Aid), "", "water; banana", ""),
        ("full aid station", Some(Aid), "", "water; banana", ""),
        (
            "hot meal, beds, bag",
            Some(Aid),
            "b",
            "water; banana; broth",
            "",
        ),
        ("water only", Some(Water), "", "water", ""),
        ("Wasser", Some(Water), "", "water", ""),
        (
            "warmes Essen und Wasser",
            Some(Aid),
            "",
            "water; banana; broth",
            "",
        ),
        ("eau", Some(Water), "", "water", ""),
        ("liquide, solide", Some(Aid), "", "water; banana", ""),
        ("acqua e cibo", Some(Aid), "", "water; banana", ""),
        ("sólido, líquido", Some(Aid), "", "water; banana", ""),
        ("bananas, water", Some(Aid), "", "water; banana", ""),
        ("food, no water", Some(Checkpoint), "", "banana", ""),
        ("water, no crew", Some(Water), "", "water", ""),
        ("crew only", Some(CrewOnly), "c", "", ""),
        ("crew, pacers", Some(CrewOnly), "cp", "", ""),
        ("timing", Some(Checkpoint), "", "", ""),
        ("-", Some(Checkpoint), "", "", ""),
        ("water, first aid", Some(Water), "", "water", ""),
        ("water, parsnips", Some(Water), "", "water", "parsnips"),
        (
            "crew (small car park)",
            Some(CrewOnly),
            "c",
            "",
            "small, car, park",
        ),
        ("Wasser, Iso, Obst", Some(Aid), "", "water; banana", ""),
        ("bread, coke, tea", Some(Aid), "", "water; banana", ""),
        ("parsnips", Some(Checkpoint), "", "", "parsnips"),
    ];
    for (words, kind, allowed, offers, unknown) in cases {
        let text = format!("Name\tKm\tFacilities\nA\t0\twater\nMill\t12\t{words}\nB\t30\twater\n");
        let table = read(&text, &with_pantry());
        assert_eq!(table.columns[2].meaning, ColumnMeaning::Offers, "{words}");
        let mill = &table.stations[1];
        let marks = [(mill.crew, "c"), (mill.drop_bag, "b"), (mill.pacer, "p")];
        let marks = marks.iter().filter(|(is, _)| *is).map(|(_, mark)| *mark);
        assert_eq!(mill.kind, kind, "{words}");
        assert_eq!(marks.collect::<String>(), allowed, "{words}");
        assert_eq!(mill.offers.join("; "), offers, "{words}");
        let left = table
            .unread
            .iter()
            .find(|cell| cell.reason.contains("not understood"));
        let left = left.map_or("", |cell| cell.reason.rsplit_once(": ").unwrap().1);
        assert_eq!(left, unknown, "{words}");
        let assumed = table
            .assumed
            .iter()
            .any(|words| words.contains("food at Mill"));
        assert_eq!(assumed, mill.usual_food, "{words}");
    }
}

/// One race in the words of five countries: what is offered is never a name.
#[test]
fn tables_of_other_countries() {
    let tables = [
        "Nr Ort km Zeitlimit Verpflegung\n1 Birchend 9.0 - Wasser\n2 Hut 22.0 21:30 Essen\n",
        "Nr;Ort;Km;Höhe;Zeitlimit;Verpflegung\n1;Birchend;9,0;620;;Wasser\n2;Hut;22,0;900;21:30;Essen, Wasser\n",
        "Lieu|Km|D+|Barrière horaire|Ravitaillement\nBirchend|9|0||eau\nHut|22|900|sam 21h30|complet\n",
        "Punto\tKm\tQuota\tCancelli orari\tRistoro\nBirchend\t9\t62\t\tacqua\nHut\t22\t9\tsab 21:30\tcibo\n",
        "Lugar\tKm\tHora de corte\tAvituallamiento\nBirchend\t9\t\tagua\nHut\t22\tsáb 21:30\tsólido\n",
    ];
    for text in tables {
        let table = read(text, &with_pantry());
        let seen: Vec<(&str, Option<StationKind>)> = table
            .stations
            .iter()
            .map(|s| (s.name.as_str(), s.kind))
            .collect();
        let expected = [
            ("Birchend", Some(StationKind::Water)),
            ("Hut", Some(StationKind::Aid)),
        ];
        assert_eq!(seen, expected, "{text}{:#?}", table.columns);
        let cutoff = table.stations[1].cutoff.as_deref().unwrap();
        assert!(cutoff.ends_with("21:30"), "{cutoff}");
        assert!(table.unread.is_empty(), "{:?}", table.unread);
    }
}

#[test]
fn columns_say_what_a_cutoff_limits() {
    let heads = [
        ("Cutoff", None),
        ("Cutoff (arrival)", Some(CutoffOn::Arrival)),
        ("Cutoff out", Some(CutoffOn::Departure)),
    ];
    for (head, on) in heads {
        let table = read(&format!("Name\tKm\t{head}\nMill\t9\t21:30\n"), &known());
        assert_eq!(table.stations[0].cutoff_on, on, "{head}");
    }
    // organisers' notes in the cell itself (common practice, no source)
    let cells = [
        ("out by 9:30 PM", "21:30", Some(CutoffOn::Departure)),
        (
            "Must leave by 9:30 p.m.",
            "21:30",
            Some(CutoffOn::Departure),
        ),
        ("in by 21:30", "21:30", Some(CutoffOn::Arrival)),
        ("9:30 PM", "21:30", None),
    ];
    for (cell, cutoff, on) in cells {
        let table = read(&format!("Name\tKm\tCutoff\nMill\t9\t{cell}\n"), &known());
        let mill = &table.stations[0];
        assert_eq!(mill.cutoff.as_deref().unwrap_or_default(), cutoff, "{cell}");
        assert_eq!(mill.cutoff_on, on, "{cell}");
        assert_eq!(table.unread.is_empty(), mill.cutoff.is_some(), "{cell}");
    }
}

/// A cell's own words go before its column's; common practice, no source.
#[test]
fn cells_say_what_their_cutoff_limits() {
    use CutoffOn::{Arrival, Departure};
    let cells = [
        ("Cutoff", "15:00 (out)", Some(Departure)),
        ("Zeitlimit", "ab 15:00", Some(Departure)),
        ("Cutoff", "departure 15:00", Some(Departure)),
        ("Cutoff", "15:00 in", Some(Arrival)),
        ("Cutoff out", "15:00 (in)", Some(Arrival)),
        ("Cutoff out", "by 15:00", Some(Departure)),
        ("Zeitlimit", "bis 15 Uhr", None),
    ];
    for (head, cell, on) in cells {
        let table = read(&format!("Name\tKm\t{head}\nMill\t9\t{cell}\n"), &known());
        let mill = &table.stations[0];
        let read = (mill.cutoff.as_deref(), mill.cutoff_on);
        assert_eq!(read, (Some("15:00"), on), "{head}: {cell}");
        assert!(table.unread.is_empty(), "{head}: {cell}");
    }
}

/// Words of time between single blanks shift no column.
#[test]
fn a_time_in_words_shifts_no_cell() {
    let cells = [
        "15:00",
        "bis 15 Uhr",
        "by 15:00",
        "15:00 (out)",
        "15:00 Uhr",
    ];
    for cell in cells {
        let text = format!(
            "Nr Ort km Zeitlimit Verpflegung\n1 Alpha 0 - -\n2 Beta 9 07:45 Wasser\n\
             3 Gamma See 49 {cell} Warmes Essen, Dropbag\n4 Omega 75 22:00 -\n"
        );
        let table = read(&text, &with_pantry());
        let gamma = &table.stations[2];
        assert_eq!(gamma.name, "Gamma See", "{cell}");
        assert_eq!(gamma.cutoff.as_deref(), Some("15:00"), "{cell}");
        let seen = (gamma.kind, gamma.drop_bag, gamma.offers.join("; "));
        let expected = (
            Some(StationKind::Aid),
            true,
            "water; banana; broth".to_owned(),
        );
        assert_eq!(seen, expected, "{cell}");
    }
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
