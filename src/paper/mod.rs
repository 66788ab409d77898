//! Plans onto paper: pages for a printer, each laid out from plain data by a template.
//!
//! A page never computes: [`Paper::data`] puts what the stages found into words and numbers, the
//! template only places them. Whatever the user wrote reaches it as data and is never read as
//! markup. The same plan and wishes give the same bytes.

mod data;
mod fields;
mod press;

use chrono::NaiveDate;
use serde_json::Value;

use crate::charts::{LIGHT, PICTURES, skyline};
use crate::plan::Plan;
use crate::reports::View;

pub use fields::{Field, fields, fields_text, time_fields};
pub(crate) use press::in_words;
pub use press::{Format, OwnTemplate, Pages, pixels};

/// One kind of printed page.
#[derive(Clone, Copy, Debug)]
pub struct Paper {
    /// The verb that prints it.
    pub name: &'static str,
    /// One line for help.
    pub about: &'static str,
    /// The template it is laid out with, unless the user brings one.
    pub template: &'static str,
    /// What the template gets, as JSON: the formatted words beside numbers whose keys carry their
    /// units. [`fields()`] says what each is.
    pub data: fn(&View<'_>, &Wishes) -> Value,
    /// Whether its template gets the pictures too, such as `/profile.svg`.
    pub pictures: bool,
    /// Whether a plan has anything to print on it.
    pub has_use: fn(&Plan) -> bool,
}

/// What a runner carries.
pub const CARD: Paper = Paper {
    name: "card",
    about: "the pace card: what to know between any two stations",
    template: include_str!("templates/card.typ"),
    data: data::card,
    pictures: false,
    has_use: |_| true,
};

/// What the crew reads at night.
pub const CREW_SHEET: Paper = Paper {
    name: "crew-sheet",
    about: "the crew's sheet: drives, meetings, what to hand over, room for real times",
    template: include_str!("templates/crew-sheet.typ"),
    data: data::crew_sheet,
    pictures: false,
    has_use: |plan| !plan.crew.meetings.is_empty(),
};

/// What is bought, packed and handed in before the race.
pub const BAG_SHEET: Paper = Paper {
    name: "bag-sheet",
    about: "shopping and packing list with boxes to tick, and a label to cut out for each drop bag",
    template: include_str!("templates/bag-sheet.typ"),
    data: data::bag_sheet,
    pictures: false,
    has_use: |plan| {
        let packing = &plan.packing;
        let with_gear = packing.pickups.iter().any(|p| !p.gear_on.is_empty());
        with_gear || !packing.bags.is_empty() || !packing.shopping.is_empty()
    },
};

/// All of it to read before the race, and to look things up in.
pub const RACE_BOOK: Paper = Paper {
    name: "race-book",
    about: "the race book: all of it with pictures, contents, cautions and where the numbers are from",
    template: include_str!("templates/race-book.typ"),
    data: data::race_book,
    pictures: true,
    has_use: |_| true,
};

/// Every printed page.
pub const PAPERS: [Paper; 4] = [CARD, CREW_SHEET, BAG_SHEET, RACE_BOOK];

/// What a template may import beside its data.
const COMMON: &str = include_str!("templates/common.typ");

/// How the reader wants it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Wishes {
    /// The sheet in the printer.
    pub sheet: Sheet,
    /// How the pace card is cut.
    pub size: CardSize,
    /// No pace on the card, for those who run by feel.
    pub by_feel: bool,
    /// The day to print as the day it was made; none is printed without it.
    pub made: Option<NaiveDate>,
}

/// The sheet in the printer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sheet {
    /// 210 mm × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 in × 11 in (ANSI/ASME Y14.1).
    Letter,
}

/// How the pace card is cut and folded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CardSize {
    /// Panels of A7 (74 mm × 105 mm, ISO 216), two side by side.
    #[default]
    Pocket,
    /// Panels of 65 mm × 105 mm, three side by side, to fold like a letter.
    Strip,
    /// A band of 65 mm × 190 mm to wind around the wrist.
    Wrist,
}

impl Paper {
    /// Lays the pages out with the paper's own template, or with the user's.
    ///
    /// # Errors
    /// What is wrong with the user's template, and where.
    pub fn pages(
        &self,
        view: &View<'_>,
        wishes: &Wishes,
        own: Option<&OwnTemplate<'_>>,
    ) -> Result<Pages, crate::diagnostics::Notes> {
        let pictures = if self.pictures {
            drawn(view)
        } else {
            Vec::new()
        };
        press::lay_out(self.template, own, &(self.data)(view, wishes), pictures)
    }
}

/// Every picture on light paper and the cover's, under the names that templates read them by.
fn drawn(view: &View<'_>) -> Vec<(String, String)> {
    let pictures = PICTURES.iter();
    pictures
        .map(|picture| {
            (
                format!("/{}.svg", picture.name),
                (picture.draw)(view, &LIGHT),
            )
        })
        .chain([("/skyline.svg".to_owned(), skyline(view, &LIGHT))])
        .collect()
}
