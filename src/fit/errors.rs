//! How far predicted splits are from recorded ones.

use crate::pacing::PacingSettings;

use super::figures::planned;
use super::linear::quantile;
use super::recording::Recording;

/// Errors of the splits of one recording, given its course and its finish and nothing else.
#[derive(Clone, Debug, PartialEq)]
pub struct Errors {
    /// At each tenth of the distance but the last, predicted less recorded elapsed time, percent
    /// of the finish time.
    pub splits_pct: Vec<f64>,
    /// For each twentieth of the distance, predicted less recorded time, percent of the recorded.
    pub pieces_pct: Vec<f64>,
}

/// Errors of several recordings together.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Summary {
    /// The mean size of the errors of splits, percent of the finish time.
    pub mean_pct: f64,
    /// Half of them are smaller.
    pub median_pct: f64,
    /// Nine of ten are smaller.
    pub p90_pct: f64,
    /// The mean size of the errors of pieces, percent.
    pub pieces_pct: f64,
}

const SPLITS: usize = 10;
const PIECES: usize = 20;

impl Errors {
    /// Of a recording, predicted with these settings; `None` where nobody could have run it.
    pub(super) fn of(recording: &Recording, settings: &PacingSettings) -> Option<Errors> {
        let pacing = planned(recording, settings)?;
        let length_m = recording.course.profile.length_m();
        let at = |part: usize, parts: usize| {
            let distance_m = length_m * part as f64 / parts as f64;
            (
                pacing.elapsed_at_s(&recording.course, distance_m),
                recording.elapsed_at_s(distance_m),
            )
        };
        let splits_pct = (1..SPLITS)
            .map(|part| {
                let (predicted_s, recorded_s) = at(part, SPLITS);
                100.0 * (predicted_s - recorded_s) / recording.finish_s
            })
            .collect();
        let pieces_pct = (0..PIECES)
            .map(|part| {
                let (from, to) = (at(part, PIECES), at(part + 1, PIECES));
                let recorded_s = (to.1 - from.1).max(1.0);
                100.0 * ((to.0 - from.0) / recorded_s - 1.0)
            })
            .collect();
        Some(Errors {
            splits_pct,
            pieces_pct,
        })
    }

    /// The mean size of the errors of splits, percent of the finish time.
    #[must_use]
    pub fn mean_pct(&self) -> f64 {
        mean(&sizes(&self.splits_pct))
    }
}

impl Summary {
    /// Over all splits and pieces of some recordings.
    #[must_use]
    pub fn over<'a>(errors: impl Iterator<Item = &'a Errors> + Clone) -> Summary {
        let splits: Vec<f64> = errors.clone().flat_map(|e| sizes(&e.splits_pct)).collect();
        let pieces: Vec<f64> = errors.flat_map(|e| sizes(&e.pieces_pct)).collect();
        Summary {
            mean_pct: mean(&splits),
            median_pct: quantile(&splits, 0.5).unwrap_or_default(),
            p90_pct: quantile(&splits, 0.9).unwrap_or_default(),
            pieces_pct: mean(&pieces),
        }
    }
}

fn sizes(errors: &[f64]) -> Vec<f64> {
    errors.iter().map(|e| e.abs()).collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}
