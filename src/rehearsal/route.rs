//! The way of a rehearsal: a track of the runner's, or a stretch of the race where there is none.

use crate::course::{Course, StationRole};
use crate::diagnostics::{Diagnostic, Notes, Spanned};
use crate::inputs::route_gpx::TrackPoint;
use crate::inputs::stations_csv::{StationKind, StationRow};
use crate::inputs::surfaces_csv::{Surface, SurfaceRow};
use crate::inputs::{Inputs, Track};
use crate::pacing::EffortLine;
use crate::plan::Plan;

use super::likeness::{Ground, between};

/// Refills closer together than this, or to the end, are one, metres.
const REFILLS_APART_M: f64 = 1000.0;
/// Stretches of the race are tried from every so many metres on.
const TRY_EVERY_M: f64 = 1000.0;

/// The way to run.
#[derive(Clone, Debug)]
pub enum RunRoute {
    /// A recorded or drawn one, and its ground where the runner says.
    Track(Track, Option<Surface>),
    /// This length in metres, on ground like the race's.
    RaceLike(f64),
}

/// A route as inputs of a course of its own, still without refills.
#[derive(Clone, Debug)]
pub(super) struct RouteInputs {
    pub(super) track: Track,
    pub(super) surfaces: Vec<SurfaceRow>,
    pub(super) surface: Surface,
    /// True where its heights are known.
    pub(super) has_heights: bool,
    /// True where its surface is known.
    pub(super) knows_ground: bool,
    /// The stretch of the race that it copies, metres.
    pub(super) copies: Option<(f64, f64)>,
}

impl RouteInputs {
    /// The way of a route; `None` where the notes say why not.
    pub(super) fn of(
        route: &RunRoute,
        race: &Course,
        line: &EffortLine,
        whole: &Ground,
        notes: &mut Notes,
    ) -> Option<RouteInputs> {
        match route {
            RunRoute::Track(track, surface) => Some(RouteInputs {
                has_heights: track.points.iter().any(|p| p.elevation_m.is_some()),
                // pieces of the runner's own file are no stations
                track: Track {
                    waypoints: Vec::new(),
                    ..track.clone()
                },
                surfaces: Vec::new(),
                surface: surface.unwrap_or_default(),
                knows_ground: surface.is_some(),
                copies: None,
            }),
            RunRoute::RaceLike(length_m) => {
                let race_m = race.profile.length_m();
                if *length_m > race_m {
                    notes.push(
                        Diagnostic::error("the rehearsal is longer than the race")
                            .hint("give a shorter --distance, or the route itself with --route"),
                    );
                    return None;
                }
                Some(like_the_race(*length_m, race, line, whole))
            }
        }
    }
}

/// The stretch of the race, of that length, whose slopes are most like those of the whole race.
fn like_the_race(length_m: f64, race: &Course, line: &EffortLine, whole: &Ground) -> RouteInputs {
    let profile = &race.profile;
    let spare_m = profile.length_m() - length_m;
    let off = |from_m: f64| {
        let part = between(line, from_m, from_m + length_m);
        Ground::over(part, length_m, (0.0, 0.0)).difference(whole)
    };
    let tries = (spare_m / TRY_EVERY_M).floor() as usize;
    let from_m = (0..=tries)
        .map(|i| i as f64 * TRY_EVERY_M)
        .min_by(|a, b| off(*a).total_cmp(&off(*b)))
        .unwrap_or(0.0);
    let steps = (length_m / profile.spacing_m).ceil().max(1.0) as usize;
    let at_m = |i: usize| from_m + length_m * i as f64 / steps as f64;
    let points = (0..=steps).map(|i| {
        let (lat, lon) = profile.position_at_deg(at_m(i));
        TrackPoint {
            lat,
            lon,
            elevation_m: Some(profile.elevation_at_m(at_m(i))),
            time_s: None,
        }
    });
    let ground = |i: usize| {
        let node = ((at_m(i) + at_m(i + 1)) / 2.0 / profile.spacing_m) as usize;
        profile.surface[node.min(profile.surface.len() - 1)]
    };
    let rows = (0..steps).map(|i| SurfaceRow {
        from_m: at_m(i) - from_m,
        to_m: at_m(i + 1) - from_m,
        surface: ground(i),
        span: None,
    });
    RouteInputs {
        track: Track {
            points: points.collect(),
            ..Track::default()
        },
        surfaces: joined(rows),
        surface: Surface::default(),
        has_heights: true,
        knows_ground: true,
        copies: Some((from_m, from_m + length_m)),
    }
}

