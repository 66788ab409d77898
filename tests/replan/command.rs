//! The verb as it is typed.

use super::*;

#[test]
fn the_command_says_how_it_went() {
    let on_time = replan_command(&["--seen", "Innerfalz=18:47", "--format", "json"]);
    assert_eq!(on_time.status.code(), Some(0));
    let late = replan_command(&["--seen", "Innerfalz=19:50", "--format", "json"]);
    assert_eq!(late.status.code(), Some(1));
    // what fails is no cutoff
    let one_flask = ["--seen", "Innerfalz=18:47", "--without", "flask"];
    let dry = replan_command(&[&one_flask[..], &["--without", "flask"]].concat());
    assert_eq!(dry.status.code(), Some(1));
    let said = String::from_utf8_lossy(&dry.stdout);
    let opening = said.lines().nth(2).unwrap_or_default();
    assert!(opening.starts_with("!! Fails as it goes"), "{said}");
    let wrong = replan_command(&["--seen", "Innerfals=19:50", "--left", "Moosgatter out=16:5"]);
    assert_eq!(wrong.status.code(), Some(2));
    let said = String::from_utf8_lossy(&wrong.stderr);
    assert!(
        wrong.stdout.is_empty() && said.contains("did you mean `Innerfalz`?"),
        "{said}"
    );
    assert!(
        said.contains("`16:5` is not a time"),
        "all is said at once: {said}"
    );
    assert_eq!(replan_command(&[]).status.code(), Some(2));

    let json: serde_json::Value = serde_json::from_slice(&late.stdout).expect("it is JSON");
    assert_eq!(json["last_seen"], "Innerfalz");
    assert_eq!(json["misses_cutoff"], true);
    assert_eq!(json["hold_finish"]["finish_s"], json["finish_s"]);
    for way in ["hold_effort", "hold_finish"] {
        for key in ["splits", "segments", "changes", "crew", "findings"] {
            assert!(json[way][key].is_array(), "{way} has no {key}");
        }
        assert_eq!(json[way]["splits"][10]["arrival_s"], 13 * 3600 + 50 * 60);
    }
    assert!(json["cautions"][0]["kind"] == "no-catching-up");
    // the same command, the same bytes, in words too
    let again = replan_command(&["--seen", "Innerfalz=19:50", "--format", "json"]);
    assert_eq!(late.stdout, again.stdout);
    let words = replan_command(&["--seen", "Innerfalz=19:50"]);
    let words = String::from_utf8_lossy(&words.stdout).into_owned();
    // no finish is gone for on a day that the cutoffs will likely end
    assert!(words.contains("the cutoffs, before any finish"), "{words}");
    for part in [
        "Seen",
        "Ahead",
        "Needs from here",
        "What changes",
        "Cautions",
        "doubtful",
    ] {
        assert!(words.contains(part), "no {part} in {words}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::with_cases(12) })]

    /// Whatever is seen later makes nothing ahead earlier while the effort is held.
    #[test]
    fn later_seen_is_never_earlier_ahead(
        first in 1..11_usize,
        gap in 1..6_usize,
        off_first_s in -900..2400_i64,
        off_second_s in -900..4000_i64,
        later_s in 60..1800_i64,
    ) {
        let second = (first + gap).min(11);
        prop_assume!(first < second);
        let at = |station: usize, off_s: i64| LAPS.arrival(station) + Elapsed::from_secs(off_s);
        let seen = |off_first_s: i64, off_second_s: i64| LAPS.typed(
            &[
                LAPS.sighting(first, at(first, off_first_s)),
                LAPS.sighting(second, at(second, off_second_s)),
            ],
            &[],
        ).0;
        let now = seen(off_first_s, off_second_s);
        let later = seen(off_first_s, off_second_s + later_s);
        // what is out of order or too fast is refused, and nothing is to be compared
        if let (Some(now), Some(later)) = (now, later) {
            let (now, later) = (arrivals(&now.at_effort.plan), arrivals(&later.at_effort.plan));
            for station in second..now.len() {
                prop_assert!(
                    now[station].as_secs() <= later[station].as_secs() + ONE_SECOND,
                    "{}: {} then {}", station, now[station], later[station]
                );
            }
        }
    }
}

/// Where every visit has one name, the number in the lists says which is meant.
#[test]
fn a_number_is_a_station() {
    let at = NIGHT.arrival(12).to_seconds_text();
    let by_name = NIGHT.seen_at(12, NIGHT.arrival(12));
    let by_number = NIGHT.seen(&[format!("12=+{at}")]);
    assert_eq!(by_number.here, 12);
    assert_eq!(
        arrivals(&by_number.at_effort.plan),
        arrivals(&by_name.at_effort.plan)
    );
    let last = NIGHT.race.course.stations.len() - 1;
    for number in ["0".to_owned(), last.to_string(), "-3".to_owned()] {
        let (_, said) = NIGHT.typed(&[format!("{number}=+{at}")], &[]);
        assert!(said.contains(&format!("no station `{number}`")), "{said}");
    }
    let (replan, said) = NIGHT.typed(&[], &["S=+0:05".to_owned()]);
    assert_eq!(replan.map(|replan| replan.here), Some(0), "{said}");
}

/// The demo's stations are in its stations.csv: it passes Moosgatter twice, and two places end in
/// `gatter`.
#[test]
fn a_part_of_a_name_is_a_station() {
    let course = &NIGHT.race.course;
    let named = |typed: &str| course.named(typed).map_err(|problem| problem.message);
    for (typed, stations) in [
        ("innerf", vec![10]),
        ("Moos", vec![8, 12]),
        ("moosgatter B", vec![12]),
        ("muhl", vec![1, 19]),
        ("TESSLINGHUTTE BACK", vec![18]),
        ("Sankt", vec![5, 15]),
        ("12", vec![12]),
    ] {
        assert_eq!(named(typed), Ok(stations), "{typed}");
    }
    for (typed, says) in [
        ("gatter", "`gatter` is part of several names"),
        (" out ", "`out` is part of several names"),
        ("x", "there is no station `x`"),
        ("0", "there is no station `0`"),
    ] {
        assert_eq!(named(typed), Err(says.to_owned()), "{typed}");
    }
    let replan = NIGHT.seen(&["Moos=21:10".to_owned()]);
    assert_eq!(replan.here, 12);
    let told = replan_command(&["--without", "bag:innerf", "--seen", "moos=21:10"]);
    assert!(
        told.status.success() || told.status.code() == Some(1),
        "{told:?}"
    );
}
