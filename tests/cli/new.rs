//! `sutler new`: a folder that plans as it is.

use super::REPORT_VERBS;
use crate::support::case::{Case, in_repository, short_route};

#[test]
fn a_new_folder_plans_as_it_is() {
    let case = Case::new();
    case.run(&["new", "race"])
        .exits(0)
        .quietly()
        .prints("race/plan.toml");
    for verb in REPORT_VERBS {
        case.run(&[verb, "race/plan.toml"]).exits(0).quietly();
    }
    case.run(&["check", "race"])
        .exits(0)
        .quietly()
        .prints("no warnings");
}

#[test]
fn a_new_folder_holds_every_file_and_nothing_else() {
    let case = Case::new();
    case.run(&["new", "race"]).exits(0);
    let wanted = [
        "race/",
        "race/course/",
        "race/course/course.toml",
        "race/course/route.gpx",
        "race/course/stations.csv",
        "race/course/surfaces.csv",
        "race/crew.toml",
        "race/gear.csv",
        "race/pantry.csv",
        "race/plan.toml",
        "race/runner.toml",
        "race/weather.csv",
    ];
    assert_eq!(case.listing(), wanted);
}

#[test]
fn an_empty_folder_is_filled() {
    let case = Case::new();
    std::fs::create_dir(case.path("race")).unwrap();
    case.run(&["new", "race"]).exits(0);
    case.run(&["plan", "race"]).exits(0).quietly();
}

#[test]
fn the_current_folder_is_filled_if_empty() {
    let case = Case::new();
    case.run(&["new", "."]).exits(0).quietly();
    case.run(&["plan"]).exits(0).quietly();
}

#[test]
fn a_folder_with_something_in_it_is_left_alone() {
    let case = Case::new()
        .file("race/notes.txt", "mine")
        .file("plain", "a file");
    let before = case.listing();
    for folder in ["race", "plain", "."] {
        let refused = case.run(&["new", folder]).exits(2).prints_nothing();
        refused.says("not empty");
        assert_eq!(case.listing(), before);
    }
    assert_eq!(case.text("race/notes.txt"), "mine");
}

#[test]
fn nothing_is_left_behind_where_it_cannot_be_written() {
    let case = Case::new().file("plain", "a file");
    for folder in ["plain/race", "missing/below/race"] {
        case.run(&["new", folder])
            .exits(2)
            .prints_nothing()
            .says("could not write");
        assert_eq!(case.listing(), ["plain"]);
    }
}

