//! Tracks as people have them: clean files give exactly their points and no message, odd files
//! give their points and a warning, bad files give an error that names the place and the way out.

mod encodings;
mod oracle;

use std::path::{Path, PathBuf};

use proptest::prelude::*;
use sutler::diagnostics::{Notes, Sources, render};
use sutler::inputs::Track;
use sutler::inputs::route_gpx;

type Point = (f64, f64, Option<f64>);

const A: Point = (10.001, 20.001, Some(410.5));
const B: Point = (10.002, 20.0015, Some(412.0));
const C: Point = (10.003, 20.001, Some(418.25));

/// What a file holds, written down by hand from its text.
#[derive(Default)]
struct Expected {
    name: Option<&'static str>,
    points: &'static [Point],
    breaks: &'static [usize],
    /// Name, and what stands at its place in the file.
    waypoints: &'static [(&'static str, &'static str)],
}

const RIDGE: Expected = Expected {
    name: Some("Ridge loop"),
    points: &[A, B, C],
    breaks: &[],
    waypoints: &[],
};

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/gpx")
        .join(name)
}

/// Reads bytes as a file of the user's and says what came of it, in words.
fn read(name: &str, bytes: &[u8]) -> (Track, Notes, String, Sources) {
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    match route_gpx::decode(name, bytes.to_vec()) {
        Ok(file) => {
            let id = sources.add(file.clone());
            let track = route_gpx::read(&file, id, &mut notes);
            let messages = render(&sources, notes.all(), false);
            (track, notes, messages, sources)
        }
        Err(problem) => {
            notes.push(problem);
            let messages = render(&sources, notes.all(), false);
            (Track::default(), notes, messages, sources)
        }
    }
}

#[track_caller]
fn check(track: &Track, sources: &Sources, expected: &Expected) {
    let points = track.points.iter().map(|p| (p.lat, p.lon, p.elevation_m));
    assert_eq!(points.collect::<Vec<_>>(), expected.points);
    assert_eq!(track.breaks, expected.breaks);
    assert_eq!(track.name.as_deref(), expected.name);
    let waypoints = track.waypoints.iter().map(|waypoint| {
        let span = waypoint.name.span.unwrap();
        let text = &sources.get(span.file).text[span.start..span.end];
        (waypoint.name.value.as_str(), text)
    });
    assert_eq!(waypoints.collect::<Vec<_>>(), expected.waypoints);
}

#[track_caller]
fn clean_bytes(bytes: &[u8], expected: &Expected) {
    let (track, _, messages, sources) = read("route.gpx", bytes);
    assert_eq!(messages, "");
    check(&track, &sources, expected);
}

/// Every file of a folder, by its stem; none may be left without a test.
fn stems(name: &str) -> Vec<String> {
    let mut stems = std::fs::read_dir(folder(name))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "gpx"))
        .map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned())
        .collect::<Vec<_>>();
    stems.sort();
    assert!(!stems.is_empty());
    stems
}

fn bytes_of(folder_name: &str, stem: &str) -> Vec<u8> {
    std::fs::read(folder(folder_name).join(format!("{stem}.gpx"))).unwrap()
}

fn text_of(stem: &str) -> String {
    String::from_utf8(bytes_of("clean", stem)).unwrap()
}

/// Holds the messages of a file to those beside it. `SUTLER_ACCEPT=1` rewrites these; read them
/// before you keep them.
#[track_caller]
fn told_beside(folder_name: &str, stem: &str, messages: &str) {
    let place = folder(folder_name).join(format!("{stem}.txt"));
    if std::env::var_os("SUTLER_ACCEPT").is_some() {
        std::fs::write(&place, messages).unwrap();
    }
    let expected = std::fs::read_to_string(&place).unwrap_or_default();
    assert_eq!(messages.trim_end(), expected.trim_end(), "{stem}.gpx");
}

/// Holds messages to a text that is indented as the test is.
#[track_caller]
fn told(messages: &str, expected: &str) {
    let lines: Vec<&str> = expected.trim().lines().collect();
    let deep = "    ";
    let expected: Vec<&str> = (lines.iter())
        .map(|line| line.strip_prefix(deep).unwrap_or(line))
        .collect();
    assert_eq!(messages.trim_end(), expected.join("\n"));
}

