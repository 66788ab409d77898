//! Facts of segments: their ground and, with a target, how they are run and what they ask.

use crate::course::{Course, Segment};
use crate::plan::Plan;
use crate::units::Units;

use super::View;
use super::needs::NeedFacts;
use super::race::number;
use super::splits::PaceFacts;
use super::value::{Flat, Measure, record};

record! {
    /// A segment between two stations: its ground and, with a target, its pace and needs.
    pub struct SegmentFacts {
        /// A name for this segment that stays the same in all outputs, such as `segment-3`.
        pub id: String,
        /// The number of the station it leads to.
        pub number: String,
        /// The station it leaves.
        pub from: String,
        /// The station it leads to.
        pub to: String,
        /// Length along the route file.
        pub length: Measure,
        /// Length by the organiser's count.
        pub official_length: Measure,
        /// Climb.
        pub climb: Measure,
        /// Descent.
        pub descent: Measure,
        /// Gradient of its steepest 500 m uphill.
        pub steepest_up: Measure,
        /// Gradient of its steepest 500 m downhill, negative.
        pub steepest_down: Measure,
        /// Share of its length that climbs more than 10 %.
        pub share_above_10: Measure,
        /// Share of its length that falls more than 10 %.
        pub share_below_10: Measure,
        /// Its highest point.
        pub highest: Measure,
        /// Its pace.
        pub pace: Option<Flat<PaceFacts>>,
        /// Its needs, the stop before it included.
        pub need: Option<Flat<NeedFacts>>,
    }
}

impl SegmentFacts {
    /// Every segment, run as in a plan where there is one.
    pub(crate) fn all(view: &View<'_>, plan: Option<&Plan>) -> Vec<SegmentFacts> {
        let (course, units) = (&view.race.course, view.units);
        let of = |index| SegmentFacts {
            pace: plan.map(|plan| Flat(PaceFacts::of(course, plan, index, units))),
            need: plan.and_then(|plan| NeedFacts::of(plan, index, units).map(Flat)),
            ..SegmentFacts::ground(course, index, units)
        };
        (0..course.segments.len()).map(of).collect()
    }

    fn ground(course: &Course, index: usize, units: Units) -> SegmentFacts {
        let segment: &Segment = &course.segments[index];
        let name = |station: usize| course.stations[station].name.clone();
        SegmentFacts {
            id: format!("segment-{index}"),
            number: number(course, segment.from + 1),
            from: name(segment.from),
            to: name(segment.from + 1),
            length: Measure::distance(units, segment.length_m),
            official_length: Measure::distance(units, segment.official_length_m),
            climb: Measure::height(units, segment.climb_m),
            descent: Measure::height(units, segment.descent_m),
            steepest_up: Measure::share(segment.steepest_up),
            steepest_down: Measure::share(segment.steepest_down),
            share_above_10: Measure::share(segment.share_above_10),
            share_below_10: Measure::share(segment.share_below_10),
            highest: Measure::height(units, segment.highest_m),
            pace: None,
            need: None,
        }
    }
}
