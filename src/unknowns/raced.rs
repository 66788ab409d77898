//! Races run before, as long runs of which little is known.

use crate::course::{Course, longest_climb_and_descent_m};
use crate::inputs::record_toml::{RunGround, RunSky};
use crate::inputs::{PastResult, RunRecord};
use crate::time::S_PER_HOUR;

/// A race that took longer ran into the night. Our choice.
const INTO_THE_NIGHT_H: f64 = 18.0;
/// And so long into it, hours, at least. Our choice.
const NIGHT_H: f64 = 3.0;

/// A race as a run: its hours, climbs in proportion to the climb of all of it, and its night.
/// Nobody noted what was eaten, so it tests no stomach.
pub(super) fn as_run(past: &PastResult, race: &Course) -> RunRecord {
    let (up_m, down_m) = longest_climb_and_descent_m(&race.profile.elevation_m);
    let (climb_m, _) = race.climb_and_descent_m();
    let share = (past.climb_m / climb_m.max(1.0)).min(1.0);
    let time = past.time.value;
    RunRecord {
        date: past.date.unwrap_or_default(),
        time,
        ground: RunGround {
            distance_m: Some(past.distance_m),
            longest_climb_m: Some(share * up_m),
            longest_descent_m: Some(share * down_m),
            ..RunGround::default()
        },
        sky: RunSky {
            dark_s: (time.as_hours() >= INTO_THE_NIGHT_H).then_some(NIGHT_H * S_PER_HOUR),
            ..RunSky::default()
        },
        ..RunRecord::default()
    }
}