#[test]
fn ones_own_route_takes_the_place_of_the_examples() {
    let case = Case::new();
    let route = short_route();
    case.run(&["new", "race", "--route", &route])
        .exits(0)
        .quietly();
    assert_eq!(
        case.text("race/course/route.gpx"),
        std::fs::read_to_string(in_repository("courses/velprek-50k/route.gpx")).unwrap()
    );
    // what told of the example's route does not tell of this one: the lists wait to be filled in
    let outcome = case.run(&["course", "race", "--format", "json"]).exits(0);
    let names: Vec<String> = outcome.json()["stations"]
        .as_array()
        .unwrap()
        .iter()
        .map(|station| station["station"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(names[..2], ["Start", "5 km"]);
    assert_eq!(names.last().map(String::as_str), Some("Finish"));
    assert!(!names.iter().any(|name| name == "Mill"));
    assert_eq!(
        outcome.err.matches("warning: ").count(),
        outcome.err.matches("has column names but no rows").count(),
        "{outcome}"
    );
}

#[test]
fn a_route_that_cannot_be_read_makes_no_folder() {
    let case = Case::new();
    case.run(&["new", "race", "--route", "nowhere.gpx"])
        .exits(2)
        .prints_nothing()
        .says("`nowhere.gpx`");
    assert!(case.listing().is_empty());
}

/// A bare route: nothing of another race is in the folder, the zone is the place's, and the command
/// that is printed works.
#[test]
fn ones_own_route_asks_for_nothing_that_can_be_known() {
    let case = Case::new();
    let route = short_route();
    let ways = [
        (&[][..], "plan"),
        (&["--finish", "7:30:00"][..], "plan"),
        (&["--past", "50km/1800m/7:10:00"][..], "plan"),
        (
            &[
                "--finish",
                "7:00:00..8:00:00",
                "--start",
                "2026-06-06T05:00",
            ][..],
            "plan",
        ),
    ];
    for (number, (more, verb)) in ways.into_iter().enumerate() {
        let folder = format!("race{number}");
        let args: Vec<&str> = ["new", &folder, "--route", &route]
            .into_iter()
            .chain(more.iter().copied())
            .collect();
        let said = case.run(&args).exits(0).quietly().out;
        assert!(said.contains("Europe/Ljubljana, the nearest"), "{said}");
        let next = said.lines().last().unwrap().trim().to_owned();
        assert_eq!(next, format!("sutler {verb} {folder}/plan.toml"));
        let next: Vec<&str> = next.split(' ').skip(1).collect();
        let outcome = case.run(&next);
        assert!(outcome.code != Some(2), "{outcome}");
        assert!(!outcome.err.contains("error: "), "{outcome}");
        let plan = case.text(&format!("{folder}/plan.toml"));
        assert!(
            !plan.lines().any(|line| line.starts_with("finish = \"3:20")),
            "{plan}"
        );
    }
}

/// From a bare route and a pasted table to a printed card: the commands are counted.
#[test]
fn a_newcomer_has_a_card_in_a_few_commands() {
    let case = Case::new().file(
        "organiser.txt",
        "Aid station\tKm\tCut-off\tCrew\tDrop bag\nSedlink\t7,1\t08:00\tyes\t\nVrh\t14,2\t9:45\t\t\n\
         Sedlink\t21,5\t11:15\tyes\tyes\nSedlink\t35,6\t14:00\tyes\t\nFinish\t49,5\t4 PM\t\t\n",
    );
    let route = short_route();
    let mut commands = 0;
    let mut typed = |args: &[&str]| {
        commands += 1;
        case.run(args)
    };
    let made = typed(&[
        "new",
        "race",
        "--route",
        &route,
        "--stations",
        "organiser.txt",
        "--finish",
        "8:00:00",
        "--start",
        "2026-06-06T06:00",
    ])
    .exits(0)
    .quietly();
    assert!(
        made.out.contains("`Km` = km") && !made.out.contains("not read"),
        "{made}"
    );
    let plan = typed(&["plan", "race/plan.toml"]);
    assert!(
        plan.code != Some(2) && plan.out.contains("Sedlink 3") && plan.out.contains("16:00"),
        "{plan}"
    );
    let card = typed(&["card", "race/plan.toml", "-o", "card.html"]);
    assert!(card.code != Some(2), "{card}");
    assert!(case.text("card.html").contains("Sedlink"));
    assert!(commands < 10);
}

/// Two ugly tables of one invented race: miles, half days, columns in odd order and notes below; and
/// German headings, with what there is before the name.
const UGLY: [&str; 2] = [
    "Our Hill Laps - Aid Station Chart (updated 3/14)\n\
     Cut-off | Mile | Aid Station | Services | Crew? | Drop Bags | Next\n\
     8:00 am | 4.4 | Sedlink | water, fruit, full aid | Y | N | 4.4\n\
     9:45 AM | 8.8 | Vrh | water only | N | N | 4.6\n\
     11:15 am | 13.4 | Sedlink 2 | full aid, hot soup, crew parking lot B | Y | Y | 8.7\n\
     2:00 pm* | 22.1 | Sedlink 3 | full aid | Y | Y | 9\n\
     4pm | 32.1 | Finish | food, beer | Y | Y | -\n\
     * strictly enforced; no dogs\n",
    "Verpflegung;Zeitlimit;km;VP;Höhe;Betreuung;Dropbag\n\
     Wasser, Iso, Obst;8:00 Uhr;7,1;Sedlink;410;ja;nein\n\
     nur Wasser;9.45 Uhr;14,2;Vrh;820;nein;nein\n\
     Suppe, Brot, Cola;11.15 Uhr;21,6;Sedlink 2;410;ja;ja\n\
     Vollverpflegung;14:00;35,6;Sedlink 3;410;ja;ja\n\
     Essen, Met;16:00 Uhr;51,6;Ziel;300;ja;ja\n\
     * streng\n",
];

#[test]
fn an_ugly_table_becomes_a_card_in_a_few_commands() {
    // worked by hand from the tables: kilometres, kind, cutoff, crew, drop bag
    let stations = [
        ("Sedlink", 7.1, "aid", "08:00", "yes", ""),
        ("Vrh", 14.2, "water", "09:45", "", ""),
        ("Sedlink 2", 21.6, "aid", "11:15", "yes", "yes"),
        ("Sedlink 3", 35.6, "aid", "14:00", "yes", "yes"),
    ];
    let route = short_route();
    for (table, unread) in UGLY.into_iter().zip([
        &[
            "lot, b",
            "beer",
            "strictly enforced; no dogs",
            "updated 3/14",
        ][..],
        &["met", "streng"][..],
    ]) {
        let case = Case::new().file("organiser.txt", table);
        let mut commands = 0;
        let mut typed = |line: &str| {
            commands += 1;
            case.run(&line.split(' ').collect::<Vec<_>>())
        };
        let made = typed(&format!(
            "new race --route {route} --stations organiser.txt --finish 8:00:00 --start 2026-06-06T06:00"
        ))
        .exits(0)
        .quietly();
        for words in unread {
            let told = |line: &str| line.contains("not read") && line.contains(words);
            assert!(made.out.lines().any(told), "{words}\n{made}");
        }
        // the organiser counts more than the route: said, and stations placed in proportion
        assert!(
            made.out.contains("51.") && made.out.contains("in proportion"),
            "{made}"
        );
        assert!(made.out.contains("time to be out by"), "{made}");
        let list = case.text("race/course/stations.csv");
        let mut rows = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .flexible(true)
            .from_reader(list.as_bytes());
        let head = rows.headers().unwrap().clone();
        let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
        for (row, (name, km, kind, cutoff, crew, bag)) in rows.iter().zip(stations) {
            let cell = |key: &str| {
                let at = head.iter().position(|column| column == key);
                at.map_or("", |at| &row[at])
            };
            let far = match cell("distance_mi").parse::<f64>() {
                Ok(miles) => 1.609_344 * miles,
                Err(_) => cell("distance_km").parse().unwrap(),
            };
            assert!((far - km).abs() < 0.06, "{far} {row:?}");
            assert_eq!(
                ["name", "kind", "cutoff", "crew", "drop_bag"].map(cell),
                [name, kind, cutoff, crew, bag]
            );
        }
        assert_eq!(rows.len(), 5, "{list}");
        let plan = typed("plan race/plan.toml");
        assert!(
            plan.code != Some(2) && plan.out.contains("Sedlink 3"),
            "{plan}"
        );
        let card = typed("card race/plan.toml -o card.html");
        assert!(card.code != Some(2), "{card}");
        assert!(case.text("card.html").contains("Sedlink 2"));
        assert!(commands < 10);
    }
}

/// A cutoff that nobody can meet is said where it stands, with the likely mistake.
#[test]
fn a_cutoff_before_anybody_can_come_is_told() {
    let case = Case::new().file(
        "list.csv",
        "name,distance_km,kind,cutoff\nHut,30,aid,+1:00\nVrh,40,aid,+9:00\n",
    );
    let route = short_route();
    let made = format!("new race --route {route} --stations list.csv --finish 8:00:00");
    case.run(&made.split(' ').collect::<Vec<_>>()).exits(0);
    // 30 km in an hour; the best at 50 km on a road run below 19 km/h (from memory)
    case.run(&["plan", "race"])
        .prints("Fails at Hut")
        .says("stations.csv:2:12")
        .says("nobody runs 30 km/h that far");
}

/// What the organiser wrote and nobody can read is told with its place, and stands in the list.
#[test]
fn a_cell_that_cannot_be_read_is_told() {
    let case = Case::new().file(
        "organiser.txt",
        "Station;Km;Cutoff\nHut;7,1;teatime\nVrh;14,2;9:45\n",
    );
    let made = case
        .run(&[
            "new",
            "race",
            "--route",
            &short_route(),
            "--stations",
            "organiser.txt",
            "--start",
            "2026-05-09T07:00",
            "--finish",
            "8:00:00",
        ])
        .exits(0);
    assert!(made.out.contains("line 2, column 3, `teatime`"), "{made}");
    assert!(
        case.text("race/course/stations.csv")
            .contains("# Not read: line 2, column 3: \"teatime\"")
    );
    let checked = case.run(&["check", "race"]);
    let said = "the cutoff of `Hut` is not read";
    assert!(
        checked.out.contains(said) || checked.err.contains(said),
        "{checked}"
    );
    let shown = case.run(&["splits", "race"]);
    let told: Vec<&str> = shown.out.split_whitespace().collect();
    let said = "Station 1 Hut: cutoff not read, so";
    assert!(told.join(" ").contains(said), "{shown}");
    let card = case.run(&["card", "race"]);
    let limit = "<small>cutoff not read</small><b>ask</b>";
    assert!(card.out.contains(limit), "{card}");
    let none = Case::new().file("organiser.txt", "All about our race\n");
    none.run(&[
        "new",
        "race",
        "--route",
        &short_route(),
        "--stations",
        "organiser.txt",
    ])
    .exits(2)
    .says("no station could be read");
    assert_eq!(none.listing(), ["organiser.txt"]);
}

/// A quick start from a route alone has food, carry and a card, and says that the foods are generic.
#[test]
fn a_quick_start_has_food_too() {
    let case = Case::new();
    let quick = ["--route", &short_route(), "--finish", "7:30:00"];
    let run = |verb: &'static str| {
        let args: Vec<&str> = std::iter::once(verb).chain(quick).collect();
        case.run(&args).exits(0)
    };
    let plan = run("plan");
    assert!(
        plan.out.contains("generic foods") && plan.out.contains(" dates"),
        "{plan}"
    );
    assert!(run("bags").out.contains(" dates"));
    assert!(run("card").out.contains("dates"));
}

/// The zone of another continent, and one that knows no summer time, are seen by the route.
#[test]
fn a_zone_that_cannot_be_right_is_told() {
    let case = Case::new();
    let route = short_route();
    let start = |zone: &str| {
        case.run(&[
            "splits",
            "--route",
            &route,
            "--finish",
            "7:30:00",
            "--start",
            "2026-09-12T06:00",
            "--timezone",
            zone,
        ])
        .exits(0)
    };
    start("US/Pacific")
        .says("is 9 h behind the clocks near the route")
        .says("`Europe/Ljubljana`");
    start("MST").says("it is the same all year round");
    start("Europe/Vienna").quietly();
    start("Europe/London").quietly();
}

/// A forecast without wind says nothing of wind; two lines have the night and its cold.
#[test]
fn two_lines_of_weather() {
    let case = Case::new();
    case.run(&[
        "new",
        "race",
        "--route",
        &short_route(),
        "--finish",
        "14:00:00",
        "--start",
        "2026-06-06T16:00",
    ])
    .exits(0);
    let with = |weather: &str| {
        let plan = case.text("race/plan.toml") + weather;
        std::fs::write(case.path("race/other.toml"), plan).unwrap();
        let outcome = case.run(&["plan", "race/other.toml", "--format", "json"]);
        assert!(outcome.code != Some(2), "{outcome}");
        outcome.json()["splits"]
            .as_array()
            .unwrap()
            .iter()
            .map(|split| split["weather"].clone())
            .collect::<Vec<_>>()
    };
    let two =
        with("\n[weather]\nday = { temp_c = 24, rain_chance_pct = 40 }\nnight = { temp_c = 6 }\n");
    let temps: Vec<f64> = two
        .iter()
        .map(|weather| weather["temp_c"].as_f64().unwrap())
        .collect();
    assert!(temps[0] > 20.0, "{temps:?}");
    assert!(
        temps.iter().copied().fold(f64::MAX, f64::min) < 8.0,
        "{temps:?}"
    );
    assert!(
        two.iter()
            .all(|weather| weather["wind_kmh"].is_null() && weather["humidity_pct"].is_null())
    );
    assert!(
        two[0]["words"]
            .as_str()
            .unwrap()
            .contains("% chance of rain"),
        "{}",
        two[0]
    );
    let windy = with("\n[weather.day]\ntemp_c = 24\nwind_kmh = 20\n");
    assert!(
        windy[0]["words"].as_str().unwrap().contains("wind 20 km/h"),
        "{}",
        windy[0]
    );
}

/// Weather that harms stands in the verdict, heat and cold alike: wind chill of -10 °C and below
/// (Environment Canada's threshold), and the black flag.
#[test]
fn harmful_weather_is_in_the_verdict() {
    let case = Case::new();
    let route = short_route();
    let day = ["--finish", "14:00:00", "--start", "2026-06-06T06:00"];
    let new = ["new", "race", "--route", &route];
    case.run(&[&new[..], &day[..]].concat()).exits(0);
    let plan = case.text("race/plan.toml");
    let told = |temp_c: i32, wind_kmh: i32| {
        let weather = format!(
            "\n[weather]\nday = {{ temp_c = {temp_c}, humidity_pct = 60, wind_kmh = {wind_kmh} }}\n"
        );
        std::fs::write(case.path("race/other.toml"), plan.clone() + &weather).unwrap();
        let outcome = case.run(&["plan", "race/other.toml", "--format", "json"]);
        outcome.json()["verdict"]["lines"].to_string()
    };
    let cases = [
        (-6, 25, "hypothermia is a risk"),
        (-30, 25, "exposed skin can freeze"),
        (38, 5, "black flag"),
    ];
    for (temp_c, wind_kmh, words) in cases {
        let told = told(temp_c, wind_kmh);
        assert!(told.contains(words), "{temp_c} °C: {told}");
    }
    let mild = told(15, 10);
    assert!(
        !mild.contains("hypothermia") && !mild.contains("flag"),
        "{mild}"
    );
}

/// A race of more than 30 hours has a rest where something warm waits, marked as a default; a
/// shorter one has none. Two nights are two nights, and a long day is one.
#[test]
fn a_long_race_has_a_rest_and_a_long_day_is_no_two_nights() {
    let case = Case::new().file(
        "organiser.txt",
        "Station\tKm\tCrew\nBarn\t12\tyes\nVrh\t25\tno\nOld Barn\t36\tyes\nFinish\t51\tno\n",
    );
    let route = short_route();
    let planned = |folder: &str, start: &str, finish: &str| {
        let made = [
            "new",
            folder,
            "--route",
            &route,
            "--stations",
            "organiser.txt",
        ];
        let more = ["--start", start, "--finish", finish];
        case.run(&[&made[..], &more[..]].concat()).exits(0);
        let text = case.text(&format!("{folder}/plan.toml"));
        let plan = case.run(&["plan", &format!("{folder}/plan.toml")]);
        (text, plan.out)
    };
    let (text, plan) = planned("long", "2026-08-28T18:00", "34:00:00");
    assert!(text.contains("\n[stops.at]\n\"Old Barn\" = 20\n"), "{text}");
    assert!(!plan.contains("two nights"), "{plan}");
    let without = text.replace("\"Old Barn\" = 20", "");
    std::fs::write(case.path("long/plan.toml"), without).unwrap();
    case.run(&["plan", "long/plan.toml"]).prints("two nights");
    let (text, plan) = planned("day", "2026-08-28T03:30", "19:30:00");
    assert!(text.contains("\n# [stops.at]\n# \"Mill\" = 6\n"), "{text}");
    assert!(!plan.contains("two nights"), "{plan}");
}

/// A first race: a bare route, the organiser's letter, no finish and no race behind one. Each command
/// is the one that was named before, and the card says what its times are worth.
#[test]
fn a_first_timer_without_a_finish_is_led_to_a_card() {
    let letter = "Sedlink is at 7.1 km, crew allowed\nVrh is at 14.2 km, closes 10:15, water\n\
                  Town Hall is at 35.6 km, closes 15:00, food, drop bags\nFinish is at 49.5 km, closes 18:00\n";
    let case = Case::new().file("letter.txt", letter);
    let route = short_route();
    let new = ["new", "race", "--route", &route, "--stations", "letter.txt"];
    let start = ["--start", "2026-06-06T06:00"];
    let made = case.run(&[&new[..], &start].concat()).exits(0).quietly();
    let next = made
        .out
        .lines()
        .last()
        .unwrap_or_default()
        .trim()
        .to_owned();
    let next: Vec<&str> = next.split(' ').skip(1).collect();
    assert_eq!(next, ["plan", "race/plan.toml"]);
    let plan = case.run(&next);
    assert!(plan.code < Some(2), "{plan}");
    let plan = plan.says("is a hope").says("--past 50km/1800m/8:30:00");
    assert!(plan.out.contains("; a hope, no"), "{plan}");
    // the finish that is named can be typed
    let finish = case
        .run(&["finish", "race", "--format", "json"])
        .exits(0)
        .json();
    let hoped = finish["hoped_text"].as_str().expect("a hope").to_owned();
    let card = ["card", "race", "--finish", &hoped, "-o", "card.html"];
    assert!(case.run(&card).code < Some(2));
    assert!(case.text("card.html").contains("Town Hall"));
}
