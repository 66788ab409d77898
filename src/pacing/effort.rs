//! The effort of a course: level metres that take as long, and the climbs' part of it.

use crate::course::Course;

use super::cost::CostModel;
use super::settings::PacingSettings;
use super::terrain::Terrain;

/// Level metres of a course that take as long when run, by day and in the cool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CourseEffort {
    /// All of it, metres.
    pub effort_m: f64,
    /// Without its slopes: its length, longer by its ground and altitude, metres.
    pub ground_m: f64,
    /// The same if all of it lay low, metres.
    pub low_ground_m: f64,
    /// Its length, metres.
    pub length_m: f64,
    /// Metres climbed.
    pub climb_m: f64,
}

impl CourseEffort {
    /// The effort of a course for a runner of these settings.
    #[must_use]
    pub fn of(course: &Course, settings: &PacingSettings) -> CourseEffort {
        let terrain = Terrain::of(course, settings);
        CourseEffort {
            effort_m: terrain.run_effort_m(),
            ground_m: terrain.steps.iter().map(|s| s.ground_m).sum(),
            low_ground_m: terrain.steps.iter().map(|s| s.low_ground_m).sum(),
            length_m: course.profile.length_m(),
            climb_m: course.climb_and_descent_m().0,
        }
    }

    /// Level metres that a metre of the ground takes.
    #[must_use]
    pub fn ground_factor(&self) -> f64 {
        self.ground_m / self.length_m
    }

    /// The same if all of it lay low.
    #[must_use]
    pub fn low_ground_factor(&self) -> f64 {
        self.low_ground_m / self.length_m
    }

    /// Level metres more for every metre climbed, and come down again, as on this course; `None`
    /// where it climbs too little to tell (less than 1 m in 100).
    #[must_use]
    pub fn climb_equivalent_m(&self) -> Option<f64> {
        (self.climb_m >= 0.01 * self.length_m)
            .then(|| (self.effort_m - self.ground_m) / self.climb_m)
    }
}

/// Level metres more for every metre climbed up a slope of this gradient and down it again.
///
/// Hill races say 8 for men and 10 for women (Scarf 2007, J Sports Sci 25:719, doi
/// 10.1080/02640410600874906), the walkers' rule of 1892 says 7.92, treadmills 3 to 3.3 (Norman
/// 2004, J Oper Res Soc 55:308; Scarf 2007).
///
/// ```
/// use sutler::pacing::{climb_equivalent_m, cost};
/// let model = cost::by_name("measured").expect("it is built in");
/// let at_ten_percent = climb_equivalent_m(model, 1.11, 0.10);
/// assert!((3.0..10.0).contains(&at_ten_percent));
/// ```
#[must_use]
pub fn climb_equivalent_m(model: &CostModel, downhill_cap: f64, gradient: f64) -> f64 {
    let more = |gradient: f64| (model.ratio)(gradient, downhill_cap) - 1.0;
    (more(gradient) + more(-gradient)) / gradient
}
