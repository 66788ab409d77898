//! The rest of a race from what was seen: nothing changes on plan, later is never earlier, the
//! finish is held to the second, nights with a clock change come out right, and every mistake on
//! the command line is explained.

mod caffeine;
mod command;
#[path = "replan/goals.rs"]
mod goals;
mod moments;
#[path = "replan/staying.rs"]
mod staying;

use std::process::{Command, Output};
use std::sync::LazyLock;

use proptest::prelude::*;
use sutler::diagnostics::{Notes, Sources, Spanned, render};
use sutler::inputs::Inputs;
use sutler::packing::{Serving, Source};
use sutler::plan::{Plan, Race};
use sutler::replan::{self, Realism, Replan};
use sutler::time::Elapsed;

use crate::support::demo;

/// Race times are kept to the second; sums of two may be off by one.
const ONE_SECOND: i64 = 1;

/// A planned race.
struct Day {
    inputs: Inputs,
    race: Race,
    plan: Plan,
}

impl Day {
    #[track_caller]
    fn of(inputs: Inputs) -> Day {
        let mut notes = Notes::new();
        let finish = inputs.plan.finish.expect("the plan has a finish");
        let race = Race::prepare(&inputs, finish.value + finish.value, &mut notes);
        let race = race.unwrap_or_else(|| panic!("{:?}", notes.all()));
        let plan = race.plan(&inputs, finish, &mut notes);
        let plan = plan.unwrap_or_else(|| panic!("{:?}", notes.all()));
        Day { inputs, race, plan }
    }

    fn name(&self, station: usize) -> &str {
        &self.race.course.stations[station].name
    }

    fn station(&self, name: &str) -> usize {
        let stations = &self.race.course.stations;
        let at = stations.iter().position(|s| s.name == name);
        at.unwrap_or_else(|| panic!("no station {name}"))
    }

    fn arrival(&self, station: usize) -> Elapsed {
        self.plan.schedule.splits[station].arrival
    }

    /// What was typed, and what is said about it.
    fn typed(&self, seen: &[String], left: &[String]) -> (Option<Replan>, String) {
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let observations = replan::observations(seen, left, &mut sources, &mut notes);
        let replan = replan::make(
            &self.race,
            &self.inputs,
            &self.plan,
            &observations,
            None,
            &sources,
            &mut notes,
        );
        (replan, render(&sources, notes.all(), false))
    }

    #[track_caller]
    fn seen(&self, seen: &[String]) -> Replan {
        let (replan, said) = self.typed(seen, &[]);
        replan.unwrap_or_else(|| panic!("{seen:?}: {said}"))
    }

    #[track_caller]
    fn seen_at(&self, station: usize, at: Elapsed) -> Replan {
        self.seen(&[self.sighting(station, at)])
    }

    fn sighting(&self, station: usize, at: Elapsed) -> String {
        format!("{}=+{}", self.name(station), at.to_seconds_text())
    }
}

fn minutes(minutes: i64) -> Elapsed {
    Elapsed::from_secs(minutes * 60)
}

fn replan_command(arguments: &[&str]) -> Output {
    replan_command_of("plan.toml", arguments)
}

fn replan_command_of(plan: &str, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sutler"));
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .arg("replan")
        .arg(format!("demo-data/{plan}"));
    command.args(arguments).output().expect("the command runs")
}

fn arrivals(plan: &Plan) -> Vec<Elapsed> {
    plan.schedule.splits.iter().map(|s| s.arrival).collect()
}

/// A hundred miles over the night that the clocks go back, with everything.
static NIGHT: LazyLock<Day> = LazyLock::new(|| Day::of(demo::hundred_miles()));

/// Four laps by day in steady weather: nothing but effort moves the times.
static LAPS: LazyLock<Day> = LazyLock::new(|| {
    let plan = "finish = \"7:30:00\"\n[stops]\naid_min = 3\n[forecast]\ntemp_c = 12\n";
    Day::of(demo::course("velprek-50k", plan))
});

