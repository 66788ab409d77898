//! Files for other programs, read again by readers that know nothing of how they were written.

mod calendar;
mod page;
mod track;
