//! A folder for one's own route.

use chrono_tz::Tz;

use crate::ability;
use crate::course::{Course, StationRole};
use crate::diagnostics::{Diagnostic, Notes, SourceFile, Sources};
use crate::inputs::pasted::{self, PasteContext, PastedTable};
use crate::inputs::{
    self, Food, Inputs, StationRow, Texts, pantry_csv, route_gpx, stations_csv, zones,
};

use super::known::{Known, OwnRace};
use super::{CREW, GEAR, NewFile, PANTRY, RUNNER, STATIONS, SURFACES, WEATHER, edits};

/// A folder as texts, and how each part of it came about.
#[derive(Clone, Debug)]
pub struct NewFolder {
    /// The files.
    pub files: Vec<NewFile>,
    /// The origin of the stations.
    pub stations: StationSource,
    /// The organiser's length where it is another than the route's, and the route's, metres.
    pub lengths_m: Option<(f64, f64)>,
    /// True where a cutoff is there that the list does not say is for coming in or for going out.
    pub cutoffs_open: bool,
    /// The zone, and whether it is guessed from the route.
    pub timezone: Option<(Tz, bool)>,
    /// True where a plan can be made of the folder as it is.
    pub plans: bool,
}

/// The origin of a new folder's station list.
#[derive(Clone, Debug)]
pub enum StationSource {
    /// A `stations.csv` that was read without a complaint, with its number of stations.
    List(usize),
    /// A table of another shape.
    Pasted(PastedTable),
    /// Waypoints of the route file, so many.
    Waypoints(usize),
    /// None: the plan marks every few kilometres.
    Nothing,
}

/// Makes the folder; `None` with the reason in `notes` where the route or the table cannot be used.
pub fn own_race(race: &OwnRace, sources: &mut Sources, notes: &mut Notes) -> Option<NewFolder> {
    let route = route_gpx::decode(&race.route_name, race.route.clone());
    let route = route.map_err(|problem| notes.push(problem)).ok()?;
    let texts = Texts {
        route: Some(route.clone()),
        ..Texts::default()
    };
    let inputs = inputs::read(texts, sources, notes);
    if notes.has_errors() {
        return None;
    }
    // what is doubtful about the route is said when it is planned
    let mut quiet = Notes::new();
    let course = Course::build(&inputs, &mut quiet);
    let Some(course) = course else {
        notes.extend(quiet);
        return None;
    };
    let (stations, list) = stations(race, &inputs, &course, notes)?;
    let rows = list.as_deref().map_or_else(Vec::new, rows);
    let cutoffs_open = rows
        .iter()
        .filter_map(|row| row.cutoff.filter(|_| row.cutoff_on.is_none()))
        .any(|cutoff| cutoff.value != stations_csv::Cutoff::Unread);
    let listed_m = rows
        .last()
        .and_then(|row| row.distance_m.as_ref())
        .map(|m| m.value);
    let route_m = course.survey.route_length_m;
    let counts_more = |listed_m: &f64| *listed_m > 1.005 * route_m;
    let lengths_m = listed_m
        .filter(counts_more)
        .map(|listed_m| (listed_m, route_m));
    let timezone = match race.timezone {
        Some(zone) => Some((zone, false)),
        None => {
            let (lat, lon) = course.profile.position_at_deg(0.0);
            zones::nearest(lat, lon).map(|zone| (zone, true))
        }
    };
    let name = inputs
        .track
        .name
        .clone()
        .unwrap_or_else(|| stem(&race.route_name));
    let known = Known {
        name,
        timezone,
        cutoffs_open,
        finish_s: likely_finish_s(race, &course),
        rest_at: resting_place(&rows),
    };
    let files = files(race, &known, list);
    let plans = are_right(&files, &route);
    Some(NewFolder {
        files,
        stations,
        lengths_m,
        cutoffs_open,
        timezone,
        plans,
    })
}

/// The finish that is planned, else that of anybody on such a course.
fn likely_finish_s(race: &OwnRace, course: &Course) -> i64 {
    let anybody_s = ability::unproven(course, None).likely_s as i64;
    race.finish
        .map_or(anybody_s, |target| target.planned().as_secs())
}