#[test]
fn on_plan_nothing_changes() {
    for name in ["Lärchriegel out", "Innerfalz", "Kaltwandalm back"] {
        let station = NIGHT.station(name);
        let split = &NIGHT.plan.schedule.splits[station];
        // as on the watch to the second, and as on the card to the minute
        let card = NIGHT.plan.schedule.show(split.arrival);
        for typed in [
            NIGHT.sighting(station, split.arrival),
            format!("{name}={card}"),
            format!("  {}  =  {card} ", name.to_uppercase()),
        ] {
            let replan = NIGHT.seen(&[typed]);
            assert!((replan.shown.time_ratio - 1.0).abs() < 1e-9);
            let finish = replan.at_finish.as_ref().expect("the finish is in reach");
            assert_eq!(arrivals(&finish.plan), arrivals(&NIGHT.plan), "{name}");
            let splits = &finish.plan.schedule.splits;
            for (now, planned) in splits.iter().zip(&NIGHT.plan.schedule.splits) {
                assert_eq!(now.departure, planned.departure);
                assert_eq!(now.latest_on_plan, planned.latest_on_plan);
            }
            // as it goes it ends within what the plan called likely all along
            let last = NIGHT.plan.schedule.splits.last().expect("a finish");
            assert!((last.early..=last.late).contains(&replan.at_effort.plan.finish));
            assert_eq!(replan.needed.realism(), Realism::Easier);
            assert_eq!(replan.leave, split.departure);
        }
    }
}

/// What is seen slower than planned is carried on as far as it is the runner's and not the stretch's.
#[test]
fn effort_shown_is_carried_on() {
    let station = LAPS.station("Sedlink 3");
    let splits = &LAPS.plan.schedule.splits;
    let planned_s: f64 = LAPS.plan.pacing.segments[..station]
        .iter()
        .map(|s| s.moving_s)
        .sum();
    let stopped_s = splits[station].arrival.as_s() - planned_s;
    let seen = |ratio: f64| LAPS.seen_at(station, Elapsed::from_s(ratio * planned_s + stopped_s));
    let (on_plan, slower) = (seen(1.0), seen(1.1));
    assert!((slower.shown.hours - planned_s / 3600.0).abs() < 1e-6);
    assert!((slower.shown.time_ratio - 1.1).abs() < 1e-4);
    let rest = on_plan.at_effort.speed_ratio / slower.at_effort.speed_ratio;
    assert!((1.04..1.25).contains(&rest), "{rest}");
    // by day in steady weather all the rest takes that much longer, and stops as long as planned
    let now = &slower.at_effort.plan;
    let moving_s = |plan: &Plan, segment: usize| plan.pacing.segments[segment].moving_s;
    let first = moving_s(now, station) / moving_s(&LAPS.plan, station);
    for segment in station..LAPS.plan.pacing.segments.len() - 1 {
        let ratio = moving_s(now, segment) / moving_s(&LAPS.plan, segment);
        assert!((ratio - first).abs() < 1e-3, "{segment}: {ratio}");
    }
    for (now, planned) in now.schedule.splits.iter().zip(splits) {
        let (now_s, planned_s) = (
            now.departure - now.arrival,
            planned.departure - planned.arrival,
        );
        assert_eq!(now_s, planned_s);
    }
}

#[test]
fn the_finish_is_held_to_the_second() {
    for (day, station, late_min) in [
        (&*NIGHT, "Innerfalz", 35),
        (&*NIGHT, "Moosgatter out", -50),
        (&*LAPS, "Sedlink 2", 12),
        (&*LAPS, "Sedlink 4", -9),
    ] {
        let station = day.station(station);
        let replan = day.seen_at(station, day.arrival(station) + minutes(late_min));
        let rest = replan.at_finish.as_ref().expect("it is in reach");
        assert_eq!(rest.plan.finish, day.plan.finish);
        assert_eq!(
            *arrivals(&rest.plan).last().expect("a finish"),
            day.plan.finish
        );
        assert_eq!(Some(rest.speed_ratio), replan.needed.speed_ratio);
        assert_eq!(late_min > 0, rest.speed_ratio > 1.0);
        // it is what is left of the time over what is left of the plan's, or nearly
        let left = |plan: &Plan| {
            let segments = &plan.pacing.segments[station..];
            segments.iter().map(|s| s.moving_s).sum::<f64>()
        };
        let ratio = left(&day.plan) / left(&rest.plan);
        assert!(
            (ratio - rest.speed_ratio).abs() < 0.02,
            "{ratio} {}",
            rest.speed_ratio
        );
        // the way there is as it was seen
        let at = arrivals(&rest.plan)[station];
        assert_eq!(at, day.arrival(station) + minutes(late_min));
    }
}

