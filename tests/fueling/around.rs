//! Height, storms and the sun's year, on courses where the answer is plain.

use sutler::diagnostics::{Notes, SourceFile, Sources};
use sutler::inputs::Texts;
use sutler::plan::Plan;
use sutler::replan;
use sutler::time::Elapsed;

use crate::support::race::Prepared;

/// A straight way north of so many points 100 m apart.
fn way(lat_deg: f64, height_m: impl Fn(usize) -> f64) -> String {
    let point = |at: usize| {
        let lat_deg = lat_deg + at as f64 / 1112.0;
        let height_m = height_m(at);
        format!("<trkpt lat=\"{lat_deg:.6}\" lon=\"15.0\"><ele>{height_m:.1}</ele></trkpt>")
    };
    let points: String = (0..201).map(point).collect();
    format!(
        "<gpx version=\"1.1\" creator=\"t\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\
         {points}</trkseg></trk></gpx>"
    )
}

/// A race of four hours, planned.
fn planned(route: String, course: &str, weather: Option<&str>) -> (Prepared, Plan) {
    let file = |name: &str, text: String| Some(SourceFile::new(name, text));
    let texts = Texts {
        plan: file("plan.toml", "finish = \"4:00:00\"\n".to_owned()),
        course: file("course.toml", course.to_owned()),
        route: file("route.gpx", route),
        stations: file(
            "stations.csv",
            "name,distance_km,kind\nHut,8,aid\nPass,14,aid\n".to_owned(),
        ),
        weather: weather.and_then(|rows| file("weather.csv", rows.to_owned())),
        ..Texts::default()
    };
    let finish = Elapsed::from_s(4.0 * 3600.0);
    let prepared = Prepared::read(texts, finish);
    let plan = prepared.plan(finish);
    (prepared, plan)
}

/// What is found, by kind, with its words.
fn told(plan: &Plan) -> Vec<(String, String)> {
    let said = plan.fueling.findings.iter().map(|finding| {
        let says = finding.says.show(sutler::units::Units::Metric);
        (finding.kind.name().to_owned(), says)
    });
    said.collect()
}

fn found(route: String, course: &str, weather: Option<&str>) -> Vec<(String, String)> {
    told(&planned(route, course, weather).1)
}

fn of<'a>(found: &'a [(String, String)], kind: &str) -> Option<&'a str> {
    let of_it = found.iter().find(|(own, _)| own == kind);
    of_it.map(|(_, says)| says.as_str())
}

const SUMMER: &str = "start = \"2026-06-21T09:00\"\ntimezone = \"Europe/Vienna\"\n";

/// Above 2500 m height makes some people ill (Luks and others 2019, Wilderness Environ. Med. 30:S3,
/// from memory); the triangle is above it on two of its five parts.
#[test]
fn ground_above_2500_m_is_said_with_its_hours() {
    let up_to = |top_m: f64| move |at: usize| top_m - 10.0 * (at as f64 - 100.0).abs();
    let high = found(way(46.5, up_to(2900.0)), SUMMER, None);
    let says = of(&high, "high-ground").expect("2900 m are said");
    assert!(
        says.contains("from `Hut` to `Pass` the route goes up to 28"),
        "{says}"
    );
    let hours = says.split("; ").nth(1).unwrap().split(' ').next().unwrap();
    let hours: f64 = hours.parse().unwrap();
    // 8 of 20 km, at most half as slow again as the mean of 4 h
    assert!((1.3..2.4).contains(&hours), "{says}");
    let low = found(way(46.5, up_to(2450.0)), SUMMER, None);
    assert_eq!(of(&low, "high-ground"), None);
}

/// On the way only what lies ahead is told: the top at 10 km from the hut at 8, nothing from the pass
/// at 14, where the way down comes under 2500 m.
#[test]
fn high_ground_is_told_as_far_as_it_lies_ahead() {
    let top = |at: usize| 2900.0 - 10.0 * (at as f64 - 100.0).abs();
    let (prepared, plan) = planned(way(46.5, top), SUMMER, None);
    let after = |station: &str| {
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let left = [format!("{station}=+2:50")];
        let seen = replan::observations(&[], &left, &mut sources, &mut notes);
        let (race, inputs) = (&prepared.race, &prepared.inputs);
        let replan = replan::make(race, inputs, &plan, &seen, None, &sources, &mut notes);
        let found = told(
            &replan
                .unwrap_or_else(|| panic!("{:?}", notes.all()))
                .at_effort
                .plan,
        );
        of(&found, "high-ground").map(str::to_owned)
    };
    let hut = after("Hut").expect("the top is ahead");
    assert!(hut.contains("of what is left are above"), "{hut}");
    assert_eq!(after("Pass"), None);
}

