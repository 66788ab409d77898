//! The route on an even grid: heights, positions and ground, and the climb they add up to.

use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::Inputs;
use crate::inputs::course_toml::HeightSource;
use crate::inputs::surfaces_csv::Surface;

use super::climb::{ClimbSums, climb_and_descent_m, interpolate, turning_points};
use super::elevation::{HeightRepair, repair};
use super::geodesy::between_deg;
use super::route::Route;
use super::smooth::heights_on_grid;

/// Grid steps are at most this long, metres: short enough for the steepest pitch that changes a
/// pace, long enough for heights to say something about it.
const LONGEST_STEP_M: f64 = 25.0;
/// A short route still has this many nodes.
const FEWEST_NODES: usize = 20;
/// The organiser's climb over ours is believed within these: beyond, one of them is another course.
const BELIEVED_RATIO: std::ops::RangeInclusive<f64> = 0.7..=1.4;
/// Heights are stretched by no more than this to meet it.
const STRETCHES: std::ops::RangeInclusive<f64> = 0.5..=2.0;

/// The route on an even grid: node `i` lies `i * spacing_m` along the route file (all laps).
#[derive(Clone, Debug)]
pub struct Profile {
    /// Metres between nodes; the last interval is as long as the others because the spacing is
    /// the route length divided into equal parts.
    pub spacing_m: f64,
    /// Filtered height of each node, metres, scaled to the organiser's climb where one is given.
    pub elevation_m: Vec<f64>,
    /// Latitude and longitude of each node, degrees.
    pub position_deg: Vec<(f64, f64)>,
    /// The ground between node `i` and `i + 1`; one fewer than nodes.
    pub surface: Vec<Surface>,
}

impl Profile {
    /// Length of the route, metres.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.spacing_m * self.elevation_m.len().saturating_sub(1) as f64
    }

    /// Height at a distance along the route, metres, between nodes linear.
    #[must_use]
    pub fn elevation_at_m(&self, distance_m: f64) -> f64 {
        interpolate(&self.elevation_m, distance_m / self.spacing_m)
    }

    /// Latitude and longitude at a distance along the route, degrees, between nodes linear.
    #[must_use]
    pub fn position_at_deg(&self, distance_m: f64) -> (f64, f64) {
        let Some(last) = self.position_deg.len().checked_sub(1) else {
            return (0.0, 0.0);
        };
        let place = (distance_m / self.spacing_m).clamp(0.0, last as f64);
        let before = (place as usize).min(last);
        let next = (before + 1).min(last);
        let share = place - before as f64;
        between_deg(self.position_deg[before], self.position_deg[next], share)
    }

    /// Gradient (rise over run, signed) between node `i` and `i + 1`; 0 beyond the last.
    #[must_use]
    pub fn gradient(&self, i: usize) -> f64 {
        match (self.elevation_m.get(i), self.elevation_m.get(i + 1)) {
            (Some(from), Some(to)) => (to - from) / self.spacing_m,
            _ => 0.0,
        }
    }
}

/// A profile with what is known about its climb, before and after meeting the organiser's.
#[derive(Debug)]
pub(super) struct MeasuredProfile {
    /// The ground is still that of the whole course.
    pub(super) profile: Profile,
    /// Climb and descent up to each node, scaled.
    pub(super) sums: ClimbSums,
    pub(super) raw_m: (f64, f64),
    pub(super) filtered_m: (f64, f64),
    pub(super) repairs: HeightRepair,
}

