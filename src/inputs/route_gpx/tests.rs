//! The two readers agree where both read, and each file goes down the path it should.

use std::fmt::Write as _;

use proptest::prelude::*;

use super::found::{Found, Stop};
use super::sniff::Prologue;
use super::{MOST_POINTS, Track, TrackPoint, gather, rescue, scan, sniff, strict};
use crate::diagnostics::{FileId, Notes, SourceFile, Sources, Span, Spanned};
use crate::inputs::route_gpx::Waypoint;

macro_rules! clean {
    ($($stem:literal),* $(,)?) => {
        [$(($stem, include_str!(concat!("../../../tests/gpx/clean/", $stem, ".gpx")))),*]
    };
}

/// Files that the strict reader is trusted with, and reads.
const STRICT: [(&str, &str); 17] = clean![
    "plain_1_0",
    "plain_1_1",
    "metadata",
    "no_heights",
    "no_namespace",
    "one_line",
    "blanks_before_declaration",
    "self_closing",
    "sensors",
    "segments",
    "route_only",
    "route_beside_empty_track",
    "route_beside_track",
    "waypoints",
    "waypoints_last",
    "repeated_points",
    "doctype_without_entities",
];

/// Files that it would misread.
const MISTRUSTED: [(&str, &str); 5] = clean![
    "prefixed",
    "private_elements_1_0",
    "processing_instruction",
    "route_shaped",
    "comments",
];

/// Files that it refuses.
const REFUSED: [(&str, &str); 8] = clean![
    "no_version",
    "course_1_0",
    "unbound_prefix",
    "segment_extensions",
    "some_heights_empty",
    "date_line",
    "bare_ampersand",
    "points_outside_segments",
];

fn file(text: &str) -> (SourceFile, FileId, Prologue) {
    let file = SourceFile::new("route.gpx", text);
    let id = Sources::default().add(file.clone());
    let prologue =
        sniff::prologue(&file, id).unwrap_or_else(|problem| panic!("{}", problem.message));
    (file, id, prologue)
}

fn gathered(found: Found, prologue: &Prologue, file: &SourceFile, id: FileId) -> (Track, Notes) {
    let mut notes = Notes::new();
    let track = gather::track(found, prologue, file, id, &mut notes);
    (track, notes)
}

/// What each of the two makes of a text.
fn both(text: &str) -> (Option<(Track, Notes)>, (Track, Notes)) {
    let (file, id, prologue) = file(text);
    let body = prologue.body;
    let strictly = strict::read(text, body, id).map(|found| gathered(found, &prologue, &file, id));
    let leniently = rescue::read(text, body, id, MOST_POINTS);
    (strictly, gathered(leniently, &prologue, &file, id))
}

#[test]
fn both_readers_make_the_same_of_what_both_read() {
    for (stem, text) in STRICT {
        let body = file(text).2.body;
        assert!(scan::suits_strict(&text[body..]), "{stem}");
        let (strictly, leniently) = both(text);
        assert_eq!(strictly, Some(leniently), "{stem}");
    }
}

#[test]
fn what_the_strict_reader_would_misread_is_not_given_to_it() {
    for (stem, text) in MISTRUSTED {
        let body = file(text).2.body;
        assert!(!scan::suits_strict(&text[body..]), "{stem}");
    }
    for ending in ["</gpx> <gpx/>", "</gpx>\0", "</gpx >", "", "<gpx/>"] {
        assert!(!scan::suits_strict(&format!("<gpx>{ending}")), "{ending}");
    }
    assert!(scan::suits_strict("<gpx><a:b>12:30:00</a:b></gpx>\r\n"));
    let large = format!("<gpx>{}</gpx>", " ".repeat(24 * MOST_POINTS));
    assert!(!scan::suits_strict(&large));
}

#[test]
fn what_the_strict_reader_refuses_is_read_all_the_same() {
    for (stem, text) in REFUSED {
        let body = file(text).2.body;
        assert!(scan::suits_strict(&text[body..]), "{stem}");
        let (strictly, (track, notes)) = both(text);
        assert_eq!(strictly, None, "{stem}");
        assert!(
            notes.is_empty() && track.points.len() >= 2,
            "{stem}: {notes:?}"
        );
    }
}

#[test]
fn reading_stops_at_the_point_that_is_one_too_many() {
    let text = "<gpx><trk><trkseg><trkpt lat='1' lon='2'/><trkpt lat='1' lon='3'/>\
                <trkpt lat='1' lon='4'/></trkseg></trk></gpx>";
    let (file, id, prologue) = file(text);
    let body = prologue.body;
    let found = rescue::read(text, body, id, 2);
    let Some(Stop::TooMany { at, most: 2 }) = &found.stop else {
        panic!("it read on");
    };
    assert_eq!(&text[at.clone()], "<trkpt lat='1' lon='4'/>");
    let (_, notes) = gathered(found, &prologue, &file, id);
    let messages = notes.all().iter().map(|note| note.message.as_str());
    assert_eq!(
        messages.collect::<Vec<_>>(),
        ["`route.gpx` holds more than 2 points"]
    );
    assert!(notes.has_errors());
    assert!(rescue::read(text, body, id, 3).stop.is_none());
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

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_is_read_by_both(
        segments in prop::collection::vec(prop::collection::vec(point(), 1..6), 2..4),
        waypoints in prop::collection::vec((point(), "[a-zé&<>\"']{1,8}"), 0..4),
        as_routes in any::<bool>(),
    ) {
        let mut text = "<?xml version='1.0'?><gpx version='1.1'>\n".to_owned();
        let mut expected = Track::default();
        for (place, name) in &waypoints {
            let escaped = quick_xml::escape::escape(name.as_str());
            let start = text.len() + element("wpt", place, "<name>").len() - "</wpt>\n".len();
            text += &element("wpt", place, &format!("<name>{escaped}</name>"));
            let (_, id, _) = file("<gpx/>");
            let span = Span::new(id, start..start + escaped.len());
            expected.waypoints.push(Waypoint {
                name: Spanned::at(name.clone(), span),
                lat: place.lat,
                lon: place.lon,
            });
        }
        let (line, inner, tag) = if as_routes { ("rte", "", "rtept") } else { ("trk", "trkseg", "trkpt") };
        for segment in &segments {
            let points = segment.iter().map(|point| element(tag, point, "")).collect::<String>();
            let inner = if inner.is_empty() { points } else { format!("<{inner}>{points}</{inner}>") };
            writeln!(text, "<{line}>{inner}</{line}>").map_err(|e| TestCaseError::fail(e.to_string()))?;
            if !expected.points.is_empty() {
                expected.breaks.push(expected.points.len());
            }
            expected.points.extend(segment);
        }
        text += "</gpx>";
        let (strictly, leniently) = both(&text);
        prop_assert_eq!(strictly.as_ref(), Some(&leniently));
        expected.span = leniently.0.span;
        prop_assert_eq!(leniently.0, expected);
    }
}
