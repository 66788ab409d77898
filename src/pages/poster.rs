//! The poster: the race on one sheet, for the wall or for a phone's screen.

use maud::{Markup, PreEscaped, html};

use crate::facts::Facts;
use crate::pictures::{DARK, LIGHT, PosterSheet, poster};

use super::parts::data_uri;
use super::{Page, Sheet, Wishes, shell};

/// The picture on the wall.
pub(super) const PAGE: Page = Page {
    name: "poster",
    title: "Poster",
    about: "the race on one sheet: course, clocks, cutoffs, night, sun and moon, crew and fills",
    has_use: |facts| facts.planned().is_some(),
    build,
    viewport: shell::PAPER_WIDTH,
    glimpse,
};

fn build(facts: &Facts, wishes: &Wishes) -> Markup {
    let theme = if wishes.dark { &DARK } else { &LIGHT };
    html! {
        main.poster {
            // made of tags and escaped words by the same hands as this page
            section.sheet { (PreEscaped(poster(facts, theme, sheet(wishes.sheet)))) }
        }
    }
}

/// The sheet as it hangs on a wall.
fn glimpse(facts: &Facts) -> Markup {
    html! { img src=(data_uri(&poster(facts, &LIGHT, sheet(Sheet::A4)))) alt=""; }
}

/// Units of the picture across: the smaller the sheet, the larger its words.
fn sheet(sheet: Sheet) -> PosterSheet {
    let (wide, free) = match sheet {
        Sheet::A3 | Sheet::A4 | Sheet::Letter => (740.0, 0.0),
        Sheet::A5 => (520.0, 0.0),
        // a phone shows its own clock in the upper part
        Sheet::Screen(..) => (400.0, 0.2),
    };
    let (wide_mm, high_mm) = sheet.size_mm();
    let high = wide * high_mm / wide_mm;
    PosterSheet {
        wide,
        high,
        free: high * free,
    }
}
