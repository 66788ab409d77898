//! Plans into pictures: SVG text, light and dark, that needs nothing from outside.
//!
//! Drawn with a small writer of our own: labels are placed by measured widths, areas carry
//! patterns for printers without colours, and each picture has a name and a description.

mod axis;
mod canvas;
mod code;
mod fuel;
mod in_hand;
mod long_runs;
mod map;
mod place;
mod poster;
mod profile;
mod projection;
mod rows;
mod shades;
mod svg;
#[cfg(test)]
mod tests;
mod theme;
mod time_distance;
mod ways;
pub(crate) mod words;

use crate::facts::Facts;

pub(crate) use code::code;
pub use long_runs::long_runs;
pub use poster::{PosterSheet, poster};
pub use theme::{DARK, LIGHT, PAPER, THEMES, Theme};

/// One kind of picture.
#[derive(Clone, Copy, Debug)]
pub struct Picture {
    /// Its name in files.
    pub name: &'static str,
    /// Its name for people.
    pub title: &'static str,
    /// As SVG; without a target, what is known without one. Stations and segments carry the ids
    /// that their facts have.
    pub draw: fn(&Facts, &Theme) -> String,
    /// The picture in words, for those who do not see it.
    pub describe: fn(&Facts) -> String,
}

/// Every picture.
pub const PICTURES: &[Picture] = &[
    profile::PICTURE,
    time_distance::PICTURE,
    in_hand::PICTURE,
    map::PICTURE,
    fuel::PICTURE,
];
