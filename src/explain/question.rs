//! Material of an explanation, and how it is put together.

use crate::diagnostics::{Sources, Span, Spanned};
use crate::facts::{
    ExplainStepFacts, Facts, NeedFacts, PaceFacts, PlanFacts, SegmentFacts, SplitFacts,
    StationFacts, View,
};
use crate::plan::Plan;

/// A station of a plan about which something is asked.
#[derive(Clone, Copy)]
pub(super) struct Question<'a> {
    pub(super) view: &'a View<'a>,
    pub(super) facts: &'a Facts,
    pub(super) plan: &'a Plan,
    pub(super) planned: &'a PlanFacts,
    pub(super) station: usize,
    sources: &'a Sources,
}

/// An explanation without its general part.
pub(super) struct Working {
    pub(super) of: String,
    pub(super) printed: String,
    pub(super) steps: Vec<ExplainStepFacts>,
    pub(super) source: String,
}

impl<'a> Question<'a> {
    /// `None` where there is no plan.
    pub(super) fn of(
        view: &'a View<'a>,
        facts: &'a Facts,
        sources: &'a Sources,
        station: usize,
    ) -> Option<Question<'a>> {
        Some(Question {
            view,
            facts,
            plan: view.plans.first()?,
            planned: facts.planned()?,
            station,
            sources,
        })
    }

    /// The place of what was written, such as `stations.csv:7`.
    pub(super) fn at(&self, span: Option<Span>) -> Option<String> {
        let span = span?;
        let (line, _) = self.sources.position(span);
        Some(format!("{}:{line}", self.sources.get(span.file).name))
    }

    /// The place of a value that may be a default.
    pub(super) fn written<T>(&self, value: Option<&Spanned<T>>) -> Option<String> {
        self.at(value.and_then(|value| value.span))
    }

    /// The station.
    pub(super) fn here(&self) -> &'a StationFacts {
        &self.facts.stations[self.station]
    }

    /// The station's times.
    pub(super) fn split(&self) -> &'a SplitFacts {
        &self.planned.splits[self.station]
    }

    /// The segment that leads to the station; `None` at the start.
    pub(super) fn segment(&self) -> Option<&'a SegmentFacts> {
        self.facts.segments.get(self.station.checked_sub(1)?)
    }

    /// The pace of that segment.
    pub(super) fn pace(&self) -> Option<&'a PaceFacts> {
        self.segment()?.pace.as_ref().map(|pace| &pace.0)
    }

    /// The needs of that segment.
    pub(super) fn need(&self) -> Option<&'a NeedFacts> {
        self.segment()?.need.as_ref().map(|need| &need.0)
    }

    /// The place of the station's row.
    pub(super) fn row(&self, station: usize) -> Option<String> {
        self.at(self.view.race.course.stations[station].span)
    }

    /// An explanation of the station's number.
    pub(super) fn of_station(&self, printed: impl Into<String>) -> Working {
        let here = self.here();
        Working::new(format!("{} {}", here.number, here.station), printed)
    }

    /// An explanation of a number of the segment that leads to the station.
    pub(super) fn of_segment(&self, printed: impl Into<String>) -> Option<Working> {
        let segment = self.segment()?;
        let of = format!("{} to {}", segment.from, segment.to);
        Some(Working::new(of, printed))
    }
}

impl Working {
    fn new(of: String, printed: impl Into<String>) -> Working {
        Working {
            of,
            printed: printed.into(),
            steps: Vec::new(),
            source: "our own".to_owned(),
        }
    }

    /// With one more value.
    pub(super) fn step(mut self, name: impl Into<String>, value: impl Into<String>) -> Working {
        self.steps.push(ExplainStepFacts {
            name: name.into(),
            value: value.into(),
            at: None,
        });
        self
    }

    /// With one more value, and where it is written; a default is said to be one.
    pub(super) fn input(
        self,
        name: impl Into<String>,
        value: impl Into<String>,
        at: Option<String>,
    ) -> Working {
        let at = at.unwrap_or_else(|| "default".to_owned());
        self.step_at(name, value, at)
    }

    /// With one more value from a place in the files.
    pub(super) fn step_at(
        self,
        name: impl Into<String>,
        value: impl Into<String>,
        at: String,
    ) -> Working {
        let mut draft = self.step(name, value);
        if let Some(step) = draft.steps.last_mut() {
            step.at = Some(at);
        }
        draft
    }

    /// With its published source.
    pub(super) fn source(mut self, source: impl Into<String>) -> Working {
        self.source = source.into();
        self
    }
}
