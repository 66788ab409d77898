//! A race begun with nothing but a route: dropped on the page, made into a folder of commented
//! files.

use std::path::{Component, Path};

use chrono::NaiveDateTime;
use maud::{Markup, html};

use sutler::diagnostics::{Notes, Sources};
use sutler::inputs::{PastResult, Target};
use sutler::starter::{OwnRace, own_race};

use crate::cli::new;

use super::folder::is_link;
use super::refused::{Refused, with_hint};
use super::session::Session;

/// Makes the folder and opens it.
pub(super) fn begin(
    session: &mut Session,
    folder: &str,
    (start, finish, past): (&str, &str, &str),
    route: Vec<u8>,
) -> Result<(), Refused> {
    if session.is_open() {
        return Err(said("a race is open here; close the desk to begin another"));
    }
    let place = if folder.is_empty() && is_free(&session.base) {
        session.base.clone()
    } else {
        session.base.join(named(folder)?)
    };
    if !is_free(&place) || (place != session.base && is_link(&place)) {
        let shown = place.display();
        return Err(said(&format!(
            "`{shown}` exists and is not empty; give another folder"
        )));
    }
    let finish = match finish.trim() {
        "" => None,
        typed => Some(Target::parse(typed).map_err(|why| said(&format!("finish: {why}")))?),
    };
    let start = match start.trim() {
        "" => None,
        typed => Some(
            NaiveDateTime::parse_from_str(typed, "%Y-%m-%dT%H:%M").map_err(|_| {
                said(&format!(
                    "start: `{typed}` is not a date and time, such as 2027-06-12T06:00"
                ))
            })?,
        ),
    };
    let past: Result<Vec<PastResult>, String> = past
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .map(PastResult::parse)
        .collect();
    let race = OwnRace {
        route_name: "route.gpx".to_owned(),
        route,
        stations: None,
        columns: Vec::new(),
        finish,
        past: past.map_err(|why| said(&format!("past results: {why}")))?,
        start,
        timezone: None,
    };
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let made = own_race(&race, &mut sources, &mut notes).ok_or_else(|| {
        let first = notes.all().first();
        said(&first.map_or("the route cannot be used".to_owned(), with_hint))
    })?;
    new::write(&place, &made.files).map_err(|stop| said(&stop.to_string()))?;
    session.begin(&place.join("plan.toml"));
    Ok(())
}

fn said(why: &str) -> Refused {
    Refused::Said(why.to_owned())
}

/// A folder's name that leads nowhere else.
fn named(folder: &str) -> Result<&str, Refused> {
    let mut steps = Path::new(folder).components();
    let only = matches!(steps.next(), Some(Component::Normal(_))) && steps.next().is_none();
    let plain = |c: char| !c.is_control() && !matches!(c, '/' | '\\' | ':');
    if only && folder.chars().all(plain) && folder.chars().count() <= 80 && !folder.starts_with('.')
    {
        Ok(folder)
    } else {
        Err(said("give the folder a plain name, such as my-race"))
    }
}

/// True where nothing is there, or an empty folder.
fn is_free(place: &Path) -> bool {
    match std::fs::read_dir(place) {
        Ok(mut entries) => entries.next().is_none(),
        Err(e) => e.kind() == std::io::ErrorKind::NotFound,
    }
}

/// Questions before there is a race.
pub(super) fn page(session: &Session) -> Markup {
    let base = session.base.display().to_string();
    let base = if base.is_empty() {
        ".".to_owned()
    } else {
        base
    };
    html! {
        h2 #work-title { "Begin with the route" }
        div.field {
            label for="new-finish" { "Finish" }
            div.typed { input #new-finish type="text" inputmode="numeric" autocomplete="off" placeholder="12:30"; }
            p.about { "hours:minutes, stops included; or leave it and give past results" }
        }
        div.field {
            label for="new-start" { "Official start" }
            div.typed { input #new-start type="datetime-local"; }
            p.about { "on the clock there; the time zone is read off the route. May be left for later" }
        }
        div.field {
            label for="new-past" { "Past results" }
            textarea #new-past rows="2" placeholder="100km/4000m/14:20:00" {}
            p.about { "a line for each: distance, climb, time" }
        }
        div.field {
            label for="new-folder" { "Race folder" }
            div.typed { input #new-folder type="text" autocomplete="off" placeholder="my-race"
                data-free=(is_free(&session.base)); }
            p.about {
                @if is_free(&session.base) { "made in " (base) "; without a name it is that folder itself" }
                @else { "made in " (base) "; without a name it has that of the route file" }
            }
        }
        div #drop .drop {
            p.large { "Drop a GPX file here" }
            p { "or " label.button for="gpx" { "choose one" } }
            input #gpx .hidden type="file" accept=".gpx,application/gpx+xml";
        }
        div #begin-wrong role="alert" {}
    }
}
