//! The course as the solver sees it: short steps with everything that does not depend on the hour,
//! and strides of some of them that share what does.

use std::ops::Range;

use crate::course::{Course, Profile};
use crate::inputs::surfaces_csv::Surface;

use super::cost::{self, run_cost_j_per_kg_m};
use super::factors::{altitude, night, own_multiplier, surface, walk_weight};
use super::settings::PacingSettings;

/// A slice of the course between two neighbouring nodes or stations.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// Its end along the route, metres.
    pub end_m: f64,
    /// The node it ends on, if any.
    pub end_node: Option<usize>,
    /// Height of its middle, metres.
    elevation_m: f64,
    /// Level metres that take as long when run, by day and cool.
    pub run_effort_m: f64,
    /// The same without its slope: its length, longer by ground and altitude.
    pub ground_m: f64,
    /// The same if it lay low.
    pub low_ground_m: f64,
    /// Time factor in the dark.
    dark_factor: f64,
    /// Rise over run.
    pub gradient: f64,
    /// Energy of running it, J per kg of body mass.
    run_energy_j_per_kg: f64,
    run_ratio: f64,
    walk_saving: f64,
}

/// No stride has more steps: a quarter of a kilometre. Marching every step by itself moves no
/// arrival by more than a second or two.
const STRIDE: usize = 10;

/// A few steps of a segment that meet one light and one warmth.
#[derive(Clone, Debug)]
pub(super) struct Stride {
    /// Its steps, as indices.
    pub steps: Range<usize>,
    /// Its end along the route, metres.
    pub end_m: f64,
    /// Distance of its middle along the route, metres.
    pub middle_m: f64,
    /// Height, metres, by the effort of its steps.
    pub elevation_m: f64,
    /// Time factor in the dark, likewise.
    pub dark_factor: f64,
}

/// All steps and strides, and where stations end them.
#[derive(Clone, Debug, Default)]
pub(super) struct Terrain {
    pub steps: Vec<Step>,
    pub strides: Vec<Stride>,
    /// Per segment, one past its last stride.
    pub segment_ends: Vec<usize>,
}

impl Terrain {
    pub(super) fn of(course: &Course, settings: &PacingSettings) -> Terrain {
        let profile = &course.profile;
        let mut terrain = Terrain::default();
        let mut at_m = 0.0;
        let mut node = 0;
        for (index, station) in course.stations.iter().enumerate().skip(1) {
            let last = index + 1 == course.stations.len();
            let end_m = if last {
                profile.length_m()
            } else {
                station.distance_m
            };
            while node + 1 < profile.elevation_m.len() {
                let node_end_m = (node + 1) as f64 * profile.spacing_m;
                // a station within a millimetre of a node ends its step there
                let ends_on_node = node_end_m <= end_m + 1e-3;
                let to_m = if ends_on_node { node_end_m } else { end_m };
                if to_m - at_m > 1e-9 {
                    let end_node = ends_on_node.then_some(node + 1);
                    let step = Step::between(profile, node, at_m, to_m, settings);
                    terrain.steps.push(Step { end_node, ..step });
                }
                at_m = to_m;
                if !ends_on_node {
                    break;
                }
                node += 1;
                if node_end_m >= end_m - 1e-3 {
                    break;
                }
            }
            let first = terrain.strides.last().map_or(0, |stride| stride.steps.end);
            for start in (first..terrain.steps.len()).step_by(STRIDE) {
                let end = (start + STRIDE).min(terrain.steps.len());
                terrain.strides.push(Stride::of(&terrain.steps, start..end));
            }
            terrain.segment_ends.push(terrain.strides.len());
        }
        terrain
    }

    /// The strides of a segment, as indices.
    pub(super) fn segment(&self, index: usize) -> Range<usize> {
        let start = if index == 0 {
            0
        } else {
            self.segment_ends[index - 1]
        };
        start..self.segment_ends[index]
    }

    /// Metres along the route.
    pub(super) fn length_m(&self) -> f64 {
        self.steps.last().map_or(0.0, |step| step.end_m)
    }

