//! What is printed adds up, and segments make the course.

use sutler::facts::Facts;
use sutler::reports::by_name;
use sutler::reports::document::{Block, Table};
use sutler::units::Units;

use super::{SUBJECTS, Subject, of_every};

/// A decimetre: what is lost in adding up distances.
const ADDED_M: f64 = 0.1;

#[test]
fn segments_make_the_course() {
    of_every(|s| {
        let course = &s.prepared.race.course;
        let (first, last) = (&course.stations[0], course.stations.last().unwrap());
        let sum = |each: &dyn Fn(usize) -> f64| (0..course.segments.len()).map(each).sum::<f64>();
        let length_m = sum(&|i| course.segments[i].length_m);
        let official_m = sum(&|i| course.segments[i].official_length_m);
        assert!(
            (length_m - course.survey.route_length_m).abs() < ADDED_M,
            "{}",
            s.name
        );
        assert!((length_m - last.distance_m).abs() < ADDED_M, "{}", s.name);
        assert!((official_m - last.official_m).abs() < ADDED_M, "{}", s.name);
        let (up_m, down_m) = course.climb_and_descent_m();
        let rise_m = last.elevation_m - first.elevation_m;
        // turns too small to count are lost, less than a threshold at either end
        let lost_m = 2.0 * course.survey.repairs.threshold_m + 1.0;
        assert!(
            (up_m - down_m - rise_m).abs() < lost_m,
            "{}: {up_m} up, {down_m} down, {rise_m} in all",
            s.name
        );
        if let Some(official_m) = course.survey.official_climb_m {
            assert!(
                (up_m / official_m - 1.0).abs() < 0.01,
                "{}: {up_m} of {official_m}",
                s.name
            );
        }
    });
}

#[test]
fn moving_and_stopping_make_the_finish() {
    of_every(|s| {
        let schedule = &s.plan.schedule;
        let moving: i64 = schedule.legs.iter().map(|leg| leg.moving.as_secs()).sum();
        let stopped: i64 = (0..schedule.splits.len())
            .map(|i| schedule.stop(i).as_secs())
            .sum();
        assert_eq!(moving + stopped, s.finish.as_secs(), "{}", s.name);
    });
}

/// The first table of a report with a column of this name.
fn table(s: &Subject, report: &str, key: &str) -> Table {
    let facts = Facts::of(&sutler::reports::View {
        race: &s.prepared.race,
        inputs: &s.prepared.inputs,
        plans: std::slice::from_ref(&s.plan),
        units: Units::Metric,
        before: None,
        warnings: &[],
    });
    let document = (by_name(report).unwrap().build)(&facts);
    let tables = document.blocks.into_iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        _ => None,
    });
    tables
        .into_iter()
        .find(|table| table.columns.iter().any(|column| column.key == Some(key)))
        .unwrap_or_else(|| panic!("{report} has no column {key}"))
}

/// What people read in a column, row by row.
fn shown(table: &Table, key: &str) -> Vec<String> {
    let column = table
        .columns
        .iter()
        .position(|column| column.key == Some(key));
    let column = column.unwrap_or_else(|| panic!("no column {key}"));
    table
        .rows
        .iter()
        .map(|row| row[column].shown.clone())
        .collect()
}

/// Minutes of `h:mm`, or of a clock with or without its day.
fn minutes(text: &str) -> i64 {
    let time = text
        .rsplit(' ')
        .next()
        .unwrap()
        .trim_end_matches(['¹', '²']);
    let (hours, minutes) = time
        .split_once(':')
        .unwrap_or_else(|| panic!("no time: {text}"));
    hours.parse::<i64>().unwrap() * 60 + minutes.parse::<i64>().unwrap()
}

#[test]
fn printed_segment_times_and_stops_add_up_to_printed_arrivals() {
    of_every(|s| {
        let table = table(s, "splits", "moving_s");
        let (moving, elapsed, stops) = (
            shown(&table, "moving_s"),
            shown(&table, "arrival_s"),
            shown(&table, "stop_s"),
        );
        let mut now = 0;
        for row in 0..moving.len() {
            now += minutes(&moving[row]);
            assert_eq!(
                now,
                minutes(&elapsed[row]),
                "{}: row {row} of {moving:?} {stops:?} {elapsed:?}",
                s.name
            );
            now += if stops[row].is_empty() {
                0
            } else {
                minutes(&stops[row])
            };
        }
    });
}

#[test]
fn printed_clocks_and_segment_times_add_up() {
    let mut asked = 0;
    for s in SUBJECTS.iter() {
        let stations = table(s, "plan", "departure_s");
        let (arrive, leave) = (
            shown(&stations, "arrival_s"),
            shown(&stations, "departure_s"),
        );
        let times = shown(&table(s, "plan", "moving_s"), "moving_s");
        for (segment, time) in times.iter().enumerate() {
            let left = if leave[segment].is_empty() {
                &arrive[segment]
            } else {
                &leave[segment]
            };
            let clocks = [left.as_str(), &arrive[segment + 1]];
            if clocks[0].ends_with('¹') != clocks[1].ends_with('¹') || clocks[1].ends_with('²') {
                continue; // the clocks go back between the two
            }
            let between = (minutes(clocks[1]) - minutes(clocks[0])).rem_euclid(24 * 60);
            // the clocks may go forward or back an hour on the way
            let differs = (minutes(time) - between).rem_euclid(24 * 60);
            let changed = [60, 24 * 60 - 60].contains(&differs) && s.prepared.race.clock.is_some();
            assert!(differs == 0 || changed, "{}: {clocks:?} and {time}", s.name);
            asked += usize::from(differs == 0);
        }
    }
    assert!(asked > 100, "{asked} segments");
}
