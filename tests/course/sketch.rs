//! Courses drawn in metres around a spot, with the noise that receivers have.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};

use sutler::course::Course;
use sutler::diagnostics::{Diagnostic, Notes, Severity, Spanned};
use sutler::inputs::Inputs;
use sutler::inputs::route_gpx::{TrackPoint, Waypoint};
use sutler::inputs::stations_csv::{StationKind, StationRow};

/// Where sketches lie; metres per degree there are good to 0.1 % within 20 km.
const ORIGIN_DEG: (f64, f64) = (46.0, 8.0);

/// Normal deviates that are the same on every run.
pub struct Noise(ChaCha8Rng);

impl Noise {
    pub fn seeded(seed: u64) -> Self {
        Noise(ChaCha8Rng::seed_from_u64(seed))
    }

    pub fn normal(&mut self, sigma: f64) -> f64 {
        let deviate: f64 = StandardNormal.sample(&mut self.0);
        sigma * deviate
    }

    /// Noise whose next value keeps a share of the last, of stationary deviation `sigma`.
    pub fn correlated(&mut self, n: usize, correlation: f64, sigma: f64) -> Vec<f64> {
        let mut value = self.normal(sigma);
        let fresh = (1.0 - correlation * correlation).sqrt();
        (0..n)
            .map(|i| {
                if i > 0 {
                    value = correlation * value + self.normal(sigma * fresh);
                }
                value
            })
            .collect()
    }
}

/// Latitude and longitude of a spot so many metres east and north of the origin, by the radii of
/// curvature of WGS84.
pub fn deg((east_m, north_m): (f64, f64)) -> (f64, f64) {
    let (a, e_sq) = (6_378_137.0_f64, 0.006_694_379_990_14_f64);
    let sin_sq = ORIGIN_DEG.0.to_radians().sin().powi(2);
    let prime_vertical_m = a / (1.0 - e_sq * sin_sq).sqrt();
    let meridian_m = a * (1.0 - e_sq) / (1.0 - e_sq * sin_sq).powf(1.5);
    let parallel_m = prime_vertical_m * ORIGIN_DEG.0.to_radians().cos();
    (
        ORIGIN_DEG.0 + (north_m / meridian_m).to_degrees(),
        ORIGIN_DEG.1 + (east_m / parallel_m).to_degrees(),
    )
}

/// Points every `step_m` along straight legs between corners, each off by `sigma_m`.
pub fn walk(
    corners: &[(f64, f64)],
    step_m: f64,
    sigma_m: f64,
    noise: &mut Noise,
) -> Vec<TrackPoint> {
    let mut points = Vec::new();
    for leg in corners.windows(2) {
        let (from, to) = (leg[0], leg[1]);
        let length_m = (to.0 - from.0).hypot(to.1 - from.1);
        let steps = (length_m / step_m).round().max(1.0) as usize;
        for i in 0..steps {
            let share = i as f64 / steps as f64;
            points.push((
                from.0 + (to.0 - from.0) * share,
                from.1 + (to.1 - from.1) * share,
            ));
        }
    }
    points.push(*corners.last().unwrap());
    points
        .into_iter()
        .map(|(x, y)| {
            point(
                (x + noise.normal(sigma_m), y + noise.normal(sigma_m)),
                Some(500.0),
            )
        })
        .collect()
}

pub fn point(at_m: (f64, f64), elevation_m: Option<f64>) -> TrackPoint {
    let (lat, lon) = deg(at_m);
    TrackPoint {
        lat,
        lon,
        elevation_m,
        time_s: None,
    }
}

/// A straight course to the east with these heights, a point every `step_m`.
pub fn straight(step_m: f64, heights: impl IntoIterator<Item = Option<f64>>) -> Inputs {
    let mut inputs = Inputs::default();
    inputs.track.points = (heights.into_iter().enumerate())
        .map(|(i, h)| point((i as f64 * step_m, 0.0), h))
        .collect();
    inputs
}

/// Heights every 10 m on a line through corners (km, m).
pub fn relief(corners: &[(f64, f64)]) -> Vec<Option<f64>> {
    let end_km = corners.last().unwrap().0;
    (0..=(end_km * 100.0).round() as usize)
        .map(|i| {
            let km = i as f64 / 100.0;
            let after = corners
                .partition_point(|c| c.0 <= km)
                .clamp(1, corners.len() - 1);
            let (a, b) = (corners[after - 1], corners[after]);
            Some(a.1 + (b.1 - a.1) * (km - a.0) / (b.0 - a.0))
        })
        .collect()
}

/// A flat straight course of this length.
pub fn flat(length_m: f64) -> Inputs {
    straight(length_m / 400.0, vec![Some(500.0); 401])
}

