//! Race-day pacing and aid-station fueling for trail ultramarathons: text in, values out.
//!
//! The design is the data flow. Each stage has a folder, takes earlier results by reference and
//! returns a new value:
//!
//! [`inputs`] → [`course`] → [`conditions`] → [`pacing`] → [`schedule`] → [`fueling`] →
//! [`packing`] → [`crew`] → [`plan`] → [`reports`]
//!
//! Beside it: [`finish`], which targets are in reach, and [`replan`], the rest of a race that goes
//! differently.
//!
//! Nothing here knows a command line, a terminal, a file system or a clock.
#![deny(clippy::print_stdout, clippy::print_stderr)]

pub mod diagnostics;
pub mod findings;
pub mod time;
pub mod units;

pub mod conditions;
pub mod course;
pub mod crew;
pub mod finish;
pub mod fueling;
pub mod inputs;
pub mod pacing;
pub mod packing;
pub mod plan;
pub mod replan;
pub mod reports;
pub mod schedule;
