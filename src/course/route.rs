//! The route as a line on the ellipsoid: every point of the file, lap after lap, with its distance
//! from the start.

use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::Inputs;
use crate::words::count;

use super::geodesy::{Spot, between_deg};
use super::words::km;
use super::{jitter, stray};

/// A jump between two parts of a track longer than this is said: at walking pace a receiver that
/// lost its fix for two minutes makes one of this length.
const NOTABLE_BREAK_M: f64 = 200.0;
/// A step between two points of one part longer than this is said: planners that draw straight
/// legs stay below it.
const NOTABLE_STEP_M: f64 = 2000.0;
/// A lap that ends farther than this from its beginning is said.
const NOTABLE_LAP_GAP_M: f64 = 200.0;
/// Nothing on foot that is planned with this is longer; a stray point half a world away makes a
/// route that is.
const LONGEST_M: f64 = 2_000_000.0;
/// Shorter than this there is nothing to plan.
const SHORTEST_M: f64 = 20.0;
/// Points over all laps that are still worked with.
const MOST_POINTS: usize = 5_000_000;

/// The line that is run.
#[derive(Debug)]
pub(super) struct Route {
    /// Points of the file.
    pub(super) points_in_file: usize,
    /// All points, lap after lap.
    pub(super) spots: Vec<Spot>,
    /// Distance of each point from the start, metres, without jitter; never falls.
    pub(super) along_m: Vec<f64>,
    /// The length that jitter adds, as a share; 0 where nothing was taken off.
    pub(super) jitter: f64,
    /// The least that `along_m` makes of the distance between two points that follow each other.
    pub(super) least_share: f64,
    /// Height of each point as the file has it, metres.
    pub(super) height_m: Vec<Option<f64>>,
    /// The number of laps, and the length of one with its closing gap.
    pub(super) laps: (usize, f64),
}

impl Route {
    /// Lays out the track, or says why there is nothing to run along.
    pub(super) fn lay(inputs: &Inputs, notes: &mut Notes) -> Option<Route> {
        let track = &inputs.track;
        let usable = |lat: f64, lon: f64| lat.abs() <= 90.0 && lon.abs() <= 540.0;
        // Kept beside its index in the file, for the breaks are given by index.
        let points: Vec<_> = (track.points.iter().enumerate())
            .filter(|(_, p)| usable(p.lat, p.lon))
            .collect();
        let dropped = track.points.len() - points.len();
        if dropped > 0 {
            notes.push(
                Diagnostic::warning(format!(
                    "{} of the route lie nowhere on earth and are left out",
                    count(dropped, "point")
                ))
                .at(track.span, "expected latitudes from -90 to 90"),
            );
        }
        let mut points: Vec<(usize, Spot)> = points
            .iter()
            .map(|(i, p)| (*i, Spot::new((p.lat, p.lon))))
            .collect();
        stray::leave_out(&mut points, inputs, notes);
        if points.len() < 2 {
            notes.push(
                Diagnostic::error(format!("the route has {}", count(points.len(), "point")))
                    .at(track.span, "expected at least 2 points")
                    .hint("export the route as a GPX track or route with its points"),
            );
            return None;
        }
        let index_in_file: Vec<usize> = points.iter().map(|(i, _)| *i).collect();
        let spots: Vec<Spot> = points.into_iter().map(|(_, spot)| spot).collect();
        let along_m = summed(spots.windows(2).map(|pair| pair[0].distance_m(&pair[1])));
        let mut one = Route {
            points_in_file: track.points.len(),
            height_m: (index_in_file.iter())
                .map(|i| track.points[*i].elevation_m)
                .collect(),
            spots,
            laps: (1, along_m.last().copied().unwrap_or(0.0)),
            along_m,
            jitter: 0.0,
            least_share: 1.0,
        };
        if !one.length_is_sane(inputs, notes) {
            return None;
        }
        one.take_off_jitter(inputs, notes);
        one.say_gaps(inputs, &index_in_file, notes);
        Some(one)
    }

    /// Shortens the steps by what a receiver's jitter adds to them, where that is of note.
    fn take_off_jitter(&mut self, inputs: &Inputs, notes: &mut Notes) {
        let Some(jitter) = jitter::of(&self.spots, &self.along_m) else {
            return;
        };
        let steps = self.along_m.windows(2).zip(&jitter.shares);
        let along_m = summed(steps.map(|(pair, share)| (pair[1] - pair[0]) * share));
        let recorded_m = self.length_m();
        self.along_m = along_m;
        self.laps.1 = self.length_m();
        self.jitter = recorded_m / self.length_m() - 1.0;
        self.least_share = jitter.shares.iter().copied().fold(1.0, f64::min);
        notes.push(
            Diagnostic::warning(format!(
                "the track was recorded with jitter, some {:.1} m to each side at every step, which adds {:.1} % to its length: {} is used for {}",
                jitter.step_m,
                100.0 * self.jitter,
                km(self.length_m()),
                km(recorded_m)
            ))
            .at(inputs.track.span, "expected the line of the course")
            .hint("where the organiser has a drawn route, use that; else add `official_distance_km` to `course.toml`"),
        );
    }

