//! The crew's day on small races: 6 km an hour, early 5 % and late 10 % off.
#![allow(clippy::unwrap_used)]

use crate::diagnostics::Spanned;
use crate::findings::{Finding, FindingKind, Weight};
use crate::inputs::CrewFile;
use crate::inputs::crew_toml::{Drive, Pacer};
use crate::inputs::gear_csv::GearRule;
use crate::inputs::stations_csv::StationKind;
use crate::packing::Losses;
use crate::packing::tests::testing::{Race, Stop};
use crate::time::Elapsed;
use crate::units::Units;

use super::{CrewPlan, Meeting, assign};

fn text(words: &str) -> Spanned<String> {
    Spanned::unwritten(words.to_owned())
}

fn crew(drives: &[(&str, &str, f64)], pacers: &[(&str, &str, &str)]) -> CrewFile {
    CrewFile {
        buffer_s: 900.0,
        drives: drives
            .iter()
            .map(|(from, to, minutes)| Drive {
                from: text(from),
                to: text(to),
                drive_s: minutes * 60.0,
                who: None,
            })
            .collect(),
        pacers: pacers
            .iter()
            .map(|(name, from, to)| Pacer {
                name: (*name).to_owned(),
                from: text(from),
                to: text(to),
            })
            .collect(),
        ..CrewFile::default()
    }
}

fn road(name: &str, km: f64) -> Stop<'_> {
    Stop {
        name,
        km,
        crew: true,
        pacer: true,
        stop_min: 10,
        ..Stop::default()
    }
}

/// Mill at 12 km, a checkpoint at 18 km, Bridge at 30 km, the finish at 36 km.
fn stops() -> Vec<Stop<'static>> {
    vec![
        road("Mill", 12.0),
        Stop {
            kind: StationKind::Checkpoint,
            crew: false,
            pacer: false,
            stop_min: 0,
            ..road("Gate", 18.0)
        },
        road("Bridge", 30.0),
        Stop {
            crew: false,
            pacer: false,
            stop_min: 0,
            ..road("Finish", 36.0)
        },
    ]
}

fn plan(race: &Race) -> CrewPlan {
    let packing = race.pack();
    let crew = race.inputs.crew.as_ref();
    assign(
        &race.course,
        &race.schedule,
        &packing,
        crew,
        &Losses::default(),
    )
}

fn planned(crew: CrewFile) -> CrewPlan {
    plan(&Race::over(&stops()).with_crew(crew))
}

fn kinds(plan: &CrewPlan) -> Vec<FindingKind> {
    plan.findings.iter().map(|f| f.kind).collect()
}

fn minutes(minutes: i64) -> Elapsed {
    Elapsed::from_secs(minutes * 60)
}

fn says(finding: &Finding) -> String {
    finding.says.show(Units::Metric)
}

fn at(plan: &CrewPlan, station: usize) -> &Meeting {
    plan.meetings.iter().find(|m| m.station == station).unwrap()
}

/// Drives that leave plenty of time.
const EASY: [(&str, &str, f64); 3] = [
    ("Start", "Mill", 20.0),
    ("Mill", "Bridge", 30.0),
    ("Finish", "Bridge", 15.0),
];

#[test]
fn no_crew_meets_nobody() {
    let plan = plan(&Race::over(&stops()));
    assert!(plan.meetings.is_empty() && plan.findings.is_empty());
}

#[test]
fn meetings_are_where_the_crew_may_be_and_at_the_finish() {
    let plan = planned(crew(&EASY, &[]));
    let stations: Vec<usize> = plan.meetings.iter().map(|m| m.station).collect();
    assert_eq!(stations, [1, 3, 4]);
    assert_eq!(kinds(&plan), []);
}