pub fn with_points(points: Vec<TrackPoint>) -> Inputs {
    let mut inputs = Inputs::default();
    inputs.track.points = points;
    inputs
}

pub fn row(name: &str) -> StationRow {
    StationRow {
        name: Spanned::unwritten(name.to_owned()),
        place: String::new(),
        distance_m: None,
        position: None,
        kind: StationKind::Aid,
        cutoff: None,
        cutoff_on: None,
        crew: false,
        drop_bag: false,
        pacer: false,
        stop_s: None,
        offers: Vec::new(),
        span: None,
    }
}

/// A row with an official distance.
pub fn at_km(name: &str, km: f64) -> StationRow {
    StationRow {
        distance_m: Some(Spanned::unwritten(km * 1000.0)),
        ..row(name)
    }
}

/// A row with coordinates.
pub fn at_spot(name: &str, spot_m: (f64, f64)) -> StationRow {
    StationRow {
        position: Some(Spanned::unwritten(deg(spot_m))),
        ..row(name)
    }
}

pub fn waypoint(name: &str, spot_m: (f64, f64)) -> Waypoint {
    let (lat, lon) = deg(spot_m);
    Waypoint {
        name: Spanned::unwritten(name.to_owned()),
        lat,
        lon,
    }
}

/// The course and what was said about it.
pub fn build(inputs: &Inputs) -> (Option<Course>, Vec<Diagnostic>) {
    let mut notes = Notes::new();
    let course = Course::build(inputs, &mut notes);
    assert_eq!(course.is_none(), notes.has_errors(), "{:?}", notes.all());
    if let Some(course) = &course {
        check_invariants(course);
    }
    (course, notes.all().to_vec())
}

/// A course without a word said.
#[track_caller]
pub fn quiet(inputs: &Inputs) -> Course {
    let (course, said) = build(inputs);
    assert!(said.is_empty(), "{said:?}");
    course.unwrap()
}

/// A course about which exactly one warning is given that holds these words.
#[track_caller]
pub fn warned(inputs: &Inputs, words: &str) -> Course {
    let (course, said) = build(inputs);
    assert_eq!(said.len(), 1, "{said:?}");
    assert_eq!(said[0].severity, Severity::Warning, "{said:?}");
    assert!(said[0].message.contains(words), "{said:?}");
    course.unwrap()
}

/// No course, and an error that holds these words.
#[track_caller]
pub fn refused(inputs: &Inputs, words: &str) -> Diagnostic {
    let (course, said) = build(inputs);
    assert!(course.is_none());
    let error = said
        .iter()
        .find(|d| d.severity == Severity::Error && d.message.contains(words));
    error.unwrap_or_else(|| panic!("{said:?}")).clone()
}

/// What the course promises of itself.
pub fn check_invariants(course: &Course) {
    let (stations, profile) = (&course.stations, &course.profile);
    assert!(stations.len() >= 2);
    assert_eq!(course.segments.len() + 1, stations.len());
    assert_eq!(stations[0].distance_m, 0.0);
    let end_m = stations.last().unwrap().distance_m;
    assert!((end_m - profile.length_m()).abs() < 1e-6 * end_m.max(1.0));
    assert!(
        stations
            .windows(2)
            .all(|p| p[1].distance_m - p[0].distance_m >= 1.0)
    );
    assert!(
        stations
            .windows(2)
            .all(|p| p[1].official_m > p[0].official_m)
    );
    assert!(profile.spacing_m > 0.0 && profile.spacing_m <= 25.0);
    assert!(profile.elevation_m.len() >= 20);
    assert_eq!(profile.position_deg.len(), profile.elevation_m.len());
    assert_eq!(profile.surface.len() + 1, profile.elevation_m.len());
    assert!(profile.elevation_m.iter().all(|h| h.is_finite()));
    assert!(
        profile
            .position_deg
            .iter()
            .all(|p| p.0.abs() <= 90.0 && p.1.abs() <= 180.0)
    );
    for segment in &course.segments {
        assert!(
            segment.climb_m >= 0.0 && segment.descent_m >= 0.0,
            "{segment:?}"
        );
        assert!(
            segment.steepest_up >= 0.0 && segment.steepest_down <= 0.0,
            "{segment:?}"
        );
        assert!(
            (0.0..=1.0 + 1e-9).contains(&segment.share_above_10),
            "{segment:?}"
        );
        assert!(
            (0.0..=1.0 + 1e-9).contains(&segment.share_below_10),
            "{segment:?}"
        );
        assert!(segment.highest_m.is_finite());
    }
    for (i, place) in course.places.iter().enumerate() {
        assert!(!place.visits.is_empty());
        for (visit, station) in place.visits.iter().enumerate() {
            assert_eq!(stations[*station].place, i);
            assert_eq!(stations[*station].visit as usize, visit + 1);
        }
    }
}
