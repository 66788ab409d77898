//! Time only goes forward, the finish is met, and a later target is later everywhere.

use sutler::diagnostics::SourceFile;
use sutler::pacing::{self, Goal};
use sutler::time::Elapsed;

use super::{LONGEST, SUBJECTS, Subject, finish_of, of_every, subject};
use crate::support::race::{PLANS, Prepared, texts_of_plan};
use crate::support::synthetic::{StationLine, Synthetic};

#[test]
fn splits_strictly_increase_within_their_windows() {
    of_every(|s| {
        let splits = &s.plan.schedule.splits;
        for pair in splits.windows(2) {
            assert!(pair[0].arrival <= pair[0].departure, "{}: {pair:?}", s.name);
            assert!(pair[0].departure < pair[1].arrival, "{}: {pair:?}", s.name);
            assert!(pair[0].early < pair[1].early, "{}: {pair:?}", s.name);
            assert!(pair[0].late < pair[1].late, "{}: {pair:?}", s.name);
        }
        let expected = s.prepared.race.finish(s.finish.as_s());
        let early_s = expected.quantile_s(0.1);
        for split in splits {
            // on a hot or high day nine in ten may come later than a target set without it
            let as_planned = early_s <= s.finish.as_s();
            let since = if as_planned {
                split.early
            } else {
                Elapsed::ZERO
            };
            let window = since..=split.late;
            assert!(window.contains(&split.arrival), "{}: {split:?}", s.name);
        }
    });
}

#[test]
fn the_finish_is_the_target_to_the_second() {
    of_every(|s| {
        let splits = &s.plan.schedule.splits;
        let (first, last) = (&splits[0], splits.last().unwrap());
        assert_eq!(first.arrival, Elapsed::ZERO, "{}", s.name);
        assert_eq!(first.departure, Elapsed::ZERO, "{}", s.name);
        assert_eq!(last.arrival, s.finish, "{}", s.name);
        assert_eq!(last.departure, s.finish, "{}", s.name);
    });
}

#[test]
fn stops_are_those_that_were_planned() {
    of_every(|s| {
        for (station, planned_s) in s.prepared.race.stops_s.iter().enumerate() {
            let stop_s = s.plan.schedule.stop(station).as_s();
            // both ends are rounded to the second
            assert!(
                (stop_s - planned_s).abs() <= 1.0,
                "{}: {stop_s} s at {station}",
                s.name
            );
        }
    });
}

/// Arrivals at every station in seconds for one target, where it can be met.
fn arrivals_s(s: &Subject, finish_s: f64) -> Option<Vec<f64>> {
    let race = &s.prepared.race;
    let goal = Goal {
        finish_s,
        stops_s: race.stops_s.clone(),
    };
    pacing::solve(&race.course, &race.conditions, &race.settings, &goal)
        .ok()
        .map(|pacing| pacing.arrival_s)
}

/// Every 20 minutes, and every 20 seconds around the hours at which defaults might change.
fn targets_s(s: &Subject) -> Vec<f64> {
    let own_s = s.finish.as_s();
    let coarse = (0..).map(|i| 0.6 * own_s + f64::from(i) * 1200.0);
    let coarse = coarse.take_while(|t| *t < (1.5 * own_s).min(LONGEST.as_s()));
    let fine = [4.0, 8.0]
        .into_iter()
        .flat_map(|hours: f64| (-3..=3).map(move |i| hours * 3600.0 + f64::from(i) * 20.0));
    let near = fine.filter(|t| (0.4 * own_s..2.5 * own_s).contains(t));
    let mut all: Vec<f64> = coarse.chain(near).collect();
    all.sort_by(f64::total_cmp);
    all
}

/// The solver stops within a millisecond of the target.
const SOLVED_S: f64 = 0.01;

#[test]
fn a_later_target_is_never_earlier_anywhere() {
    let mut across = [0, 0];
    // the longest course is scanned less than the others, for time
    for s in SUBJECTS.iter() {
        let mut before: Option<(f64, Vec<f64>)> = None;
        let thin = if s.finish.as_hours() > 12.0 { 4 } else { 1 };
        for target_s in targets_s(s).into_iter().step_by(thin) {
            let Some(arrivals) = arrivals_s(s, target_s) else {
                continue;
            };
            if let Some((earlier_s, earlier)) = &before {
                for (station, (a, b)) in earlier.iter().zip(&arrivals).enumerate() {
                    assert!(
                        *a <= b + SOLVED_S,
                        "{}: station {station} at {a} s for {earlier_s} s, at {b} s for {target_s} s",
                        s.name
                    );
                }
                for (hours, count) in [4.0, 8.0].into_iter().zip(&mut across) {
                    *count +=
                        usize::from(*earlier_s <= hours * 3600.0 && hours * 3600.0 < target_s);
                }
            }
            before = Some((target_s, arrivals));
        }
    }
    assert!(
        across.iter().all(|count| *count >= 3),
        "scanned across 4 h and 8 h: {across:?}"
    );
}

