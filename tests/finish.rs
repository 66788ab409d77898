//! Which finishes are in reach: the laws against what was published, the estimate and the slowest
//! safe finish against the plans they stand for.

use sutler::diagnostics::{Notes, Spanned, render};
use sutler::finish::{
    EARLY, LATE, LIKELY, Outlook, RIEGEL_RANGE_S, Safe, accepted, estimate, riegel_s, slowest_safe,
    sustainable_share,
};
use sutler::inputs::surfaces_csv::Surface;
use sutler::inputs::{Inputs, PastResult};
use sutler::pacing::{CourseEffort, climb_equivalent_m, cost};
use sutler::plan::{Plan, Race};
use sutler::time::Elapsed;

use crate::support::{demo, reference};

/// Published rows carry three decimals.
const THREE_DECIMALS: f64 = 5e-4;
/// The laws are inverted to many more digits than anybody prints.
const SECONDS: f64 = 1e-3;

const H: f64 = 3600.0;

#[test]
fn laws_give_the_published_values() {
    for row in reference::rows("endurance_law.csv") {
        let (parameter, time_s) = (row.number("parameter"), row.number("hours") * H);
        let ours = match row.text("law") {
            "riegel" => {
                let ratio = row.number("to_km") / row.number("from_km");
                riegel_s(time_s, ratio, parameter) / H
            }
            "share" => sustainable_share(time_s, parameter),
            other => panic!("{row}: no law {other}"),
        };
        row.assert_near("expected", ours, THREE_DECIMALS);
    }
}

/// What ultramarathons were measured at bounds the three choices of E: 58 to 60 % of maximal
/// oxygen uptake for 80 km in about 7 h (Myles 1979, Br J Sports Med 13:12), 39.4 +- 4.2 % of the
/// speed that takes all of it over 24 h (Millet 2011, doi 10.1111/j.1600-0838.2009.01001.x).
#[test]
fn ultramarathons_are_run_at_the_measured_share() {
    let seven_hours = sustainable_share(7.0 * H, LIKELY.drop_per_ln);
    assert!((0.58..=0.60).contains(&seven_hours), "{seven_hours}");
    let a_day = |law: sutler::finish::Law| sustainable_share(24.0 * H, law.drop_per_ln);
    assert!((a_day(LATE) - 0.394).abs() < 0.042);
    assert!(
        a_day(EARLY) > 0.394 + 0.042,
        "the early law is the optimist's"
    );
}

/// Davies & Thompson 1979, doi 10.1007/BF00429740: hours = 7.445 - 0.0338 VO2max - 0.0303 % for
/// the marathon, 16.998 - 0.0735 VO2max - 0.0844 % for 84.64 km. With 72.5 ml/kg/min at 82 and
/// 67 % (from memory): 2.510 and 6.014 h.
#[test]
fn a_marathon_foretells_the_road_ultra_of_the_same_runners() {
    let marathon_s = (7.445 - 0.0338 * 72.5 - 0.0303 * 82.0) * H;
    let road_s = (16.998 - 0.0735 * 72.5 - 0.0844 * 67.0) * H;
    let ratio = 84.64 / 42.195;
    let (early_s, late_s) = (
        EARLY.time_s(marathon_s, ratio),
        LATE.time_s(marathon_s, ratio),
    );
    // runners who were measured at 67 % lose up to 8 % more than our late law has them lose; the
    // law of records alone is 12 % short
    assert!(
        early_s < road_s && road_s < 1.08 * late_s,
        "{early_s} {road_s} {late_s}"
    );
    assert!(riegel_s(marathon_s, ratio, 1.06) < 0.88 * road_s);
}

