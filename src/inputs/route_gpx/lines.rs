//! The points of all tracks, or of all routes, of a file, one line behind the other.

use super::TrackPoint;
use super::problems::Problems;
use super::times::Times;
use super::values::Heights;

/// All tracks or all routes.
#[derive(Default)]
pub(super) struct Lines {
    /// Each with its name and number of points; only the last may have none.
    lines: Vec<TrackLine>,
    pub(super) points: Vec<TrackPoint>,
    /// Index of the first point of each segment after the first.
    pub(super) breaks: Vec<usize>,
    /// True where the next point begins a segment.
    broken: bool,
    pub(super) heights: Heights,
    pub(super) times: Times,
    pub(super) problems: Problems,
}

/// A track or a route.
#[derive(Default)]
pub(super) struct TrackLine {
    pub(super) name: Option<String>,
    pub(super) points: usize,
}

impl Lines {
    pub(super) fn begin_line(&mut self) {
        self.begin_segment();
        match self.lines.last_mut() {
            Some(last) if last.points == 0 => *last = TrackLine::default(),
            _ => self.lines.push(TrackLine::default()),
        }
    }

    pub(super) fn begin_segment(&mut self) {
        self.broken = true;
    }

    pub(super) fn name(&mut self, name: Option<String>) {
        if let Some(line) = self.lines.last_mut() {
            line.name = name;
        }
    }

    pub(super) fn push(&mut self, lat: f64, lon: f64) {
        if self.broken && !self.points.is_empty() {
            self.breaks.push(self.points.len());
        }
        self.broken = false;
        self.points.push(TrackPoint {
            lat,
            lon,
            elevation_m: None,
            time_s: None,
        });
        if let Some(line) = self.lines.last_mut() {
            line.points += 1;
        }
    }

    /// The height of the last point.
    pub(super) fn set_height(&mut self, written: &str) {
        let height = self.heights.parse(written, self.points.len());
        if let Some(point) = self.points.last_mut() {
            point.elevation_m = height;
        }
    }

    /// The time of the last point.
    pub(super) fn set_time(&mut self, written: &str) {
        let time_s = self.times.parse(written, self.points.len());
        if let Some(point) = self.points.last_mut() {
            point.time_s = time_s;
        }
    }

    /// Those that have points.
    pub(super) fn with_points(&self) -> &[TrackLine] {
        match self.lines.split_last() {
            Some((last, before)) if last.points == 0 => before,
            _ => &self.lines,
        }
    }
}
