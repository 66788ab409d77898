//! The base line: waypoints joined by a wandering, climbing curve.

use super::chance::{Chance, Wander, Wanders};
use super::spec::{Spec, Waypoint};

/// Metres between the nodes that the map is drawn with.
const NODE_M: f64 = 8.0;
/// How the map wanders: metres between knots, metres sideways.
const MAP: [(f64, f64); 4] = [
    (2600.0, 640.0),
    (900.0, 330.0),
    (330.0, 125.0),
    (130.0, 24.0),
];
/// Turns of a path that climbs a slope.
const TURNS: (f64, f64) = (70.0, 85.0);
/// How the ground rolls: metres between knots, metres up and down.
const GROUND: [(f64, f64); 5] = [
    (2600.0, 62.0),
    (1100.0, 40.0),
    (520.0, 21.0),
    (240.0, 9.0),
    (110.0, 3.6),
];
/// How rugged the ground is: metres between knots, least and most times the rolling.
const RUGGED: (f64, f64, f64) = (3400.0, 0.15, 1.85);
/// Steps of a slope, steep and level in turn: metres between knots, metres along the line.
const STEPS: [(f64, f64); 3] = [(1900.0, 620.0), (800.0, 330.0), (300.0, 105.0)];
/// Wander fades out towards waypoints with a name, so that lines meet there.
const FADE_M: f64 = 700.0;

