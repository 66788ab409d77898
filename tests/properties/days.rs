//! A harder day is never the better one: whatever the target is based on, heat, height and heavy
//! ground raise no chance and bring nobody in earlier.

use sutler::arrivals::{self, Arrivals, Trials};
use sutler::diagnostics::Notes;
use sutler::inputs::Inputs;
use sutler::inputs::surfaces_csv::Surface;
use sutler::pacing::{self, Goal};
use sutler::plan::Race;
use sutler::time::Elapsed;

use super::LONGEST;
use crate::support::demo;

/// Courses, with targets around what their cutoffs allow.
const COURSES: [(&str, [&str; 3]); 3] = [
    ("velprek-50k", ["6:40:00", "7:30:00", "9:00:00"]),
    ("torvena-100k", ["17:00:00", "21:30:00", "25:00:00"]),
    ("wolkenried-100mi", ["26:00:00", "29:00:00", "32:00:00"]),
];

/// Bases of a target, as files say them: past results of a runner behind the middle of the field,
/// on smooth trail.
const BASES: [(&str, &[&str], bool); 7] = [
    ("hope", &[], false),
    (
        "long runs",
        &["[windows]\nevidence = \"long-runs\"\n"],
        false,
    ),
    (
        "a race like it",
        &["[windows]\nevidence = \"race\"\n"],
        false,
    ),
    ("one result", &[MARATHON], false),
    ("two results", &[MARATHON, FAR], false),
    ("three results", &[MARATHON, FAR, PLACED], false),
    ("the place in a field", &[PLACED], true),
];
const MARATHON: &str = "[[past]]\ndistance_km = 42.4\nclimb_m = 1250\ntime = \"5:10:00\"\n\
                        surface = \"smooth-trail\"\n";
const FAR: &str = "[[past]]\ndistance_km = 78\nclimb_m = 3100\ntime = \"12:50:00\"\n\
                   surface = \"smooth-trail\"\n";
const PLACED: &str = "[[past]]\ndistance_km = 100\nclimb_m = 4000\ntime = \"17:30:00\"\n\
                      surface = \"smooth-trail\"\nplace = 80\nfinishers = 140\n";
/// Finishers of a former edition, the first at 0.7 of the target and each a fiftieth later.
const FINISHERS: u32 = 25;

/// By so much another seed of chance moves a chance; see [`sutler::arrivals::Trials`].
const CHANCE: f64 = 0.005;
/// Who chose to be slower than past results support holds the finish, and so is a little sooner in the
/// cool hours before a hot afternoon; who knew the ground, on what is not so heavy.
const HELD: f64 = 0.02;

/// What to expect, and the most that a chance may be higher on a harder day.
fn expected(inputs: &Inputs) -> (Arrivals, f64) {
    let mut notes = Notes::new();
    let race = Race::prepare(inputs, LONGEST, &mut notes).expect("it can be prepared");
    let finish = inputs.plan.finish.expect("it has a target").value;
    let goal = Goal {
        finish_s: finish.as_s(),
        stops_s: race.stops_s.clone(),
    };
    let pacing = pacing::solve(&race.course, &race.conditions, &race.settings, &goal);
    let trials = Trials {
        finish: Some(race.finish(finish.as_s())),
        ..Trials::default()
    };
    let pacing = pacing.expect("somebody runs that");
    let arrivals = arrivals::simulate(&race.conditions, &pacing, &race.limits, &trials);
    let chosen = (race.estimate.as_ref()).is_some_and(|estimate| estimate.likely < finish);
    (arrivals, if chosen { HELD } else { CHANCE })
}

#[track_caller]
fn is_no_better(easy: &Arrivals, hard: &Arrivals, most: f64, name: &str) {
    let more = |easy: Option<f64>, hard: Option<f64>| hard.unwrap_or(0.0) - easy.unwrap_or(0.0);
    let whole = more(easy.chance, hard.chance);
    assert!(whole <= most, "{name}: {whole} more to make every cutoff");
    for (station, (easy, hard)) in easy.stations.iter().zip(&hard.stations).enumerate() {
        let more = more(easy.cutoff_chance, hard.cutoff_chance);
        assert!(more <= most, "{name}: {more} more at {station}");
    }
    assert!(likely_s(hard) >= 0.9995 * likely_s(easy), "{name}");
}

fn likely_s(arrivals: &Arrivals) -> f64 {
    arrivals.stations.last().expect("a finish").likely_s
}

/// Every ground one kind heavier.
fn heavier(inputs: &mut Inputs) {
    let heavy = |ground: Surface| match ground {
        Surface::Paved => Surface::Track,
        Surface::Track | Surface::SmoothTrail => Surface::Rocky,
        Surface::Rocky | Surface::Rough => Surface::Rough,
        Surface::Sand => Surface::Sand,
    };
    let rows = inputs.surfaces.iter_mut().map(|row| &mut row.surface);
    rows.chain([&mut inputs.course.surface])
        .for_each(|ground| *ground = heavy(*ground));
}

#[test]
fn a_harder_day_is_never_the_better_one() {
    for (course, targets) in COURSES {
        for (target, (basis, lines, has_field)) in targets
            .iter()
            .flat_map(|target| BASES.map(|basis| (target, basis)))
        {
            let name = format!("{course} in {target} on {basis}");
            let inputs = |temp_c: u32| {
                let forecast = format!("[forecast]\ntemp_c = {temp_c}\n");
                let lines = lines.concat();
                let mut read =
                    demo::course(course, &format!("finish = \"{target}\"\n{lines}{forecast}"));
                if let Some(finish) = read.plan.finish.filter(|_| has_field) {
                    let share = |place: u32| 0.7 + 0.02 * f64::from(place);
                    let times = (0..FINISHERS).map(|place| share(place) * finish.value.as_s());
                    read.results = times.map(Elapsed::from_s).collect();
                }
                read
            };
            let (cool, most) = expected(&inputs(15));
            let mut before = cool.clone();
            for temp_c in [20, 25, 30, 36] {
                let (now, _) = expected(&inputs(temp_c));
                is_no_better(&before, &now, most, &format!("{name} at {temp_c} °C"));
                before = now;
            }
            let mut high = inputs(15);
            let points = high.track.points.iter_mut();
            points.for_each(|point| point.elevation_m = point.elevation_m.map(|m| m + 800.0));
            is_no_better(&cool, &expected(&high).0, most, &format!("{name}, higher"));
            let mut heavy = inputs(15);
            heavier(&mut heavy);
            is_no_better(
                &cool,
                &expected(&heavy).0,
                HELD,
                &format!("{name}, heavier"),
            );
        }
    }
}

/// The heat that a hope did not reckon with is felt as the trade knows it: 0.8 % per degree above
/// 15 °C (Nikolaidis 2019, IJERPH 16:614), by who runs through the hottest hours and who does not.
#[test]
fn a_hope_is_slowed_by_a_hot_day() {
    let at = |temp_c: u32, evidence: &str| {
        let plan = format!(
            "finish = \"17:00:00\"\n[windows]\nevidence = \"{evidence}\"\n[forecast]\ntemp_c = {temp_c}\n"
        );
        expected(&demo::course("torvena-100k", &plan)).0
    };
    for evidence in ["hope", "long-runs", "race"] {
        let (cool, hot) = (at(15, evidence), at(36, evidence));
        let slower = likely_s(&hot) / likely_s(&cool) - 1.0;
        assert!((0.08..0.25).contains(&slower), "{evidence}: {slower}");
        assert!(hot.chance < cool.chance, "{evidence}");
    }
}
