//! Facts into pages for screen and printer: each page is one file with one constant, and a line
//! in [`PAGES`].
//!
//! A page reads [`Facts`] and computes nothing. What it shows is escaped as it is compiled, so
//! that a name is never markup. Sizes are millimetres and points; a short script inside each page
//! lays its parts out on sheets, so that screen, print dialogue and PDF show the same. Without
//! the script the parts follow each other.

mod bag_sheet;
mod card;
mod crew_sheet;
pub mod document;
pub mod index;
pub mod parts;
mod poster;
mod race_book;
mod sheets;
pub mod shell;
mod skyline;

use chrono::NaiveDate;
use maud::Markup;

use crate::facts::Facts;

use shell::Shell;

/// One kind of page.
#[derive(Clone, Copy, Debug)]
pub struct Page {
    /// The verb that makes it.
    pub name: &'static str,
    /// The name that people use.
    pub title: &'static str,
    /// One line for help.
    pub about: &'static str,
    /// True where it would say anything about a race.
    pub has_use: fn(&Facts) -> bool,
    /// Its contents.
    pub build: fn(&Facts, &Wishes) -> Markup,
    /// The width that a phone takes it to have.
    pub(crate) viewport: &'static str,
    /// Its beginning, for a page that links it.
    pub(crate) glimpse: fn(&Facts) -> Markup,
}

/// Every page.
pub const PAGES: &[Page] = &[
    card::PAGE,
    crew_sheet::PAGE,
    bag_sheet::PAGE,
    race_book::PAGE,
    poster::PAGE,
];

/// The reader's wishes for a page.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wishes {
    /// The sheet in the printer.
    pub sheet: Sheet,
    /// The cut of the card.
    pub size: CardSize,
    /// No pace on the card, for those who run by feel.
    pub by_feel: bool,
    /// Race time on the card, beside the clock.
    pub elapsed: bool,
    /// Light words on dark, on the poster.
    pub dark: bool,
    /// The day to print as the day it was made; none is printed without it.
    pub made: Option<NaiveDate>,
    /// The reader's own stylesheet, after the page's.
    pub style: Option<String>,
}

/// The sheet in the printer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sheet {
    /// 210 mm × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 in × 11 in (ANSI/ASME Y14.1).
    Letter,
    /// 297 mm × 420 mm (ISO 216).
    A3,
    /// 148 mm × 210 mm (ISO 216).
    A5,
    /// A screen of so many pixels across and down, two of which are one of CSS.
    Screen(u32, u32),
}

/// The cut and fold of the card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CardSize {
    /// Panels of 74 mm × 132 mm, as large as a phone, two side by side.
    #[default]
    Pocket,
    /// Panels of 65 mm × 132 mm, three side by side, to fold like a letter.
    Strip,
    /// A band of 56 mm × 230 mm with two sides, to wind around the wrist.
    Wrist,
}

/// The stylesheet of every page.
pub const STYLE: &str = concat!(
    include_str!("palette.css"),
    "@media screen and (prefers-color-scheme: dark) { :root:has(main.screen) {\n",
    include_str!("night.css"),
    "} }\n",
    include_str!("page.css")
);
/// The script that lays parts out on sheets.
const SCRIPT: &str = include_str!("sheets.js");

/// The page of a verb.
#[must_use]
pub fn by_name(name: &str) -> Option<&'static Page> {
    PAGES.iter().find(|page| page.name == name)
}

impl Page {
    /// The page as HTML that needs nothing from outside.
    #[must_use]
    pub fn html(&self, facts: &Facts, wishes: &Wishes) -> String {
        let title = format!("{}: {}", self.title, parts::clean(&facts.race.0.course));
        let sheet = wishes.sheet.style();
        let mut styles = vec![STYLE, &sheet];
        styles.extend(wishes.style.as_deref());
        let page = Shell {
            title: &title,
            viewport: self.viewport,
            styles: &styles,
            scripts: &[SCRIPT],
            body: (self.build)(facts, wishes),
        };
        page.write()
    }
}

impl Sheet {
    /// Its size for the stylesheet.
    fn style(self) -> String {
        let (wide, high) = self.size_mm();
        format!(
            ":root{{--wide:{wide:.3}mm;--high:{high:.3}mm}}@page{{size:{wide:.3}mm {high:.3}mm;margin:0}}\
             @page flow{{size:{wide:.3}mm {high:.3}mm;margin:14mm}}"
        )
    }

    /// Width and height, millimetres.
    #[must_use]
    pub fn size_mm(self) -> (f64, f64) {
        let mm = |pixels: u32| f64::from(pixels) / 2.0 / 96.0 * 25.4;
        match self {
            Sheet::A4 => (210.0, 297.0),
            Sheet::Letter => (215.9, 279.4),
            Sheet::A3 => (297.0, 420.0),
            Sheet::A5 => (148.0, 210.0),
            Sheet::Screen(wide, high) => (mm(wide), mm(high)),
        }
    }
}
