//! Plans into pictures: SVG text, light and dark, that needs nothing from outside.
//!
//! Drawn with a small writer of our own: labels are placed by measured widths, areas carry
//! patterns for printers without colours, and each picture has a name and a description.

mod axis;
mod canvas;
mod fuel;
mod long_runs;
mod nights;
mod place;
mod profile;
mod svg;
mod theme;
mod time_distance;
pub(crate) mod words;

use crate::reports::View;

pub use long_runs::long_runs;
pub use theme::{DARK, LIGHT, THEMES, Theme};

/// One kind of picture.
#[derive(Clone, Copy, Debug)]
pub struct Picture {
    /// What files call it.
    pub name: &'static str,
    /// What people call it.
    pub title: &'static str,
    /// As SVG; of a view without a plan, what is known without one.
    pub draw: fn(&View<'_>, &Theme) -> String,
    /// What it shows, for those who do not see it.
    pub describe: fn(&View<'_>) -> String,
}

/// Every picture.
pub const PICTURES: &[Picture] = &[profile::PICTURE, time_distance::PICTURE, fuel::PICTURE];
