//! Errors of predicted splits against recorded ones.

use crate::pacing::PacingSettings;

use super::figures::planned;
use super::recording::Recording;

/// Errors of the splits of one recording, given its course and its finish and nothing else: at
/// each tenth of the distance but the last, predicted less recorded elapsed time, percent of the
/// finish time.
#[derive(Clone, Debug, PartialEq)]
pub struct SplitErrors(pub Vec<f64>);

/// Errors of several recordings together.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Summary {
    /// The mean size of the errors of splits, percent of the finish time.
    pub mean_pct: f64,
    /// Half of them are smaller.
    pub median_pct: f64,
    /// Nine of ten are smaller.
    pub p90_pct: f64,
}

const SPLITS: usize = 10;

impl SplitErrors {
    /// Of a recording, predicted with these settings; `None` where nobody could have run it.
    pub(super) fn of(recording: &Recording, settings: &PacingSettings) -> Option<SplitErrors> {
        let pacing = planned(recording, settings)?;
        let length_m = recording.course.profile.length_m();
        let splits = (1..SPLITS).map(|part| {
            let distance_m = length_m * part as f64 / SPLITS as f64;
            let predicted_s = pacing.elapsed_at_s(&recording.course, distance_m);
            100.0 * (predicted_s - recording.elapsed_at_s(distance_m)) / recording.finish_s
        });
        Some(SplitErrors(splits.collect()))
    }

    /// The mean size of the errors, percent of the finish time.
    #[must_use]
    pub fn mean_pct(&self) -> f64 {
        mean(self.0.iter().map(|error| error.abs()))
    }
}

impl Summary {
    /// Over all splits of some recordings.
    #[must_use]
    pub fn over<'a>(errors: impl Iterator<Item = &'a SplitErrors>) -> Summary {
        let splits: Vec<f64> = errors.flat_map(|e| &e.0).map(|e| e.abs()).collect();
        Summary {
            mean_pct: mean(splits.iter().copied()),
            median_pct: quantile(&splits, 0.5).unwrap_or_default(),
            p90_pct: quantile(&splits, 0.9).unwrap_or_default(),
        }
    }
}

pub(super) fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len().max(1) as f64;
    values.sum::<f64>() / count
}

/// The value below which a share of some values lies; `None` of none.
fn quantile(values: &[f64], share: f64) -> Option<f64> {
    let mut sorted: Vec<f64> = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let place = share * sorted.len().checked_sub(1)? as f64;
    let (low, high) = (place.floor() as usize, place.ceil() as usize);
    Some(sorted[low] + (sorted[high] - sorted[low]) * (place - low as f64))
}