#[test]
fn the_law_is_one_piece() {
    let (_, end_s) = RIEGEL_RANGE_S;
    for law in [EARLY, LIKELY, LATE] {
        // nothing longer takes nothing more
        for hours in [0.5, 2.0, 3.8, 3.9, 12.0, 40.0] {
            assert!((law.time_s(hours * H, 1.0) - hours * H).abs() < SECONDS);
        }
        // within its range it is the law of records, and to the end of it there is no jump
        let half_s = law.time_s(end_s / 4.0, 2.0);
        assert!((half_s - riegel_s(end_s / 4.0, 2.0, law.exponent)).abs() < SECONDS);
        let near = |ratio: f64| law.time_s(end_s, ratio) - end_s;
        assert!(near(1.0001) - near(0.9999) < 0.001 * end_s);
        // in two strides as in one, and there and back again
        let twice = law.time_s(law.time_s(H, 2.0), 3.0);
        assert!((twice - law.time_s(H, 6.0)).abs() < SECONDS);
        assert!((law.time_s(law.time_s(H, 9.0), 1.0 / 9.0) - H).abs() < SECONDS);
    }
    let far = |law: sutler::finish::Law| law.time_s(3.5 * H, 5.0);
    assert!(far(EARLY) < far(LIKELY) && far(LIKELY) < far(LATE));
    // beyond its range the law of records promises too much
    assert!(riegel_s(3.5 * H, 5.0, 1.08) < far(LIKELY));
}

#[test]
fn climbs_cost_what_was_published() {
    let rows = reference::rows("climb_equivalence.csv");
    let least = rows
        .iter()
        .map(|r| r.number("low"))
        .fold(f64::INFINITY, f64::min);
    let most = rows.iter().map(|r| r.number("high")).fold(0.0, f64::max);
    let default = &cost::BUILT_IN[0];
    for gradient in [0.05, 0.10, 0.15, 0.20] {
        let ours = climb_equivalent_m(default, 1.11, gradient);
        assert!((least..=most).contains(&ours), "{gradient}: {ours}");
    }
    // the rule in metric words, an hour for 5 km and for 600 m, is a little rounder than in miles
    let rule = cost::by_name("naismith").expect("it is built in");
    let metric = climb_equivalent_m(rule, 1.11, 0.10);
    let row = rows.iter().find(|r| r.text("rule") == "walkers' rule");
    row.expect("the rule is listed")
        .assert_near("low", metric, 0.06 * metric);
    for name in ["wolkenried-100mi", "torvena-100k", "velprek-50k"] {
        let race = race(&demo::course(name, ""));
        let effort = CourseEffort::of(&race.course, &race.settings);
        let ours = effort.climb_equivalent_m().expect("it is hilly");
        assert!((least..=most).contains(&ours), "{name}: {ours}");
    }
}

fn race(inputs: &Inputs) -> Race {
    let mut notes = Notes::new();
    let race = Race::prepare(inputs, Elapsed::from_secs(60 * 3600), &mut notes);
    race.unwrap_or_else(|| panic!("{:?}", notes.all()))
}

fn past(distance_m: f64, climb_m: f64, time_s: f64) -> PastResult {
    PastResult {
        name: None,
        date: None,
        distance_m,
        climb_m,
        time: Spanned::unwritten(Elapsed::from_s(time_s)),
        stopped_s: 0.0,
        surface: None,
        place: None,
    }
}

/// A result on a course like this one is its own estimate, and the window around it is that of one
/// result: true over expected finishes of public race results from -0.18 to +0.17 (logarithms of
/// races of alike effort; `cargo bench --bench finish` prints them).
#[test]
fn a_result_on_the_course_gives_itself_back() {
    let race = race(&demo::course("torvena-100k", ""));
    let effort = CourseEffort::of(&race.course, &race.settings);
    let same = past(effort.length_m, effort.climb_m, 21.0 * H);
    let found = estimate(&race, &[same], &mut Notes::new()).expect("there is a result");
    assert_eq!(found.likely, Elapsed::from_secs(21 * 3600));
    assert!(found.from[0].exponent.is_none());
    let window = found.late.as_hours() / found.early.as_hours();
    assert!((1.35..1.48).contains(&window), "{window}");
}

