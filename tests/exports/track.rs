//! The track, read by the `gpx` crate and held against the rules of the GPX 1.1 schema
//! (Topografix, GPX 1.1, `gpx.xsd`; the order of elements and the bounds of its simple types are
//! from memory).

use quick_xml::Reader;
use quick_xml::events::Event;
use sutler::exports::track;
use sutler::facts::{Facts, TrackFacts};
use sutler::time::Elapsed;
use sutler::units::Units;

use crate::support::hostile;
use crate::support::race::{PLANS, Planned};
use crate::support::synthetic::Synthetic;

fn races() -> Vec<(String, Planned)> {
    let shipped = PLANS.map(|plan| (plan.to_owned(), Planned::shipped(plan)));
    let mut races: Vec<(String, Planned)> = shipped.into_iter().collect();
    races.push(("hostile".to_owned(), hostile::race(30, true)));
    for seed in 0..5 {
        let course = Synthetic::of(seed);
        let finish = Elapsed::from_s(course.length_km * 600.0);
        races.push((
            format!("synthetic {seed}"),
            Planned::of(course.texts(), &[finish]),
        ));
    }
    races
}

fn written(planned: &Planned) -> String {
    let view = planned.view(Units::Metric);
    track(&Facts::of(&view), &TrackFacts::of(&view))
}

/// Seconds between two times of a track.
fn seconds(from: &gpx::Time, to: &gpx::Time) -> i64 {
    let at = |time: &gpx::Time| {
        let text = time.format().unwrap();
        chrono::DateTime::parse_from_rfc3339(&text)
            .unwrap()
            .timestamp()
    };
    at(to) - at(from)
}

#[test]
fn tracks_hold_the_course_and_the_plan() {
    for (name, planned) in races() {
        let (race, plan) = (&planned.prepared.race, &planned.plans[0]);
        let text = written(&planned);
        let read = gpx::read(text.as_bytes()).unwrap_or_else(|e| panic!("{name}: {e}"));
        let stations = &race.course.stations;
        assert_eq!(read.waypoints.len(), stations.len(), "{name}");
        assert_eq!((read.tracks.len(), read.tracks[0].segments.len()), (1, 1));
        let points = &read.tracks[0].segments[0].points;
        let length_m: f64 = points
            .windows(2)
            .map(|pair| {
                let place = |w: &gpx::Waypoint| (w.point().y(), w.point().x());
                sutler::course::distance_m(place(&pair[0]), place(&pair[1]))
            })
            .sum();
        let ratio = length_m / race.course.profile.length_m();
        // corners of a grid of 25 m are cut, and positions rounded to 0.1 m
        assert!((0.96..1.005).contains(&ratio), "{name}: {ratio}");
        let (first, last) = (&points[0], &points[points.len() - 1]);
        if race.clock.is_none() {
            assert!(!text.contains("<time>"), "{name}");
            continue;
        }
        let start = first.time.unwrap();
        assert_eq!(
            seconds(&start, &last.time.unwrap()),
            plan.finish.as_secs(),
            "{name}"
        );
        for pair in points.windows(2) {
            let passed = seconds(&pair[0].time.unwrap(), &pair[1].time.unwrap());
            assert!(passed >= 0, "{name}: back by {passed} s");
        }
        for (waypoint, split) in read.waypoints.iter().zip(&plan.schedule.splits) {
            let at = seconds(&start, &waypoint.time.unwrap());
            assert_eq!(at, split.arrival.as_secs(), "{name}");
            // whoever follows the track comes in and leaves as planned
            for wanted in [split.arrival, split.departure] {
                let times = points.iter().map(|p| seconds(&start, &p.time.unwrap()));
                assert!(
                    times.into_iter().any(|s| s == wanted.as_secs()),
                    "{name}: {wanted}"
                );
            }
        }
    }
}

#[test]
fn tracks_keep_to_the_schema() {
    for (name, planned) in races() {
        let text = written(&planned);
        let mut reader = Reader::from_str(&text);
        reader.config_mut().enable_all_checks(true);
        let mut open: Vec<(String, Vec<String>)> = Vec::new();
        loop {
            match reader.read_event().unwrap() {
                Event::Start(start) => {
                    let tag = start.name().0.to_owned();
                    for attribute in start.attributes() {
                        let attribute = attribute.unwrap();
                        check_attribute(&tag, attribute.key.0, &attribute.value);
                    }
                    if let Some((_, inside)) = open.last_mut() {
                        inside.push(tag.clone());
                    }
                    open.push((tag, Vec::new()));
                }
                Event::End(_) => {
                    let (tag, inside) = open.pop().unwrap();
                    check_order(&name, &tag, &inside);
                }
                Event::Empty(start) => panic!("{name}: {start:?}"),
                Event::Eof => break,
                Event::Text(_) | Event::GeneralRef(_) | Event::Decl(_) => {}
                other => panic!("{name}: {other:?}"),
            }
        }
        assert!(open.is_empty());
    }
}

/// `latitudeType`, `longitudeType`, and the fixed version.
fn check_attribute(tag: &str, key: &str, value: &str) {
    match (tag, key) {
        ("gpx", "version") => assert_eq!(value, "1.1"),
        ("gpx", "creator") => assert!(!value.is_empty()),
        ("gpx", "xmlns") => assert_eq!(value, "http://www.topografix.com/GPX/1/1"),
        ("wpt" | "trkpt", "lat") => {
            assert!((-90.0..=90.0).contains(&value.parse::<f64>().unwrap()));
        }
        ("wpt" | "trkpt", "lon") => {
            assert!((-180.0..180.0).contains(&value.parse::<f64>().unwrap()));
        }
        other => panic!("{other:?} is not in the schema"),
    }
}

/// The sequences of `gpxType`, `metadataType`, `wptType`, `trkType`, `trksegType`, as far as used.
fn check_order(name: &str, tag: &str, inside: &[String]) {
    let order: &[&str] = match tag {
        "gpx" => &["metadata", "wpt", "rte", "trk"],
        "metadata" => &["name", "desc", "author", "copyright", "link", "time"],
        "wpt" | "trkpt" => &[
            "ele", "time", "name", "cmt", "desc", "src", "link", "sym", "type",
        ],
        "trk" => &[
            "name", "cmt", "desc", "src", "link", "number", "type", "trkseg",
        ],
        "trkseg" => &["trkpt"],
        _ => &[],
    };
    let places: Vec<usize> = inside
        .iter()
        .map(|child| {
            let found = order.iter().position(|known| known == child);
            found.unwrap_or_else(|| panic!("{name}: <{child}> in <{tag}>"))
        })
        .collect();
    assert!(places.is_sorted(), "{name}: {inside:?} in <{tag}>");
}

#[test]
fn hostile_names_are_read_back_as_words() {
    let planned = hostile::race(30, false);
    let text = written(&planned);
    let read = gpx::read(text.as_bytes()).unwrap();
    let names: Vec<&str> = read
        .waypoints
        .iter()
        .filter_map(|w| w.name.as_deref())
        .collect();
    for name in [
        "Start, \"here\"",
        "12 <script>alert(1)</script>",
        "6 semi;colon, comma \\ back\\slash \"quotes\" 'n' all & more",
        "4 תחנת מים 12, ליד הגשר",
    ] {
        assert!(names.contains(&name), "{name} in {names:?}");
    }
}