/// Where one may lie down in a long race: of the stations with a bag or the crew the one nearest to
/// two thirds of the way.
fn resting_place(rows: &[StationRow]) -> Option<String> {
    let metres = |row: &StationRow| Some(row.distance_m.as_ref()?.value);
    let wanted_m = 2.0 / 3.0 * metres(rows.last()?)?;
    let between = rows.get(1..rows.len() - 1).unwrap_or_default();
    let served = between.iter().filter(|row| row.crew || row.drop_bag);
    let served = served.filter_map(|row| Some(((metres(row)? - wanted_m).abs(), row)));
    let nearest = served.min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(nearest.1.name.value.clone())
}

fn rows(list: &str) -> Vec<StationRow> {
    let file = SourceFile::new("stations.csv", list);
    let id = Sources::default().add(file.clone());
    stations_csv::read(&file, id, &mut Notes::new())
}

fn stem(path: &str) -> String {
    let name = path.rsplit(['/', '\\']).next().unwrap_or(path);
    name.rsplit_once('.')
        .map_or(name, |(stem, _)| stem)
        .to_owned()
}

/// The station list and where it is from; `None` for the text where there is none.
fn stations(
    race: &OwnRace,
    inputs: &Inputs,
    course: &Course,
    notes: &mut Notes,
) -> Option<(StationSource, Option<String>)> {
    let Some(file) = &race.stations else {
        if inputs.track.waypoints.is_empty() {
            return Some((StationSource::Nothing, None));
        }
        let list = edits::stations_of(course);
        let between = course
            .stations
            .iter()
            .filter(|s| matches!(s.role, StationRole::Between(_)));
        return Some((StationSource::Waypoints(between.count()), Some(list)));
    };
    let mut said = Notes::new();
    let id = Sources::default().add(file.clone());
    let rows = stations_csv::read(file, id, &mut said);
    if said.is_empty() && !rows.is_empty() {
        return Some((StationSource::List(rows.len()), Some(file.text.to_string())));
    }
    let table = pasted::read(
        &file.text,
        &PasteContext {
            columns: race.columns.clone(),
            route_m: Some(course.survey.route_length_m),
            start: race.start,
            pantry: pantry(),
        },
    );
    if table.stations.is_empty() {
        notes.push(
            Diagnostic::error(format!("no station could be read from `{}`", file.name))
                .at(
                    None,
                    "expected a row for each station, with its name and its distance",
                )
                .hint("keep the table's line of column names, such as `Station`, `Km`, `Cutoff`"),
        );
        return None;
    }
    let csv = table.csv.clone();
    Some((StationSource::Pasted(table), Some(csv)))
}

fn pantry() -> Vec<Food> {
    let file = SourceFile::new("pantry.csv", PANTRY);
    let id = Sources::default().add(file.clone());
    pantry_csv::read(&file, id, &mut Notes::new())
}

fn files(race: &OwnRace, known: &Known, list: Option<String>) -> Vec<NewFile> {
    let course = edits::course(race, known);
    let plan = edits::plan(race, known);
    // from water point to water point two flasks may do, over a course without any they cannot
    let runner = match list {
        Some(_) => RUNNER.to_owned(),
        None => edits::without("flasks_ml", RUNNER),
    };
    let list = match list {
        Some(text) => NewFile::new("course/stations.csv", text),
        None => NewFile::new("course/stations.csv.example", STATIONS),
    };
    vec![
        NewFile::new("plan.toml", plan),
        NewFile::new("runner.toml", runner),
        NewFile::new("pantry.csv", PANTRY),
        NewFile::new("gear.csv", edits::gear(GEAR)),
        NewFile::new("weather.csv.example", WEATHER),
        NewFile::new("crew.toml.example", CREW),
        NewFile::new("course/course.toml", course),
        list,
        NewFile::new("course/surfaces.csv.example", SURFACES),
        NewFile::new("course/route.gpx", race.route.clone()),
    ]
}

/// True where the files are read without an error.
fn are_right(files: &[NewFile], route: &SourceFile) -> bool {
    let text = |path: &str| {
        let file = files.iter().find(|file| file.path == path)?;
        let text = String::from_utf8_lossy(&file.bytes).into_owned();
        Some(SourceFile::new(path, text))
    };
    let texts = Texts {
        plan: text("plan.toml"),
        course: text("course/course.toml"),
        route: Some(route.clone()),
        stations: text("course/stations.csv"),
        runner: text("runner.toml"),
        pantry: text("pantry.csv"),
        gear: text("gear.csv"),
        ..Texts::default()
    };
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    !notes.has_errors() && Course::build(&inputs, &mut notes).is_some() && !notes.has_errors()
}
