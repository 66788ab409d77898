//! Settings of a fade that is fitted.

use crate::pacing::{Fade, Goal, Pacing, PacingSettings, solve};

use super::recording::Recording;

/// The usual fade while moving, for a runner of whom nothing is known.
///
/// The default fade of 1 was fitted to times with the stops in them. Where the standing is counted
/// by itself, 0.85 to 0.95 of that fits the same 25 public recordings best.
pub const USUAL_FADE: f64 = 0.9;
/// The time stood still that goes with a fade while moving, over the usual: a runner's own was
/// tried on the same recordings and predicted runs that were left out no better.
pub const USUAL_STOPS: f64 = 1.0;

/// The solver's settings with a fade while moving in them, and the usual standing.
#[must_use]
pub fn own_settings(fade: f64) -> PacingSettings {
    PacingSettings {
        stop_multiplier: Some(USUAL_STOPS),
        ..moving(fade)
    }
}

/// The settings for moving alone.
pub(super) fn moving(fade: f64) -> PacingSettings {
    PacingSettings {
        fade: Fade::Slowing { strength: fade },
        ..PacingSettings::default()
    }
}

/// The plan of a recording's course for its finish, as if nothing else were known of it; `None`
/// where nobody could have run it.
pub(super) fn planned(recording: &Recording, settings: &PacingSettings) -> Option<Pacing> {
    let goal = Goal {
        finish_s: recording.finish_s,
        stops_s: vec![0.0; recording.course.stations.len()],
    };
    solve(&recording.course, &recording.plain_day(), settings, &goal).ok()
}
