//! Places on the Earth onto paper, over no more ground than a race covers.

use super::ways::Point;

/// Metres in a degree of latitude, as on a ball of the Earth's mean radius.
pub(super) const M_PER_DEG: f64 = 111_195.0;

/// Degrees onto paper.
pub(super) struct Projection {
    pub(super) lat_deg: f64,
    pub(super) lon_deg: f64,
    pub(super) px_per_m: f64,
    /// The middle.
    pub(super) middle: Point,
}

impl Projection {
    /// Metres east and north of the middle, then onto paper.
    pub(super) fn of(&self, (lat, lon): Point) -> Point {
        let east_m = (lon - self.lon_deg) * M_PER_DEG * self.lat_deg.to_radians().cos();
        let north_m = (lat - self.lat_deg) * M_PER_DEG;
        (
            self.middle.0 + east_m * self.px_per_m,
            self.middle.1 - north_m * self.px_per_m,
        )
    }
}
