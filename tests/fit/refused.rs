//! Files that tell nothing about a runner, each with the reason and the way out.

use sutler::course::distance_m;
use sutler::diagnostics::Diagnostic;
use sutler::fit::{Fit, Recording};
use sutler::inputs::Track;
use sutler::inputs::route_gpx::TrackPoint;

use super::{days, recording};
use crate::support::recorded::{FIRST_START_S, Recorded, Runner};

fn good() -> Track {
    made(26.0, 5.0).track()
}

fn made(length_km: f64, hours: f64) -> Recorded {
    Recorded {
        seed: 77,
        length_km,
        hours,
        runner: Runner::USUAL,
        noise: 0.05,
        stops: Vec::new(),
        start_s: FIRST_START_S,
    }
}

fn each(mut track: Track, change: impl Fn(usize, &mut TrackPoint)) -> Track {
    for (i, point) in track.points.iter_mut().enumerate() {
        change(i, point);
    }
    track
}

fn without(mut track: Track, dropped: std::ops::Range<usize>) -> Track {
    track.points.drain(dropped);
    track
}

#[track_caller]
fn refused(track: &Track, reason: &str, way_out: &str) {
    let why: Diagnostic = match Recording::read("run.gpx", track) {
        Ok(recording) => panic!("it was taken: {} h", recording.hours()),
        Err(why) => why,
    };
    assert_eq!(why.message, format!("`run.gpx` is left out: {reason}"));
    let hint = why.hint.unwrap_or_default();
    assert!(hint.contains(way_out), "{hint}");
}

#[test]
fn a_sound_recording_is_taken() {
    assert!((recording("run.gpx", &good()).hours() - 5.0).abs() < 0.01);
}

#[test]
fn times_are_needed() {
    let never = each(good(), |_, point| point.time_s = None);
    refused(&never, "its points have no times", "not a planned route");
    refused(&Track::default(), "its points have no times", "recording");
    let points = good().points.len();
    let seldom = each(good(), |i, point| {
        if i % 4 == 0 {
            point.time_s = None;
        }
    });
    let timed = points - points.div_ceil(4);
    refused(
        &seldom,
        &format!("only {timed} of its {points} points have a time"),
        "with its times",
    );
}

#[test]
fn a_clock_that_goes_back_is_not_believed() {
    let mut swapped = good();
    let middle = swapped.points.len() / 2;
    swapped.points.rotate_left(middle);
    let Err(why) = Recording::read("run.gpx", &swapped) else {
        panic!("it was taken");
    };
    assert!(why.message.contains("its clock goes back at"), "{why:?}");
    // a second that is written twice is no such thing
    let twice = each(good(), |i, point| {
        if i % 9 == 0 {
            point.time_s = point.time_s.map(f64::floor);
        }
    });
    recording("run.gpx", &twice);
}

#[test]
fn times_of_a_planner_are_no_recording() {
    let mut even = good();
    let mut along_m = 0.0;
    for i in 0..even.points.len() {
        let before = even.points[i.saturating_sub(1)];
        let point = &mut even.points[i];
        along_m += distance_m((before.lat, before.lon), (point.lat, point.lon));
        point.time_s = Some(FIRST_START_S + along_m / 1.5);
    }
    refused(&even, "every kilometre takes the same time", "planner");
}

#[test]
fn short_runs_say_nothing_about_slowing_down() {
    let short = made(8.0, 1.5).track();
    let Err(why) = Recording::read("run.gpx", &short) else {
        panic!("it was taken");
    };
    assert!(
        why.message.contains("8.0 km in 1:30:00 of moving is short"),
        "{why:?}"
    );
    assert!(
        why.hint
            .is_some_and(|hint| hint.contains("10 km and an hour"))
    );
}