#[test]
fn the_crew_stands_there_before_the_early_arrival() {
    let plan = planned(crew(&EASY, &[]));
    // 12 km at 6 km an hour: 120 min; 5 % earlier 114 min; 15 min of buffer
    let mill = at(&plan, 1);
    assert_eq!((mill.be_there, mill.likely), (minutes(99), minutes(120)));
    assert_eq!((mill.late, mill.departure), (minutes(132), minutes(130)));
    assert_eq!(
        (mill.drive_s, mill.leave_by),
        (Some(1200.0), Some(minutes(79)))
    );
    // 30 km and the stop of 10 min: 310 min, early 294.5 min
    let bridge = at(&plan, 3);
    let be_there = Elapsed::from_secs(310 * 57 - 900);
    assert_eq!((bridge.be_there, bridge.drive_s), (be_there, Some(1800.0)));
    assert_eq!(bridge.leave_by, Some(be_there - minutes(30)));
}

#[test]
fn drives_go_over_the_shortest_roads() {
    let drives = [
        ("Mill", "Bridge", 100.0),
        ("Mill", "Crossroads", 25.0),
        ("Bridge", "Crossroads", 20.0),
        ("Bridge", "Finish", 10.0),
    ];
    assert_eq!(at(&planned(crew(&drives, &[])), 3).drive_s, Some(2700.0));
}

#[test]
fn the_crew_leaves_a_meeting_when_the_runner_has_left_it() {
    // there at 4:39:30, with the buffer, takes 1:59:30; the runner leaves at 2:10
    let drives = [("Mill", "Bridge", 160.0), ("Bridge", "Finish", 10.0)];
    let bridge = at(&planned(crew(&drives, &[])), 3).clone();
    assert_eq!(bridge.leave_by, Some(minutes(130)));
    assert_eq!(bridge.be_there, minutes(290));
}

#[test]
fn a_likely_runner_later_than_the_plan_is_waited_for() {
    let mut race = Race::over(&stops()).with_crew(crew(
        &[("Mill", "Bridge", 160.0), ("Bridge", "Finish", 10.0)],
        &[],
    ));
    // 25 min after the planned 2:00; the stop takes 10 min more
    race.schedule.splits[1].likely = minutes(145);
    let plan = plan(&race);
    let (mill, bridge) = (at(&plan, 1), at(&plan, 3));
    assert_eq!((mill.likely, mill.leaves), (minutes(145), minutes(155)));
    assert_eq!(bridge.leave_by, Some(minutes(155)));
    assert_eq!(bridge.be_there, minutes(315));
    // half of the runners are there at 5:10
    let late = plan
        .findings
        .iter()
        .find(|f| f.kind == FindingKind::CrewTooLate);
    assert_eq!(late.unwrap().weight, Weight::Warning);
}

#[test]
fn a_drive_that_takes_too_long_is_said_with_numbers() {
    // leaves the mill at 2:10, arrives at 5:20; the runner is there at 5:10
    let drives = [("Mill", "Bridge", 190.0), ("Bridge", "Finish", 10.0)];
    let plan = planned(crew(&drives, &[]));
    assert_eq!(kinds(&plan), [FindingKind::CrewTooLate]);
    let finding = &plan.findings[0];
    assert_eq!(finding.weight, Weight::Warning);
    assert_eq!(
        says(finding),
        "the runner leaves `Mill` at 2:10, the drive takes 3:10: the crew is at `Bridge` at 5:20, \
         0:10 after the likely arrival (5:10)"
    );
    // the early one leaves at 2:04 and is there at 4:54:30, the crew at 5:04
    let drives = [("Mill", "Bridge", 180.0), ("Bridge", "Finish", 10.0)];
    let plan = planned(crew(&drives, &[]));
    assert_eq!(kinds(&plan), [FindingKind::CrewTooLate]);
    let finding = &plan.findings[0];
    assert_eq!((finding.weight, finding.ways_out.len()), (Weight::Note, 2));
    assert_eq!(
        says(finding),
        "an early runner leaves `Mill` at 2:04, the drive takes 3:00: the crew is at `Bridge` at \
         5:04, 0:10 after the early arrival (4:55)"
    );
    // 160 min: there at 4:44, before the early runner, but without the buffer
    let drives = [("Mill", "Bridge", 160.0), ("Bridge", "Finish", 10.0)];
    assert_eq!(
        kinds(&planned(crew(&drives, &[]))),
        [FindingKind::CrewTight]
    );
    // 149 min: there at 4:33, before the buffer begins
    let drives = [("Mill", "Bridge", 149.0), ("Bridge", "Finish", 10.0)];
    assert_eq!(kinds(&planned(crew(&drives, &[]))), []);
}

