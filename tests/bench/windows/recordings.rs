//! A folder of recordings, each planned for the finish it had.

use std::collections::BTreeMap;
use std::path::Path;

use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned};
use sutler::inputs::{self, Texts};
use sutler::pacing::Pacing;
use sutler::plan::Race;
use sutler::time::Elapsed;

/// Marks along the way: every tenth of the distance but the last.
pub(crate) const MARKS: usize = 9;
/// The equator of the WGS84 ellipsoid, metres, along which recordings without positions are laid.
const EQUATOR_RADIUS_M: f64 = 6_378_137.0;

/// One recording and the plan that knows no more than its profile and its finish.
pub(crate) struct Recording {
    pub(crate) id: String,
    pub(crate) group: String,
    pub(crate) distance_m: f64,
    pub(crate) race: Race,
    pub(crate) pacing: Pacing,
    /// When each mark was first reached, seconds.
    pub(crate) true_s: [f64; MARKS],
}

/// Reads and plans every recording of a folder, in the order of their names.
pub(crate) fn read(folder: &Path) -> Vec<Recording> {
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .map(|entry| entry.expect("the folder can be read").path())
        .filter(|path| path.extension().is_some_and(|e| e == "csv"))
        .filter(|path| !path.ends_with("groups.csv"))
        .collect();
    paths.sort();
    let groups = groups(&folder.join("groups.csv"));
    paths
        .iter()
        .map(|path| {
            let id = path.file_stem().unwrap_or_default().to_string_lossy();
            let group = groups.get(id.as_ref()).cloned().unwrap_or_default();
            recording(path, group).unwrap_or_else(|| panic!("{}: no recording", path.display()))
        })
        .collect()
}

fn groups(path: &Path) -> BTreeMap<String, String> {
    let Ok(mut reader) = csv::Reader::from_path(path) else {
        return BTreeMap::new();
    };
    let rows = reader.deserialize::<(String, String)>();
    rows.map(|row| row.expect("groups.csv holds id and group"))
        .collect()
}

fn recording(path: &Path, group: String) -> Option<Recording> {
    let mut reader = csv::Reader::from_path(path).ok()?;
    let points: Vec<(f64, f64, f64)> = reader
        .deserialize()
        .collect::<Result<_, _>>()
        .unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let (finish_s, distance_m, _) = *points.last()?;
    let marks = std::array::from_fn(|mark| distance_m * (mark + 1) as f64 / (MARKS + 1) as f64);
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let texts = Texts {
        route: Some(SourceFile::new("route.gpx", route(&points))),
        stations: Some(SourceFile::new("stations.csv", stations(&marks))),
        // any: who has none is expected as anybody is, and each runner is to have a hope
        plan: Some(SourceFile::new(
            "plan.toml",
            "finish = \"24:00:00\"\n".to_owned(),
        )),
        ..Texts::default()
    };
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    let finish = Spanned::unwritten(Elapsed::from_s(finish_s));
    let race = Race::prepare(&inputs, finish.value, &mut notes);
    let plan = race
        .as_ref()
        .and_then(|race| race.plan(&inputs, finish, &mut notes));
    let Some(plan) = plan else {
        panic!("{}: {:?}", path.display(), notes.all());
    };
    assert_eq!(plan.pacing.arrival_s.len(), MARKS + 2, "{}", path.display());
    let race = race?;
    Some(Recording {
        id: path.file_stem()?.to_string_lossy().into_owned(),
        group,
        distance_m,
        race,
        pacing: plan.pacing,
        true_s: marks.map(|mark_m| reached_s(&points, mark_m)),
    })
}

/// The profile laid along the equator: what counts is distance and height.
fn route(points: &[(f64, f64, f64)]) -> String {
    let body: String = points
        .iter()
        .map(|(_, at_m, height_m)| {
            let lon = (at_m / EQUATOR_RADIUS_M).to_degrees();
            format!("<trkpt lat=\"0\" lon=\"{lon:.8}\"><ele>{height_m:.2}</ele></trkpt>\n")
        })
        .collect();
    format!("<gpx version=\"1.1\" creator=\"bench\"><trk><trkseg>\n{body}</trkseg></trk></gpx>\n")
}

fn stations(marks_m: &[f64]) -> String {
    let rows: String = marks_m
        .iter()
        .enumerate()
        .map(|(mark, at_m)| format!("Mark {},{at_m:.1}\n", mark + 1))
        .collect();
    format!("name,distance_m\n{rows}")
}

/// When a distance was first reached, between points linear.
fn reached_s(points: &[(f64, f64, f64)], mark_m: f64) -> f64 {
    let after = points
        .iter()
        .position(|point| point.1 >= mark_m)
        .unwrap_or(0);
    let (b_s, b_m, _) = points[after];
    let (a_s, a_m, _) = points[after.saturating_sub(1)];
    if b_m > a_m {
        a_s + (b_s - a_s) * (mark_m - a_m) / (b_m - a_m)
    } else {
        b_s
    }
}
