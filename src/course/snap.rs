//! Passes of a route by a position: not the one nearest point, but every pass.

use super::geodesy::Spot;
use super::route::Route;

/// A pass of the route by a position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pass {
    /// Distance along the route of its nearest point, metres.
    pub(super) along_m: f64,
    /// Distance from the position, metres.
    pub(super) off_m: f64,
}

/// Between two passes the route goes away from the position by at least this, metres: less is
/// the wobble of a track, not a second visit.
const APART_M: f64 = 10.0;

/// Every pass within a radius, in course order; else the nearest one alone.
pub(super) fn passes(route: &Route, position_deg: (f64, f64), radius_m: f64) -> Vec<Pass> {
    let here = Spot::new(position_deg);
    let mut found = Vec::new();
    let mut valley = Valley::new(radius_m);
    scan(route, &here, |pass| {
        found.extend(valley.follow(pass));
        radius_m
    });
    found.extend(valley.end());
    if found.is_empty() {
        let mut nearest: Option<Pass> = None;
        scan(route, &here, |pass| {
            let nearer = nearest
                .filter(|known| known.off_m <= pass.off_m)
                .unwrap_or(pass);
            nearest = Some(nearer);
            nearer.off_m
        });
        found.extend(nearest);
    }
    found
}

/// Walks along the route and shows the distance to a position at points and at the nearest place
/// of steps between them; `see` says from which distance on it takes no interest.
///
/// Points that cannot be of interest, because the route is not long enough to get near before
/// them, are skipped, so the cost is that of the points near the position.
fn scan(route: &Route, here: &Spot, mut see: impl FnMut(Pass) -> f64) {
    let (spots, along_m) = (&route.spots, &route.along_m);
    let mut i = 0;
    while let Some(spot) = spots.get(i) {
        let off_m = here.chord_m(spot);
        let limit_m = see(Pass {
            along_m: along_m[i],
            off_m,
        });
        let Some(next) = spots.get(i + 1) else { break };
        let reach_m = along_m[i] + (off_m - limit_m) * route.least_share;
        if along_m[i + 1] < reach_m {
            // To the last point that is surely too far; the step after it may come near.
            i += along_m[i..].partition_point(|m| *m < reach_m) - 1;
            continue;
        }
        let (off_m, share) = here.off_line(spot, next);
        if share > 0.0 && share < 1.0 {
            let step_m = along_m[i + 1] - along_m[i];
            see(Pass {
                along_m: along_m[i] + share * step_m,
                off_m,
            });
        }
        i += 1;
    }
}

/// Follows the distance to the position along the route, and tells a valley floor once the
/// distance has risen from it.
struct Valley {
    radius_m: f64,
    floor: Option<Pass>,
    highest_m: f64,
}

impl Valley {
    fn new(radius_m: f64) -> Self {
        Valley {
            radius_m,
            floor: None,
            highest_m: f64::INFINITY,
        }
    }

    fn follow(&mut self, here: Pass) -> Option<Pass> {
        if let Some(floor) = self.floor {
            if here.off_m < floor.off_m {
                self.floor = Some(here);
            } else if here.off_m > floor.off_m + APART_M {
                self.highest_m = here.off_m;
                return self.floor.take();
            }
        } else {
            self.highest_m = self.highest_m.max(here.off_m);
            if here.off_m <= self.radius_m && here.off_m < self.highest_m - APART_M {
                self.floor = Some(here);
            }
        }
        None
    }

    fn end(&mut self) -> Option<Pass> {
        self.floor.take()
    }
}