#[test]
fn an_unknown_drive_is_a_note() {
    let plan = planned(crew(&[("Mill", "Bridge", 30.0)], &[]));
    assert_eq!(kinds(&plan), [FindingKind::DriveUnknown]);
    assert_eq!(plan.findings[0].weight, Weight::Note);
    assert_eq!(at(&plan, 4).drive_s, None);
    let finish = at(&plan, 4);
    assert_eq!(finish.leave_by, None);
    // 5 % earlier; 15 min of buffer need no drive
    let early_s = finish.likely.as_secs() * 19 / 20;
    assert_eq!(finish.be_there, Elapsed::from_secs(early_s - 900));
}

#[test]
fn pacers_join_and_stop_where_they_may() {
    let plan = planned(crew(
        &EASY,
        &[("Ada", "Mill", "Bridge"), ("Ben", "bridge", "Finish")],
    ));
    assert_eq!(kinds(&plan), []);
    assert_eq!(at(&plan, 1).pacers_on, ["Ada"]);
    assert_eq!(
        (&at(&plan, 3).pacers_off[..], &at(&plan, 3).pacers_on[..]),
        (&["Ada".to_owned()][..], &["Ben".to_owned()][..])
    );
    assert_eq!(at(&plan, 4).pacers_off, ["Ben"]);
}

#[test]
fn pacers_who_may_not_or_cannot_are_said() {
    let of = |pacer: (&str, &str, &str)| kinds(&planned(crew(&EASY, &[pacer])));
    assert_eq!(
        of(("Ada", "Gate", "Bridge")),
        [FindingKind::PacerNotAllowed, FindingKind::PacerWithoutLift]
    );
    assert_eq!(of(("Ada", "Mill", "Gate")), [FindingKind::PacerWithoutLift]);
    assert_eq!(of(("Ada", "Bridge", "Mill")), [FindingKind::PacerBackwards]);
    assert_eq!(
        of(("Ada", "Mill", "Nowhere")),
        [FindingKind::PacerStationUnknown]
    );
    assert_eq!(of(("Ada", "Start", "Mill")), [FindingKind::PacerNotAllowed]);
    let two = [("Ada", "Mill", "Finish"), ("Ben", "Bridge", "Finish")];
    assert_eq!(kinds(&planned(crew(&EASY, &two))), [FindingKind::TwoPacers]);
}

#[test]
fn who_drives_is_kept_and_does_not_run_along() {
    let mut named = crew(&EASY, &[("Ada", "Mill", "Bridge")]);
    named.crew = vec!["Ada".to_owned(), "Ben".to_owned()];
    for (drive, who) in named.drives.iter_mut().zip(["Ben", "ada"]) {
        drive.who = Some(who.to_owned());
    }
    let plan = planned(named);
    let drivers: Vec<Option<&str>> = plan.meetings.iter().map(|m| m.driver.as_deref()).collect();
    assert_eq!(drivers, [Some("Ben"), Some("ada"), None]);
    assert_eq!(kinds(&plan), [FindingKind::DriverRuns]);
    assert_eq!(
        says(&plan.findings[0]),
        "`ada` should drive to `Bridge`, and runs along to it"
    );
}

#[test]
fn a_pacer_at_the_start_is_met_there() {
    let plan = planned(crew(&EASY, &[("Ada", "Start", "Mill")]));
    assert_eq!(plan.meetings[0].station, 0);
    assert_eq!(at(&plan, 0).pacers_on, ["Ada"]);
    assert_eq!(at(&plan, 0).drive_s, None);
}

