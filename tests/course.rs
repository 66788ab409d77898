//! The course model: distances, heights, stations placed in order, segments.

mod distances;
mod geodesics;
mod heights;
mod hostile;
mod placing;
mod receivers;
mod segments;
mod sketch;
mod start;
