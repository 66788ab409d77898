//! Figures that are fitted.

use crate::pacing::{Fade, Goal, Pacing, PacingSettings, solve};

use super::recording::Recording;

/// A runner's own figures; see [`PacingSettings`] for their meaning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figures {
    /// Share of the recorded slowing, while moving.
    pub fade: f64,
    /// Own time stood still over the usual.
    pub stop_multiplier: f64,
}

impl Figures {
    /// The usual figures, for a runner of whom nothing is known.
    ///
    /// The default fade of 1 was fitted to times with the stops in them. Where the standing is
    /// counted by itself, 0.85 to 0.95 of that fits the same 25 public recordings best.
    pub const USUAL: Figures = Figures {
        fade: 0.9,
        stop_multiplier: 1.0,
    };

    /// As files hold them: to a hundredth.
    #[must_use]
    pub fn rounded(self) -> Figures {
        let rounded = |number: f64| (number * 100.0).round() / 100.0;
        Figures {
            fade: rounded(self.fade),
            stop_multiplier: rounded(self.stop_multiplier),
        }
    }

    /// The solver's settings with these in them.
    #[must_use]
    pub fn settings(self) -> PacingSettings {
        PacingSettings {
            stop_multiplier: Some(self.stop_multiplier),
            ..self.moving()
        }
    }

    /// The settings for moving alone.
    pub(super) fn moving(self) -> PacingSettings {
        PacingSettings {
            fade: Fade::Slowing {
                strength: self.fade,
            },
            ..PacingSettings::default()
        }
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
