//! `stations.csv`: one row a visit, in course order.

use chrono::{NaiveDateTime, NaiveTime, Weekday};

use crate::diagnostics::{FileId, Notes, SourceFile, Span, Spanned};
use crate::time::Elapsed;

/// One visit to a place, as the organiser lists it.
///
/// Columns by name, in any order; only `name` and one of a distance or `lat`,`lon` are needed.
#[derive(Clone, Debug, PartialEq)]
pub struct StationRow {
    /// `name`: the station's name.
    pub name: Spanned<String>,
    /// `place`: the spot's name where it is visited more than once; the station's name otherwise.
    pub place: String,
    /// `distance_km`, `distance_mi` or `distance_m`: the organiser's distance from the start.
    pub distance_m: Option<Spanned<f64>>,
    /// `lat`, `lon`: degrees, WGS84.
    pub position: Option<Spanned<(f64, f64)>>,
    /// `kind`
    pub kind: StationKind,
    /// `cutoff`, and on what it applies where `cutoff_on` says so.
    pub cutoff: Option<Spanned<Cutoff>>,
    /// `cutoff_on`: `arrival` or `departure`; the course's own rule where empty.
    pub cutoff_on: Option<CutoffOn>,
    /// `crew`: `yes` where the crew may meet the runner.
    pub crew: bool,
    /// `drop_bag`: `yes` where the organiser brings a bag.
    pub drop_bag: bool,
    /// `pacer`: `yes` where a pacer may join.
    pub pacer: bool,
    /// `stop_min`: minutes planned here, where the row says.
    pub stop_s: Option<Spanned<f64>>,
    /// `offers`: foods and drinks, separated by semicolons, each a name in `pantry.csv`; `water`
    /// needs no entry there.
    pub offers: Vec<Spanned<String>>,
    /// The row.
    pub span: Option<Span>,
}

/// What the organiser runs at a station.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum StationKind {
    /// `aid`: food, drink and people.
    #[default]
    Aid,
    /// `water`: water only.
    Water,
    /// `checkpoint`: times are taken, nothing is offered.
    Checkpoint,
    /// `crew-only`: the organiser has nothing here, the crew may.
    CrewOnly,
}

/// A time limit as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cutoff {
    /// `14:30` or `Sun 14:30`: a clock time; without a day, the first one after the cutoff before.
    Clock(Option<Weekday>, NaiveTime),
    /// `+31:30` or `31:30:00`: since the official start. A sign or seconds tell it from a clock.
    Elapsed(Elapsed),
    /// `2026-10-25T14:30`: local date and time.
    Local(NaiveDateTime),
    /// `2026-10-25T02:30+01:00`: an instant, which a clock change leaves unambiguous. In UTC.
    Instant(NaiveDateTime),
}

/// Which event a cutoff limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum CutoffOn {
    /// The runner must have come in.
    #[default]
    Arrival,
    /// The runner must have left.
    Departure,
}

/// Reads `stations.csv`.
pub fn read(_file: &SourceFile, _id: FileId, _notes: &mut Notes) -> Vec<StationRow> {
    Vec::new()
}
