//! `sutler new`: a folder that plans as it is, of the example or of one's own route.

use std::fmt::Write as _;
use std::path::Path;

use sutler::diagnostics::{Notes, Sources};
use sutler::inputs::route_gpx;
use sutler::starter::{self, NewFile, NewFolder, OwnRace, StationSource};
use sutler::words::count;

use super::args::NewArgs;
use super::show::{self, Stop};
use super::{DONE, save};

/// Writes the folder, whole or not at all.
pub(crate) fn run(args: &NewArgs) -> Result<u8, Stop> {
    let folder = &args.folder;
    let taken = folder.exists()
        && std::fs::read_dir(folder).map_or(true, |mut entries| entries.next().is_some());
    if taken {
        return Err(Stop::Said(format!(
            "`{}` exists and is not empty; give a new folder",
            folder.display()
        )));
    }
    let Some(route) = &args.route else {
        write(folder, &starter::example())?;
        let shown = folder.display();
        show::print(&format!(
            "wrote {shown}: read plan.toml there first, then try\n  sutler plan {shown}/plan.toml\n"
        ))?;
        return Ok(DONE);
    };
    let new = own(args, route)?;
    write(folder, &new.files)?;
    show::print(&told(&new, args))?;
    Ok(DONE)
}

fn own(args: &NewArgs, route: &Path) -> Result<NewFolder, Stop> {
    let stations = match &args.stations {
        Some(path) => {
            let name = path.display().to_string();
            Some(route_gpx::decode(&name, read(path)?).map_err(|p| Stop::Said(p.message))?)
        }
        None => None,
    };
    let race = OwnRace {
        route_name: route.display().to_string(),
        route: read(route)?,
        stations,
        columns: Vec::new(),
        finish: args.finish,
        past: args.past.clone(),
        start: args.start,
        timezone: args.timezone,
    };
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let new = starter::own_race(&race, &mut sources, &mut notes);
    if new.is_none() {
        show::problems(&sources, notes.all());
    }
    new.ok_or(Stop::Shown)
}

/// Writes the files beside the folder, or in it where it is there, so that they only need moving.
pub(crate) fn write(folder: &Path, files: &[NewFile]) -> Result<(), Stop> {
    let parent = Some(folder)
        .filter(|f| f.is_dir())
        .or(folder.parent())
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let failed = |e: std::io::Error| {
        let reason = show::reason(&e);
        Stop::Said(format!(
            "could not write in `{}`: {reason}",
            parent.display()
        ))
    };
    let built = tempfile::tempdir_in(parent).map_err(failed)?;
    for file in files {
        let path = built.path().join(&file.path);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(failed)?;
        }
        std::fs::write(&path, &file.bytes).map_err(failed)?;
    }
    save::folder(built, folder)
}

fn read(path: &Path) -> Result<Vec<u8>, Stop> {
    super::read_file::bytes(path).map_err(|e| {
        let reason = show::reason(&e);
        Stop::Said(format!("could not read `{}`: {reason}", path.display()))
    })
}

/// The folder made: what was written, what is guessed or missing, and the command that works next.
fn told(new: &NewFolder, args: &NewArgs) -> String {
    let shown = args.folder.display();
    let mut text = format!("wrote {shown}\n");
    let mut say = |what: &str, words: String| {
        // writing to a string cannot fail
        let _ = writeln!(text, "  {what:<10} {words}");
    };
    match &new.stations {
        StationSource::List(number) => say("stations", format!("{number}, as given")),
        StationSource::Waypoints(number) => say(
            "stations",
            format!(
                "{} of the route file; add cutoffs in course/stations.csv",
                count(*number, "waypoint")
            ),
        ),
        StationSource::Nothing => say(
            "stations",
            "none yet: a mark every few kilometres; course/stations.csv.example shows how"
                .to_owned(),
        ),
        StationSource::Pasted(table) => {
            let columns = table.columns.iter().enumerate().map(|(at, column)| {
                let heading = match column.heading.as_str() {
                    "" => format!("column {}", at + 1),
                    heading => format!("`{heading}`"),
                };
                let guess = if column.guessed { " (a guess)" } else { "" };
                format!("{heading} = {}{guess}", column.meaning.label())
            });
            let columns: Vec<String> = columns.collect();
            say(
                "stations",
                format!("{}: {}", table.stations.len(), columns.join("; ")),
            );
            for cell in &table.unread {
                let column = cell
                    .column
                    .map_or(String::new(), |at| format!(", column {at}"));
                say(
                    "not read",
                    format!(
                        "line {}{column}, `{}`: {}",
                        cell.line, cell.text, cell.reason
                    ),
                );
            }
            for words in &table.assumed {
                say("assumed", words.clone());
            }
        }
    }
    if new.cutoffs_open {
        say(
            "cutoffs",
            "taken as the time to be out by, the safe way; where the rules count coming in, set \
             `cutoffs_on = \"arrival\"` in course/course.toml"
                .to_owned(),
        );
    }
    if let Some((listed_m, route_m)) = new.lengths_m {
        say(
            "distance",
            format!(
                "{:.1} km by the organiser, {:.1} km by the route file: stations are placed in proportion",
                listed_m / 1000.0,
                route_m / 1000.0
            ),
        );
    }
    match new.timezone {
        Some((zone, true)) => say(
            "time zone",
            format!("{zone}, the nearest to the route: check that it is right"),
        ),
        Some((zone, false)) => say("time zone", zone.to_string()),
        None => {}
    }
    if args.start.is_none() {
        say("start", "not known: set `start` and `timezone` in course/course.toml for clock times, daylight and lamp".to_owned());
    }
    if args.finish.is_none() && args.past.is_empty() {
        say(
            "finish",
            "not known, so one is planned that is a hope: set `finish` in plan.toml, or what you have run \
             under `[[past]]`"
                .to_owned(),
        );
    }
    say(
        "weather",
        "not known: two lines under `[weather]` in plan.toml".to_owned(),
    );
    say(
        "you",
        "flasks, foods and gear are common ones: change runner.toml, pantry.csv and gear.csv"
            .to_owned(),
    );
    let verb = if new.plans { "plan" } else { "check" };
    let _ = write!(text, "next\n  sutler {verb} {shown}/plan.toml\n");
    text
}