#[test]
fn night_and_weather_are_on_in_some_of_it() {
    let dark = |s: &&Subject| s.plan.schedule.legs.iter().any(|leg| leg.dark_share > 0.2);
    assert!(SUBJECTS.iter().filter(dark).count() >= 5);
    assert!(
        SUBJECTS
            .iter()
            .filter(|s| s.prepared.race.conditions.knows_weather())
            .count()
            > 20
    );
    let walked = |s: &&Subject| s.plan.schedule.legs.iter().any(|leg| leg.walk_share > 0.5);
    assert!(SUBJECTS.iter().filter(walked).count() >= 5);
}

/// Adding a station without a stop moves no other arrival by more than the last second.
#[track_caller]
fn check_same(name: &str, before: &Prepared, after: &Prepared, finish: Elapsed, added: &str) {
    let (a, b) = (before.plan(finish), after.plan(finish));
    let stations = &after.race.course.stations;
    let kept: Vec<usize> = (0..stations.len())
        .filter(|i| stations[*i].name != added)
        .collect();
    assert_eq!(kept.len() + 1, stations.len(), "{name}");
    assert_eq!(kept.len(), before.race.course.stations.len(), "{name}");
    for (split, index) in a.schedule.splits.iter().zip(kept) {
        let other = &b.schedule.splits[index];
        for (one, two) in [
            (split.arrival, other.arrival),
            (split.departure, other.departure),
            (split.early, other.early),
            (split.late, other.late),
        ] {
            let moved = (one - two).as_secs().abs();
            assert!(moved <= 1, "{name}: {split:?} became {other:?}");
        }
    }
}

#[test]
fn a_station_without_a_stop_moves_no_other() {
    for seed in super::SEEDS {
        let course = Synthetic::of(seed);
        if course.stations.is_empty() {
            continue; // without a list, marks stand where the list's stations would
        }
        let mut more = course.clone();
        let km = (course.length_km * (0.15 + 0.03 * seed as f64) * 100.0).round() / 100.0 + 0.003;
        let at = more
            .stations
            .iter()
            .position(|row| row.km > km)
            .unwrap_or(more.stations.len());
        if more.stations.iter().any(|row| (row.km - km).abs() < 0.05) {
            continue;
        }
        let added = StationLine {
            name: "Added".to_owned(),
            km,
            stop_min: 0.0,
            cutoff: None,
        };
        more.stations.insert(at, added);
        let finish = finish_of(&course);
        let (before, after) = (
            subject(&course).prepared,
            Prepared::read(more.texts(), LONGEST),
        );
        check_same(&format!("seed {seed}"), &before, &after, finish, "Added");
    }
}

#[test]
fn a_checkpoint_more_moves_no_shipped_plan() {
    for plan in PLANS {
        let before = texts_of_plan(plan);
        let list = before.stations.clone().unwrap();
        let mut lines: Vec<&str> = list.text.lines().collect();
        let header = lines
            .iter()
            .position(|line| line.starts_with("name,"))
            .unwrap();
        let column = lines[header]
            .split(',')
            .position(|name| name == "distance_km")
            .unwrap();
        let km = |line: &str| -> f64 { line.split(',').nth(column).unwrap().parse().unwrap() };
        let (from, to) = (km(lines[header + 2]), km(lines[header + 3]));
        let cells = lines[header].split(',').map(|name| match name {
            "name" | "place" => "Added".to_owned(),
            "distance_km" => format!("{:.3}", 0.7 * from + 0.3 * to),
            "kind" => "checkpoint".to_owned(),
            _ => String::new(),
        });
        let row = cells.collect::<Vec<_>>().join(",");
        lines.insert(header + 3, &row);
        let mut after = before.clone();
        after.stations = Some(SourceFile::new("stations.csv", lines.join("\n") + "\n"));
        let (before, after) = (
            Prepared::read(before, LONGEST),
            Prepared::read(after, LONGEST),
        );
        let finish = before.inputs.plan.finish.unwrap().value;
        check_same(plan, &before, &after, finish, "Added");
    }
}

/// The time that follows some words.
fn time_after(said: &str, words: &str) -> Elapsed {
    let rest = said
        .split(words)
        .nth(1)
        .unwrap_or_else(|| panic!("no `{words}` in {said}"));
    let time: String = rest
        .chars()
        .take_while(|c| c.is_ascii_digit() || *c == ':')
        .collect();
    Elapsed::parse(time.trim_end_matches(':')).unwrap()
}

#[test]
fn the_fastest_and_slowest_finish_named_are_accepted() {
    // every fourth, for time, the shortest and the longest shipped plan among them
    SUBJECTS
        .iter()
        .step_by(4)
        .chain(&SUBJECTS[1..2])
        .for_each(|s| {
            for finish in [
                Elapsed::ZERO,
                Elapsed::from_secs(60),
                Elapsed::from_s(0.3 * s.finish.as_s()),
            ] {
                if let Err(said) = s.prepared.try_times(finish) {
                    let fastest = time_after(&said, "set `finish` to ");
                    s.prepared
                        .try_times(fastest)
                        .unwrap_or_else(|said| panic!("{}: {said}", s.name));
                }
            }
            let endless = Elapsed::from_secs(3_000_000);
            let said = s
                .prepared
                .try_times(endless)
                .map(|_| ())
                .expect_err(&s.name);
            let slowest = time_after(&said, "expected ");
            s.prepared
                .try_times(slowest)
                .unwrap_or_else(|said| panic!("{}: {slowest:?}: {said}", s.name));
        });
}
