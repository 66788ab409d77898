//! Courses nobody runs, as the texts a user would write: seeded, any number of them.

use sutler::diagnostics::SourceFile;
use sutler::inputs::Texts;

use super::course_maker::chance::{Chance, Wanders};

/// A course and a plan as texts, with what is known about them.
#[derive(Clone, Debug)]
pub struct Synthetic {
    pub seed: u64,
    /// Length of the track, kilometres, to a few metres.
    pub length_km: f64,
    pub stations: Vec<StationLine>,
    /// Local start and zone, where the course has any.
    pub start: Option<(&'static str, &'static str)>,
    /// Sections of `plan.toml` below the course.
    pub plan: String,
    pub gpx: String,
}

/// One row of the station list.
#[derive(Clone, Debug)]
pub struct StationLine {
    pub name: String,
    pub km: f64,
    pub stop_min: f64,
    /// As written, with what it applies to.
    pub cutoff: Option<(String, &'static str)>,
}

/// Starts by day and by night, across the clock change of autumn, and unknown.
const STARTS: [Option<(&str, &str)>; 5] = [
    None,
    Some(("2026-06-13T07:00", "Europe/Ljubljana")),
    Some(("2026-10-24T18:00", "Europe/Vienna")),
    Some(("2026-03-28T20:30", "Europe/Rome")),
    Some(("2026-12-05T05:15", "Europe/Vienna")),
];

impl Synthetic {
    /// The course of a seed: 6 to 40 km, up to nine stations, without cutoffs.
    pub fn of(seed: u64) -> Synthetic {
        let mut chance = Chance::new(seed, 77);
        let length_km = chance.between(6.0, 40.0);
        let count = chance.between(0.0, 10.0) as usize;
        let mut kms: Vec<f64> = (0..count)
            .map(|_| (chance.between(0.02, 0.98) * length_km * 100.0).round() / 100.0)
            .collect();
        kms.sort_by(f64::total_cmp);
        kms.dedup_by(|b, a| *b - *a < 0.2);
        let stations = kms
            .into_iter()
            .enumerate()
            .map(|(index, km)| StationLine {
                name: format!("Station {}", index + 1),
                km,
                // every third is run through; stops are not whole minutes
                stop_min: if index % 3 == 0 {
                    0.0
                } else {
                    (chance.between(0.0, 12.0) * 10.0).round() / 10.0
                },
                cutoff: None,
            })
            .collect();
        let start = STARTS[chance.between(0.0, STARTS.len() as f64) as usize];
        let temp_c = chance.between(-5.0, 32.0).round();
        let walker = if seed % 4 == 3 { "walker = true\n" } else { "" };
        Synthetic {
            seed,
            length_km,
            stations,
            start,
            plan: format!(
                "[pacing]\nnight_factor = 1.2\nheat_per_c = 0.01\n{walker}[forecast]\ntemp_c = {temp_c}\n"
            ),
            gpx: track(length_km, seed, &mut chance),
        }
    }

    /// The texts of its files.
    pub fn texts(&self) -> Texts {
        let file = |name: &str, text: String| Some(SourceFile::new(name, text));
        Texts {
            plan: file("plan.toml", self.plan.clone()),
            course: self.start.map(|(start, zone)| {
                let text = format!("start = \"{start}\"\ntimezone = \"{zone}\"\n");
                SourceFile::new("course.toml", text)
            }),
            route: file("route.gpx", self.gpx.clone()),
            stations: (!self.stations.is_empty())
                .then(|| SourceFile::new("stations.csv", self.list())),
            ..Texts::default()
        }
    }

    fn list(&self) -> String {
        let mut text = String::from("name,distance_km,stop_min,cutoff,cutoff_on\n");
        for row in &self.stations {
            let (cutoff, on) = row.cutoff.clone().unwrap_or_default();
            text += &format!("{},{},{},{cutoff},{on}\n", row.name, row.km, row.stop_min);
        }
        text
    }
}

/// Metres between points of the track.
const STEP_M: f64 = 40.0;
/// Metres in a degree of latitude, near enough to lay a track by.
const M_PER_DEGREE: f64 = 111_200.0;

fn track(length_km: f64, seed: u64, chance: &mut Chance) -> String {
    let length_m = length_km * 1000.0;
    let hills = Wanders::over(
        length_m,
        &[(4000.0, 350.0), (900.0, 60.0), (150.0, 4.0)],
        1.0,
        chance,
    );
    let bends = Wanders::over(length_m, &[(3000.0, 2.0), (300.0, 0.8)], 1.0, chance);
    let (mut lat, mut lon) = (
        46.0 + chance.between(0.0, 1.0),
        13.0 + chance.between(0.0, 1.0),
    );
    let mut points = String::new();
    for step in 0..=(length_m / STEP_M).round() as usize {
        let m = step as f64 * STEP_M;
        let height_m = 900.0 + hills.at(m);
        points +=
            &format!("<trkpt lat=\"{lat:.6}\" lon=\"{lon:.6}\"><ele>{height_m:.1}</ele></trkpt>\n");
        let (north, east) = (bends.at(m).cos(), bends.at(m).sin());
        lat += north * STEP_M / M_PER_DEGREE;
        lon += east * STEP_M / (M_PER_DEGREE * lat.to_radians().cos());
    }
    gpx(&format!("Synthetic {seed}"), &points)
}

/// A GPX document around track points.
pub fn gpx(name: &str, points: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"test\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><name>{name}</name><trkseg>\n\
         {points}</trkseg></trk></gpx>\n"
    )
}
