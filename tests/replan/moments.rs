//! Times and places as they are typed: midnight, the clock change, a place passed again, mistakes.

use std::path::Path;

use proptest::prelude::*;
use sutler::diagnostics::{Notes, Sources, Spanned, render};
use sutler::replan;
use sutler::time::Elapsed;

use super::{Day, LAPS, NIGHT, minutes};
use crate::support::demo;

/// The clocks of the European Union go back from 03:00 to 02:00 on the last Sunday of October
/// (Directive 2000/84/EC, article 3); the start is on Saturday at 06:00 summer time. Hours since
/// then, by hand.
#[test]
fn the_night_of_the_clock_change() {
    let hm = |hours: i64, minutes: i64| Elapsed::from_secs(hours * 3600 + minutes * 60);
    let cases: &[(&[&str], &[Elapsed])] = &[
        (&["Eisnerkreuz back=23:58"], &[hm(17, 58)]),
        (&["Eisnerkreuz back=0:40"], &[hm(18, 40)]),
        (&["Eisnerkreuz back=Sun 00:40"], &[hm(18, 40)]),
        // planned at 01:28: the first is the nearest
        (&["Kaltwandalm back=02:10"], &[hm(20, 10)]),
        (&["Kaltwandalm back=02:10²"], &[hm(21, 10)]),
        (&["Kaltwandalm back=02:10+01:00"], &[hm(21, 10)]),
        (&["Kaltwandalm back=Sun 02:10+02:00"], &[hm(20, 10)]),
        (&["Kaltwandalm back=2026-10-25T02:10+01:00"], &[hm(21, 10)]),
        (&["Kaltwandalm back=2026-10-25T02:10"], &[hm(20, 10)]),
        (&["Kaltwandalm back=2026-10-25 02:10²"], &[hm(21, 10)]),
        (&["Kaltwandalm back=+21:10"], &[hm(21, 10)]),
        // planned at 02:09 for the second time
        (&["Sankt Olbert back=02:20"], &[hm(21, 20)]),
        (&["Sankt Olbert back=02:20¹"], &[hm(20, 20)]),
        // each by itself would be the first and the second; together they must go forward
        (
            &["Kaltwandalm back=02:40", "Sankt Olbert back=02:20"],
            &[hm(20, 40), hm(21, 20)],
        ),
        (&["Sankt Olbert back=03:10"], &[hm(22, 10)]),
        (&["Tesslinghütte back=sunday 07:03"], &[hm(26, 3)]),
    ];
    for (typed, expected) in cases {
        let typed: Vec<String> = typed.iter().map(|t| (*t).to_owned()).collect();
        let replan = NIGHT.seen(&typed);
        let at: Vec<Elapsed> = replan.events.iter().map(|e| e.at().to_minute()).collect();
        assert_eq!(at, *expected, "{typed:?}");
    }
}

/// Clocks that show an hour twice do not say which.
#[test]
fn the_hour_that_is_taken_of_two_is_said() {
    for (typed, said) in [
        (
            "Kaltwandalm back=02:10",
            "`02:10` twice; Sun 02:10¹ is taken",
        ),
        (
            "Sankt Olbert back=02:20",
            "`02:20` twice; Sun 02:20² is taken",
        ),
        ("Kaltwandalm back=02:10¹", ""),
        ("Kaltwandalm back=01:40", ""),
    ] {
        let (replan, notes) = NIGHT.typed(&[typed.to_owned()], &[]);
        assert!(replan.is_some(), "{typed}");
        assert!(notes.contains(said), "{typed}: {notes}");
        assert_eq!(
            notes.contains("twice;"),
            !said.is_empty(),
            "{typed}: {notes}"
        );
    }
}

/// Cold that the runner has behind them is not told again.
#[test]
fn cold_is_told_of_what_lies_ahead() {
    let innerfalz = NIGHT.station("Innerfalz");
    let late = NIGHT.seen_at(innerfalz, NIGHT.arrival(innerfalz) + minutes(68));
    let cold = &late.at_effort.plan.fueling.cold;
    assert!(!cold.is_empty());
    assert!(
        cold.iter().all(|stretch| stretch.from >= innerfalz),
        "{cold:?}"
    );
}

