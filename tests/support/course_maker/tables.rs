//! What the organiser publishes: station list, surfaces, settings.

use std::fmt::Write;

use super::chance::{Chance, Wander};
use super::line::Line;
use super::spec::{Field, Spec, Stop};
use super::track::to_degrees;

/// How far the organiser's wheel and map stray from a steady ratio, metres.
const STRAY: (f64, f64) = (9000.0, 160.0);

/// Where things are on the ground and by the organiser's count.
pub struct Placed {
    /// One per station: distance run and the organiser's, metres.
    stops: Vec<(f64, f64)>,
    /// Organiser's distance on each pass of a change of surface, with the surface after it.
    ground: Vec<(f64, &'static str)>,
    finish_m: f64,
    /// Coordinates of each station, degrees.
    spots: Vec<(f64, f64)>,
}

impl Placed {
    /// Finds every station on the next pass of its place.
    #[track_caller]
    pub fn find(spec: &Spec, line: &Line) -> Placed {
        let mut chance = Chance::new(spec.seed, 4);
        let stray = Wander::over(spec.base_m, STRAY.0, STRAY.1, &mut chance);
        let official = |run_m: f64| measured(spec, line, &stray, run_m);
        let mut run_m = -1.0;
        let (mut stops, mut spots) = (Vec::new(), Vec::new());
        for stop in &spec.stations {
            run_m = next_pass(line, stop, run_m);
            stops.push((run_m, official(run_m)));
            let (x, y) = line.at(line.base_of(run_m)).at_m;
            let off = (chance.between(-12.0, 12.0), chance.between(-12.0, 12.0));
            spots.push(to_degrees(spec.origin_deg, x + off.0, y + off.1));
        }
        let finish_m = official(line.run_m());
        let ground = ground(spec, line, &official);
        Placed {
            stops,
            ground,
            finish_m,
            spots,
        }
    }
}

/// The first pass of a station's place after the station before.
#[track_caller]
fn next_pass(line: &Line, stop: &Stop, after_m: f64) -> f64 {
    let passes = line.passes(stop.place);
    let next = passes
        .into_iter()
        .find(|&m| after_m + 1.0 < m || (m == 0.0 && after_m < 0.0));
    next.unwrap_or_else(|| panic!("{} is not passed again after {after_m} m", stop.name))
}

/// The organiser's distance: the same stretch has the same length on every pass.
fn measured(spec: &Spec, line: &Line, stray: &Wander, run_m: f64) -> f64 {
    let mut left = run_m;
    let mut sum = 0.0;
    for (a, b) in &spec.runs {
        let (a, b) = (line.mark(a), line.mark(b));
        let length = (b - a).abs().min(left.max(0.0));
        let end = if a < b { a + length } else { a - length };
        sum += length * spec.official_ratio
            + if a < b { 1.0 } else { -1.0 } * (stray.at(end) - stray.at(a));
        left -= length;
    }
    sum
}

/// Changes of surface in running order.
fn ground(spec: &Spec, line: &Line, official: &dyn Fn(f64) -> f64) -> Vec<(f64, &'static str)> {
    let marks: Vec<(f64, &'static str)> = spec
        .surfaces
        .iter()
        .map(|(name, surface)| (line.mark(name), *surface))
        .collect();
    let under = |base: f64| {
        let next = marks.partition_point(|(m, _)| *m <= base);
        marks[next.max(1) - 1].1
    };
    let mut changes: Vec<(f64, &'static str)> = Vec::new();
    for i in 0..(line.run_m() / 5.0) as usize {
        let run_m = i as f64 * 5.0;
        let surface = under(line.base_of(run_m));
        if changes.last().is_none_or(|(_, last)| *last != surface) {
            changes.push((official(run_m), surface));
        }
    }
    changes
}

/// `stations.csv`
pub fn stations(spec: &Spec, placed: &Placed) -> String {
    let mut text = String::from(spec.notes.0);
    text += "name,place,distance_km,lat,lon,kind,cutoff,cutoff_on,crew,drop_bag,pacer,offers\n";
    let yes = |flag: bool| if flag { "yes" } else { "" };
    for (i, s) in spec.stations.iter().enumerate() {
        let (lat, lon) = placed.spots[i];
        let spot = if s.located {
            format!("{lat:.5},{lon:.5}")
        } else {
            ",".to_owned()
        };
        let km = placed.stops[i].1 / 1000.0;
        let flags = [yes(s.crew), yes(s.drop_bag), yes(s.pacer)].join(",");
        let row = writeln!(
            text,
            "{},{},{km:.1},{spot},{},{},{},{flags},{}",
            s.name, s.place, s.kind, s.cutoff, s.cutoff_on, s.offers
        );
        row.unwrap();
    }
    text
}

/// `surfaces.csv`
pub fn surfaces(spec: &Spec, placed: &Placed) -> String {
    let mut text = String::from(spec.notes.1) + "from_km,to_km,surface\n";
    for (i, (from, surface)) in placed.ground.iter().enumerate() {
        let to = placed
            .ground
            .get(i + 1)
            .map_or(placed.finish_m, |(to, _)| *to);
        writeln!(text, "{:.1},{:.1},{surface}", from / 1000.0, to / 1000.0).unwrap();
    }
    text
}

/// `course.toml`
pub fn settings(spec: &Spec, line: &Line, placed: &Placed) -> String {
    let climb = (line.climb_m() / 50.0).round() * 50.0;
    spec.settings
        .replace("{distance}", &format!("{:.1}", placed.finish_m / 1000.0))
        .replace("{climb}", &format!("{climb:.0}"))
}

/// Deviation of the bell that finish times are squared from.
const FIELD_BELL: f64 = 0.28;

/// `results.csv`, the first in front; who did not finish has no time.
pub fn results(spec: &Spec, field: &Field) -> String {
    let mut chance = Chance::new(spec.seed, 17);
    let mut finishes_s: Vec<u64> = (0..field.starters)
        .map(|_| 1.0 + FIELD_BELL * chance.bell())
        .map(|form| field.base_h + field.spread_h * form * form)
        .filter(|hours| *hours < field.limit_h)
        .map(|hours| (hours * 3600.0) as u64)
        .collect();
    finishes_s.sort_unstable();
    let mut text = String::from("# Invented, as the course is.\nplace,time\n");
    for (i, s) in finishes_s.iter().enumerate() {
        let (hours, min, s) = (s / 3600, s / 60 % 60, s % 60);
        writeln!(text, "{},{hours}:{min:02}:{s:02}", i + 1).unwrap();
    }
    for _ in finishes_s.len()..field.starters {
        text += ",DNF\n";
    }
    text
}