#[test]
fn stops_are_counted_once() {
    let inputs = demo::course("torvena-100k", "[stops]\naid_min = 10\n");
    let race = race(&inputs);
    let stops_s: f64 = race.stops_s.iter().sum();
    assert!(stops_s > 1800.0);
    let effort = CourseEffort::of(&race.course, &race.settings);
    let with_stops = PastResult {
        stopped_s: stops_s,
        ..past(effort.length_m, effort.climb_m, 21.0 * H)
    };
    let found = estimate(&race, &[with_stops], &mut Notes::new()).expect("there is a result");
    assert_eq!(found.likely, Elapsed::from_secs(21 * 3600));
    assert_eq!(found.stops, Elapsed::from_s(stops_s));
}

#[test]
fn results_that_are_carried_less_far_count_more() {
    let race = race(&demo::course("torvena-100k", ""));
    let (near, far) = (
        past(80_000.0, 4000.0, 16.0 * H),
        past(10_000.0, 100.0, 0.9 * H),
    );
    let of = |results: &[PastResult]| {
        estimate(&race, results, &mut Notes::new()).expect("there are results")
    };
    let (one, other) = (
        of(std::slice::from_ref(&near)),
        of(std::slice::from_ref(&far)),
    );
    let both = of(&[far, near]);
    assert!(both.from[0].weight < both.from[1].weight);
    let (low, high) = (one.likely.min(other.likely), one.likely.max(other.likely));
    assert!(low <= both.likely && both.likely <= high);
    // further to carry is less sure
    let width = |e: &sutler::finish::Estimate| e.late.as_hours() / e.early.as_hours();
    assert!(width(&one) < width(&other));
    // harder ground then is less effort to ask for now
    let paved = PastResult {
        surface: Some(Surface::Paved),
        ..past(80_000.0, 4000.0, 16.0 * H)
    };
    assert!(of(&[paved]).likely > one.likely);
}

/// A place in a past field counts by the time of the same share of this race's field, half and half
/// with the time itself: by hand, of a field from 20 to 40 h, a quarter of the way down is 25 h.
#[test]
fn a_place_in_a_field_counts_beside_the_time() {
    let mut inputs = demo::course("torvena-100k", "");
    let hours = |h: f64| Elapsed::from_s(h * H);
    inputs.results = (0..=40)
        .map(|half| hours(20.0 + 0.5 * f64::from(half)))
        .collect();
    let race = race(&inputs);
    let of = |place: Option<(u32, u32)>| {
        let past = PastResult {
            place,
            ..past(80_000.0, 4000.0, 16.0 * H)
        };
        estimate(&race, &[past], &mut Notes::new()).expect("a result")
    };
    let (alone, placed) = (of(None), of(Some((51, 202))));
    let log = |e: &sutler::finish::Estimate| (e.spread.likely_s / e.day).ln();
    let by_place = (25.0 * H).ln();
    // they come a fiftieth later than their place of the former edition: who stopped is not in it
    let expected = 0.5 * (log(&alone) + by_place + 0.02);
    assert!(
        (log(&placed) - expected).abs() < 2e-3,
        "{} {expected}",
        log(&placed)
    );
    assert!(placed.spread.late < alone.spread.late);
    assert!(
        of(Some((10, 202))).likely < placed.likely && placed.likely < of(Some((190, 202))).likely
    );
    // too few to tell a share by
    inputs.results.truncate(19);
    assert!(self::race(&inputs).field.is_none());
}

#[test]
fn what_nobody_has_run_is_no_result() {
    let race = race(&demo::course("torvena-100k", ""));
    let mut notes = Notes::new();
    let found = estimate(&race, &[past(50_000.0, 2000.0, 2.0 * H)], &mut notes);
    assert!(found.is_none() && notes.has_errors());
    let text = render(&sutler::diagnostics::Sources::default(), notes.all(), false);
    assert!(
        text.contains("2:00:00 is too fast for 50.0 km with 2000 m of climb"),
        "{text}"
    );
    assert!(estimate(&race, &[], &mut Notes::new()).is_none());
}

