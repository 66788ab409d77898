//! What the descriptions of the courses claim, measured on the committed files.

use geo::{Distance, Geodesic, Point};

use super::{path, text};
use crate::support::course_maker::{self, Line, Sample};

/// Points of a committed route with heights, read by the strict reader of the gpx crate, which
/// knows nothing of us.
#[track_caller]
fn points(folder: &str) -> Vec<(Point, f64)> {
    let file = std::fs::File::open(path(folder).join("route.gpx")).unwrap();
    let gpx = gpx::read(std::io::BufReader::new(file)).unwrap();
    assert_eq!(gpx.version, gpx::GpxVersion::Gpx11);
    assert_eq!((gpx.tracks.len(), gpx.tracks[0].segments.len()), (1, 1));
    let points = &gpx.tracks[0].segments[0].points;
    points
        .iter()
        .map(|p| (p.point(), p.elevation.unwrap()))
        .collect()
}

/// Geodesic length on the WGS 84 ellipsoid, metres.
fn length_m(points: &[(Point, f64)]) -> f64 {
    points
        .windows(2)
        .map(|p| Geodesic.distance(p[0].0, p[1].0))
        .sum()
}

/// Climb by summing rises after a mean over some 150 m, metres: another method than the
/// generator's own, so that it can judge it.
fn climb_m(points: &[(Point, f64)]) -> f64 {
    let means: Vec<f64> = points
        .windows(9)
        .map(|w| w.iter().map(|p| p.1).sum::<f64>() / 9.0)
        .collect();
    means.windows(2).map(|p| (p[1] - p[0]).max(0.0)).sum()
}

fn setting(folder: &str, key: &str) -> Option<f64> {
    let table: toml::Table = text(&format!("{folder}/course.toml")).parse().unwrap();
    table
        .get(key)
        .and_then(|v| v.as_float().or(v.as_integer().map(|i| i as f64)))
}

fn stations(folder: &str) -> Vec<csv::StringRecord> {
    let text = text(&format!("{folder}/stations.csv"));
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    reader.records().map(Result::unwrap).collect()
}

const NAME: usize = 0;
const PLACE: usize = 1;
const KM: usize = 2;
const CUTOFF: usize = 6;
const CREW: usize = 8;
const BAG: usize = 9;

fn column(rows: &[csv::StringRecord], i: usize) -> Vec<&str> {
    rows.iter().map(|r| r.get(i).unwrap()).collect()
}

fn visits(rows: &[csv::StringRecord], place: &str) -> usize {
    column(rows, PLACE).iter().filter(|p| **p == place).count()
}

#[test]
fn routes_have_the_points_length_and_climb_they_should() {
    // folder, points at least, official km, climb m, highest m
    for (folder, least, km, climb, highest) in [
        (
            "courses/velprek-50k",
            2_500,
            49.0..52.0,
            1_500.0..2_500.0,
            1_000.0..1_300.0,
        ),
        (
            "courses/torvena-100k",
            5_000,
            98.0..103.0,
            5_000.0..6_000.0,
            2_300.0..2_600.0,
        ),
        (
            "courses/wolkenried-100mi",
            8_000,
            160.0..163.0,
            5_000.0..6_000.0,
            1_700.0..2_100.0,
        ),
        (
            "src/starter/files/course",
            600,
            24.0..26.0,
            600.0..1_000.0,
            900.0..1_100.0,
        ),
    ] {
        let points = points(folder);
        let official = setting(folder, "official_distance_km").unwrap();
        let differ = (length_m(&points) / 1000.0 / official - 1.0).abs();
        let top = points.iter().map(|p| p.1).fold(f64::MIN, f64::max);
        assert!(least <= points.len(), "{folder}: {} points", points.len());
        assert!(km.contains(&official), "{folder}: {official} km");
        assert!(
            (0.003..=0.03).contains(&differ),
            "{folder}: differs by {differ}"
        );
        assert!(
            climb.contains(&climb_m(&points)),
            "{folder}: {} m",
            climb_m(&points)
        );
        assert!(highest.contains(&top), "{folder}: {top} m");
        if let Some(climb) = setting(folder, "official_climb_m") {
            let ratio = climb_m(&points) / climb;
            assert!(
                (0.93..1.07).contains(&ratio),
                "{folder}: climb ratio {ratio}"
            );
        }
    }
}

