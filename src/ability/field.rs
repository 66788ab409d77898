//! The field of a former edition: what a place in it is worth.

use crate::time::Elapsed;

/// The finish times of a former edition of the race.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Ascending, seconds.
    finishes_s: Vec<f64>,
}

/// Fewer finishers say nothing of a share of the field.
pub const FEWEST: usize = 20;

impl Field {
    /// The field of these finish times; `None` where they are too few to tell.
    #[must_use]
    pub fn of(times: &[Elapsed]) -> Option<Field> {
        let mut finishes_s: Vec<f64> = times.iter().map(|time| time.as_s()).collect();
        finishes_s.sort_by(f64::total_cmp);
        (finishes_s.len() >= FEWEST).then_some(Field { finishes_s })
    }

    /// The number of finishers.
    #[must_use]
    pub fn finishers(&self) -> usize {
        self.finishes_s.len()
    }

    /// The place that a finish would have had, 1 for the first.
    #[must_use]
    pub fn place(&self, finish_s: f64) -> usize {
        1 + self
            .finishes_s
            .partition_point(|before_s| *before_s < finish_s)
    }

    /// The finish of who comes in at a share of the field, 0 for the first and 1 for the last, seconds.
    ///
    /// ```
    /// use sutler::ability::Field;
    /// use sutler::time::Elapsed;
    /// let hours: Vec<Elapsed> = (0..=20).map(|h| Elapsed::from_secs((20 + h) * 3600)).collect();
    /// let field = Field::of(&hours).expect("twenty-one finishers");
    /// assert_eq!(field.at_share(0.5), 30.0 * 3600.0);
    /// assert_eq!(field.place(30.0 * 3600.0), 11);
    /// ```
    #[must_use]
    pub fn at_share(&self, share: f64) -> f64 {
        let last = self.finishes_s.len() - 1;
        let at = share.clamp(0.0, 1.0) * last as f64;
        let below = (at as usize).min(last - 1);
        let (from_s, to_s) = (self.finishes_s[below], self.finishes_s[below + 1]);
        from_s + (to_s - from_s) * (at - below as f64)
    }
}