#[test]
fn wheels_are_told_from_legs() {
    let start_s = FIRST_START_S;
    // the whole at three times the pace: 15 km/h on average over hills, faster down them
    let ride = each(made(40.0, 6.0).track(), |_, point| {
        point.time_s = point.time_s.map(|s| start_s + (s - start_s) / 4.0);
    });
    let Err(why) = Recording::read("run.gpx", &ride) else {
        panic!("it was taken");
    };
    assert!(
        why.message
            .contains("km/h for a minute, which is not running"),
        "{why:?}"
    );
    // a run, and the drive home at 60 km/h with the watch still on
    let mut driven = good();
    let last = driven.points[driven.points.len() - 1];
    for i in 1..60 {
        let mut point = last;
        point.lat += f64::from(i) * 0.0015;
        point.time_s = last.time_s.map(|s| s + 10.0 * f64::from(i));
        driven.points.push(point);
    }
    let Err(why) = Recording::read("run.gpx", &driven) else {
        panic!("it was taken");
    };
    assert!(why.message.contains("is left out: after 5:00:"), "{why:?}");
    assert!(why.hint.is_some_and(|hint| hint.contains("cut that out")));
}

#[test]
fn gaps_hide_how_a_part_was_run() {
    let count = good().points.len();
    let long = without(good(), count / 3..count / 3 + 90);
    let Err(why) = Recording::read("run.gpx", &long) else {
        panic!("it was taken");
    };
    assert!(why.message.contains("it has no points for 0:"), "{why:?}");
    let mut many = good();
    for gap in (1..8).rev() {
        let at = gap * count / 8;
        many = without(many, at..at + 25);
    }
    let Err(why) = Recording::read("run.gpx", &many) else {
        panic!("it was taken");
    };
    assert!(
        why.message.ends_with("% of its way has no points"),
        "{why:?}"
    );
    // one lost minute is nothing
    recording("run.gpx", &without(good(), count / 2..count / 2 + 5));
}

#[test]
fn heights_are_needed() {
    let flat = each(good(), |_, point| point.elevation_m = None);
    refused(&flat, "it has no heights", "terrain model");
}

#[test]
fn a_point_that_jumps_away_and_back_is_passed_over() {
    let sound = recording("run.gpx", &good());
    let jumping = each(good(), |i, point| {
        if i % 101 == 50 {
            point.lat += 0.02;
        }
    });
    let cleaned = recording("run.gpx", &jumping);
    let lengths = [&sound, &cleaned].map(|r| r.course.profile.length_m());
    assert!((lengths[0] / lengths[1] - 1.0).abs() < 0.01, "{lengths:?}");
}

#[test]
fn a_run_given_twice_counts_once() {
    let mut all = days(Runner::USUAL, 0..3);
    let watch = Recorded::day(1, Runner::USUAL).track();
    // another device: started 40 s later, every second point
    let mut phone = watch.clone();
    let mut kept = false;
    phone.points.drain(..3);
    phone.points.retain(|_| {
        kept = !kept;
        kept
    });
    all.push(recording("phone.gpx", &phone));
    let mut left_out = Vec::new();
    let fit = Fit::of(all, &mut left_out).expect("there are others");
    assert_eq!(fit.runs.len(), 3);
    let said: Vec<&str> = left_out.iter().map(|d| d.message.as_str()).collect();
    assert_eq!(
        said,
        ["`phone.gpx` is left out: it is the same run as `day-1.gpx`"]
    );
}

#[test]
fn nothing_is_fitted_to_nothing() {
    let mut left_out = Vec::new();
    assert!(Fit::of(Vec::new(), &mut left_out).is_none());
    assert!(left_out.is_empty());
}

#[test]
fn strange_numbers_never_panic() {
    let odd = [
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
        -1e300,
        1e300,
        0.0,
    ];
    for (i, value) in odd.into_iter().enumerate() {
        let times = each(good(), |at, point| {
            if at % 7 == i {
                point.time_s = Some(value);
            }
        });
        let heights = each(good(), |at, point| {
            if at % 7 == i {
                point.elevation_m = Some(value);
            }
        });
        let places = each(good(), |at, point| {
            if at % 7 == i {
                point.lat = value;
            }
        });
        for track in [times, heights, places] {
            // taken or refused, in words
            if let Err(why) = Recording::read("run.gpx", &track) {
                assert!(why.message.contains("is left out"), "{why:?}");
            }
        }
    }
    for few in 0..4 {
        let mut track = good();
        track.points.truncate(few);
        assert!(Recording::read("run.gpx", &track).is_err());
    }
}
