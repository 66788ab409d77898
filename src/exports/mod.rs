//! Plans into files that other programs open: a calendar and a page for the crew, a track for a watch or a
//! phone, and a book of everything with a page that shows it.

mod book;
mod calendar;
mod crew_page;
mod long_runs;
mod page;
mod track;

pub use book::{BookFile, book};
pub use calendar::calendar;
pub use crew_page::crew_page;
pub use long_runs::long_runs;
pub use track::track;

use chrono::Utc;

use crate::time::{Elapsed, RaceClock};

/// An instant of the race in UTC, as the formats of `chrono` have it.
fn utc(clock: &RaceClock, elapsed: Elapsed, format: &str) -> String {
    let instant = clock.at(elapsed).with_timezone(&Utc);
    instant.format(format).to_string()
}
