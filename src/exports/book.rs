//! Everything about a plan as files of one folder.

use crate::facts::{Facts, PhoneFacts, TrackFacts};
use crate::pictures::{PICTURES, THEMES};
use crate::reports::formats::{FORMATS, Page};
use crate::reports::{Report, View, by_name, of_a_plan};

use super::{calendar, crew_page, page, track};

/// A file of the book.
#[derive(Clone, Debug, PartialEq)]
pub struct BookFile {
    /// What it is called in the folder.
    pub name: String,
    /// What it holds.
    pub about: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

const INDEX: &str = "index.html";
const CREW: &str = "crew.html";
const SPLITS: &str = "splits.csv";
const PLAN: &str = "plan.json";
const CALENDAR: &str = "crew.ics";
const TRACK: &str = "track.gpx";

/// The book of a view's first plan: `index.html` first, then what it links.
///
/// The calendar is left out where there is no crew or no clock, a printed page where it would
/// be empty. Miles go with letter paper, kilometres with A4.
///
/// # Errors
/// In words, what cannot be printed.
pub fn book(view: &View<'_>) -> Result<Vec<BookFile>, String> {
    let mut files = reports(view);
    files.extend(data(view));
    let facts = Facts::of(view);
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
    let index = page::index(view, &files);
    files.insert(0, file(INDEX, "this page", index));
    Ok(files)
}

fn file(name: &str, about: &str, text: String) -> BookFile {
    BookFile {
        name: name.to_owned(),
        about: about.to_owned(),
        bytes: text.into_bytes(),
    }
}

/// Every report to read.
fn reports(view: &View<'_>) -> Vec<BookFile> {
    let write = |report: &Report| {
        let text = formatted(report, "markdown", view);
        file(&format!("{}.md", report.name), report.about, text)
    };
    of_a_plan().map(write).collect()
}

/// Tables and data for programs.
fn data(view: &View<'_>) -> Vec<BookFile> {
    let mut files = Vec::new();
    if let Some(splits) = by_name("splits") {
        let text = formatted(splits, "csv", view);
        files.push(file(SPLITS, "the splits as a table for programs", text));
    }
    if let Some(plan) = by_name("plan") {
        let text = format!("{:#}\n", plan.json(&Facts::of(view)));
        files.push(file(PLAN, "the whole plan as data for programs", text));
    }
    files
}

fn formatted(report: &Report, format: &str, view: &View<'_>) -> String {
    let document = (report.build)(&Facts::of(view));
    FORMATS
        .iter()
        .find(|known| known.name == format)
        .map_or(String::new(), |format| {
            (format.write)(&document, &Page::default())
        })
}
