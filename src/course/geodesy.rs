//! Distances on the WGS84 ellipsoid, fast enough for every step of a long track.

use geo::{Distance, Geodesic, Point};

/// Semi-major axis of WGS84, metres (NGA.STND.0036, table 3.1).
const EQUATOR_RADIUS_M: f64 = 6_378_137.0;
/// Flattening of WGS84 (same table).
const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// Below this the chord stands for the arc: it is shorter by (s / R)² / 24, at 1 km one part in
/// 10⁹, which is less than the coordinates of a track resolve.
const LONGEST_CHORD_M: f64 = 1000.0;

/// Length of the shortest way over the WGS84 ellipsoid between two positions, metres.
///
/// # Units
/// Positions are (latitude, longitude) in degrees.
///
/// # Source
/// Up to 1 km the straight chord between the two points of the ellipsoid (relative error below
/// 1.1e-9, at the poles and across the date line too); beyond, the inverse geodesic of Karney,
/// "Algorithms for geodesics", J. Geodesy 87 (2013) 43-55, doi 10.1007/s00190-012-0578-z.
///
/// ```
/// use sutler::course::distance_m;
/// let one_minute_of_latitude = distance_m((45.0, 7.0), (45.0 + 1.0 / 60.0, 7.0));
/// assert!((one_minute_of_latitude - 1852.0).abs() < 1.0);
/// ```
#[must_use]
pub fn distance_m(from_deg: (f64, f64), to_deg: (f64, f64)) -> f64 {
    Spot::new(from_deg).distance_m(&Spot::new(to_deg))
}

/// A position, with the point of the ellipsoid it stands for in earth-centred coordinates: sines
/// are taken once per point and not once per comparison.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub(super) deg: (f64, f64),
    pub(super) xyz_m: [f64; 3],
}

impl Spot {
    pub(super) fn new(deg: (f64, f64)) -> Self {
        let eccentricity_sq = FLATTENING * (2.0 - FLATTENING);
        let (sin_lat, cos_lat) = deg.0.to_radians().sin_cos();
        let (sin_lon, cos_lon) = deg.1.to_radians().sin_cos();
        let prime_vertical_m =
            EQUATOR_RADIUS_M / (1.0 - eccentricity_sq * sin_lat * sin_lat).sqrt();
        Spot {
            deg,
            xyz_m: [
                prime_vertical_m * cos_lat * cos_lon,
                prime_vertical_m * cos_lat * sin_lon,
                prime_vertical_m * (1.0 - eccentricity_sq) * sin_lat,
            ],
        }
    }

    /// Over the ellipsoid, see [`distance_m`].
    pub(super) fn distance_m(&self, other: &Spot) -> f64 {
        let chord_m = self.chord_m(other);
        if chord_m <= LONGEST_CHORD_M {
            chord_m
        } else {
            let point = |spot: &Spot| Point::new(spot.deg.1, spot.deg.0);
            Geodesic.distance(point(self), point(other))
        }
    }

    /// Straight through the ground.
    pub(super) fn chord_m(&self, other: &Spot) -> f64 {
        norm(minus(self.xyz_m, other.xyz_m))
    }

    /// The distance of this spot from the straight line between two others, and the share of it
    /// the nearest point lies.
    pub(super) fn off_line(&self, from: &Spot, to: &Spot) -> (f64, f64) {
        let line = minus(to.xyz_m, from.xyz_m);
        let here = minus(self.xyz_m, from.xyz_m);
        let length_sq = dot(line, line);
        let share = if length_sq > 0.0 {
            (dot(here, line) / length_sq).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let foot = [line[0] * share, line[1] * share, line[2] * share];
        (norm(minus(here, foot)), share)
    }
}

/// The position at a share of the way between two others, across the date line the short way.
pub(super) fn between_deg(from: (f64, f64), to: (f64, f64), share: f64) -> (f64, f64) {
    let east = to.1 - from.1;
    let east = east - 360.0 * (east / 360.0).round();
    let lon = from.1 + east * share;
    (
        from.0 + (to.0 - from.0) * share,
        lon - 360.0 * (lon / 360.0).round(),
    )
}

pub(super) fn minus(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(super) fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn norm(a: [f64; 3]) -> f64 {
    dot(a, a).sqrt()
}

pub(super) fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}
