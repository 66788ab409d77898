//! Checks of the parts that pictures are drawn with.

mod axis;
mod place;
mod svg;
mod theme;
mod words;
