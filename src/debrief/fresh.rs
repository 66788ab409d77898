//! How much the runs of a record count by their age.

use chrono::NaiveDate;

/// After so many days a run counts half. Our choice: fitness and heat habits pass in a season.
pub const HALF_AFTER_DAYS: f64 = 120.0;

/// The weight of a run beside one of the last day: half after [`HALF_AFTER_DAYS`].
pub(super) fn fresh(date: NaiveDate, last: NaiveDate) -> f64 {
    0.5_f64.powf((last - date).num_days() as f64 / HALF_AFTER_DAYS)
}