/// Rows of the same ground in one.
fn joined(rows: impl Iterator<Item = SurfaceRow>) -> Vec<SurfaceRow> {
    let mut joined: Vec<SurfaceRow> = Vec::new();
    for row in rows {
        match joined.last_mut() {
            Some(before) if before.surface == row.surface => before.to_m = row.to_m,
            _ => joined.push(row),
        }
    }
    joined
}

/// A point of the rehearsal that stands for a supply point of the race.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refill {
    /// Metres along the rehearsal.
    pub at_m: f64,
    /// The race's station.
    pub station: usize,
    /// The race's planned stop there, seconds.
    pub stop_s: f64,
}

/// Places of the race's supply points, by the effort done.
pub(super) fn refills(
    race: &Course,
    plan: &Plan,
    line: &EffortLine,
    run: &EffortLine,
) -> Vec<Refill> {
    let end_m = run.distance_at_m(f64::INFINITY);
    let mut refills: Vec<Refill> = Vec::new();
    for pickup in &plan.packing.pickups {
        let station = &race.stations[pickup.station];
        if !matches!(station.role, StationRole::Between(_)) {
            continue;
        }
        let done_m = line.done_at_m(station.distance_m);
        if done_m >= run.total_m() {
            break;
        }
        let at_m = run.distance_at_m(done_m);
        let before_m = refills.last().map_or(0.0, |refill| refill.at_m);
        if at_m - before_m >= REFILLS_APART_M && end_m - at_m >= REFILLS_APART_M {
            refills.push(Refill {
                at_m,
                station: pickup.station,
                stop_s: plan.schedule.stop(pickup.station).as_s(),
            });
        }
    }
    refills
}

/// Refills as a station list.
pub(super) fn station_rows(refills: &[Refill]) -> Vec<StationRow> {
    let rows = refills.iter().enumerate().map(|(i, refill)| {
        let name = format!("Refill {}", i + 1);
        StationRow {
            place: name.clone(),
            name: Spanned::unwritten(name),
            distance_m: Some(Spanned::unwritten(refill.at_m)),
            position: None,
            kind: StationKind::Water,
            cutoff: None,
            cutoff_on: None,
            crew: false,
            drop_bag: false,
            pacer: false,
            stop_s: Some(Spanned::unwritten(refill.stop_s)),
            offers: vec![Spanned::unwritten("water".to_owned())],
            span: None,
        }
    });
    rows.collect()
}

/// The race's inputs with the course replaced by this way.
pub(super) fn inputs_on(race: &Inputs, way: &RouteInputs) -> Inputs {
    let mut inputs = race.clone();
    inputs.course.name = way.track.name.clone();
    inputs.course.origin = None;
    inputs.course.official_distance_m = None;
    inputs.course.official_climb_m = None;
    inputs.course.laps = 1;
    inputs.course.surface = way.surface;
    inputs.course.rules.clear();
    inputs.stations.clear();
    inputs.track = way.track.clone();
    inputs.surfaces = way.surfaces.clone();
    inputs.crew = None;
    inputs.plan.wave_offset_s = 0.0;
    inputs.plan.stops = crate::inputs::plan_toml::StopChoice::default();
    inputs
}
