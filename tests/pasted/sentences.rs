//! Stations told in sentences, and the ends of a table.

use sutler::inputs::pasted::{ColumnMeaning, PasteContext, read};
use sutler::inputs::stations_csv::CutoffOn;

use super::{known, with_pantry};

/// Stations told in sentences, as letters to runners have them (common practice, no source): what
/// is plain is read, every other word is listed.
#[test]
fn sentences_are_read_where_they_are_plain() {
    let text = "Aid 3 Moosgatter is at 42 km, closes 18:30, crew allowed\n\
                Old Mill is at km 47,5; cutoff 7 p.m.; water, drop bags. Bring a cup\n\
                The hut at mile 32 opens at 20:00 (water only)\n\
                Lakeside is at 9 km after the hut, closes 22:00\n\
                Bring a lamp.\n\
                Town Hall is at 60 km from the start, leave by 23:30, food and pacers\n";
    let table = read(text, &with_pantry());
    let seen: Vec<(&str, f64, Option<&str>, bool, bool)> = table
        .stations
        .iter()
        .map(|s| {
            let km = (s.distance_m.unwrap() / 100.0).round() / 10.0;
            (s.name.as_str(), km, s.cutoff.as_deref(), s.crew, s.drop_bag)
        })
        .collect();
    let expected = [
        ("Aid 3 Moosgatter", 42.0, Some("18:30"), true, false),
        ("Old Mill", 47.5, Some("19:00"), false, true),
        ("The hut", 51.5, None, false, false),
        ("Town Hall", 60.0, Some("23:30"), false, false),
    ];
    assert_eq!(seen, expected, "{:#?}", table.unread);
    assert_eq!(table.stations[3].cutoff_on, Some(CutoffOn::Departure));
    let unread = |line: usize| -> String {
        let of_line = table.unread.iter().filter(|cell| cell.line == line);
        of_line
            .map(|cell| format!("{} {}\n", cell.text, cell.reason))
            .collect()
    };
    for (line, words) in [
        (2, "Bring a cup"),
        (3, "opens at 20:00"),
        (4, "9 km after the hut"),
        (5, "Bring a lamp."),
    ] {
        assert!(unread(line).contains(words), "{line}: {}", unread(line));
    }
    assert_eq!((unread(1), unread(6)), (String::new(), String::new()));
    // a table stays a table
    let plain = read("Mill, 12 km, 10:30\nHut, 20 km, 12:30\n", &known());
    assert_eq!(plain.columns.len(), 3);
}

/// A time beside the start is on the clock, and so is its column; start and finish need no distance
/// where the route has it.
#[test]
fn the_ends_of_a_table_say_more_than_they_seem_to() {
    let text = "Station\tDistance\tCut-off\nStart\t0\t05:00\nHochmoos\t23.4 km\t10:00\n\
                Hut\t36 km\t13:15\nFinish\t\t20:00\n";
    let table = read(text, &known());
    assert_eq!(table.columns[2].meaning, ColumnMeaning::CutoffClock);
    let finish = table.stations.last().unwrap();
    assert_eq!(
        (
            finish.name.as_str(),
            finish.distance_m,
            finish.cutoff.as_deref()
        ),
        ("Finish", Some(60_400.0), Some("20:00"))
    );
    assert!(
        table
            .unread
            .iter()
            .any(|cell| cell.reason.contains("put at the end of the route"))
    );
    let unknown = PasteContext::default();
    assert_eq!(read(text, &unknown).stations.len(), 3);
}

/// A letter to the runners, greeting and all: stations with their cutoffs, everything else listed.
#[test]
fn a_letter_to_the_runners_is_read() {
    let text = "Dear runners, welcome!\n\nThe race starts at the school at 05:00.\n\
                Kesselbach is at 11.2 km, with water and bananas.\n\
                Hochmoos is at 23.4 km, closes 10:00, water, food, crew allowed.\n\
                Hut is at 36 km: cut-off 13:15 (must be out by 13:30), drop bags and crew.\n\
                The finish is at 61 km and closes at 20:00.\n";
    let table = read(text, &with_pantry());
    let seen: Vec<(&str, Option<&str>, bool)> = table
        .stations
        .iter()
        .map(|s| (s.name.as_str(), s.cutoff.as_deref(), s.crew))
        .collect();
    let expected = [
        ("Kesselbach", None, false),
        ("Hochmoos", Some("10:00"), true),
        ("Hut", Some("13:15"), true),
        ("The finish", Some("20:00"), false),
    ];
    assert_eq!(seen, expected, "{:#?}", table.unread);
    assert!(table.stations[2].drop_bag);
    let lines: Vec<usize> = table.unread.iter().map(|cell| cell.line).collect();
    assert_eq!(lines, [1, 3, 6], "{:#?}", table.unread);
}

/// Cutoffs that as race times would ask for ever more speed are on the clock; by hand: 2.3, 2.7 and
/// 3.1 km/h from midnight on, 4.7, 4.4 and 4.1 from a start at 5.
#[test]
fn times_that_count_from_midnight_are_on_the_clock() {
    let text = "Station\tKm\tLimit\nHochmoos\t23.4\t10:00\nHut\t36\t13:15\nFinish\t61\t20:00\n";
    let table = read(text, &known());
    let limit = &table.columns[2];
    assert_eq!(
        (limit.meaning, limit.guessed),
        (ColumnMeaning::CutoffClock, true)
    );
    let slower = text
        .replace("10:00", "5:00")
        .replace("13:15", "8:15")
        .replace("20:00", "15:00");
    assert_eq!(
        read(&slower, &known()).columns[2].meaning,
        ColumnMeaning::CutoffElapsed
    );
}
