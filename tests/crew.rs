//! The crew's day from files to meetings; small cases stand beside the code.

use sutler::crew::Meeting;
use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned, render};
use sutler::inputs::Texts;
use sutler::plan::{Plan, Race};
use sutler::time::Elapsed;

use crate::packing::level_route;

/// 60 km in ten hours; the crew may come to Meadow and Barn.
fn plan(crew: &str) -> Plan {
    let stations = "name,distance_km,kind,crew,pacer\nMeadow,20,aid,yes,\nChapel,40,aid,,\n\
                    Barn,50,aid,yes,yes\nEnd,60,aid,,\n";
    let pantry = "name,kind,mass_g,carbs_g,sodium_mg,tested\nbar,food,50,30,120,yes\n";
    let text = |name: &str, text: &str| Some(SourceFile::new(name, text));
    let texts = Texts {
        route: text("route.gpx", &level_route(60)),
        stations: text("stations.csv", stations),
        pantry: text("pantry.csv", pantry),
        crew: text("crew.toml", crew),
        ..Texts::default()
    };
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = sutler::inputs::read(texts, &mut sources, &mut notes);
    let finish = Elapsed::from_secs(10 * 3600);
    let plan = Race::prepare(&inputs, finish, &mut notes)
        .and_then(|race| race.plan(&inputs, Spanned::unwritten(finish), &mut notes));
    plan.unwrap_or_else(|| panic!("{}", render(&sources, notes.all(), false)))
}

const CREW: &str = r#"
buffer_min = 20
[[drive]]
from = "Meadow"
to = "Barn"
minutes = 40
[[drive]]
from = "Barn"
to = "End"
minutes = 15
[[pacer]]
name = "Ada"
from = "Barn"
to = "End"
[bring]
"Barn" = ["chair"]
"#;

#[test]
fn the_crew_is_there_before_the_early_runner_with_what_the_plan_says() {
    let plan = plan(CREW);
    let meetings = &plan.crew.meetings;
    let stations: Vec<usize> = meetings.iter().map(|m| m.station).collect();
    assert_eq!(stations, [1, 3, 4], "Meadow, Barn and the end");
    let mut gone = None;
    for Meeting {
        station,
        be_there,
        likely,
        leave_by,
        ..
    } in meetings
    {
        let split = &plan.schedule.splits[*station];
        assert_eq!(*likely, split.likely);
        // with 20 minutes of buffer, or as soon as it can once the runner has left
        let wanted = split.early - Elapsed::from_secs(20 * 60);
        assert!(*be_there == wanted || (*be_there > wanted && *leave_by == gone));
        gone = Some(
            split
                .departure
                .max(split.likely + (split.departure - split.arrival)),
        );
    }
    let [meadow, barn, end] = &meetings[..] else {
        panic!("{meetings:?}")
    };
    assert_eq!(
        barn.leave_by,
        Some(barn.be_there - Elapsed::from_secs(40 * 60))
    );
    assert_eq!(
        end.leave_by,
        Some(end.be_there - Elapsed::from_secs(15 * 60))
    );
    assert_eq!(
        (&barn.bring[..], &barn.pacers_on[..]),
        (&["chair".to_owned()][..], &["Ada".to_owned()][..])
    );
    assert_eq!(end.pacers_off, ["Ada"]);
    // 20 km on the plan's bars from the crew at Meadow, past Chapel, where nobody may hand over
    let handed = &plan.packing.handovers[meadow.handover.unwrap()];
    let taken: u32 = handed.servings.iter().map(|s| s.count).sum();
    let eaten: u32 = plan.packing.pickups[1..3]
        .iter()
        .flat_map(|pickup| &pickup.take)
        .map(|s| s.count)
        .sum();
    assert!(0 < taken && taken == eaten, "{handed:?}");
}

#[test]
fn a_drive_longer_than_the_run_is_said() {
    // from 20 to 50 km takes five hours on foot and nine by car
    let plan = plan(&CREW.replace("minutes = 40", "minutes = 540"));
    let late = plan
        .crew
        .findings
        .iter()
        .find(|f| f.kind.name() == "crew-too-late");
    assert!(
        late.is_some_and(|f| f.ways_out.len() > 1),
        "{:?}",
        plan.crew.findings
    );
}
