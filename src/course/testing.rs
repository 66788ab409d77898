//! Courses made of straight slopes, for tests of the stages after this one.

use crate::inputs::surfaces_csv::Surface;

use super::{Course, Place, Profile, Role, Segment, Station, Survey};

/// A course of slopes, each a length in metres and a gradient, with a station after each; it
/// starts at 300 m.
pub(crate) fn slopes(parts: &[(f64, f64)], ground: Surface) -> Course {
    let length_m: f64 = parts.iter().map(|(length_m, _)| length_m).sum();
    let count = (length_m / 20.0).round() as usize;
    let spacing_m = length_m / count as f64;
    let ends_m: Vec<f64> = parts
        .iter()
        .scan(0.0, |at_m, (length_m, _)| {
            *at_m += length_m;
            Some(*at_m)
        })
        .collect();
    let height = |distance_m: f64| {
        let mut from_m = 0.0;
        parts
            .iter()
            .zip(&ends_m)
            .fold(300.0, |height_m, ((_, gradient), end_m)| {
                let run_m = (distance_m.min(*end_m) - from_m).max(0.0);
                from_m = *end_m;
                height_m + run_m * gradient
            })
    };
    let profile = Profile {
        spacing_m,
        elevation_m: (0..=count)
            .map(|node| height(node as f64 * spacing_m))
            .collect(),
        position_deg: (0..=count)
            .map(|node| (46.5, 13.0 + node as f64 * spacing_m / 76_000.0))
            .collect(),
        surface: vec![ground; count],
    };
    let stations: Vec<Station> = [0.0]
        .iter()
        .chain(&ends_m)
        .enumerate()
        .map(|(index, distance_m)| station(index, *distance_m, height(*distance_m), parts.len()))
        .collect();
    let segments = parts
        .iter()
        .enumerate()
        .map(|(from, part)| segment(from, *part))
        .collect();
    let places = stations
        .iter()
        .enumerate()
        .map(|(index, station)| Place {
            name: station.name.clone(),
            visits: vec![index],
        })
        .collect();
    Course {
        name: "Slopes".to_owned(),
        origin: None,
        official_start: None,
        profile,
        stations,
        segments,
        places,
        survey: Survey {
            route_length_m: length_m,
            official_length_m: None,
            raw_climb_m: 0.0,
            raw_descent_m: 0.0,
            filtered_climb_m: 0.0,
            filtered_descent_m: 0.0,
            official_climb_m: None,
            points: count + 1,
            repairs: super::HeightRepair::default(),
        },
        mandatory_kit: Vec::new(),
        rules: Vec::new(),
    }
}

fn station(index: usize, distance_m: f64, elevation_m: f64, last: usize) -> Station {
    let role = match index {
        0 => Role::Start,
        i if i == last => Role::Finish,
        _ => Role::Between(crate::inputs::stations_csv::StationKind::Aid),
    };
    Station {
        name: format!("Station {index}"),
        place: index,
        visit: 1,
        role,
        distance_m,
        official_m: distance_m,
        elevation_m,
        position_deg: (46.5, 13.0 + distance_m / 76_000.0),
        cutoff: None,
        crew: false,
        drop_bag: false,
        pacer: false,
        stop_s: None,
        offers: Vec::new(),
        span: None,
    }
}

fn segment(from: usize, (length_m, gradient): (f64, f64)) -> Segment {
    Segment {
        from,
        length_m,
        official_length_m: length_m,
        climb_m: (length_m * gradient).max(0.0),
        descent_m: (-length_m * gradient).max(0.0),
        steepest_up: gradient.max(0.0),
        steepest_down: gradient.min(0.0),
        share_above_10: f64::from(u8::from(gradient > 0.1)),
        share_below_10: f64::from(u8::from(gradient < -0.1)),
        highest_m: 300.0,
    }
}
