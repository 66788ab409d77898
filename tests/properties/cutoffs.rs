//! Margins add up, and latest departures can be trusted.

use sutler::findings::{About, Weight};
use sutler::inputs::stations_csv::CutoffOn;
use sutler::time::Elapsed;

use super::{SUBJECTS, Subject, of_every};

#[test]
fn time_used_and_time_in_hand_make_the_cutoff() {
    let mut seen = [0, 0];
    for s in SUBJECTS.iter() {
        for split in &s.plan.schedule.splits {
            let (Some(limit), Some(margin)) = (split.cutoff, split.margin) else {
                assert_eq!(split.cutoff.is_some(), split.margin.is_some(), "{}", s.name);
                continue;
            };
            let (used, which) = match limit.on {
                CutoffOn::Arrival => (split.arrival, 0),
                CutoffOn::Departure => (split.departure, 1),
            };
            assert_eq!(used + margin, limit.elapsed, "{}: {split:?}", s.name);
            seen[which] += 1;
        }
    }
    assert!(seen.iter().all(|count| *count >= 10), "{seen:?}");
}

#[test]
fn a_missed_cutoff_is_a_failure_and_only_that() {
    let mut missed = 0;
    for s in SUBJECTS.iter() {
        for split in &s.plan.schedule.splits {
            let late = split.margin.is_some_and(|margin| margin < Elapsed::ZERO);
            let said = s.plan.schedule.findings.iter().any(|finding| {
                finding.about == About::Station(split.station) && finding.weight == Weight::Failure
            });
            assert_eq!(late, said, "{}: {split:?}", s.name);
            assert!(
                !late || sutler::findings::fail(s.plan.findings()),
                "{}",
                s.name
            );
            missed += usize::from(late);
        }
    }
    assert!(missed >= 5, "{missed} missed cutoffs");
}

/// Race times are rounded to the second, latest departures down to it.
const ROUNDED_S: f64 = 1.0;
/// Leaving so much later than the latest departure misses something: rounding, and the little by
/// which a warmer hour changes the way.
const MORE_S: f64 = 60.0;

/// Whether leaving a station at a time meets its own departure cutoff and every later cutoff, at
/// the planned effort, with the light and warmth of the hours that come.
fn meets_all(s: &Subject, station: usize, leave_s: f64) -> bool {
    let race = &s.prepared.race;
    let mut now_s = leave_s;
    let within = |station: usize, on: CutoffOn, now_s: f64| {
        let limit = race.limits[station].filter(|limit| limit.on == on);
        limit.is_none_or(|limit| now_s <= limit.elapsed.as_s() + ROUNDED_S)
    };
    let mut met = within(station, CutoffOn::Departure, now_s);
    for segment in station..race.course.segments.len() {
        now_s = s.plan.pacing.arrive_s(&race.conditions, segment, now_s);
        met &= within(segment + 1, CutoffOn::Arrival, now_s);
        now_s += race.stops_s[segment + 1];
        met &= within(segment + 1, CutoffOn::Departure, now_s);
    }
    met
}

#[test]
fn latest_departures_meet_every_later_cutoff_and_no_later_ones_do() {
    let mut asked = 0;
    for s in SUBJECTS.iter() {
        for split in &s.plan.schedule.splits {
            let Some(latest) = split.latest_departure else {
                assert_eq!(split.binding, None, "{}", s.name);
                // none follows, or nobody can be there in time to meet those that do
                let later = s.prepared.race.limits[split.station + 1..].iter().flatten();
                let ran = &s.plan.pacing.segments[..split.station];
                let soonest_s = ran.iter().map(|segment| segment.effort_m).sum::<f64>()
                    / sutler::pacing::FASTEST_LEVEL_MPS;
                assert!(
                    later.count() == 0 || !meets_all(s, split.station, soonest_s),
                    "{}: {split:?}",
                    s.name
                );
                continue;
            };
            asked += 1;
            // at the effort to expect nobody leaves later than at the planned one
            let on_plan = split.latest_on_plan.expect("a cutoff follows");
            assert!(latest <= on_plan, "{}: {split:?}", s.name);
            let latest = on_plan;
            let here = format!("{}, station {}: latest {latest:?}", s.name, split.station);
            assert!(
                meets_all(s, split.station, latest.as_s()),
                "{here} is too late"
            );
            assert!(
                !meets_all(s, split.station, latest.as_s() + MORE_S),
                "{here} is too early"
            );
        }
    }
    assert!(asked >= 60, "{asked} latest departures");
}

#[test]
fn latest_departures_respect_departure_cutoffs_and_name_what_binds() {
    of_every(|s| {
        for split in &s.plan.schedule.splits {
            let own = split.cutoff.filter(|limit| limit.on == CutoffOn::Departure);
            if let (Some(limit), Some(latest)) = (own, split.latest_departure) {
                assert!(latest <= limit.elapsed, "{}: {split:?}", s.name);
            }
            if let Some(binding) = split.binding {
                assert!(split.station <= binding, "{}: {split:?}", s.name);
                assert!(
                    s.prepared.race.limits[binding].is_some(),
                    "{}: {split:?}",
                    s.name
                );
                assert!(
                    binding > split.station || own.is_some(),
                    "{}: {split:?}",
                    s.name
                );
            }
        }
    });
}

#[test]
fn who_meets_every_cutoff_leaves_in_time_and_who_does_not_does_not() {
    of_every(|s| {
        let splits = &s.plan.schedule.splits;
        for split in splits {
            let Some(latest) = split.latest_departure else {
                continue;
            };
            // the station's own arrival cutoff is behind when the runner leaves
            let own = split.margin.filter(|_| {
                split
                    .cutoff
                    .is_some_and(|limit| limit.on == CutoffOn::Departure)
            });
            let later = splits[split.station + 1..]
                .iter()
                .filter_map(|later| later.margin);
            let met = own
                .into_iter()
                .chain(later)
                .all(|margin| margin >= Elapsed::ZERO);
            let in_hand_s = (latest - split.departure).as_secs();
            // to the seconds that rounding gives and takes
            assert!(!met || in_hand_s >= -2, "{}: {split:?}", s.name);
            assert!(met || in_hand_s <= 2, "{}: {split:?}", s.name);
        }
    });
}
