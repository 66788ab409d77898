//! The `gpx` crate as another reader: on every file that it can read, both make the same points.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use sutler::inputs::Track;
use sutler::inputs::route_gpx::TrackPoint;

use super::read;

/// Files of `tests/gpx` that the crate reads otherwise than they are meant, in order, each with
/// what it does.
const MISREAD: [(&str, &str); 4] = [
    ("entities_declared", "expands what is refused here"),
    ("entity_from_outside", "leaves out what is an error here"),
    ("route_shaped", "knows no shaping points in extensions"),
    ("two_documents", "stops at the first `</gpx>`"),
];

/// Files of `tests/gpx` that the crate reads, at least.
const READ: usize = 20;

fn moment_s(time: gpx::Time) -> f64 {
    let text = time.format().unwrap();
    let moment = chrono::DateTime::parse_from_rfc3339(&text).unwrap();
    moment.timestamp() as f64 + f64::from(moment.timestamp_subsec_nanos()) * 1e-9
}

/// Point by point, and the first of each segment after the first: of all tracks, or where they
/// make no line, of all routes.
fn by_the_crate(text: &str) -> Option<(Vec<TrackPoint>, Vec<usize>)> {
    let gpx = gpx::read(text.as_bytes()).ok()?;
    let tracks = gpx.tracks.into_iter().flat_map(|track| track.segments);
    let tracks: Vec<_> = tracks.map(|segment| segment.points).collect();
    let routes: Vec<_> = gpx.routes.into_iter().map(|route| route.points).collect();
    let length = |lines: &[Vec<_>]| lines.iter().map(Vec::len).sum::<usize>();
    let lines = if length(&tracks) >= 2 || length(&routes) < 2 {
        tracks
    } else {
        routes
    };
    let (mut points, mut breaks) = (Vec::new(), Vec::new());
    for line in lines.iter().filter(|line| !line.is_empty()) {
        if !points.is_empty() {
            breaks.push(points.len());
        }
        points.extend(line.iter().map(|point| TrackPoint {
            lat: point.point().y(),
            lon: point.point().x(),
            // what no runner reaches is left out
            elevation_m: point.elevation.filter(|m| (-500.0..=9000.0).contains(m)),
            time_s: point.time.map(moment_s),
        }));
    }
    Some((points, breaks))
}

/// Whether both read the same; `None` where the crate does not read it.
fn agree(text: &str) -> Option<bool> {
    let (points, breaks) = by_the_crate(text)?;
    let (ours, ..) = read("route.gpx", text.as_bytes());
    Some(ours.points == points && ours.breaks == breaks)
}

fn gpx_files_below(folder: &Path, found: &mut Vec<PathBuf>) {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut paths: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        if path.is_dir() {
            gpx_files_below(&path, found);
        } else if path.extension().is_some_and(|e| e == "gpx") {
            found.push(path);
        }
    }
}

fn files(folder: &str) -> Vec<(String, String)> {
    let mut paths = Vec::new();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    gpx_files_below(&root.join(folder), &mut paths);
    let read = |path: PathBuf| {
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        (
            stem,
            String::from_utf8(std::fs::read(path).unwrap()).unwrap(),
        )
    };
    paths.into_iter().map(read).collect()
}

#[test]
fn both_make_the_same_points_of_every_small_file_that_the_crate_reads() {
    let read: Vec<(String, bool)> = (files("tests/gpx").into_iter())
        .filter_map(|(stem, text)| Some((stem, agree(&text)?)))
        .collect();
    let apart: Vec<&str> = (read.iter())
        .filter(|(_, same)| !same)
        .map(|(stem, _)| stem.as_str())
        .collect();
    assert_eq!(apart, MISREAD.map(|(stem, _)| stem));
    assert!(read.len() - apart.len() >= READ, "only {}", read.len());
}

#[test]
fn both_make_the_same_points_of_all_that_is_shipped() {
    for folder in ["courses", "demo-data"] {
        let files = files(folder);
        assert!(files.len() >= 3, "{folder}");
        for (stem, text) in files {
            assert_eq!(agree(&text), Some(true), "{folder}: {stem}");
        }
    }
}

/// A point on the ground, in ten-millionths of a degree, as devices write them.
fn point() -> impl Strategy<Value = TrackPoint> {
    let degrees = |limit: i64| (-limit * 10_000_000 + 1)..(limit * 10_000_000);
    (
        degrees(90),
        degrees(180),
        prop::option::of(-50_000..900_000_i32),
        prop::option::of(any::<u32>()),
    )
        .prop_map(|(lat, lon, height_cm, seconds)| TrackPoint {
            lat: lat as f64 / 1e7,
            lon: lon as f64 / 1e7,
            elevation_m: height_cm.map(|cm| f64::from(cm) / 100.0),
            time_s: seconds.map(f64::from),
        })
}

fn element(tag: &str, point: &TrackPoint, inside: &str) -> String {
    let height = point
        .elevation_m
        .map_or(String::new(), |m| format!("<ele>{m}</ele>"));
    let time = point
        .time_s
        .and_then(|s| chrono::DateTime::from_timestamp(s as i64, 0))
        .map_or(String::new(), |t| {
            format!("<time>{}</time>", t.format("%Y-%m-%dT%H:%M:%SZ"))
        });
    format!(
        "<{tag} lat=\"{}\" lon=\"{}\">{height}{time}{inside}</{tag}>\n",
        point.lat, point.lon
    )
}

/// A file of the lines, with the points and breaks that were written.
fn written(lines: &[Vec<TrackPoint>], waypoints: &str, as_routes: bool) -> (String, Track) {
    let mut text = format!("<?xml version='1.0'?><gpx version='1.1'>\n{waypoints}");
    let mut expected = Track::default();
    for line in lines {
        let tag = if as_routes { "rtept" } else { "trkpt" };
        let points: String = line.iter().map(|point| element(tag, point, "")).collect();
        let _ = match as_routes {
            true => writeln!(text, "<rte>{points}</rte>"),
            false => writeln!(text, "<trk><trkseg>{points}</trkseg></trk>"),
        };
        if !expected.points.is_empty() {
            expected.breaks.push(expected.points.len());
        }
        expected.points.extend(line);
    }
    (text + "</gpx>", expected)
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_is_read_by_both(
        lines in prop::collection::vec(prop::collection::vec(point(), 1..6), 2..4),
        waypoints in prop::collection::vec((point(), "[a-zé&<>\"']{1,8}"), 0..4),
        as_routes in any::<bool>(),
    ) {
        let mut places = String::new();
        for (place, name) in &waypoints {
            let name = quick_xml::escape::escape(name.as_str());
            places += &element("wpt", place, &format!("<name>{name}</name>"));
        }
        let (text, expected) = written(&lines, &places, as_routes);
        prop_assert_eq!(agree(&text), Some(true));
        let (track, _, _, sources) = read("route.gpx", text.as_bytes());
        prop_assert_eq!(&track.points, &expected.points);
        prop_assert_eq!(&track.breaks, &expected.breaks);
        prop_assert_eq!(track.waypoints.len(), waypoints.len());
        for (ours, (place, name)) in track.waypoints.iter().zip(&waypoints) {
            prop_assert_eq!((ours.lat, ours.lon), (place.lat, place.lon));
            prop_assert_eq!(&ours.name.value, name);
            let span = ours.name.span.unwrap();
            let there = &sources.get(span.file).text[span.start..span.end];
            prop_assert_eq!(there, quick_xml::escape::escape(name.as_str()));
        }
    }
}
