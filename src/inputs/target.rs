//! The finish that is aimed at: one time, or a range of times.

use crate::time::Elapsed;

use super::values::race_time;

/// The aim of a plan.
///
/// ```
/// use sutler::inputs::Target;
/// use sutler::time::Elapsed;
/// let hours = |h: i64| Elapsed::from_secs(h * 3600);
/// let range = Target::parse("28:00:00..32:00:00").expect("two race times");
/// assert_eq!(range.planned(), hours(30));
/// assert_eq!(range.beside(), [hours(28), hours(32)]);
/// assert!(Target::parse("32:00:00..28:00:00").is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    /// One finish.
    One(Elapsed),
    /// Anywhere between two finishes, the earlier first.
    Range(Elapsed, Elapsed),
}

impl Target {
    /// Reads `29:30:00`, or `28:00:00..32:00:00`.
    ///
    /// # Errors
    /// In words, what was expected.
    pub fn parse(text: &str) -> Result<Target, String> {
        let Some((early, late)) = text.split_once("..") else {
            return race_time(text).map(Target::One);
        };
        let (early, late) = (race_time(early)?, race_time(late)?);
        if early < late {
            Ok(Target::Range(early, late))
        } else {
            Err(format!(
                "expected the earlier finish first, such as `{}..{}`",
                late.to_seconds_text(),
                early.to_seconds_text()
            ))
        }
    }

    /// The finish to plan: the middle of a range, to the minute.
    #[must_use]
    pub fn planned(self) -> Elapsed {
        match self {
            Target::One(finish) => finish,
            Target::Range(early, late) => {
                Elapsed::from_secs((early.as_secs() + late.as_secs()) / 2).to_minute()
            }
        }
    }

    /// The finishes to show beside it: the ends of a range.
    #[must_use]
    pub fn beside(self) -> Vec<Elapsed> {
        match self {
            Target::One(_) => Vec::new(),
            Target::Range(early, late) => vec![early, late],
        }
    }
}