fn planned(race: &Race, inputs: &Inputs, finish: Elapsed) -> Option<Plan> {
    race.plan(inputs, Spanned::unwritten(finish), &mut Notes::new())
}

fn least_margin(plan: &Plan) -> Option<Elapsed> {
    plan.schedule.splits.iter().filter_map(|s| s.margin).min()
}

/// The finish found leaves the cushion everywhere, and a minute more does not.
#[test]
fn the_slowest_safe_finish_is_safe_and_the_slowest() {
    let stops = "[stops]\naid_min = 5\nwater_min = 2\n";
    let minute = Elapsed::from_secs(60);
    for name in ["wolkenried-100mi", "torvena-100k", "velprek-50k"] {
        let inputs = demo::course(name, stops);
        let race = race(&inputs);
        for cushion in [0, 20, 75] {
            let cushion = Elapsed::from_secs(cushion * 60);
            let Safe::Finish {
                finish,
                station,
                margin,
            } = slowest_safe(&race, cushion)
            else {
                panic!("{name}: no safe finish with {cushion}");
            };
            let plan = planned(&race, &inputs, finish).expect("it is accepted");
            assert_eq!(least_margin(&plan), Some(margin), "{name} {cushion}");
            assert_eq!(plan.schedule.splits[station].margin, Some(margin));
            assert!(margin >= cushion, "{name}: {margin} of {cushion}");
            let slower = planned(&race, &inputs, finish + minute).expect("it is accepted");
            assert!(least_margin(&slower) < Some(cushion), "{name} {cushion}");
        }
    }
}

#[test]
fn a_cutoff_that_nobody_meets_is_said() {
    let mut inputs = demo::course("velprek-50k", "");
    let soon = sutler::inputs::stations_csv::Cutoff::Elapsed(Elapsed::from_secs(600));
    inputs.stations[2].cutoff = Some(Spanned::unwritten(soon));
    let race = race(&inputs);
    let Safe::Never { station, margin } = slowest_safe(&race, Elapsed::ZERO) else {
        panic!("7 km in ten minutes is met");
    };
    assert_eq!(race.course.stations[station].name, "Sedlink 1");
    assert!(margin < Elapsed::ZERO);
    for row in &mut inputs.stations {
        row.cutoff = None;
    }
    let free = self::race(&inputs);
    assert_eq!(slowest_safe(&free, Elapsed::ZERO), Safe::NoCutoffs);
}

#[test]
fn accepted_finishes_are_accepted_to_the_minute() {
    let inputs = demo::course("velprek-50k", "[stops]\naid_min = 5\n");
    let race = race(&inputs);
    let (fastest, slowest) = accepted(&race);
    let minute = Elapsed::from_secs(60);
    assert!(planned(&race, &inputs, fastest).is_some());
    assert!(planned(&race, &inputs, fastest - minute).is_none());
    assert!(planned(&race, &inputs, slowest).is_some());
    assert!(planned(&race, &inputs, slowest + minute).is_none());
}

