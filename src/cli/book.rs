//! `sutler book`: everything about a plan into a folder, whole or not at all.

use std::path::{Path, PathBuf};

use sutler::debrief::fingerprint;
use sutler::exports::{self, BookFile};

use super::args::BookArgs;
use super::browser::Browser;
use super::check::checked;
use super::load::load;
use super::show::{self, Stop};
use super::{report, save};

/// Writes the book.
pub(crate) fn run(args: &BookArgs) -> Result<u8, Stop> {
    let folder = &args.out;
    old_files(folder, args.overwrite)?;
    let mut loaded = load(&args.source);
    let made = report::make(&mut loaded, true);
    show::problems(&loaded.sources, loaded.notes.all());
    let (race, plans) = made.ok_or(Stop::Shown)?;
    let view = report::view(&race, &plans, &loaded, args.units);
    let (mut browser, mut why) = match Browser::find() {
        Ok(browser) => (Some(browser), None),
        Err(stop) => (None, Some(stop)),
    };
    let files = exports::book(&view, checked(&view, &loaded), &mut |html| match browser
        .as_ref()?
        .pdf(html)
    {
        Ok(bytes) => Some(bytes),
        Err(stop) => {
            // what fails once is not waited for again
            (browser, why) = (None, Some(stop));
            None
        }
    });
    for file in &files {
        save::no_input(&folder.join(&file.name), &loaded.read)?;
    }
    let built = save::folder_beside(folder)?;
    for file in &files {
        std::fs::write(built.path().join(&file.name), &file.bytes)?;
    }
    std::fs::write(built.path().join(MARK), mark(&files))?;
    if folder.is_dir() {
        // once more, for planning took its time
        let old = old_files(folder, args.overwrite)?;
        let new: Vec<PathBuf> = files.iter().map(|file| file.name.clone().into()).collect();
        save::over(built, folder, &old, &new)?;
    } else {
        save::folder(built, folder)?;
    }
    let index = folder.join("index.html");
    show::print(&format!(
        "wrote {} files: open {}\n",
        files.len(),
        index.display()
    ))?;
    if let Some(why) = why {
        let why = why.to_string();
        let first = why.lines().next().unwrap_or_default();
        show::print(&format!(
            "no PDFs: {first}; the HTML pages print from any browser\n"
        ))?;
    }
    Ok(report::verdict(&plans, view.units))
}

/// The file that says that a folder is a book and what was written into it.
const MARK: &str = ".sutler-book";

/// The lines of the mark: after a first one in words, a fingerprint and a name each.
fn mark(files: &[BookFile]) -> String {
    let line = |file: &BookFile| format!("{} {}\n", fingerprint(&[&file.bytes]), file.name);
    let lines: String = files.iter().map(line).collect();
    format!(
        "written by sutler book, which replaces these files as long as they are as they were\n{lines}"
    )
}

/// The files of the book in a folder, the mark among them; none where there is no book.
///
/// Refuses a folder that holds something else than a book, and a book of which a file is no
/// longer what was written: what is in it is the user's own.
fn old_files(folder: &Path, overwrite: bool) -> Result<Vec<PathBuf>, Stop> {
    let shown = folder.display();
    if folder.exists() && !folder.is_dir() {
        return Err(Stop::Said(format!(
            "`{shown}` is a file; give the name of a folder"
        )));
    }
    let taken = folder.is_dir()
        && std::fs::read_dir(folder).map_or(true, |mut entries| entries.next().is_some());
    if !taken {
        return Ok(Vec::new());
    }
    if !overwrite {
        return Err(Stop::Said(format!(
            "`{shown}` exists and is not empty; give another folder, or --overwrite to replace the book in it"
        )));
    }
    let Ok(mark) = std::fs::read_to_string(folder.join(MARK)) else {
        return Err(Stop::Said(format!(
            "`{shown}` is not empty, and `book` did not write it; give another folder"
        )));
    };
    let mut old = vec![PathBuf::from(MARK)];
    for (print, name) in mark.lines().skip(1).filter_map(|line| line.split_once(' ')) {
        let path = folder.join(name);
        // a name that leads elsewhere was not written by `book`
        if Path::new(name).file_name() != Some(name.as_ref()) || !is_there(&path) {
            continue;
        }
        if std::fs::read(&path).is_ok_and(|bytes| fingerprint(&[&bytes]) == print) {
            old.push(name.into());
        } else {
            return Err(Stop::Said(format!(
                "`{}` was changed since the book was written; move it away, or give another folder",
                path.display()
            )));
        }
    }
    Ok(old)
}

/// Whether anything has this name, even a link that leads nowhere.
fn is_there(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok()
}