fn clean(stem: &str) -> Expected {
    match stem {
        "plain_1_1"
        | "no_namespace"
        | "no_version"
        | "prefixed"
        | "sensors"
        | "unbound_prefix"
        | "segment_extensions"
        | "blanks_before_declaration"
        | "one_line"
        | "comments"
        | "doctype_without_entities"
        | "private_elements_1_0"
        | "processing_instruction" => RIDGE,
        "points_outside_segments" => Expected {
            name: None,
            ..RIDGE
        },
        "plain_1_0" | "course_1_0" => Expected {
            name: Some("Old style"),
            ..RIDGE
        },
        "metadata" => Expected {
            name: Some("A course on two lines"),
            ..RIDGE
        },
        "bare_ampersand" => Expected {
            name: Some("Up & down"),
            ..RIDGE
        },
        "no_heights" => Expected {
            points: &[(A.0, A.1, None), (B.0, B.1, None), (C.0, C.1, None)],
            ..RIDGE
        },
        "some_heights_empty" => Expected {
            points: &[A, (B.0, B.1, None), C],
            ..RIDGE
        },
        "self_closing" => Expected {
            points: &[(-10.5, -20.5, None), (-10.25, -20.25, None)],
            ..Expected::default()
        },
        "segments" => Expected {
            name: Some("Two halves"),
            points: &[
                A,
                B,
                C,
                (10.0031, 20.001, Some(419.0)),
                (10.004, 20.001, Some(421.0)),
            ],
            breaks: &[3],
            ..Expected::default()
        },
        "route_only" => Expected {
            name: Some("Drawn"),
            points: &[(10.001, 20.001, Some(400.0)), (10.011, 20.001, None)],
            ..Expected::default()
        },
        "route_beside_empty_track" => Expected {
            name: Some("Drawn"),
            points: &[(10.001, 20.001, None), (10.011, 20.001, None)],
            ..Expected::default()
        },
        "route_shaped" => Expected {
            points: &[
                (10.001, 20.001, None),
                (10.002, 20.002, None),
                (10.003, 20.004, None),
                (10.004, 20.004, None),
            ],
            ..Expected::default()
        },
        "waypoints" => Expected {
            waypoints: &[
                ("Start & finish", "Start &amp; finish"),
                ("Spring", "Spring"),
                ("Waypoint 3", "<wpt lat=\"10.0025\" lon=\"20.0012\"/>"),
                ("Hut <upper>", "<![CDATA[Hut <upper>]]>"),
                ("Waypoint 5", "<wpt lat=\"10.0035\" lon=\"20.0010\">"),
            ],
            ..RIDGE
        },
        "waypoints_last" => Expected {
            waypoints: &[("Spring", "Spring")],
            ..RIDGE
        },
        "repeated_points" => Expected {
            points: &[A, A, B, B],
            ..RIDGE
        },
        "date_line" => Expected {
            points: &[
                (-17.5, 179.9995, None),
                (-17.5, 180.0, None),
                (-17.5, -179.9995, None),
            ],
            ..RIDGE
        },
        "unquoted_and_single_quoted" => Expected {
            points: &[(10.001, 20.001, None), (10.002, 20.002, None)],
            ..RIDGE
        },
        other => panic!("clean/{other}.gpx has no expected points here"),
    }
}

#[test]
fn clean_files_give_their_points_and_no_message() {
    for stem in stems("clean") {
        println!("clean/{stem}.gpx"); // named where the check below fails
        clean_bytes(&bytes_of("clean", &stem), &clean(&stem));
    }
}

fn warned(stem: &str) -> Expected {
    let unnamed = Expected {
        name: None,
        ..RIDGE
    };
    match stem {
        "unknown_elements" | "unknown_element" | "times_unusable" | "route_beside_track"
        | "text_outside" => RIDGE,
        "far_segments" => Expected {
            points: &[A, B, C, (10.013, 20.001, Some(419.0))],
            breaks: &[3],
            ..unnamed
        },
        "many_gaps" => Expected {
            points: &[
                (10.0, 20.0, None),
                (10.01, 20.0, None),
                (10.04, 20.0, None),
                (10.09, 20.0, None),
            ],
            breaks: &[1, 2, 3],
            ..unnamed
        },
        "several_tracks" => Expected {
            name: Some("Day one"),
            points: &[A, B, C, C, C],
            breaks: &[2, 3, 4],
            ..RIDGE
        },
        "several_routes" => Expected {
            points: &[(10.001, 20.001, None), (10.002, 20.001, None)],
            breaks: &[1],
            ..unnamed
        },
        "heights_unusable" => Expected {
            points: &[
                (A.0, A.1, None),
                (B.0, B.1, None),
                (C.0, C.1, Some(9000.0)),
                (C.0, C.1, None),
            ],
            ..RIDGE
        },
        "heights_not_numbers" => Expected {
            points: &[(A.0, A.1, None), (B.0, B.1, None), C],
            ..RIDGE
        },
        "height_above_9000_in_route" => Expected {
            points: &[(10.001, 20.001, None), (10.002, 20.001, None)],
            ..unnamed
        },
        "cut_off_in_a_tag" | "cut_off_between_points" => Expected {
            points: &[A, B],
            ..RIDGE
        },
        // Half a height is no height; the point itself is whole.
        "cut_off_in_a_height" | "damaged" => Expected {
            points: &[A, B, (C.0, C.1, None)],
            ..RIDGE
        },
        "two_documents" => Expected {
            name: Some("First"),
            points: &[A, B, C],
            breaks: &[2],
            ..RIDGE
        },
        other => panic!("warned/{other}.gpx has no expected points here"),
    }
}

