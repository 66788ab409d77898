//! Contents of a file, before it is decided which of it is the route.

use std::ops::Range;

use super::Waypoint;
use super::lines::Lines;
use super::problems::{Problems, UnknownElements};

/// Everything of use in a file.
#[derive(Default)]
pub(super) struct RouteContent {
    /// The name of the file's content.
    pub(super) name: Option<String>,
    pub(super) tracks: Lines,
    pub(super) routes: Lines,
    pub(super) waypoints: Vec<Waypoint>,
    /// Problems of the waypoints and the file as a whole.
    pub(super) problems: Problems,
    pub(super) unknown: UnknownElements,
    /// The first text outside of the root.
    pub(super) beside: Option<Range<usize>>,
    /// The place where reading ended early, if it did.
    pub(super) stop: Option<EarlyEnd>,
}

/// The reason that reading ended before the end of the file.
pub(super) enum EarlyEnd {
    /// The text ends inside an element.
    CutOff { at: Range<usize> },
    /// The markup makes no sense from here on.
    Damaged { at: Range<usize>, why: String },
    /// The point here is one too many.
    TooMany { at: Range<usize>, most: usize },
}