/// Measures the heights of one lap's route and lays all laps out on the grid.
pub(super) fn measure(
    mut lap: Route,
    inputs: &Inputs,
    notes: &mut Notes,
) -> Option<(Route, MeasuredProfile)> {
    let (mut repairs, has_heights) = repair(&mut lap, inputs, notes);
    let route = lap.repeated(inputs, notes)?;
    let known: Vec<(f64, f64)> = (route.along_m.iter().zip(&route.height_m))
        .filter_map(|(along_m, height_m)| height_m.map(|h| (*along_m, h)))
        .collect();
    let steps = (route.length_m() / LONGEST_STEP_M).ceil() as usize;
    let nodes = (steps + 1).max(FEWEST_NODES);
    let spacing_m = route.length_m() / (nodes - 1) as f64;
    let (mut elevation_m, mut raw_m) = (vec![0.0; nodes], (0.0, 0.0));
    if has_heights {
        let heights: Vec<f64> = known.iter().map(|(_, h)| *h).collect();
        raw_m = climb_and_descent_m(&heights, 0.0);
        (elevation_m, repairs.window_m) =
            heights_on_grid(&known, nodes, spacing_m, inputs.course.heights);
        repairs.threshold_m = threshold_m(inputs.course.heights);
        say_doubtful_climb(&elevation_m, spacing_m, inputs, notes);
    }
    let turns = turning_points(&elevation_m, repairs.threshold_m);
    let filtered = ClimbSums::between(&elevation_m, &turns);
    let filtered_m = filtered.at(nodes as f64);
    let sums = match stretched(&elevation_m, &turns, filtered_m.0, inputs, notes) {
        Some((stretch, stretched_m)) => {
            repairs.stretch = Some(stretch);
            elevation_m = stretched_m;
            ClimbSums::between(&elevation_m, &turns)
        }
        None => filtered,
    };
    let profile = Profile {
        spacing_m,
        elevation_m,
        position_deg: route.positions_deg((0..nodes).map(|node| node as f64 * spacing_m)),
        surface: vec![inputs.course.surface; nodes - 1],
    };
    let measured = MeasuredProfile {
        profile,
        sums,
        raw_m,
        filtered_m,
        repairs,
    };
    Some((route, measured))
}

/// Heights that turn by less than this add no climb, metres.
///
/// No threshold has been agreed on in print; these keep the climb of a course within 3 % of the
/// truth under the noise that each source has (common practice, no source).
fn threshold_m(source: HeightSource) -> f64 {
    match source {
        HeightSource::Barometer | HeightSource::TerrainModel => 3.0,
        HeightSource::Unknown => 5.0,
        HeightSource::Satellite => 10.0,
    }
}

/// A warning: where nobody says what the heights are, and they wander no more than a receiver's do,
/// low rises and noise that lasts cannot be told apart; how much of the climb that is, is said.
fn say_doubtful_climb(elevation_m: &[f64], spacing_m: f64, inputs: &Inputs, notes: &mut Notes) {
    let wander_m = wander_m(elevation_m, spacing_m);
    if inputs.course.heights != HeightSource::Unknown || !NOISE_M.contains(&wander_m) {
        return;
    }
    // noise turns by five times its deviation a few times in a hundred kilometres
    let high_m = 5.0 * wander_m;
    let climb_m = |threshold_m| climb_and_descent_m(elevation_m, threshold_m).0;
    let all_m = climb_m(threshold_m(inputs.course.heights));
    let doubtful_m = all_m - climb_m(high_m);
    if doubtful_m < DOUBTFUL_M {
        return;
    }
    notes.push(
        Diagnostic::warning(format!(
            "{doubtful_m:.0} m of the {all_m:.0} m of climb may be noise: they are rises below {high_m:.0} m, and the heights wander by {wander_m:.1} m, as those of a receiver do"
        ))
        .at(inputs.track.span, "expected heights of a terrain model or a barometer")
        .hint("say what they are with `heights` in `course.toml`, or give `official_climb_m`"),
    );
}

/// Less climb than this in doubt is not worth a word, metres.
const DOUBTFUL_M: f64 = 50.0;
/// Heights that wander by less turn by the usual threshold seldom enough, and by more there are hills,
/// metres: even waves of 5 m, the least rise that would count, wander by 4.3.
const NOISE_M: std::ops::RangeInclusive<f64> = 2.2..=4.0;
/// Distances at which heights are compared, metres: from the shortest rise that could count to beyond
/// where the errors of a receiver still hang together.
const APART_M: [f64; 5] = [50.0, 100.0, 200.0, 400.0, 800.0];

/// The deviation of heights from the line between those before and after them, at the distance
/// where it is greatest, as that of one height; by the median, which single hills do not move.
fn wander_m(height_m: &[f64], spacing_m: f64) -> f64 {
    let at = |apart_m: f64| {
        let lag = (apart_m / spacing_m).round().max(1.0) as usize;
        let ends = height_m.iter().zip(height_m.iter().skip(2 * lag));
        let mut off_m: Vec<f64> = (ends.zip(height_m.iter().skip(lag)))
            .map(|((before, after), here)| (before + after - 2.0 * here).abs())
            .collect();
        let middle = off_m.len() / 2;
        if off_m.is_empty() {
            return 0.0;
        }
        let (_, median, _) = off_m.select_nth_unstable_by(middle, f64::total_cmp);
        // of a normal deviate, and of three heights of which one counts twice
        *median / 0.6745 / 6.0_f64.sqrt()
    };
    APART_M.into_iter().map(at).fold(0.0, f64::max)
}