#[test]
fn odd_files_give_their_points_and_a_warning() {
    for stem in stems("warned") {
        println!("warned/{stem}.gpx");
        let (track, notes, messages, sources) =
            read(&format!("{stem}.gpx"), &bytes_of("warned", &stem));
        assert!(!notes.has_errors() && !notes.is_empty(), "{messages}");
        check(&track, &sources, &warned(&stem));
        told_beside("warned", &stem, &messages);
    }
}

/// Seconds by `date -u -d 2002-10-10T17:00:00Z +%s`.
#[test]
fn times_are_seconds_since_1970() {
    const NOON_THERE_S: f64 = 1_034_269_200.0;
    let times = |text: &str| {
        let (track, ..) = read("route.gpx", text.as_bytes());
        track.points.iter().map(|p| p.time_s).collect::<Vec<_>>()
    };
    let broken = String::from_utf8(bytes_of("warned", "times_unusable")).unwrap();
    assert_eq!(times(&broken), [None, Some(NOON_THERE_S), None]);
    let sound = broken
        .replace("0000-00-00T00:00:00Z", "2002-10-10T16:59:58Z")
        .replace("noon", "2002-10-10T17:00:01.5Z");
    let expected = [-2.0, 0.0, 1.5].map(|s| Some(NOON_THERE_S + s));
    assert_eq!(times(&sound), expected);
}

#[test]
fn bad_files_give_an_error_with_the_place_and_the_way_out() {
    for stem in stems("bad") {
        let (_, notes, messages, _) = read(&format!("{stem}.gpx"), &bytes_of("bad", &stem));
        assert!(notes.has_errors(), "{stem}: {messages}");
        told_beside("bad", &stem, &messages);
    }
}

#[test]
fn line_ends_of_any_kind_change_nothing() {
    clean_bytes(
        text_of("plain_1_1").replace('\n', "\r\n").as_bytes(),
        &RIDGE,
    );
    clean_bytes(text_of("plain_1_1").replace('\n', "\r").as_bytes(), &RIDGE);
}

#[test]
fn a_recording_padded_with_zeros_keeps_what_is_before_them() {
    let text = text_of("plain_1_1");
    let (before, _) = text.split_once("    <trkpt lat=\"10.0030\"").unwrap();
    let bytes = [before.as_bytes(), &[0; 700]].concat();
    let (track, _, messages, _) = read("route.gpx", &bytes);
    assert_eq!(track.points.len(), 2);
    told(
        &messages,
        r#"
    warning: `route.gpx` breaks off after 2 points
     --> route.gpx:7:61
      |
    7 |     <trkpt lat="10.0020" lon="20.0015"><ele>412</ele></trkpt>
      |                                                             ^ expected the rest, up to `</gpx>`
    hint: the points before are taken as the course: where the last of them is not the finish, export or download the file again
    "#,
    );
}

/// A hundred thousand elements inside one another, as no program writes and a hostile one may.
#[test]
fn nesting_has_a_limit() {
    let nest = |levels: usize| {
        let (open, close) = ("<a>".repeat(levels), "</a>".repeat(levels));
        let text = text_of("plain_1_1");
        text.replace(
            "</trkseg>",
            &format!("<extensions>{open}{close}</extensions></trkseg>"),
        )
    };
    clean_bytes(nest(90).as_bytes(), &RIDGE);
    for text in [
        nest(100_000),
        nest(100_000).replace("<a>", "<gpx>").replace("</a>", ""),
    ] {
        let (track, _, messages, _) = read("route.gpx", text.as_bytes());
        assert_eq!(track.points.len(), 3);
        assert!(
            messages.starts_with("warning: `route.gpx` is damaged after 3 points"),
            "{messages}"
        );
        assert!(messages.contains("expected at most 100 elements inside one another"));
    }
    let bare = "<gpx>".repeat(100_000);
    let (_, notes, _, _) = read("route.gpx", bare.as_bytes());
    assert!(notes.has_errors());
}