    /// The whole way when the file is run several times; the gap between its end and its beginning
    /// is run too.
    pub(super) fn repeated(self, inputs: &Inputs, notes: &mut Notes) -> Option<Route> {
        let laps = inputs.course.laps.max(1) as usize;
        if laps == 1 {
            return Some(self);
        }
        let (points, lap_m) = (self.spots.len(), self.length_m());
        if laps.saturating_mul(points) > MOST_POINTS {
            notes.push(
                Diagnostic::error(format!("{laps} laps of {points} points are too many"))
                    .at(
                        inputs.track.span,
                        format!("expected at most {MOST_POINTS} points in all"),
                    )
                    .hint("thin out the route file, or correct `laps` in `course.toml`"),
            );
            return None;
        }
        let gap_m = match (self.spots.first(), self.spots.last()) {
            (Some(first), Some(last)) => last.distance_m(first),
            _ => 0.0,
        };
        if gap_m > NOTABLE_LAP_GAP_M {
            notes.push(
                Diagnostic::warning(format!(
                    "the route ends {} from where it starts, and each of {laps} laps bridges that in a straight line",
                    km(gap_m)
                ))
                .at(inputs.track.span, "expected a lap that ends where it starts")
                .hint("close the lap in the route file, or leave out `laps` and draw all of them"),
            );
        }
        let stride_m = lap_m + gap_m;
        let whole = Route {
            points_in_file: self.points_in_file,
            spots: self.spots.repeat(laps),
            along_m: (0..laps)
                .flat_map(|lap| self.along_m.iter().map(move |m| m + stride_m * lap as f64))
                .collect(),
            height_m: self.height_m.repeat(laps),
            laps: (laps, stride_m),
            jitter: self.jitter,
            least_share: self.least_share,
        };
        whole.length_is_sane(inputs, notes).then_some(whole)
    }

    /// From the first point to the last, metres.
    pub(super) fn length_m(&self) -> f64 {
        self.along_m.last().copied().unwrap_or(0.0)
    }

    /// Positions at distances that do not fall, degrees.
    pub(super) fn positions_deg(&self, at_m: impl Iterator<Item = f64>) -> Vec<(f64, f64)> {
        let last_step = self.spots.len().saturating_sub(2);
        let mut step = 0;
        at_m.map(|m| {
            while step < last_step && self.along_m[step + 1] < m {
                step += 1;
            }
            let (from_m, to_m) = (self.along_m[step], self.along_m[step + 1]);
            let share = if to_m > from_m {
                (m - from_m) / (to_m - from_m)
            } else {
                0.0
            };
            between_deg(
                self.spots[step].deg,
                self.spots[step + 1].deg,
                share.clamp(0.0, 1.0),
            )
        })
        .collect()
    }

    /// One warning for all of them, for a route drawn in straight legs may have hundreds.
    fn say_gaps(&self, inputs: &Inputs, index_in_file: &[usize], notes: &mut Notes) {
        let mut breaks = inputs.track.breaks.clone();
        breaks.sort_unstable();
        let has_break = |i: usize| {
            let next = breaks.partition_point(|b| *b <= index_in_file[i]);
            breaks.get(next).is_some_and(|b| *b <= index_in_file[i + 1])
        };
        let gaps: Vec<(f64, f64)> = (self.along_m.windows(2).enumerate())
            .map(|(i, pair)| (i, pair[1] - pair[0], pair[0]))
            .filter(|(i, gap_m, _)| {
                *gap_m > NOTABLE_STEP_M || *gap_m > NOTABLE_BREAK_M && has_break(*i)
            })
            .map(|(_, gap_m, at_m)| (gap_m, at_m))
            .collect();
        let Some((longest_m, at_m)) = gaps.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0))
        else {
            return;
        };
        let others = match gaps.len() - 1 {
            0 => String::new(),
            others => format!(" and in {}", count(others, "other place")),
        };
        notes.push(
            Diagnostic::warning(format!(
                "the route has no points for {} after {}{others}, and is taken to run straight there",
                km(longest_m),
                km(at_m)
            ))
            .at(inputs.track.span, "expected points along the whole way")
            .hint("draw the missing stretch, or check the order of the track's segments"),
        );
    }

    fn how_to_shorten(&self) -> String {
        let steps = self.along_m.windows(2).map(|pair| pair[1] - pair[0]);
        let longest = steps.enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
        let (before, step_m) = longest.unwrap_or_default();
        format!(
            "look for stray points, or correct `laps` in `course.toml`: the longest step, of {}, follows point {}",
            km(step_m),
            before + 1
        )
    }

    fn length_is_sane(&self, inputs: &Inputs, notes: &mut Notes) -> bool {
        let length_m = self.length_m();
        let sane = (SHORTEST_M..=LONGEST_M).contains(&length_m);
        if !sane {
            let (found, hint) = if length_m < SHORTEST_M {
                (
                    format!("{length_m:.1} m"),
                    "check that the points of the route are not all the same".to_owned(),
                )
            } else {
                (km(length_m), self.how_to_shorten())
            };
            notes.push(
                Diagnostic::error(format!("the route is {found} long"))
                    .at(
                        inputs.track.span,
                        format!("expected {SHORTEST_M:.0} m to {}", km(LONGEST_M)),
                    )
                    .hint(hint),
            );
        }
        sane
    }
}

/// Sums from 0 on.
fn summed(steps_m: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut sums_m = Vec::with_capacity(steps_m.size_hint().0 + 1);
    let mut so_far_m = 0.0;
    sums_m.push(so_far_m);
    for step_m in steps_m {
        so_far_m += step_m;
        sums_m.push(so_far_m);
    }
    sums_m
}