#[test]
fn a_finish_that_nobody_runs_is_said() {
    let station = LAPS.station("Sedlink 5");
    let replan = LAPS.seen_at(station, LAPS.plan.finish - minutes(20));
    assert_eq!(replan.needed.realism(), Realism::Impossible);
    assert!(replan.at_finish.is_none());
    let station = LAPS.station("Sedlink 3");
    let late =
        (1..14).map(|fives| LAPS.seen_at(station, LAPS.arrival(station) + minutes(5 * fives)));
    let mut late = late.skip_while(|replan| replan.needed.realism() != Realism::Doubtful);
    let doubtful = late.next().expect("between likely and out of reach");
    let ratio = doubtful.needed.speed_ratio.expect("somebody runs that");
    assert!(ratio > 1.0 && doubtful.needed.chance < 1.0 / 3.0);
    assert!(
        doubtful
            .cautions
            .iter()
            .any(|c| c.kind.name() == "harder-than-shown")
    );
    // the earlier the runner is here, the likelier the planned finish
    let chances = [-30, 0, 30, 70].map(|late| {
        let replan = LAPS.seen_at(station, LAPS.arrival(station) + minutes(late));
        replan.needed.chance
    });
    assert!(chances.is_sorted_by(|a, b| a > b), "{chances:?}");
}

#[test]
fn a_departure_seen_is_the_stop_taken() {
    let station = NIGHT.station("Innerfalz");
    let arrival = NIGHT.arrival(station);
    let (seen, left) = (
        NIGHT.sighting(station, arrival),
        NIGHT.sighting(station, arrival + minutes(47)),
    );
    let (replan, said) = NIGHT.typed(&[seen], std::slice::from_ref(&left));
    let replan = replan.unwrap_or_else(|| panic!("{said}"));
    assert!(replan.has_left);
    assert_eq!(replan.leave, arrival + minutes(47));
    // the stop is no effort: what was run is as planned
    assert!((replan.shown.time_ratio - 1.0).abs() < 1e-6);
    // the departure alone: the arrival lies the planned stop before it
    let (replan, said) = NIGHT.typed(&[], &[left]);
    let replan = replan.unwrap_or_else(|| panic!("{said}"));
    let split = &replan.at_effort.plan.schedule.splits[station];
    assert_eq!(split.departure, arrival + minutes(47));
    assert_eq!(split.departure - split.arrival, minutes(20));
    // held up at the start, before a step was run
    let late = format!("{}=+0:09:00", NIGHT.name(0));
    let (replan, said) = NIGHT.typed(&[], &[late]);
    let replan = replan.unwrap_or_else(|| panic!("{said}"));
    assert_eq!(replan.shown.hours, 0.0);
    let now = arrivals(&replan.at_effort.plan);
    let on_time = format!("{}=+0:00:00", NIGHT.name(0));
    let (replan, said) = NIGHT.typed(&[], &[on_time]);
    let on_time = arrivals(&replan.unwrap_or_else(|| panic!("{said}")).at_effort.plan);
    for (station, at) in now.iter().enumerate().skip(1) {
        let later = *at - on_time[station];
        assert!(
            (later - minutes(9)).as_secs().abs() < 120,
            "{station}: {later}"
        );
    }
}

/// Two stations passed without being seen: their stops are as planned, and shorter where that is
/// impossible.
#[test]
fn stops_that_nobody_saw_fit_into_the_time() {
    let station = LAPS.station("Sedlink 4");
    let planned = LAPS.arrival(station);
    for share in [0.55, 0.8, 1.0, 1.7] {
        let at = Elapsed::from_s(planned.as_s() * share);
        let now = LAPS.seen_at(station, at).at_effort.plan;
        assert_eq!(now.schedule.splits[station].arrival, at);
        for pair in now.schedule.splits.windows(2) {
            assert!(pair[0].arrival <= pair[0].departure && pair[0].departure < pair[1].arrival);
        }
    }
}

#[test]
fn windows_narrow_on_what_is_left() {
    let far = NIGHT.station("Tesslinghütte back");
    let mut before = i64::MAX;
    for name in [
        "Lärchriegel out",
        "Moosgatter out",
        "Moosgatter back",
        "Lärchriegel back",
    ] {
        let station = NIGHT.station(name);
        let replan = NIGHT.seen_at(station, NIGHT.arrival(station) + minutes(10));
        let finish = replan.at_finish.as_ref().expect("it is in reach");
        for rest in [&replan.at_effort, finish] {
            let splits = &rest.plan.schedule.splits;
            for split in &splits[..=station] {
                assert_eq!((split.early, split.late), (split.arrival, split.arrival));
            }
            for pair in splits.windows(2) {
                assert!(pair[0].early <= pair[1].early && pair[0].late <= pair[1].late);
                assert!(pair[1].early <= pair[1].arrival && pair[1].arrival <= pair[1].late);
            }
        }
        let end = finish.plan.schedule.splits.last().expect("a finish");
        assert_eq!((end.early, end.late), (end.arrival, end.arrival));
        // nobody knows where the effort leads, and the less the more is left
        let split = &replan.at_effort.plan.schedule.splits[far];
        let width = (split.late - split.early).as_secs();
        assert!(
            0 < width && width < before,
            "{name}: {width} after {before}"
        );
        before = width;
    }
}

