//! Staying in the race, and the tables for a reader without the engine.

use sutler::replan::{Answer, answer};
use sutler::time::Elapsed;

use super::{LAPS, NIGHT, minutes, replan_command, replan_command_of};

/// A second of rounding to either side.
const ONE_SECOND: i64 = 1;

#[test]
fn staying_in_just_meets_every_cutoff_ahead() {
    let station = NIGHT.station("Moosgatter out");
    let at = NIGHT.arrival(station) + minutes(70);
    let replan = NIGHT.seen_at(station, at);
    let staying = replan.staying.as_ref().expect("cutoffs lie ahead");
    let ahead = &staying.schedule.splits[station + 1..];
    let in_hand: Vec<i64> = ahead
        .iter()
        .filter_map(|split| Some((split.cutoff?.elapsed - split.arrival).as_secs()))
        .collect();
    assert!(in_hand.iter().all(|s| *s >= -ONE_SECOND), "{in_hand:?}");
    assert!(in_hand.iter().any(|s| *s <= ONE_SECOND), "{in_hand:?}");
    assert!((0.0..=1.0).contains(&staying.stops_kept));
    assert!(staying.chance >= staying.chance_as_planned);
    // a runner who has time in hand keeps every stop
    let early = NIGHT.seen_at(station, NIGHT.arrival(station) - minutes(50));
    let early = early.staying.as_ref().expect("cutoffs lie ahead");
    assert!(early.chance > staying.chance && early.stops_kept >= staying.stops_kept);
}