/// A station is left, and the cold on the way from it is still ahead: with the same clothes by the
/// same point, or now where they would have gone on at that station.
#[test]
fn cold_on_the_way_that_the_runner_is_on_is_told() {
    let cold = |replan: &replan::Replan| {
        let mut findings = replan.at_effort.findings.iter();
        let is_cold = |kind: &str| kind.starts_with("cold");
        let found = findings.find(|finding| is_cold(finding.kind.name()));
        let found = found.expect("a cold night");
        let ways = found.ways_out.iter();
        let ways: Vec<String> = ways.map(|way| way.show(Default::default())).collect();
        (found.about, ways.join("; "))
    };
    let mut said_now = 0;
    for name in ["Innerfalz", "Moosgatter back", "Eisnerkreuz back"] {
        let station = NIGHT.station(name);
        let seen = NIGHT.sighting(station, NIGHT.arrival(station) + minutes(30));
        let in_at = NIGHT.seen(std::slice::from_ref(&seen));
        let leave = in_at.at_effort.plan.schedule.splits[station].departure;
        let (out, said) = NIGHT.typed(&[seen], &[NIGHT.sighting(station, leave)]);
        let ((about, standing), (still, left)) = (cold(&in_at), cold(&out.expect(&said)));
        assert_eq!(about, still, "{name}");
        let here = format!(" at `{name}`");
        assert_eq!(standing.replace(&here, " now"), left, "{name}");
        said_now += usize::from(standing.contains(&here));
    }
    assert!(said_now > 0);
}

/// In spring the clocks go forward from 02:00 to 03:00.
#[test]
fn an_hour_that_does_not_come_is_said() {
    let mut inputs = demo::course("velprek-50k", "finish = \"9:00:00\"\n");
    let evening =
        chrono::NaiveDate::from_ymd_opt(2026, 3, 28).and_then(|d| d.and_hms_opt(22, 0, 0));
    inputs.course.start = evening.map(Spanned::unwritten);
    inputs.stations.iter_mut().for_each(|row| row.cutoff = None);
    let day = Day::of(inputs);
    let (replan, said) = day.typed(&["Sedlink 3=02:30".to_owned()], &[]);
    assert!(replan.is_none());
    assert!(
        said.starts_with("error: `02:30` does not exist: the clocks go forward past it\n"),
        "{said}"
    );
    // an hour later on the wall is the same instant as two hours in winter
    let replan = day.seen(&["Sedlink 3=03:10".to_owned()]);
    assert_eq!(replan.events[0].at(), minutes(250));
}

#[test]
fn without_a_clock_watches_show_the_time_since_the_start() {
    let mut inputs = demo::course("velprek-50k", "finish = \"9:00:00\"\n");
    inputs.course.start = None;
    inputs.course.timezone = None;
    inputs.stations.iter_mut().for_each(|row| row.cutoff = None);
    let day = Day::of(inputs);
    let replan = day.seen(&["Sedlink 3=4:31".to_owned()]);
    assert_eq!(replan.events[0].at(), minutes(271));
    for typed in [
        "Sedlink 3=Sun 04:31",
        "Sedlink 3=2026-10-25T02:31",
        "Sedlink 3=4:31+02:00",
    ] {
        let (replan, said) = day.typed(&[typed.to_owned()], &[]);
        assert!(
            replan.is_none() && said.contains("the race's start is not known"),
            "{said}"
        );
    }
}