/// Storms from noon on: 20 km in 4 h from nine o'clock leave the last station before one o'clock.
#[test]
fn hours_of_storms_are_named_where_the_runner_is_then() {
    let hours = |from: u32| {
        let row = |hour: u32| {
            let storm = if hour >= from { "yes" } else { "no" };
            format!("2026-06-21T{hour:02}:00,15,{storm}\n")
        };
        let rows: String = (6..20).map(row).collect();
        format!("time,temp_c,thunder\n{rows}")
    };
    let flat = || way(46.5, |_| 1800.0);
    let stormy = found(flat(), SUMMER, Some(&hours(12)));
    let says = of(&stormy, "storm-hours").expect("storms are said");
    assert!(says.contains("from `Pass` to `"), "{says}");
    assert!(says.contains("Sun 1"), "{says}");
    assert!(says.contains("up to 1800 m"), "{says}");
    let calm = found(flat(), SUMMER, Some(&hours(24)));
    assert_eq!(of(&calm, "storm-hours"), None);
    // over before the start
    let early = "time,temp_c,thunder\n2026-06-21T04:00,15,yes\n2026-06-21T06:00,15,no\n\
                 2026-06-21T20:00,15,no\n";
    let early = found(flat(), SUMMER, Some(early));
    assert_eq!(of(&early, "storm-hours"), None);
}

/// At 78 degrees north the sun is up from 20 April to 22 August and below the horizon from 26 October
/// to 16 February (almanac dates for Longyearbyen, from memory).
#[test]
fn days_without_night_and_without_day_are_said() {
    let on = |day: &str| {
        let course = format!("start = \"{day}T08:00\"\ntimezone = \"Arctic/Longyearbyen\"\n");
        let found = found(way(78.2, |_| 50.0), &course, None);
        ["light-throughout", "dark-throughout"].map(|kind| of(&found, kind).is_some())
    };
    assert_eq!(on("2026-06-21"), [true, false]);
    assert_eq!(on("2026-12-21"), [false, true]);
    assert_eq!(on("2026-03-20"), [false, false]);
}

/// What a forecast does not name is not told as if it did.
#[test]
fn wind_that_nobody_forecast_is_said_to_be_assumed() {
    let rows = |columns: &str, values: &str| {
        let row = |hour: u32| format!("2026-01-21T{hour:02}:00,{values}\n");
        let rows: String = (6..20).map(row).collect();
        format!("time,{columns}\n{rows}")
    };
    let winter = "start = \"2026-01-21T09:00\"\ntimezone = \"Europe/Vienna\"\n";
    let said = |columns: &str, values: &str| {
        let rows = rows(columns, values);
        let found = found(way(46.5, |_| 800.0), winter, Some(&rows));
        of(&found, "cold-harm").expect("it is cold").to_owned()
    };
    assert!(said("temp_c", "-12").contains("the wind is assumed, not forecast"));
    assert!(!said("temp_c,wind_kmh", "-12,20").contains("assumed"));
}

/// Wind chill by Environment Canada: -2.05 °C at 3 °C and 25 km/h, -17.86 °C at -10 °C and 20 km/h.
#[test]
fn cold_is_felt_by_wind_wet_and_slow_nights_and_not_by_the_dark() {
    // hills that are walked up, 20 m in 100 m
    let hills = |at: usize| 800.0 + 20.0 * (at % 20).abs_diff(10) as f64;
    let cold = |start: &str, weather: &str, height_m: &dyn Fn(usize) -> f64| {
        let row = |hour: u32| {
            format!(
                "2026-01-{:02}T{:02}:00,{weather}\n",
                21 + hour / 24,
                hour % 24
            )
        };
        let rows: String = (6..36).map(row).collect();
        let rows = format!("time,temp_c,wind_kmh,rain_mm\n{rows}");
        let course = format!("start = \"2026-01-21T{start}\"\ntimezone = \"Europe/Vienna\"\n");
        let found = found(way(46.5, height_m), &course, Some(&rows));
        let cold = found
            .into_iter()
            .filter(|(kind, _)| kind.starts_with("cold"));
        cold.collect::<Vec<_>>()
    };
    let (day, night) = ("09:00", "20:00");
    for (start, weather, kind, felt) in [
        (day, "3,25,0", "cold-wind-chill", "-2 °C"),
        (day, "-10,20,0", "cold-harm", "-18 °C"),
        (day, "11,25,1", "cold-wet", "11 °C"),
    ] {
        let found = cold(start, weather, &|_| 800.0);
        let [(own, says)] = &found[..] else {
            panic!("{weather}: {found:?}");
        };
        assert_eq!(own, kind, "{weather}");
        assert!(says.contains(felt) && says.contains(" to "), "{says}");
    }
    let walked = cold(night, "8,5,0", &hills);
    assert_eq!(walked[0].0, "cold-night", "{walked:?}");
    assert_eq!(cold(day, "8,5,0", &hills), []);
    for (start, weather) in [(night, "8,5,0"), (night, "35,5,0"), (night, "24,25,1")] {
        assert_eq!(cold(start, weather, &|_| 800.0), [], "{weather}");
    }
}
