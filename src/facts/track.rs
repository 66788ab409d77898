//! Facts of the track: where the runner is at which instant, point by point.

use crate::course::Course;
use crate::plan::Plan;
use crate::time::Elapsed;

use super::View;
use super::value::{Moment, record, tenth};

record! {
    /// The course as a track; too long for the data of a plan.
    pub struct TrackFacts {
        /// Points in course order; a station where the runner stops stands there twice.
        pub points: Vec<PointFacts>,
    }

    /// A point of the track.
    pub struct PointFacts {
        /// Latitude, degrees.
        pub lat: f64,
        /// Longitude, degrees.
        pub lon: f64,
        /// Height above the sea, metres.
        pub elevation_m: f64,
        /// The planned passage; nothing without a target.
        pub at: Option<Moment>,
    }
}

/// Points nearer to a station than this make way for the station's own, metres.
const NEAR_M: f64 = 1.0;

impl TrackFacts {
    /// The track of a view's first plan; without times where there is none.
    #[must_use]
    pub fn of(view: &View<'_>) -> TrackFacts {
        let (course, plan) = (&view.race.course, view.plans.first());
        let spacing_m = course.profile.spacing_m;
        let mut points = Vec::new();
        let mut node = 0;
        for (index, station) in course.stations.iter().enumerate() {
            let split = plan.map(|plan| &plan.schedule.splits[index]);
            while f64::from(node) * spacing_m < station.distance_m - NEAR_M {
                let at = plan.and_then(|plan| plan.pacing.node_s.get(node as usize));
                let at = at
                    .zip(split)
                    .map(|(s, split)| Elapsed::from_s(*s).min(split.arrival));
                points.push(point(course, plan, f64::from(node) * spacing_m, at));
                node += 1;
            }
            while f64::from(node) * spacing_m <= station.distance_m + NEAR_M {
                node += 1;
            }
            let arrival = split.map(|split| split.arrival);
            points.push(point(course, plan, station.distance_m, arrival));
            if let Some(split) = split.filter(|split| split.departure > split.arrival) {
                points.push(point(
                    course,
                    plan,
                    station.distance_m,
                    Some(split.departure),
                ));
            }
        }
        TrackFacts { points }
    }
}

fn point(course: &Course, plan: Option<&Plan>, at_m: f64, at: Option<Elapsed>) -> PointFacts {
    let (lat, lon) = course.profile.position_at_deg(at_m);
    PointFacts {
        lat,
        lon,
        elevation_m: tenth(course.profile.elevation_at_m(at_m)),
        at: plan
            .zip(at)
            .map(|(plan, at)| Moment::of(&plan.schedule, at)),
    }
}
