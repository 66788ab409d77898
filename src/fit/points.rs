//! The points of a recording that can be worked with, in the order of their times.

use crate::course::distance_m;
use crate::inputs::Track;

use super::refusal::Refusal;

/// A point with its time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Fix {
    pub(super) at_deg: (f64, f64),
    pub(super) height_m: Option<f64>,
    /// Seconds since 1970.
    pub(super) time_s: f64,
}

impl Fix {
    pub(super) fn distance_m(&self, other: &Fix) -> f64 {
        distance_m(self.at_deg, other.at_deg)
    }
}

/// Share of the points that must have a time.
const LEAST_TIMED: f64 = 0.9;
/// Share of the points that may go back in time.
const MOST_BACKWARDS: f64 = 0.05;
/// Nobody on foot is faster than this between two points: the best sprinters reach 12.4 m/s
/// (from memory).
const JUMP_MPS: f64 = 12.0;

/// The points with a time that moves on, without single points that jump away and back.
pub(super) fn usable(track: &Track) -> Result<Vec<Fix>, Refusal> {
    let timed: Vec<Fix> = track
        .points
        .iter()
        .filter_map(|point| {
            Some(Fix {
                at_deg: (point.lat, point.lon),
                height_m: point.elevation_m,
                time_s: point.time_s?,
            })
        })
        .collect();
    let points = track.points.len();
    if timed.is_empty() {
        return Err(Refusal::new(
            "its points have no times",
            "give a recording, exported with its times, and not a planned route",
        ));
    }
    if (timed.len() as f64) < LEAST_TIMED * points as f64 {
        return Err(Refusal::new(
            format!("only {} of its {points} points have a time", timed.len()),
            "export the recording again with its times",
        ));
    }
    let advancing = advancing(&timed)?;
    Ok(without_jumps(&advancing))
}

/// A clock that was set while recording makes the times before and after tell different stories.
fn advancing(timed: &[Fix]) -> Result<Vec<Fix>, Refusal> {
    let mut kept: Vec<Fix> = Vec::with_capacity(timed.len());
    let mut backwards = 0;
    for fix in timed {
        match kept.last() {
            Some(last) if fix.time_s <= last.time_s => {
                backwards += usize::from(fix.time_s < last.time_s);
            }
            _ => kept.push(*fix),
        }
    }
    if backwards as f64 > MOST_BACKWARDS * timed.len() as f64 {
        return Err(Refusal::new(
            format!("its clock goes back at {backwards} points"),
            "where several recordings are joined in one file, put them in order of time",
        ));
    }
    Ok(kept)
}

fn without_jumps(fixes: &[Fix]) -> Vec<Fix> {
    let speed_mps = |a: &Fix, b: &Fix| a.distance_m(b) / (b.time_s - a.time_s);
    let mut kept: Vec<Fix> = Vec::with_capacity(fixes.len());
    for (i, fix) in fixes.iter().enumerate() {
        let jumps = match (kept.last(), fixes.get(i + 1)) {
            (Some(last), Some(next)) => {
                speed_mps(last, fix) > JUMP_MPS && speed_mps(fix, next) > JUMP_MPS
            }
            _ => false,
        };
        if !jumps {
            kept.push(*fix);
        }
    }
    kept
}

/// Points closer than this to the one before add nothing but the noise of the receiver, metres:
/// standing still, a track wanders about by as much.
const THINNED_M: f64 = 10.0;

/// The first point of every ten metres, and the last of all.
pub(super) fn thinned(fixes: &[Fix]) -> Vec<Fix> {
    let mut kept: Vec<Fix> = Vec::new();
    for fix in fixes {
        if kept
            .last()
            .is_none_or(|last| last.distance_m(fix) >= THINNED_M)
        {
            kept.push(*fix);
        }
    }
    if let (Some(last), Some(end)) = (kept.last(), fixes.last())
        && last.time_s < end.time_s
    {
        kept.push(*end);
    }
    kept
}
