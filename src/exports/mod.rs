//! Plans into files that other programs open: a calendar and a page for the crew, a track for a watch or a
//! phone, and a book of everything with a page that shows it.

mod book;
mod calendar;
mod crew_page;
mod ics;
mod long_runs;
mod track;

pub use book::{BookFile, Print, book};
pub use calendar::calendar;
pub use crew_page::crew_page;
pub use long_runs::long_runs;
pub use track::track;
