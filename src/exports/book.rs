//! Everything about a plan as files of one folder.

use crate::facts::{CheckFacts, Facts, PhoneFacts, TrackFacts};
use crate::pages::index::{Link, index};
use crate::pages::{PAGES, Sheet, Wishes};
use crate::pictures::{PICTURES, THEMES};
use crate::reports::formats::{FORMATS, TextSurface};
use crate::reports::{Report, View, by_name, of_a_plan};
use crate::units::Units;

use super::{calendar, crew_page, track};

/// A file of the book.
#[derive(Clone, Debug, PartialEq)]
pub struct BookFile {
    /// Its name in the folder.
    pub name: String,
    /// Its contents in words.
    pub about: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// The maker of a page's PDF; nothing where it makes none.
pub type Print<'a> = dyn FnMut(&str) -> Option<Vec<u8>> + 'a;

const INDEX: &str = "index.html";
const CREW: &str = "crew.html";
const SPLITS: &str = "splits.csv";
const PLAN: &str = "plan.json";
const CALENDAR: &str = "crew.ics";
const TRACK: &str = "track.gpx";

/// The book of a view's first plan: `index.html` first, then what it links.
///
/// The calendar is left out where there is no crew or no clock, a printed page where it would
/// be empty. The race book tells what a check found, where there was one. Miles go with letter paper, kilometres with A4. `print` makes a PDF of a page, where
/// there is anything that does.
pub fn book(view: &View<'_>, check: Option<CheckFacts>, print: &mut Print<'_>) -> Vec<BookFile> {
    let facts = Facts::of(view);
    let checked = Facts {
        check,
        ..facts.clone()
    };
    let mut files = pages(&checked, view.units, print);
    files.extend(reports(&facts));
    files.extend(data(&facts));
    if let Some(text) = calendar(&facts) {
        files.push(file(
            CALENDAR,
            "the crew's meetings and drives, with alarms",
            text,
        ));
    }
    if let Some(phone) = PhoneFacts::of(view) {
        let text = crew_page(&facts, &phone);
        let about = "the crew's page for a phone without signal: enter what was seen, see the rest";
        files.push(file(CREW, about, text));
    }
    let about = "the course with stations and planned times, for a watch or a phone";
    files.push(file(TRACK, about, track(&facts, &TrackFacts::of(view))));
    for picture in PICTURES {
        for theme in THEMES {
            let name = format!("{}-{}.svg", picture.name, theme.name);
            let about = format!("{}, {}", picture.title.to_lowercase(), theme.name);
            let drawn = file(&name, &about, (picture.draw)(&facts, &theme));
            files.push(drawn);
        }
    }
    let links = files.iter().map(|file| Link {
        name: &file.name,
        about: &file.about,
    });
    let index = index(&facts, &links.collect::<Vec<_>>());
    files.insert(0, file(INDEX, "this page", index));
    files
}

/// Every page that a plan has something to print on, as HTML and printed.
fn pages(facts: &Facts, units: Units, print: &mut Print<'_>) -> Vec<BookFile> {
    let wishes = Wishes {
        sheet: match units {
            Units::Metric => Sheet::A4,
            Units::Imperial => Sheet::Letter,
        },
        ..Wishes::default()
    };
    let (mut files, mut printed) = (Vec::new(), Vec::new());
    for page in PAGES.iter().filter(|page| (page.has_use)(facts)) {
        let html = page.html(facts, &wishes);
        printed.extend(print(&html).map(|bytes| BookFile {
            name: format!("{}.pdf", page.name),
            about: format!("{}, printed", page.title.to_lowercase()),
            bytes,
        }));
        files.push(file(&format!("{}.html", page.name), page.about, html));
    }
    files.extend(printed);
    files
}

fn file(name: &str, about: &str, text: String) -> BookFile {
    BookFile {
        name: name.to_owned(),
        about: about.to_owned(),
        bytes: text.into_bytes(),
    }
}

/// Every report to read.
fn reports(facts: &Facts) -> Vec<BookFile> {
    let write = |report: &Report| {
        let text = formatted(report, "markdown", facts);
        file(&format!("{}.md", report.name), report.about, text)
    };
    of_a_plan().map(write).collect()
}

/// Tables and data for programs.
fn data(facts: &Facts) -> Vec<BookFile> {
    let mut files = Vec::new();
    if let Some(splits) = by_name("splits") {
        let text = formatted(splits, "csv", facts);
        files.push(file(SPLITS, "the splits as a table for programs", text));
    }
    if let Some(plan) = by_name("plan") {
        let text = format!("{:#}\n", plan.json(facts));
        files.push(file(PLAN, "the whole plan as data for programs", text));
    }
    files
}

fn formatted(report: &Report, format: &str, facts: &Facts) -> String {
    let document = (report.build)(facts);
    FORMATS
        .iter()
        .find(|known| known.name == format)
        .map_or(String::new(), |format| {
            (format.write)(&document, &TextSurface::default())
        })
}