#[test]
fn needs_start_afresh_and_nothing_is_caught_up() {
    let station = NIGHT.station("Innerfalz");
    let replan = NIGHT.seen_at(station, NIGHT.arrival(station) + minutes(90));
    assert_eq!(replan.cautions[0].kind.name(), "no-catching-up");
    let now = &replan.at_effort.plan.fueling.segments[station..];
    let planned = &NIGHT.plan.fueling.segments[station..];
    let per_hour = |needs: &[sutler::fueling::SegmentNeed]| {
        let fluid_ml: f64 = needs.iter().map(|n| n.fluid_ml).sum();
        fluid_ml / needs.iter().map(|n| n.hours).sum::<f64>()
    };
    for need in now {
        assert!(need.fluid_ml <= need.sweat_l_per_h * need.hours * 1000.0 + 1e-6);
    }
    // slower is cooler: no more an hour than planned
    assert!(
        per_hour(now) <= per_hour(planned),
        "{} {}",
        per_hour(now),
        per_hour(planned)
    );
}

/// Nobody can take out of a bag what was not put in, nor out of the crew's box.
#[test]
fn changes_ask_for_nothing_that_was_not_packed() {
    let own = |source: Source| matches!(source, Source::Bag | Source::Crew);
    for late_min in [-60, 45, 110] {
        let station = NIGHT.station("Moosgatter out");
        let replan = NIGHT.seen_at(station, NIGHT.arrival(station) + minutes(late_min));
        let stored = |place: Option<usize>, source: Source, food: &str| -> u32 {
            let ahead = NIGHT
                .plan
                .packing
                .pickups
                .iter()
                .filter(|p| p.station >= station);
            ahead
                .filter(|p| place.is_none_or(|b| NIGHT.race.course.stations[p.station].place == b))
                .flat_map(|p| {
                    let later = p.for_later.iter().chain(&p.here);
                    p.take.iter().filter(|s| s.at == p.station).chain(later)
                })
                .filter(|s| s.source == source && s.food == food)
                .map(|s| s.count)
                .sum()
        };
        assert!(!replan.at_effort.changes.is_empty());
        for change in &replan.at_effort.changes {
            assert!(change.station >= station);
            let place = NIGHT.race.course.stations[change.station].place;
            let planned = NIGHT.plan.packing.pickups.iter();
            let planned = planned.filter(|p| p.station == change.station);
            let here: Vec<&Serving> = planned
                .flat_map(|p| p.take.iter().chain(&p.for_later).chain(&p.here))
                .filter(|s| s.at == change.station)
                .collect();
            for serving in change.more.iter().filter(|s| own(s.source)) {
                let bag = (serving.source == Source::Bag).then_some(place);
                let held = stored(bag, serving.source, &serving.food);
                let before: u32 = here
                    .iter()
                    .filter(|s| s.source == serving.source && s.food == serving.food)
                    .map(|s| s.count)
                    .sum();
                assert!(
                    before + serving.count <= held,
                    "{serving:?}: {before} of {held}"
                );
            }
            for serving in &change.less {
                let there = here.iter().filter(|s| s.food == serving.food);
                assert!(
                    there.map(|s| s.count).sum::<u32>() >= serving.count,
                    "{serving:?}"
                );
            }
        }
    }
}

/// What went along at one meeting, because the day runs late, does not lie in the box at the next.
#[test]
fn nothing_is_left_where_it_is_lacking() {
    let mut lacked = 0;
    for percent in [103, 105, 108] {
        let seen = (1..=8).map(|station| {
            let planned = NIGHT.arrival(station).as_secs();
            NIGHT.sighting(station, Elapsed::from_secs(planned * percent / 100))
        });
        let replan = NIGHT.seen(&seen.collect::<Vec<_>>());
        for change in &replan.at_effort.changes {
            lacked += change.not_packed.len();
            for lacking in &change.not_packed {
                let same =
                    |left: &Serving| (&left.food, left.source) == (&lacking.food, lacking.source);
                assert!(!change.less.iter().any(same), "{change:?}");
            }
        }
    }
    assert!(lacked > 0);
}

