//! Marks on axes: round numbers, and full hours on the wall.

use chrono::Timelike;

use crate::schedule::Schedule;
use crate::time::{Elapsed, day_name};

/// A mark on an axis.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mark {
    /// In the axis's own unit: what is shown for numbers, seconds for times.
    pub(super) at: f64,
    /// What stands beside it.
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

/// Marks for a distance of the reader's units: round ones, and the end as it is.
pub(super) fn distance_marks(end: f64, most: f64) -> Vec<Mark> {
    let mut marks = round_marks(0.0, end, most);
    let step = round_step(end, most);
    marks.retain(|mark| mark.at <= end - 0.45 * step);
    marks.push(Mark {
        at: end,
        label: format!("{end:.1}"),
        end: true,
    });
    marks
}

/// Full hours between the start and `to_s`, at least `apart_px` from one another, with the start
/// and the finish as they are. Both of two hours that the clocks show twice are among them where
/// there is room for both.
pub(super) fn time_marks(
    schedule: &Schedule,
    finish: Elapsed,
    to_s: f64,
    px_per_s: f64,
    apart_px: f64,
) -> Vec<Mark> {
    let mut kept: Vec<Mark> = [Elapsed::ZERO, finish]
        .map(|end| Mark {
            at: end.as_s(),
            label: schedule.show(end),
            end: true,
        })
        .to_vec();
    let hours = full_hours(schedule, to_s);
    let every = [1, 2, 3, 4, 6, 12, 24]
        .into_iter()
        .find(|hours| f64::from(*hours) * 3600.0 * px_per_s >= 1.6 * apart_px)
        .unwrap_or(24);
    // both of a repeated hour stand there, or it is an hour like any other
    let both = 3600.0 * px_per_s >= apart_px;
    let twice = hours.iter().filter(|hour| both && hour.twice);
    let others = hours
        .iter()
        .filter(|hour| !(both && hour.twice) && hour.hour % every == 0);
    for hour in twice.chain(others) {
        let free = |mark: &Mark| (mark.at - hour.at).abs() * px_per_s >= apart_px;
        if kept.iter().all(free) {
            kept.push(Mark {
                at: hour.at,
                label: hour.label.clone(),
                end: false,
            });
        }
    }
    kept.sort_by(|a, b| a.at.total_cmp(&b.at));
    days_once(&mut kept);
    kept
}

/// Takes the day's name off the times that follow one of the same day.
fn days_once(marks: &mut [Mark]) {
    let mut day = String::new();
    for mark in marks {
        let Some((own, time)) = mark.label.split_once(' ') else {
            continue;
        };
        let (own, time) = (own.to_owned(), time.to_owned());
        if own == day && !mark.end {
            mark.label = time;
        }
        day = own;
    }
}

/// A full hour on the wall, or of the race where no clock is known.
struct FullHour {
    at: f64,
    hour: u32,
    /// The clocks show it twice.
    twice: bool,
    label: String,
}

fn full_hours(schedule: &Schedule, to_s: f64) -> Vec<FullHour> {
    let last_s = to_s.floor() as i64;
    let Some(clock) = schedule.clock else {
        return (0..=last_s / 3600)
            .map(|hour| FullHour {
                at: hour as f64 * 3600.0,
                hour: hour as u32,
                twice: false,
                label: Elapsed::from_secs(hour * 3600).to_string(),
            })
            .collect();
    };
    // minute by minute: zones change by halves of an hour too
    let first_s = i64::from((60 - clock.start().second()) % 60);
    (0..=(last_s - first_s).max(0) / 60)
        .map(|minute| Elapsed::from_secs(first_s + minute * 60))
        .filter_map(|elapsed| {
            let instant = clock.at(elapsed);
            (instant.minute() == 0 && elapsed.as_secs() <= last_s).then(|| FullHour {
                at: elapsed.as_s(),
                hour: instant.hour(),
                twice: clock.repeated(elapsed).is_some(),
                label: format!("{} {}", day_name(&instant), clock.show_time(elapsed)),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        for (span, most, step) in [
            (161.6, 9.0, 20.0),
            (50.1, 11.0, 5.0),
            (8.0, 10.0, 1.0),
            (3100.0, 5.0, 1000.0),
        ] {
            assert!((round_step(span, most) - step).abs() < 1e-9, "{span}");
        }
    }

    #[test]
    fn a_distance_ends_where_it_ends() {
        let marks = distance_marks(161.6, 9.0);
        assert_eq!(marks.last().map(|m| m.label.as_str()), Some("161.6"));
        // 160 would stand on the end
        assert_eq!(marks[marks.len() - 2].label, "140");
    }
}
