//! Files for other programs, read again by readers that know nothing of how they were written.

mod calendar;
pub mod crew_page;
mod page;
mod told;
mod track;
