//! `sutler new`: a folder of commented examples that plans as it is.

use std::path::Path;

use super::args::NewArgs;
use super::show::{self, Stop};
use super::{DONE, save};

/// Every file of the starter, by its path in the new folder.
const FILES: &[(&str, &str)] = &[
    ("plan.toml", include_str!("starter/plan.toml")),
    ("runner.toml", include_str!("starter/runner.toml")),
    ("pantry.csv", include_str!("starter/pantry.csv")),
    ("gear.csv", include_str!("starter/gear.csv")),
    ("weather.csv", include_str!("starter/weather.csv")),
    ("crew.toml", include_str!("starter/crew.toml")),
    (
        "course/course.toml",
        include_str!("starter/course/course.toml"),
    ),
    (
        "course/stations.csv",
        include_str!("starter/course/stations.csv"),
    ),
    (
        "course/surfaces.csv",
        include_str!("starter/course/surfaces.csv"),
    ),
    (ROUTE, include_str!("starter/course/route.gpx")),
];
const ROUTE: &str = "course/route.gpx";

/// Files of the example that describe its own route and mean nothing on another: settings become
/// comments, the station list keeps its head.
const OF_THE_EXAMPLE: &[&str] = &["course/stations.csv", "course/course.toml", "crew.toml"];
/// Tables of the example that a plan does without until they are written: kept to look at.
const TO_LOOK_AT: &[&str] = &["course/surfaces.csv", "weather.csv"];

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
    let own_route = args.route.as_deref().map(read).transpose()?;
    // beside the new folder, or in one that is there, so that files only need to be moved
    let parent = Some(folder.as_path())
        .filter(|f| f.is_dir())
        .or(folder.parent())
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let built = tempfile::tempdir_in(parent)
        .map_err(|e| Stop::Said(format!("could not write in `{}`: {e}", parent.display())))?;
    for (name, text) in FILES {
        let aside = own_route.is_some() && TO_LOOK_AT.contains(name);
        let path = built
            .path()
            .join(format!("{name}{}", if aside { ".example" } else { "" }));
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder)?;
        }
        match &own_route {
            Some(route) if *name == ROUTE => std::fs::write(&path, route)?,
            Some(_) => std::fs::write(&path, for_own_route(name, text))?,
            None => std::fs::write(&path, text)?,
        }
    }
    save::folder(built, folder)?;
    let shown = folder.display();
    show::print(&format!(
        "wrote {shown}: read plan.toml there first, then try\n  sutler plan {shown}/plan.toml\n"
    ))?;
    Ok(DONE)
}

fn read(route: &Path) -> Result<Vec<u8>, Stop> {
    crate::cli::read_file::bytes(route)
        .map_err(|e| Stop::Said(format!("could not read `{}`: {e}", route.display())))
}

/// The same file for another route: what described the example becomes a comment, tables keep
/// their heads, the finish stays as a value to change.
fn for_own_route(name: &str, text: &str) -> String {
    let mut head_seen = false;
    let mut goes = |line: &str| {
        let told = !line.is_empty() && !line.starts_with('#');
        let head = told && name.ends_with(".csv") && !std::mem::replace(&mut head_seen, true);
        match name {
            _ if !told || head => false,
            "plan.toml" => line.starts_with("other_finishes"),
            // it names a station of the example
            "gear.csv" => line.contains("after-station"),
            _ => OF_THE_EXAMPLE.contains(&name),
        }
    };
    text.lines()
        .map(|line| {
            if goes(line) {
                format!("# {line}\n")
            } else {
                format!("{line}\n")
            }
        })
        .collect()
}