/// The command's report in one line, however it is broken.
fn said(arguments: &[&str]) -> String {
    let out = replan_command(arguments).stdout;
    let out = String::from_utf8(out).expect("UTF-8");
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The demo's 10, Innerfalz, closes at 20:30 on leaving, with a stop of 20 minutes; its 12,
/// Moosgatter back, at 23:45 on arriving (courses/night-hundred/stations.csv).
#[test]
fn a_cutoff_on_leaving_is_missed_by_who_leaves_after_it() {
    for (seen, first) in [
        (
            "Innerfalz=20:28",
            "!! Out of Innerfalz by Sat 20:30: cut the stop.",
        ),
        (
            "Innerfalz=20:33",
            "!! Cutoff missed at Innerfalz, 0:03 late (Sat 20:30): the race's officials decide; until \
             then the crew stays with the runner.",
        ),
        (
            "Kaltwandalm back=02:31¹",
            "!! Cutoff missed at Kaltwandalm back, 0:01 late (Sun 02:30¹): the race's officials \
             decide; no crew there: call race control, ask where the runner is brought.",
        ),
        (
            "Moosgatter back=23:50",
            "!! Cutoff missed at Moosgatter back, 0:05 late",
        ),
    ] {
        let out = said(&["--seen", seen]);
        assert!(out.contains(first), "{seen}: {out}");
    }
    let left = said(&["--seen", "Innerfalz=20:28", "--left", "Innerfalz=20:29"]);
    assert!(left.contains("!! Fails as it goes"), "{left}");
}

/// A row of the table is the replan that saw that and nothing else, and between two rows a line is
/// as good as a replan to a minute.
#[test]
fn a_table_answers_as_a_replan_does() {
    let station = LAPS.station("Sedlink 3");
    let last = LAPS.race.course.stations.len() - 1;
    let of = |late_min: i64| answer(&LAPS.race, &LAPS.plan, station, 60.0 * late_min as f64);
    let finish = |answer: &Answer| {
        let at = answer.ahead.last().expect("a finish");
        assert_eq!(at.station, last);
        (at.likely.as_s(), at.early.as_s(), at.late.as_s())
    };
    let (low, high) = (finish(&of(10)), finish(&of(22)));
    let replan = LAPS.seen_at(station, LAPS.arrival(station) + minutes(16));
    let split = &replan.at_effort.plan.schedule.splits[last];
    let near = |low: f64, high: f64, exact: Elapsed| {
        let off_s = 0.5 * (low + high) - exact.as_s();
        assert!(off_s.abs() < 60.0, "{off_s}");
    };
    near(low.0, high.0, split.likely);
    near(low.1, high.1, split.early);
    near(low.2, high.2, split.late);
    assert!(of(60).chance < of(10).chance);
}

#[test]
fn a_stop_that_is_over_is_not_shortened() {
    let told = said(&[
        "--seen",
        "Sankt Olbert=12:20",
        "--left",
        "Sankt Olbert=12:36",
        "--seen",
        "Moosgatter=18:10",
        "--left",
        "Moosgatter=18:17",
        "--seen",
        "Innerfalz=20:10",
        "--left",
        "Innerfalz=20:28",
    ]);
    assert!(told.contains("after its cutoff"), "{told}");
    // the stop at Innerfalz alone makes it enough
    assert!(!told.contains("0:28 is planned there"), "{told}");
}

/// Stations and cutoffs are in the demo's stations.csv: 14, Kaltwandalm back, closes at 02:30
/// before the clocks go back, and the crew waits at 15 and the finish.
#[test]
fn the_crew_is_told_of_meetings_after_the_runner_is_out() {
    let seen = ["--seen", "Innerfalz=20:00", "--left", "Innerfalz=20:20"];
    let late = ["--seen", "Moosgatter back=23:10"];
    let told = said(&[seen.as_slice(), &late].concat());
    assert!(told.contains("let on at 14"), "{told}");
    assert!(
        told.contains("out at 14 Kaltwandalm back: ask race control"),
        "{told}"
    );
    let json = [seen.as_slice(), &late, &["--format", "json"]].concat();
    let json: serde_json::Value = serde_json::from_str(&said(&json)).expect("JSON");
    for met in json["hold_effort"]["crew"].as_array().expect("meetings") {
        assert_eq!(met["out_at_number"], "14", "{met}");
    }
    let early = said(&["--seen", "Innerfalz=18:00"]);
    assert!(!early.contains("let on at"), "{early}");
}

/// Innerfalz was left with ten minutes in hand: nothing can be done about that.
#[test]
fn nothing_is_advised_of_what_is_past() {
    let seen = ["--seen", "Innerfalz=20:00", "--left", "Innerfalz=20:20"];
    let past = "only 0:10 in hand at `Innerfalz`";
    let left = said(&seen);
    assert!(!left.contains(past), "{left}");
    let standing = said(&["--seen", "Innerfalz=20:00"]);
    assert!(standing.contains(past), "{standing}");
    // one on arriving is made by being there
    let there = said(&["--seen", "Moosgatter back=23:35"]);
    assert!(!there.contains("in hand at `Moosgatter back`"), "{there}");
}

/// Once a cutoff is lost the later ones are another matter: one line says so, and the finish is one
/// of who is let on.
#[test]
fn what_follows_a_lost_cutoff_is_told_in_one_line() {
    let told = said(&["--seen", "Krummbergsattel out=10:20"]);
    assert_eq!(told.matches("after its cutoff").count(), 1, "{told}");
    assert!(told.contains("more cutoffs)"), "{told}");
    assert!(told.contains("Finish if let on: "), "{told}");
    assert!(!told.contains("!! `Innerfalz`"), "{told}");
}

#[test]
fn shorter_stops_are_told_in_minutes() {
    let cut = (0..60).step_by(3).find_map(|late| {
        let at = NIGHT.arrival(NIGHT.station("Innerfalz")) + minutes(late);
        let seen = format!("Innerfalz=+{}", at.to_seconds_text());
        let told = said(&["--seen", "Moosgatter out=16:40", "--seen", &seen]);
        told.contains("stops cut to").then_some(told)
    });
    let told = cut.expect("some lateness asks for shorter stops");
    // 20 minutes are planned there
    assert!(told.contains(" min here instead of 20"), "{told}");
    assert!(told.contains(" min in all instead of "), "{told}");
}

/// Nothing is planned to stop for and no clock is known: neither is told of.
#[test]
fn what_is_not_planned_is_not_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let stations = "name,distance_km,cutoff\nÖtzbrücke,11,+2:30\nFöhrenalm,30,+5:15\n\
                    Klammhütte,40,+7:00\n";
    std::fs::write(folder.path().join("stations.csv"), stations).expect("it is written");
    let told = |seen: &str| {
        let route = concat!(env!("CARGO_MANIFEST_DIR"), "/courses/velprek-50k/route.gpx");
        let out = std::process::Command::new(env!("CARGO_BIN_EXE_sutler"))
            .current_dir(folder.path())
            .args(["replan", "--route", route, "--stations", "stations.csv"])
            .args(["--finish", "7:30:00", "--seen", seen])
            .output();
        let out = String::from_utf8(out.expect("it runs").stdout).expect("UTF-8");
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let early = told("fohrenalm=4:35");
    let finish = early.split("Finish as it goes: ").nth(1).expect("a finish");
    let finish = finish.split(", 8 in 10").next().expect("a window");
    assert!(!finish.contains(','), "{finish}");
    assert!(early.contains("To stay in at this effort: "), "{early}");
    let late = told("fohrenalm=5:12");
    assert!(!late.contains("short stops"), "{late}");
    // the leave-by of where one is has passed by then
    assert!(late.contains(" too late "), "{late}");
}

/// Two nights without sleep on the traverse, and no time to lie down before Rifugio Tremoli closes:
/// nobody is sent to a file on the day.
#[test]
fn no_sleep_is_advised_that_costs_a_cutoff() {
    for (arguments, says) in [
        (
            ["--seen", "Ponte Morlin=+14:30"].as_slice(),
            "→ sleep would cost the cutoff; if stumbling or nodding off, stop here and ask the race →",
        ),
        (
            &["--left", "Ponte Morlin=+14:40"],
            "nodding off, stop at the next station and ask the race →",
        ),
    ] {
        let out = replan_command_of("plan-100k.toml", arguments).stdout;
        let out = String::from_utf8(out).expect("UTF-8");
        let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(out.contains(says), "{arguments:?}: {out}");
        assert!(!out.contains("plan.toml"), "{arguments:?}: {out}");
    }
}