/// A lamp that lies in a bag ahead, where the night now comes first.
#[test]
fn gear_that_lies_ahead_is_named() {
    let mut inputs = demo::course("velprek-50k", "finish = \"9:00:00\"\n");
    inputs.plan.windows.on_target = true;
    inputs.course.mandatory_kit.clear();
    let morning =
        chrono::NaiveDate::from_ymd_opt(2026, 10, 10).and_then(|d| d.and_hms_opt(10, 15, 0));
    inputs.course.start = morning.map(Spanned::unwritten);
    for row in &mut inputs.stations {
        row.cutoff = None;
        row.drop_bag = row.place == "Sedlink";
    }
    let day = Day::of(inputs);
    // the plan finishes after dusk and takes the lamp along from the last visit to the bag
    let pickups = day.plan.packing.pickups.iter();
    let lamp: Vec<usize> = pickups
        .filter(|p| p.gear_on.iter().any(|g| g == "lamp"))
        .map(|p| p.station)
        .collect();
    assert_eq!(lamp, [day.station("Sedlink 5")]);
    let said = |station: &str, late_min: i64| {
        let station = day.station(station);
        let replan = day.seen_at(station, day.arrival(station) + minutes(late_min));
        let findings = replan.at_effort.findings.iter();
        let ahead = findings.filter(|f| f.kind.name() == "gear-ahead");
        let words = ahead.map(|f| f.says.show(sutler::units::Units::Metric));
        words
            .filter(|says| says.contains("`lamp`"))
            .collect::<Vec<_>>()
    };
    // two hours late on the fourth lap it is dark before that; before the bag is passed for the
    // fourth time nothing is lost
    let expected = "`lamp` is needed before `Sedlink 5`, where the plan takes it up";
    assert!(said("Orlovna 4", 0).is_empty());
    assert_eq!(said("Orlovna 4", 130), [expected]);
    assert!(said("Orlovna 3", 100).is_empty());
}

#[test]
fn a_missed_cutoff_says_when_to_leave() {
    let station = NIGHT.station("Innerfalz");
    let replan = NIGHT.seen_at(station, NIGHT.arrival(station) + minutes(60));
    assert!(replan.misses_cutoff());
    let missed = replan
        .at_effort
        .findings
        .iter()
        .find(|f| f.kind.name() == "cutoff-missed");
    let missed = missed.expect("a cutoff is missed");
    let ways: Vec<String> = missed
        .ways_out
        .iter()
        .map(|w| w.show(sutler::units::Units::Metric))
        .collect();
    assert!(
        ways.iter().all(|way| !way.contains("plan an earlier")),
        "{ways:?}"
    );
    let on_time = NIGHT.seen_at(station, NIGHT.arrival(station));
    assert!(!on_time.misses_cutoff());
    // leaving by the latest departure, at the effort shown, meets every cutoff
    let latest = replan.at_effort.plan.schedule.splits[station].latest_departure;
    let latest = latest.expect("a cutoff follows");
    let arrival = NIGHT.arrival(station) + minutes(60);
    if latest >= arrival {
        let seen = NIGHT.sighting(station, arrival);
        let (replan, _) = NIGHT.typed(&[seen], &[NIGHT.sighting(station, latest)]);
        assert!(!replan.expect("it is in order").misses_cutoff());
    }
}

/// A runner who has only started on time is expected as the plan expects: the same races, drawn
/// otherwise. Whoever is seen on a plan that is no hope finishes on it.
#[test]
fn a_replan_that_knows_nothing_new_expects_what_the_plan_does() {
    let (replan, said) = NIGHT.typed(&[], &["S=+0:00:00".to_owned()]);
    let replan = replan.unwrap_or_else(|| panic!("{said}"));
    let last = NIGHT.race.course.stations.len() - 1;
    let expected = |plan: &Plan| plan.schedule.splits[last].likely.as_s();
    let ratio = expected(&replan.at_effort.plan) / expected(&NIGHT.plan);
    assert!((ratio - 1.0).abs() < 0.002, "{ratio}");
    let station = NIGHT.station("Tesslinghütte back");
    let replan = NIGHT.seen_at(station, NIGHT.arrival(station));
    let off = replan.at_effort.plan.finish - NIGHT.plan.finish;
    assert!(off.as_secs().abs() < 90, "{off}");
}
