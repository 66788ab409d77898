//! Facts known of a race before its folder is made.

use chrono::NaiveDateTime;
use chrono_tz::Tz;

use crate::diagnostics::SourceFile;
use crate::inputs::pasted::ColumnMeaning;
use crate::inputs::{PastResult, Target};

/// Facts known of a race before its folder is made.
#[derive(Clone, Debug)]
pub struct OwnRace {
    /// The route's name, for messages.
    pub route_name: String,
    /// The route, GPX.
    pub route: Vec<u8>,
    /// A `stations.csv`, or an organiser's table as pasted.
    pub stations: Option<SourceFile>,
    /// Meanings chosen for the columns of that table.
    pub columns: Vec<Option<ColumnMeaning>>,
    /// The target.
    pub finish: Option<Target>,
    /// Results to judge a finish by.
    pub past: Vec<PastResult>,
    /// The official start on the wall there.
    pub start: Option<NaiveDateTime>,
    /// The zone, where it is known better than by the route.
    pub timezone: Option<Tz>,
}

/// Facts that the files of a new folder need besides what was typed.
pub(super) struct Known {
    pub(super) name: String,
    pub(super) timezone: Option<(Tz, bool)>,
    pub(super) cutoffs_open: bool,
    /// A finish to make the examples fit the race.
    pub(super) finish_s: i64,
    /// A station where one may lie down.
    pub(super) rest_at: Option<String>,
}
