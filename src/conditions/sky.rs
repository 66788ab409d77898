//! The position of the sun, fast: a few by the NREL algorithm, and straight lines between them.

use chrono::{DateTime, Utc};
use solar_positioning::time::JulianDate;
use solar_positioning::{EventPosition, Location, Result, SolarPositions, delta_t};

/// Seconds in a day of UT.
const S_PER_DAY: f64 = 86_400.0;

/// Days between computed positions.
///
/// The rest of declination and hour angle after the Earth's even rotation bends by less than
/// 0.008° per day squared, so that a straight line over 6 h misses by less than 0.0001°: a third
/// of the algorithm's own uncertainty.
const STEP_DAYS: f64 = 0.25;

/// The sun's equatorial horizontal parallax at its mean distance, 8.794″ (IAU 1976).
const PARALLAX_DEG: f64 = 8.794 / 3600.0;

/// The sun over some days, for any place.
#[derive(Clone, Debug)]
pub(super) struct Sky {
    start_jd: f64,
    first_jd: f64,
    delta_t_s: f64,
    /// Declination and hour angle at Greenwich less even rotation, degrees; one each step.
    nodes: Vec<(f64, f64)>,
}

impl Sky {
    /// The sun from so many days before an instant to so many after it.
    ///
    /// Seen from the north pole the sun's height is its declination and its bearing its hour
    /// angle, so one position there serves every place on Earth.
    ///
    /// # Errors
    /// Where the years are outside the algorithm's.
    pub(super) fn around(start: DateTime<Utc>, before_days: f64, after_days: f64) -> Result<Sky> {
        let delta_t_s = delta_t::estimate_from_date_like(&start)?;
        let start_jd = JulianDate::from_datetime(&start, delta_t_s)?.julian_date();
        let first_jd = start_jd - before_days;
        let steps = ((before_days + after_days) / STEP_DAYS).ceil().max(1.0) as usize;
        let pole = Location {
            latitude: 90.0,
            longitude: 0.0,
        };
        let mut nodes: Vec<(f64, f64)> = Vec::with_capacity(steps + 1);
        for step in 0..=steps {
            let days = step as f64 * STEP_DAYS;
            let time = JulianDate::new(first_jd + days, delta_t_s)?;
            let seen = SolarPositions::new().at_from_julian(time, pole, 0.0, None)?;
            let height_deg = seen.elevation_angle();
            let declination = height_deg + PARALLAX_DEG * height_deg.to_radians().cos();
            let offset = seen.azimuth() - 180.0 - 360.0 * days;
            let near = nodes.last().map_or(offset.rem_euclid(360.0), |last| {
                nearest_turn(offset, last.1)
            });
            nodes.push((declination, near));
        }
        Ok(Sky {
            start_jd,
            first_jd,
            delta_t_s,
            nodes,
        })
    }

    /// The Julian date (UT) so many seconds after the start.
    pub(super) fn jd(&self, elapsed_s: f64) -> f64 {
        self.start_jd + elapsed_s / S_PER_DAY
    }

    /// Seconds after the start at a Julian date (UT).
    pub(super) fn elapsed_s(&self, jd: f64) -> f64 {
        (jd - self.start_jd) * S_PER_DAY
    }

    /// TT - UT1, seconds, the same for all of these days.
    pub(super) fn delta_t_s(&self) -> f64 {
        self.delta_t_s
    }

    /// The sun at a Julian date (UT), as the event search wants it.
    pub(super) fn position(&self, jd: f64, location: Location) -> EventPosition {
        let (declination, greenwich_deg) = self.at(jd);
        let hour_angle = greenwich_deg + location.longitude;
        let (latitude, declination) = (location.latitude.to_radians(), declination.to_radians());
        let sine = latitude.sin() * declination.sin()
            + latitude.cos() * declination.cos() * hour_angle.to_radians().cos();
        let height = sine.clamp(-1.0, 1.0).asin();
        EventPosition {
            elevation: height.to_degrees() - PARALLAX_DEG * height.cos(),
            hour_angle,
        }
    }

    /// The Julian date (UT) at which the hour angle counted through from Greenwich is so much:
    /// 360° `k` less the longitude is the `k`-th noon there, 180° more the midnight after it.
    pub(super) fn when_hour_angle(&self, greenwich_deg: f64) -> f64 {
        let mut jd = self.first_jd + greenwich_deg / 360.0;
        // The offset drifts by less than 0.13° a day: each round is 2000 times nearer.
        for _ in 0..4 {
            jd += (greenwich_deg - self.at(jd).1) / 360.0;
        }
        jd
    }

    /// Declination and hour angle at Greenwich, degrees, the latter counted through.
    pub(super) fn at(&self, jd: f64) -> (f64, f64) {
        let days = jd - self.first_jd;
        let at = days / STEP_DAYS;
        let i = (at.max(0.0) as usize).min(self.nodes.len() - 2);
        let ((d0, h0), (d1, h1)) = (self.nodes[i], self.nodes[i + 1]);
        let part = at - i as f64;
        (d0 + (d1 - d0) * part, h0 + (h1 - h0) * part + 360.0 * days)
    }
}

/// The angle that differs from `angle` by whole turns and is nearest to `to`, degrees.
pub(super) fn nearest_turn(angle: f64, to: f64) -> f64 {
    angle + 360.0 * ((to - angle) / 360.0).round()
}
