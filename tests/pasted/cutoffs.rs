//! Cutoffs as organisers write them.

use super::*;

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
