//! One edition of a race: its points, its finishers, and its course as the planner sees it.

use std::path::{Path, PathBuf};

use sutler::diagnostics::{Notes, SourceFile, Sources};
use sutler::inputs::{self, Texts};
use sutler::plan::Race;
use sutler::time::Elapsed;

/// What the tables do not say, for all editions.
pub(crate) struct Setting {
    /// As in a `course.toml`; without it there is no night.
    pub(crate) start: Option<String>,
    pub(crate) timezone: Option<String>,
    /// The middle of the course, latitude and longitude, degrees.
    pub(crate) at_deg: (f64, f64),
    /// Every so many runners one is taken.
    pub(crate) every: usize,
}

/// A race with everyone who finished it.
pub(crate) struct Edition {
    pub(crate) name: String,
    /// Where every point is, as a share of the way; the last is 1.
    pub(crate) share: Vec<f64>,
    pub(crate) finishers: Vec<Finisher>,
    pub(crate) race: Race,
}

/// One runner's passages.
pub(crate) struct Finisher {
    /// Seconds since the start at every point; `None` where the reading is missing.
    pub(crate) passed_s: Vec<Option<f64>>,
    pub(crate) finish_s: f64,
}

/// No finisher is slower than this, hours.
const LONGEST_H: i64 = 100;
/// Metres in a degree of latitude, to 0.5 %: stations are placed by their share of the way.
const M_PER_DEGREE: f64 = 111_200.0;

/// The edition in a folder, or those in its folders, by name.
pub(crate) fn read(folder: &Path, setting: &Setting) -> Vec<Edition> {
    if folder.join("points.csv").exists() {
        return vec![Edition::read(folder, setting)];
    }
    let entries = std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let mut folders: Vec<PathBuf> = entries
        .map(|entry| entry.expect("the folder can be read").path())
        .filter(|path| path.join("points.csv").exists())
        .collect();
    folders.sort();
    assert!(!folders.is_empty(), "{}: no points.csv", folder.display());
    let each = folders.iter();
    each.map(|path| Edition::read(path, setting)).collect()
}

impl Edition {
    fn read(folder: &Path, setting: &Setting) -> Edition {
        let points: Vec<(String, f64)> = rows(&folder.join("points.csv"));
        let km: Vec<f64> = points.iter().map(|(_, km)| *km).collect();
        let passages: Vec<Vec<String>> = rows(&folder.join("passages.csv"));
        let finishers = (passages.iter())
            .filter_map(|row| Finisher::of(&row[1..], folder))
            .step_by(setting.every)
            .collect();
        let name = folder.file_name().unwrap_or_default().to_string_lossy();
        Edition::on_the_level(name.into_owned(), &km, finishers, setting)
    }

    /// Ten runners of even effort over a level 100 km, timed every ten.
    pub(crate) fn made(setting: &Setting) -> Edition {
        let km: Vec<f64> = (1..=10).map(|ten| f64::from(ten) * 10.0).collect();
        let finishers = (0..10)
            .map(|runner| {
                let finish_s = 3600.0 * (9.0 + f64::from(runner));
                Finisher {
                    passed_s: km.iter().map(|km| Some(finish_s * km / 100.0)).collect(),
                    finish_s,
                }
            })
            .collect();
        Edition::on_the_level("made up".to_owned(), &km, finishers, setting)
    }

    fn on_the_level(
        name: String,
        km: &[f64],
        finishers: Vec<Finisher>,
        setting: &Setting,
    ) -> Edition {
        let length_km = *km.last().expect("there is a finish");
        let quoted = |key: &str, value: &Option<String>| {
            let value = value.as_ref();
            value.map_or(String::new(), |value| format!("{key} = \"{value}\"\n"))
        };
        let start = setting.start.as_ref();
        let texts = Texts {
            route: Some(SourceFile::new(
                "route.gpx",
                route(length_km, setting.at_deg),
            )),
            stations: Some(SourceFile::new("stations.csv", stations(km))),
            // any: who has none is expected as anybody is, and each runner is to have a hope
            plan: Some(SourceFile::new(
                "plan.toml",
                "finish = \"24:00:00\"\n".to_owned(),
            )),
            course: start.map(|start| {
                let text = quoted("timezone", &setting.timezone) + &format!("start = {start}\n");
                SourceFile::new("course.toml", text)
            }),
            ..Texts::default()
        };
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let inputs = inputs::read(texts, &mut sources, &mut notes);
        let longest = Elapsed::from_secs(LONGEST_H * 3600);
        let race = Race::prepare(&inputs, longest, &mut notes)
            .unwrap_or_else(|| panic!("{name}: {:?}", notes.all()));
        assert_eq!(race.course.stations.len(), km.len() + 1, "{name}");
        Edition {
            name,
            share: km.iter().map(|km| km / length_km).collect(),
            finishers,
            race,
        }
    }
}

impl Finisher {
    /// `None` without a finish.
    fn of(cells: &[String], folder: &Path) -> Option<Finisher> {
        let seconds = |cell: &String| {
            let known = !cell.trim().is_empty();
            known.then(|| {
                let number = cell.trim().parse::<f64>();
                number.unwrap_or_else(|e| panic!("{}: `{cell}`: {e}", folder.display()))
            })
        };
        let passed_s: Vec<Option<f64>> = cells.iter().map(seconds).collect();
        let finish_s = passed_s.last().copied().flatten()?;
        Some(Finisher { passed_s, finish_s })
    }
}

fn rows<T: serde::de::DeserializeOwned>(path: &Path) -> Vec<T> {
    let mut reader =
        csv::Reader::from_path(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let rows = reader.deserialize();
    rows.map(|row| row.unwrap_or_else(|e| panic!("{}: {e}", path.display())))
        .collect()
}

/// A level circle of this length.
fn route(length_km: f64, (lat, lon): (f64, f64)) -> String {
    const POINTS: u32 = 3000;
    let radius_m = length_km * 1000.0 / std::f64::consts::TAU;
    let body: String = (0..=POINTS)
        .map(|point| {
            let angle = f64::from(point) / f64::from(POINTS) * std::f64::consts::TAU;
            let north = lat + radius_m * angle.sin() / M_PER_DEGREE;
            let east = lon + radius_m * angle.cos() / (M_PER_DEGREE * lat.to_radians().cos());
            format!("<trkpt lat=\"{north:.7}\" lon=\"{east:.7}\"><ele>40</ele></trkpt>\n")
        })
        .collect();
    format!("<gpx version=\"1.1\" creator=\"bench\"><trk><trkseg>\n{body}</trkseg></trk></gpx>\n")
}

fn stations(km: &[f64]) -> String {
    let rows = km.iter().enumerate();
    let rows: String = rows
        .map(|(point, km)| format!("Point {},{km}\n", point + 1))
        .collect();
    format!("name,distance_km\n{rows}")
}