    /// Level metres that take as long when run, by day and cool.
    pub(super) fn run_effort_m(&self) -> f64 {
        self.steps.iter().map(|step| step.run_effort_m).sum()
    }

    /// Level metres of a stride at a level-ground speed, walking where that is cheaper.
    pub(super) fn effort_m(&self, stride: &Stride, level_speed_mps: f64) -> f64 {
        let steps = self.steps[stride.steps.clone()].iter();
        steps.map(|step| step.effort_m(level_speed_mps)).sum()
    }

    /// That of every stride.
    pub(super) fn efforts_m(&self, level_speed_mps: f64) -> Vec<f64> {
        let strides = self.strides.iter();
        strides
            .map(|stride| self.effort_m(stride, level_speed_mps))
            .collect()
    }
}

impl Stride {
    fn of(all: &[Step], range: Range<usize>) -> Stride {
        let steps = &all[range.clone()];
        let start_m = range.start.checked_sub(1).map_or(0.0, |i| all[i].end_m);
        let end_m = steps.last().map_or(start_m, |step| step.end_m);
        let effort_m: f64 = steps.iter().map(|step| step.run_effort_m).sum();
        let mean = |of: fn(&Step) -> f64| {
            let all = steps.iter().map(|step| of(step) * step.run_effort_m);
            all.sum::<f64>() / effort_m
        };
        Stride {
            steps: range,
            end_m,
            middle_m: 0.5 * (start_m + end_m),
            elevation_m: mean(|step| step.elevation_m),
            dark_factor: mean(|step| step.dark_factor),
        }
    }
}

impl Step {
    fn between(
        profile: &Profile,
        node: usize,
        from_m: f64,
        to_m: f64,
        settings: &PacingSettings,
    ) -> Step {
        let rise_m = profile.elevation_m[node + 1] - profile.elevation_m[node];
        let gradient = (rise_m / profile.spacing_m).clamp(-0.45, 0.45);
        let middle_m = 0.5 * (from_m + to_m);
        let share = middle_m / profile.spacing_m - node as f64;
        let elevation_m = profile.elevation_m[node] + rise_m * share;
        let ground: Surface = profile.surface[node];
        let own = if gradient >= 0.0 {
            own_multiplier(gradient, 0.10, settings.climb_multiplier)
        } else {
            own_multiplier(gradient, -0.05, settings.descent_multiplier)
        };
        let run_ratio = (settings.cost.ratio)(gradient, settings.downhill_cap) * own;
        let ground_factor = surface(ground);
        let length_m = to_m - from_m;
        let low_ground_m = length_m * ground_factor;
        let ground_m = low_ground_m * altitude(elevation_m, settings.altitude_per_km);
        Step {
            end_m: to_m,
            end_node: None,
            elevation_m,
            run_effort_m: ground_m * run_ratio,
            ground_m,
            low_ground_m,
            dark_factor: night(ground, settings.night_factor),
            run_energy_j_per_kg: low_ground_m * run_cost_j_per_kg_m(gradient),
            gradient,
            run_ratio,
            walk_saving: (settings.cost.walk_saving)(gradient),
        }
    }

    /// Level metres that take as long at a level-ground speed, walking where that is cheaper.
    pub(super) fn effort_m(&self, level_speed_mps: f64) -> f64 {
        if self.walk_saving <= 0.0 {
            return self.run_effort_m;
        }
        self.run_effort_m * (1.0 - self.walk_saving * self.walked_share(level_speed_mps))
    }

    /// The share of it that is walked at a level-ground speed.
    pub(super) fn walked_share(&self, level_speed_mps: f64) -> f64 {
        walk_weight(level_speed_mps / self.run_ratio, self.gradient)
    }

    /// Energy of moving over it at a level-ground speed, J per kg of body mass.
    pub(super) fn energy_j_per_kg(&self, level_speed_mps: f64) -> f64 {
        let saving = cost::walk_saving(self.gradient) * self.walked_share(level_speed_mps);
        self.run_energy_j_per_kg * (1.0 - saving)
    }
}
