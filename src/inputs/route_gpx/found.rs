//! What a reader makes out of a file, before it is decided which of it is the route.

use std::ops::Range;

use super::times::Times;
use super::values::{Heights, short};
use super::{TrackPoint, Waypoint};
use crate::diagnostics::{Diagnostic, Notes};

/// Everything of use in a file.
#[derive(Default)]
pub(super) struct Found {
    /// The name of the file's content.
    pub(super) name: Option<String>,
    pub(super) tracks: Vec<Line>,
    pub(super) routes: Vec<Line>,
    pub(super) waypoints: Vec<Waypoint>,
    /// What is wrong with the waypoints and the file as a whole.
    pub(super) problems: Problems,
    pub(super) unknown: Unknown,
    /// Where reading ended early, if it did.
    pub(super) stop: Option<Stop>,
}

/// A track or a route.
#[derive(Default)]
pub(super) struct Line {
    pub(super) name: Option<String>,
    /// Those of a track; a route has one.
    pub(super) segments: Vec<Vec<TrackPoint>>,
    pub(super) heights: Heights,
    pub(super) times: Times,
    pub(super) problems: Problems,
}

impl Line {
    pub(super) fn points(&self) -> usize {
        self.segments.iter().map(Vec::len).sum()
    }
}

/// Problems of one kind of place: the first few whole, the others as a number.
#[derive(Default)]
pub(super) struct Problems {
    shown: Vec<Diagnostic>,
    more: usize,
}

impl Problems {
    const SHOWN: usize = 3;

    pub(super) fn push(&mut self, problem: Diagnostic) {
        if self.shown.len() < Self::SHOWN {
            self.shown.push(problem);
        } else {
            self.more += 1;
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.shown.is_empty()
    }

    pub(super) fn tell(self, file_name: &str, notes: &mut Notes) {
        self.shown
            .into_iter()
            .for_each(|problem| notes.push(problem));
        if self.more > 0 {
            notes.push(Diagnostic::error(format!(
                "`{file_name}` has {} more problems like these",
                self.more
            )));
        }
    }
}

/// Elements that no GPX schema knows.
#[derive(Default)]
pub(super) struct Unknown {
    count: usize,
    names: Vec<String>,
}

impl Unknown {
    const NAMED: usize = 3;

    pub(super) fn add(&mut self, name: &str) {
        self.count += 1;
        // One more than is shown, to know whether there are others.
        if self.names.len() <= Self::NAMED && !self.names.iter().any(|known| *known == short(name))
        {
            self.names.push(short(name).into_owned());
        }
    }

    pub(super) fn warning(&self, file_name: &str) -> Option<Diagnostic> {
        let shown = self.names.iter().take(Self::NAMED);
        let mut names = shown.map(|name| format!("`{name}`")).collect::<Vec<_>>();
        if names.is_empty() {
            return None;
        }
        if self.names.len() > Self::NAMED {
            names.push("others".to_owned());
        }
        let elements = if self.count == 1 {
            "element"
        } else {
            "elements"
        };
        Some(Diagnostic::warning(format!(
            "`{file_name}` holds {} {elements} that GPX does not know, skipped: {}",
            self.count,
            names.join(", ")
        )))
    }
}

/// Why reading ended before the end of the file.
pub(super) enum Stop {
    /// The text ends inside an element.
    CutOff { at: Range<usize> },
    /// The markup makes no sense from here on.
    Damaged { at: Range<usize>, why: String },
    /// The point here is one too many.
    TooMany { at: Range<usize>, most: usize },
}
