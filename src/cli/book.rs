//! `sutler book`: everything about a plan into a folder, whole or not at all.

use std::path::{Path, PathBuf};

use clap::Args as ClapArgs;

use sutler::debrief::fingerprint;
use sutler::exports::{self, BookFile};

use super::args::{OUTPUT, SourceArgs, UnitsArg};
use super::browser::Browser;
use super::check::checked;
use super::load::load;
use super::show::{self, Stop};
use super::without::WithoutArgs;
use super::{report, save};

#[derive(ClapArgs, Debug)]
pub(crate) struct BookArgs {
    #[command(flatten)]
    pub(crate) source: SourceArgs,
    /// The folder to write, whole or not at all
    ///
    /// Open its index.html. Beside it: pages to print (HTML, and PDF where a browser of the
    /// Chromium family is found), the crew's page (crew.html), pictures (SVG, light and dark), reports (Markdown), the
    /// crew's calendar (iCalendar), a track with planned times (GPX), splits.csv and plan.json.
    #[arg(short, long, value_name = "DIR", default_value = "book", help_heading = OUTPUT)]
    pub(crate) out: PathBuf,
    /// Units to print in
    #[arg(long, value_name = "UNITS", default_value = "metric", help_heading = OUTPUT)]
    pub(crate) units: UnitsArg,
    /// Replace the book in a folder that is not empty; other files there stay
    #[arg(long, help_heading = OUTPUT)]
    pub(crate) overwrite: bool,
    #[command(flatten)]
    pub(crate) missing: WithoutArgs,
}

/// Writes the book.
pub(crate) fn run(args: &BookArgs) -> Result<u8, Stop> {
    let folder = &args.out;
    old_files(folder, args.overwrite)?;
    let mut loaded = load(&args.source);
    let raced = report::made_without(&mut loaded, true, &args.missing)?;
    let view = raced.view(&loaded, args.units);
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
        save::file(&built.path().join(&file.name), &file.bytes, false)?;
    }
    let mark = format!("{MARK_SAYS}\n{}", marked(&files));
    if folder.is_dir() {
        // once more, for planning took its time
        let old = old_files(folder, args.overwrite)?;
        let new: Vec<PathBuf> = files.iter().map(|file| file.name.clone().into()).collect();
        // a book that is killed in between is old and new files, and known as both
        let before = std::fs::read_to_string(folder.join(MARK)).unwrap_or_default();
        let both = format!(
            "{mark}{}",
            before.split_once('\n').map_or("", |(_, old)| old)
        );
        save::file(&folder.join(MARK), both.as_bytes(), true)?;
        save::over(built.path(), folder, &old, &new)?;
        save::file(&folder.join(MARK), mark.as_bytes(), true)?;
        save::clear_unfinished(folder)?;
    } else {
        save::file(&built.path().join(MARK), mark.as_bytes(), false)?;
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
    Ok(report::verdict(&raced.plans, view.units))
}

/// The file that says that a folder is a book and what was written into it.
const MARK: &str = ".sutler-book";

/// The first line of the mark, in words.
const MARK_SAYS: &str =
    "written by sutler book, which replaces these files as long as they are as they were";

/// The other lines of the mark: a fingerprint and a name each.
fn marked(files: &[BookFile]) -> String {
    let line = |file: &BookFile| format!("{} {}\n", fingerprint(&[&file.bytes]), file.name);
    files.iter().map(line).collect()
}

/// The files of the book in a folder but for its mark; none where there is no book.
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
    let lines = || mark.lines().skip(1).filter_map(|line| line.split_once(' '));
    let mut old: Vec<PathBuf> = Vec::new();
    for (_, name) in lines() {
        let path = folder.join(name);
        // a name that leads elsewhere was not written by `book`
        let leads_elsewhere = Path::new(name).file_name() != Some(name.as_ref());
        if leads_elsewhere || old.iter().any(|known| known == Path::new(name)) || !is_there(&path) {
            continue;
        }
        let written = std::fs::read(&path).is_ok_and(|bytes| {
            let print = fingerprint(&[&bytes]);
            lines().any(|line| line == (print.as_str(), name))
        });
        if !written {
            return Err(Stop::Said(format!(
                "`{}` was changed since the book was written; move it away, or give another folder",
                path.display()
            )));
        }
        old.push(name.into());
    }
    Ok(old)
}

/// True where anything has this name, even a link that leads nowhere.
fn is_there(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok()
}