/// The line as laid: positions and heights by the distance from its start.
pub struct Line {
    nodes: Vec<Node>,
    /// Distance of each waypoint, metres.
    marks: Vec<(&'static str, f64)>,
    /// Stretches in running order, metres along the line.
    runs: Vec<(f64, f64)>,
}

/// A point of the line.
#[derive(Clone, Copy)]
pub struct Node {
    pub along_m: f64,
    /// Metres east and north of the origin.
    pub at_m: (f64, f64),
    pub height_m: f64,
}

impl Line {
    /// Draws the map, scales it to its length, then lays heights over it.
    pub fn lay(spec: &Spec) -> Line {
        let (mut map, corners) = draw(spec);
        let along = lengths(&map);
        let scale = spec.base_m / along[along.len() - 1];
        for point in &mut map {
            *point = (point.0 * scale, point.1 * scale);
        }
        let along: Vec<f64> = along.iter().map(|m| m * scale).collect();
        let marks: Vec<(&'static str, f64)> = spec
            .waypoints
            .iter()
            .zip(&corners)
            .map(|(w, &i)| (w.name, along[i]))
            .collect();
        let heights = climb(spec, &marks, &along);
        let nodes = (0..map.len())
            .map(|i| Node {
                along_m: along[i],
                at_m: map[i],
                height_m: heights[i],
            })
            .collect();
        let mut line = Line {
            nodes,
            marks,
            runs: Vec::new(),
        };
        line.runs = spec
            .runs
            .iter()
            .map(|(a, b)| (line.mark(a), line.mark(b)))
            .collect();
        line
    }

    /// Distance of a waypoint along the base line, metres.
    #[track_caller]
    pub fn mark(&self, name: &str) -> f64 {
        let found = self.marks.iter().find(|(n, _)| *n == name);
        found
            .unwrap_or_else(|| panic!("no waypoint is called {name}"))
            .1
    }

    /// Length of everything that is run, metres.
    pub fn run_m(&self) -> f64 {
        self.runs.iter().map(|(a, b)| (b - a).abs()).sum()
    }

    /// Where on the base line somebody is after running so far.
    pub fn base_of(&self, run_m: f64) -> f64 {
        let mut left = run_m;
        for &(a, b) in &self.runs {
            let length = (b - a).abs();
            if left <= length {
                return if a < b { a + left } else { a - left };
            }
            left -= length;
        }
        self.runs[self.runs.len() - 1].1
    }

    /// The distances run on passing a place. `Hut` and `Hut/again` are the same place.
    pub fn passes(&self, place: &str) -> Vec<f64> {
        let same = |name: &str| name.split('/').next() == Some(place);
        let mut passes: Vec<f64> = Vec::new();
        let mut before = 0.0;
        for &(a, b) in &self.runs {
            for (_, mark) in self.marks.iter().filter(|(name, _)| same(name)) {
                if (a.min(b)..=a.max(b)).contains(mark) {
                    passes.push(before + (mark - a).abs());
                }
            }
            before += (b - a).abs();
        }
        passes.sort_by(f64::total_cmp);
        passes.dedup_by(|b, a| *b - *a < 1.0);
        passes
    }

    /// The point at a distance along the base line.
    pub fn at(&self, base_m: f64) -> Node {
        let after = self.nodes.partition_point(|n| n.along_m < base_m);
        let b = self.nodes[after.clamp(1, self.nodes.len() - 1)];
        let a = self.nodes[after.clamp(1, self.nodes.len() - 1) - 1];
        let t = (base_m - a.along_m) / (b.along_m - a.along_m);
        let mix = |x: f64, y: f64| x + (y - x) * t;
        Node {
            along_m: base_m,
            at_m: (mix(a.at_m.0, b.at_m.0), mix(a.at_m.1, b.at_m.1)),
            height_m: mix(a.height_m, b.height_m),
        }
    }

    /// Climb of everything that is run, turning points of 5 m counted, metres.
    pub fn climb_m(&self) -> f64 {
        let (mut low, mut high, mut climb, mut rising) = (f64::MAX, f64::MIN, 0.0, true);
        let steps = (self.run_m() / 10.0) as usize;
        for i in 0..=steps {
            let h = self.at(self.base_of(i as f64 * 10.0)).height_m;
            if rising {
                if low == f64::MAX {
                    low = h;
                }
                high = high.max(h);
                if h < high - 5.0 {
                    climb += high - low;
                    (rising, low) = (false, h);
                }
            } else {
                low = low.min(h);
                if low + 5.0 < h {
                    (rising, high) = (true, h);
                }
            }
        }
        climb + if rising { high - low } else { 0.0 }
    }
}

/// The map at its own scale, and which of its points are the waypoints.
fn draw(spec: &Spec) -> (Vec<(f64, f64)>, Vec<usize>) {
    let w = &spec.waypoints;
    let spots: Vec<(f64, f64)> = w
        .iter()
        .map(|w| (w.at_km.0 * 1000.0, w.at_km.1 * 1000.0))
        .collect();
    let reach = lengths(&spots);
    let total = reach[reach.len() - 1];
    let mut chance = Chance::new(spec.seed, 1);
    let sideways = Wanders::over(2.0 * total, &MAP, spec.wander, &mut chance);
    let turns = Wander::over(2.0 * total, TURNS.0, TURNS.1, &mut chance);
    let (mut map, mut corners) = (Vec::new(), vec![0]);
    for leg in 0..spots.len() - 1 {
        let chord = reach[leg + 1] - reach[leg];
        let steep = (w[leg + 1].height_m - w[leg].height_m).abs() / chord;
        let turning = ((steep - 0.06) / 0.10).clamp(0.0, 1.0);
        let count = (chord / NODE_M) as usize + 2;
        for i in usize::from(0 < leg)..=count {
            let t = i as f64 / count as f64;
            let (from, to) = (t * chord, (1.0 - t) * chord);
            let (spot, ahead) = hermite(&spots, &reach, leg, t);
            let calm = fade(w, leg, from, to, FADE_M);
            let edge = (from.min(to) / 150.0).min(1.0);
            let m = reach[leg] + from;
            let off = sideways.at(m) * calm + turns.at(m) * turning * edge;
            let norm = (ahead.0 * ahead.0 + ahead.1 * ahead.1).sqrt();
            map.push((spot.0 - ahead.1 / norm * off, spot.1 + ahead.0 / norm * off));
        }
        corners.push(map.len() - 1);
    }
    (map, corners)
}

/// 0 at a named waypoint, 1 away from all of them.
fn fade(w: &[Waypoint], leg: usize, from: f64, to: f64, over: f64) -> f64 {
    let side = |named: bool, m: f64| if named { (m / over).min(1.0) } else { 1.0 };
    let t = side(!w[leg].name.is_empty(), from).min(side(!w[leg + 1].name.is_empty(), to));
    t * t * (3.0 - 2.0 * t)
}

/// The point and direction at `t` of a leg of the smooth curve through all spots.
fn hermite(spots: &[(f64, f64)], reach: &[f64], leg: usize, t: f64) -> ((f64, f64), (f64, f64)) {
    let slope = |i: usize| {
        let (a, b) = (i.saturating_sub(1), (i + 1).min(spots.len() - 1));
        let d = reach[b] - reach[a];
        ((spots[b].0 - spots[a].0) / d, (spots[b].1 - spots[a].1) / d)
    };
    let (chord, m0, m1) = (reach[leg + 1] - reach[leg], slope(leg), slope(leg + 1));
    let point = |p0: f64, p1: f64, m0: f64, m1: f64| cubic(p0, p1, m0 * chord, m1 * chord, t);
    let rate = |p0: f64, p1: f64, m0: f64, m1: f64| {
        6.0 * t * (1.0 - t) * (p1 - p0)
            + ((1.0 - t) * (1.0 - 3.0 * t) * m0 + t * (3.0 * t - 2.0) * m1) * chord
    };
    let (p0, p1) = (spots[leg], spots[leg + 1]);
    (
        (point(p0.0, p1.0, m0.0, m1.0), point(p0.1, p1.1, m0.1, m1.1)),
        (rate(p0.0, p1.0, m0.0, m1.0), rate(p0.1, p1.1, m0.1, m1.1)),
    )
}

/// A cubic from `p0` to `p1` with these slopes over the unit interval.
fn cubic(p0: f64, p1: f64, m0: f64, m1: f64, t: f64) -> f64 {
    let u = 1.0 - t;
    p0 * u * u * (1.0 + 2.0 * t) + p1 * t * t * (1.0 + 2.0 * u) + m0 * t * u * u - m1 * t * t * u
}

/// Distance of each point from the first, along all points.
fn lengths(points: &[(f64, f64)]) -> Vec<f64> {
    let mut along = vec![0.0];
    for pair in points.windows(2) {
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        along.push(along[along.len() - 1] + (dx * dx + dy * dy).sqrt());
    }
    along
}

/// Heights: no overshoot between waypoints, then the rolling of the ground on top.
fn climb(spec: &Spec, marks: &[(&str, f64)], along: &[f64]) -> Vec<f64> {
    let w = &spec.waypoints;
    let mut chance = Chance::new(spec.seed, 2);
    let total = along[along.len() - 1];
    let ground = Wanders::over(total, &GROUND, spec.rolling, &mut chance);
    let rugged = Wander::over(total, RUGGED.0, 1.0, &mut chance);
    let steps = Wanders::over(total, &STEPS, 1.0, &mut chance);
    let roll = |m: f64| {
        let share = (rugged.at(m) * 1.4 + 1.0) / 2.0;
        ground.at(m) * (RUGGED.1 + (RUGGED.2 - RUGGED.1) * share.clamp(0.0, 1.0))
    };
    let step = |i: usize| marks[i + 1].1 - marks[i].1;
    let rise = |i: usize| (w[i + 1].height_m - w[i].height_m) / step(i);
    let last = w.len() - 1;
    let slopes: Vec<f64> = (0..=last)
        .map(|i| {
            if i == 0 || i == last {
                return rise(if i == 0 { 0 } else { last - 1 }) * 0.5;
            }
            // the harmonic mean keeps tops and bottoms where the waypoints are
            let (a, b) = (rise(i - 1), rise(i));
            if a * b <= 0.0 {
                0.0
            } else {
                2.0 * a * b / (a + b)
            }
        })
        .collect();
    along
        .iter()
        .map(|&m| {
            let leg = marks.partition_point(|(_, mark)| *mark <= m).clamp(1, last) - 1;
            let (from, to) = (m - marks[leg].1, marks[leg + 1].1 - m);
            let calm = fade(w, leg, from, to, 1.5 * FADE_M);
            // the slope is read a little further on or back, which makes steps of it
            let read = (m + steps.at(m) * calm).clamp(0.0, total);
            let leg = marks
                .partition_point(|(_, mark)| *mark <= read)
                .clamp(1, last)
                - 1;
            let t = (read - marks[leg].1) / step(leg);
            let (m0, m1) = (slopes[leg] * step(leg), slopes[leg + 1] * step(leg));
            let smooth = cubic(w[leg].height_m, w[leg + 1].height_m, m0, m1, t);
            smooth + roll(m) * calm
        })
        .collect()
}
