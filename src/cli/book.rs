//! `sutler book`: everything about a plan into a folder, whole or not at all.

use std::path::{Path, PathBuf};

use sutler::exports::{self, BOOK_NAMES};
use sutler::pictures::{PICTURES, THEMES};
use sutler::reports::REPORTS;

use super::args::BookArgs;
use super::load::load;
use super::show::{self, Stop};
use super::{report, save};

/// Writes the book.
pub(crate) fn run(args: &BookArgs) -> Result<u8, Stop> {
    let folder = &args.out;
    check(folder, args.overwrite)?;
    let mut loaded = load(&args.source);
    let made = report::make(&mut loaded, true);
    show::problems(&loaded.sources, loaded.notes.all());
    let (race, plans) = made.ok_or(Stop::Shown)?;
    let view = report::view(&race, &plans, &loaded, args.units, 80);
    let files = exports::book(&view).map_err(Stop::Said)?;
    let built = save::folder_beside(folder)?;
    for file in &files {
        std::fs::write(built.path().join(&file.name), &file.bytes)?;
    }
    if folder.is_dir() {
        save::over(built, folder, &own_names())?;
    } else {
        save::folder(built, folder)?;
    }
    let index = folder.join("index.html");
    show::print(&format!(
        "wrote {} files: open {}\n",
        files.len(),
        index.display()
    ))?;
    Ok(report::verdict(&plans, view.units))
}

/// Whether the folder may be written, before any work is done for it.
fn check(folder: &Path, overwrite: bool) -> Result<(), Stop> {
    let shown = folder.display();
    if folder.exists() && !folder.is_dir() {
        return Err(Stop::Said(format!(
            "`{shown}` is a file; give the name of a folder"
        )));
    }
    let taken = folder.is_dir()
        && std::fs::read_dir(folder).map_or(true, |mut entries| entries.next().is_some());
    if taken && !overwrite {
        return Err(Stop::Said(format!(
            "`{shown}` is there already and not empty; give another folder, or --overwrite to replace the book in it"
        )));
    }
    Ok(())
}

/// Every name a book may use, so that none of an older book is left beside the new one.
fn own_names() -> Vec<PathBuf> {
    let reports = REPORTS.iter().map(|report| format!("{}.md", report.name));
    let pictures = PICTURES
        .iter()
        .flat_map(|picture| THEMES.map(|theme| format!("{}-{}", picture.name, theme.name)))
        .flat_map(|name| [format!("{name}.svg"), format!("{name}.png")]);
    let fixed = BOOK_NAMES.iter().map(|name| (*name).to_owned());
    fixed
        .chain(reports)
        .chain(pictures)
        .map(PathBuf::from)
        .collect()
}