#[test]
fn route_files_are_compact_and_hold_no_false_precision() {
    for name in course_maker::NAMES {
        let folder = course_maker::spec(name).folder;
        let most = if name == "starter" { 60_000 } else { 1_000_000 };
        let gpx = text(&format!("{folder}/route.gpx"));
        assert!(gpx.len() <= most, "{folder}: {} bytes", gpx.len());
        assert!(gpx.contains("creator=\"sutler course maker\""));
        assert!(gpx.contains("xmlns=\"http://www.topografix.com/GPX/1/1\""));
        assert!(!gpx.contains("<time>"));
        for line in gpx.lines().filter(|l| l.starts_with("<trkpt")) {
            let decimals: Vec<usize> = line
                .split(['"', '<', '>'])
                .filter_map(|word| word.parse::<f64>().ok().and(word.split_once('.')))
                .map(|(_, fraction)| fraction.len())
                .collect();
            assert_eq!(decimals, [6, 6, 1], "{folder}: {line}");
        }
    }
}

/// Slopes of a marked trail: a runner's course is seldom steeper than a quarter for long.
#[test]
fn slopes_are_those_of_trails() {
    for name in course_maker::NAMES {
        let line = Line::lay(&course_maker::spec(name));
        let mut slopes: Vec<f64> = (0..(line.run_m() / 100.0) as usize)
            .map(|i| {
                let height =
                    |hundred: usize| line.at(line.base_of(hundred as f64 * 100.0)).height_m;
                ((height(i + 1) - height(i)) / 100.0).abs()
            })
            .collect();
        slopes.sort_by(f64::total_cmp);
        let at = |share: f64| slopes[((slopes.len() - 1) as f64 * share) as usize];
        assert!(at(0.93) < 0.25, "{name}: {}", at(0.93));
        assert!((0.2..0.4).contains(&at(1.0)), "{name}: {}", at(1.0));
        assert!(
            at(0.25) < 0.08,
            "{name} has no level stretches: {}",
            at(0.25)
        );
    }
}

/// A pressure sensor's heights stray by a metre or so, and for a while the same way.
#[test]
fn heights_are_as_noisy_as_a_good_sensor() {
    for name in course_maker::NAMES {
        let samples = course_maker::samples(name);
        let off: Vec<f64> = samples.iter().map(|s| s.height_m - s.ground_m).collect();
        let square = |x: &[f64]| x.iter().map(|v| v * v).sum::<f64>() / x.len() as f64;
        let deviation = square(&off).sqrt();
        let products: f64 = off.windows(2).map(|p| p[0] * p[1]).sum();
        let alike = products / (off.len() - 1) as f64 / square(&off);
        assert!((0.5..2.0).contains(&deviation), "{name}: {deviation} m");
        assert!((0.6..0.99).contains(&alike), "{name}: correlation {alike}");
        let written = points(course_maker::spec(name).folder);
        assert_eq!(written.len(), samples.len());
        for (sample, point) in samples.iter().zip(&written) {
            assert!(
                (sample.height_m - point.1).abs() <= 0.051,
                "{name} at {} m",
                sample.run_m
            );
        }
    }
}

#[test]
fn steps_are_irregular() {
    for (name, range) in [
        ("velprek-50k", 10.0..22.0),
        ("wolkenried-100mi", 10.0..22.5),
    ] {
        let samples = course_maker::samples(name);
        let steps: Vec<f64> = samples
            .windows(2)
            .map(|p| p[1].run_m - p[0].run_m)
            .collect();
        let mean = steps.iter().sum::<f64>() / steps.len() as f64;
        let spread = steps.iter().map(|s| (s - mean).abs()).sum::<f64>() / steps.len() as f64;
        let odd = steps.iter().filter(|s| !range.contains(*s)).count();
        assert!(odd <= 1, "{name}: {odd} steps outside {range:?}");
        assert!(
            2.0 < spread,
            "{name}: steps stray by {spread} m from {mean} m"
        );
    }
}

/// Where the same trail is passed twice, the receiver sees it a few metres apart each time.
#[test]
fn the_way_back_is_the_way_out_with_its_own_jitter() {
    let samples = course_maker::samples("wolkenried-100mi");
    let whole = samples[samples.len() - 1].run_m;
    let spot = |s: &Sample| Point::new(s.lon, s.lat);
    let (mut apart, mut count) = (0.0, 0);
    for out in samples.iter().take(samples.len() / 2).step_by(40) {
        let mirror = whole - out.run_m;
        let i = samples
            .partition_point(|s| s.run_m < mirror)
            .min(samples.len() - 1);
        let back = &samples[i];
        // the nearest recorded point may lie a step further along
        let along = back.run_m - mirror;
        let metres = Geodesic.distance(spot(out), spot(back));
        assert!(metres < along + 20.0, "{metres} m apart at {} m", out.run_m);
        assert!((out.ground_m - line_height(&samples, mirror)).abs() < 4.0);
        apart += f64::from(u8::from(0.5 < metres));
        count += 1;
    }
    assert!(0.9 < apart / f64::from(count));
}

