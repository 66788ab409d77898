//! Every integration test of sutler, in one binary.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::missing_panics_doc,
    unreachable_pub
)]

mod support;

mod browser;
mod calendar;
mod cli;
mod conditions;
mod conformance;
mod contract;
mod course;
mod courses;
mod crew;
mod debrief;
mod desk;
mod explain;
mod exports;
mod facts;
mod finish;
mod fit;
mod fueling;
mod gpx;
mod help;
mod layers;
mod losses;
mod mutations;
mod pacing;
mod packing;
mod pages;
mod pasted;
mod pictures;
mod problems;
mod properties;
mod readme;
mod rehearsal;
mod replan;
mod same;
mod schedule;
mod shipped;
mod typed;
mod unknowns;