#[test]
fn meetings_know_what_is_handed_over_and_brought() {
    let mut with_bring = crew(&EASY, &[]);
    with_bring.bring = vec![
        (
            text("bridge"),
            vec!["chair".to_owned(), "dry shirt".to_owned()],
        ),
        (text("Quarry"), vec!["flag".to_owned()]),
    ];
    let race = Race::over(&stops())
        .with_crew(with_bring)
        .with_gear(&[("whistle", GearRule::Always)]);
    let plan = plan(&race);
    assert_eq!(at(&plan, 3).bring, ["chair", "dry shirt"]);
    assert!(at(&plan, 1).bring.is_empty());
    assert_eq!(kinds(&plan), [FindingKind::BringNowhere]);
    let packing = race.pack();
    for meeting in &plan.meetings {
        let own = |i: usize| packing.handovers[i].station == meeting.station;
        assert!(meeting.handover.is_none_or(own));
    }
    let met: Vec<usize> = plan.meetings.iter().filter_map(|m| m.handover).collect();
    assert_eq!(met, (0..packing.handovers.len()).collect::<Vec<_>>());
}

/// The plan without the crew at a station's place.
fn missing(race: &Race, station: usize) -> CrewPlan {
    let losses = Losses {
        crew: vec![race.course.stations[station].place],
        ..Losses::default()
    };
    let packing = race.pack();
    let crew = race.inputs.crew.as_ref();
    assign(&race.course, &race.schedule, &packing, crew, &losses)
}

#[test]
fn a_place_never_reached_is_met_and_driven_from_by_nobody() {
    // by hand: 20 min straight on, against 50 min by way of Bridge
    let drives = [
        ("Mill", "Bridge", 30.0),
        ("Bridge", "Finish", 20.0),
        ("Mill", "Finish", 20.0),
    ];
    let race = Race::over(&stops()).with_crew(crew(&drives, &[]));
    let whole = plan(&race);
    assert_eq!(at(&whole, 4).drive_s, Some(20.0 * 60.0));
    let without = missing(&race, 3);
    let stations: Vec<usize> = without.meetings.iter().map(|m| m.station).collect();
    assert_eq!(stations, [1, 4]);
    assert_eq!(at(&without, 4).drive_s, Some(20.0 * 60.0));
    // an unknown road from the place before is said, though the lost place had one
    let race = Race::over(&stops()).with_crew(crew(&[("Bridge", "Finish", 20.0)], &[]));
    let without = missing(&race, 3);
    assert_eq!(at(&without, 4).drive_s, None);
    assert_eq!(kinds(&without), [FindingKind::DriveUnknown]);
}

#[test]
fn a_pacer_who_does_not_get_there_joins_and_stops_nowhere() {
    let pacers = [("Ada", "Mill", "Finish")];
    let race = Race::over(&stops()).with_crew(crew(&EASY, &pacers));
    let without = missing(&race, 1);
    let met = |of: fn(&Meeting) -> &Vec<String>| without.meetings.iter().flat_map(of).count();
    assert_eq!(met(|m| &m.pacers_on) + met(|m| &m.pacers_off), 0);
    // the only road to Bridge leads by Mill
    assert_eq!(
        kinds(&without),
        [FindingKind::PacerCannotJoin, FindingKind::DriveUnknown]
    );
    let [way] = &without.findings[0].ways_out[..] else {
        panic!("{:?}", without.findings);
    };
    assert_eq!(way.show(Units::Metric), "join at `Bridge`");
    // who joined before is stranded where the crew does not come
    let pacers = [("Ben", "Mill", "Bridge")];
    let race = Race::over(&stops()).with_crew(crew(&EASY, &pacers));
    let without = missing(&race, 3);
    // and no road to what follows is known but the one that leads there
    assert_eq!(
        kinds(&without),
        [FindingKind::DriveUnknown, FindingKind::PacerWithoutLift]
    );
    assert_eq!(without.findings[1].weight, Weight::Warning);
}