#[test]
fn the_outlook_says_which_cutoffs_are_at_risk() {
    let plan = "cushion = \"0:45\"\n[past]\ndistance_km = 50\nclimb_m = 2500\ntime = \"8:30:00\"\n";
    let inputs = demo::course("torvena-100k", plan);
    let race = race(&inputs);
    let outlook = Outlook::over(&race, &inputs, None);
    assert_eq!(outlook.cushion, Elapsed::from_secs(45 * 60));
    let found = outlook.estimate.as_ref().expect("there is a result");
    let finishes: Vec<Elapsed> = outlook.prospects.iter().map(|p| p.finish).collect();
    assert_eq!(finishes, [found.early, found.likely, found.late]);
    let misses = |prospect: &sutler::finish::Prospect| {
        let splits = prospect.schedule.splits.iter();
        splits
            .filter(|s| s.margin < Some(Elapsed::ZERO) && s.margin.is_some())
            .count()
    };
    let missed: Vec<usize> = outlook.prospects.iter().map(misses).collect();
    assert!(missed.is_sorted(), "{missed:?}");
    // a cushion asked for on the way stands before the plan's
    let asked = Outlook::over(&race, &inputs, Some(Elapsed::ZERO));
    let finish = |outlook: &Outlook| match outlook.slowest_safe {
        Safe::Finish { finish, .. } => finish,
        _ => panic!("there is a safe finish"),
    };
    assert!(finish(&outlook) < finish(&asked));
}

fn command(arguments: &[&str]) -> (Option<i32>, serde_json::Value, String) {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_sutler"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command.args(arguments).args(["--format", "json"]);
    let output = command.output().expect("the command runs");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let json = serde_json::from_slice(&output.stdout).unwrap_or_default();
    (output.status.code(), json, said)
}

#[test]
fn a_range_is_planned_with_its_ends_beside_it() {
    let range = [
        "splits",
        "demo-data/plan-50k.toml",
        "--finish",
        "7:00:00..8:00:00",
    ];
    let (code, json, said) = command(&range);
    assert_eq!((code, said.as_str()), (Some(0), ""));
    assert_eq!(json["finish_s"], 27_000);
    assert_eq!(json["other_finishes"][0]["finish_s"], 25_200);
    assert_eq!(json["other_finishes"][1]["finish_s"], 28_800);
    let (code, _, said) = command(&[
        "splits",
        "demo-data/plan-50k.toml",
        "--finish",
        "8:00..7:00",
    ]);
    assert!(
        code == Some(2) && said.contains("expected the earlier finish first"),
        "{said}"
    );
}

#[test]
fn without_a_target_past_results_set_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("plan.toml");
    let course = concat!(env!("CARGO_MANIFEST_DIR"), "/courses/torvena-100k");
    let text = |past: &str| format!("course = {course:?}\n{past}");
    let past = "[past]\ndistance_km = 50\nclimb_m = 2500\ntime = \"8:30:00\"\n";
    std::fs::write(&plan, text(past)).expect("it can be written");
    let plan = plan.to_str().expect("a path");
    let (_, outlook, _) = command(&["finish", plan, "--cushion", "1:00"]);
    assert_eq!(outlook["cushion_s"], 3600);
    let likely = &outlook["estimate"]["likely_s"];
    let (_, splits, said) = command(&["splits", plan]);
    assert_eq!(&splits["finish_s"], likely);
    assert_eq!(
        splits["other_finishes"][0]["finish_s"],
        outlook["estimate"]["early_s"]
    );
    assert_eq!(
        splits["other_finishes"][1]["finish_s"],
        outlook["estimate"]["late_s"]
    );
    assert!(said.contains("no finish is set"), "{said}");
    // without a past result nobody knows whether a target can be run, the fastest least of all
    for target in ["9:00:00", "18:00:00"] {
        std::fs::write(plan, format!("finish = {target:?}\n") + &text("")).expect("written");
        let (_, outlook, _) = command(&["finish", plan]);
        let words = outlook["target_words"].as_str().unwrap_or_default();
        assert!(words.contains("unknown") && !words.contains('%'), "{words}");
    }
    // neither target nor past result
    std::fs::write(plan, text("")).expect("it can be written");
    let (code, outlook, _) = command(&["finish", plan]);
    assert_eq!(code, Some(0));
    assert!(outlook["estimate"].is_null() && outlook["slowest_safe_s"].is_number());
    let hoped = &outlook["hoped_s"];
    let (_, splits, said) = command(&["splits", plan]);
    assert_eq!(&splits["finish_s"], hoped);
    assert!(said.contains("is a hope"), "{said}");
    // no later than the cutoffs allow, and wider than the hope of somebody with a target
    assert!(hoped.as_i64() <= outlook["slowest_safe_s"].as_i64());
    let width = |splits: &serde_json::Value| {
        let last = splits["splits"].as_array().and_then(|all| all.last());
        let at = |key: &str| last.and_then(|last| last[key].as_f64()).expect(key);
        at("late_s") / at("early_s")
    };
    let (_, aimed, _) = command(&["splits", plan, "--finish", "18:00:00"]);
    assert!(width(&splits) > width(&aimed));
    // the ways out that are named work as they are named
    for way in ["--finish 18:00:00", "--past 50km/1800m/8:30:00"] {
        assert!(said.contains(way.split(' ').next().unwrap_or_default()));
        let typed = [vec!["splits", plan], way.split(' ').collect()].concat();
        let (code, _, said) = command(&typed);
        assert!(
            code < Some(2) && !said.contains("is a hope"),
            "{way}: {said}"
        );
    }
}

