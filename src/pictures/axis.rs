//! Marks on axes: round numbers, and full hours on the wall.

use crate::facts::{HourFacts, Measure, Moment};

/// Ticks stand at least so far apart.
const LEAST_TICK_PX: f64 = 4.0;

/// A mark on an axis.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mark {
    /// Its place: numbers as shown, distances in metres, times in seconds.
    pub(super) at: f64,
    /// The words beside it.
    pub(super) label: String,
    /// An end of the plan: it stays where others make room.
    pub(super) end: bool,
}

/// The smallest step of 1, 2 or 5 times a power of ten that cuts a span into at most so many.
pub(super) fn round_step(span: f64, most: f64) -> f64 {
    let rough = (span / most).max(1e-6);
    let mut power = 1e-6;
    while power * 10.0 <= rough {
        power *= 10.0;
    }
    [1.0, 2.0, 5.0, 10.0]
        .iter()
        .map(|factor| factor * power)
        .find(|step| *step >= rough * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// Round multiples from one number to another, the ends included where they are round.
pub(super) fn round_marks(from: f64, to: f64, most: f64) -> Vec<Mark> {
    let step = round_step(to - from, most);
    let (first, last) = (
        (from / step - 1e-9).ceil() as i64,
        (to / step + 1e-9).floor() as i64,
    );
    (first..=last)
        .map(|index| {
            let at = index as f64 * step;
            let label = if step < 1.0 {
                format!("{at:.1}")
            } else {
                format!("{at:.0}")
            };
            Mark {
                at,
                label,
                end: false,
            }
        })
        .collect()
}

/// Marks along a course in the reader's units: round ones, and the end as it is; in metres.
pub(super) fn distance_marks(length: &Measure, unit_m: f64, most: f64) -> Vec<Mark> {
    let end = length.value / unit_m;
    let step = round_step(end, most);
    let mut marks = round_marks(0.0, end, most);
    marks.retain(|mark| mark.at <= end - 0.45 * step);
    for mark in &mut marks {
        mark.at *= unit_m;
    }
    marks.push(Mark {
        at: length.value,
        label: length.text.clone(),
        end: true,
    });
    marks
}

/// Labelled hours between two ends that are labelled as they are, at least `apart_px` from one
/// another. Both of two hours that the clocks show twice are among them where there is room.
pub(super) fn time_marks(
    hours: &[HourFacts],
    ends: [&Moment; 2],
    to_s: f64,
    px_per_s: f64,
    apart_px: f64,
) -> Vec<Mark> {
    let mut kept: Vec<(&Moment, bool)> = ends.map(|end| (end, true)).to_vec();
    let every = [1, 2, 3, 4, 6, 12, 24]
        .into_iter()
        .find(|hours| f64::from(*hours) * 3600.0 * px_per_s >= 1.6 * apart_px)
        .unwrap_or(24);
    // both of a repeated hour stand there, or it is an hour like any other
    let both = 3600.0 * px_per_s >= apart_px;
    let shown = || hours.iter().filter(|hour| hour.at.elapsed.as_s() <= to_s);
    let twice = shown().filter(|hour| both && hour.repeated);
    let others = shown().filter(|hour| !(both && hour.repeated) && hour.hour % every == 0);
    for hour in twice.chain(others) {
        let apart_s = |at: &Moment| (at.elapsed - hour.at.elapsed).as_s().abs();
        if kept
            .iter()
            .all(|(at, _)| apart_s(at) * px_per_s >= apart_px)
        {
            kept.push((&hour.at, false));
        }
    }
    kept.sort_by_key(|(at, _)| at.elapsed);
    let mut day = None;
    let marks = kept.into_iter().map(|(at, end)| {
        // the day once, and at the ends
        let label = if at.day == day && !end {
            &at.clock
        } else {
            &at.text
        };
        day = at.day;
        Mark {
            at: at.elapsed.as_s(),
            label: label.clone(),
            end,
        }
    });
    marks.collect()
}

/// Full hours that have room for a tick each, seconds.
pub(super) fn hour_ticks(hours: &[HourFacts], to_s: f64, px_per_s: f64) -> Vec<f64> {
    let room = 3600.0 * px_per_s >= LEAST_TICK_PX;
    let all = hours.iter().map(|hour| hour.at.elapsed.as_s());
    all.filter(|at| room && *at <= to_s).collect()
}

/// Stretches of a line where something holds, from its values at even steps.
pub(super) fn runs(holds: &[bool]) -> Vec<(usize, usize)> {
    let mut found: Vec<(usize, usize)> = Vec::new();
    for (index, _) in holds.iter().enumerate().filter(|(_, held)| **held) {
        match found.last_mut() {
            Some((_, end)) if *end == index => *end = index + 1,
            _ => found.push((index, index + 1)),
        }
    }
    found
}
