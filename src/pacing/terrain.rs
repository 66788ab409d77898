//! The course as the solver sees it: short steps with everything that does not depend on the hour.

use crate::course::{Course, Profile};
use crate::inputs::surfaces_csv::Surface;

use super::cost::{self, run_cost_j_per_kg_m};
use super::factors::{altitude, night, own_multiplier, surface, walk_weight};
use super::settings::PacingSettings;

/// A slice of the course between two neighbouring nodes or stations.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// Distance of its middle along the route, metres.
    pub middle_m: f64,
    /// Height of its middle, metres.
    pub elevation_m: f64,
    /// Level metres that take as long when run, by day and cool.
    pub run_effort_m: f64,
    /// The same without its slope: its length, longer by ground and altitude.
    pub ground_m: f64,
    /// Time factor in the dark.
    pub dark_factor: f64,
    /// Rise over run.
    pub gradient: f64,
    /// Energy of running it, J per kg of body mass.
    run_energy_j_per_kg: f64,
    run_ratio: f64,
    walk_saving: f64,
}

/// All steps, and where stations and nodes end them.
#[derive(Clone, Debug, Default)]
pub(super) struct Terrain {
    pub steps: Vec<Step>,
    /// Per segment, one past its last step.
    pub segment_ends: Vec<usize>,
    /// Per step, the node it ends on, if any.
    pub node_ends: Vec<Option<usize>>,
}

impl Terrain {
    pub(super) fn of(course: &Course, settings: &PacingSettings) -> Terrain {
        let profile = &course.profile;
        let mut terrain = Terrain {
            steps: Vec::new(),
            segment_ends: Vec::new(),
            node_ends: Vec::new(),
        };
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
                    terrain
                        .steps
                        .push(Step::between(profile, node, at_m, to_m, settings));
                    terrain.node_ends.push(ends_on_node.then_some(node + 1));
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
            terrain.segment_ends.push(terrain.steps.len());
        }
        terrain
    }

    /// The steps of a segment, as indices.
    pub(super) fn segment(&self, index: usize) -> std::ops::Range<usize> {
        let start = if index == 0 {
            0
        } else {
            self.segment_ends[index - 1]
        };
        start..self.segment_ends[index]
    }

    /// Level metres that take as long when run, by day and cool.
    pub(super) fn run_effort_m(&self) -> f64 {
        self.steps.iter().map(|step| step.run_effort_m).sum()
    }

    /// Level metres of every step at a level-ground speed, walking where that is cheaper.
    pub(super) fn efforts_m(&self, level_speed_mps: f64) -> Vec<f64> {
        self.steps
            .iter()
            .map(|step| step.run_effort_m * step.walking_discount(level_speed_mps))
            .collect()
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
        let ground_m = length_m * ground_factor * altitude(elevation_m, settings.altitude_per_km);
        Step {
            middle_m,
            elevation_m,
            run_effort_m: ground_m * run_ratio,
            ground_m,
            dark_factor: night(ground, settings.night_factor),
            run_energy_j_per_kg: length_m * run_cost_j_per_kg_m(gradient) * ground_factor,
            gradient,
            run_ratio,
            walk_saving: (settings.cost.walk_saving)(gradient),
        }
    }

    /// Time with walking over time without.
    pub(super) fn walking_discount(&self, level_speed_mps: f64) -> f64 {
        if self.walk_saving <= 0.0 {
            return 1.0;
        }
        1.0 - self.walk_saving * self.walked_share(level_speed_mps)
    }

    /// How much of it is walked at a level-ground speed.
    pub(super) fn walked_share(&self, level_speed_mps: f64) -> f64 {
        walk_weight(level_speed_mps / self.run_ratio, self.gradient)
    }

    /// Energy of moving over it at a level-ground speed, J per kg of body mass.
    pub(super) fn energy_j_per_kg(&self, level_speed_mps: f64) -> f64 {
        let saving = cost::walk_saving(self.gradient) * self.walked_share(level_speed_mps);
        self.run_energy_j_per_kg * (1.0 - saving)
    }
}