/// Heights whose climb between the same turning points is the organiser's, and the factor on
/// their deviations from the straight line between the first and the last of them. Those two keep
/// their heights, and so does the way before and after them, which counts for nothing.
fn stretched(
    elevation_m: &[f64],
    turns: &[usize],
    climb_m: f64,
    inputs: &Inputs,
    notes: &mut Notes,
) -> Option<(f64, Vec<f64>)> {
    let official = inputs.course.official_climb_m.as_ref()?;
    let (first, last) = (*turns.first().unwrap_or(&0), *turns.last().unwrap_or(&0));
    let from_m = elevation_m.get(first)?;
    let step_m = (elevation_m.get(last)? - from_m) / (last - first).max(1) as f64;
    let line_m = |i: usize| from_m + step_m * (i as f64 - first as f64);
    let legs: Vec<ProfileLeg> = (turns.windows(2))
        .map(|leg| {
            let of_line_m = line_m(leg[1]) - line_m(leg[0]);
            ProfileLeg {
                of_line_m,
                beside_line_m: elevation_m[leg[1]] - elevation_m[leg[0]] - of_line_m,
            }
        })
        .collect();
    let lowest_m = (BELIEVED_RATIO.start() * climb_m).max(climb_at(*STRETCHES.start(), &legs).0);
    let highest_m = (BELIEVED_RATIO.end() * climb_m).min(climb_at(*STRETCHES.end(), &legs).0);
    if (lowest_m..=highest_m).contains(&official.value)
        && let Some(stretch) = stretch_for(official.value, &legs)
    {
        let mut stretched = elevation_m.to_vec();
        for (i, h) in (first..).zip(&mut stretched[first..=last]) {
            *h = line_m(i) + stretch * (*h - line_m(i));
        }
        return Some((stretch, stretched));
    }
    let (what, hint) = if IN_FEET.contains(&(climb_m / official.value)) {
        (
            "look like feet",
            "GPX has heights in metres: save the route again, or turn them into metres",
        )
    } else {
        (
            "are kept as they are",
            "check `official_climb_m`, and that the route file is this course with all its laps",
        )
    };
    notes.push(
        Diagnostic::warning(format!(
            "the organiser's climb ({:.0} m) is too far from that of the route file ({climb_m:.0} m), whose heights {what}",
            official.value
        ))
        .at(
            official.span,
            format!("expected {lowest_m:.0} to {highest_m:.0} m"),
        )
        .hint(hint),
    );
    None
}

/// Climb of the route over the organiser's where the route's heights are in feet: 3.28, less or more
/// as far as such sums differ.
const IN_FEET: std::ops::RangeInclusive<f64> = 2.7..=4.0;

/// The rise between two turning points, metres: that of the straight line under all of them, and
/// the rest, which is stretched.
struct ProfileLeg {
    of_line_m: f64,
    beside_line_m: f64,
}

/// The climb at a stretch, metres, and how fast it grows with the stretch.
///
/// A shallow drop on a rising line is a rise when it is flattened enough, so which legs climb
/// depends on the stretch; the climb is convex in it, and has no jumps.
fn climb_at(stretch: f64, legs: &[ProfileLeg]) -> (f64, f64) {
    let rise_m = |leg: &ProfileLeg| leg.of_line_m + stretch * leg.beside_line_m;
    (legs.iter())
        .filter(|leg| rise_m(leg) > 0.0)
        .fold((0.0, 0.0), |(climb_m, slope_m), leg| {
            (climb_m + rise_m(leg), slope_m + leg.beside_line_m)
        })
}

/// The stretch at which the legs climb `climb_m`; `None` where none in [`STRETCHES`] does.
///
/// Newton's steps from above: on a convex row of straight pieces they end on the right one, from
/// where one step is exact.
fn stretch_for(climb_m: f64, legs: &[ProfileLeg]) -> Option<f64> {
    let misses =
        |stretch: f64| (climb_at(stretch, legs).0 - climb_m).abs() > 1e-9 * climb_m.max(1.0);
    // Where nothing climbs any stretch would do.
    if !misses(1.0) {
        return Some(1.0);
    }
    let mut stretch = *STRETCHES.end();
    for _ in 0..=legs.len() {
        let (reached_m, slope_m) = climb_at(stretch, legs);
        let next = stretch - (reached_m - climb_m) / slope_m;
        if next.is_nan() || next >= stretch {
            break;
        }
        stretch = next;
    }
    (STRETCHES.contains(&stretch) && !misses(stretch)).then_some(stretch)
}