#[test]
fn a_place_is_the_visit_that_fits() {
    let find = |typed: &[&str]| -> (Vec<String>, String) {
        let typed: Vec<String> = typed.iter().map(|t| (*t).to_owned()).collect();
        let (replan, said) = LAPS.typed(&typed, &[]);
        let replan = replan.unwrap_or_else(|| panic!("{typed:?}: {said}"));
        let names = replan
            .events
            .iter()
            .map(|e| LAPS.name(e.station).to_owned());
        (names.collect(), said)
    };
    let clock = |name: &str| LAPS.plan.schedule.show(LAPS.arrival(LAPS.station(name)));
    for lap in 1..=5 {
        let lap = format!("Sedlink {lap}");
        let (names, said) = find(&[&format!("sedlink={}", clock(&lap))]);
        assert_eq!(names, std::slice::from_ref(&lap));
        assert!(
            said.contains(&format!("`sedlink` is passed 5 times; `{lap}` is taken")),
            "{said}"
        );
    }
    // nearest to the plan would be the third; behind the third hill it can only be the fourth
    let (hill, hut) = (LAPS.station("Orlovna 3"), LAPS.station("Sedlink 3"));
    let hut = LAPS.arrival(hut) + minutes(15);
    let seen_hill = hut - minutes(8);
    assert!(seen_hill < LAPS.arrival(hill));
    let typed = [
        format!("Orlovna 3=+{}", seen_hill.to_seconds_text()),
        format!("Sedlink=+{}", hut.to_seconds_text()),
    ];
    let (_, said) = LAPS.typed(&typed, &[]);
    assert!(said.contains("`Sedlink 4` is taken"), "{said}");
    // the finish has the name of the place too, and nobody is seen arriving at the start
    let (replan, said) = LAPS.typed(&["Velprek=16:40".to_owned()], &[]);
    assert!(
        replan.is_none() && said.contains("`Velprek finish` is the finish"),
        "{said}"
    );
}

/// Each block of `tests/replan/mistakes.txt` is what was typed, a line each, and all that is said.
/// `SUTLER_ACCEPT=1` rewrites the answers; read them before you keep them.
#[test]
fn every_mistake_is_explained() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/replan/mistakes.txt");
    let text = std::fs::read_to_string(&path).expect("the corpus is there");
    let (mut made, mut errors, mut stale) = (String::new(), 0, Vec::new());
    for block in text.split("==== ").skip(1) {
        let (typed, _) = block.split_once("----\n").expect("an answer follows");
        let argument = |flag: &str| -> Vec<String> {
            let lines = typed.lines().filter_map(|line| line.strip_prefix(flag));
            lines.map(str::to_owned).collect()
        };
        let (replan, said) = NIGHT.typed(&argument("--seen "), &argument("--left "));
        // errors rule a plan out, warnings do not
        assert_eq!(replan.is_none(), said.contains("error: "), "{typed}{said}");
        assert!(!said.is_empty(), "{typed}");
        errors += said.matches("error: ").count();
        let answer = format!("{typed}----\n{said}");
        if answer != block {
            stale.push(answer.clone());
        }
        made += &format!("==== {answer}");
    }
    assert!(errors >= 25, "{errors}");
    if std::env::var_os("SUTLER_ACCEPT").is_some() {
        std::fs::write(&path, &made).expect("the corpus can be written");
        return;
    }
    assert!(stale.is_empty(), "not as expected:\n{}", stale.join("\n"));
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::with_cases(12) })]

    /// No typed text makes it panic, and every span lies in what was typed.
    #[test]
    fn nothing_typed_makes_it_panic(
        seen in prop::collection::vec("\\PC{0,12}=?[0-9:+ TZSun¹²-]{0,20}|Sedlink=[0-9]{1,4}:[0-9]{2}(:[0-9]{2})?|(Sedlink 3|Jasnova)=\\+[0-9]{1,5}:[0-5][0-9]", 0..5),
        left in prop::collection::vec("(Sedlink 2|Orlovna 1)=([A-Z][a-z]{2} )?[0-2]?[0-9]:[0-5][0-9](\\+0[0-9]:00)?", 0..3),
    ) {
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let typed = replan::observations(&seen, &left, &mut sources, &mut notes);
        let made = replan::make(&LAPS.race, &LAPS.inputs, &LAPS.plan, &typed, None, &sources, &mut notes);
        prop_assert!(made.is_none() || !notes.has_errors());
        for span in notes.all().iter().filter_map(|problem| problem.at) {
            let text = &sources.get(span.file).text;
            prop_assert!(span.start <= span.end && text.get(span.start..span.end).is_some());
        }
        let _shown = render(&sources, notes.all(), false);
    }
}