fn line_height(samples: &[Sample], run_m: f64) -> f64 {
    let i = samples
        .partition_point(|s| s.run_m < run_m)
        .clamp(1, samples.len() - 1);
    let (a, b) = (&samples[i - 1], &samples[i]);
    a.ground_m + (b.ground_m - a.ground_m) * (run_m - a.run_m) / (b.run_m - a.run_m)
}

#[test]
fn stations_go_in_order_to_the_official_distance() {
    for name in course_maker::NAMES {
        let folder = course_maker::spec(name).folder;
        let rows = stations(folder);
        let km: Vec<f64> = column(&rows, KM)
            .iter()
            .map(|k| k.parse().unwrap())
            .collect();
        assert!(km.windows(2).all(|p| p[0] < p[1]), "{folder}: {km:?}");
        assert_eq!(km[0], 0.0);
        let official = setting(folder, "official_distance_km");
        assert_eq!(km.last().copied(), official, "{folder}");
        let mut names = column(&rows, NAME);
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), rows.len(), "{folder}: names are not unique");
    }
}

#[test]
fn the_hut_is_passed_on_every_lap() {
    let rows = stations("courses/velprek-50k");
    assert!(3 <= visits(&rows, "Sedlink"));
    assert!(3 <= visits(&rows, "Orlovna"));
}

#[test]
fn the_hundred_has_what_makes_hundreds_hard() {
    let rows = stations("courses/wolkenried-100mi");
    assert!(15 <= rows.len());
    let bags: Vec<&csv::StringRecord> = rows.iter().filter(|r| &r[BAG] == "yes").collect();
    assert!(
        bags.iter().any(|r| visits(&rows, &r[PLACE]) == 2),
        "no bag serves two visits"
    );
    let mut crew: Vec<&str> = rows
        .iter()
        .filter(|r| &r[CREW] == "yes")
        .map(|r| &r[PLACE])
        .collect();
    crew.sort_unstable();
    crew.dedup();
    assert!(3 <= crew.len(), "{crew:?}");
    let cutoffs = column(&rows, CUTOFF);
    let some = |test: &dyn Fn(&str) -> bool| cutoffs.iter().any(|c| test(c));
    assert!(
        some(&|c| c.starts_with("Sun ")),
        "none by clock and day: {cutoffs:?}"
    );
    assert!(
        some(&|c| c.starts_with('+')),
        "none since the start: {cutoffs:?}"
    );
    assert!(
        some(&|c| c.contains('T') && !c.contains('+')),
        "none by date: {cutoffs:?}"
    );
    assert!(some(
        &|c| c.starts_with("2026-10-25T02:") && c.ends_with("+02:00")
    ));
}

/// The starter's tables are written by hand; they must still fit the route.
#[test]
fn the_starters_stations_stand_where_the_route_passes() {
    let line = Line::lay(&course_maker::spec("starter"));
    let rows = stations("src/starter/files/course");
    for place in ["Hilltop", "Mill", "Chapel"] {
        let row = rows.iter().find(|r| &r[NAME] == place).unwrap();
        let km: f64 = row[KM].parse().unwrap();
        let ratio = km * 1000.0 / line.mark(place);
        assert!((0.99..1.02).contains(&ratio), "{place}: {ratio}");
    }
}

/// The slow half of a public result list is spread wider than the fast half: common practice, no
/// source. Nobody is timed beyond the limit of the last station.
#[test]
fn a_former_field_is_skewed_to_the_slow_side_and_within_the_limit() {
    let text = text("courses/torvena-100k/results.csv");
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let hours: Vec<f64> = rows
        .iter()
        .filter(|row| &row[1] != "DNF")
        .map(|row| {
            let parts = row[1].split(':').map(|part| part.parse::<f64>().unwrap());
            parts.zip([1.0, 60.0, 3600.0]).map(|(n, per)| n / per).sum()
        })
        .collect();
    assert!((250..400).contains(&hours.len()), "{}", hours.len());
    assert!(hours.len() < rows.len() && hours.is_sorted());
    assert!(hours.iter().all(|hours| (10.0..27.0).contains(hours)));
    let at = |share: usize| hours[hours.len() * share / 100];
    assert!(at(50) - at(10) < at(90) - at(50));
    let mean = hours.iter().sum::<f64>() / hours.len() as f64;
    assert!(at(50) < mean);
}