/// Naismith's rule as the 1892 note has it, an hour for 3 miles and another for 2000 feet, within
/// the rounding to 5 km and 600 m. Who finishes is faster by a third, and nobody by half the rule.
#[test]
fn a_hope_is_near_what_hill_walkers_take() {
    for course in ["velprek-50k", "torvena-100k"] {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/courses/");
        let route = format!("{folder}{course}/route.gpx");
        let (_, outlook, _) = command(&["finish", "--route", &route]);
        let (_, survey, _) = command(&["course", "--route", &route]);
        let survey = &survey["survey"];
        let number = |key: &str| survey[key].as_f64().expect(key);
        let miles = number("route_length_m") / 1609.344;
        let feet = number("filtered_climb_m") / 0.3048;
        let walked_s = 3600.0 * (miles / 3.0 + feet / 2000.0);
        let hoped_s = outlook["hoped_s"].as_f64().expect("a hope");
        let share = hoped_s / walked_s;
        assert!((0.6..0.85).contains(&share), "{course}: {share}");
    }
}

/// A hot day makes a target cost more, by the share per degree above 15 that the trade knows; a
/// cool one does not. What was run before says where a target is a wish.
#[test]
fn a_plan_says_what_the_day_and_the_past_make_of_its_target() {
    let kinds = |more: &str| {
        let inputs = demo::course("torvena-100k", &format!("finish = \"17:00:00\"\n{more}"));
        let race = race(&inputs);
        let plan = planned(&race, &inputs, Elapsed::from_secs(17 * 3600)).expect("it is accepted");
        let found = plan.findings().into_iter();
        found
            .map(|finding| finding.kind.name().to_owned())
            .collect::<Vec<String>>()
    };
    let has = |kinds: &[String], kind: &str| kinds.iter().any(|own| own == kind);
    let cool = kinds("[forecast]\ntemp_c = 12\n");
    assert!(!has(&cool, "heat-cost") && !has(&cool, "target-fast"));
    let hot = kinds("[forecast]\ntemp_c = 34\n");
    assert!(has(&hot, "heat-cost"));
    let slow = "[[past]]\ndistance_km = 60\nclimb_m = 2500\ntime = \"13:00:00\"\n";
    assert!(has(&kinds(slow), "target-fast"));
}

/// A hot day is felt by the estimate as by the pacing: no less than half of the share per degree.
#[test]
fn the_estimate_feels_the_day() {
    let likely = |temp_c: i32| {
        let plan = format!("[forecast]\ntemp_c = {temp_c}\n");
        let race = race(&demo::course("torvena-100k", &plan));
        let result = past(60_000.0, 2500.0, 10.0 * H);
        let found = estimate(&race, &[result], &mut Notes::new()).expect("there is a result");
        found.likely.as_hours()
    };
    let more = likely(33) / likely(12) - 1.0;
    assert!((0.03..0.16).contains(&more), "{more}");
}
