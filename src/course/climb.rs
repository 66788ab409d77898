//! Climb and descent by turning points: a change of direction counts once the height has turned by
//! more than a threshold, so that noise on a long slope adds nothing.

/// Climb and descent of a row of heights, metres, counted between turning points.
///
/// A turning point is a highest or lowest height from which the next heights move away by at least
/// `threshold_m` before they pass it. Up to the threshold may be missing at each end. With a
/// threshold of 0 every rise and fall counts.
///
/// ```
/// use sutler::course::climb_and_descent_m;
/// let jitter = [0.0, 2.0, 0.0, 2.0, 0.0];
/// assert_eq!(climb_and_descent_m(&jitter, 0.0), (4.0, 4.0));
/// assert_eq!(climb_and_descent_m(&jitter, 3.0), (0.0, 0.0));
/// assert_eq!(climb_and_descent_m(&[100.0, 160.0, 158.0, 180.0], 3.0), (80.0, 0.0));
/// ```
#[must_use]
pub fn climb_and_descent_m(height_m: &[f64], threshold_m: f64) -> (f64, f64) {
    let turns = turning_points(height_m, threshold_m);
    turns.windows(2).fold((0.0, 0.0), |(up, down), leg| {
        let rise_m = height_m[leg[1]] - height_m[leg[0]];
        (up + rise_m.max(0.0), down - rise_m.min(0.0))
    })
}

/// A dip of less than this does not end a climb, nor a rise a descent: our choice.
const ONE_GO_M: f64 = 30.0;

/// The most height gained in one go, and the most lost, metres; dips and rises of less than 30 m
/// on the way do not count as an end.
///
/// ```
/// use sutler::course::longest_climb_and_descent_m;
/// let hills = [100.0, 400.0, 390.0, 600.0, 500.0, 650.0];
/// assert_eq!(longest_climb_and_descent_m(&hills), (500.0, 100.0));
/// ```
#[must_use]
pub fn longest_climb_and_descent_m(height_m: &[f64]) -> (f64, f64) {
    let turns = turning_points(height_m, ONE_GO_M);
    turns.windows(2).fold((0.0, 0.0), |(up, down), leg| {
        let rise_m = height_m[leg[1]] - height_m[leg[0]];
        (f64::max(up, rise_m), f64::max(down, -rise_m))
    })
}

/// Climb and descent from the first height up to each, metres; neither ever falls.
#[derive(Debug)]
pub(super) struct ClimbSums {
    pub(super) up_m: Vec<f64>,
    pub(super) down_m: Vec<f64>,
}

impl ClimbSums {
    /// Sums between turning points found once over the whole row.
    ///
    /// Within a rising leg the sum follows the highest height so far, within a falling one the
    /// lowest, so that what is attributed to parts of a leg adds up to the leg exactly.
    pub(super) fn between(height_m: &[f64], turns: &[usize]) -> ClimbSums {
        let mut sums = ClimbSums {
            up_m: vec![0.0; height_m.len()],
            down_m: vec![0.0; height_m.len()],
        };
        let (mut up_m, mut down_m) = (0.0, 0.0);
        let mut done = 0;
        for leg in turns.windows(2) {
            let (from, to) = (leg[0], leg[1]);
            let rise_m = height_m[to] - height_m[from];
            sums.up_m[done..from].fill(up_m);
            sums.down_m[done..from].fill(down_m);
            let mut reached_m = 0.0_f64;
            for i in from..=to {
                let moved_m = (height_m[i] - height_m[from]) * rise_m.signum();
                reached_m = reached_m.max(moved_m).min(rise_m.abs());
                let (rising, falling) = if rise_m > 0.0 {
                    (reached_m, 0.0)
                } else {
                    (0.0, reached_m)
                };
                sums.up_m[i] = up_m + rising;
                sums.down_m[i] = down_m + falling;
            }
            up_m += rise_m.max(0.0);
            down_m -= rise_m.min(0.0);
            done = to;
        }
        sums.up_m[done..].fill(up_m);
        sums.down_m[done..].fill(down_m);
        sums
    }

    /// Climb and descent up to a place between the heights, counted in heights from the first.
    pub(super) fn at(&self, place: f64) -> (f64, f64) {
        (
            interpolate(&self.up_m, place),
            interpolate(&self.down_m, place),
        )
    }
}

/// Indices of the turning points, highest and lowest in turn; empty where nothing turns by more
/// than the threshold.
pub(super) fn turning_points(height_m: &[f64], threshold_m: f64) -> Vec<usize> {
    let threshold_m = threshold_m.max(f64::MIN_POSITIVE);
    let mut turns = Vec::new();
    let (mut lowest, mut highest) = (0, 0);
    let mut rising = None;
    for (i, h) in height_m.iter().enumerate() {
        // Whichever way it goes, both candidates start at the last turning point.
        if *h > height_m[highest] {
            highest = i;
        }
        if *h < height_m[lowest] {
            lowest = i;
        }
        let from_low = rising != Some(true) && h - height_m[lowest] >= threshold_m;
        let from_high = rising != Some(false) && height_m[highest] - h >= threshold_m;
        if from_low {
            turns.push(lowest);
            highest = i;
            rising = Some(true);
        } else if from_high {
            turns.push(highest);
            lowest = i;
            rising = Some(false);
        }
    }
    match rising {
        Some(true) => turns.push(highest),
        Some(false) => turns.push(lowest),
        None => {}
    }
    turns
}

/// Between the values of a row, linear; its ends beyond it.
pub(super) fn interpolate(values: &[f64], place: f64) -> f64 {
    let Some(last) = values.len().checked_sub(1) else {
        return 0.0;
    };
    let place = place.clamp(0.0, last as f64);
    let i = (place as usize).min(last);
    let next = (i + 1).min(last);
    values[i] + (values[next] - values[i]) * (place - i as f64)
}