/// Lines and segments without points leave nothing behind.
#[test]
fn empty_lines_and_segments_are_no_parts() {
    let empty = "<trk><name>none</name><trkseg/><trkseg></trkseg></trk><rte/>".repeat(1000);
    let text = text_of("plain_1_1").replace("<trk>", &format!("{empty}<trk>"));
    clean_bytes(text.as_bytes(), &RIDGE);
}

#[test]
fn other_formats_are_called_by_their_name() {
    let fit = [&[14, 16, 0, 0, 0, 0, 0, 0][..], b".FIT", &[0; 8]].concat();
    let said = |bytes: &[u8]| read("route.gpx", bytes).2;
    told(
        &said(&fit),
        r"
    error: `route.gpx` is a FIT recording
    hint: export it as GPX where it was recorded, or convert it to GPX
    ",
    );
    told(
        &said(b"\x1f\x8b\x08\x00\x00\x00\x00\x00"),
        r"
    error: `route.gpx` is compressed with gzip
    hint: unpack it first, for example with `gunzip`
    ",
    );
    told(
        &said(b"PK\x03\x04\x14\x00"),
        r"
    error: `route.gpx` is a zip archive (as KMZ files are)
    hint: unpack it first; a KML file in it must be exported or converted to GPX
    ",
    );
    told(
        &said(b"%PDF-1.7\n%\xe2\xe3"),
        r"
    error: `route.gpx` is a PDF document
    hint: get the course as a GPX file
    ",
    );
    told(
        &said(b"\xff\xfe\x00\x00<\x00\x00\x00"),
        r"
    error: `route.gpx` is in UTF-32, which is not read
    hint: save it as UTF-8
    ",
    );
    told(
        &said(b"\x00\x01\x02\x03"),
        r"
    error: `route.gpx` is not text
    hint: get the course as a GPX file, which is readable text
    ",
    );
}

#[test]
fn a_file_above_the_size_limit_is_refused_with_both_sizes() {
    let too_many = vec![b' '; route_gpx::MOST_BYTES + 12_340_000];
    let (_, _, messages, _) = read("route.gpx", &too_many);
    told(
        &messages,
        r"
    error: `route.gpx` is 212.3 MB, and at most 200 MB are read
    hint: keep only the course in it: export it again with fewer points and without sensor data
    ",
    );
}

/// Whatever the bytes, reading ends, messages can be shown and the track keeps its promises.
fn survives(bytes: &[u8]) -> Result<(), TestCaseError> {
    let (track, notes, _, _) = read("route.gpx", bytes);
    for point in &track.points {
        prop_assert!((-90.0..=90.0).contains(&point.lat));
        prop_assert!((-180.0..=180.0).contains(&point.lon));
        let height = point.elevation_m.unwrap_or(0.0);
        prop_assert!((-500.0..=9000.0).contains(&height));
    }
    prop_assert!(notes.has_errors() || track.points.len() >= 2);
    prop_assert!(track.breaks.is_sorted_by(|a, b| a < b));
    let inside = |first: &usize| (1..track.points.len()).contains(first);
    prop_assert!(track.breaks.iter().all(inside));
    Ok(())
}

fn any_stem() -> impl Strategy<Value = Vec<u8>> {
    prop::sample::select(stems("clean")).prop_map(|stem| bytes_of("clean", &stem))
}

#[test]
fn a_file_cut_anywhere_is_survived() {
    for stem in [
        "waypoints",
        "sensors",
        "route_shaped",
        "doctype_without_entities",
    ] {
        let bytes = bytes_of("clean", stem);
        for end in 0..bytes.len() {
            survives(&bytes[..end]).unwrap();
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(1), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_file_with_changed_bytes_is_survived(
        mut bytes in any_stem(),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0..3_u8), 1..6),
    ) {
        for (place, byte, how) in changes {
            let at = place.index(bytes.len());
            match how {
                0 => bytes[at] = byte,
                1 => bytes.insert(at, byte),
                _ => { bytes.remove(at); }
            }
        }
        survives(&bytes)?;
    }

    #[test]
    fn a_file_with_pieces_moved_is_survived(
        bytes in any_stem(),
        pieces in prop::collection::vec(
            (any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..4),
    ) {
        let mut all = bytes.clone();
        for (from, to) in pieces {
            let (from, to) = (from.index(bytes.len()), to.index(all.len()));
            all.splice(to..to, bytes[from..].iter().copied().take(40));
        }
        survives(&all)?;
    }

    #[test]
    fn any_bytes_are_survived(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        survives(&bytes)?;
    }
}
