//! Stops: found where they are, and as long as they are.

use super::recording;
use crate::support::recorded::{FIRST_START_S, Recorded, Runner};

/// A window of half a minute sees a stop this much too long or short at each end, seconds.
const END_S: f64 = 20.0;

fn standing_about() -> Recorded {
    Recorded {
        seed: 9,
        length_km: 30.0,
        hours: 6.0,
        runner: Runner::USUAL,
        noise: 0.05,
        stops: vec![(5.0, 3.0), (11.0, 12.5), (12.0, 0.6), (24.0, 45.0)],
        start_s: FIRST_START_S,
    }
}

#[test]
fn stops_are_found_where_and_as_long_as_they_are() {
    let made = standing_about();
    let recording = recording("standing.gpx", &made.track());
    let long: Vec<&(f64, f64)> = made.stops.iter().filter(|(_, min)| *min > 1.5).collect();
    assert_eq!(recording.stops.len(), long.len(), "{:?}", recording.stops);
    for (stop, (km, minutes)) in recording.stops.iter().zip(long) {
        assert!((stop.distance_m - km * 1000.0).abs() < 50.0, "{stop:?}");
        assert!(
            (stop.length_s - minutes * 60.0).abs() < 2.0 * END_S,
            "{stop:?}"
        );
    }
    assert!((recording.hours() - 6.0).abs() < 0.01);
    // a moment at a gate is no stop, and stays in the moving time
    let moving_s = recording.moving_at_s(recording.course.profile.length_m());
    let stood_s = recording.stopped_s();
    assert!((moving_s + stood_s - recording.finish_s).abs() < 1.0);
}

/// A track that wanders by 2 m while its owner eats would be longer by the whole meal.
#[test]
fn wandering_about_a_stop_is_no_distance() {
    let mut made = standing_about();
    let with = recording("with.gpx", &made.track());
    made.stops.clear();
    let without = recording("without.gpx", &made.track());
    let lengths = [&with, &without].map(|r| r.course.profile.length_m());
    assert!((lengths[0] - lengths[1]).abs() < 60.0, "{lengths:?}");
}

/// A recorder that pauses by itself leaves no points while it stands.
#[test]
fn a_pause_without_points_is_a_stop() {
    let mut made = standing_about();
    made.stops = vec![(24.0, 45.0)];
    let mut track = made.track();
    let full = recording("full.gpx", &track);
    let stop = full.stops[0];
    let standing = (made.start_s + stop.from_s + 30.0)..(made.start_s + stop.from_s + 2600.0);
    let before = track.points.len();
    track
        .points
        .retain(|p| !p.time_s.is_some_and(|s| standing.contains(&s)));
    assert!(before > track.points.len() + 200);
    let paused = recording("paused.gpx", &track);
    assert_eq!(paused.stops.len(), 1);
    assert!((paused.stops[0].length_s - stop.length_s).abs() < 2.0 * END_S);
}

/// The watch is started in the car park, and forgotten at the end.
#[test]
fn standing_before_the_start_and_after_the_finish_is_left_out() {
    let mut made = standing_about();
    made.stops = vec![(15.0, 10.0)];
    let alone = recording("alone.gpx", &made.track());
    let mut track = made.track();
    let (first, last) = (track.points[0], track.points[track.points.len() - 1]);
    for minute in 1..=20 {
        let aside_s = f64::from(minute) * 60.0;
        let mut early = first;
        early.time_s = first.time_s.map(|s| s - aside_s);
        track.points.insert(0, early);
        let mut late = last;
        late.time_s = last.time_s.map(|s| s + aside_s);
        track.points.push(late);
    }
    let framed = recording("framed.gpx", &track);
    assert_eq!(framed.stops.len(), 1);
    assert!((framed.finish_s - alone.finish_s).abs() < 2.0 * END_S);
    assert!((framed.start_s - alone.start_s).abs() < END_S);
}
