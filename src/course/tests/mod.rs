//! Courses made by hand, for tests of the stages after this one.

use crate::inputs::stations_csv::StationKind;
use crate::inputs::surfaces_csv::Surface;

use super::{Course, HeightRepair, Place, Profile, RouteComparison, Segment, Station, StationRole};

/// A course of slopes, each a length in metres and a gradient, with a station after each; it
/// starts at 300 m.
pub(crate) fn slopes(parts: &[(f64, f64)], ground: Surface) -> Course {
    let length_m: f64 = parts.iter().map(|(length_m, _)| length_m).sum();
    let count = (length_m / 20.0).round() as usize;
    let spacing_m = length_m / count as f64;
    let mut corners = vec![(0.0, 300.0)];
    for (length_m, gradient) in parts {
        let (at_m, height_m) = corners[corners.len() - 1];
        corners.push((at_m + length_m, height_m + length_m * gradient));
    }
    let height = |distance_m: f64| {
        let next = corners
            .iter()
            .position(|c| c.0 >= distance_m)
            .unwrap_or(parts.len())
            .max(1);
        let (from, to) = (corners[next - 1], corners[next]);
        from.1 + (to.1 - from.1) * (distance_m - from.0) / (to.0 - from.0)
    };
    let position = |distance_m: f64| (46.5, 13.0 + distance_m / 76_000.0);
    let nodes = || (0..=count).map(|node| node as f64 * spacing_m);
    let profile = Profile {
        spacing_m,
        elevation_m: nodes().map(height).collect(),
        position_deg: nodes().map(position).collect(),
        surface: vec![ground; count],
    };
    let stations = corners
        .iter()
        .enumerate()
        .map(|(index, (distance_m, elevation_m))| Station {
            position_deg: position(*distance_m),
            elevation_m: *elevation_m,
            ..station(&format!("Station {index}"), *distance_m)
        });
    let mut course = course(profile, stations.collect());
    for (segment, (length_m, gradient)) in course.segments.iter_mut().zip(parts) {
        segment.climb_m = (length_m * gradient).max(0.0);
        segment.descent_m = (-length_m * gradient).max(0.0);
    }
    course
}

/// A course of stations in order, the first its start, the last its finish. Stations of one name
/// are visits to one place; segments are as flat as nobody asks.
pub(crate) fn course(profile: Profile, mut stations: Vec<Station>) -> Course {
    let last = stations.len() - 1;
    let mut places: Vec<Place> = Vec::new();
    for (index, station) in stations.iter_mut().enumerate() {
        let known = places.iter().position(|place| place.name == station.name);
        station.place = known.unwrap_or_else(|| {
            places.push(Place {
                name: station.name.clone(),
                visits: Vec::new(),
            });
            places.len() - 1
        });
        let visits = &mut places[station.place].visits;
        visits.push(index);
        station.visit = visits.len() as u32;
        match index {
            0 => station.role = StationRole::Start,
            i if i == last => station.role = StationRole::Finish,
            _ => {}
        }
    }
    Course {
        name: "Made by hand".to_owned(),
        origin: None,
        official_start: None,
        segments: stations.windows(2).enumerate().map(segment).collect(),
        survey: survey(&profile),
        profile,
        stations,
        places,
        mandatory_kit: Vec::new(),
        hand_in: None,
        rules: Vec::new(),
    }
}

/// An aid station at sea level that offers nothing.
pub(crate) fn station(name: &str, distance_m: f64) -> Station {
    Station {
        name: name.to_owned(),
        place: 0,
        visit: 1,
        role: StationRole::Between(StationKind::Aid),
        distance_m,
        official_m: distance_m,
        elevation_m: 0.0,
        position_deg: (46.5, 13.0),
        cutoff: None,
        crew: false,
        drop_bag: false,
        pacer: false,
        stop_s: None,
        has_water: true,
        offers: Vec::new(),
        span: None,
    }
}

/// The flat way between two neighbouring stations.
pub(crate) fn segment((from, ends): (usize, &[Station])) -> Segment {
    let length_m = ends[1].distance_m - ends[0].distance_m;
    assert!(length_m > 0.0, "stations in course order");
    Segment {
        from,
        length_m,
        official_length_m: length_m,
        climb_m: 0.0,
        descent_m: 0.0,
        steepest_up: 0.0,
        steepest_down: 0.0,
        share_above_10: 0.0,
        share_below_10: 0.0,
        highest_m: 0.0,
    }
}

fn survey(profile: &Profile) -> RouteComparison {
    RouteComparison {
        route_length_m: profile.length_m(),
        jitter: 0.0,
        official_length_m: None,
        raw_climb_m: 0.0,
        raw_descent_m: 0.0,
        filtered_climb_m: 0.0,
        filtered_descent_m: 0.0,
        official_climb_m: None,
        points: profile.elevation_m.len(),
        repairs: HeightRepair::default(),
    }
}
