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

/// Files of the example that describe its own route and mean nothing on another.
const OF_THE_EXAMPLE: &[&str] = &[
    "course/stations.csv",
    "course/surfaces.csv",
    "course/course.toml",
    "crew.toml",
    "weather.csv",
];

/// Writes the folder, whole or not at all.
pub(crate) fn run(args: &NewArgs) -> Result<u8, Stop> {
    let folder = &args.folder;
    let taken = folder.exists()
        && std::fs::read_dir(folder).map_or(true, |mut entries| entries.next().is_some());
    if taken {
        return Err(Stop::Said(format!(
            "`{}` is there already and not empty; give a new folder",
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
        let path = built.path().join(name);
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
    std::fs::read(route)
        .map_err(|e| Stop::Said(format!("could not read `{}`: {e}", route.display())))
}

/// The same file for another route: what described the example becomes a comment. Tables keep
/// their heads.
fn for_own_route(name: &str, text: &str) -> String {
    let plan_finish = name == "plan.toml";
    if !plan_finish && !OF_THE_EXAMPLE.contains(&name) {
        return text.to_owned();
    }
    let table = name.ends_with(".csv");
    let mut head_seen = false;
    text.lines()
        .map(|line| {
            let is_head = table && !head_seen && !line.starts_with('#') && !line.is_empty();
            head_seen |= is_head;
            // the finish stays as a value to change; the example's other finishes would mislead
            let keep = line.is_empty()
                || line.starts_with('#')
                || is_head
                || (plan_finish && !line.starts_with("other_finishes"));
            if keep {
                format!("{line}\n")
            } else {
                format!("# {line}\n")
            }
        })
        .collect()
}
